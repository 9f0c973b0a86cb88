//! Invented estimates, built up as the engine builds them, for the tests to vary.

use hod_domain::basis::Basis;
use hod_domain::build_up::{InForce, build_up};
use hod_domain::estimate::{LabourLine, Line, LineKind, WorkLine};
use hod_domain::id::{Grade, LabourConstantId, Method, RegionId, ScopePart};
use hod_domain::job::{Job, ScopeHolder, ScopeLine};
use hod_domain::quote::{IssueTerms, PricedEstimate, PricedLine, Retention};
use hod_domain::region::{BuildUp, Profit, Region, Tax, TaxBasis, Taxes};
use hod_domain::text::Text;
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_units::{Currency, Date, Decimal, Hours, Money, Rounding, Share, parse_date};
use rust_decimal::dec;

pub fn day(text: &str) -> Date {
    parse_date(text).expect("a date")
}

pub fn euro() -> Currency {
    Currency::parse("EUR").expect("in the list")
}

pub fn money(amount: Decimal) -> Money {
    Money::new(amount, euro())
}

pub fn percent(percent: Decimal) -> Share {
    Share::from_percent(percent)
}

pub fn grade(text: &str) -> Grade {
    Grade::parse(text).expect("an id")
}

pub fn part(text: &str) -> ScopePart {
    ScopePart::parse(text).expect("an id")
}

pub fn tax(label: &str, of: Decimal) -> Tax {
    Tax {
        label: label.to_owned(),
        share: percent(of),
        parts: Vec::new(),
    }
}

/// Direct cost or income before it is built up: so much at a price, for a part or for none.
#[derive(Debug, Clone, PartialEq)]
pub struct Counted {
    pub kind: LineKind,
    pub item: String,
    pub unit: Unit,
    pub quantity: Decimal,
    pub unit_price: Decimal,
    pub part: Option<ScopePart>,
}

pub fn counted(
    kind: LineKind,
    item: &str,
    unit: Unit,
    quantity: Decimal,
    unit_price: Decimal,
) -> Counted {
    Counted {
        kind,
        item: item.to_owned(),
        unit,
        quantity,
        unit_price,
        part: None,
    }
}

impl Counted {
    pub fn of(self, name: &str) -> Self {
        Self {
            part: Some(part(name)),
            ..self
        }
    }

    /// As an estimate has it: income stands below 0.
    fn line(&self, currency: Currency, rounding: Rounding) -> Line {
        let unit_price = match self.kind {
            LineKind::Income => -self.unit_price,
            _ => self.unit_price,
        };
        Line {
            kind: self.kind,
            item: Text::from(self.item.clone()),
            quantity: self.quantity,
            unit: self.unit,
            unit_price: Some(unit_price),
            price_source: Text::default(),
            amount: Money::new(self.quantity * unit_price, currency).rounded(rounding),
            basis: Basis::default(),
            part: self.part.clone(),
        }
    }
}

/// All of a price that a test says.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    pub currency: Currency,
    pub rounding: Rounding,
    pub counted: Vec<Counted>,
    pub works: Vec<WorkLine>,
    pub build_up: BuildUp,
}

impl Said {
    pub fn of(counted: Vec<Counted>) -> Self {
        Self {
            currency: euro(),
            rounding: Rounding::default(),
            counted,
            works: Vec::new(),
            build_up: plain_build_up(),
        }
    }

    /// Built up by the engine; `None` where it refuses.
    pub fn built_up(&self) -> Option<PricedEstimate> {
        let region = Region {
            id: RegionId::parse("coast").expect("an id"),
            display_name: "coast".to_owned(),
            parent: None,
            currency: self.currency,
            rounding: self.rounding,
            build_up: self.build_up.clone(),
        };
        let mut lines: Vec<Line> = self
            .counted
            .iter()
            .map(|counted| counted.line(self.currency, self.rounding))
            .collect();
        lines.sort_by_key(|line| line.kind.place());
        let (income, direct): (Vec<_>, Vec<_>) = lines
            .into_iter()
            .partition(|line| line.kind == LineKind::Income);
        let job = Job::default();
        let lines = build_up(&InForce::of(&region, &job), direct, income).ok()?;
        Some(PricedEstimate {
            display_name: "Garden store".to_owned(),
            currency: self.currency,
            rounding: self.rounding,
            price_date: day("2026-03-01"),
            labour: lines.iter().filter_map(labour_line).collect(),
            lines: lines.iter().map(priced_line).collect(),
            works: self.works.clone(),
            scope: Vec::new(),
            measured: Vec::new(),
            build_up: self.build_up.clone(),
            daywork_rates: Vec::new(),
            cautions: Vec::new(),
            provisional: Vec::new(),
            lift_count: 24,
        })
    }

