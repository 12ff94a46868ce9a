//! Panels: cast piece types.

use workshop::catalogue;
use workshop::ids::PanelId;

use crate::wire::panels::Panel;

super::nouns::noun!(catalogue::Panel, form: Panel, id: PanelId, list: "/panels");
super::nouns::noun_operations!(
    noun: catalogue::Panel, form: Panel, one: "panel", many: "panels", list: "/panels", item: "/panels/{id}",
);
