//! Pieces: adobes and bales, of which a wall is laid in courses. Here is what a build says of its piece, or why it cannot
//! be laid; how it lies and how many there are is for its system.

use super::stock::material_in;
use crate::basis::{Joint, Term};
use crate::job::Build;
use crate::material::{Material, PieceSize};
use crate::takeoff::tally::Tally;
use crate::text::Text;
use crate::unit::Unit;

/// The piece of a build.
pub(super) struct Piece<'a> {
    pub material: &'a Material,
    pub size: PieceSize,
}

impl<'a> Piece<'a> {
    /// That of a build, ordered in one of these units; a fault when it names none, or one that is not there, is ordered
    /// otherwise or has no sizes.
    pub fn of(build: &Build, units: &[Unit], tally: &mut Tally<'a>) -> Option<Self> {
        let field = build.path("piece_material");
        let Some(id) = &build.piece else {
            let message = format!(
                "{} is of {} and names no piece; give the material that it is laid of, one with its three sizes",
                said_by(build),
                build.system.word()
            );
            tally.refuse(field, "BUILD_NAMES_NO_PIECE", message);
            return None;
        };
        let material = material_in(&field, id, units, tally)?;
        let Some(size) = material.size.filter(is_whole) else {
            let message = format!(
                "{field} is {id}, which has no sizes; measure some and give length_mm, width_mm and height_mm of materials/{id}"
            );
            tally.refuse(field, "PIECE_HAS_NO_SIZE", message);
            return None;
        };
        Some(Self { material, size })
    }

    /// `materials/ID`, as the source of its sizes.
    pub fn source(&self) -> Text {
        Text::from(format!("materials/{}", self.material.id))
    }
}

fn is_whole(size: &PieceSize) -> bool {
    size.length.is_positive() && size.width.is_positive() && size.height.is_positive()
}

/// Who says what is built, in a message: `build inner`, or the job.
pub(super) fn said_by(build: &Build) -> String {
    if build.id.is_empty() {
        "the job".to_owned()
    } else {
        format!("build {}", build.id)
    }
}

/// What is broken or spoiled on top; nothing when the build says there is none.
pub(super) fn breakage(build: &Build) -> Vec<Term> {
    let percent = build.breakage.percent();
    let label = "broken or spoiled";
    let term = Term::new(Joint::PlusPercent, percent, Unit::Percent, label, "job");
    if percent.is_zero() {
        Vec::new()
    } else {
        vec![term]
    }
}
