//! Labour constants as they are shown.

use hod_wire::v1::{Driver, LabourConstant, Task};

use super::crew::{make_up, share_record};
use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::record::Record;
use crate::word;

impl Noun for LabourConstant {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Constant", |constant| short(&constant.name)),
        words("Task", |constant| {
            word::of::<Task>(constant.task).to_owned()
        }),
        words("Method", |constant| constant.method.clone()),
        words("Counted by", |constant| {
            word::of::<Driver>(constant.driver).to_owned()
        }),
        figures("Low h", |constant| constant.low_hours.clone()),
        figures("Likely h", |constant| constant.likely_hours.clone()),
        figures("High h", |constant| constant.high_hours.clone()),
        words("Make-up", |constant| make_up(&constant.make_up)),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .text("display_name", &self.display_name)
            .word::<Task>("task", self.task)
            .text("method", &self.method)
            .word::<Driver>("driver", self.driver)
            .text("low_hours", &self.low_hours)
            .text("likely_hours", &self.likely_hours)
            .text("high_hours", &self.high_hours)
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
