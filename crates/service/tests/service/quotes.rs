//! Quotes over the wire: issued once under a number of their own, read back as the very bytes that were kept, and the
//! same after everything else has changed.

use hod_wire::v1::{
    BuildUp, CreateRegionRequest, GetQuoteRequest, Job, LabourConstant, LineKind,
    ListLabourConstantsRequest, ListQuotesRequest, Milestone, Mix, Quote, QuoteState, QuoteView,
    Region, StageTerm, Unit, UpdateJobRequest, UpdateLabourConstantRequest, UpdateMixRequest,
    UpdateRegionRequest,
};
use prost::Message;
use sha2::{Digest, Sha256};
use tonic::Code;
use tonic_types::StatusExt;
use uuid::Uuid;

use crate::issuing::{
    accept, cents, estimated_studio, issue, issued, keep_estimate, keep_job, minor, untried_mix,
};
use crate::support::{
    Client, Ground, assert_fields, assert_refused, new_price, new_rate, reason, site, studio,
};

async fn got(client: &Client, name: &str, view: QuoteView) -> Quote {
    let request = GetQuoteRequest {
        name: name.into(),
        view: view.into(),
    };
    let quote = client.quotes().get_quote(request).await;
    quote.expect("a quote").into_inner()
}

/// SHA-256 of what is kept, each after its length.
fn digest(quote: &Quote) -> String {
    let kept = [
        quote.offer.as_ref().map(Message::encode_to_vec),
        quote.estimate_snapshot.as_ref().map(Message::encode_to_vec),
        quote.changes.as_ref().map(Message::encode_to_vec),
    ];
    let mut hash = Sha256::new();
    for bytes in kept.map(Option::unwrap_or_default) {
        hash.update((bytes.len() as u64).to_be_bytes());
        hash.update(&bytes);
    }
    hash.finalize()
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

#[tokio::test]
async fn a_quote_is_the_estimate_to_the_cent_and_keeps_it_whole() {
    let ground = Ground::priced().await;
    let estimate = estimated_studio(&ground.client).await;
    let quote = issued(&ground.client, issue(&estimate.name)).await;
    assert_eq!(
        (
            quote.name.as_str(),
            quote.job.as_str(),
            quote.estimate.as_str()
        ),
        ("quotes/q1", "jobs/studio", estimate.name.as_str())
    );
    assert_eq!(quote.digest, digest(&quote));
    assert_eq!(quote.estimate_snapshot.as_ref(), Some(&estimate));

    let offer = quote.offer.clone().expect("an offer");
    assert_eq!(
        (offer.number, offer.site_display_name.as_str()),
        (1, "Long Acre")
    );
    assert_eq!(offer.valid_until_date, "2026-06-03");
    let all = offer.lines.iter().chain(&offer.adjustments);
    let lines: i64 = all.map(|line| cents(&line.amount)).sum();
    let taxes: i64 = offer.taxes.iter().map(|tax| cents(&tax.amount)).sum();
    assert_eq!(lines, cents(&offer.price_before_tax));
    assert_eq!(lines + taxes, cents(&offer.total));
    let totals = estimate.totals.expect("totals");
    assert_eq!(offer.total, totals.total);
    let stages: i64 = offer.stages.iter().map(|stage| cents(&stage.amount)).sum();
    assert_eq!(stages, cents(&offer.total));
    assert_eq!(offer.takeoff, estimate.takeoff);
    assert_eq!(quote.contract_total, offer.total);
    // Nobody has said who does the roof.
    assert!(offer.exclusions.iter().any(|line| line.starts_with("roof")));
}

#[tokio::test]
async fn the_client_sees_no_make_up_of_the_cost() {
    let ground = Ground::priced().await;
    let estimate = estimated_studio(&ground.client).await;
    let all = issued(&ground.client, issue(&estimate.name)).await;
    let seen = got(&ground.client, &all.name, QuoteView::Client).await;
    assert_eq!((&seen.estimate_snapshot, &seen.changes), (&None, &None));
    let offer = seen.offer.clone().expect("an offer");
    assert!(offer.daywork_rates.iter().all(|rate| rate.basis.is_none()));
    // Neither a step of the build-up, nor a material, nor what any of them comes to.
    let sent = format!("{seen:?}").to_lowercase();
    for word in ["overhead", "profit", "sharp sand", "margin"] {
        assert!(!sent.contains(word), "{word} in {sent}");
    }
    let lines = estimate
        .lines
        .iter()
        .filter(|line| line.kind() != LineKind::Tax);
    for amount in lines.map(|line| format!("{:?}", line.amount)) {
        assert!(
            amount == "\"0.00\"" || !sent.contains(&amount),
            "{amount} in {sent}"
        );
    }
    assert_eq!(got(&ground.client, &all.name, QuoteView::All).await, all);
    assert_eq!(
        got(&ground.client, &all.name, QuoteView::Unspecified).await,
        all
    );
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn quotes_issued_at_once_have_the_numbers_from_1_each_once_and_refused_ones_leave_no_gap() {
    let ground = Ground::priced().await;
    let estimate = estimated_studio(&ground.client).await;
    let calls = (0..200).map(|call| {
        let (client, name) = (ground.client.clone(), estimate.name.clone());
        tokio::spawn(async move {
            let mut quotes = client.quotes();
            if call % 10 == 0 {
                // Refused after all else is known, and tried without keeping: neither takes a number.
                let mut bare = issue(&name);
                bare.provisional_reasons.clear();
                quotes.issue_quote(bare).await.expect_err("provisional");
                let mut trial = issue(&name);
                trial.validate_only = true;
                quotes.issue_quote(trial).await.expect("a trial");
            }
            loop {
                match quotes.issue_quote(issue(&name)).await {
                    Ok(quote) => return quote.into_inner().offer.expect("an offer").number,
                    Err(busy) if busy.code() == Code::ResourceExhausted => {
                        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
                    }
                    Err(refused) => panic!("{refused:?}"),
                }
            }
        })
    });
    let calls: Vec<_> = calls.collect();
    let mut numbers = Vec::new();
    for call in calls {
        numbers.push(call.await.expect("a number"));
    }
    numbers.sort_unstable();
    assert_eq!(numbers, (1..=200).collect::<Vec<i32>>());
}

#[tokio::test]
async fn a_trial_has_no_number_and_keeps_nothing() {
    let ground = Ground::priced().await;
    let estimate = estimated_studio(&ground.client).await;
    let mut trial = issue(&estimate.name);
    trial.validate_only = true;
    let answer = issued(&ground.client, trial).await;
    let offer = answer.offer.expect("an offer");
    assert_eq!(
        (offer.number, offer.total),
        (0, estimate.totals.expect("totals").total)
    );
    assert_eq!(answer.name, "");
    let mut quotes = ground.client.quotes();
    let refused = quotes.get_quote(GetQuoteRequest {
        name: "quotes/q1".into(),
        ..Default::default()
    });
    let refused = refused.await.expect_err("nothing is kept");
    assert_refused(&refused, Code::NotFound, "NOT_FOUND", "quotes/q1");
    assert_eq!(
        issued(&ground.client, issue(&estimate.name)).await.name,
        "quotes/q1"
    );
}

#[tokio::test]
async fn a_request_sent_again_issues_once() {
    let ground = Ground::priced().await;
    let estimate = estimated_studio(&ground.client).await;
    let mut request = issue(&estimate.name);
    request.request_id = Uuid::new_v4().to_string();
    let first = issued(&ground.client, request.clone()).await;
    assert_eq!(issued(&ground.client, request).await, first);
    assert_eq!(
        issued(&ground.client, issue(&estimate.name)).await.name,
        "quotes/q2"
    );
}

/// Changes whatever a quote came from.
async fn change_everything(client: &Client) {
    let price = new_price("regions/north", "sharp-sand", Unit::T, "99", "2026-05-01");
    client.prices().create_price(price).await.expect("a price");
    let rate = new_rate("regions/north", "practised", "77", "2026-05-01");
    client
        .labour_rates()
        .create_labour_rate(rate)
        .await
        .expect("a rate");
    let region = Region {
        name: "regions/north".into(),
        build_up: Some(BuildUp {
            contingency_percent: "50".into(),
            tax_percent: "5".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    let request = UpdateRegionRequest {
        region: Some(region),
        ..Default::default()
    };
    client
        .regions()
        .update_region(request)
        .await
        .expect("a region");
    let constants = client
        .labour_constants()
        .list_labour_constants(ListLabourConstantsRequest::default())
        .await;
    for constant in constants.expect("constants").into_inner().labour_constants {
        let request = UpdateLabourConstantRequest {
            labour_constant: Some(LabourConstant {
                name: constant.name,
                low_hours: "1".into(),
                likely_hours: "50".into(),
                high_hours: "90".into(),
                ..Default::default()
            }),
            ..Default::default()
        };
        client
            .labour_constants()
            .update_labour_constant(request)
            .await
            .expect("a constant");
    }
    let request = UpdateMixRequest {
        mix: Some(Mix {
            name: "mixes/house-cob".into(),
            display_name: "Another cob".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    client.mixes().update_mix(request).await.expect("a mix");
    let request = UpdateJobRequest {
        job: Some(Job {
            name: "jobs/studio".into(),
            display_name: "Barn".into(),
            waste_percent: "30".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    client.jobs().update_job(request).await.expect("a job");
}

#[tokio::test]
async fn a_quote_is_the_same_bytes_after_every_later_change() {
    let ground = Ground::priced().await;
    let client = &ground.client;
    let estimate = estimated_studio(client).await;
    let quote = issued(client, issue(&estimate.name)).await;
    change_everything(client).await;
    let later = keep_estimate(client, "studio", "2026-05-01").await;
    assert_ne!(
        later.totals, estimate.totals,
        "what changed is seen by a new estimate"
    );
    for view in [QuoteView::All, QuoteView::Client] {
        let now = got(client, &quote.name, view).await;
        assert_eq!(
            now.offer.as_ref().map(Message::encode_to_vec),
            quote.offer.as_ref().map(Message::encode_to_vec)
        );
        assert_eq!(now.digest, quote.digest);
    }
    let now = got(client, &quote.name, QuoteView::All).await;
    assert_eq!(now.encode_to_vec(), quote.encode_to_vec());
    assert_eq!(digest(&now), quote.digest);
}

#[tokio::test]
async fn a_provisional_quote_goes_out_only_with_its_reason_written_down() {
    let ground = Ground::priced().await;
    let client = &ground.client;
    let estimate = estimated_studio(client).await;
    let mut bare = issue(&estimate.name);
    bare.provisional_reasons.clear();
    let refused = client
        .quotes()
        .issue_quote(bare)
        .await
        .expect_err("no reason");
    assert_eq!(
        reason(&refused),
        (Code::FailedPrecondition, "STANDS_AGAINST".to_owned())
    );
    let details = refused.get_error_details();
    let told = &details
        .precondition_failure()
        .expect("what stands against it")
        .violations;
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!(told[0].r#type, "PROVISIONAL_WITHOUT_REASON");
    assert!(told[0].description.contains("MIX_NOT_TESTED"), "{told:?}");

    let quote = issued(client, issue(&estimate.name)).await;
    let offer = quote.offer.expect("an offer");
    assert!(offer.is_provisional);
    assert_eq!(offer.provisional_reasons, [untried_mix()]);
}

#[tokio::test]
async fn all_that_is_wrong_with_what_is_to_be_issued_is_told_at_once() {
    let ground = Ground::priced().await;
    let estimate = estimated_studio(&ground.client).await;
    let mut unread = issue(&estimate.name);
    unread.client = String::new();
    unread.issue_date = "4 May".into();
    unread.validity_days = 0;
    unread.exclusions = vec![String::new()];
    unread.stages = vec![StageTerm::default()];
    unread.retention_percent = "21".into();
    unread.revised_quote = "quotes/17".into();
    unread.request_id = "once".into();
    let refused = ground
        .client
        .quotes()
        .issue_quote(unread)
        .await
        .expect_err("unread");
    assert_fields(
        &refused,
        &[
            ("request_id", "NOT_A_UUID"),
            ("client", "MISSING"),
            ("issue_date", "NOT_A_DATE"),
            ("validity_days", "OUT_OF_RANGE"),
            ("exclusions[0]", "MISSING"),
            ("stages[0].milestone", "MISSING"),
            ("stages[0].percent", "MISSING"),
            ("retention_percent", "OUT_OF_RANGE"),
            ("revised_quote", "NOT_A_NAME"),
        ],
    );

    let mut unfit = issue(&estimate.name);
    unfit.issue_date = "2026-04-30".into();
    unfit.retention_percent = "5".into();
    unfit.provisional_reasons.clear();
    unfit.stages = vec![StageTerm {
        milestone: Milestone::Completion.into(),
        percent: "90".into(),
        ..Default::default()
    }];
    let refused = ground
        .client
        .quotes()
        .issue_quote(unfit)
        .await
        .expect_err("unfit");
    assert_eq!(reason(&refused).0, Code::InvalidArgument);
    let told = crate::support::violations(&refused);
    for field in ["issue_date", "retention_months", "stages"] {
        assert!(
            told.iter().any(|(told, _)| told == field),
            "{field} in {told:?}"
        );
    }
    let is_matter = |(_, rule): &(String, String)| rule == "PROVISIONAL_WITHOUT_REASON";
    assert!(told.iter().any(is_matter), "{told:?}");
}

#[tokio::test]
async fn what_is_issued_must_be_a_kept_estimate() {
    let ground = Ground::priced().await;
    let refused = ground
        .client
        .quotes()
        .issue_quote(issue("jobs/studio/estimates/e1"))
        .await;
    let refused = refused.expect_err("nothing is kept");
    assert_refused(
        &refused,
        Code::NotFound,
        "NOT_FOUND",
        "jobs/studio/estimates/e1",
    );
}

#[tokio::test]
async fn payments_are_tied_to_lifts_and_what_is_held_back_is_shown() {
    let ground = Ground::priced().await;
    let estimate = estimated_studio(&ground.client).await;
    let stage = |milestone: Milestone, percent: &str, lifts: &str| StageTerm {
        milestone: milestone.into(),
        percent: percent.into(),
        lifts_percent: lifts.into(),
    };
    let mut request = issue(&estimate.name);
    request.stages = vec![
        stage(Milestone::Acceptance, "20", ""),
        stage(Milestone::Lifts, "30", "50"),
        stage(Milestone::Completion, "50", ""),
    ];
    request.retention_percent = "5".into();
    request.retention_months = 12;
    let offer = issued(&ground.client, request)
        .await
        .offer
        .expect("an offer");
    let amounts: i64 = offer.stages.iter().map(|stage| cents(&stage.amount)).sum();
    assert_eq!(amounts, cents(&offer.total));
    let retained: i64 = offer
        .stages
        .iter()
        .map(|stage| cents(&stage.retained))
        .sum();
    assert_eq!(retained, cents(&offer.retention_amount));
    assert_eq!(offer.stages[0].retained, "0.00", "nothing of the deposit");
    let lifts = estimate.lift_count;
    let words = format!("when {} of {lifts} lifts are finished", (lifts + 1) / 2);
    assert_eq!(offer.stages[1].description, words);
}

#[tokio::test]
async fn quotes_are_listed_newest_first_by_page_job_and_state() {
    let ground = Ground::priced().await;
    let client = &ground.client;
    let estimate = estimated_studio(client).await;
    keep_job(client, "barn", studio()).await;
    let barn = keep_estimate(client, "barn", "2026-05-01").await;
    for name in [&estimate.name, &barn.name, &estimate.name] {
        issued(client, issue(name)).await;
    }
    client
        .quotes()
        .accept_quote(accept("quotes/q1"))
        .await
        .expect("accepted");
    let list = async |request: ListQuotesRequest| {
        let page = client
            .quotes()
            .list_quotes(request)
            .await
            .expect("a page")
            .into_inner();
        let names: Vec<String> = page.quotes.iter().map(|quote| quote.name.clone()).collect();
        assert!(
            page.quotes
                .iter()
                .all(|quote| quote.estimate_snapshot.is_none())
        );
        (names, page.next_page_token)
    };
    let mut request = ListQuotesRequest {
        page_size: 2,
        ..Default::default()
    };
    let (first, token) = list(request.clone()).await;
    assert_eq!(first, ["quotes/q3", "quotes/q2"]);
    request.page_token = token;
    assert_eq!(
        list(request).await,
        (vec!["quotes/q1".to_owned()], String::new())
    );
    let of_barn = ListQuotesRequest {
        job: "jobs/barn".into(),
        ..Default::default()
    };
    assert_eq!(list(of_barn).await.0, ["quotes/q2"]);
    let in_state = |state: QuoteState| ListQuotesRequest {
        state: state.into(),
        ..Default::default()
    };
    assert_eq!(list(in_state(QuoteState::Accepted)).await.0, ["quotes/q1"]);
    // Their validity of May is long over, without an act.
    assert_eq!(
        list(in_state(QuoteState::Expired)).await.0,
        ["quotes/q3", "quotes/q2"]
    );
    assert_eq!(
        list(in_state(QuoteState::Issued)).await.0,
        Vec::<String>::new()
    );
    let mut quotes = client.quotes();
    let refused = quotes.list_quotes(ListQuotesRequest {
        page_size: -1,
        job: "barn".into(),
        state: 99,
        ..Default::default()
    });
    assert_fields(
        &refused.await.expect_err("refused"),
        &[
            ("page_size", "OUT_OF_RANGE"),
            ("job", "NOT_A_NAME"),
            ("state", "UNKNOWN_CHOICE"),
        ],
    );
}

#[tokio::test]
async fn a_quote_is_in_the_currency_of_its_region_to_the_smallest_unit() {
    let ground = Ground::priced().await;
    let client = &ground.client;
    for (currency, decimals, wage) in [("JPY", 0, "2500"), ("KWD", 3, "6.125"), ("EUR", 2, "22.5")]
    {
        let id = currency.to_lowercase();
        let region = format!("regions/{id}");
        let mut request: CreateRegionRequest = crate::support::region(&id);
        request.region.as_mut().expect("a region").currency_code = currency.into();
        client
            .regions()
            .create_region(request)
            .await
            .expect("a region");
        client
            .sites()
            .create_site(site(&id, &region))
            .await
            .expect("a site");
        for (material, unit) in [("sharp-sand", Unit::T), ("straw-bale", Unit::Bale)] {
            let price = new_price(&region, material, unit, "3.337", "2026-01-01");
            client.prices().create_price(price).await.expect("a price");
        }
        for grade in ["lead", "practised", "helper"] {
            let rate = new_rate(&region, grade, wage, "2026-01-01");
            client
                .labour_rates()
                .create_labour_rate(rate)
                .await
                .expect("a rate");
        }
        let job = Job {
            site: format!("sites/{id}"),
            ..studio()
        };
        keep_job(client, &id, job).await;
        let estimate = keep_estimate(client, &id, "2026-05-01").await;
        let quote = issued(client, issue(&estimate.name)).await;
        let offer = quote.offer.expect("an offer");
        assert_eq!(offer.currency_code, currency);
        let of = |amounts: Vec<&str>| -> i64 {
            amounts
                .into_iter()
                .map(|amount| minor(amount, decimals))
                .sum()
        };
        let lines = of(offer
            .lines
            .iter()
            .map(|line| line.amount.as_str())
            .collect());
        let taxes = of(offer.taxes.iter().map(|tax| tax.amount.as_str()).collect());
        assert_eq!(lines, minor(&offer.price_before_tax, decimals));
        assert_eq!(lines + taxes, minor(&offer.total, decimals));
    }
}

#[tokio::test]
async fn a_quote_that_is_not_there_or_is_asked_in_no_known_view_is_told_so() {
    let ground = Ground::with_library().await;
    let mut quotes = ground.client.quotes();
    let refused = quotes.get_quote(GetQuoteRequest {
        name: "quotes/q7".into(),
        ..Default::default()
    });
    let refused = refused.await.expect_err("not there");
    assert_refused(&refused, Code::NotFound, "NOT_FOUND", "quotes/q7");
    let refused = quotes.get_quote(GetQuoteRequest {
        name: "quotes/7".into(),
        view: 9,
    });
    assert_fields(
        &refused.await.expect_err("no name"),
        &[("view", "UNKNOWN_CHOICE"), ("name", "NOT_A_NAME")],
    );
}
