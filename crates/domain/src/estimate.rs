//! The estimate: a job's takeoff priced on a date, line by line: direct cost from material to what is allowed for, overhead,
//! contingency, profit, what adjusts the price, tax. Every line carries its basis, and what is shown adds up to the total.
//!
//! Whatever is missing is named, all of it at once, and never guessed. Keeping an estimate is for the store.

use hod_units::{Currency, Date, Decimal, Hours, Money, Rounding};

use self::price_chain::{Answer, LoadedRate, PriceChain};
use self::tasks::ChosenTask;
use crate::basis::Basis;
use crate::build_up::{InForce, STEPS, build_up};
use crate::buying::{Charged, Purchase};
use crate::fault::{Fault, collect, too_large};
use crate::id::{CrewId, Grade, LabourConstantId, Method, ScopePart, SiteId};
use crate::job::{Job, ScopeLine};
use crate::library::Library;
use crate::price::PriceList;
use crate::region::{BuildUp, PricePart, Region};
use crate::site::Site;
use crate::takeoff::{self, Takeoff};
use crate::text::Text;
use crate::unit::Unit;
use crate::work::{Crew, Driver, LabourConstant, Task};

mod costs;
mod daywork;
mod labour;
mod material;
mod price_chain;
mod provisional;
mod tasks;

/// The engine that makes an estimate; kept with it, so that a later one can say what changed.
pub const ENGINE_VERSION: &str = env!("CARGO_PKG_VERSION");

/// What a job is priced with.
#[derive(Debug, Clone, PartialEq)]
pub struct Inputs {
    /// The day whose prices and rates hold.
    pub on: Date,
    /// Where the job stands.
    pub site: Site,
    /// The site's region, whose build-up, currency and rounding hold; then its parents, nearest first.
    pub regions: Vec<Region>,
    /// Their lists, in the same order.
    pub lists: Vec<PriceList>,
    /// What the job draws on.
    pub library: Library,
    /// The job's crew.
    pub crew: Crew,
    /// All labour constants that there are to choose from.
    pub constants: Vec<LabourConstant>,
}

/// A takeoff priced on a date.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// Of every amount.
    pub currency: Currency,
    /// What was measured.
    pub takeoff: Takeoff,
    /// The lines, direct cost first; see [`LineKind::place`].
    pub lines: Vec<Line>,
    /// The hours, in the order of the work.
    pub labour: Vec<LabourLine>,
    /// The sums of the lines.
    pub totals: Totals,
    /// Batches of all mixes.
    pub batch_count: u32,
    /// What is bought, in the order of the lines; nothing of what comes from the site.
    pub purchases: Vec<Purchase>,
    /// What the hours were counted by.
    pub works: Vec<WorkLine>,
    /// Who does which part.
    pub scope: Vec<ScopeLine>,
    /// The build-up that holds: the region's with what the job says otherwise.
    pub build_up: BuildUp,
    /// How money is rounded.
    pub rounding: Rounding,
    /// What an hour costs the client, by grade.
    pub daywork_rates: Vec<DayworkRate>,
    /// Why a quote of it is only provisional.
    pub provisional: Vec<ProvisionalMatter>,
}

/// What a labour constant was counted by.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkLine {
    /// What is done.
    pub task: Task,
    /// By which method; none: any.
    pub method: Option<Method>,
    /// The constant.
    pub labour_constant: LabourConstantId,
    /// What it counts by.
    pub driver: Driver,
    /// How much of that there is, to 0.000001.
    pub quantity: Decimal,
    /// Likely hours to one, times what the crew takes of a practised one's.
    pub hours_per_unit: Decimal,
    /// Their product, to 0.000001.
    pub hours: Decimal,
}

/// What an hour of a grade costs the client when work is paid by the hour.
#[derive(Debug, Clone, PartialEq)]
pub struct DayworkRate {
    /// Whose hour.
    pub grade: Grade,
    /// Money an hour before tax.
    pub rate: Money,
    /// How it came about.
    pub basis: Basis,
}

/// Something for which an estimate is only provisional.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProvisionalMatter {
    /// Which.
    pub reason: ProvisionalCause,
    /// What it is about; empty for the whole job.
    pub subject: String,
    /// In words.
    pub description: String,
}

/// What makes an estimate provisional.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ProvisionalCause {
    /// Somebody works for nothing.
    WageZero,
    /// Nothing is put by for what goes wrong.
    ContingencyZero,
    /// No trial justifies a mix.
    MixNotTested,
}

