//! Crews as they are shown, and the shares of grades that crews and labour constants have.

use hod_wire::v1::{Crew, GradeShare};

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::record::Record;

impl Noun for Crew {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Crew", |crew| short(&crew.name)),
        words("Name", |crew| crew.display_name.clone()),
        figures("Hours factor", |crew| crew.hours_factor.clone()),
        words("Make-up", |crew| make_up(&crew.make_up)),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .text("display_name", &self.display_name)
            .text("hours_factor", &self.hours_factor)
            .many("make_up", &self.make_up, share_record)
            .text("source", &self.source)
            .time("create_time", self.create_time.as_ref())
            .time("update_time", self.update_time.as_ref())
            .text("etag", &self.etag)
    }

    fn name(&self) -> &str {
        &self.name
    }
}

/// `lead 25 %, practised 75 %`.
pub(super) fn make_up(shares: &[GradeShare]) -> String {
    let shares: Vec<String> = shares
        .iter()
        .map(|share| format!("{} {} %", share.grade, share.share_percent))
        .collect();
    shares.join(", ")
}

pub(super) fn share_record(share: &GradeShare) -> Record {
    Record::new()
        .text("grade", &share.grade)
        .text("share_percent", &share.share_percent)
}
