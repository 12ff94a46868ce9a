//! Mixes: recipes; their numbers are in their revisions.

use workshop::catalogue;
use workshop::ids::MixId;

use crate::wire::mixes::Mix;

super::nouns::noun!(catalogue::Mix, form: Mix, id: MixId, list: "/mixes");
super::nouns::noun_operations!(
    noun: catalogue::Mix, form: Mix, one: "mix", many: "mixes", list: "/mixes", item: "/mixes/{id}",
);
