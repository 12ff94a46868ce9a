//! What can hurt, said where it applies. Plain words, each with its source; local codes and licensed practice decide.

use quantities::Mass;

use crate::Source;

/// Perlite and pumice outdoors.
pub(crate) const PERLITE_OUTDOORS: &str = "concrete with perlite or other insulating aggregate is not meant for weather \
     exposure (scope of ASTM C332-99): no promise is made on frost";

/// One caution.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Caution {
    /// Wet cement burns.
    WetCement,
    /// Cement dust and silica.
    DustAndSilica,
    /// Foaming concentrate in the eyes.
    FoamingAgent,
    /// Rapid-setting cement and Portland in one mixer.
    FlashSet,
    /// A hand in the mixer.
    MixerLockOut,
    /// Electric tools near water.
    ElectricityNearWater,
    /// Foam generator and air receiver.
    PressureVessel,
    /// A panel above the lifting limit.
    HeavyPanel,
    /// Tank water is alkaline.
    TankWater,
    /// A full tank on the floor.
    TankOnTheFloor,
    /// Open water and children.
    Drowning,
    /// Washout water.
    Washout,
    /// Walls that hold soil.
    HoldsSoil,
}

impl Caution {
    /// All of them, in the order they are printed.
    pub const ALL: [Self; 13] = [
        Self::WetCement,
        Self::DustAndSilica,
        Self::FoamingAgent,
        Self::FlashSet,
        Self::MixerLockOut,
        Self::ElectricityNearWater,
        Self::PressureVessel,
        Self::HeavyPanel,
        Self::TankWater,
        Self::TankOnTheFloor,
        Self::Drowning,
        Self::Washout,
        Self::HoldsSoil,
    ];

    /// A few words to stand above the text.
    pub const fn title(self) -> &'static str {
        match self {
            Self::WetCement => "Wet cement burns",
            Self::DustAndSilica => "Dust and silica",
            Self::FoamingAgent => "Foaming concentrate",
            Self::FlashSet => "Two cements, one mixer",
            Self::MixerLockOut => "Mixer",
            Self::ElectricityNearWater => "Electricity near water",
            Self::PressureVessel => "Pressure",
            Self::HeavyPanel => "Heavy panel",
            Self::TankWater => "Tank water",
            Self::TankOnTheFloor => "Full tank",
            Self::Drowning => "Children and water",
            Self::Washout => "Washout water",
            Self::HoldsSoil => "Walls that hold soil",
        }
    }

    /// What to know and do.
    pub const fn text(self) -> &'static str {
        match self {
            Self::WetCement => {
                "Wet cement is strongly alkaline (pH 12 to 13) and burns the skin before it hurts. Wear alkali-resistant \
                 gloves and eye protection, keep it out of boots and sleeves, wash at once with plenty of water."
            }
            Self::DustAndSilica => {
                "Cement dust and fine silica harm the lungs for good. Wear a fitted dust mask, pour bags slowly, sweep and \
                 saw wet. Legal limits on silica dust in air apply to workshops."
            }
            Self::FoamingAgent => {
                "Foaming concentrate irritates the eyes. Wear eye protection; rinse with clean water and follow the \
                 maker's safety sheet."
            }
            Self::FlashSet => {
                "Rapid-setting cement and Portland cement set at once when they meet. Wash mixer and tools out between \
                 them, and have the moulds ready before the water goes in."
            }
            Self::MixerLockOut => {
                "Switch the mixer off and lock it out before a hand or a tool goes in. Keep the guard on, however small \
                 the mixer is."
            }
            Self::ElectricityNearWater => {
                "Drill and mixer stand near water: run them from a supply with a residual-current device, and count the \
                 end of an extension lead as a socket."
            }
            Self::PressureVessel => {
                "A foam generator and an air receiver are pressure vessels. Check gauge and relief valve, never close off \
                 the relief valve, drain the receiver, let the pressure off before opening."
            }
            Self::HeavyPanel => {
                "The wet panel is above this workshop's lifting limit: two people or a lifting aid. No filter value makes \
                 a lift safe by itself; bend, twist and reach as little as possible."
            }
            Self::TankWater => {
                "Water that concrete has stood in is as alkaline as wet cement. Wear gloves and eye protection when you \
                 lift panels, and wash splashes off at once."
            }
            Self::TankOnTheFloor => {
                "A full tank weighs about a tonne for each cubic metre, and panels on top. Have somebody qualified say \
                 that the floor carries it."
            }
            Self::Drowning => {
                "A small child can drown in a pail or a tank. Cover them whenever nobody stands beside them, and empty \
                 pails after use."
            }
            Self::Washout => {
                "Washout water is alkaline: keep it out of drains, soil and watercourses. Let it settle, use it again or \
                 hand it in as local rules ask."
            }
            Self::HoldsSoil => {
                "A wall that holds soil is a structure. Local codes say from which height it needs a permit and a design, \
                 and licensed practice decides; this ticket does not."
            }
        }
    }

    /// Where it comes from.
    pub const fn source(self) -> Source {
        Source(match self {
            Self::WetCement | Self::TankWater => "Health and Safety Executive (UK), Cement, information sheet CIS26",
            Self::DustAndSilica => "29 CFR 1926.1153, respirable crystalline silica (US)",
            Self::FoamingAgent => "common practice, no source; the maker's safety sheet governs",
            Self::FlashSet => "common practice, no source",
            Self::MixerLockOut => "29 CFR 1926.300(b) (US) and OSHA letter of interpretation, 2 November 2000",
            Self::ElectricityNearWater => "29 CFR 1926.404(b)(1)(ii) (US)",
            Self::PressureVessel => "30 CFR 57.13011 (US); Oregon OAR 437-004-1505",
            Self::HeavyPanel => "Health and Safety Executive (UK), manual handling risk filters",
            Self::TankOnTheFloor => "common practice, no source",
            Self::Drowning => "US Consumer Product Safety Commission, document 5006",
            Self::Washout => "common practice, no source; local rules govern",
            Self::HoldsSoil => "International Residential Code 2009, R105.2 and R404.4; local codes govern",
        })
    }
}