impl ProvisionalCause {
    /// For programs, in capitals.
    pub const fn reason(self) -> &'static str {
        match self {
            Self::WageZero => "WAGE_ZERO",
            Self::ContingencyZero => "CONTINGENCY_ZERO",
            Self::MixNotTested => "MIX_NOT_TESTED",
        }
    }
}

/// What a line is for. A closed list, the oldest first; where lines stand in an estimate is said by [`LineKind::place`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LineKind {
    /// Bought or dug.
    Material,
    /// Hours of a task and grade.
    Labour,
    /// Hired or worn.
    Equipment,
    /// Direct cost that is none of these.
    Other,
    /// Site overhead and firm overhead.
    Overhead,
    /// Contingency.
    Contingency,
    /// Profit.
    Profit,
    /// Tax.
    Tax,
    /// Work that others do for us.
    Subcontract,
    /// Fees.
    Fee,
    /// Travel and lodging.
    Travel,
    /// Provisional sums.
    ProvisionalSum,
    /// Workshop income, below 0.
    Income,
    /// Discount, below 0.
    Discount,
    /// Up to the least that is charged.
    MinimumCharge,
    /// To a round figure.
    Rounding,
}

impl LineKind {
    /// Where its lines stand in an estimate, the first at 0.
    pub const fn place(self) -> u32 {
        match self {
            Self::Material => 0,
            Self::Labour => 1,
            Self::Equipment => 2,
            Self::Subcontract => 3,
            Self::Fee => 4,
            Self::Travel => 5,
            Self::ProvisionalSum => 6,
            Self::Other => 7,
            Self::Overhead => 8,
            Self::Contingency => 9,
            Self::Profit => 10,
            Self::Income => 11,
            Self::Discount => 12,
            Self::MinimumCharge => 13,
            Self::Rounding => 14,
            Self::Tax => 15,
        }
    }

    /// The part of the price that its lines are of; `None` for what adjusts the whole price, and for tax.
    pub const fn part(self) -> Option<PricePart> {
        Some(match self {
            Self::Material => PricePart::Material,
            Self::Labour => PricePart::Labour,
            Self::Equipment => PricePart::Equipment,
            Self::Subcontract => PricePart::Subcontract,
            Self::Fee => PricePart::Fee,
            Self::Travel => PricePart::Travel,
            Self::ProvisionalSum => PricePart::ProvisionalSum,
            Self::Other => PricePart::Other,
            Self::Overhead | Self::Contingency | Self::Profit => PricePart::OnCost,
            Self::Income | Self::Discount | Self::MinimumCharge | Self::Rounding | Self::Tax => {
                return None;
            }
        })
    }
}

/// A line of an estimate: `amount` is quantity times unit price, rounded; on a step of the build-up what the basis
/// comes to, rounded.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What it is for.
    pub kind: LineKind,
    /// What it is: a material's name, a task and grade, a step of the build-up.
    pub item: Text,
    /// How much, in `unit`; on a step of the build-up its percentage.
    pub quantity: Decimal,
    /// What it is counted in.
    pub unit: Unit,
    /// Money to one unit; `None` on a step of the build-up.
    pub unit_price: Option<Decimal>,
    /// Where the unit price came from: `regions/coast/prices/sand-2026, 2026-03-01`; empty without one.
    pub price_source: Text,
    /// Rounded to the currency's minor unit.
    pub amount: Money,
    /// How the quantity came about; on a step of the build-up, the amount.
    pub basis: Basis,
    /// The part of the scope that it is for.
    pub part: Option<ScopePart>,
}

/// Hours of a task for a grade.
#[derive(Debug, Clone, PartialEq)]
pub struct LabourLine {
    /// What is done.
    pub task: Task,
    /// Who does it.
    pub grade: Grade,
    /// Person-hours, to 0.01.
    pub hours: Hours,
    /// As on its line.
    pub amount: Money,
}

/// The sums of the lines by kind. `total` is the sum of the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Totals {
    /// Materials.
    pub material: Money,
    /// Labour.
    pub labour: Money,
    /// Equipment.
    pub equipment: Money,
    /// Other direct cost.
    pub other: Money,
    /// Site and firm overhead.
    pub overhead: Money,
    /// Contingency.
    pub contingency: Money,
    /// Profit.
    pub profit: Money,
    /// Tax.
    pub tax: Money,
    /// Subcontract.
    pub subcontract: Money,
    /// Fees.
    pub fee: Money,
    /// Travel and lodging.
    pub travel: Money,
    /// Provisional sums.
    pub provisional_sum: Money,
    /// Workshop income, below 0.
    pub income: Money,
    /// Discount, below 0.
    pub discount: Money,
    /// Made up to the minimum charge.
    pub minimum_charge: Money,
    /// To a round figure.
    pub rounding: Money,
    /// All of them.
    pub total: Money,
}

