//! Soil: what the ground at a site is made of, and what is to be made of it.
//!
//! A [`SoilTest`] is what somebody saw and measured. From it follow its shares and its class, and how far a jar can be
//! trusted. What a mix of it does on the bench is a [`trial`](crate::trial); jobs are not known here.

use hod_units::{Date, Decimal, Length, Share, canonical, split};
use rust_decimal::dec;

use crate::fault::Fault;
use crate::id::SoilTestId;

mod decimal;
mod loosening;
mod observation;
mod sand;
mod settling;
mod texture;
mod uncertainty;

pub use loosening::{bank_volume, bulking_of_field_test, loose_volume};
pub use observation::{Bearing, SoilObservation};
pub use sand::{Aim, Proposal, ProposedMix, propose};
pub use settling::{JarProtocol, SAND_FROM, SILT_FROM, settled_grain, settling_seconds};
pub use texture::Texture;
pub use uncertainty::Uncertainty;

/// How the shares of a soil were found.
#[derive(Debug, Clone, PartialEq)]
pub enum SoilEvidence {
    /// Not at all: only what was seen, felt and dropped.
    ByHand,
    /// Heights settled in a jar of water, each layer alone.
    Jar {
        /// Settled first.
        sand: Length,
        /// Settled next.
        silt: Length,
        /// Settled last.
        clay: Length,
    },
    /// Mass fractions from a laboratory.
    Laboratory(SoilShares),
}

/// Shares of sand, silt and clay; they total one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoilShares {
    /// Sand.
    pub sand: Share,
    /// Silt.
    pub silt: Share,
    /// Clay.
    pub clay: Share,
}

/// What the ground at a site is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct SoilTest {
    /// Its id within the site.
    pub id: SoilTestId,
    /// What was found.
    pub evidence: SoilEvidence,
    /// The day the sample was taken.
    pub sampled: Date,
    /// Depth below ground.
    pub depth: Option<Length>,
    /// Jar: how it was read; without it nobody can tell what its silt and clay are.
    pub protocol: Option<JarProtocol>,
    /// A damp ribbon pressed over the finger broke at this length.
    pub ribbon: Option<Length>,
    /// What a damp ball dropped from shoulder height did; may be empty.
    pub drop_note: String,
    /// What was seen of it that it must not be built with, each once.
    pub observations: Vec<SoilObservation>,
    /// What was seen and smelt; may be empty.
    pub note: String,
}

/// How far from one whole three shares may add up: a tenth of a per cent, the most by which three shares that were
/// each rounded to a tenth of a per cent can be out (3 x 0.05 = 0.15, so one step).
const TOLERANCE: Decimal = dec!(0.001);

/// Shares from a jar are told to a tenth of a per cent; its layers are not read finer.
const JAR_PERCENT_PLACES: u32 = 1;

impl SoilTest {
    /// What does not hold across its fields.
    pub fn faults(&self) -> Vec<Fault> {
        let mut faults: Vec<Fault> = self.shares().err().into_iter().collect();
        if let Some(protocol) = &self.protocol {
            faults.extend(protocol.faults());
            faults.extend(self.protocol_of_no_jar());
            faults.extend(self.soil_above_its_water(protocol));
        }
        for (at, seen) in self.observations.iter().enumerate() {
            if self.observations[..at].contains(seen) {
                faults.push(Fault::of_field(
                    format!("observations[{at}]"),
                    "OBSERVATION_TWICE",
                    format!(
                        "soil test {} says twice that its soil {}; say it once",
                        self.id,
                        seen.words()
                    ),
                ));
            }
        }
        faults
    }

    /// The layers settle through the water, so they cannot stand above it.
    fn soil_above_its_water(&self, protocol: &JarProtocol) -> Option<Fault> {
        let SoilEvidence::Jar { sand, silt, clay } = self.evidence else {
            return None;
        };
        let soil = sand.mm().checked_add(silt.mm())?.checked_add(clay.mm())?;
        let water = protocol.water_height.mm();
        (water < soil).then(|| {
            Fault::of_field(
                "jar_protocol.water_height_mm",
                "JAR_WATER_BELOW_SOIL",
                format!(
                    "the layers of soil test {} stand {} mm high in {} mm of water; the height of the water is from its \
                     top to the bottom of the jar, soil and all: give that",
                    self.id,
                    canonical(soil),
                    canonical(water)
                ),
            )
        })
    }

    fn protocol_of_no_jar(&self) -> Option<Fault> {
        let is_jar = matches!(self.evidence, SoilEvidence::Jar { .. });
        (!is_jar).then(|| {
            Fault::of_field(
                "jar_protocol",
                "NOT_OF_THIS_METHOD",
                format!(
                    "soil test {} says how a jar was read, and is of no jar; leave it out",
                    self.id
                ),
            )
        })
    }

