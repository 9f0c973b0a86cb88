//! `hod estimate compare`: two estimates or quotes against each other.

use clap::Args;
use hod_wire::v1::CompareEstimatesRequest;

use super::estimate_name;
use crate::command::Context;
use crate::fault::Failure;
use crate::name::{collection::QUOTES, full};
use crate::render::comparison::ComparisonAnswer;

/// What the help says behind the flags.
pub(super) const AFTER_HELP: &str = "An estimate is given as JOB/ID, a quote by its id, such as q17. Every difference is split by what caused it: more or \
less of it, another price or rate, other labour constants, what stands in one of the two only, what a step of the build-up \
carries along, another build-up. The effects add up to the difference.";

/// Which two.
#[derive(Debug, Args)]
pub struct CompareEstimates {
    /// The one before: an estimate or a quote.
    #[arg(value_name = "JOB/ID|QUOTE")]
    before: String,
    /// The one after, in the same currency.
    #[arg(value_name = "JOB/ID|QUOTE")]
    after: String,
    /// The lines that do not differ too, each by itself.
    #[arg(long)]
    all: bool,
}

impl CompareEstimates {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        let request = CompareEstimatesRequest {
            before: estimate_or_quote(&self.before)?,
            after: estimate_or_quote(&self.after)?,
        };
        let mut stub = context.connect().await?.estimation();
        let comparison = stub.compare_estimates(request).await?.into_inner();
        let mut answers = context.output.answers(false);
        answers.answer(&ComparisonAnswer {
            comparison,
            with_all: self.all,
        })?;
        answers.close()
    }
}

/// A quote hangs on nothing else, an estimate on its job.
fn estimate_or_quote(text: &str) -> Result<String, Failure> {
    let is_quote = !text.contains('/') || text.starts_with(&format!("{QUOTES}/"));
    if is_quote {
        Ok(full(QUOTES, text))
    } else {
        estimate_name(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_a_job_in_front_is_an_estimate_and_all_else_a_quote() {
        for (text, name) in [
            ("q17", "quotes/q17"),
            ("quotes/q17", "quotes/q17"),
            ("studio/e1", "jobs/studio/estimates/e1"),
            ("jobs/studio/estimates/e1", "jobs/studio/estimates/e1"),
        ] {
            assert_eq!(estimate_or_quote(text).ok().as_deref(), Some(name));
        }
        assert!(estimate_or_quote("a/b/c").is_err());
    }
}
