//! What is seen, smelt and felt of a soil before anything is measured. Some of it settles the matter: texture says
//! nothing of roots, salts, oil or a clay that swells.

/// What was seen of a soil that it must not be built with, or only with care.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SoilObservation {
    /// Topsoil: dark, roots, smells of mould.
    Topsoil,
    /// Salts: white bloom, salt to the tongue of the ground.
    Salts,
    /// Contamination: oil, ash, rubbish, an old yard.
    Contamination,
    /// A clay that swells: wide deep cracks in the dry ground, heave.
    SwellingClay,
}

/// What an observation does to a soil.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Bearing {
    /// The soil is not to be built with.
    Refuses,
    /// The soil may be built with once what is said has been seen to.
    Cautions,
}

impl SoilObservation {
    /// Whether it refuses the soil or only cautions.
    pub const fn bearing(self) -> Bearing {
        match self {
            Self::Topsoil | Self::Salts | Self::Contamination => Bearing::Refuses,
            Self::SwellingClay => Bearing::Cautions,
        }
    }

    /// What it means and what to do, after the name of the soil (common practice, no source).
    pub const fn words(self) -> &'static str {
        match self {
            Self::Topsoil => {
                "is topsoil: what is alive or rots in it leaves hollows and draws damp; set it aside and dig below it"
            }
            Self::Salts => {
                "holds salts: they bloom and burst the face as the wall dries; take soil from another pit"
            }
            Self::Contamination => {
                "is contaminated: have the ground examined, and take soil from another place"
            }
            Self::SwellingClay => {
                "has a clay that swells, of which texture says nothing: let the shrinkage bar and a weathered trial \
                 piece decide"
            }
        }
    }
}
