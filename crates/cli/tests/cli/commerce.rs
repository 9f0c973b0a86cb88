//! Prices by the file, purchases, comparisons and quotes as they are printed, and what a command sends for them.

use insta::assert_snapshot;

use crate::nouns::{asked, typed};
use crate::program::Program;

/// The answer and what was asked for it.
fn shown(program: &Program, line: &str) -> String {
    let said = typed(program, line);
    format!("{said}\n--- asked\n{}", asked(program))
}

#[test]
fn a_price_is_set_with_its_terms_and_closed() {
    for (name, line) in [
        (
            "price_set_with_terms",
            "price set west sharp-sand --unit-price 26.40 --unit t --start-date 2026-05-01 --end 2026-12-31 --pack-size 1 --minimum-order 5 --breaks 10:24.80,20:24.50 --break-rule incremental --load-t 15 --charge-per-load 45 --charge-per-km 1.20 --distance-km 18 --lead-days 3 --note \"ask for the washed\" --list-version 12",
        ),
        ("price_close", "price close west/p1 --end 2026-05-31"),
        (
            "labour_rate_set",
            "labour-rate set west lead --wage-per-hour 24 --burden \"holiday pay=8.33%\" --burden tools=0.60 --paid-hours 1800 --productive-hours 1500 --start-date 2026-05-01",
        ),
        (
            "labour_rate_close",
            "labour-rate close west/lead-1 --end-date 2026-05-31 --dry-run",
        ),
        (
            "region_taxes",
            "region update west --tax \"VAT=20%:material,labour\" --allowance skip=120 --discount-amount none --round-price-to 10",
        ),
    ] {
        assert_snapshot!(name, shown(&Program::new(), line));
    }
}

#[test]
fn a_file_of_prices_is_sent_whole_and_told_page_by_page() {
    let program = Program::new();
    // More than one piece of it.
    program.file("spring.csv", &"region,material\n".repeat(40_000));
    program.file("broken.csv", "unit_price\n\"27,50\"\n");
    for (name, line) in [
        (
            "import_dry_run",
            "price import spring.csv --dry-run --effect-on 2026-06-01 --close-missing 2026-06-01",
        ),
        ("import_faults", "price import broken.csv"),
        ("import_faults_csv", "price import broken.csv --format csv"),
        ("import_csv", "price import spring.csv --format csv"),
        ("import_jsonl", "price import spring.csv --format jsonl"),
        (
            "adjust",
            "price adjust west --index-series \"Lime, ex works\" --index-base 101.2 --index-current 109 --group lime --from 2026-06-01 --places 2",
        ),
    ] {
        let said = typed(&program, line);
        assert_snapshot!(name, said);
    }
    let asked = asked(&program);
    assert!(
        asked.contains("640000"),
        "the whole file travelled: {asked}"
    );
    assert!(asked.contains("series: \"Lime, ex works\""), "{asked}");
    let json = typed(&program, "price import spring.csv --format json").answer;
    let events: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(events[0]["change"]["kind"], "raised");
    assert_eq!(events[4]["summary"]["kept"], true);
}

#[test]
fn a_file_that_does_not_say_how_it_is_written_is_refused() {
    let program = Program::new();
    program.file("spring.txt", "");
    let said = typed(&program, "price import spring.txt");
    assert_eq!(said.code, 2, "{said}");
    assert!(said.talk.contains("--file-format csv"), "{said}");
    assert_eq!(typed(&program, "price import nowhere.csv").code, 4);
}

#[test]
fn a_file_that_cannot_be_read_to_its_end_is_not_taken_for_a_shorter_one() {
    let program = Program::new();
    // A folder can be opened, and breaks at the first reading.
    std::fs::create_dir(program.folder.path().join("spring.csv")).unwrap();
    let said = typed(&program, "price import spring.csv");
    assert_eq!(said.code, 4, "{said}");
    assert!(
        said.talk.starts_with("error: spring.csv cannot be read: "),
        "{said}"
    );
    assert_eq!(
        program.stand_in.asked(),
        "",
        "the call never came to its end"
    );
}

#[test]
fn an_export_is_the_file_itself() {
    let program = Program::new();
    let file = "region,material\nwest,ch\u{ea}nevotte\n";
    assert_eq!(typed(&program, "price export west").answer, file);
    let said = typed(&program, "price export --output out.csv");
    assert_eq!(said.answer, "out.csv written, 33 bytes\n");
    let folder = program.folder.path();
    assert_eq!(
        std::fs::read_to_string(folder.join("out.csv")).unwrap(),
        file
    );
    assert!(!folder.join("out.csv.part").exists());
    let refused = typed(&program, "price export --file-format xlsx");
    assert_eq!(refused.code, 2, "{refused}");
}

