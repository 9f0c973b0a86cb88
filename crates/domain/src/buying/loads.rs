//! Loads: how many journeys an order takes, by the most volume, mass or quantity of a load, and what they cost.
//! What a material fills and weighs follows from its own figures; one that has none of them is told, never guessed.

use hod_units::{Decimal, Money};
use rust_decimal::dec;
use rust_decimal::prelude::ToPrimitive;

use super::{Charged, LoadLimit, Loads};
use crate::basis::{Joint, Term};
use crate::fault::Fault;
use crate::material::Material;
use crate::price::Delivery;
use crate::text::Text;
use crate::unit::{Unit, round_up};

/// Kilograms in a tonne, litres in a cubic metre.
const THOUSAND: Decimal = dec!(1000);

/// A delivery with all that is needed to count its loads.
#[derive(Debug, Clone)]
pub(super) struct Haul {
    /// One at least, in the order volume, mass, quantity.
    limits: Vec<Limit>,
    per_load: Decimal,
    per_km: Decimal,
    km: Option<Distance>,
}

/// Kilometres charged for a load.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Distance {
    /// How many.
    pub km: Decimal,
    /// Whether the job says so, and not the price.
    pub is_of_job: bool,
}

/// One limit of a load.
#[derive(Debug, Clone)]
struct Limit {
    which: LoadLimit,
    /// From what is ordered to how many loads it fills.
    to_loads: Vec<Term>,
}

/// What the loads of an order cost.
pub(super) struct Carried {
    /// How many, and what decides it.
    pub loads: Loads,
    /// By the load.
    pub by_load: Money,
    /// By the kilometre.
    pub by_km: Money,
}

impl Haul {
    /// A delivery, with the distance in place of its own that a job says. Refused with every limit that cannot be worked
    /// out, and for want of a distance that is charged for.
    pub fn new(
        delivery: &Delivery,
        material: &Material,
        price_name: &str,
        distance: Option<Decimal>,
    ) -> Result<Self, Vec<Fault>> {
        let mut faults = Vec::new();
        let mut limits = Vec::with_capacity(3);
        let mut add = |which, to_loads: Result<Vec<Term>, Fault>| match to_loads {
            Ok(to_loads) => limits.push(Limit { which, to_loads }),
            Err(fault) => faults.push(fault),
        };
        if let Some(most) = delivery.load_volume {
            let over = load_term(most.cubic_metres(), Unit::M3, price_name);
            add(LoadLimit::Volume, filled(material, price_name, over));
        }
        if let Some(most) = delivery.load_mass {
            let over = load_term(most.kg(), Unit::Kg, price_name);
            add(LoadLimit::Mass, weighed(material, price_name, over));
        }
        if let Some(most) = delivery.load_quantity {
            let over = load_term(most, material.purchase_unit, price_name);
            add(LoadLimit::Quantity, Ok(vec![over]));
        }
        let km = distance.or(delivery.distance_km).map(|km| Distance {
            km,
            is_of_job: distance.is_some(),
        });
        if Decimal::ZERO < delivery.per_km && km.is_none() {
            faults.push(no_distance(material, price_name));
        }
        if limits.is_empty() && faults.is_empty() {
            faults.push(no_limit(price_name));
        }
        if faults.is_empty() {
            Ok(Self {
                limits,
                per_load: delivery.per_load,
                per_km: delivery.per_km,
                km,
            })
        } else {
            Err(faults)
        }
    }

    /// The loads of an order: the most that any limit asks for. `None` on overflow.
    fn loads(&self, ordered: Decimal) -> Option<Loads> {
        let mut most: Option<Loads> = None;
        for limit in &self.limits {
            let exact = limit
                .to_loads
                .iter()
                .try_fold(ordered, |value, term| term.join(value))?;
            let count = round_up(exact, 0)?.to_u32()?;
            if most.is_none_or(|most| most.count < count) {
                let limit = limit.which;
                most = Some(Loads { count, limit });
            }
        }
        most
    }

    /// The loads of an order and what they cost. `None` on overflow.
    pub fn carry(&self, ordered: Decimal, charged: Charged) -> Option<Carried> {
        let loads = self.loads(ordered)?;
        let by_km = match self.km {
            Some(distance) => charged.amount(km_of(loads, distance)?, self.per_km)?,
            None => Money::zero(charged.currency),
        };
        Some(Carried {
            loads,
            by_load: charged.amount(loads.count.into(), self.per_load)?,
            by_km,
        })
    }

