//! Materials: anything bought or drawn.

use workshop::catalogue;
use workshop::ids::MaterialId;

use crate::wire::catalogue::Material;

super::nouns::noun!(catalogue::Material, form: Material, id: MaterialId, list: "/materials");
super::nouns::noun_operations!(
    noun: catalogue::Material, form: Material, one: "material", many: "materials", list: "/materials", item: "/materials/{id}",
);
