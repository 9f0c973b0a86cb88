//! Jobs: a building to be estimated at a site. Its walls as they are drawn, what each is built of and finished with,
//! and what else there is: stem wall, trench, floors, ovens, the ground.
//!
//! Holds what was said. What it amounts to is for `takeoff`, what it costs for `estimate`.

mod commerce;
mod commerce_faults;
mod names;

use hod_units::{Area, Decimal, Length, Rounding, Share};

pub use self::commerce::{
    BuildUpChange, Cost, CostDriver, CostKind, ScopeHolder, ScopeLine, SiteTime, Source,
};

use crate::geometry::{Face, WallDrawing};
use crate::id::{CrewId, MaterialId, Method, MixId, RulePackId, SiteId, SoilTestId};

/// A building to be estimated. Each wall's drawing already carries its own stem wall, lift height, paring and zones.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Job {
    /// What people call it.
    pub display_name: String,
    /// Where it stands; needed for an estimate.
    pub site: Option<SiteId>,
    /// The method of mixing of a mix that names none.
    pub mixing: Option<Method>,
    /// Who works; needed for an estimate.
    pub crew: Option<CrewId>,
    /// Earth lost in the walls, of the placed volume; the mix's own figure when none.
    pub waste: Option<Share>,
    /// Parings that are built in again, of all parings.
    pub parings_reused: Share,
    /// What the walls and parts of them are built of; the first for walls that name none.
    pub builds: Vec<Build>,
    /// The walls as drawn.
    pub walls: Vec<WallDrawing>,
    /// What each wall is built of and finished with, in the order of the walls.
    pub works: Vec<WallWork>,
    /// The stem wall, where it is to be counted.
    pub stem_wall: Option<StemWall>,
    /// The trench, if there is one.
    pub trench: Option<Trench>,
    /// The floors.
    pub floors: Vec<Floor>,
    /// The ovens.
    pub ovens: Vec<Oven>,
    /// The ground, where something is said of it.
    pub ground: Option<Ground>,
    /// The measurement rules that payment follows.
    pub measurement: Option<RulePackId>,
    /// Parts of the building and who does them.
    pub scope: Vec<ScopeLine>,
    /// What in the region's build-up is otherwise.
    pub build_up: BuildUpChange,
    /// How money is rounded, in place of the region's rule.
    pub rounding: Option<Rounding>,
    /// What it costs besides walls and work.
    pub costs: Vec<Cost>,
    /// How long and how often the crew is there.
    pub site_time: SiteTime,
    /// Where materials are to be bought, a material at most once.
    pub sources: Vec<Source>,
}

/// What a wall is built of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum WallSystem {
    /// Laid wet in lifts without forms.
    #[default]
    Cob,
    /// Dried earth bricks in mortar.
    Adobe,
    /// Damp earth rammed between forms.
    RammedEarth,
    /// Straw coated in clay slip, tamped between forms.
    LightStrawClay,
    /// Bales in courses.
    StrawBale,
    /// Woven panels daubed on both faces.
    WattleAndDaub,
}

impl WallSystem {
    /// How a line and a message name it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Cob => "cob",
            Self::Adobe => "adobe",
            Self::RammedEarth => "rammed earth",
            Self::LightStrawClay => "light straw-clay",
            Self::StrawBale => "straw bale",
            Self::WattleAndDaub => "wattle and daub",
        }
    }
}

/// What a wall, or the part of it above a height, is built of.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Build {
    /// Its name in the job; empty for what the job itself says.
    pub id: String,
    /// Where it was said, as a field path below the job: `builds[2]`; empty for what the job itself says.
    pub field: String,
    /// The wall system.
    pub system: WallSystem,
    /// The recipe; needed for batches and an estimate, but for straw bales.
    pub mix: Option<MixId>,
    /// The method of mixing it; none: the mix's own, else the job's.
    pub mixing: Option<Method>,
    /// The adobe or the bale.
    pub piece: Option<MaterialId>,
    /// The mortar of adobes.
    pub mortar: Option<MixId>,
    /// Bed and head joints of adobes.
    pub joint: Option<Length>,
    /// Pieces broken or spoiled, of those laid.
    pub breakage: Share,
    /// How bales lie.
    pub bale_lay: BaleLay,
    /// How far a stack of bales settles before plaster, of its height as stacked.
    pub settling: Share,
    /// Twine, pins or ties of bales.
    pub tie: Option<Tie>,
    /// The staves of a wattle.
    pub staves: Option<Lattice>,
    /// The rods woven between them.
    pub rods: Option<Lattice>,
    /// What staves and rods take of the finished volume.
    pub wattle: Share,
    /// Boards or sheets of forms.
    pub form: Option<Form>,
}

