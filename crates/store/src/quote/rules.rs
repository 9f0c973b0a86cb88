//! What the rules of quotes and of their events say to people.

use crate::fault::Rules;

/// Why a quote that has come to an end comes to no other.
const ENDED: &str = "A quote is accepted, declined or expired once, and an accepted one stays so: issue a revision, or agree a variation under an accepted one.";

pub(crate) const RULES: Rules = &[
    (
        "quote_revised_is_of_its_job",
        "A quote revises a quote that is there, of the same job.",
    ),
    (
        "quote_revised_once",
        "A quote is revised once: revise the quote that stands in its place.",
    ),
    (
        "quote_revises_an_earlier_one",
        "A quote revises an earlier one.",
    ),
    (
        "quote_number_positive",
        "The number of a quote is 1 or more.",
    ),
    (
        "quote_number_follows",
        "The number of a quote follows the last one.",
    ),
    (
        "quote_client_length",
        "A client has 1 to 200 characters: say to whom the quote goes.",
    ),
    (
        "quote_issue_date_in_calendar",
        "A quote is issued in the years 1900 to 2199.",
    ),
    (
        "quote_validity_in_range",
        "A quote is valid for 1 to 365 days after its issue.",
    ),
    (
        "quote_currency_is_a_code",
        "A currency is the three capital letters of its ISO 4217 code.",
    ),
    ("quote_total_in_range", "A total is 0 to 999999999999999."),
    (
        "quote_lift_count_not_negative",
        "A lift count is 0 or more.",
    ),
    ("quote_offer_length", "An offer takes at most 8 MiB."),
    ("quote_estimate_length", "An estimate takes at most 8 MiB."),
    (
        "quote_comparison_length",
        "A comparison takes at most 8 MiB.",
    ),
    (
        "quote_comparison_of_a_revision",
        "A quote that revises another says what changed, and no other does.",
    ),
    (
        "quote_digest_is_of_its_bytes",
        "The digest of a quote is the SHA-256 of what was issued.",
    ),
    (
        "quote_counter_is_at_a_quote",
        "A number that was taken is a quote's.",
    ),
    (
        "quote_event_quote_exists",
        "What is kept becomes of a quote that exists.",
    ),
    (
        "quote_event_sequence_positive",
        "Events of a quote count from 1.",
    ),
    (
        "quote_event_state_known",
        "A quote is issued, accepted, declined, expired or superseded.",
    ),
    (
        "quote_event_issued_first",
        "A quote is issued first, and once.",
    ),
    (
        "quote_event_date_in_calendar",
        "What becomes of a quote does so in the years 1900 to 2199.",
    ),
    (
        "quote_event_note_length",
        "A note has at most 400 characters.",
    ),
    ("quote_event_ends_once", ENDED),
    ("quote_event_accepted_or_superseded", ENDED),
    ("quote_event_goes_forward", ENDED),
    (
        "quote_event_follows_another",
        "Each event of a quote follows the one before it.",
    ),
    (
        "quote_event_not_before_the_last",
        "What becomes of a quote does not do so before what became of it last; give a day at or after that.",
    ),
    (
        "quote_event_accepted_in_time",
        "A quote is accepted within its validity; issue a revision.",
    ),
    (
        "quote_event_superseded_by_a_quote",
        "A quote is superseded by its revision: issue one.",
    ),
];
