//! The regions whose lists answer for a site, nearest first: what a material or an hour costs on the day.
//! The first region that has a price in force answers, and its name stays with the price.

use hod_units::{Date, Decimal, Rounding};

use super::Inputs;
use super::tasks::ChosenTask;
use crate::fault::{Fault, too_large};
use crate::id::{Grade, MaterialId, RegionId};
use crate::job::Job;
use crate::library::Library;
use crate::material::{Material, Supply};
use crate::mix::Recipe;
use crate::price::{LabourRate, Price, PriceList};
use crate::region::Region;
use crate::takeoff::Order;
use crate::text::Text;
use crate::work::Crew;

/// The regions and lists that answer for a site.
pub(super) struct PriceChain<'a> {
    regions: &'a [Region],
    lists: &'a [PriceList],
    on: Date,
    /// In place of the region's rule.
    rounding: Option<Rounding>,
}

/// What one purchase unit of a material costs.
pub(super) struct Answer {
    /// Money to one.
    pub amount: Decimal,
    /// Where that came from.
    pub source: Text,
}

/// What an hour of a grade costs the firm.
pub(super) struct LoadedRate {
    /// Whose.
    pub grade: Grade,
    /// Wage and burden, to the currency's minor unit.
    pub amount: Decimal,
    /// Where it came from, with its make-up.
    pub source: Text,
    /// Its labour rate: `regions/coast/labourRates/lead-26`.
    pub name: String,
    /// What the worker is paid of it.
    pub wage: Decimal,
}

impl<'a> PriceChain<'a> {
    /// The chain of the inputs; what is wrong with it goes to the faults.
    pub fn of(job: &'a Job, inputs: &'a Inputs, faults: &mut Vec<Fault>) -> Self {
        let Inputs {
            site,
            regions,
            lists,
            on,
            ..
        } = inputs;
        match regions.split_first() {
            None => faults.push(Fault::of_resource(
                format!("regions/{}", site.region),
                "NO_REGION",
                format!(
                    "site {} lies in region {}, which is not there; add it, or name another",
                    site.id, site.region
                ),
            )),
            Some((nearest, parents)) => {
                let subject = format!("regions/{}", nearest.id);
                faults.extend(
                    nearest
                        .faults()
                        .into_iter()
                        .map(|fault| fault.about(&subject)),
                );
                let stranger = parents
                    .iter()
                    .find(|parent| parent.currency != nearest.currency);
                faults.extend(stranger.map(|parent| currencies_differ(nearest, parent)));
            }
        }
        Self {
            regions,
            lists,
            on: *on,
            rounding: job.rounding,
        }
    }

    /// The price of every order, in their order; one that is missing or in another unit goes to the faults.
    pub fn prices(
        &self,
        orders: &[Order],
        library: &Library,
        faults: &mut Vec<Fault>,
    ) -> Vec<Answer> {
        let mut prices = Vec::with_capacity(orders.len());
        for order in orders {
            let Some(material) = library.material(&order.material) else {
                continue;
            };
            match self.priced(material) {
                Ok(found) => prices.push(found),
                Err(fault) => faults.push(fault),
            }
        }
        prices
    }

    /// Asks the price of everything that a job may come to order; one that is missing goes to the faults.
    pub fn price_all(&self, job: &Job, library: &Library, faults: &mut Vec<Fault>) {
        let of_mixes = library.recipes.iter().flat_map(Recipe::portions);
        let mut materials: Vec<MaterialId> = job.materials();
        materials.extend(of_mixes.map(|portion| portion.material.clone()));
        for (at, id) in materials.iter().enumerate() {
            let is_first = !materials[..at].contains(id);
            let material = library.material(id).filter(|_| is_first);
            faults.extend(material.and_then(|material| self.priced(material).err()));
        }
    }

    fn priced(&self, material: &Material) -> Result<Answer, Fault> {
        if material.supply == Supply::Site {
            return Ok(Answer {
                amount: Decimal::ZERO,
                source: Text::from("from the site, at no price"),
            });
        }
        let (region, price) = self
            .price(&material.id)
            .ok_or_else(|| self.no_price(material))?;
        let source = format!(
            "regions/{region}/prices/{}, {}",
            price.id,
            price.in_force.from()
        );
        if price.unit == material.purchase_unit {
            Ok(Answer {
                amount: price.unit_price,
                source: source.into(),
            })
        } else {
            let (found, wanted) = (price.unit.word(), material.purchase_unit.word());
            Err(Fault::of_resource(
                format!("regions/{region}/prices/{}", price.id),
                "PRICE_UNIT_DIFFERS",
                format!(
                    "{source} is for one {found} of {}, which is ordered by the {wanted}; put in a price for one {wanted}",
                    material.id
                ),
            ))
        }
    }

