//! The price on any day at any version, after any sequence of inserts, closes and changes in one act, against a model that
//! knows nothing of ranges: for each version and key a row of days, each with the price that holds on it.

use std::collections::BTreeMap;

use hod_domain::id::PriceId;
use hod_domain::price::PriceRow;
use hod_store::price::PriceFilter;
use hod_store::{Session, price, region};
use hod_units::{Date, DateRange, Decimal};
use rand::rngs::StdRng;
use rand::{Rng, SeedableRng};

use crate::examples::*;
use crate::price_changes::{apply, done, row};

const DAYS: usize = 24;
const KEYS: [(&str, &str); 3] = [
    ("sharp-sand", "Pit"),
    ("sharp-sand", "Quarry"),
    ("clay-soil", "Pit"),
];

/// The price of each day, which stands for its entry, for no two cost the same.
type Days = [Option<u32>; DAYS];

/// A price from a day to before another holds until the next begins, and ends what held on its first day for good.
fn put(days: &mut Days, price: u32, from: usize, to: usize) {
    let before = days[from];
    for each in &mut days[from..] {
        if before.is_some() && *each == before {
            *each = None;
        }
    }
    for each in &mut days[from..to] {
        if each.is_some() {
            break;
        }
        *each = Some(price);
    }
}

fn end(days: &mut Days, price: u32, from: usize) {
    for each in &mut days[from..] {
        if *each == Some(price) {
            *each = None;
        }
    }
}

fn date(place: usize) -> Date {
    day("2026-01-01") + chrono::Days::new(u64::try_from(place).unwrap())
}

struct Play {
    random: StdRng,
    now: [Days; 3],
    versions: Vec<[Days; 3]>,
    ids: BTreeMap<u32, PriceId>,
    next: u32,
}

impl Play {
    /// A key, a price that none has, and days from and to.
    fn draw(&mut self) -> (usize, u32, usize, usize) {
        self.next += 1;
        let from = self.random.random_range(0..DAYS);
        let to = if self.random.random_bool(0.5) {
            DAYS
        } else {
            self.random.random_range(from + 1..=DAYS)
        };
        (self.random.random_range(0..KEYS.len()), self.next, from, to)
    }

    fn row(key: usize, price: u32, from: usize, to: usize) -> PriceRow {
        let end = (to < DAYS).then(|| date(to));
        let mut asked = row(price, "0", DateRange::new(date(from), end).unwrap());
        asked.unit_price = Decimal::from(price);
        (asked.material, asked.supplier) = (material_id(KEYS[key].0), KEYS[key].1.to_owned());
        asked.id = Some(price_id(&format!("n-{price}")));
        asked
    }

    async fn insert(&mut self, session: &mut Session) {
        let (key, unit_price, from, to) = self.draw();
        let asked = Self::row(key, unit_price, from, to);
        let mut new = new_price("p", "2026-01-01");
        (new.id, new.material, new.supplier) = (asked.id.unwrap(), asked.material, asked.supplier);
        (new.unit_price, new.in_force) = (asked.unit_price, asked.in_force);
        price::insert(session, &region_id("coast"), &new, None)
            .await
            .unwrap();
        put(&mut self.now[key], unit_price, from, to);
        self.ids.insert(unit_price, new.id);
    }

    /// Ends one that holds on two days or more; there may be none.
    async fn close(&mut self, session: &mut Session) -> bool {
        let key = self.random.random_range(0..KEYS.len());
        let from = self.random.random_range(1..DAYS);
        let days = &mut self.now[key];
        let Some(held) = days[from].filter(|held| days[from - 1] == Some(*held)) else {
            return false;
        };
        price::close(
            session,
            &region_id("coast"),
            &self.ids[&held],
            date(from - 1),
            None,
        )
        .await
        .unwrap();
        end(days, held, from);
        true
    }

    /// Some rows in one act, in no order, now and then closing what they do not name.
    async fn change(&mut self, session: &mut Session) {
        let mut rows: BTreeMap<(usize, usize), (u32, usize)> = BTreeMap::new();
        for _ in 0..self.random.random_range(1..6) {
            let (key, unit_price, from, to) = self.draw();
            rows.insert((key, from), (unit_price, to));
        }
        // A row holds no longer than to where the next of its key begins.
        let starts: Vec<(usize, usize)> = rows.keys().copied().collect();
        for ((key, from), (_, to)) in &mut rows {
            let later = starts
                .iter()
                .find(|(other, start)| other == key && from < start);
            if *to < DAYS {
                *to = later.map_or(*to, |(_, start)| *to.min(&mut start.clone()));
            }
        }
        let mut asked: Vec<PriceRow> = Vec::new();
        for ((key, from), (unit_price, to)) in &rows {
            asked.push(Self::row(*key, *unit_price, *from, *to));
            self.ids
                .insert(*unit_price, price_id(&format!("n-{unit_price}")));
        }
        asked.reverse();
        let close = self
            .random
            .random_bool(0.3)
            .then(|| self.random.random_range(0..DAYS));
        done(apply(session, &asked, close.map(date)).await);
        for ((key, from), (unit_price, to)) in &rows {
            put(&mut self.now[*key], *unit_price, *from, *to);
        }
        let Some(closed) = close else { return };
        for key in 0..KEYS.len() {
            let named = rows.keys().any(|(other, _)| *other == key);
            if let Some(held) = self.now[key][closed].filter(|_| !named) {
                end(&mut self.now[key], held, closed);
            }
        }
    }

    async fn step(&mut self, session: &mut Session) {
        let moved = match self.random.random_range(0..4) {
            0 => self.close(session).await,
            1 => {
                self.insert(session).await;
                true
            }
            _ => {
                self.change(session).await;
                true
            }
        };
        if moved {
            self.versions.push(self.now);
        }
    }
}

#[tokio::test]
async fn the_price_at_any_date_and_version_is_what_a_scan_of_all_changes_says() {
    for seed in 1..=3 {
        let ground = Ground::new().await;
        let mut session = ground.furnished().await;
        let mut play = Play {
            random: StdRng::seed_from_u64(seed),
            now: [[None; DAYS]; 3],
            versions: vec![[[None; DAYS]; 3]],
            ids: BTreeMap::new(),
            next: 0,
        };
        for _ in 0..40 {
            play.step(&mut session).await;
        }
        let coast = region_id("coast");
        let reached = region::list_version(&mut session, &coast).await.unwrap();
        assert_eq!(reached, i64::try_from(play.versions.len()).unwrap() - 1);
        let mut answers = 0;
        for (version, model) in (0_i64..).zip(&play.versions) {
            for place in 0..DAYS {
                let modelled = model.iter().map(|days| days[place]);
                let filter = PriceFilter {
                    material: None,
                    on: Some(date(place)),
                    list_version: Some(version),
                };
                let list = price::list(&mut session, &coast, &filter, None, 99)
                    .await
                    .unwrap();
                for (modelled, (of, supplier)) in modelled.zip(&KEYS) {
                    let found: Vec<Decimal> = list
                        .iter()
                        .filter(|each| {
                            each.value.material.as_str() == *of && each.value.supplier == *supplier
                        })
                        .map(|each| each.value.unit_price)
                        .collect();
                    let expected: Vec<Decimal> = modelled.into_iter().map(Decimal::from).collect();
                    assert_eq!(
                        found,
                        expected,
                        "seed {seed}, {of} of {supplier} on {} at {version}",
                        date(place)
                    );
                    answers += expected.len();
                }
            }
        }
        assert!(500 < answers, "most days have a price, and {answers} had");
    }
}
