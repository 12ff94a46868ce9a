//! Causes of scrap: the workshop's own list.

use workshop::catalogue;
use workshop::ids::ScrapCauseId;

use crate::wire::losses::ScrapCause;

super::nouns::noun!(catalogue::ScrapCause, form: ScrapCause, id: ScrapCauseId, list: "/scrap-causes");
super::nouns::noun_operations!(
    noun: catalogue::ScrapCause, form: ScrapCause, one: "cause of scrap", many: "scrap", list: "/scrap-causes", item: "/scrap-causes/{id}",
);
