//! How long 100,000 prices take through the store, checked, compared and told, against a bare bulk insert of the same rows
//! into the same table with the same constraints, each in one transaction of a database of its own. Prints both times,
//! their ratio, whose target is 2, and how far this program's memory rose meanwhile.
//!
//! `cargo bench -p hod-store --bench price_changes`

use std::io::Write;
use std::time::{Duration, Instant};

use hod_domain::material::{Material, Supply};
use hod_domain::price::{PriceRow, Terms};
use hod_domain::region::{BuildUp, Discount, Profit, Region, TaxBasis, Taxes};
use hod_domain::unit::Unit;
use hod_store::price_changes::{Applied, PriceChanges};
use hod_store::{FirmId, Session, Store, material, region};
use hod_testkit::database::TestDatabase;
use hod_units::{Currency, DateRange, Decimal, Rounding, Share, parse_date};
use sqlx::{ConnectOptions, Connection};
use uuid::Uuid;

const REGIONS: u32 = 10;
const MATERIALS: u32 = 200;
const SUPPLIERS: u32 = 50;
const PIECE: usize = 5_000;
const ROUNDS: usize = 3;

type Done<T> = Result<T, Box<dyn std::error::Error>>;

/// A firm with regions and materials and no price.
struct Ground {
    store: Store,
    firm: FirmId,
    database: TestDatabase,
}

impl Ground {
    async fn new() -> Done<Self> {
        let database = TestDatabase::new().await;
        let firm = FirmId::new(Uuid::new_v4());
        let mut owner = database.owner_options().connect().await?;
        let mut transaction = owner.begin().await?;
        sqlx::query("select set_config('hod.firm', $1, true)")
            .bind(firm.to_string())
            .execute(&mut *transaction)
            .await?;
        sqlx::query("insert into firm (firm_id, display_name) values ($1, 'Barrow Down Walls')")
            .bind(firm.uuid())
            .execute(&mut *transaction)
            .await?;
        transaction.commit().await?;
        let store = Store::connect(database.app_options(), 2).await?;
        let mut session = store.begin(firm).await?;
        furnish(&mut session).await?;
        session.commit().await?;
        Ok(Self {
            store,
            firm,
            database,
        })
    }
}

async fn furnish(session: &mut Session) -> Done<()> {
    for number in 0..REGIONS {
        region::insert(session, &made_region(number)?).await?;
    }
    for number in 0..MATERIALS {
        material::insert(session, &made_material(number)?).await?;
    }
    Ok(())
}

fn made_region(number: u32) -> Done<Region> {
    Ok(Region {
        id: format!("region-{number}").parse_id()?,
        display_name: format!("Region {number}"),
        parent: None,
        currency: Currency::parse("EUR")?,
        rounding: Rounding::HalfAwayFromZero,
        build_up: BuildUp {
            site_overhead: Share::ZERO,
            firm_overhead: Share::ZERO,
            contingency: Share::ZERO,
            profit: Profit::MarkupOnCost(Share::ZERO),
            taxes: Taxes {
                each: Vec::new(),
                basis: TaxBasis::Invoice,
            },
            allowances: Vec::new(),
            discount: Discount::None,
            minimum_charge: None,
            round_price_to: None,
            daywork: Share::ZERO,
        },
    })
}

fn made_material(number: u32) -> Done<Material> {
    Ok(Material {
        id: format!("material-{number}").parse_id()?,
        display_name: format!("Material {number}"),
        supply: Supply::Bought,
        purchase_unit: Unit::T,
        density_loose: None,
        bulking: Share::ZERO,
        swell: Share::ZERO,
        moisture: Share::ZERO,
        mass_per_unit: None,
        size: None,
        order_step: None,
        clay: Share::ZERO,
        group: None,
        source: "made up for a benchmark".to_owned(),
    })
}

/// Reads text as the id that is wanted.
trait ParseId {
    fn parse_id<T: Id>(&self) -> Result<T, hod_domain::id::IdFault>;
}

impl ParseId for String {
    fn parse_id<T: Id>(&self) -> Result<T, hod_domain::id::IdFault> {
        T::read(self)
    }
}

trait Id: Sized {
    fn read(text: &str) -> Result<Self, hod_domain::id::IdFault>;
}

impl Id for hod_domain::id::RegionId {
    fn read(text: &str) -> Result<Self, hod_domain::id::IdFault> {
        Self::parse(text)
    }
}

impl Id for hod_domain::id::MaterialId {
    fn read(text: &str) -> Result<Self, hod_domain::id::IdFault> {
        Self::parse(text)
    }
}

