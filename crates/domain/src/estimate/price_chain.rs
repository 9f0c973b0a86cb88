//! The regions whose lists answer for a site, nearest first: who sells a material on the day, and what an hour costs.
//! The first region that has a price in force answers, and its name stays with the price. Which of several suppliers is
//! bought from is for `buying`.

use hod_units::{Date, Decimal};

use super::Inputs;
use super::tasks::ChosenTask;
use crate::buying::{Offer, Offers};
use crate::fault::{Fault, collect, too_large};
use crate::id::{Grade, MaterialId};
use crate::job::{Job, Source};
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
    job: &'a Job,
}

/// What an order is bought at.
pub(super) enum Answer<'a> {
    /// Nothing: it is dug or drawn on the site.
    Site,
    /// The price of one of these.
    Bought(&'a Material, Offers<'a>),
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
            job,
        }
    }

    /// What every order is bought at, in their order; what is missing or cannot be reckoned with goes to the faults.
    pub fn prices(
        &self,
        orders: &[Order],
        library: &'a Library,
        faults: &mut Vec<Fault>,
    ) -> Vec<Answer<'a>> {
        let mut prices = Vec::with_capacity(orders.len());
        for order in orders {
            if let Some(material) = library.material(&order.material) {
                prices.extend(collect(faults, self.priced(material)));
            }
        }
        prices
    }

    /// Asks the price of everything that a job may come to order; what is missing or cannot be reckoned with goes to the
    /// faults.
    pub fn price_all(&self, library: &'a Library, faults: &mut Vec<Fault>) {
        let of_mixes = library.recipes.iter().flat_map(Recipe::portions);
        let mut materials: Vec<MaterialId> = self.job.materials();
        materials.extend(of_mixes.map(|portion| portion.material.clone()));
        for (at, id) in materials.iter().enumerate() {
            let is_first = !materials[..at].contains(id);
            if let Some(material) = library.material(id).filter(|_| is_first) {
                collect(faults, self.priced(material));
            }
        }
    }

    fn priced(&self, material: &'a Material) -> Result<Answer<'a>, Vec<Fault>> {
        if material.supply == Supply::Site {
            return Ok(Answer::Site);
        }
        let mut sources = self.job.sources.iter();
        let source = sources.find(|source| source.material == material.id);
        let offers = self.offers(material, source)?;
        Ok(Answer::Bought(material, offers))
    }

    /// Those who sell a material in the nearest region that has a price of it in force, of the supplier that the job names
    /// when it names one.
    fn offers(
        &self,
        material: &Material,
        source: Option<&Source>,
    ) -> Result<Offers<'a>, Vec<Fault>> {
        let supplier = source.and_then(|source| source.supplier.as_deref());
        let distance = source.and_then(|source| source.distance_km);
        let is_in_force =
            |price: &&Price| price.material == material.id && price.in_force.contains(self.on);
        let may_answer = |price: &Price| supplier.is_none_or(|named| price.supplier == named);
        let found = self.lists.iter().find_map(|list| {
            let mut prices = list.prices.iter().filter(is_in_force);
            Some((list, prices.find(|price| may_answer(price))?))
        });
        let (list, first) = found.ok_or_else(|| vec![self.no_price(material, supplier)])?;
        let offer = |price| Offer::new(&list.region, price, material, distance);
        let mut faults = Vec::new();
        let first_offer = collect(&mut faults, offer(first));
        let (mut rest, mut passed_over) = (Vec::new(), Vec::new());
        let is_other = |price: &&Price| !std::ptr::eq(*price, first);
        for price in list.prices.iter().filter(is_in_force).filter(is_other) {
            if may_answer(price) {
                rest.extend(collect(&mut faults, offer(price)));
            } else {
                // The job's distance is that of the supplier that it names. Another whose order cannot be reckoned stands
                // in nobody's way.
                passed_over.extend(Offer::new(&list.region, price, material, None));
            }
        }
        match first_offer {
            Some(first) if faults.is_empty() => Ok(Offers {
                first,
                rest,
                passed_over,
            }),
            _ => Err(faults),
        }
    }

    fn no_price(&self, material: &Material, supplier: Option<&str>) -> Fault {
        let (id, unit) = (&material.id, material.purchase_unit.word());
        let (of, or_else) = match supplier {
            None => (String::new(), ""),
            Some(named) => (
                format!(" of {named}, from whom the job buys it,"),
                ", or take the supplier out of the job's sources",
            ),
        };
        Fault::of_resource(
            format!("materials/{id}"),
            "NO_PRICE_IN_FORCE",
            format!(
                "no price for {id}{of} is in force on {} in {}; put in a price for one {unit} from that day or before{or_else}",
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
            .loaded(
                region.currency,
                self.job.rounding.unwrap_or(region.rounding),
            )
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
