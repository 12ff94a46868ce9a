//! Forms of dispatch: what can go, pack lists, what was sent, and a lot's tag.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::dispatch as domain;
use workshop::ids::{FinishId, PanelId};

use super::basics::{Id, RevisionText, each, id, words};
use super::lots::Stage;
use super::orders::OrderState;
use super::trial_findings::ConcreteState;
use crate::http::body::Incoming;

words!(
    /// What of an order can go now.
    CanGo for domain::CanGo {
        /// All that is left of it.
        Whole,
        /// A part of it, and the customer agreed to parts.
        Part,
        /// Nothing.
        Nothing,
    }
);

/// An open order as it stands. Ready panels are given to the orders due first.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "order": "TH-1042", "customer": "Wren Lane Allotments", "due_on": "2026-06-12", "promised_on": null, "parts_agreed": false, "can_go": "whole",
    "lines": [{ "panel": "bed-side-900", "finish": "grey-smooth", "ordered_panels": 8, "sent_panels": 4, "ready_panels": 4 }],
}))]
pub struct OrderStanding {
    /// The order.
    pub order: Id,
    /// Who wants it.
    pub customer: Option<String>,
    /// Day wanted.
    pub due_on: NaiveDate,
    /// Day promised, once accepted.
    pub promised_on: Option<NaiveDate>,
    /// Whether the customer takes it in parts.
    pub parts_agreed: bool,
    /// What of it can go now.
    pub can_go: CanGo,
    /// Its panels, by panel and finish.
    pub lines: Vec<StandingLine>,
}

/// How far the panels of one kind of an order have come.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct StandingLine {
    /// Which panel.
    pub panel: Id,
    /// In which finish.
    pub finish: Id,
    /// How many are ordered.
    pub ordered_panels: i64,
    /// How many have been sent.
    pub sent_panels: i64,
    /// How many stand ready for it.
    pub ready_panels: i64,
}

impl From<&domain::Line> for StandingLine {
    fn from(line: &domain::Line) -> Self {
        Self {
            panel: Id::of(&line.panel),
            finish: Id::of(&line.finish),
            ordered_panels: line.ordered,
            sent_panels: line.sent,
            ready_panels: line.ready_panels(),
        }
    }
}

impl From<domain::Standing> for OrderStanding {
    fn from(standing: domain::Standing) -> Self {
        Self {
            can_go: standing.can_go().into(),
            order: Id::of(&standing.order.id),
            customer: standing.order.customer,
            due_on: standing.order.due_on,
            promised_on: standing.order.promised_on,
            parts_agreed: standing.order.parts_agreed,
            lines: standing.lines.iter().map(StandingLine::from).collect(),
        }
    }
}

/// What is packed of an order, and what is to be known before it is lifted.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "order": "TH-1042", "customer": "Wren Lane Allotments", "due_on": "2026-06-12", "can_go": "part", "panels": 4, "mass_g": 35240,
    "packed": [{ "panel": "bed-side-900", "name": "Bed side 900", "finish": "grey-smooth", "revision": "foamed-grey@2", "quantity_panels": 4, "lots": [31],
        "mass_each_g": 8810, "mass_g": 35240, "state": "air_dry", "source": "weighed air-dry in trials", "above_lifting_limit": false }],
    "missing": [{ "panel": "bed-end-600", "finish": "grey-smooth", "ordered_panels": 4, "sent_panels": 0, "ready_panels": 0 }],
    "hardware": [{ "material": "corner-pin", "name": "Corner pins, boxes of 50", "pieces": 8 }], "lifting_limit_g": 25000,
    "notes": ["No mass makes a lift safe by itself: bend, twist and reach as little as possible."],
}))]
pub struct PackList {
    /// The order.
    pub order: Id,
    /// Who wants it.
    pub customer: Option<String>,
    /// Day wanted.
    pub due_on: NaiveDate,
    /// What of it can go now.
    pub can_go: CanGo,
    /// Panels that stand ready for it, together.
    pub panels: i64,
    /// Their mass together, each rounded up to a gram.
    pub mass_g: i64,
    /// Panels that stand ready for it, by panel, finish and revision.
    pub packed: Vec<Packed>,
    /// Panels that are still wanted and do not stand ready.
    pub missing: Vec<StandingLine>,
    /// Hardware of its sets; it goes with the last panels.
    pub hardware: Vec<HardwareLine>,
    /// Above this a panel is lifted by two people.
    pub lifting_limit_g: i64,
    /// What to know before it is lifted and driven away.
    pub notes: Vec<String>,
}

/// So many panels of one kind.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Packed {
    /// Which panel.
    pub panel: Id,
    /// Its name.
    pub name: String,
    /// In which finish.
    pub finish: Id,
    /// From which mix revision.
    pub revision: RevisionText,
    /// How many.
    pub quantity_panels: i64,
    /// From which lots.
    pub lots: Vec<i64>,
    /// Mass of one, rounded up.
    pub mass_each_g: i64,
    /// Mass of all of them.
    pub mass_g: i64,
    /// The state of the concrete that mass is of.
    pub state: ConcreteState,
    /// Where the mass is from.
    pub source: String,
    /// Whether one is heavier than one person is to lift here.
    pub above_lifting_limit: bool,
}

