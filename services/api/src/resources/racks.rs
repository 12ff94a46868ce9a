//! Racks: where panels dry.

use workshop::catalogue;
use workshop::ids::RackId;

use crate::wire::catalogue::Rack;

super::nouns::noun!(catalogue::Rack, form: Rack, id: RackId, list: "/racks");
super::nouns::noun_operations!(
    noun: catalogue::Rack, form: Rack, one: "rack", many: "racks", list: "/racks", item: "/racks/{id}",
);
