//! Tanks: where panels soak.

use workshop::catalogue;
use workshop::ids::TankId;

use crate::wire::catalogue::Tank;

super::nouns::noun!(catalogue::Tank, form: Tank, id: TankId, list: "/tanks");
super::nouns::noun_operations!(
    noun: catalogue::Tank, form: Tank, one: "tank", many: "tanks", list: "/tanks", item: "/tanks/{id}",
);
