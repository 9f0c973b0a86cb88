//! Labour constants.

use hod_domain::work::LabourConstant;
use hod_store::Stored;
use hod_units::canonical;
use hod_wire::v1 as wire;

use super::choice;
use super::crew::make_up;
use super::stamp::{etag, timestamp};
use crate::name::{Collection, LabourConstants};

/// A labour constant.
pub fn labour_constant(stored: &Stored<LabourConstant>) -> wire::LabourConstant {
    let constant = &stored.value;
    wire::LabourConstant {
        name: LabourConstants::name(&constant.id),
        display_name: constant.display_name.clone(),
        task: choice::task(constant.task),
        method: constant
            .method
            .as_ref()
            .map(ToString::to_string)
            .unwrap_or_default(),
        driver: choice::driver(constant.driver),
        low_hours: canonical(constant.low.hours()),
        likely_hours: canonical(constant.likely.hours()),
        high_hours: canonical(constant.high.hours()),
        make_up: make_up(&constant.make_up),
        source: constant.source.clone(),
        create_time: Some(timestamp(stored.created)),
        update_time: Some(timestamp(stored.updated)),
        etag: etag(stored.version),
    }
}