/// What a job must name before anything can be fetched to price it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Named<'job> {
    /// Where it stands.
    pub site: &'job SiteId,
    /// Who works.
    pub crew: &'job CrewId,
}

/// What the job names, for whoever fetches the inputs; refused with every name that is missing.
pub fn named(job: &Job) -> Result<Named<'_>, Vec<Fault>> {
    if let (Some(site), Some(crew)) = (&job.site, &job.crew) {
        return Ok(Named { site, crew });
    }
    let lacks = [
        (
            job.site.is_none(),
            "site",
            "JOB_NAMES_NO_SITE",
            "the job names no site; give the site whose region's prices hold",
        ),
        (
            job.crew.is_none(),
            "crew",
            "JOB_NAMES_NO_CREW",
            "the job names no crew; give who works, such as practised",
        ),
    ];
    let fault = |(_, field, reason, message): (bool, &str, _, &str)| {
        Fault::of_field(field, reason, message)
    };
    Err(lacks.into_iter().filter(|lack| lack.0).map(fault).collect())
}

/// What a takeoff lacks that an estimate would need of the job and of the labour constants, for a job of which more is
/// not known: where it stands, who works, or on which day.
pub fn lacks(takeoff: &Takeoff, constants: &[LabourConstant]) -> Vec<Fault> {
    let mut faults = takeoff.lacks.clone();
    tasks::choose(&takeoff.works, constants, &mut faults);
    faults
}

/// Prices a job. Refused with every fault of its walls, everything that it does not name and everything that its
/// inputs lack.
pub fn estimate(job: &Job, inputs: &Inputs) -> Result<Estimate, Vec<Fault>> {
    let mut faults = Vec::new();
    collect(&mut faults, named(job).map(|_| ()));
    let takeoff = collect(&mut faults, takeoff::measure(job, &inputs.library));
    let crew = format!("crews/{}", inputs.crew.id);
    faults.extend(
        inputs
            .crew
            .faults()
            .into_iter()
            .map(|fault| fault.about(&crew)),
    );
    let chain = PriceChain::of(job, inputs, &mut faults);
    let Some(mut takeoff) = takeoff else {
        // What is not measured still has its price asked for, so that a missing one is told in the same round.
        chain.price_all(&inputs.library, &mut faults);
        return Err(faults);
    };
    faults.append(&mut takeoff.lacks);
    let prices = chain.prices(&takeoff.orders, &inputs.library, &mut faults);
    let tasks = tasks::choose(&takeoff.works, &inputs.constants, &mut faults);
    let rates = chain.rates(&tasks, &inputs.crew, &mut faults);
    match inputs.regions.first() {
        Some(region) if faults.is_empty() => {
            let priced = Priced {
                job,
                inputs,
                in_force: InForce::of(region, job),
                rates,
            };
            let figures = priced.figures(&takeoff, &prices, &tasks);
            let figures = figures.map_err(|fault| vec![fault])?;
            Ok(priced.estimate(figures, takeoff))
        }
        _ => Err(faults),
    }
}

/// All that an estimate needs beside its takeoff, found and checked.
struct Priced<'a> {
    job: &'a Job,
    inputs: &'a Inputs,
    in_force: InForce<'a>,
    rates: Vec<LoadedRate>,
}

/// What an estimate comes to.
struct Figures {
    lines: Vec<Line>,
    labour: Labour,
    purchases: Vec<Purchase>,
    totals: Totals,
    daywork_rates: Vec<DayworkRate>,
}

/// What is worked.
struct Labour {
    lines: Vec<LabourLine>,
    works: Vec<WorkLine>,
}

