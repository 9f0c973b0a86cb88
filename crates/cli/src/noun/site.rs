//! Sites as they are shown.

use hod_wire::v1::Site;

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::record::Record;

impl Noun for Site {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Site", |site| short(&site.name)),
        words("Name", |site| site.display_name.clone()),
        words("Region", |site| short(&site.region)),
        figures("Haul m", |site| site.haul_distance_m.clone()),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .text("display_name", &self.display_name)
            .text("region", &self.region)
            .text("haul_distance_m", &self.haul_distance_m)
            .time("create_time", self.create_time.as_ref())
            .time("update_time", self.update_time.as_ref())
            .text("etag", &self.etag)
    }

    fn name(&self) -> &str {
        &self.name
    }
}
