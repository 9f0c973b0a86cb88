//! Many prices in one act, over several regions: all of them or none, one new version for each list that really changes.
//! Rows are staged in tables of the transaction's own, checked and compared there as sets, and put in force by a handful of
//! statements, so that memory here stays that of one piece however many rows there are. Where rows come from, a file or a
//! rule for those that stand, is for the caller.
//!
//! [`PriceChanges::begin`], [`PriceChanges::add`] as often as wanted, [`PriceChanges::apply`] once, then [`page`] for what
//! became of each. Nothing is kept before the session is committed.

use hod_domain::id::{MaterialId, PriceId, RegionId};
use hod_domain::price::PriceRow;
use hod_domain::unit::Unit;
use hod_units::{Currency, Date, Decimal};

use crate::fault::StoreFault;
use crate::price::terms::Columns;
use crate::session::Session;

mod check;
mod compare;
mod copy;
mod force;
mod tables;
mod told;

pub use self::told::page;

/// What becomes of a price.
pub use hod_domain::price::PriceChange as ChangeKind;

/// Faults that are told one by one; more are counted.
pub const FAULTS_TOLD_MAX: usize = 1000;

/// A row that cannot be put in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowFault {
    /// Which, as the caller counts.
    pub row: u32,
    /// Why not.
    pub reason: RowFaultReason,
}

/// Why a row cannot be put in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RowFaultReason {
    /// There is no such region.
    UnknownRegion,
    /// There is no such material.
    UnknownMaterial,
    /// The material comes from the site and has no price.
    FromSite,
    /// The material is ordered in another unit: this one.
    OtherUnit(Unit),
    /// This earlier row is for the same region, material, supplier and first day.
    Twice {
        /// The earlier row.
        of: u32,
    },
    /// This earlier row holds longer than the day on which this one begins.
    Overlaps {
        /// The earlier row.
        with: u32,
    },
    /// A price of another material or supplier, or another row, has the id.
    IdTaken,
    /// Numbers of it do not fit: which, and how.
    Number(String),
}

/// What became of one price.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceChange {
    /// Its place among the changes, for the next [`page`].
    pub place: i64,
    /// The row that asked for it, as the caller counts; none for one that was not named.
    pub row: Option<u32>,
    /// What became of it.
    pub kind: ChangeKind,
    /// Whose list.
    pub region: RegionId,
    /// Of what is paid in there.
    pub currency: Currency,
    /// The new price, or the one that closes.
    pub price: PriceId,
    /// What it is for.
    pub material: MaterialId,
    /// Who sells at it.
    pub supplier: String,
    /// Its unit.
    pub unit: Unit,
    /// Money per unit of the price in force until then; none for a new one.
    pub before: Option<Decimal>,
    /// Money per unit from then on; none for one that closes.
    pub after: Option<Decimal>,
    /// The first day of the change.
    pub start: Date,
}

/// What many changes came to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Summary {
    /// Rows asked for.
    pub rows: u64,
    /// New prices.
    pub new: u64,
    /// Raised.
    pub raised: u64,
    /// Lowered.
    pub lowered: u64,
    /// The same as before.
    pub same: u64,
    /// Closed.
    pub closed: u64,
    /// Altered otherwise.
    pub altered: u64,
    /// The lists that have a new version, and which, by region.
    pub list_versions: Vec<(RegionId, i64)>,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq)]
pub enum Applied {
    /// In force, once the session is committed.
    Done(Summary),
    /// Nothing was changed: the first [`FAULTS_TOLD_MAX`] faults by row, and how many there are.
    Faulty(Vec<RowFault>, u64),
}

/// Changes being gathered in a session.
#[derive(Debug)]
pub struct PriceChanges {
    rows: u64,
    faults: Vec<RowFault>,
    fault_count: u64,
}

impl PriceChanges {
    /// Begins to gather changes; what another has gathered in this session and not put in force is forgotten.
    pub async fn begin(session: &mut Session) -> Result<Self, StoreFault> {
        tables::make(session).await?;
        Ok(Self {
            rows: 0,
            faults: Vec::new(),
            fault_count: 0,
        })
    }

    /// Adds rows; some thousands at a time are quickest.
    pub async fn add(
        &mut self,
        session: &mut Session,
        rows: &[PriceRow],
    ) -> Result<(), StoreFault> {
        let mut text = copy::Text::with_rows(rows.len());
        for row in rows {
            self.rows += 1;
            match Columns::of(row.unit_price, &row.terms) {
                Ok(columns) => text.push(self.rows, row, &columns),
                Err(StoreFault::Refused { message, .. }) => self.note(row.row, message),
                Err(other) => return Err(other),
            }
        }
        copy::send(session, text).await
    }

    fn note(&mut self, row: u32, message: String) {
        self.fault_count += 1;
        if self.faults.len() < FAULTS_TOLD_MAX {
            let reason = RowFaultReason::Number(message);
            self.faults.push(RowFault { row, reason });
        }
    }

    /// Puts all of it in force, or nothing when a row is at fault. With `close_missing`, prices of the rows' regions in
    /// force on that day whose region, material and supplier no row names end the day before.
    pub async fn apply(
        mut self,
        session: &mut Session,
        close_missing: Option<Date>,
    ) -> Result<Applied, StoreFault> {
        tables::count_staged(session).await?;
        let (found, count) = check::faults(session).await?;
        self.faults.extend(found);
        self.fault_count += count;
        if 0 < self.fault_count {
            self.faults.sort_by_key(|fault| fault.row);
            self.faults.truncate(FAULTS_TOLD_MAX);
            return Ok(Applied::Faulty(self.faults, self.fault_count));
        }
        force::lock_lists(session).await?;
        compare::rows(session).await?;
        if let Some(day) = close_missing {
            compare::missing(session, day).await?;
        }
        compare::name(session).await?;
        let list_versions = force::all(session).await?;
        told::summary(session, self.rows, list_versions)
            .await
            .map(Applied::Done)
    }
}