/// So many pieces of hardware.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct HardwareLine {
    /// Which material.
    pub material: Id,
    /// Its name.
    pub name: String,
    /// How many.
    pub pieces: i64,
}

/// That an order goes out: all that is left of it, or the parts named.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "day": "2026-05-20", "panels": [{ "panel": "bed-side-900", "finish": "grey-smooth", "quantity": 4 }] }))]
pub struct GivenOrderDispatch {
    /// The day; today where it is not given.
    pub day: Option<NaiveDate>,
    /// What goes; all that is left where it is not given. A part only where the order says parts_agreed.
    #[schema(max_items = 200)]
    pub panels: Option<Vec<GivenPart>>,
}

/// Panels that go.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GivenPart {
    /// Which panel.
    pub panel: Id,
    /// In which finish.
    pub finish: Id,
    /// How many.
    #[schema(minimum = 1, maximum = 10000)]
    pub quantity: i64,
}

/// It as it was given.
#[derive(Clone, Debug)]
pub struct OrderDispatchGiven {
    /// The day, where one was given.
    pub day: Option<NaiveDate>,
    /// What goes, where it was named.
    pub parts: Option<Vec<domain::Part>>,
}

impl Incoming for GivenOrderDispatch {
    type Domain = OrderDispatchGiven;

    fn into_domain(self) -> Result<OrderDispatchGiven, Vec<Fault>> {
        let part = |index: usize, part: GivenPart| {
            Ok(domain::Part {
                panel: id(&format!("/panels/{index}/panel"), PanelId::parse, &part.panel)?,
                finish: id(&format!("/panels/{index}/finish"), FinishId::parse, &part.finish)?,
                quantity: part.quantity,
            })
        };
        let parts = self.panels.map(|panels| each(panels, part)).transpose()?;
        let mut faults = Vec::new();
        for (index, one) in parts.iter().flatten().enumerate() {
            let earlier = parts.iter().flatten().take(index);
            if earlier.clone().any(|e| e.panel == one.panel && e.finish == one.finish) {
                let detail = format!("{} in {} is there twice: name it once", one.panel, one.finish);
                faults.push(Fault::at(format!("/panels/{index}/panel"), detail));
            }
        }
        super::basics::sound(OrderDispatchGiven { day: self.day, parts }, faults)
    }
}

/// All that was sent of an order.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "order": "TH-1042", "state": "dispatched",
    "sent": [{ "day": "2026-05-20", "lot": 31, "panel": "bed-side-900", "finish": "grey-smooth", "quantity_panels": 4 }],
    "hardware": [{ "material": "corner-pin", "name": "Corner pins, boxes of 50", "pieces": 8 }],
    "warnings": [],
}))]
pub struct OrderSent {
    /// The order.
    pub order: Id,
    /// Whether it still wants panels.
    pub state: OrderState,
    /// Panels sent so far, in the order they were.
    pub sent: Vec<SentPanels>,
    /// Hardware sent so far.
    pub hardware: Vec<HardwareLine>,
    /// What to look at.
    pub warnings: Vec<String>,
}

/// Panels of one lot that were sent.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SentPanels {
    /// The day.
    pub day: NaiveDate,
    /// From which lot.
    pub lot: i64,
    /// Which panel.
    pub panel: Id,
    /// In which finish.
    pub finish: Id,
    /// How many.
    pub quantity_panels: i64,
}

/// What stands on a lot's tag.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "lot": 31, "panel": "bed-side-900", "panel_name": "Bed side 900", "quantity_panels": 6, "cast_on": "2026-04-28", "revision": "foamed-grey@2",
    "mix_name": "Foamed, grey", "finish": "grey-smooth", "finish_name": "Grey, smooth", "batches": ["2026-04-28-01"], "stage": "soaking", "since": "2026-04-30",
    "place": "north-tank", "place_name": "North tank", "row": "by the door", "out_on": "2026-05-07",
}))]
pub struct LotTag {
    /// The lot.
    pub lot: i64,
    /// Which panel.
    pub panel: Id,
    /// Its name.
    pub panel_name: String,
    /// How many there are.
    pub quantity_panels: i64,
    /// Day it was cast.
    pub cast_on: NaiveDate,
    /// From which mix revision.
    pub revision: RevisionText,
    /// The mix's name.
    pub mix_name: String,
    /// In which finish.
    pub finish: Id,
    /// The finish's name.
    pub finish_name: String,
    /// The tickets it was filled from.
    pub batches: Vec<String>,
    /// Where it is on its way.
    pub stage: Stage,
    /// Day it came there.
    pub since: NaiveDate,
    /// The tank or rack it is in; null elsewhere.
    pub place: Option<Id>,
    /// Its name.
    pub place_name: Option<String>,
    /// The row, by its name.
    pub row: Option<String>,
    /// First working day it may go on: out of its mould, tank or rack; null where it is ready, or nobody can say.
    pub out_on: Option<NaiveDate>,
}
