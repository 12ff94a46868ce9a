//! Small charts as SVG. A library draws them; the pages' style gives them their colours, light and dark, by the few that are
//! named here; shape and line tell things apart as well. Each says in words what it shows, and stands beside its table.

use maud::{Markup, PreEscaped, html};
use plotters::coord::Shift;
use plotters::prelude::*;

use crate::http::problem::Problem;

/// Colours the style sheet knows and changes with the light.
const INK: RGBColor = RGBColor(0, 0, 0);
const FAINT: RGBColor = RGBColor(91, 97, 84);
const LEAF: RGBColor = RGBColor(47, 93, 58);
const WATER: RGBColor = RGBColor(34, 87, 122);
const CLAY: RGBColor = RGBColor(138, 59, 18);

/// Width and height in the drawing's own units: fit for a telephone, where they are shown at three quarters.
const SIZE: (u32, u32) = (480, 300);

/// What a chart is, in words.
pub struct Words<'a> {
    /// Its id on the page, unique there.
    pub id: &'a str,
    /// What it shows.
    pub title: &'a str,
    /// What is to be seen in it.
    pub told: &'a str,
}

/// An axis: what it measures, in which unit, from where to where.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    what: String,
    from: f64,
    to: f64,
}

impl Axis {
    /// Over all of some numbers, with a little room at both ends.
    pub fn over(what: String, numbers: impl Iterator<Item = f64>) -> Self {
        let (least, most) = numbers.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), n| (a.min(n), b.max(n)));
        if !least.is_finite() || !most.is_finite() {
            return Self { what, from: 0.0, to: 1.0 };
        }
        let room = ((most - least) * 0.08).max(most.abs() * 0.02).max(1e-6);
        Self { what, from: least - room, to: most + room }
    }

    /// The same from nothing up, and below nothing where a number is.
    pub fn from_nothing(what: String, numbers: impl Iterator<Item = f64>) -> Self {
        let all = Self::over(what, numbers.chain([0.0]));
        Self { from: if all.from < 0.0 && all.from > -0.1 * all.to { 0.0 } else { all.from }, ..all }
    }
}

/// What a dot looks like, so that colour is never the only sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// A filled circle.
    Dot,
    /// A filled triangle.
    Triangle,
    /// A cross.
    Cross,
}

/// One thing in a field of dots.
pub struct Dot {
    /// Where to the right.
    pub x: f64,
    /// Where up.
    pub y: f64,
    /// What it looks like.
    pub sign: Sign,
    /// Its number in the table.
    pub name: String,
    /// Whether it has a ring around it.
    pub ringed: bool,
}

/// A field of dots.
///
/// # Errors
/// Where the library cannot draw it.
pub fn dots(words: &Words, x: &Axis, y: &Axis, dots: &[Dot]) -> Result<Markup, Problem> {
    drawn(words, |area| {
        let mut chart = ChartBuilder::on(area)
            .margin(8)
            .x_label_area_size(44)
            .y_label_area_size(52)
            .build_cartesian_2d(x.from..x.to, y.from..y.to)?;
        let small = ("sans-serif", 13).into_font().color(&INK);
        let mut mesh = chart.configure_mesh();
        mesh.light_line_style(TRANSPARENT).bold_line_style(FAINT.mix(0.3)).axis_style(FAINT);
        mesh.label_style(small.clone()).axis_desc_style(small.clone());
        mesh.x_desc(x.what.as_str()).y_desc(y.what.as_str()).x_labels(6).y_labels(6).draw()?;
        for dot in dots {
            let at = (dot.x, dot.y);
            match dot.sign {
                Sign::Dot => chart.draw_series([Circle::new(at, 5, LEAF.filled())])?,
                Sign::Triangle => chart.draw_series([TriangleMarker::new(at, 7, WATER.filled())])?,
                Sign::Cross => chart.draw_series([Cross::new(at, 5, CLAY.stroke_width(3))])?,
            };
            if dot.ringed {
                chart.draw_series([Circle::new(at, 10, INK.stroke_width(2))])?;
            }
            let name = EmptyElement::at(at) + Text::new(dot.name.clone(), (9, -14), small.clone());
            chart.draw_series([name])?;
        }
        Ok(())
    })
}

/// A level over days, each day's value held until the next.
pub struct Line {
    /// Value by day, in the order of days.
    pub values: Vec<f64>,
    /// Dashed, not drawn through.
    pub dashed: bool,
}

