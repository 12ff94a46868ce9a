//! Finishes: what a customer chooses.

use workshop::catalogue;
use workshop::ids::FinishId;

use crate::wire::catalogue::Finish;

super::nouns::noun!(catalogue::Finish, form: Finish, id: FinishId, list: "/finishes");
super::nouns::noun_operations!(
    noun: catalogue::Finish, form: Finish, one: "finish", many: "finishes", list: "/finishes", item: "/finishes/{id}",
);
