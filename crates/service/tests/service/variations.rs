//! Variations under an accepted quote, with money and days; and old quotes adjusted by indices.

use hod_wire::v1::{
    CreateVariationRequest, EscalateQuoteRequest, GetQuoteRequest, GetVariationRequest,
    IndexedPart, ListVariationsRequest, Quote, Unit, Variation, VariationLine,
};
use prost::Message;
use tonic::Code;

use crate::issuing::{accept, cents, estimated_studio, issue, issued};
use crate::support::{Ground, assert_fields, assert_refused, reason, violations};

fn line(item: &str, quantity: &str, unit: Unit, unit_price: &str) -> VariationLine {
    VariationLine {
        item: item.into(),
        quantity: quantity.into(),
        unit: unit.into(),
        unit_price: unit_price.into(),
        ..Default::default()
    }
}

/// A niche more and some plaster less: 185.00 - 148.05 = 36.95, and 20 % tax of it, 7.39.
fn niche(parent: &str) -> CreateVariationRequest {
    CreateVariationRequest {
        parent: parent.into(),
        variation: Some(Variation {
            title: "A niche by the stove".into(),
            reason: "asked for at the site meeting\nof 2 June".into(),
            agreed_date: "2026-06-02".into(),
            days: 2,
            lines: vec![
                line("niche", "1", Unit::Each, "185"),
                line("plaster behind it", "-3.5", Unit::M2, "42.3"),
            ],
            ..Default::default()
        }),
        ..Default::default()
    }
}

async fn with_accepted() -> (Ground, Quote) {
    let ground = Ground::priced().await;
    let estimate = estimated_studio(&ground.client).await;
    let quote = issued(&ground.client, issue(&estimate.name)).await;
    let accepted = ground
        .client
        .quotes()
        .accept_quote(accept(&quote.name))
        .await;
    (ground, accepted.expect("accepted").into_inner())
}

