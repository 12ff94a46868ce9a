//! What tanks, racks and the workshop need on a day, and saying that it was done.

use maud::{Markup, html};
use workshop::day_sheet::DaySheet;
use workshop::said::Progress;
use workshop::upkeep::{Measure, Place, UpkeepEntry, UpkeepReport, UpkeepTask};

use super::form;
use super::frame::Frame;
use super::words::upkeep as words;

/// The day's tasks.
pub fn section(frame: &Frame, sheet: &DaySheet, open: bool) -> Markup {
    html! {
        @if !sheet.upkeep.is_empty() {
            section aria-labelledby="upkeep" {
                h2 #upkeep { (words::TITLE) }
                @for entry in &sheet.upkeep { (one(frame, sheet, entry, open)) }
            }
        }
    }
}

fn one(frame: &Frame, sheet: &DaySheet, entry: &UpkeepEntry, open: bool) -> Markup {
    let task = &entry.task;
    let place = match &task.place {
        Place::Tank(tank) => Some(frame.names.place(tank.as_str())),
        Place::Rack(rack) => Some(frame.names.place(rack.as_str())),
        Place::Workshop => None,
    };
    let done = entry.progress == Progress::Done;
    let due_since = (entry.due_on < sheet.day).then(|| frame.said.day(entry.due_on));
    html! {
        article.task.done[done] {
            p {
                (words::task(&task.name, place, due_since.as_deref()))
                @if let Some(report) = &entry.report { (reported(frame, task, report)) }
            }
            @if let Some(remark) = &entry.remark { p.warn { (remark) } }
            @if let Some(note) = &task.note { p.quiet { (note) } }
            @if open && !done {
                form.entry.line data-send={ "/days/" (sheet.day) "/upkeep" } data-named=(task.name) data-then="reload" {
                    input type="hidden" name="task" value=(task.id);
                    @if let Some(measure) = &task.measures { (measured(frame, measure)) }
                    label { (words::IT_WAS) select name="done" data-kind="boolean" { option value="true" { (words::DONE) } option value="false" { (words::NOT_DONE) } } }
                    (form::text(words::NOTE, "note", "", false))
                    button { (words::ENTER) } output {}
                }
            }
        }
    }
}

fn reported(frame: &Frame, task: &UpkeepTask, report: &UpkeepReport) -> String {
    let measured = report.value.zip(task.measures.as_ref());
    let measured =
        measured.map(|(value, measure)| format!("{} {}", frame.said.decimal(&value.to_string()), measure.unit));
    words::reported(report.done, measured.as_deref(), report.said.by.as_deref())
}

fn measured(frame: &Frame, measure: &Measure) -> Markup {
    let said = |number: f64| frame.said.decimal(&number.to_string());
    let (low, high) = (measure.low.map(said), measure.high.map(said));
    let label = words::measured(&measure.what, &measure.unit, low.as_deref(), high.as_deref());
    form::measure(&label, "value", frame.said.plain_typed(), None, false)
}
