//! How a planning run is getting on: a line for people, a JSON document a line for programs.

use feeds::documents::LATE_FIGURES;
use planner::Progress;
use workshop::documents::plan::LateFigure;

/// Seconds, way, best and bound of the leading figure, and the gap between them in per cent.
pub fn for_people(now: &Progress, figure: LateFigure) -> String {
    let (best, bound) = (short(now.figures.late(figure)), short(now.bound));
    let late = word(figure).replacen('_', "-", 1).replace('_', " ");
    let (seconds, way, gap, sentence) = (now.seconds, now.way.word(), 100.0 * gap(now, figure), &now.sentence);
    format!("{seconds:7.1} s  {way:8} {best} {late}, at least {bound}, gap {gap:.1} %: {sentence}")
}

/// The same and the other figures; the gap is a share of the best, as in a plan's proof.
pub fn for_programs(now: &Progress, figure: LateFigure) -> String {
    let figures = &now.figures;
    let line = serde_json::json!({
        "seconds": now.seconds,
        "way": now.way.word(),
        "figure": word(figure),
        "best": figures.late(figure),
        "bound": now.bound,
        "gap": gap(now, figure),
        "order_days_late": figures.order_days_late,
        "panel_days_late": figures.panel_days_late,
        "material_cost": figures.material_cost,
        "changes": figures.changes,
        "sentence": now.sentence,
    });
    line.to_string()
}

fn word(figure: LateFigure) -> &'static str {
    LATE_FIGURES.into_iter().find(|(_, named)| *named == figure).map_or("", |(name, _)| name)
}

/// To a thousandth: sums of decimal weights end in noise.
fn short(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

/// Share of the best that is not proven to be needed; 0 where the bound is reached.
fn gap(now: &Progress, figure: LateFigure) -> f64 {
    let best = now.figures.late(figure);
    ((best - now.bound) / best.max(1.0)).max(0.0)
}

#[cfg(test)]
mod tests {
    use planner::Way;
    use serde_json::json;
    use workshop::documents::plan::Figures;

    use super::*;

    fn now() -> Progress {
        let figures = Figures { order_days_late: 40.0, panel_days_late: 500.0, material_cost: 1234, changes: 2 };
        Progress { seconds: 12.34, way: Way::Search, figures, bound: 30.0, sentence: "a better plan".to_owned() }
    }

    #[test]
    fn people_read_one_short_line() {
        let by_orders = "   12.3 s  search   40 order-days late, at least 30, gap 25.0 %: a better plan";
        assert_eq!(for_people(&now(), LateFigure::OrderDaysLate), by_orders);
        let noisy = Progress { bound: 0.1 + 0.2, ..now() };
        let by_panels = for_people(&noisy, LateFigure::PanelDaysLate);
        assert!(by_panels.contains("500 panel-days late, at least 0.3, gap 99.9 %"), "{by_panels}");
    }

    #[test]
    fn programs_read_every_figure_on_one_line() {
        let line = for_programs(&now(), LateFigure::PanelDaysLate);
        assert!(!line.contains('\n'));
        let read: serde_json::Value = serde_json::from_str(&line).unwrap();
        let told = json!({"seconds": 12.34, "way": "search", "figure": "panel_days_late", "best": 500.0, "bound": 30.0,
            "gap": 0.94, "order_days_late": 40.0, "panel_days_late": 500.0, "material_cost": 1234, "changes": 2,
            "sentence": "a better plan"});
        assert_eq!(read, told);
    }

    #[test]
    fn nothing_late_has_no_gap() {
        let on_time = Progress { figures: Figures::default(), bound: 0.0, ..now() };
        for (_, figure) in LATE_FIGURES {
            assert!(for_people(&on_time, figure).contains("gap 0.0 %"));
        }
    }
}
