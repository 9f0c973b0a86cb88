//! Crews and make-ups by grade.

use hod_domain::work::{Crew, GradeShare};
use hod_store::Stored;
use hod_units::canonical;
use hod_wire::v1 as wire;

use super::stamp::{etag, timestamp};
use crate::name::{Collection, Crews};

/// A crew.
pub fn crew(stored: &Stored<Crew>) -> wire::Crew {
    let crew = &stored.value;
    wire::Crew {
        name: Crews::name(&crew.id),
        display_name: crew.display_name.clone(),
        hours_factor: canonical(crew.hours_factor),
        make_up: make_up(&crew.make_up),
        source: crew.source.clone(),
        create_time: Some(timestamp(stored.created)),
        update_time: Some(timestamp(stored.updated)),
        etag: etag(stored.version),
    }
}

/// Shares by grade, in their order.
pub fn make_up(make_up: &[GradeShare]) -> Vec<wire::GradeShare> {
    let share = |share: &GradeShare| wire::GradeShare {
        grade: share.grade.to_string(),
        share_percent: canonical(share.share.percent()),
    };
    make_up.iter().map(share).collect()
}
