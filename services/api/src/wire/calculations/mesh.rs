//! Forms of steel mesh in a panel.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::wire::proportions::WorkedLine;

/// A sheet of square mesh: its wires by diameter or by W number, the same both ways.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "wire_diameter": "2 mm", "spacing": "25 mm", "length": "880 mm", "width": "280 mm" }))]
pub struct AskedMesh {
    /// Diameter of a wire, as "2 mm" or "0.135 in".
    #[schema(max_length = 40)]
    pub wire_diameter: Option<String>,
    /// Or its W number: the area of a wire in hundredths of a square inch.
    #[schema(minimum = 0.01, maximum = 100)]
    pub w_number: Option<f64>,
    /// From wire to wire, both ways.
    #[schema(min_length = 1, max_length = 40)]
    pub spacing: String,
    /// The sheet, along the panel.
    #[schema(min_length = 1, max_length = 40)]
    pub length: String,
    /// The sheet, across the panel.
    #[schema(min_length = 1, max_length = 40)]
    pub width: String,
}

/// Steel of a sheet, without overhang.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct MeshSteel {
    /// Area of a wire.
    pub wire_mm2: f64,
    /// Area of all wires that cross the width.
    pub steel_across_mm2: f64,
    /// The sheet itself.
    pub sheet_mm2: f64,
    /// Its mass.
    pub mass_kg: f64,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}