    /// The charge for each load, when there is any.
    pub fn charge_per_load(&self) -> Option<Decimal> {
        Some(self.per_load).filter(|charge| !charge.is_zero())
    }

    /// The charge for each kilometre of a load and the distance, when there is any of both.
    pub fn charge_per_km(&self) -> Option<(Decimal, Distance)> {
        let distance = self.km.filter(|distance| !distance.km.is_zero())?;
        Some((self.per_km, distance)).filter(|_| !self.per_km.is_zero())
    }

    /// From what is ordered to how many loads it fills, by the limit that decides.
    pub fn to_loads(&self, which: LoadLimit) -> &[Term] {
        let limit = self.limits.iter().find(|limit| limit.which == which);
        limit.map_or(&[], |limit| &limit.to_loads)
    }
}

/// The kilometres of so many loads; `None` on overflow.
pub(super) fn km_of(loads: Loads, distance: Distance) -> Option<Decimal> {
    Decimal::from(loads.count).checked_mul(distance.km)
}

fn load_term(most: Decimal, unit: Unit, price_name: &str) -> Term {
    Term::new(
        Joint::Over,
        most,
        unit,
        "the most of a load",
        price_name.to_owned(),
    )
}

/// From what is ordered to its loose volume, as it is sold, and on to loads of so much.
fn filled(material: &Material, price_name: &str, over: Term) -> Result<Vec<Term>, Fault> {
    let term = |joint, value, unit, label| figure(material, joint, value, unit, label);
    let mut terms = match material.purchase_unit {
        Unit::M3 => Vec::new(),
        Unit::L => vec![thousand(Joint::Over, "litres in a cubic metre")],
        Unit::T => {
            let mut terms = vec![thousand(Joint::Times, "kg in a tonne")];
            terms.extend(kg_to_volume(material, price_name)?);
            terms
        }
        Unit::Kg => kg_to_volume(material, price_name)?,
        Unit::Bale | Unit::Bag | Unit::Roll | Unit::Each => {
            let size = material.size.and_then(|size| size.volume());
            match (
                size.filter(|size| size.is_positive()),
                material.mass_per_unit,
            ) {
                (Some(size), _) => {
                    let size = size.cubic_metres();
                    vec![term(Joint::Times, size, Unit::M3, "volume of one")]
                }
                (None, Some(mass)) => {
                    let mut terms = vec![term(Joint::Times, mass.kg(), Unit::Kg, "mass of one")];
                    terms.extend(kg_to_volume(material, price_name)?);
                    terms
                }
                (None, None) => return Err(no_size(material, price_name)),
            }
        }
        _ => return Err(unmeasured(material, price_name, "volume")),
    };
    terms.push(over);
    Ok(terms)
}

/// From what is ordered to its mass in kg, as it is sold, and on to loads of so much.
fn weighed(material: &Material, price_name: &str, over: Term) -> Result<Vec<Term>, Fault> {
    let mut terms = match material.purchase_unit {
        Unit::Kg => Vec::new(),
        Unit::T => vec![thousand(Joint::Times, "kg in a tonne")],
        Unit::M3 => volume_to_kg(material, price_name)?,
        Unit::L => {
            let mut terms = vec![thousand(Joint::Over, "litres in a cubic metre")];
            terms.extend(volume_to_kg(material, price_name)?);
            terms
        }
        Unit::Bale | Unit::Bag | Unit::Roll | Unit::Each => {
            let mass = material.mass_per_unit.filter(|mass| mass.is_positive());
            let mass = mass.ok_or_else(|| no_mass(material, price_name))?.kg();
            vec![figure(
                material,
                Joint::Times,
                mass,
                Unit::Kg,
                "mass of one",
            )]
        }
        _ => return Err(unmeasured(material, price_name, "mass")),
    };
    terms.push(over);
    Ok(terms)
}

/// From kg as it is sold to m3 loose and damp: over 1 + moisture to dry, over the loose dry density, and bulked.
fn kg_to_volume(material: &Material, price_name: &str) -> Result<Vec<Term>, Fault> {
    let density = density(material, price_name, "volume")?;
    let term = |joint, value, unit, label| figure(material, joint, value, unit, label);
    let mut terms = Vec::with_capacity(4);
    if !material.moisture.is_zero() {
        let whole = one_and(material.moisture.fraction());
        terms.push(term(Joint::Over, whole, Unit::Number, "1 + moisture"));
    }
    if !material.bulking.is_zero() {
        let bulking = material.bulking.percent();
        terms.push(term(Joint::PlusPercent, bulking, Unit::Percent, "bulking"));
    }
    terms.push(term(
        Joint::Over,
        density,
        Unit::KgPerM3,
        "loose dry density",
    ));
    Ok(terms)
}