    pub fn estimate(&self) -> PricedEstimate {
        self.built_up().expect("a price that holds")
    }
}

fn priced_line(line: &Line) -> PricedLine {
    PricedLine {
        kind: line.kind,
        item: line.item.to_string(),
        quantity: line.quantity,
        unit: line.unit,
        unit_price: line.unit_price,
        amount: line.amount,
        part: line.part.clone(),
    }
}

/// A line of labour in short: its item is a task and a grade.
fn labour_line(line: &Line) -> Option<LabourLine> {
    let (word, of) = line.item.split_once(", ")?;
    let task = Task::ALL.iter().find(|task| task.word() == word)?;
    (line.kind == LineKind::Labour).then(|| LabourLine {
        task: *task,
        grade: grade(of),
        hours: Hours::from_hours(line.quantity),
        amount: line.amount,
    })
}

/// A build-up that adds nothing but a tax of 20 %.
pub fn plain_build_up() -> BuildUp {
    BuildUp {
        profit: Profit::MarkupOnCost(Share::ZERO),
        taxes: Taxes {
            each: vec![tax("VAT", dec!(20))],
            basis: TaxBasis::Invoice,
        },
        ..BuildUp::default()
    }
}

/// Every step of a build-up at some percentage.
pub fn full_build_up() -> BuildUp {
    BuildUp {
        site_overhead: percent(dec!(6)),
        firm_overhead: percent(dec!(12)),
        contingency: percent(dec!(8)),
        profit: Profit::MarginOnPrice(percent(dec!(20))),
        ..plain_build_up()
    }
}

/// A small job: materials, labour, hire, a permit, a roof that is ours, and a provisional sum.
pub fn small_job() -> Said {
    Said {
        build_up: full_build_up(),
        ..Said::of(vec![
            counted(LineKind::Material, "sand", Unit::T, dec!(12.5), dec!(32.4)),
            counted(
                LineKind::Labour,
                "place, lead",
                Unit::H,
                dec!(41.25),
                dec!(31),
            ),
            counted(LineKind::Equipment, "mixer", Unit::Week, dec!(3), dec!(140)),
            counted(
                LineKind::Fee,
                "building permit",
                Unit::Sum,
                dec!(1),
                dec!(380),
            ),
            counted(
                LineKind::Subcontract,
                "rafters",
                Unit::M2,
                dec!(46),
                dec!(87.5),
            )
            .of("roof"),
            counted(
                LineKind::Material,
                "roofing felt",
                Unit::M2,
                dec!(50),
                dec!(4.2),
            )
            .of("roof"),
            counted(
                LineKind::ProvisionalSum,
                "rock in the trench",
                Unit::Sum,
                dec!(1),
                dec!(600),
            ),
        ])
    }
}

pub fn scope(name: &str, holder: ScopeHolder, note: &str) -> ScopeLine {
    ScopeLine {
        part: part(name),
        display_name: String::new(),
        holder,
        note: note.to_owned(),
    }
}

/// Terms that hold for any of these estimates.
pub fn terms() -> IssueTerms {
    IssueTerms {
        client: "the people at the mill".to_owned(),
        site_display_name: "Quarry lane".to_owned(),
        issue_date: day("2026-03-05"),
        validity_days: 30,
        terms: "Payment within 14 days.".to_owned(),
        exclusions: Vec::new(),
        assumptions: Vec::new(),
        stages: Vec::new(),
        retention: Retention {
            share: Share::ZERO,
            months: 0,
        },
        provisional_reasons: Vec::new(),
        revised_number: 0,
    }
}

/// What a constant counted.
pub fn work(
    task: Task,
    method: Option<&str>,
    driver: Driver,
    quantity: Decimal,
    hours_per_unit: Decimal,
) -> WorkLine {
    WorkLine {
        task,
        method: method.map(|method| Method::parse(method).expect("an id")),
        labour_constant: LabourConstantId::parse("some-constant").expect("an id"),
        driver,
        quantity,
        hours_per_unit,
        hours: quantity * hours_per_unit,
    }
}
