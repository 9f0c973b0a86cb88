//! From a soil and a sand to trial mixes that are worth making. Nothing is kept: the trial decides, not the formula.

use hod_domain::material::Material;
use hod_domain::soil::{SoilTest, propose};
use hod_store::{Session, StoreFault, Stored, material, soil_test};
use hod_units::Share;
use hod_wire::v1 as wire;

use super::App;
use super::store_fault::refusal;
use crate::call::Call;
use crate::decode::{self, Decoder, SoilAsked, TrialsAsked};
use crate::encode;
use crate::name::{Sites, SoilTests, child_name};
use crate::refusal::{Missing, Refusal, Violation};

/// Proposes trial mixes.
pub async fn propose_trial_mixes(
    app: &App,
    call: &Call,
    request: &wire::ProposeTrialMixesRequest,
) -> Result<wire::ProposeTrialMixesResponse, Refusal> {
    let mut decoder = Decoder::new();
    let asked = decode::trial_mixes(&mut decoder, request);
    let (Some(asked), true) = (asked, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let mut session = app.session(call).await?;
    let found = find(&mut session, &asked).await?;
    let fit = found.soil.fit().map_err(Refusal::Fields)?;
    let proposal = propose(
        fit.clay,
        &fit.source,
        &found.soil_material,
        &found.sand_material,
        asked.aim,
    )
    .map_err(|faults| {
        let violation = |fault: hod_domain::fault::Fault| Violation {
            field: fault.field,
            reason: fault.reason,
            description: fault.message,
        };
        Refusal::Fields(faults.into_iter().map(violation).collect())
    })?;
    Ok(encode::trial_mixes(&proposal, fit.notes))
}

/// What is asked for, as it is kept.
struct Found {
    soil: Soil,
    soil_material: Material,
    sand_material: Material,
}

/// A soil: its test, and the name of that, or its clay alone.
enum Soil {
    Tested(Box<SoilTest>, String),
    OfClay(Share),
}

/// Reads all three; whatever is not there is named at once.
async fn find(session: &mut Session, asked: &TrialsAsked) -> Result<Found, Refusal> {
    let mut missing = Vec::new();
    let soil = match &asked.soil {
        SoilAsked::OfClay(clay) => Some(Soil::OfClay(*clay)),
        SoilAsked::Tested(site, id) => {
            let test = soil_test::get(session, site, id).await;
            let name = child_name::<Sites, SoilTests>(site, id);
            there(test, "soil_test", &mut missing)?.map(|test| Soil::Tested(Box::new(test), name))
        }
    };
    let soil_material = material::get(session, &asked.soil_material).await;
    let soil_material = there(soil_material, "soil_material", &mut missing)?;
    let sand_material = material::get(session, &asked.sand_material).await;
    let sand_material = there(sand_material, "sand_material", &mut missing)?;
    match (soil, soil_material, sand_material) {
        (Some(soil), Some(soil_material), Some(sand_material)) => Ok(Found {
            soil,
            soil_material,
            sand_material,
        }),
        _ => Err(Refusal::NotFound(missing, Vec::new())),
    }
}

/// A thing that is there; one that is not goes to the missing.
fn there<T>(
    found: Result<Stored<T>, StoreFault>,
    field: &'static str,
    missing: &mut Vec<Missing>,
) -> Result<Option<T>, Refusal> {
    match found.map_err(|fault| refusal(fault, |_| field)) {
        Ok(stored) => Ok(Some(stored.value)),
        Err(Refusal::NotFound(all, _)) => {
            missing.extend(all);
            Ok(None)
        }
        Err(other) => Err(other),
    }
}

/// A soil that may be tried.
struct Fit {
    clay: Share,
    source: String,
    notes: Vec<String>,
}

impl Soil {
    /// Its clay and what must be kept in mind of it; refused by what was seen of it, and where it has no shares.
    fn fit(&self) -> Result<Fit, Vec<Violation>> {
        let (test, name) = match self {
            Self::OfClay(clay) => {
                return Ok(Fit {
                    clay: *clay,
                    source: "as given".to_owned(),
                    notes: Vec::new(),
                });
            }
            Self::Tested(test, name) => (test, name),
        };
        let mut violations: Vec<Violation> = test
            .refusals()
            .into_iter()
            .map(|fault| Violation {
                field: fault.field,
                reason: fault.reason,
                description: fault.message,
            })
            .collect();
        let shares = test.shares().ok().flatten();
        if shares.is_none() {
            violations.push(Violation {
                field: "soil_test".to_owned(),
                reason: "SOIL_TEST_HAS_NO_SHARES",
                description: format!("{name} tells no clay; name a test of a jar or of a laboratory, or give clay_percent"),
            });
        }
        match shares {
            Some(shares) if violations.is_empty() => Ok(Fit {
                clay: shares.clay,
                source: name.clone(),
                notes: notes(test),
            }),
            _ => Err(violations),
        }
    }
}

/// What must be kept in mind of a soil that was tested.
fn notes(test: &SoilTest) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(found) = test.uncertainty() {
        let how = if test.protocol.is_some() {
            ""
        } else {
            ", and nobody said when its layers were marked"
        };
        notes.push(format!(
            "the clay was read in a jar{how}: it may be from {} to {} of the settled height; clay settles looser than sand, \
             so by mass there is less, and only a laboratory tells how much",
            found.clay_low, found.clay_high
        ));
    }
    notes.extend(test.warnings());
    notes
}