/// How a bale lies in the wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum BaleLay {
    /// Its width is the wall's thickness, its height that of a course.
    #[default]
    Flat,
    /// Its height is the wall's thickness, its width that of a course.
    Edge,
}

/// What ties a bale.
#[derive(Debug, Clone, PartialEq)]
pub struct Tie {
    /// Of what.
    pub material: MaterialId,
    /// So much to a bale, in its purchase unit.
    pub to_a_piece: Decimal,
}

/// Staves or rods of a wattle.
#[derive(Debug, Clone, PartialEq)]
pub struct Lattice {
    /// Of what.
    pub material: MaterialId,
    /// From middle to middle.
    pub spacing: Length,
}

/// Forms of rammed earth or straw-clay.
#[derive(Debug, Clone, PartialEq)]
pub struct Form {
    /// Of what.
    pub material: MaterialId,
    /// How many times one is used before it is worn; at least 1.
    pub uses: u32,
}

/// What a wall is built of and finished with, besides its drawing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WallWork {
    /// Which build of the job holds from its foot.
    pub build: usize,
    /// Which holds in each zone of its drawing above that, in the same order.
    pub above: Vec<usize>,
    /// Its coats; a face at most once.
    pub finishes: Vec<Finish>,
    /// What is set into its openings, in the order of its drawing; none said for any where it is empty.
    pub openings: Vec<OpeningWork>,
    /// What is buried in it.
    pub buried: Vec<Buried>,
}

/// So much of a mix, evenly thick.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// Of what.
    pub mix: MixId,
    /// How thick; of a wash, so many litres to the m2.
    pub thickness: Length,
}

/// Coats on a face.
#[derive(Debug, Clone, PartialEq)]
pub struct Finish {
    /// Where it was said, as a field path below the job: `walls[3].finishes[0]`; `finishes[0]` for the job's own.
    pub field: String,
    /// Which face.
    pub face: Face,
    /// From the wall outward.
    pub coats: Vec<Layer>,
    /// Hollows that the first coat fills besides, on the mean of the face.
    pub levelling: Length,
    /// How much of the reveals it covers too; none: all with the inner face's finish, or with the outer's where the inner
    /// has none.
    pub reveals: Option<Share>,
}

/// What is set into an opening.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OpeningWork {
    /// What carries the wall over it.
    pub lintel: Option<Lintel>,
    /// A board or stone on its sill.
    pub sill: Option<MaterialId>,
    /// A frame or buck.
    pub frame: Option<MaterialId>,
    /// The form on which its arch is built.
    pub arch_form: Option<MaterialId>,
}

/// What carries a wall over an opening.
#[derive(Debug, Clone, PartialEq)]
pub struct Lintel {
    /// Of what.
    pub material: MaterialId,
    /// Side by side across the wall; at least 1.
    pub count: u32,
    /// What each bears on at each end.
    pub bearing: Length,
}

/// What is buried in a wall as it rises.
#[derive(Debug, Clone, PartialEq)]
pub struct Buried {
    /// What it is called on the lift's card.
    pub id: String,
    /// Its level above the top of the stem wall.
    pub height: Length,
    /// How many; at least 1.
    pub count: u32,
    /// What it is made of, where that is to be counted.
    pub material: Option<MaterialId>,
}

/// The masonry that the earth stands on.
#[derive(Debug, Clone, PartialEq)]
pub struct StemWall {
    /// What it is built of.
    pub masonry: Masonry,
    /// Its thickness; that of the wall's base when none.
    pub thickness: Option<Length>,
    /// Damp-proof course over its top.
    pub damp_course: Option<MaterialId>,
}

