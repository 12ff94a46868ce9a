//! The form of single moulds.

use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;
use workshop::moulds::Shelf;

/// One mould of a group, called by the number painted on it.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "number": 3, "uses": 137, "last_poured_on": "2026-05-01", "taken": false, "out_of_service": false,
    "warning": "mould side-moulds 3 has been used 137 of 150 times: look it over",
}))]
pub struct Mould {
    /// Its number, from 1.
    pub number: i64,
    /// Panels poured in it.
    pub uses: i64,
    /// The last day of a pour.
    pub last_poured_on: Option<NaiveDate>,
    /// Whether a panel stands in it, or a ticket that is still to be mixed has it.
    pub taken: bool,
    /// Whether it is out of service today.
    pub out_of_service: bool,
    /// What there is to say of its wear, where it nears the life the group gives.
    pub warning: Option<String>,
}

impl Mould {
    /// The moulds of a group as they are today, by number.
    pub fn all(shelf: &Shelf, today: NaiveDate) -> Vec<Self> {
        let out = shelf.out_on(today);
        let mould = |(number, worn): (&i64, &workshop::moulds::Worn)| Self {
            number: *number,
            uses: worn.uses,
            last_poured_on: worn.last,
            taken: worn.taken,
            out_of_service: out.contains(number),
            warning: shelf.wear(*number),
        };
        shelf.worn.iter().map(mould).collect()
    }
}