/// What is so about a load, a day's task or a panel.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CautionFacts {
    /// Cement is handled.
    pub cement: bool,
    /// Aggregate, ash or other stuff with crystalline silica is handled dry.
    pub silica: bool,
    /// Rapid-setting cement is used where Portland cement is used too.
    pub rapid_cement: bool,
    /// Foaming concentrate is handled.
    pub foam: bool,
    /// The foam comes from a generator under pressure.
    pub pressure_generator: bool,
    /// A powered mixer or drill is used.
    pub powered_mixer: bool,
    /// Mass of the heaviest wet panel that is lifted, and the workshop's lifting limit.
    pub wet_panel_and_limit: Option<(Mass, Mass)>,
    /// A soaking tank is used or filled.
    pub tank: bool,
    /// Open pails of water stand about.
    pub open_water: bool,
    /// The mixer is washed out.
    pub washout: bool,
    /// The panels are meant to hold soil (raised beds, planters, edging).
    pub holds_soil: bool,
}

/// The cautions that apply, in printing order.
pub fn cautions(facts: &CautionFacts) -> Vec<Caution> {
    Caution::ALL.into_iter().filter(|caution| applies(*caution, facts)).collect()
}

fn applies(caution: Caution, facts: &CautionFacts) -> bool {
    match caution {
        Caution::WetCement => facts.cement,
        Caution::DustAndSilica => facts.cement || facts.silica,
        Caution::FoamingAgent => facts.foam,
        Caution::FlashSet => facts.rapid_cement,
        Caution::MixerLockOut | Caution::ElectricityNearWater => facts.powered_mixer,
        Caution::PressureVessel => facts.pressure_generator,
        Caution::HeavyPanel => facts.wet_panel_and_limit.is_some_and(|(mass, limit)| mass > limit),
        Caution::TankWater | Caution::TankOnTheFloor => facts.tank,
        Caution::Drowning => facts.tank || facts.open_water,
        Caution::Washout => facts.washout,
        Caution::HoldsSoil => facts.holds_soil,
    }
}
