//! The stem wall: the masonry that the earth stands on. It is measured as a wall of its own below the earth, on the same
//! centre line, plumb, and cut by every opening whose sill goes down into it.

use hod_units::{Area, Decimal, Length, Share, Volume};
use rust_decimal::dec;

use super::beneath::{self, Strip, StripMeasure};
use super::stock::{PIECES, material_in};
use super::stretch::{listed, mm};
use crate::basis::{Basis, Joint, Term};
use crate::fault::{Fault, too_large};
use crate::geometry::WallMeasure;
use crate::id::{MaterialId, MixId};
use crate::job::{Masonry, StemWall};
use crate::material::{Material, PieceSize};
use crate::takeoff::Amounts;
use crate::takeoff::tally::{Placing, Tally, drawn};
use crate::text::Text;
use crate::unit::{Unit, round_up};
use crate::work::{Driver, Task};

const PART: &str = "stem wall";

pub(super) fn put_down(measures: &[WallMeasure], tally: &mut Tally) {
    let Some(stem) = &tally.job.stem_wall else {
        caution_not_counted(tally);
        return;
    };
    let strips = strips(measures, stem, tally);
    caution_narrower(&strips, tally);
    match beneath::measure(&strips, "stem_wall.thickness_mm", "the stem wall") {
        Ok(measured) if measured.is_empty() => caution_no_height(tally),
        Ok(measured) => match Sums::of(&strips, &measured) {
            Some(sums) => of_masonry(stem, &strips, &measured, &sums, tally),
            None => tally.faults.push(too_large("the stem wall")),
        },
        Err(faults) => tally.faults.extend(faults),
    }
}

fn caution_not_counted(tally: &mut Tally) {
    let mut walls = tally.job.walls.iter();
    if walls.any(|wall| wall.stem_height.is_positive()) {
        tally.caution(
            "STEM_WALL_NOT_COUNTED",
            PART,
            "walls stand on a stem wall and the job does not say of what; its stone, mortar or bags are not counted: give a \
             [stem_wall]",
        );
    }
}

fn caution_no_height(tally: &mut Tally) {
    tally.caution(
        "STEM_WALL_HAS_NO_HEIGHT",
        PART,
        "the job has a [stem_wall] and no wall stands on one; nothing of it is counted: give the walls their stem_height_m, or \
         leave the stem wall out",
    );
}

/// One for all walls that reach over their stem wall.
fn caution_narrower(strips: &[Strip], tally: &mut Tally) {
    let narrow = strips
        .iter()
        .filter(|strip| strip.thickness < strip.wall.thickness);
    let parts: Vec<Text> = narrow.clone().map(Strip::part).collect();
    let Some(strip) = narrow.clone().next() else {
        return;
    };
    let description = format!(
        "the stem wall is {} mm thick and thinner than what stands on it, {}: earth that hangs over has nothing beneath; make \
         it as thick as the wall",
        mm(strip.thickness),
        listed(&parts)
    );
    tally.caution("STEM_WALL_NARROWER_THAN_WALL", PART, description);
}

/// Under every wall that has one.
fn strips<'a>(measures: &'a [WallMeasure], stem: &StemWall, tally: &Tally<'a>) -> Vec<Strip<'a>> {
    let walls = tally.job.walls.iter().zip(measures);
    walls
        .filter(|(wall, _)| wall.stem_height.is_positive())
        .map(|(wall, above)| Strip {
            wall,
            above,
            thickness: stem.thickness.unwrap_or(wall.thickness),
            height: wall.stem_height,
            is_cut: true,
        })
        .collect()
}

/// Over all walls.
struct Sums {
    net: Volume,
    faces: Area,
    plan_area: Area,
    /// Of the plan, where openings cut the strips from the top.
    plan_cut: Area,
    /// Bags alone in the lines, and walls by their heights, are told by wall.
    heights: Vec<(String, Length)>,
}

impl Sums {
    /// `None` on overflow.
    fn of(strips: &[Strip], measured: &[StripMeasure]) -> Option<Self> {
        let heights = strips
            .iter()
            .map(|strip| (strip.wall.id.clone(), strip.height))
            .collect();
        Some(Self {
            net: Volume::checked_sum(measured.iter().map(|strip| strip.net))?,
            faces: Area::checked_sum(measured.iter().flat_map(|strip| strip.faces))?,
            plan_area: Area::checked_sum(measured.iter().map(|strip| strip.plan_area))?,
            plan_cut: Area::checked_sum(
                strips
                    .iter()
                    .map(Strip::plan_cut)
                    .collect::<Option<Vec<_>>>()?,
            )?,
            heights,
        })
    }

