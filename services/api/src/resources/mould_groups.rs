//! Mould groups: interchangeable moulds.

use workshop::catalogue;
use workshop::ids::MouldGroupId;

use crate::wire::catalogue::MouldGroup;

super::nouns::noun!(catalogue::MouldGroup, form: MouldGroup, id: MouldGroupId, list: "/mould-groups");
super::nouns::noun_operations!(
    noun: catalogue::MouldGroup, form: MouldGroup, one: "mould group", many: "mould groups", list: "/mould-groups", item: "/mould-groups/{id}",
);