/// What a stem wall is built of.
#[derive(Debug, Clone, PartialEq)]
pub enum Masonry {
    /// Stone laid in mortar.
    StoneInMortar {
        /// The stone.
        stone: MaterialId,
        /// The mortar.
        mortar: MixId,
        /// Mortar, of the volume.
        mortar_share: Share,
    },
    /// Filled bags, tamped in courses.
    Bags {
        /// The bag, its sizes as filled and tamped.
        bag: MaterialId,
        /// What fills it.
        fill: MixId,
    },
}

/// A trench filled with rubble.
#[derive(Debug, Clone, PartialEq)]
pub struct Trench {
    /// On the walls' own centre line.
    pub width: Length,
    /// How deep.
    pub depth: Length,
    /// What fills it.
    pub fill: MixId,
    /// Drain along it.
    pub drain: Option<MaterialId>,
    /// Cloth around the fill.
    pub fabric: Option<MaterialId>,
}

/// A floor.
#[derive(Debug, Clone, PartialEq)]
pub struct Floor {
    /// Its name.
    pub id: String,
    /// How large it is.
    pub extent: Extent,
    /// From the ground up.
    pub layers: Vec<Layer>,
    /// Sheet under or between the layers.
    pub sheet: Option<Sheet>,
}

/// How large a floor is.
#[derive(Debug, Clone, PartialEq)]
pub enum Extent {
    /// So large.
    Area(Area),
    /// A rectangle.
    Rectangle {
        /// One side.
        length: Length,
        /// The other.
        width: Length,
    },
    /// Between the inner faces of the closed run that this wall belongs to.
    Inside(String),
}

/// A sheet in a floor.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Of what.
    pub material: MaterialId,
    /// What laps and upstands take, of the area.
    pub lap: Share,
}

/// An earthen oven.
#[derive(Debug, Clone, PartialEq)]
pub struct Oven {
    /// Its name.
    pub id: String,
    /// Of the dome inside, at its foot.
    pub inner_diameter: Length,
    /// Of the dome inside; half the diameter when none.
    pub dome_height: Option<Length>,
    /// Of the door.
    pub door_width: Length,
    /// Of the door; 63 % of the dome's when none.
    pub door_height: Option<Length>,
    /// Of the dome, from the inside out.
    pub layers: Vec<Layer>,
    /// Under it, from the ground up, over the circle of the dome's outside.
    pub base_layers: Vec<Layer>,
    /// What the dome is built over and dug out of again.
    pub form: Option<MixId>,
}

/// The ground at the site.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ground {
    /// Where soil may be dug.
    pub dig_area: Option<Area>,
    /// Topsoil over it, set aside.
    pub topsoil: Length,
    /// Subsoil below that may be dug.
    pub subsoil: Option<Length>,
    /// The test of that subsoil, at the job's site.
    pub soil_test: Option<(SiteId, SoilTestId)>,
    /// Taking spoil away.
    pub tip: Option<MaterialId>,
    /// How spoil and topsoil grow from the bank to loose, of the bank volume.
    pub swell: Share,
}

/// Trimmed off each face of cob when a job says nothing: cob projects "an inch or so" each side of the base for
/// paring (C. Williams-Ellis, *Cottage Building in Cob, Pisé, Chalk and Clay*, 2nd ed. 1920, chapter "Cob").
pub fn paring_of_cob() -> Length {
    Length::from_mm(25.into())
}

impl Build {
    /// The path of one of its fields, for a fault.
    pub(crate) fn path(&self, field: &str) -> String {
        if self.field.is_empty() {
            field.to_owned()
        } else {
            [&self.field, ".", field].concat()
        }
    }

    /// How a line names it: its id, or its system's word.
    pub(crate) fn name(&self) -> &str {
        if self.id.is_empty() {
            self.system.word()
        } else {
            &self.id
        }
    }
}

impl Job {
    /// Which build a wall is of from its foot, and in each of its zones above.
    pub(crate) fn build_places(&self, wall: usize) -> impl Iterator<Item = usize> {
        let work = self.works.get(wall);
        let above = work.map_or(&[][..], |work| &work.above);
        std::iter::once(work.map_or(0, |work| work.build)).chain(above.iter().copied())
    }
}