    /// Why this soil must not be built with, by what was seen of it; none when nothing of the kind was.
    pub fn refusals(&self) -> Vec<Fault> {
        self.seen(Bearing::Refuses)
            .map(|seen| {
                Fault::of_field(
                    "soil_test",
                    "SOIL_REFUSED",
                    format!("the soil of test {} {}", self.id, seen.words()),
                )
            })
            .collect()
    }

    /// What must be kept in mind of this soil, by what was seen of it.
    pub fn warnings(&self) -> Vec<String> {
        self.seen(Bearing::Cautions)
            .map(|seen| format!("the soil of test {} {}", self.id, seen.words()))
            .collect()
    }

    fn seen(&self, bearing: Bearing) -> impl Iterator<Item = SoilObservation> {
        let of_it = move |seen: &SoilObservation| seen.bearing() == bearing;
        self.observations.iter().copied().filter(of_it)
    }

    /// Its class in the texture triangle; `None` without shares.
    pub fn texture(&self) -> Option<Texture> {
        self.shares().ok().flatten().map(Texture::of)
    }

    /// Shares of sand, silt and clay. From a laboratory as given, by mass; from a jar by settled height, to 0.1 %,
    /// which is a screening figure: clay settles looser than sand, so a jar shows more clay by height than there is
    /// by mass (common practice, no source). `None` where nothing was measured.
    ///
    /// ```
    /// use hod_domain::{id::SoilTestId, soil::{SoilEvidence, SoilTest}};
    /// use hod_units::{Length, parse_date};
    ///
    /// // 60 mm of sand, 15 mm of silt and 45 mm of clay, 120 mm together: 50, 12.5 and 37.5 %.
    /// let test = SoilTest {
    ///     id: SoilTestId::parse("pit-1").expect("an id"),
    ///     evidence: SoilEvidence::Jar {
    ///         sand: Length::from_mm(60.into()),
    ///         silt: Length::from_mm(15.into()),
    ///         clay: Length::from_mm(45.into()),
    ///     },
    ///     sampled: parse_date("2026-04-02").expect("a date"),
    ///     depth: None,
    ///     protocol: None,
    ///     ribbon: None,
    ///     drop_note: String::new(),
    ///     observations: Vec::new(),
    ///     note: String::new(),
    /// };
    /// let shares = test.shares().expect("not empty").expect("a jar has shares");
    /// assert_eq!([shares.sand, shares.silt, shares.clay].map(|share| share.to_string()), ["50 %", "12.5 %", "37.5 %"]);
    /// ```
    pub fn shares(&self) -> Result<Option<SoilShares>, Fault> {
        match self.evidence {
            SoilEvidence::ByHand => Ok(None),
            SoilEvidence::Laboratory(shares) => shares.checked().map(Some),
            SoilEvidence::Jar { sand, silt, clay } => {
                by_settled_height([sand, silt, clay]).map(Some)
            }
        }
    }
}

impl SoilShares {
    /// Itself, if its shares total one to within a tenth of a per cent.
    fn checked(self) -> Result<Self, Fault> {
        let total = Share::checked_sum([self.sand, self.silt, self.clay]);
        let off = total.and_then(|total| total.checked_sub(Share::WHOLE));
        if off.is_some_and(|off| off.fraction().abs() <= TOLERANCE) {
            return Ok(self);
        }
        let found = total.map_or_else(
            || "more than can be reckoned with".to_owned(),
            |total| total.to_string(),
        );
        Err(Fault::of_field(
            "clay_percent",
            "SOIL_SHARES_MUST_TOTAL_ONE",
            format!(
                "sand {}, silt {} and clay {} add up to {found}; they must add up to 100 %, within 0.1 %",
                self.sand, self.silt, self.clay
            ),
        ))
    }
}

/// Each layer's part of all three, by largest remainder so that they total one.
fn by_settled_height(layers: [Length; 3]) -> Result<SoilShares, Fault> {
    let heights = layers.map(Length::mm);
    match split(dec!(100), &heights, JAR_PERCENT_PLACES).as_deref() {
        Some(&[sand, silt, clay]) => Ok(SoilShares {
            sand: Share::from_percent(sand),
            silt: Share::from_percent(silt),
            clay: Share::from_percent(clay),
        }),
        _ => Err(Fault::of_field(
            "sand_mm",
            "JAR_SHOWS_NO_LAYERS",
            format!(
                "settled heights of {} mm sand, {} mm silt and {} mm clay give no shares; \
                 measure each layer alone, from its own bottom to its own top",
                canonical(heights[0]),
                canonical(heights[1]),
                canonical(heights[2])
            ),
        )),
    }
}
