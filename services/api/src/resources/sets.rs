//! Sets: what is sold.

use workshop::catalogue;
use workshop::ids::SetId;

use crate::wire::catalogue::PanelSet;

super::nouns::noun!(catalogue::PanelSet, form: PanelSet, id: SetId, list: "/sets");
super::nouns::noun_operations!(
    noun: catalogue::PanelSet, form: PanelSet, one: "set", many: "sets", list: "/sets", item: "/sets/{id}",
);
