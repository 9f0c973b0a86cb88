//! What holds for every price and every order, whatever its packs, breaks and loads.

use hod_domain::buying::{Charged, Need, Purchase, plan};
use hod_domain::estimate::Line;
use hod_domain::id::JobId;
use hod_domain::price::{
    Adjustment, BreakRule, BreakStep, Breaks, Burden, BurdenAmount, Delivery, PaidYear, Price,
    PriceChange, Terms, adjust,
};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Hours, Money, Rounding, round};
use proptest::prelude::*;
use rust_decimal::dec;

use crate::sample::{labour_rate, percent};
use crate::shop::*;

fn decimal(units: std::ops::Range<i64>, places: u32) -> impl Strategy<Value = Decimal> {
    units.prop_map(move |units| Decimal::new(units, places))
}

fn any_rounding() -> impl Strategy<Value = Rounding> {
    prop::sample::select(vec![
        Rounding::HalfAwayFromZero,
        Rounding::HalfToEven,
        Rounding::Down,
    ])
}

fn any_charged() -> impl Strategy<Value = Charged> {
    let currency = prop::sample::select(vec!["EUR", "JPY", "KWD"]);
    (currency, any_rounding()).prop_map(|(currency, rounding)| charged(currency, rounding))
}

/// Up to four breaks, from above 0 on, whose prices fall or rise as they like.
fn any_breaks() -> impl Strategy<Value = Option<Breaks>> {
    let rule = prop::sample::select(vec![BreakRule::AllUnits, BreakRule::Incremental]);
    let steps = prop::collection::vec((1_i64..40_000, decimal(0..9_000, 3)), 1..5);
    prop::option::of((rule, steps).prop_map(|(rule, steps)| {
        let mut from = Decimal::ZERO;
        let step = |(further, unit_price): (i64, Decimal)| {
            from += Decimal::new(further, 2);
            BreakStep { from, unit_price }
        };
        let steps = steps.into_iter().map(step).collect();
        Breaks { rule, steps }
    }))
}

fn any_delivery() -> impl Strategy<Value = Option<Delivery>> {
    let charges = (decimal(0..9_000, 2), decimal(0..500, 3), decimal(0..900, 1));
    let delivery =
        (decimal(50..20_000, 2), charges).prop_map(|(most, (per_load, per_km, distance_km))| {
            Delivery {
                per_km,
                distance_km: Some(distance_km),
                ..by_quantity(most, per_load)
            }
        });
    prop::option::of(delivery)
}

fn any_price(unit: Unit) -> impl Strategy<Value = Price> {
    (
        decimal(0..9_000, 3),
        prop::option::of(decimal(1..5_000, 2)),
        prop::option::of(decimal(1..30_000, 2)),
        any_breaks(),
        any_delivery(),
    )
        .prop_map(
            move |(unit_price, pack_size, minimum_order, breaks, delivery)| {
                let terms = Terms {
                    pack_size,
                    minimum_order,
                    breaks,
                    delivery,
                    ..Terms::default()
                };
                with_terms(price("list", unit_price, unit), terms)
            },
        )
}

/// Prices of one material, told apart by their ids.
fn any_prices() -> impl Strategy<Value = Vec<Price>> {
    prop::collection::vec(any_price(Unit::T), 2..6).prop_map(|mut prices| {
        for (at, one) in prices.iter_mut().enumerate() {
            one.id = price(&format!("price-{at}"), dec!(0), Unit::T).id;
        }
        prices
    })
}

fn any_unit() -> impl Strategy<Value = Unit> {
    prop::sample::select(vec![Unit::T, Unit::Each])
}

/// A price, and a quantity that its unit can be ordered in.
fn any_order() -> impl Strategy<Value = (Price, Decimal)> {
    any_unit().prop_flat_map(|unit| {
        let places = unit.order_places().expect("it is ordered");
        (any_price(unit), decimal(1..100_000, places))
    })
}

fn buys(price: &Price, quantity: Decimal, charged: Charged) -> (Purchase, Vec<Line>) {
    let material = goods(price.unit);
    bought_of(
        &material,
        quantity,
        std::slice::from_ref(price),
        &[],
        charged,
    )
}

