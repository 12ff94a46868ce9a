//! Quantities in writing, read at a place of a form: a value, or a fault noted there.

use quantities::{Celsius, Density, Length, Mass, Ratio, RelativeDensity, Volume, written};
use workshop::Fault;

/// Collects the faults of a form while its quantities are read, so that a reader is told all of them.
#[derive(Debug, Default)]
pub struct Reading(Vec<Fault>);

impl Reading {
    /// A fault more.
    pub fn push(&mut self, pointer: impl Into<String>, detail: impl Into<String>) {
        self.0.push(Fault::at(pointer, detail));
    }

    /// Faults more.
    pub fn extend(&mut self, faults: Vec<Fault>) {
        self.0.extend(faults);
    }

    /// The value, or nothing and the faults noted.
    pub fn keep<T>(&mut self, read: Result<T, Vec<Fault>>) -> Option<T> {
        read.map_err(|faults| self.extend(faults)).ok()
    }

    /// The value of the mix library, or nothing and its fault noted at `pointer`.
    pub fn take<T, E: std::fmt::Display>(&mut self, pointer: &str, read: Result<T, E>) -> Option<T> {
        read.map_err(|error| self.push(pointer, error.to_string())).ok()
    }

    /// A mass, as `25 kg` or `15 lb`.
    pub fn mass(&mut self, pointer: &str, text: &str) -> Option<Mass> {
        self.take(pointer, written::mass(text))
    }

    /// A volume, as `18 L` or `1.5 ft³`; above nothing.
    pub fn volume(&mut self, pointer: &str, text: &str) -> Option<Volume> {
        let volume = self.take(pointer, written::volume(text))?;
        if volume == Volume::ZERO {
            self.push(pointer, "there is nothing of it: give more than 0");
            return None;
        }
        Some(volume)
    }

    /// A length, as `285 mm` or `11.25 in`.
    pub fn length(&mut self, pointer: &str, text: &str) -> Option<Length> {
        self.take(pointer, written::length(text))
    }

    /// A density, as `960 kg/m³`, `50 g/L` or `60 lb/ft³`.
    pub fn density<S: quantities::state::State>(&mut self, pointer: &str, text: &str) -> Option<Density<S>> {
        self.take(pointer, written::density(text))
    }

    /// A temperature, as `5 °C` or `41 °F`.
    pub fn temperature(&mut self, pointer: &str, text: &str) -> Option<Celsius> {
        self.take(pointer, written::temperature(text))
    }

    /// A ratio from per cent.
    pub fn percent(&mut self, pointer: &str, per_cent: f64) -> Option<Ratio> {
        self.take(pointer, Ratio::from_per_cent(per_cent))
    }

    /// A relative density.
    pub fn relative_density(&mut self, pointer: &str, number: f64) -> Option<RelativeDensity> {
        self.take(pointer, RelativeDensity::from_number(number))
    }

    /// What may be left out.
    pub fn perhaps<I, T>(
        &mut self,
        given: Option<I>,
        read: impl FnOnce(&mut Self, I) -> Option<T>,
    ) -> Option<Option<T>> {
        match given {
            None => Some(None),
            Some(given) => read(self, given).map(Some),
        }
    }

    /// Each of a list at its place; nothing where one cannot be read, but all are tried, so that no fault is missed.
    pub fn each<I, T>(
        &mut self,
        place: &str,
        items: &[I],
        mut read: impl FnMut(&mut Self, &str, &I) -> Option<T>,
    ) -> Option<Vec<T>> {
        let tried: Vec<Option<T>> =
            items.iter().enumerate().map(|(i, item)| read(self, &format!("{place}/{i}"), item)).collect();
        tried.into_iter().collect()
    }

    /// The value where no fault was noted.
    ///
    /// # Errors
    /// The faults.
    pub fn done<T>(self, value: Option<T>) -> Result<T, Vec<Fault>> {
        match value {
            Some(value) if self.0.is_empty() => Ok(value),
            _ => Err(self.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_fault_is_kept_with_its_place() {
        let mut reading = Reading::default();
        let (mass, volume) = (reading.mass("/mass", "3 bags"), reading.volume("/load", "0 L"));
        assert!(mass.is_none() && volume.is_none());
        let faults = reading.done::<()>(Some(())).unwrap_err();
        let places: Vec<&str> = faults.iter().map(|f| f.pointer.as_str()).collect();
        assert_eq!(places, ["/mass", "/load"]);
        assert!(faults[0].detail.contains("the bag's mass"), "{}", faults[0].detail);
    }

    #[test]
    fn of_a_list_all_are_tried_and_what_is_left_out_is_no_fault() {
        let mut reading = Reading::default();
        let mass = |r: &mut Reading, at: &str, text: &&str| r.mass(at, text);
        assert_eq!(reading.each("/good", &["1 kg", "2 kg"], mass).map(|all| all.len()), Some(2));
        assert_eq!(reading.perhaps(None::<&str>, |r, text| r.mass("/mass", text)), Some(None));
        assert!(reading.each("/bad", &["1", "2 kg", "3"], mass).is_none());
        let places: Vec<String> = reading.done(Some(())).unwrap_err().into_iter().map(|f| f.pointer).collect();
        assert_eq!(places, ["/bad/0", "/bad/2"]);
    }
}
