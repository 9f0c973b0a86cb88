//! What is told of refusals, and with which code.
#![allow(clippy::unwrap_used)]

use super::*;

#[test]
fn every_status_has_its_exit_code() {
    for (code, exit_code) in [
        (Code::InvalidArgument, exit::REFUSED),
        (Code::AlreadyExists, exit::REFUSED),
        (Code::FailedPrecondition, exit::REFUSED),
        (Code::OutOfRange, exit::REFUSED),
        (Code::ResourceExhausted, exit::REFUSED),
        (Code::NotFound, exit::MISSING),
        (Code::Unavailable, exit::NO_SERVER),
        (Code::Unauthenticated, exit::NO_SERVER),
        (Code::PermissionDenied, exit::NO_SERVER),
        (Code::DeadlineExceeded, exit::NO_SERVER),
        (Code::Cancelled, exit::NO_SERVER),
        (Code::Aborted, exit::CHANGED),
        (Code::DataLoss, exit::UNEXPECTED),
        // Without a reason of ours these are not our server's.
        (Code::Unknown, exit::NO_SERVER),
        (Code::Internal, exit::NO_SERVER),
        (Code::Unimplemented, exit::NO_SERVER),
    ] {
        assert_eq!(
            Failure::from(Status::new(code, "said")).code,
            exit_code,
            "{code:?}"
        );
    }
}

#[test]
fn what_is_not_there_leads_to_the_list_that_it_would_be_in() {
    for (name, list) in [
        (
            "soil test sites/long-acre/soilTests/pit",
            "hod soil list long-acre",
        ),
        (
            "mix trial sites/long-acre/mixTrials/a",
            "hod trial list long-acre",
        ),
        ("price regions/west/prices/p1", "hod price list west"),
        (
            "labour rate regions/west/labourRates/l1",
            "hod labour-rate list west",
        ),
        (
            "estimate jobs/studio/estimates/e1",
            "hod estimate list studio",
        ),
        ("rule pack rulePacks/cob", "hod rules list"),
        ("site sites/long-acre", "hod site list"),
        (
            "labour constant labourConstants/mix-tarp",
            "hod constant list",
        ),
    ] {
        let status = Status::not_found(format!("there is no {name}"));
        let hint = Failure::from(status).hint;
        assert_eq!(hint, Some(format!("see what there is with `{list}`")));
    }
    assert_eq!(Failure::from(Status::not_found("nothing here")).hint, None);
}

#[test]
fn a_reason_says_more_than_its_status() {
    let failure = |code, reason| {
        let details =
            ErrorDetails::with_error_info(reason, "hod", std::collections::HashMap::new());
        Failure::from(Status::with_error_details(code, "said", details)).code
    };
    assert_eq!(
        failure(Code::FailedPrecondition, "ESTIMATE_LACKS_INPUTS"),
        exit::MISSING
    );
    assert_eq!(
        failure(Code::FailedPrecondition, "RULE_BROKEN"),
        exit::REFUSED
    );
    assert_eq!(
        failure(Code::InvalidArgument, "JOB_HAS_FAULTS"),
        exit::REFUSED
    );
    assert_eq!(failure(Code::Internal, "INTERNAL"), exit::UNEXPECTED);
}

#[test]
fn a_field_is_told_in_the_words_of_who_gave_it() {
    for (field, description, told) in [
        (
            "region.currency_code",
            "\"X\" is not a currency",
            "--currency-code: \"X\" is not a currency",
        ),
        (
            "region.build_up.tax_percent",
            "tax_percent is 190; too much",
            "--tax-percent is 190; too much",
        ),
        (
            "price.start_date",
            "start_date: \"x\" is not a date",
            "--start-date: \"x\" is not a date",
        ),
        (
            "price_date",
            "price_date: \"x\" is not a date",
            "--on: \"x\" is not a date",
        ),
        ("mix.ingredients[0].parts", "parts is 0", "--part is 0"),
        (
            "crew.make_up[1].share_percent",
            "they add up to 90",
            "--grade: they add up to 90",
        ),
        ("name", "there is no job jobs/x", "there is no job jobs/x"),
        ("name", "name: \"X\" is not an id", "\"X\" is not an id"),
        ("job.name", "name: \"X\" is not an id", "\"X\" is not an id"),
        (
            "region.name",
            "name: \"X\" is not an id",
            "\"X\" is not an id",
        ),
        ("parent", "parent: \"X\" is not an id", "\"X\" is not an id"),
        // A job's id is given by a flag, a region's by a word in its place.
        (
            "job_id",
            "job_id: \"X\" is not an id",
            "--id: \"X\" is not an id",
        ),
        ("price_id", "price_id is taken", "--id is taken"),
        (
            "region_id",
            "region_id: \"X\" is not an id",
            "ID: \"X\" is not an id",
        ),
        (
            "request_id",
            "request_id: \"X\" is not a UUID",
            "--request-id: \"X\" is not a UUID",
        ),
        (
            "price.material",
            "material: \"X\" is not an id",
            "MATERIAL: \"X\" is not an id",
        ),
        (
            "material",
            "material: \"X\" is not an id",
            "--material: \"X\" is not an id",
        ),
        (
            "labour_rate.grade",
            "grade: \"X\" is not an id",
            "GRADE: \"X\" is not an id",
        ),
        (
            "grade",
            "grade: \"X\" is not an id",
            "--grade: \"X\" is not an id",
        ),
        (
            "job.etag",
            "etag: \"X\" is not a tag",
            "--etag: \"X\" is not a tag",
        ),
        (
            "job.mix",
            "there is no mix mixes/x",
            "mix: there is no mix mixes/x",
        ),
        (
            "job.walls[3].height_m",
            "wall \"a\": height_m is 99 m",
            "wall \"a\": height_m is 99 m",
        ),
        ("", "said", "said"),
    ] {
        assert_eq!(
            Fault::of_field(field, description).to_string(),
            told,
            "{field}"
        );
    }
}