/// The rows in the order of a file, one supplier's after another's, made a piece at a time.
fn piece(from: u32) -> Done<Vec<PriceRow>> {
    let all = REGIONS * MATERIALS * SUPPLIERS;
    let last = all.min(from.saturating_add(u32::try_from(PIECE)?));
    (from..last).map(made_row).collect()
}

fn made_row(number: u32) -> Done<PriceRow> {
    let (supplier, rest) = (
        number / (REGIONS * MATERIALS),
        number % (REGIONS * MATERIALS),
    );
    Ok(PriceRow {
        row: number + 2,
        region: format!("region-{}", rest % REGIONS).parse_id()?,
        id: None,
        material: format!("material-{}", rest / REGIONS).parse_id()?,
        supplier: format!("Supplier {supplier}"),
        unit_price: Decimal::new(i64::from(1000 + number % 977), 2),
        unit: Unit::T,
        in_force: DateRange::new(parse_date("2026-01-01")?, None)?,
        source: "made up for a benchmark".to_owned(),
        terms: Terms::default(),
    })
}

async fn through_the_store(ground: &Ground) -> Done<Duration> {
    let began = Instant::now();
    let mut session = ground.store.begin(ground.firm).await?;
    session
        .limit_statement_time(Duration::from_secs(600))
        .await?;
    let mut changes = PriceChanges::begin(&mut session).await?;
    for from in (0..REGIONS * MATERIALS * SUPPLIERS).step_by(PIECE) {
        changes.add(&mut session, &piece(from)?).await?;
    }
    let applied = changes.apply(&mut session, None).await?;
    session.commit().await?;
    let took = began.elapsed();
    match applied {
        Applied::Done(summary) if summary.new == u64::from(REGIONS * MATERIALS * SUPPLIERS) => {
            Ok(took)
        }
        other => Err(format!("not all of it is new: {other:?}").into()),
    }
}

/// The same rows by arrays, a piece at a time, with nothing checked but by the table.
async fn bare(ground: &Ground) -> Done<Duration> {
    let mut connection = ground.database.app_options().connect().await?;
    let began = Instant::now();
    let mut transaction = connection.begin().await?;
    sqlx::query("select set_config('hod.firm', $1, true)")
        .bind(ground.firm.to_string())
        .execute(&mut *transaction)
        .await?;
    sqlx::query("insert into region_list select firm_id, region_id, currency_code, 1 from region")
        .execute(&mut *transaction)
        .await?;
    for from in (0..REGIONS * MATERIALS * SUPPLIERS).step_by(PIECE) {
        let rows = piece(from)?;
        let ids: Vec<String> = rows
            .iter()
            .map(|row| format!("price-{}", row.row))
            .collect();
        let regions: Vec<&str> = rows.iter().map(|row| row.region.as_str()).collect();
        let materials: Vec<&str> = rows.iter().map(|row| row.material.as_str()).collect();
        let suppliers: Vec<&str> = rows.iter().map(|row| row.supplier.as_str()).collect();
        let prices: Vec<Decimal> = rows.iter().map(|row| row.unit_price).collect();
        sqlx::query(
            "insert into price (firm_id, region_id, price_id, version_in, material_id, unit_price, unit, in_force, \
             supplier, source, break_from, break_price, lead_days, note) \
             select $1, region_id, price_id, 1, material_id, unit_price, 't', '[2026-01-01,)', supplier, \
                 'made up for a benchmark', '{}', '{}', 0, '' \
             from unnest($2::text[], $3::text[], $4::text[], $5::text[], $6::numeric[]) \
                 as row (price_id, region_id, material_id, supplier, unit_price)",
        )
        .bind(ground.firm.uuid())
        .bind(ids)
        .bind(regions)
        .bind(materials)
        .bind(suppliers)
        .bind(prices)
        .execute(&mut *transaction)
        .await?;
    }
    transaction.commit().await?;
    let took = began.elapsed();
    connection.close().await?;
    Ok(took)
}

/// The most memory that this program has had, in KiB.
fn peak() -> Done<u64> {
    let status = std::fs::read_to_string("/proc/self/status")?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    Ok(line
        .ok_or("no VmHWM")?
        .trim()
        .trim_end_matches(" kB")
        .parse()?)
}

#[tokio::main]
async fn main() -> Done<()> {
    let before = peak()?;
    let mut out = std::io::stdout();
    for _ in 0..ROUNDS {
        let store = through_the_store(&Ground::new().await?).await?;
        let rose = peak()?.saturating_sub(before);
        let bare = bare(&Ground::new().await?).await?;
        let ratio = store.as_secs_f64() / bare.as_secs_f64();
        writeln!(
            out,
            "100,000 prices: {store:.2?} through the store, {bare:.2?} bare; ratio {ratio:.2} (target 2); memory rose by {rose} KiB"
        )?;
    }
    Ok(())
}