    /// What the hours to lay it may be counted by, but for pieces.
    fn amounts(&self) -> Amounts {
        let (net, faces) = (self.net.cubic_metres(), self.faces.square_metres());
        Amounts::of_job()
            .with(Driver::M3Placed, net, Unit::M3, "stem wall")
            .with(Driver::M2Face, faces, Unit::M2, "faces of the stem wall")
    }

    fn volume(&self) -> Basis {
        drawn(self.net.cubic_metres(), Unit::M3, "stem wall")
    }
}

fn of_masonry(
    stem: &StemWall,
    strips: &[Strip],
    measured: &[StripMeasure],
    sums: &Sums,
    tally: &mut Tally,
) {
    let word = match stem.masonry {
        Masonry::StoneInMortar { .. } => "stone in mortar",
        Masonry::Bags { .. } => "filled bags",
    };
    for (strip, measure) in strips.iter().zip(measured) {
        let item = format!("{word}, wall {}", strip.wall.id);
        tally.line(PART, item, Unit::M3, net_of(measure));
    }
    match &stem.masonry {
        Masonry::StoneInMortar {
            stone,
            mortar,
            mortar_share,
        } => stone_in_mortar(stone, mortar, *mortar_share, sums, tally),
        Masonry::Bags { bag, fill } => bags(bag, fill, sums, tally),
    }
    damp_course(stem, sums, tally);
}

fn net_of(measure: &StripMeasure) -> Basis {
    let term =
        |joint, volume: Volume, label| Term::new(joint, volume.cubic_metres(), Unit::M3, label, "");
    let mut terms = vec![term(Joint::Start, measure.gross, "between its corners")];
    if !measure.cut.is_zero() {
        terms.push(term(Joint::Less, measure.cut, "openings that cut it"));
    }
    Basis::of(terms)
}

/// Stone and the mortar between: `stone = volume x (1 - mortar share)`, which is what the stones themselves fill, and
/// `mortar = volume x mortar share`.
///
/// 2.232 m3 with 35 % of mortar: 1.4508 m3 of stone and 0.7812 m3 of mortar.
fn stone_in_mortar(
    stone: &MaterialId,
    mortar: &MixId,
    mortar_share: Share,
    sums: &Sums,
    tally: &mut Tally,
) {
    let field = "stem_wall.stone_material";
    let percent = dec!(100).checked_sub(mortar_share.percent());
    let units = &[Unit::M3, Unit::T, Unit::Kg];
    let material = material_in(field, stone, units, tally);
    if let Some((material, percent)) = material.zip(percent) {
        let term = Term::new(
            Joint::PercentOf,
            percent,
            Unit::Percent,
            "stone in it",
            "job",
        );
        let as_laid = sums.volume().carried_on(&[term]);
        tally.line(PART, "stone as laid", Unit::M3, as_laid.clone());
        match ordered(material, as_laid) {
            Ok(basis) => tally.need(stone, basis),
            Err(fault) => tally.faults.push(fault),
        }
    }
    let volume = sums.net.checked_mul(mortar_share.fraction());
    place(
        mortar,
        "stem_wall.mortar_mix",
        "mortar",
        volume,
        sums.amounts(),
        tally,
    );
}

/// Stone as laid, told as it is ordered: swollen from the solid to the heap, and weighed as the material is. Of a stone
/// whose swell is not given, the density stands for the stone itself.
///
/// 1.4508 m3 of stone of 2400 kg/m3 itself are 3.48192 t; of stone that swells by 65 % and weighs 1450 kg/m3 in the heap,
/// 1.4508 x 1.65 x 1450 / 1000 = 3.471039 t.
fn ordered(stone: &Material, as_laid: Basis) -> Result<Basis, Fault> {
    let source = Text::from(format!("materials/{}", stone.id));
    let mut terms = Vec::new();
    if !stone.swell.is_zero() {
        let percent = stone.swell.percent();
        let label = "swell from solid to loose";
        terms.push(Term::new(
            Joint::PlusPercent,
            percent,
            Unit::Percent,
            label,
            &source,
        ));
    }
    if stone.purchase_unit == Unit::M3 {
        return Ok(as_laid.carried_on(&terms));
    }
    let density = stone.density_loose.ok_or_else(|| {
        let message = format!(
            "{} is ordered by the {} and has no density; give density_loose_kg_m3: of the heap where it has a swell, else of \
             the stone itself",
            stone.id,
            stone.purchase_unit.word()
        );
        Fault::of_field("density_loose_kg_m3", "DENSITY_MISSING", message).about(source.to_string())
    })?;
    let density = density.kg_per_cubic_metre();
    terms.push(Term::new(
        Joint::Times,
        density,
        Unit::KgPerM3,
        "density",
        &source,
    ));
    if stone.purchase_unit == Unit::T {
        let label = "kg in a tonne";
        terms.push(Term::new(Joint::Over, dec!(1000), Unit::Number, label, ""));
    }
    Ok(as_laid.carried_on(&terms))
}