impl Priced<'_> {
    fn estimate(&self, figures: Figures, takeoff: Takeoff) -> Estimate {
        let in_force = &self.in_force;
        let paid = self.paid(&figures.labour.lines);
        let provisional = provisional::matters(paid, in_force.build_up(), &takeoff.cautions);
        Estimate {
            currency: in_force.currency(),
            lines: figures.lines,
            labour: figures.labour.lines,
            totals: figures.totals,
            batch_count: takeoff.batch_count.unwrap_or_default(),
            purchases: figures.purchases,
            works: figures.labour.works,
            scope: self.job.scope.clone(),
            build_up: in_force.build_up().clone(),
            rounding: in_force.rounding(),
            daywork_rates: figures.daywork_rates,
            provisional,
            takeoff,
        }
    }

    fn figures(
        &self,
        takeoff: &Takeoff,
        prices: &[Answer],
        tasks: &[ChosenTask],
    ) -> Result<Figures, Fault> {
        let in_force = &self.in_force;
        let (currency, rounding) = (in_force.currency(), in_force.rounding());
        let labour_lines = tasks.len() * self.inputs.crew.make_up.len();
        let room = prices.len() + labour_lines + self.job.costs.len() + STEPS;
        let mut lines = Vec::with_capacity(room);
        let charged = Charged { currency, rounding };
        let purchases = material::buy(&takeoff.orders, prices, charged, &mut lines)?;
        let labour = self.add_labour(tasks, labour_lines, &mut lines)?;
        let income = costs::add(self.job, in_force.region(), &mut lines)?;
        let lines = build_up(in_force, lines, income)?;
        let overflow = || too_large("the price of the job");
        let daywork_rates = daywork::rates(self.paid(&labour.lines), in_force);
        Ok(Figures {
            totals: Totals::of(currency, &lines).ok_or_else(overflow)?,
            lines,
            labour,
            purchases,
            daywork_rates: daywork_rates.ok_or_else(overflow)?,
        })
    }

    /// The rates of the grades that really work.
    fn paid(&self, labour: &[LabourLine]) -> impl Iterator<Item = &LoadedRate> {
        let works = |rate: &&LoadedRate| labour.iter().any(|line| line.grade == rate.grade);
        self.rates.iter().filter(works)
    }

    fn add_labour(
        &self,
        tasks: &[ChosenTask],
        room: usize,
        lines: &mut Vec<Line>,
    ) -> Result<Labour, Fault> {
        let Inputs { crew, site, .. } = self.inputs;
        let crew_source = Text::from(format!("crews/{}", crew.id));
        let mut done = Labour {
            lines: Vec::with_capacity(room),
            works: Vec::with_capacity(tasks.len()),
        };
        for chosen in tasks {
            let overflow = || too_large(&format!("the work to {}", chosen.task.word()));
            let hours = labour::hours(chosen, site, crew, &crew_source, &mut done.works);
            for graded in hours.ok_or_else(overflow)? {
                let (line, summary) = graded
                    .line(chosen.task, &self.rates, self.in_force.region())
                    .ok_or_else(overflow)?;
                lines.push(line);
                done.lines.push(summary);
            }
        }
        Ok(done)
    }
}

impl Totals {
    /// The sums of lines by kind, and of those; `None` on overflow.
    fn of(currency: Currency, lines: &[Line]) -> Option<Self> {
        let nothing = Money::zero(currency);
        let mut totals = Self {
            material: nothing,
            labour: nothing,
            equipment: nothing,
            other: nothing,
            overhead: nothing,
            contingency: nothing,
            profit: nothing,
            tax: nothing,
            subcontract: nothing,
            fee: nothing,
            travel: nothing,
            provisional_sum: nothing,
            income: nothing,
            discount: nothing,
            minimum_charge: nothing,
            rounding: nothing,
            total: nothing,
        };
        for line in lines {
            let of_kind = match line.kind {
                LineKind::Material => &mut totals.material,
                LineKind::Labour => &mut totals.labour,
                LineKind::Equipment => &mut totals.equipment,
                LineKind::Other => &mut totals.other,
                LineKind::Overhead => &mut totals.overhead,
                LineKind::Contingency => &mut totals.contingency,
                LineKind::Profit => &mut totals.profit,
                LineKind::Tax => &mut totals.tax,
                LineKind::Subcontract => &mut totals.subcontract,
                LineKind::Fee => &mut totals.fee,
                LineKind::Travel => &mut totals.travel,
                LineKind::ProvisionalSum => &mut totals.provisional_sum,
                LineKind::Income => &mut totals.income,
                LineKind::Discount => &mut totals.discount,
                LineKind::MinimumCharge => &mut totals.minimum_charge,
                LineKind::Rounding => &mut totals.rounding,
            };
            *of_kind = of_kind.checked_add(line.amount).ok()?;
            totals.total = totals.total.checked_add(line.amount).ok()?;
        }
        Some(totals)
    }
}