/// From m3 loose and damp to kg as it is sold, the same backwards.
fn volume_to_kg(material: &Material, price_name: &str) -> Result<Vec<Term>, Fault> {
    let density = density(material, price_name, "mass")?;
    let term = |joint, value, unit, label| figure(material, joint, value, unit, label);
    let mut terms = vec![term(
        Joint::Times,
        density,
        Unit::KgPerM3,
        "loose dry density",
    )];
    if !material.moisture.is_zero() {
        let moisture = material.moisture.percent();
        terms.push(term(
            Joint::PlusPercent,
            moisture,
            Unit::Percent,
            "moisture",
        ));
    }
    if !material.bulking.is_zero() {
        let whole = one_and(material.bulking.fraction());
        terms.push(term(Joint::Over, whole, Unit::Number, "1 + bulking"));
    }
    Ok(terms)
}

fn density(material: &Material, price_name: &str, limited: &str) -> Result<Decimal, Fault> {
    let known = material
        .density_loose
        .filter(|density| density.is_positive());
    let density = known.ok_or_else(|| {
        lacking(
            material,
            "density_loose_kg_m3",
            "DENSITY_MISSING",
            format!(
                "{} has no loose density, and {price_name} limits the {limited} of a load; weigh a bucket of it dry and \
                 give density_loose_kg_m3",
                material.id
            ),
        )
    })?;
    Ok(density.kg_per_cubic_metre())
}

fn one_and(share: Decimal) -> Decimal {
    // A share is far below what could overflow, and saturating keeps this free of panics all the same.
    share.saturating_add(Decimal::ONE)
}

fn thousand(joint: Joint, label: &'static str) -> Term {
    Term::new(joint, THOUSAND, Unit::Number, label, "")
}

fn figure(
    material: &Material,
    joint: Joint,
    value: Decimal,
    unit: Unit,
    label: &'static str,
) -> Term {
    let source = Text::from(format!("materials/{}", material.id));
    Term::new(joint, value, unit, label, source)
}

fn lacking(material: &Material, field: &str, reason: &'static str, message: String) -> Fault {
    Fault::of_field(field, reason, message).about(format!("materials/{}", material.id))
}

fn no_size(material: &Material, price_name: &str) -> Fault {
    let message = format!(
        "{} has neither sizes nor a mass, and {price_name} limits the volume of a load; give length_mm, width_mm and \
         height_mm of one",
        material.id
    );
    lacking(material, "length_mm", "PIECE_HAS_NO_SIZE", message)
}

fn no_mass(material: &Material, price_name: &str) -> Fault {
    let message = format!(
        "{} has no mass, and {price_name} limits the mass of a load; weigh some and give mass_per_unit_kg",
        material.id
    );
    lacking(
        material,
        "mass_per_unit_kg",
        "MASS_PER_UNIT_MISSING",
        message,
    )
}

/// A limit that says nothing about what is bought by the metre.
fn unmeasured(material: &Material, price_name: &str, limited: &str) -> Fault {
    let (id, word) = (&material.id, material.purchase_unit.word());
    let message = format!(
        "{price_name} limits the {limited} of a load, and {id} is ordered by the {word}, of which no {limited} is known; put in \
         a price whose delivery gives load_quantity in {word}"
    );
    Fault::of_resource(format!("materials/{id}"), "LOAD_UNKNOWN", message)
}

fn no_distance(material: &Material, price_name: &str) -> Fault {
    let message = format!(
        "{price_name} charges for each kilometre and says no distance; give distance_km for {} in the job's sources, or put \
         in a price that has one",
        material.id
    );
    Fault::of_field("delivery.distance_km", "DISTANCE_MISSING", message).about(price_name)
}

fn no_limit(price_name: &str) -> Fault {
    let message = format!(
        "{price_name} says nothing about how much a load takes, so that loads cannot be counted; put in a price whose delivery \
         gives load_m3, load_t or load_quantity"
    );
    Fault::of_field("delivery", "DELIVERY_WITHOUT_LIMIT", message).about(price_name)
}