/// Bags filled, laid and tamped in courses: `bags = volume / volume of a bag as tamped`, up to whole ones over the whole
/// job, and `courses = height / height of a bag`, up to whole ones wall by wall.
///
/// 2.232 m3 of bags of 500 x 380 x 125 mm, 0.02375 m3: 93.98, so 94; 0.45 m high: 3.6, so 4 courses.
fn bags(bag: &MaterialId, fill: &MixId, sums: &Sums, tally: &mut Tally) {
    let field = "stem_wall.bag_material";
    let mut amounts = sums.amounts();
    let size = material_in(field, bag, PIECES, tally).and_then(|bag| size_of(field, bag, tally));
    if let Some((size, volume)) = size {
        let source = Text::from(format!("materials/{bag}"));
        let over = Term::new(Joint::Over, volume, Unit::M3, "a bag as tamped", &source);
        let basis = sums.volume().carried_on(&[over]);
        for (wall, height) in &sums.heights {
            let up = size.height.metres();
            let over = Term::new(Joint::Over, up, Unit::M, "height of a bag", &source);
            let courses = drawn(height.metres(), Unit::M, "height of the stem wall");
            let courses = courses.carried_on(&[over]).to("up to a whole course");
            tally.line(
                PART,
                format!("courses of bags, wall {wall}"),
                Unit::Each,
                courses,
            );
        }
        tally.line(
            PART,
            "bags laid",
            Unit::Bag,
            basis.clone().to("up to a whole bag"),
        );
        if let Some(count) = basis.work().and_then(|exact| round_up(exact, 0)) {
            amounts = amounts.with(Driver::Piece, count, Unit::Bag, "bags laid");
        }
        tally.need(bag, basis);
    }
    place(
        fill,
        "stem_wall.fill_mix",
        "fill of bags",
        Some(sums.net),
        amounts,
        tally,
    );
}

/// The sizes of a bag and its volume; a fault where it has none.
fn size_of(field: &str, bag: &Material, tally: &mut Tally) -> Option<(PieceSize, Decimal)> {
    let size = bag.size.and_then(|size| Some((size, size.volume()?)));
    let known = size.filter(|(_, volume)| volume.is_positive());
    if known.is_none() {
        let id = &bag.id;
        let message = format!(
            "{field} is {id}, whose sizes nobody gave; fill and tamp one, and give materials/{id} its length, width and height"
        );
        tally.refuse(field, "PIECE_HAS_NO_SIZE", message);
    }
    known.map(|(size, volume)| (size, volume.cubic_metres()))
}

/// So much of a mix in the stem wall, and the work of laying it.
fn place(
    mix: &MixId,
    field: &str,
    label: &'static str,
    volume: Option<Volume>,
    amounts: Amounts,
    tally: &mut Tally,
) {
    if tally.recipe(field, mix).is_none() {
        return;
    }
    let Some(volume) = volume else {
        tally.faults.push(too_large("the stem wall"));
        return;
    };
    let method = tally.mixing(mix, None);
    tally.work(Task::LayStem, method.as_ref(), amounts);
    tally.place(Placing {
        mix: mix.clone(),
        mixing: None,
        net: volume,
        placed: volume,
        waste: None,
        label,
        tasks: &[Task::LayStem],
    });
}

/// Over its plan, but for the openings that cut it: `plan area - sum of cut width x thickness`. Laid flat; laps are not
/// within.
///
/// 4.00 x 0.50 m less a door of 0.90 m: 2 - 0.45 = 1.55 m2.
fn damp_course(stem: &StemWall, sums: &Sums, tally: &mut Tally) {
    let Some(id) = &stem.damp_course else {
        return;
    };
    let field = "stem_wall.damp_course_material";
    if material_in(field, id, &[Unit::M2], tally).is_none() {
        return;
    }
    let term =
        |joint, area: Area, label| Term::new(joint, area.square_metres(), Unit::M2, label, "");
    let mut terms = vec![term(
        Joint::Start,
        sums.plan_area,
        "plan area, laps not within",
    )];
    if sums.plan_cut.is_positive() {
        terms.push(term(Joint::Less, sums.plan_cut, "openings that cut it"));
    }
    let basis = Basis::of(terms);
    tally.line(PART, "damp-proof course", Unit::M2, basis.clone());
    tally.need(id, basis);
}
