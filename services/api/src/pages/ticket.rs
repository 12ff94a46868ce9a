//! A ticket on the bench's page: what to weigh in, large; what was weighed of the load; what was done with it.

use maud::{Markup, html};
use workshop::corrections::{Correction, LoadAnswer, WeighedAt};
use workshop::ticket_changes::TicketChange;
use workshop::tickets::{Fill, LineKind, Ticket, TicketLine, TicketState};

use super::form;
use super::frame::Frame;
use super::words::ticket as words;

/// Which ticket of how many of its day, and where its cautions stand.
#[derive(Clone, Copy)]
pub struct Among<'a> {
    /// From 1.
    pub place: usize,
    /// Tickets of the day.
    pub of: usize,
    /// The day's list of cautions, which the ticket then points into; none where it stands by itself and says its own.
    pub cautions: Option<&'a [&'a str]>,
}

/// One ticket, with what was weighed of its load so far.
pub fn card(frame: &Frame, ticket: &Ticket, among: Among<'_>, weighed: &[Correction]) -> Markup {
    let Among { place, of, .. } = among;
    let Frame { said, names, .. } = frame;
    let open = ticket.state == TicketState::Issued;
    let revision = names.revision(&ticket.revision.to_string());
    let link = html! { a href={ "/pages/tickets/" (ticket.number) } { (words::ticket(&ticket.number.to_string())) } };
    let washout = (ticket.washout.get() > 0).then(|| said.volume(ticket.washout));
    html! {
        article.ticket.done[!open] #{ "t-" (ticket.number) } aria-labelledby={ "h-" (ticket.number) } {
            header {
                h3 #{ "h-" (ticket.number) } { (revision) }
                p.which { (words::which(&link, place, of, state_words(ticket.state))) }
                p.size { (words::makes(&said.volume(ticket.batch), washout.as_deref())) }
            }
            @if ticket.state == TicketState::Void {
                p { (words::NOT_TO_BE_MIXED) @if let Some(note) = &ticket.note { (note) } }
            } @else {
                (weigh_in(frame, ticket, open))
                @if ticket.wet_density_kg_m3 > 0.0 {
                    p.aim { (aim(frame, ticket)) }
                }
                ul.fills { @for fill in &ticket.fills { li { (filled(frame, fill)) } } }
                (on_the_moulds(frame, ticket))
                @if !weighed.is_empty() { ol.weighed { @for one in weighed { (said_of(frame, ticket, one)) } } }
                @if open { (entries(frame, ticket, weighed)) } @else { (what_was(frame, ticket)) }
                (cautions(ticket, among.cautions))
            }
        }
    }
}

fn aim(frame: &Frame, ticket: &Ticket) -> Markup {
    let Frame { said, .. } = frame;
    words::aim(
        &said.wet_density(ticket.wet_density_kg_m3),
        &said.wet_density_number(ticket.wet_density_low_kg_m3),
        &said.wet_density(ticket.wet_density_high_kg_m3),
    )
}

/// A ticket's state in a word.
pub const fn state_words(state: TicketState) -> &'static str {
    match state {
        TicketState::Issued => words::TO_BE_MIXED,
        TicketState::Mixed => words::MIXED,
        TicketState::Void => words::VOID,
    }
}

/// The lines that go into the mixer, each with a box to tick; the foam is one of them.
fn weigh_in(frame: &Frame, ticket: &Ticket, open: bool) -> Markup {
    let Frame { said, names, .. } = frame;
    let tick = |place: &str| format!("{}/{place}", ticket.number);
    let ingredients = ticket.lines.iter().filter(|line| line.kind == LineKind::Ingredient);
    html! {
        ol.weigh {
            @for line in ingredients {
                li { label {
                    @if open { input type="checkbox" data-tick=(tick(&line.position.to_string())); }
                    span.mass { (line_amount(frame, line)) }
                    span.what { (names.material(line.material.as_str())) }
                } }
            }
            @if ticket.foam.get() > 0 {
                li { label {
                    @if open { input type="checkbox" data-tick=(tick("foam")); }
                    span.mass { (said.volume(ticket.foam)) }
                    span.what { (words::foam(&said.mass(ticket.foam_mass), &of_foam(frame, ticket))) }
                } }
            }
        }
    }
}