#[tokio::test]
async fn a_variation_is_numbered_priced_at_the_quotes_taxes_and_adds_to_the_contract() {
    let (ground, quote) = with_accepted().await;
    let mut quotes = ground.client.quotes();
    let kept = quotes
        .create_variation(niche(&quote.name))
        .await
        .expect("kept")
        .into_inner();
    assert_eq!(
        (kept.name.as_str(), kept.number),
        ("quotes/q1/variations/v1", 1)
    );
    let amounts: Vec<&str> = kept.lines.iter().map(|line| line.amount.as_str()).collect();
    assert_eq!(amounts, ["185.00", "-148.05"]);
    assert_eq!(
        (
            kept.price_before_tax.as_str(),
            kept.taxes[0].amount.as_str(),
            kept.total.as_str()
        ),
        ("36.95", "7.39", "44.34")
    );
    let mut less = niche(&quote.name);
    let variation = less.variation.as_mut().expect("a variation");
    variation.lines = vec![line("shelf", "-1", Unit::Each, "100")];
    variation.days = -5;
    assert_eq!(
        quotes
            .create_variation(less)
            .await
            .expect("kept")
            .into_inner()
            .number,
        2
    );

    let get = GetVariationRequest {
        name: kept.name.clone(),
    };
    let got = quotes
        .get_variation(get)
        .await
        .expect("a variation")
        .into_inner();
    assert_eq!(got.encode_to_vec(), kept.encode_to_vec());
    let whole = quotes.get_quote(GetQuoteRequest {
        name: quote.name.clone(),
        ..Default::default()
    });
    let whole = whole.await.expect("a quote").into_inner();
    assert_eq!(
        (whole.variations_total.as_str(), whole.variation_days),
        ("-75.66", -3)
    );
    let offer = whole.offer.expect("an offer");
    assert_eq!(cents(&whole.contract_total), cents(&offer.total) - 7566);
    assert_eq!(whole.digest, quote.digest);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn variations_kept_at_once_are_numbered_without_gap_or_repeat() {
    let (ground, quote) = with_accepted().await;
    let calls: Vec<_> = (0..24)
        .map(|_| {
            let (client, name) = (ground.client.clone(), quote.name.clone());
            tokio::spawn(async move {
                let kept = client.quotes().create_variation(niche(&name)).await;
                kept.expect("kept").into_inner().number
            })
        })
        .collect();
    let mut numbers = Vec::new();
    for call in calls {
        numbers.push(call.await.expect("a number"));
    }
    numbers.sort_unstable();
    assert_eq!(numbers, (1..=24).collect::<Vec<i32>>());
    let mut quotes = ground.client.quotes();
    let page = quotes.list_variations(ListVariationsRequest {
        parent: quote.name.clone(),
        page_size: 10,
        ..Default::default()
    });
    let page = page.await.expect("a page").into_inner();
    let listed: Vec<i32> = page
        .variations
        .iter()
        .map(|variation| variation.number)
        .collect();
    assert_eq!(listed, (1..=10).collect::<Vec<i32>>());
    let mut quotes = ground.client.quotes();
    let rest = quotes.list_variations(ListVariationsRequest {
        parent: quote.name,
        page_size: 100,
        page_token: page.next_page_token,
    });
    let rest = rest.await.expect("a page").into_inner();
    assert_eq!(
        (rest.variations.len(), rest.next_page_token.as_str()),
        (14, "")
    );
}

#[tokio::test]
async fn nothing_varies_what_is_not_accepted_or_is_agreed_before_that() {
    let ground = Ground::priced().await;
    let estimate = estimated_studio(&ground.client).await;
    let quote = issued(&ground.client, issue(&estimate.name)).await;
    let mut quotes = ground.client.quotes();
    let refused = quotes
        .create_variation(niche(&quote.name))
        .await
        .expect_err("only issued");
    assert_eq!(reason(&refused).0, Code::FailedPrecondition, "{refused:?}");
    quotes
        .accept_quote(accept(&quote.name))
        .await
        .expect("accepted");
    let mut early = niche(&quote.name);
    early.variation.as_mut().expect("a variation").agreed_date = "2026-05-19".into();
    let refused = quotes
        .create_variation(early)
        .await
        .expect_err("a day early");
    let told = violations(&refused);
    assert_eq!(told[0].0, "variation.agreed_date", "{told:?}");
    let refused = quotes
        .create_variation(niche("quotes/q8"))
        .await
        .expect_err("no quote");
    assert_refused(&refused, Code::NotFound, "NOT_FOUND", "quotes/q8");
}

#[tokio::test]
async fn all_that_is_wrong_with_a_variation_is_told_at_once() {
    let (ground, _) = with_accepted().await;
    let request = CreateVariationRequest {
        parent: "q1".into(),
        variation: Some(Variation {
            days: 2,
            lines: vec![line("", "x", Unit::Unspecified, "-1")],
            ..Default::default()
        }),
        ..Default::default()
    };
    let refused = ground
        .client
        .quotes()
        .create_variation(request)
        .await
        .expect_err("refused");
    assert_fields(
        &refused,
        &[
            ("parent", "NOT_A_NAME"),
            ("variation.title", "MISSING"),
            ("variation.reason", "MISSING"),
            ("variation.agreed_date", "MISSING"),
            ("variation.lines[0].item", "MISSING"),
            ("variation.lines[0].quantity", "NOT_A_NUMBER"),
            ("variation.lines[0].unit", "MISSING"),
            ("variation.lines[0].unit_price", "OUT_OF_RANGE"),
        ],
    );
    let mut quotes = ground.client.quotes();
    let get = GetVariationRequest {
        name: "quotes/q1/variations/v9".into(),
    };
    let refused = quotes.get_variation(get).await.expect_err("not there");
    assert_refused(
        &refused,
        Code::NotFound,
        "NOT_FOUND",
        "quotes/q1/variations/v9",
    );
    let list = ListVariationsRequest {
        parent: "quotes/q9".into(),
        ..Default::default()
    };
    let refused = quotes.list_variations(list).await.expect_err("no quote");
    assert_refused(&refused, Code::NotFound, "NOT_FOUND", "quotes/q9");
}

fn part(label: &str, percent: &str, base: &str, current: &str) -> IndexedPart {
    IndexedPart {
        label: label.into(),
        percent: percent.into(),
        series: "an index of the example".into(),
        base_index: base.into(),
        current_index: current.into(),
    }
}

#[tokio::test]
async fn an_old_quote_is_adjusted_by_indices_and_stays_what_it_is() {
    let (ground, quote) = with_accepted().await;
    let request = EscalateQuoteRequest {
        name: quote.name.clone(),
        fixed_percent: "15".into(),
        parts: vec![
            part("labour", "50", "100", "104"),
            part("lime", "35", "120", "132"),
        ],
    };
    let escalated = ground.client.quotes().escalate_quote(request).await;
    let escalated = escalated.expect("adjusted").into_inner();
    // 0.15 + 0.50 x 1.04 + 0.35 x 1.1 = 1.055.
    assert_eq!(escalated.factor, "1.055");
    let price = quote
        .offer
        .as_ref()
        .expect("an offer")
        .price_before_tax
        .clone();
    assert_eq!(escalated.price_before_tax, price);
    let (before, after) = (cents(&price), cents(&escalated.adjusted_price_before_tax));
    assert_eq!((before * 1055 + 500) / 1000, after);
    assert_eq!(cents(&escalated.difference), after - before);
    assert!(escalated.basis.is_some());
    let mut quotes = ground.client.quotes();
    let refused = quotes.escalate_quote(EscalateQuoteRequest {
        name: quote.name,
        fixed_percent: "15".into(),
        parts: vec![part("labour", "50", "0", "104")],
    });
    let refused = refused.await.expect_err("refused");
    let told = violations(&refused);
    assert!(
        told.iter().any(|(field, _)| field == "parts[0].base_index") && 2 <= told.len(),
        "{told:?}"
    );
}