/// Lines over days, and bars from nothing up; `day` says what a day is called.
///
/// # Errors
/// Where the library cannot draw it.
pub fn over_days(
    words: &Words,
    y: &Axis,
    lines: &[Line],
    bars: &[f64],
    floor: f64,
    day: &dyn Fn(usize) -> String,
) -> Result<Markup, Problem> {
    let days = lines.iter().map(|line| line.values.len()).max().unwrap_or(0).max(bars.len()).max(2);
    drawn(words, |area| {
        let mut chart = ChartBuilder::on(area)
            .margin(8)
            .x_label_area_size(28)
            .y_label_area_size(60)
            .build_cartesian_2d(0.0..days as f64 - 1.0, y.from..y.to)?;
        let small = ("sans-serif", 13).into_font().color(&INK);
        let called = |n: &f64| day(n.round().max(0.0) as usize);
        let mut mesh = chart.configure_mesh();
        mesh.light_line_style(TRANSPARENT).bold_line_style(FAINT.mix(0.3)).axis_style(FAINT).disable_x_mesh();
        mesh.label_style(small.clone()).axis_desc_style(small).x_labels(5).y_labels(6);
        mesh.y_desc(y.what.as_str()).x_label_formatter(&called).draw()?;
        let used = bars.iter().enumerate().filter(|(_, used)| **used > 0.0);
        let bar =
            |(n, used): (usize, &f64)| Rectangle::new([(n as f64 - 0.3, 0.0), (n as f64 + 0.3, *used)], WATER.filled());
        chart.draw_series(used.map(bar))?;
        for line in lines {
            let points = steps(&line.values);
            if line.dashed {
                chart.draw_series(DashedLineSeries::new(points, 6, 4, CLAY.stroke_width(2)))?;
            } else {
                chart.draw_series(LineSeries::new(points, LEAF.stroke_width(3)))?;
            }
        }
        if floor > 0.0 {
            let level = [(0.0, floor), (days as f64 - 1.0, floor)];
            chart.draw_series(DashedLineSeries::new(level, 2, 4, FAINT.stroke_width(1)))?;
        }
        Ok(())
    })
}

/// A level held from each day to the next, as the corners of a line.
fn steps(values: &[f64]) -> Vec<(f64, f64)> {
    let mut points = Vec::with_capacity(values.len() * 2);
    for (n, value) in values.iter().enumerate() {
        if n > 0 {
            points.push((n as f64, values[n - 1]));
        }
        points.push((n as f64, *value));
    }
    points
}

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;
type Drawn = Result<(), Box<dyn std::error::Error>>;

fn drawn(words: &Words, draw: impl FnOnce(&Area<'_>) -> Drawn) -> Result<Markup, Problem> {
    let failed = |error: &dyn std::fmt::Display| {
        Problem::internal(format!("the chart '{}' was not drawn: {error}", words.title))
    };
    let mut svg = String::new();
    {
        let area = SVGBackend::with_string(&mut svg, SIZE).into_drawing_area();
        draw(&area).map_err(|error| failed(&error))?;
        area.present().map_err(|error| failed(&error))?;
    }
    let inside = svg.split_once("<svg").and_then(|(_, rest)| rest.split_once('>')).map(|(_, inside)| inside);
    let inside = inside.ok_or_else(|| failed(&"the drawing is no SVG"))?;
    let (title, told) = (format!("{}-title", words.id), format!("{}-told", words.id));
    let (width, height) = SIZE;
    Ok(html! {
        figure.chart {
            (PreEscaped(format!("<svg viewBox=\"0 0 {width} {height}\" role=\"img\" aria-labelledby=\"{title} {told}\">")))
            title #(title) { (words.title) }
            desc #(told) { (words.told) }
            (PreEscaped(inside))
            figcaption { (words.title) }
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chart_has_its_words_and_no_style_of_its_own() {
        let dot = |x, y, sign| Dot { x, y, sign, name: "1 & 2".into(), ringed: true };
        let some = [dot(700.0, 2.0, Sign::Dot), dot(2200.0, 34.0, Sign::Cross), dot(800.0, 3.8, Sign::Triangle)];
        let x = Axis::over("kg/m³".into(), some.iter().map(|d| d.x));
        let y = Axis::from_nothing("MPa".into(), some.iter().map(|d| d.y));
        let words = Words { id: "c", title: "Strength <by> density", told: "It rises." };
        let shown = dots(&words, &x, &y, &some).unwrap().into_string();
        assert!(shown.contains("<title id=\"c-title\">Strength &lt;by&gt; density</title>"), "{shown}");
        assert!(shown.contains("1 &amp; 2") && shown.contains("aria-labelledby=\"c-title c-told\""), "{shown}");
        assert!(
            !shown.contains("style=") && shown.matches("<svg").count() == 1 && shown.ends_with("</figure>"),
            "{shown}"
        );
    }

    #[test]
    fn axes_have_room_and_begin_at_nothing_unless_something_is_below_it() {
        let axis = Axis::over(String::new(), [700.0, 2200.0].into_iter());
        assert!(axis.from < 700.0 && axis.to > 2200.0);
        assert_eq!(Axis::from_nothing(String::new(), [5.0, 9.0].into_iter()).from, 0.0);
        assert!(Axis::from_nothing(String::new(), [-5.0, 9.0].into_iter()).from < -5.0);
        let nothing = Axis::over(String::new(), std::iter::empty());
        assert_eq!((nothing.from, nothing.to), (0.0, 1.0));
        assert_eq!(steps(&[1.0, 3.0]), [(0.0, 1.0), (1.0, 1.0), (1.0, 3.0)]);
    }
}