/// What the foam is made of.
fn of_foam(frame: &Frame, ticket: &Ticket) -> String {
    let part = |kind: LineKind| {
        let line = ticket.lines.iter().find(|line| line.kind == kind);
        line.map(|line| line_amount(frame, line))
    };
    words::made_of(part(LineKind::FoamConcentrate).as_deref(), part(LineKind::FoamWater).as_deref())
}

/// A line's amount: its mass where it is weighed, else in the material's own unit.
fn line_amount(frame: &Frame, line: &TicketLine) -> String {
    match (line.mass, frame.names.unit(line.material.as_str())) {
        (Some(mass), _) => frame.said.mass(mass),
        (None, Some(unit)) => frame.said.amount(line.target, unit),
        (None, None) => line.target.get().to_string(),
    }
}

fn on_the_moulds(frame: &Frame, ticket: &Ticket) -> Markup {
    let lines: Vec<&TicketLine> = ticket.lines.iter().filter(|line| line.kind == LineKind::PerPanel).collect();
    let said =
        |line: &&TicketLine| format!("{} {}", line_amount(frame, line), frame.names.material(line.material.as_str()));
    let materials: Vec<String> = lines.iter().map(said).collect();
    html! { @if !materials.is_empty() { p.moulds { (words::on_the_moulds(&materials.join(", "))) } } }
}

/// Which moulds a fill is for, in words.
pub fn filled(frame: &Frame, fill: &Fill) -> String {
    let panel = frame.names.panel(fill.panel.as_str());
    match (fill.finished, fill.begun.get()) {
        (0, _) => words::begins(panel, &frame.said.volume(fill.begun)),
        (n, 0) => words::fills(n, panel),
        (n, _) => words::fills_and_begins(n, panel, &frame.said.volume(fill.begun)),
    }
}

/// What was weighed and answered; and the way to say that it was done.
fn said_of(frame: &Frame, ticket: &Ticket, one: &Correction) -> Markup {
    let measured = frame.said.wet_density(one.measured_wet_density_kg_m3);
    let weighed = match one.place {
        WeighedAt::Mixer => words::weighed_at_mixer,
        WeighedAt::Mould => words::weighed_at_mould,
    };
    let done = format!("/tickets/{}/corrections/{}/done", ticket.number, one.sequence);
    html! {
        li {
            p { (weighed(&measured, &one.by, &frame.said.time_of(one.at), &frame.said.sentence(&one.sentence))) }
            @match &one.done {
                Some(done) => p.quiet { (words::done_by(&done.by, &frame.said.time_of(done.at))) },
                None => form.entry.line data-send=(done) data-named=(words::done_named(&ticket.number.to_string())) data-then="reload" {
                    input name="did" type="hidden" value=(done_as_answered(one.answer));
                    label { (words::WHO) input name="by" maxlength="200" required data-remember="who" autocomplete="name"; }
                    button { (words::DONE_SO) }
                    output {}
                },
            }
        }
    }
}

/// The contract's word for having done what was answered.
const fn done_as_answered(answer: LoadAnswer) -> &'static str {
    match answer {
        LoadAnswer::Accept => "poured",
        LoadAnswer::AddFoam => "foam_added",
        LoadAnswer::AddSlurry => "slurry_added",
        LoadAnswer::Reject => "thrown_away",
    }
}