    /// The price of the nearest region that has one in force.
    fn price(&self, material: &MaterialId) -> Option<(&'a RegionId, &'a Price)> {
        let is_it =
            |price: &&Price| price.material == *material && price.in_force.contains(self.on);
        self.lists
            .iter()
            .find_map(|list| Some((&list.region, list.prices.iter().find(is_it)?)))
    }

    fn no_price(&self, material: &Material) -> Fault {
        let (id, unit) = (&material.id, material.purchase_unit.word());
        Fault::of_resource(
            format!("materials/{id}"),
            "NO_PRICE_IN_FORCE",
            format!(
                "no price for {id} is in force on {} in {}; put in a price for one {unit} from that day or before",
                self.on,
                self.words()
            ),
        )
    }

    /// The loaded rate of every grade that the tasks take, each once; one that is missing goes to the faults.
    pub fn rates(
        &self,
        tasks: &[ChosenTask],
        crew: &Crew,
        faults: &mut Vec<Fault>,
    ) -> Vec<LoadedRate> {
        let constants = tasks
            .iter()
            .flat_map(|chosen| &chosen.counted)
            .map(|counted| counted.constant);
        let own = constants.clone().flat_map(|constant| &constant.make_up);
        let is_by_crew = constants
            .clone()
            .any(|constant| constant.make_up.is_empty());
        let by_crew = crew.make_up.iter().filter(|_| is_by_crew);
        let mut grades: Vec<&Grade> = Vec::with_capacity(crew.make_up.len());
        for share in by_crew.chain(own) {
            if share.share.is_positive() && !grades.contains(&&share.grade) {
                grades.push(&share.grade);
            }
        }
        let mut rates = Vec::with_capacity(grades.len());
        for grade in grades {
            match self.rate(grade) {
                Ok(rate) => rates.push(rate),
                Err(fault) => faults.push(fault),
            }
        }
        rates
    }

    /// The loaded rate of the nearest region that has one in force.
    fn rate(&self, grade: &Grade) -> Result<LoadedRate, Fault> {
        let is_it = |rate: &&LabourRate| rate.grade == *grade && rate.in_force.contains(self.on);
        let found = self
            .lists
            .iter()
            .find_map(|list| Some((&list.region, list.labour_rates.iter().find(is_it)?)));
        let ((of, rate), region) = found
            .zip(self.regions.first())
            .ok_or_else(|| self.no_rate(grade))?;
        let name = format!("regions/{of}/labourRates/{}", rate.id);
        let loaded = rate
            .loaded(region.currency, self.rounding.unwrap_or(region.rounding))
            .ok_or_else(|| too_large(&format!("the loaded rate of {name}")))?;
        let source = format!("{name}, {}: {}", rate.in_force.from(), rate.make_up());
        Ok(LoadedRate {
            grade: grade.clone(),
            amount: loaded.amount(),
            source: source.into(),
            name,
            wage: rate.wage,
        })
    }

    fn no_rate(&self, grade: &Grade) -> Fault {
        Fault::of_resource(
            format!("labourRates/{grade}"),
            "NO_LABOUR_RATE_IN_FORCE",
            format!(
                "no labour rate for {grade} is in force on {} in {}; put in a rate from that day or before",
                self.on,
                self.words()
            ),
        )
    }

    /// `regions/coast or its parents regions/county, regions/country`.
    fn words(&self) -> String {
        let names: Vec<String> = self
            .regions
            .iter()
            .map(|region| format!("regions/{}", region.id))
            .collect();
        match names.split_first() {
            None => "any region".to_owned(),
            Some((nearest, [])) => nearest.clone(),
            Some((nearest, parents)) => format!("{nearest} or its parents {}", parents.join(", ")),
        }
    }
}

fn currencies_differ(nearest: &Region, parent: &Region) -> Fault {
    Fault::of_resource(
        format!("regions/{}", parent.id),
        "CURRENCIES_DIFFER",
        format!(
            "region {} is paid in {} and {}, which answers for it, in {}; a chain of regions has one currency",
            nearest.id, nearest.currency, parent.id, parent.currency
        ),
    )
}