#[test]
fn each_kind_of_lack_has_its_next_step() {
    let hint = |lacks: &[&str]| {
        let faults: Vec<Fault> = lacks.iter().map(|lack| Fault::plain(*lack)).collect();
        hint::of_reason("ESTIMATE_LACKS_INPUTS", &faults)
    };
    let price = "no price for sand is in force; put in a price for one t from that day or before";
    let rate = "no labour rate for lead is in force; put in a rate from that day or before";
    let constant = "no labour constant says how long it takes to pare; add one";
    assert_eq!(
        hint(&[price]).as_deref(),
        Some("put a price in force with `hod price set REGION MATERIAL`")
    );
    assert_eq!(
        hint(&[constant, rate, price, rate]).as_deref(),
        Some(
            "put a price in force with `hod price set REGION MATERIAL`; \
             put a rate in force with `hod labour-rate set REGION GRADE`; \
             see which labour constants there are with `hod constant list`"
        )
    );
    assert_eq!(hint(&["the mix takes no soil"]), None);
}

#[test]
fn an_answer_beyond_the_limit_is_told_with_how_to_make_it_smaller() {
    let details =
        ErrorDetails::with_error_info("MESSAGE_TOO_LARGE", "hod", std::collections::HashMap::new());
    let refused = |message: &str| {
        let status = Status::with_error_details(Code::ResourceExhausted, message, details.clone());
        Failure::from(status)
    };
    let answer =
        refused("the answer is larger than the limit of 67108864 bytes; ask for less at once");
    assert_eq!(answer.code, exit::REFUSED);
    assert_eq!(answer.hint.as_deref(), Some(hint::SMALLER_ANSWER));
    assert_eq!(
        refused("the request is larger than the limit of 4194304 bytes; send less").hint,
        None
    );
    // What this side will not read comes without a reason.
    let unread = Failure::from(Status::out_of_range("found 70000000 bytes"));
    assert_eq!(unread.hint.as_deref(), Some(hint::SMALLER_ANSWER));
    assert_eq!(
        unread.faults[0].to_string(),
        "the answer is too large to be read: found 70000000 bytes"
    );
}

#[test]
fn a_server_that_cannot_answer_now_is_not_a_connection_that_broke() {
    let details = ErrorDetails::with_error_info(
        "DATABASE_UNAVAILABLE",
        "hod",
        std::collections::HashMap::new(),
    );
    let status =
        Status::with_error_details(Code::Unavailable, "the database does not answer", details);
    assert_eq!(
        Failure::from(status).faults[0].to_string(),
        "the database does not answer"
    );
    let broken = Failure::from(Status::unavailable("")).at("127.0.0.1:7370");
    assert_eq!(broken.code, exit::NO_SERVER);
    assert_eq!(
        broken.faults[0].to_string(),
        "the connection to 127.0.0.1:7370 was lost before an answer came; a change may or may not have been kept"
    );
}

#[test]
fn a_fault_on_a_job_file_has_the_files_own_words() {
    let text = "name = \"Studio\"\nsystem = \"cob\"\n[[wall]]\nid = \"a\"\nlength_m = 6\nheight_m = 2\nthickness_mm = 450\n\
        [[wall.finish]]\nface = \"inner\"\ncoats = [\"clay:12\"]\n";
    let crate::job_file::JobFile { places, .. } =
        crate::job_file::parse("studio.toml", text).unwrap();
    let told = |field: &str, description: &str| {
        let failure = Failure::new(exit::REFUSED, vec![Fault::of_field(field, description)]);
        failure.placed(&places).faults[0].to_string()
    };
    assert_eq!(
        told(
            "job.display_name",
            "display_name holds the control character U+0007"
        ),
        "studio.toml:1: name holds the control character U+0007"
    );
    assert_eq!(
        told(
            "job.walls[0].finishes[0].coats[0]",
            "walls[0].finishes[0].coats[0] is clay, which is not among the mixes"
        ),
        "studio.toml:10: wall a, finish inner: coats \"clay:12\" is clay, which is not among the mixes",
        "a path that only programs know is told as what stands in the file"
    );
    assert_eq!(
        told(
            "job.walls[0].finishes[0].coats[0]",
            "wall \"a\": \"clay:12\" is thick"
        ),
        "studio.toml:10: wall a, finish inner: coats: \"clay:12\" is thick"
    );
    assert_eq!(
        told(
            "job.walls[0].finishes[0].levelling_mm",
            "wall \"a\", finish inner: levelling_mm is 900 mm"
        ),
        "studio.toml:8: wall a, finish inner: levelling_mm is 900 mm"
    );
    assert_eq!(
        told("job.name", "name: \"X\" is not an id"),
        "\"X\" is not an id",
        "what was typed stands in no file"
    );
}