/// What a person enters: the load as weighed, and that it was mixed.
fn entries(frame: &Frame, ticket: &Ticket, weighed: &[Correction]) -> Markup {
    let Frame { said, .. } = frame;
    let density = |value: Option<f64>, required: bool| {
        form::measure(words::MEASURED, "measured_wet_density_kg_m3", said.density_typed(), value, required)
    };
    let accepted =
        weighed.last().filter(|one| one.answer == LoadAnswer::Accept).map(|one| one.measured_wet_density_kg_m3);
    let path = |what: &str| format!("/tickets/{}/{what}", ticket.number);
    html! {
        div.entries {
            form.entry data-send=(path("corrections")) data-named=(words::weighing_named(&ticket.number.to_string())) data-then="reload" {
                h4 { (words::WEIGH) }
                (density(None, true))
                @if ticket.foam.get() > 0 {
                    (form::measure(words::SINCE_FOAM, "minutes_since_foaming", said.plain_typed(), None, true))
                }
                label { (words::WHERE) select name="place" { option value="mixer" { (words::AT_MIXER) } option value="mould" { (words::AT_MOULD) } } }
                label { (words::WHO) input name="by" maxlength="200" required data-remember="who" autocomplete="name"; }
                button { (words::WHAT_TO_DO) }
                output {}
            }
            form.entry data-send=(path("completion")) data-named=(words::completion_named(&ticket.number.to_string())) data-then="reload" {
                h4 { (words::POURED) }
                (density(accepted, false))
                details {
                    summary { (words::OTHERWISE) }
                    @for line in &ticket.lines { (really_used(frame, line)) }
                    label { (words::NOTE) input name="note" maxlength="2000"; }
                }
                button { (words::DONE) }
                output {}
            }
        }
    }
}

/// What was really used of a line, in the units people here weigh in; a line left as it stands is exact.
fn really_used(frame: &Frame, line: &TicketLine) -> Markup {
    let typed = frame
        .names
        .unit(line.material.as_str())
        .map_or_else(|| frame.said.plain_typed(), |unit| frame.said.amount_typed(unit));
    let written = typed.write(line.target.get() as f64);
    html! {
        label { (frame.names.material(line.material.as_str())) ", " (typed.sign)
            input name="actual" inputmode="decimal" autocomplete="off" maxlength="20" pattern=(typed.pattern()) value=(written) data-line=(line.position)
                data-written=(written) data-kind="number" data-factor=(typed.factor) data-whole;
        }
    }
}

fn what_was(frame: &Frame, ticket: &Ticket) -> Markup {
    let other: Vec<String> = ticket
        .lines
        .iter()
        .filter_map(|line| {
            let actual = line.actual.filter(|actual| *actual != line.target)?;
            let unit = frame.names.unit(line.material.as_str())?;
            let (actual, target) = (frame.said.amount(actual, unit), frame.said.amount(line.target, unit));
            Some(words::instead(&actual, frame.names.material(line.material.as_str()), &target))
        })
        .collect();
    html! {
        @if let Some(measured) = ticket.measured_wet_density_kg_m3 { p { (words::was_measured(&frame.said.wet_density(measured))) } }
        @for one in other { p { (one) } }
        @if let Some(note) = &ticket.note { p { (note) } }
    }
}

/// What was changed of it after it was issued, by whom and when.
pub fn became(frame: &Frame, changed: &[TicketChange]) -> Markup {
    let one = |one: &TicketChange| {
        let (what, at) = (words::changed_what(&one.changed.what), one.said.at.map(|at| frame.said.time_of(at)));
        let (before, after) = (one.changed.before.as_deref(), one.changed.after.as_deref());
        words::changed(&what, before, after, one.said.by.as_deref(), at.as_deref())
    };
    html! {
        @if !changed.is_empty() {
            details.changes {
                summary { (words::CHANGES) }
                ul { @for change in changed { li { (one(change)) } } }
            }
        }
    }
}

/// A ticket's cautions: in full, or by their numbers in the list above all tickets of the day.
fn cautions(ticket: &Ticket, above: Option<&[&str]>) -> Markup {
    let numbers = |above: &[&str]| {
        let all = above.iter().enumerate().filter(|(_, one)| ticket.cautions.iter().any(|own| own == *one));
        all.map(|(n, _)| (n + 1).to_string()).collect::<Vec<_>>().join(", ")
    };
    html! {
        @match above {
            _ if ticket.cautions.is_empty() => {}
            Some(above) => p.care { (words::take_care_of(&numbers(above), "#care")) },
            None => details.cautions {
                summary { (words::TAKE_CARE) }
                ul { @for caution in &ticket.cautions { li { (caution) } } }
            },
        }
    }
}