fn total(purchase: &Purchase) -> Decimal {
    purchase.goods.amount() + purchase.delivery.amount()
}

/// The goods of a quantity of whole ones, each at the price of the break that it reaches: so many one by one.
fn one_by_one(price: &Price, quantity: u32) -> Decimal {
    let steps = price
        .terms
        .breaks
        .as_ref()
        .map_or(&[][..], |breaks| &breaks.steps);
    let at = |nth: u32| {
        let reached = steps.iter().rev().find(|step| step.from <= nth.into());
        reached.map_or(price.unit_price, |step| step.unit_price)
    };
    (1..=quantity).map(at).sum()
}

proptest! {
    #[test]
    fn no_less_is_ordered_than_needed_and_that_in_whole_packs((price, quantity) in any_order()) {
        let (purchase, _) = buys(&price, quantity, euros());
        prop_assert_eq!(purchase.needed, quantity);
        prop_assert!(quantity <= purchase.ordered);
        prop_assert!(price.terms.minimum_order.is_none_or(|least| least <= purchase.ordered));
        match price.terms.pack_size {
            None => prop_assert_eq!(purchase.pack_count, 0),
            Some(size) => {
                let packs = Decimal::from(purchase.pack_count);
                prop_assert_eq!(purchase.ordered, packs * size);
                // One pack fewer would be too little.
                let least = price.terms.minimum_order.unwrap_or_default();
                let least = goods(price.unit).ordered(least).expect("small").max(quantity);
                prop_assert!((packs - dec!(1)) * size < least, "{} packs of {}", packs, size);
            }
        }
    }

    #[test]
    fn lines_add_up_to_goods_and_delivery_and_tiers_to_the_order(
        (price, quantity) in any_order(), charged in any_charged(),
    ) {
        let (purchase, lines) = buys(&price, quantity, charged);
        let is_delivery = |line: &&Line| line.item.starts_with("delivery of ") || line.item.starts_with("haulage of ");
        let (delivery, goods): (Vec<&Line>, Vec<&Line>) = lines.iter().partition(is_delivery);
        let sum = |lines: &[&Line]| {
            Money::checked_sum(charged.currency, lines.iter().map(|line| line.amount)).expect("small")
        };
        prop_assert_eq!(sum(&goods), purchase.goods);
        prop_assert_eq!(sum(&delivery), purchase.delivery);
        prop_assert_eq!(goods.iter().map(|line| line.quantity).sum::<Decimal>(), purchase.ordered);
        for line in &lines {
            let exact = line.quantity * line.unit_price.expect("every one has a price");
            let amount = round(exact, charged.currency.minor_units(), charged.rounding);
            prop_assert_eq!(line.amount.amount(), amount, "{}", line.item);
            prop_assert!(Decimal::ZERO < line.quantity, "{}", line.item);
        }
        if let Some(loads) = purchase.loads {
            let most = price.terms.delivery.as_ref().and_then(|delivery| delivery.load_quantity).expect("as made");
            let count = Decimal::from(loads.count);
            prop_assert!(purchase.ordered <= count * most && (count - dec!(1)) * most < purchase.ordered);
        }
    }

    #[test]
    fn whole_ones_cost_each_the_price_of_the_break_that_it_reaches(
        price in any_price(Unit::Each), quantity in 1_u32..2_000,
    ) {
        let mut price = price;
        price.terms.pack_size = None;
        price.terms.minimum_order = None;
        prop_assume!(price.terms.breaks.as_ref().is_none_or(|breaks| breaks.rule == BreakRule::Incremental));
        // A dinar has three places as the prices have, so that nothing is rounded.
        let (purchase, _) = buys(&price, quantity.into(), charged("KWD", Rounding::default()));
        prop_assert_eq!(purchase.goods.amount(), one_by_one(&price, quantity));
    }

    #[test]
    fn incrementally_no_larger_order_costs_less_and_none_costs_a_leap_more(
        price in any_price(Unit::T), quantity in decimal(1..100_000, 2), charged in any_charged(),
    ) {
        let mut price = price;
        price.terms.pack_size = None;
        price.terms.minimum_order = None;
        price.terms.delivery = None;
        prop_assume!(price.terms.breaks.as_ref().is_none_or(|breaks| breaks.rule == BreakRule::Incremental));
        let (less, _) = buys(&price, quantity, charged);
        let (more, _) = buys(&price, quantity + dec!(0.01), charged);
        prop_assert_eq!(less.hint, None);
        let leap = more.goods.amount() - less.goods.amount();
        prop_assert!(!leap.is_sign_negative() || leap.is_zero());
        // At most a hundredth of the dearest, and a minor unit for the rounding of each of the two tiers that it may touch.
        let minor = Decimal::new(1, charged.currency.minor_units());
        prop_assert!(leap <= dec!(0.01) * dec!(9) + dec!(2) * minor, "{}", leap);
    }

    #[test]
    fn a_hint_costs_less_and_is_the_best_of_all_that_just_reach_a_break(
        (price, quantity) in any_order(), charged in any_charged(),
    ) {
        let (purchase, _) = buys(&price, quantity, charged);
        let steps = price.terms.breaks.as_ref().map_or(&[][..], |breaks| &breaks.steps);
        let places = price.unit.order_places().expect("it is ordered");
        let least = Decimal::new(1, places);
        // Each break is bought afresh; a pack may carry it past the break.
        let cheapest = steps
            .iter()
            .map(|step| round(step.from + least - Decimal::new(1, 12), places, Rounding::Down))
            .filter(|from| purchase.ordered < *from)
            .map(|from| buys(&price, from, charged).0)
            .map(|larger| (total(&larger), larger.ordered))
            .filter(|(cost, ordered)| *cost < total(&purchase) && purchase.ordered < *ordered)
            .min();
        let found = purchase.hint.as_ref().map(|hint| (hint.amount.amount(), hint.quantity));
        prop_assert_eq!(found, cheapest);
        if let Some(hint) = &purchase.hint {
            prop_assert_eq!(hint.saving.amount(), total(&purchase) - hint.amount.amount());
            prop_assert!(Decimal::ZERO < hint.saving.amount());
        }
    }

    #[test]
    fn who_is_bought_from_never_depends_on_the_order_of_suppliers(
        prices in any_prices(), quantity in decimal(1..100_000, 2), turn in 0_usize..6, charged in any_charged(),
    ) {
        let mut turned = prices.clone();
        turned.rotate_left(turn % prices.len());
        turned.swap(0, 1);
        let sand = goods(Unit::T);
        let bought = bought_of(&sand, quantity, &prices, &[], charged);
        prop_assert_eq!(&bought, &bought_of(&sand, quantity, &turned, &[], charged));
        // And nobody sells it for less.
        for price in &prices {
            prop_assert!(total(&bought.0) <= total(&buys(price, quantity, charged).0));
        }
        prop_assert_eq!(bought.0.other_offers.len(), prices.len() - 1);
        let amounts: Vec<Decimal> = bought.0.other_offers.iter().map(|other| other.amount.amount()).collect();
        prop_assert!(amounts.is_sorted());
    }

    #[test]
    fn an_order_of_several_jobs_covers_them_all_and_its_sums_are_exact(
        price in any_price(Unit::T),
        quantities in prop::collection::vec(decimal(1..50_000, 2), 1..7),
        charged in any_charged(),
    ) {
        let material = goods(Unit::T);
        let need = |(at, quantity): (usize, &Decimal)| Need {
            job: JobId::parse(&format!("job-{at}")).expect("an id"),
            alone: buys(&price, *quantity, charged).0,
            price: price.clone(),
            material: material.clone(),
            distance_km: None,
        };
        let needs: Vec<Need> = quantities.iter().enumerate().map(need).collect();
        let plan = plan(&needs, charged).expect("nothing is wrong");
        let [shared] = plan.purchases.as_slice() else { panic!("one price is one order") };
        let needed: Decimal = quantities.iter().sum();
        prop_assert!(needed <= shared.purchase.ordered);
        prop_assert_eq!(shared.purchase.needed, needed);
        prop_assert_eq!(shared.purchase.basis.work(), Some(needed));
        let alone: Decimal = needs.iter().map(|need| total(&need.alone)).sum();
        prop_assert_eq!(shared.alone.amount(), alone);
        prop_assert_eq!(shared.parts.iter().map(|part| part.alone.amount()).sum::<Decimal>(), alone);
        prop_assert_eq!(shared.saving.amount(), alone - total(&shared.purchase));
        prop_assert_eq!((plan.alone, plan.saving), (shared.alone, shared.saving));
        prop_assert_eq!(plan.together.amount(), total(&shared.purchase));
        // Together no more packs and loads are ordered than apart.
        prop_assert!(shared.purchase.ordered <= needs.iter().map(|need| need.alone.ordered).sum());
        let loads = |purchase: &Purchase| purchase.loads.map_or(0, |loads| loads.count);
        prop_assert!(loads(&shared.purchase) <= needs.iter().map(|need| loads(&need.alone)).sum());
    }

    #[test]
    fn a_job_that_orders_alone_saves_nothing((price, quantity) in any_order(), charged in any_charged()) {
        let (alone, _) = buys(&price, quantity, charged);
        let need = Need {
            job: JobId::parse("alone").expect("an id"),
            alone: alone.clone(),
            material: goods(price.unit),
            price,
            distance_km: None,
        };
        let plan = plan(&[need], charged).expect("nothing is wrong");
        prop_assert!(plan.saving.amount().is_zero());
        let purchase = &plan.purchases[0].purchase;
        prop_assert_eq!(purchase.ordered, alone.ordered);
        prop_assert_eq!((purchase.goods, purchase.delivery, purchase.loads), (alone.goods, alone.delivery, alone.loads));
        prop_assert_eq!(&purchase.hint, &alone.hint);
    }

    #[test]
    fn a_raise_is_a_raise_of_every_break_and_its_own_way_back(
        (price, _) in any_order(), by in decimal(1..9_000, 2), rounding in any_rounding(),
    ) {
        // Kept to eight places, which hold every product of three places and a per cent of two exactly.
        let raised = adjust(&price, &Adjustment::Percent(by), 8, rounding).expect("small");
        let factor = dec!(1) + by / dec!(100);
        prop_assert_eq!(raised.unit_price, price.unit_price * factor);
        let steps = |price: &Price| price.terms.breaks.clone().map_or(Vec::new(), |breaks| breaks.steps);
        for (before, after) in steps(&price).iter().zip(steps(&raised)) {
            prop_assert_eq!((after.from, after.unit_price), (before.from, before.unit_price * factor));
        }
        let back = Adjustment::Index { series: String::new(), base: factor, current: dec!(1) };
        let back = adjust(&raised, &back, 3, Rounding::HalfAwayFromZero).expect("small");
        prop_assert_eq!(PriceChange::between(Some(&price), Some(&back)), PriceChange::Same);
    }

    #[test]
    fn a_loaded_rate_is_what_its_basis_comes_to(
        wage in decimal(0..999_999, 4),
        burden in decimal(0..9_000, 2),
        on_top in prop::collection::vec((any::<bool>(), decimal(0..9_000, 2)), 0..5),
        year in prop::option::of((1_i64..3_000, 0_i64..2_000)),
        charged in any_charged(),
    ) {
        let mut rate = labour_rate("lead-26", "lead", wage, burden, "2026-01-01");
        let mut by_hand = wage + wage * burden / dec!(100);
        for (is_of_wage, figure) in on_top {
            let amount = if is_of_wage {
                by_hand += wage * figure / dec!(100);
                BurdenAmount::OfWage(percent(figure))
            } else {
                by_hand += figure;
                BurdenAmount::PerHour(figure)
            };
            rate.burdens.push(Burden { label: "more".to_owned(), amount });
        }
        if let Some((productive, idle)) = year {
            let (productive, paid) = (Decimal::from(productive), Decimal::from(productive + idle));
            by_hand = by_hand * paid / productive;
            rate.year = Some(PaidYear { paid: Hours::from_hours(paid), productive: Hours::from_hours(productive) });
        }
        prop_assert_eq!(rate.faults(), []);
        let basis = rate.loaded_basis().expect("small");
        prop_assert_eq!(basis.work(), Some(by_hand));
        let loaded = rate.loaded(charged.currency, charged.rounding).expect("small");
        prop_assert_eq!(loaded.amount(), round(by_hand, charged.currency.minor_units(), charged.rounding));
    }
}
