//! One line a column: what the database library needs to know of a table.

/// Declares a module with the row type and the entity of one table.
macro_rules! table {
    ($(#[$doc:meta])* $name:ident, $table:literal, { $($(#[$attribute:meta])* $field:ident: $kind:ty),* $(,)? }) => {
        $(#[$doc])*
        pub mod $name {
            #![allow(missing_docs, reason = "the columns are described where the tables are made, in migrations/")]
            use sea_orm::entity::prelude::*;
            use serde::{Deserialize, Serialize};

            #[derive(Clone, Debug, PartialEq, DeriveEntityModel, Serialize, Deserialize)]
            #[sea_orm(table_name = $table)]
            pub struct Model {
                $($(#[$attribute])* pub $field: $kind,)*
            }

            #[derive(Clone, Copy, Debug, EnumIter, DeriveRelation)]
            pub enum Relation {}

            impl ActiveModelBehavior for ActiveModel {}
        }
    };
}

pub(crate) use table;
