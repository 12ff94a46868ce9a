//! What fields of forms say.

pub const ID_PATTERN: &str = "Letters, digits, dot, hyphen; it begins with a letter or digit";
/// What is said where a number is not typed as the workshop writes them, by its decimal sign: point, comma.
pub const DECIMALS: [&str; 2] = ["A number; decimals after a point", "A number; decimals after a comma"];

/// What is typed, in which unit where it has one.
pub fn measured(what: &str, unit: &str) -> String {
    if unit.is_empty() { what.to_owned() } else { format!("{what}, {unit}") }
}

pub const CHOOSE: &str = "choose";
pub const NONE: &str = "none";
