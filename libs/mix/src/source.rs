//! Where a formula or a figure comes from, cited by author, standard or title, section and year.

/// A citation, printed as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source(pub &'static str);

impl Source {
    /// Mass and volume of the parts add up to those of the whole.
    pub const BALANCE: Self = Self("mass and volume balance");
    /// Absolute volumes.
    pub const ABSOLUTE_VOLUME: Self = Self("ACI 211.1-91, absolute volume method");
    /// Fresh density, yield and air by weighing.
    pub const FRESH_DENSITY: Self = Self("ASTM C138/C138M, density (unit weight), yield and air content (gravimetric)");
    /// Calculated oven-dry density.
    pub const OVEN_DRY: Self = Self("ASTM C567/C567M, section 9.2, calculated oven-dry density (form from memory)");
    /// Equilibrium density.
    pub const EQUILIBRIUM: Self = Self("ASTM C567/C567M, equilibrium density of structural lightweight concrete");
    /// Foam batches of the standard cellular test mix.
    pub const FOAM_COUNTED: Self =
        Self("mass and volume balance, foam water within w/c (form of ASTM C796, from memory)");
    /// Equivalent age.
    pub const EQUIVALENT_AGE: Self = Self("ASTM C1074, equivalent age (Arrhenius); Q 5000 K from memory");
    /// Equivalent age with an activation energy that rises in the cold.
    pub const DANISH_AGE: Self = Self(
        "Danish Technological Institute, TI-B 103 (94); constants by P. Freiesleben Hansen and E. J. Pedersen, from memory",
    );
    /// Temperature-time factor.
    pub const TEMPERATURE_TIME: Self = Self("ASTM C1074, temperature-time factor (Nurse-Saul)");
    /// A straight line through measured points.
    pub const LEAST_SQUARES: Self =
        Self("N. R. Draper and H. Smith, Applied Regression Analysis, 3rd edition, 1998, chapter 1 (from memory)");
    /// The most pigment, where no pigment's own maximum is lower.
    pub const MOST_PIGMENT: Self = Self("ASTM C979, section 1.4; also BS EN 12878");
    /// Wet density at the mixer and at the mould.
    pub const FIELD_DENSITY: Self =
        Self("California and Los Angeles building code, 721.2.1, field density of cellular concrete");
    /// Batching tolerances for ready-mixed concrete.
    pub const BATCHING: Self = Self("ASTM C94/C94M; the band of cement from memory");
    /// Fine aggregate by difference.
    pub const BULK_VOLUME: Self = Self("ACI 211.1-91, table 6.3.6 (the 3/4 in row from memory)");
    /// Days of moist curing.
    pub const MOIST_CURING: Self = Self("UFGS-03301A, protection and curing");
    /// Strength with age.
    pub const STRENGTH_GAIN: Self = Self("ACI 209, as given by MacGregor: 28-day strength moist-cured at about 21 °C");
    /// Warm hours before stripping.
    pub const STRIPPING: Self =
        Self("ACI 347R-94: twelve hours of air at 50 °F or more, where no strength is specified");
    /// Areas of wire and steel.
    pub const WIRE: Self = Self("area of a wire: π d² / 4, or hundredths of a square inch by its W number");
    /// Definition, needs no authority.
    pub const DEFINITION: Self = Self("definition");
    /// Common practice.
    pub const PRACTICE: Self = Self("common practice, no source");
    /// Solid geometry.
    pub const GEOMETRY: Self = Self("volume of a frustum of a cone");

    /// The citation.
    pub const fn cite(self) -> &'static str {
        self.0
    }
}