#[test]
fn what_is_bought_and_what_moves_is_told_so_that_it_adds_up() {
    for (name, line) in [
        ("estimate_in_full", "estimate full --on 2026-05-01"),
        (
            "estimate_purchases",
            "estimate full --on 2026-05-01 --purchases",
        ),
        (
            "estimate_purchases_csv",
            "estimate full --on 2026-05-01 --purchases --format csv",
        ),
        ("orders", "job orders studio mill --on 2026-05-01"),
        (
            "orders_csv",
            "job orders studio mill --on 2026-05-01 --format csv",
        ),
        ("compare", "estimate compare studio/e1 q17"),
        ("compare_all", "estimate compare studio/e1 studio/e2 --all"),
        ("compare_csv", "estimate compare studio/e1 q17 --format csv"),
        ("again", "estimate again --on 2026-09-01"),
        (
            "again_region",
            "estimate again --on 2026-09-01 --region west --dry-run",
        ),
        ("again_csv", "estimate again --on 2026-09-01 --format csv"),
    ] {
        assert_snapshot!(name, typed(&Program::new(), line));
    }
}

#[test]
fn a_quote_is_issued_shown_and_goes_forward() {
    let issue = "quote issue studio/e1 --client \"A. Client\" --issued 2026-05-04 --valid 30 --revises q12 --offer offer.toml";
    let reason = "--reason \"MIX_NOT_TESTED=the trial is in the second week of May\"";
    for (name, line) in [
        ("quote_issue", format!("{issue} {reason}").as_str()),
        ("quote_issue_dry", &format!("{issue} {reason} --dry-run")),
        ("quote_provisional", issue),
        (
            "quote_accept",
            "quote accept q17 --on 2026-05-10 --note \"by letter\"",
        ),
        (
            "quote_stale",
            "quote accept q17 --on 2026-05-10 --etag stale",
        ),
        (
            "quote_decline",
            "quote decline q17 --on 2026-05-10 --dry-run",
        ),
        ("quote_expire", "quote expire q17 --on 2026-05-10"),
        ("quote_list", "quote list --job studio --state issued"),
        ("quote_vary", "quote vary q17 niche.toml"),
        (
            "quote_escalate",
            "quote escalate q17 --fixed 50 --part \"lime:50:Lime: ex works:100:104\"",
        ),
    ] {
        let program = Program::new();
        program.file("offer.toml", OFFER).file("niche.toml", NICHE);
        assert_snapshot!(name, shown(&program, line));
    }
}

#[test]
fn a_clients_page_has_nothing_of_how_its_cost_is_made_up() {
    let program = Program::new();
    let page = typed(&program, "quote show q17");
    for word in [
        "overhead",
        "profit",
        "contingency",
        "studio/e1",
        "regions/",
        "5f2c",
    ] {
        assert!(
            !page.answer.to_lowercase().contains(word),
            "{word} in {page}"
        );
    }
    assert_snapshot!("quote_show", page);
    assert_snapshot!("quote_show_all", typed(&program, "quote show q17 --all"));
    assert_snapshot!(
        "quote_show_csv",
        typed(&program, "quote show q17 --format csv")
    );
    let json = typed(&program, "quote show q17 --format json").answer;
    let quote: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(quote["offer"]["total"], "12000.00");
    assert_eq!(quote["estimate_snapshot"], serde_json::Value::Null);
}

#[test]
fn variations_are_shown_with_their_lines_and_their_sum() {
    let program = Program::new();
    program.file("niche.toml", NICHE);
    for (name, line) in [
        ("variations", "quote variations q17"),
        ("variation", "quote variation q17/v1"),
        ("variation_csv", "quote variation q17/v1 --format csv"),
        ("variation_dry", "quote vary q17 niche.toml --dry-run"),
    ] {
        assert_snapshot!(name, typed(&program, line));
    }
}

#[test]
fn faults_of_an_offer_and_a_variation_are_told_at_the_lines_of_their_files() {
    let program = Program::new();
    program
        .file(
            "offer.toml",
            &OFFER.replace("retention_percent = 5", "retention_percent = 50"),
        )
        .file("niche.toml", &NICHE.replace("quantity = 6", "quantity = 0"));
    let issue =
        "quote issue studio/e1 --client \"\" --issued 2026-05-04 --valid 30 --offer offer.toml";
    let said = typed(&program, issue);
    assert_eq!(
        said.talk,
        "error: offer.toml:2: retention_percent is 50; it must be from 0 to 20\nerror: --client is needed\n"
    );
    let said = typed(&program, "quote vary q17 niche.toml");
    assert_eq!(
        said.talk,
        "error: niche.toml:8: line Form the niche: quantity is 0; it must not be\n"
    );
}

const OFFER: &str = "terms = \"Net\"\nretention_percent = 5\nretention_months = 6\n\n[[stage]]\nmilestone = \"completion\"\npercent = 100\n";

const NICHE: &str = "title = \"A niche\"\nreason = \"asked\"\nagreed_date = 2026-06-12\ndays = 1\n\n[[line]]\nitem = \"Form the niche\"\nquantity = 6\nunit = \"h\"\nunit_price = 38.50\n";
