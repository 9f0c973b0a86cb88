//! What does not hold between the things that a job says beside its walls: parts of the scope, costs, site time, where
//! materials are bought, its own build-up. Whether the price can bear them is for `build_up`.

use super::{Cost, CostDriver, Job, ScopeHolder, ScopeLine};
use crate::fault::Fault;
use crate::id::ScopePart;
use crate::library::Library;
use crate::material::Supply;
use crate::region::{Profit, allowance_faults};
use crate::takeoff::Order;

/// The drivers that site time must say.
const DRIVERS: [CostDriver; 4] = [
    CostDriver::PerWeek,
    CostDriver::PerDay,
    CostDriver::PerTrip,
    CostDriver::PerVisit,
];

impl Job {
    /// What does not hold across what it says of scope, costs, sources and build-up, by paths below the job:
    /// `costs[2].part`, `scope[1].part`, `sources[0].material`, `build_up.profit_percent`.
    pub fn commerce_faults(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        for (at, line) in self.scope.iter().enumerate() {
            faults.extend(part_twice(at, line, &self.scope[..at]));
        }
        for (at, cost) in self.costs.iter().enumerate() {
            faults.extend(self.part_not_ours(at, cost));
        }
        for (at, source) in self.sources.iter().enumerate() {
            let is_twice = |earlier: &super::Source| earlier.material == source.material;
            if self.sources[..at].iter().any(is_twice) {
                faults.push(Fault::of_field(
                    format!("sources[{at}].material"),
                    "SOURCE_TWICE",
                    format!(
                        "it is said twice where {} is bought; say it once",
                        source.material
                    ),
                ));
            }
        }
        faults.extend(self.build_up.profit.and_then(Profit::fault));
        faults.extend(allowance_faults(
            self.build_up.allowances.as_deref().unwrap_or_default(),
        ));
        faults
    }

    /// Who does a part of the building; `None` where no line of the scope says so.
    pub fn holder_of(&self, part: &ScopePart) -> Option<ScopeHolder> {
        let line = self.scope.iter().find(|line| line.part == *part)?;
        Some(line.holder)
    }

    fn part_not_ours(&self, at: usize, cost: &Cost) -> Option<Fault> {
        let part = cost.part.as_ref()?;
        let field = format!("costs[{at}].part");
        let found = match self.holder_of(part) {
            Some(ScopeHolder::Ours) => return None,
            None => {
                return Some(Fault::of_field(
                    field,
                    "PART_NOT_IN_SCOPE",
                    format!(
                        "{} is for {part}, which no line of the scope names; add {part} to the scope as ours, or leave the \
                         part out",
                        cost.item
                    ),
                ));
            }
            Some(ScopeHolder::ByOthers) => "is done by others",
            Some(ScopeHolder::Excluded) => "is not part of the works",
        };
        Some(Fault::of_field(
            field,
            "PART_NOT_OURS",
            format!(
                "{} is for {part}, which by the scope {found}; make the part ours, or take the cost out",
                cost.item
            ),
        ))
    }

    /// What an estimate needs of the site time and nobody said, a fault for each figure that is missing.
    pub(crate) fn site_time_lacks(&self) -> impl Iterator<Item = Fault> {
        DRIVERS.into_iter().filter_map(|driver| {
            let field = driver.field()?;
            let counted: Vec<&str> = self
                .costs
                .iter()
                .filter(|cost| cost.driver == driver)
                .map(|cost| cost.item.as_str())
                .collect();
            if counted.is_empty() || self.site_time.times(driver).is_some() {
                return None;
            }
            let word = driver.unit().word();
            Some(Fault::of_field(
                format!("site_time.{field}"),
                "SITE_TIME_MISSING",
                format!(
                    "{} comes back with each {word}, and the site time says of no {field}; give site_time.{field}",
                    counted.join(", ")
                ),
            ))
        })
    }

    /// Sources of what the job does not buy. A name that is misspelt would else send the order to another merchant without
    /// a word, so that an estimate is refused; a takeoff is not.
    pub(crate) fn idle_sources<'a>(
        &'a self,
        orders: &'a [Order],
        library: &'a Library,
    ) -> impl Iterator<Item = Fault> + 'a {
        let is_bought = move |order: &&Order| {
            let material = library.material(&order.material);
            material.is_some_and(|material| material.supply != Supply::Site)
        };
        self.sources.iter().enumerate().filter_map(move |(at, source)| {
            let mut bought = orders.iter().filter(is_bought);
            if bought.any(|order| order.material == source.material) {
                return None;
            }
            Some(Fault::of_field(
                format!("sources[{at}].material"),
                "SOURCE_NOT_ORDERED",
                format!(
                    "it is said where {} is bought, and the job buys none; name a material that it buys, or take the source out",
                    source.material
                ),
            ))
        })
    }
}

fn part_twice(at: usize, line: &ScopeLine, before: &[ScopeLine]) -> Option<Fault> {
    before
        .iter()
        .any(|earlier| earlier.part == line.part)
        .then(|| {
            Fault::of_field(
                format!("scope[{at}].part"),
                "SCOPE_PART_TWICE",
                format!(
                    "{} stands twice in the scope; say once who does it",
                    line.part
                ),
            )
        })
}
