//! Jobs: a building to be estimated at a site, as its walls are drawn.

use hod_units::{Length, Share};

use crate::geometry::WallDrawing;
use crate::id::{CrewId, Method, MixId, SiteId};

/// A building to be estimated. Each wall's drawing already carries the job's paring, stem wall and lift height.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// What people call it.
    pub display_name: String,
    /// Where it stands; needed for an estimate.
    pub site: Option<SiteId>,
    /// The recipe; needed for an estimate and for batches.
    pub mix: Option<MixId>,
    /// The method of mixing; needed for an estimate.
    pub mixing: Option<Method>,
    /// Who works; needed for an estimate.
    pub crew: Option<CrewId>,
    /// Earth lost, of the placed volume; the mix's own figure when none.
    pub waste: Option<Share>,
    /// The walls.
    pub walls: Vec<WallDrawing>,
}

/// Trimmed off each face of cob when a job says nothing: cob projects "an inch or so" each side of the base for
/// paring (C. Williams-Ellis, *Cottage Building in Cob, Pisé, Chalk and Clay*, 2nd ed. 1920, chapter "Cob").
pub fn paring_of_cob() -> Length {
    Length::from_mm(25.into())
}
