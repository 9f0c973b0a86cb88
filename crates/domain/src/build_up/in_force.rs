//! The build-up that holds for a job: its region's, with what the job says otherwise, and who said each figure.

use std::borrow::Cow;

use hod_units::{Currency, Rounding};

use crate::job::{BuildUpChange, Job};
use crate::region::{BuildUp, Region};
use crate::text::Text;

/// How a basis names a figure that the job itself says.
const THE_JOB: &str = "the job";

/// A region as it holds for a job.
#[derive(Debug, Clone)]
pub struct InForce<'a> {
    region: Cow<'a, Region>,
    change: &'a BuildUpChange,
    of_region: Text,
}

impl<'a> InForce<'a> {
    /// A region's build-up and rounding with what a job says in their place. A job that says nothing copies nothing.
    pub fn of(region: &'a Region, job: &'a Job) -> Self {
        let change = &job.build_up;
        let is_as_it_is = job.rounding.is_none() && *change == BuildUpChange::default();
        let of_region = Text::from(format!("regions/{}", region.id));
        let region = if is_as_it_is {
            Cow::Borrowed(region)
        } else {
            Cow::Owned(Region {
                build_up: change.applied_to(&region.build_up),
                rounding: job.rounding.unwrap_or(region.rounding),
                ..region.clone()
            })
        };
        Self {
            region,
            change,
            of_region,
        }
    }

    /// The region, with the build-up and the rounding that hold.
    pub fn region(&self) -> &Region {
        &self.region
    }

    /// From direct cost to price.
    pub fn build_up(&self) -> &BuildUp {
        &self.region.build_up
    }

    /// What is paid in.
    pub fn currency(&self) -> Currency {
        self.region.currency
    }

    /// How money is rounded.
    pub fn rounding(&self) -> Rounding {
        self.region.rounding
    }

    /// What the job says otherwise.
    pub(super) fn change(&self) -> &BuildUpChange {
        self.change
    }

    /// Who said a figure, for its basis: the job where it did, else the region.
    pub(crate) fn source<T>(&self, of: impl FnOnce(&BuildUpChange) -> &Option<T>) -> Text {
        if of(self.change).is_some() {
            Text::from(THE_JOB)
        } else {
            self.of_region.clone()
        }
    }

    /// How a fault names the region.
    pub(super) fn region_name(&self) -> &str {
        &self.of_region
    }
}
