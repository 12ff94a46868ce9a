//! Why orders are late, as a JSON document kept beside the plan.

use chrono::NaiveDate as Day;
use serde::{Deserialize, Serialize};
use workshop::documents::Explanation;
use workshop::documents::explanation::{self, Cause, LateOrder, MaterialShort, Overfull, Remedy};

const FORMAT: &str = "mouldboard-explanation/1";

#[derive(Serialize, Deserialize)]
struct Document {
    format: String,
    late: Vec<Late>,
    shorts: Vec<Short>,
    #[serde(default)]
    overfull: Vec<Place>,
    #[serde(default)]
    cures: Vec<Cure>,
}

#[derive(Serialize, Deserialize)]
struct Late {
    order: String,
    due_on: Day,
    ready_on: Option<Day>,
    days_late: i64,
    cause: String,
    #[serde(default)]
    freed_on: Option<Day>,
    sentence: String,
}

#[derive(Serialize, Deserialize)]
struct Short {
    material: String,
    day: Day,
    short_by: f64,
    sentence: String,
}

#[derive(Serialize, Deserialize)]
struct Place {
    place: String,
    sentence: String,
}

#[derive(Serialize, Deserialize)]
struct Cure {
    remedy: String,
    subject: String,
    order_days_fewer: f64,
    worth: i64,
    cost_more: i64,
    orders: Vec<Cured>,
    sentence: String,
}

#[derive(Serialize, Deserialize)]
struct Cured {
    order: String,
    ready_on: Option<Day>,
    days_sooner: i64,
}

impl From<explanation::Cure> for Cure {
    fn from(c: explanation::Cure) -> Self {
        let cured = |o: explanation::Cured| Cured { order: o.order, ready_on: o.ready_on, days_sooner: o.days_sooner };
        Cure {
            remedy: c.remedy.word().to_owned(),
            subject: c.subject,
            order_days_fewer: c.order_days_fewer,
            worth: c.worth,
            cost_more: c.cost_more,
            orders: c.orders.into_iter().map(cured).collect(),
            sentence: c.sentence,
        }
    }
}

impl Cure {
    fn read(self) -> Result<explanation::Cure, String> {
        let remedy = Remedy::ALL.into_iter().find(|r| r.word() == self.remedy);
        let remedy = remedy.ok_or_else(|| format!("'{}' is no remedy this version knows", self.remedy))?;
        let Cure { subject, order_days_fewer, worth, cost_more, sentence, .. } = self;
        let cured = |o: Cured| explanation::Cured { order: o.order, ready_on: o.ready_on, days_sooner: o.days_sooner };
        let orders = self.orders.into_iter().map(cured).collect();
        Ok(explanation::Cure { remedy, subject, order_days_fewer, worth, cost_more, orders, sentence })
    }
}

/// Writes an explanation, with a line feed at its end.
pub fn write(explanation: &Explanation) -> String {
    let late = explanation.late.iter().cloned().map(|l| Late {
        order: l.order,
        due_on: l.due_on,
        ready_on: l.ready_on,
        days_late: l.days_late,
        cause: l.cause.word().to_owned(),
        freed_on: l.freed_on,
        sentence: l.sentence,
    });
    let shorts = explanation.shorts.iter().cloned().map(|s| Short {
        material: s.material,
        day: s.day,
        short_by: s.short_by,
        sentence: s.sentence,
    });
    let overfull = explanation.overfull.iter().cloned().map(|o| Place { place: o.place, sentence: o.sentence });
    let document = Document {
        format: FORMAT.to_owned(),
        late: late.collect(),
        shorts: shorts.collect(),
        overfull: overfull.collect(),
        cures: explanation.cures.iter().cloned().map(Cure::from).collect(),
    };
    let mut text = serde_json::to_string_pretty(&document).expect("text, numbers and lists always become JSON");
    text.push('\n');
    text
}

/// Reads an explanation that [`write`] wrote.
///
/// # Errors
/// A sentence, where it is none.
pub fn read(text: &str) -> Result<Explanation, String> {
    let document: Document =
        serde_json::from_str(text).map_err(|error| format!("this is no explanation document: {error}"))?;
    if document.format != FORMAT {
        return Err(format!("this document is '{}', not '{FORMAT}'", document.format));
    }
    let late = document.late.into_iter().map(|l| {
        let cause = Cause::ALL.into_iter().find(|c| c.word() == l.cause);
        let cause = cause.ok_or_else(|| format!("'{}' is no cause this version knows", l.cause))?;
        let Late { order, due_on, ready_on, days_late, freed_on, sentence, .. } = l;
        Ok(LateOrder { order, due_on, ready_on, days_late, cause, freed_on, sentence })
    });
    let shorts = document.shorts.into_iter().map(|s| MaterialShort {
        material: s.material,
        day: s.day,
        short_by: s.short_by,
        sentence: s.sentence,
    });
    let overfull = document.overfull.into_iter().map(|o| Overfull { place: o.place, sentence: o.sentence });
    Ok(Explanation {
        late: late.collect::<Result<_, String>>()?,
        shorts: shorts.collect(),
        overfull: overfull.collect(),
        cures: document.cures.into_iter().map(Cure::read).collect::<Result<_, String>>()?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_back() {
        let day = |text: &str| text.parse::<Day>().unwrap();
        let late = |cause| LateOrder {
            order: "TH-1".into(),
            due_on: day("2026-05-04"),
            ready_on: None,
            days_late: 60,
            cause,
            freed_on: Some(day("2026-05-05")),
            sentence: "late for a reason".into(),
        };
        let cure = |remedy| explanation::Cure {
            remedy,
            subject: "sides".into(),
            order_days_fewer: 2.5,
            worth: 1250,
            cost_more: -40,
            orders: vec![explanation::Cured { order: "TH-1".into(), ready_on: None, days_sooner: 3 }],
            sentence: "would save days".into(),
        };
        let explanation = Explanation {
            late: Cause::ALL.map(late).to_vec(),
            shorts: vec![MaterialShort {
                material: "cement".into(),
                day: day("2026-05-06"),
                short_by: 1250.5,
                sentence: "short".into(),
            }],
            overfull: vec![Overfull { place: "big-tank".into(), sentence: "too much in it".into() }],
            cures: Remedy::ALL.map(cure).to_vec(),
        };
        assert_eq!(read(&write(&explanation)), Ok(explanation));
    }

    #[test]
    fn other_documents_are_refused() {
        for text in ["", "{}", r#"{"format":"mouldboard-plan/1","late":[],"shorts":[]}"#] {
            assert!(read(text).is_err(), "{text}");
        }
        let strange = r#"{"format":"mouldboard-explanation/1","late":[{"order":"A","due_on":"2026-05-04","ready_on":null,
            "days_late":1,"cause":"moon","sentence":"x"}],"shorts":[]}"#;
        assert!(read(strange).unwrap_err().contains("moon"));
    }
}
