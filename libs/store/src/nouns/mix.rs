//! Mixes; their numbers are in their revisions.

use sea_orm::Value;
use workshop::catalogue::Mix;
use workshop::ids::MixId;

use crate::error::Result;
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Thing, Use};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{finish_id, mix_id};

table!(mix, "mix", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    name: String,
    finish: String,
});

impl Noun for Mix {
    type Id = MixId;
    type Table = mix::Entity;
    type Row = mix::Model;
    const NOUN: &'static str = "mix";
    const KEY: mix::Column = mix::Column::Id;
    const USES: &'static [Use] = &[Use::by("mix revision", "mix_revision", "mix", "id")];

    fn id(&self) -> &MixId {
        &self.id
    }

    fn key(id: &MixId) -> Value {
        id.as_str().into()
    }

    fn row(&self, version: i64) -> mix::Model {
        mix::Model { id: self.id.to_string(), version, name: self.name.clone(), finish: self.finish.to_string() }
    }

    fn needs(&self, needs: &mut Needs) {
        needs.on(Thing::Finish, &self.finish);
    }

    async fn whole(_tx: &Tx, rows: Vec<mix::Model>) -> Result<Vec<Versioned<Self>>> {
        rows.into_iter()
            .map(|row| {
                let value = Mix { id: mix_id(&row.id)?, name: row.name, finish: finish_id(&row.finish)? };
                Ok(Versioned { version: row.version, value })
            })
            .collect()
    }

    async fn put_parts(&self, _tx: &Tx) -> Result<()> {
        Ok(())
    }

    async fn take_parts(_tx: &Tx, _id: &MixId) -> Result<()> {
        Ok(())
    }
}
