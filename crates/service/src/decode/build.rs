//! Builds: what walls and parts of them are built of, as the job says it and as each is drawn: how high a lift is and how
//! much is pared where nobody says.

use hod_domain::id::MixId;
use hod_domain::job::{Build, Form, Lattice, Tie, WallSystem, paring_of_cob};
use hod_units::{Decimal, Length, Share};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::labour_constant::method_if_any;
use super::wall::ID_CHARACTERS_MAX;
use super::{Bounds, Decoder, choice};
use crate::name::{Materials, Mixes};

/// Height of a lift.
pub const LIFT_HEIGHT: Bounds = Bounds::of(dec!(0.05), dec!(2), "m");

/// What is trimmed off a face.
pub const PARING: Bounds = Bounds::of(dec!(0), dec!(200), "mm");

const JOINT: Bounds = Bounds::of(dec!(0), dec!(50), "mm");
const BREAKAGE: Bounds = Bounds::of(dec!(0), dec!(50), "%");
const SETTLING: Bounds = Bounds::of(dec!(0), dec!(15), "%");
const TIES: Bounds = Bounds::of(dec!(0), dec!(100), "");
const STAVES: Bounds = Bounds::of(dec!(50), dec!(1000), "mm");
const RODS: Bounds = Bounds::of(dec!(10), dec!(500), "mm");
const WATTLE: Bounds = Bounds::of(dec!(0), dec!(60), "%");

/// Most uses of a form.
const FORM_USES_MAX: u32 = 1000;

/// Most builds of a job.
const BUILDS_MAX: usize = 100;

/// What is built, as far as it could be read.
struct Said {
    /// Its id; `None` for what is said by its system alone: by the job, or by a wall.
    id: Option<String>,
    /// All of it, where all could be read.
    build: Option<Build>,
    system: Option<WallSystem>,
    lift_height: Option<Length>,
    paring: Option<Length>,
}

/// All that a job is built of: first what the job itself says, then its builds, then what walls say by system alone.
pub struct Builds {
    all: Vec<Said>,
    mix: Option<MixId>,
    lift_height: Option<Length>,
    paring_of_cob: Length,
}

impl Builds {
    /// The builds of a job. `mix` and `lift_height` are the job's own.
    pub fn read<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a wire::Job,
        mix: Option<&MixId>,
        lift_height: Option<Length>,
    ) -> Self {
        let system = choice::wall_system(decoder, "system", wire.system);
        let paring = within(decoder, "paring_mm", &wire.paring_mm, &PARING).map(Length::from_mm);
        if let Some(system) = system.filter(|_| !has_cob(wire)) {
            refuse_paring(decoder, system, paring);
        }
        let mut builds = Self {
            all: Vec::with_capacity(1 + wire.builds.len().min(BUILDS_MAX)),
            mix: mix.cloned(),
            lift_height,
            paring_of_cob: paring.unwrap_or_else(paring_of_cob),
        };
        builds.all.push(builds.of_system_alone(system));
        let sent = decoder.list("builds", &wire.builds, 0, BUILDS_MAX);
        for (index, wire) in sent.iter().enumerate() {
            let said = decoder.at("builds", index, |decoder| {
                decoder.about("build", &wire.id, |decoder| said(decoder, wire, mix))
            });
            let field = format!("builds[{index}]");
            let build = said.build.map(|build| Build { field, ..build });
            builds.all.push(Said { build, ..said });
        }
        decoder.unlike("builds", sent.iter().map(|build| build.id.as_str()));
        builds
    }

    /// Where a build of this id stands.
    pub fn place(&self, id: &str) -> Option<usize> {
        let is_it = |said: &Said| said.id.as_deref() == Some(id);
        self.all.iter().position(is_it)
    }

    /// The ids of the job's builds, for a message.
    pub fn ids(&self) -> Vec<&str> {
        let ids = self.all.iter().filter_map(|said| said.id.as_deref());
        ids.filter(|id| !id.is_empty()).collect()
    }

    /// Where what a wall says by its system alone stands: the job's own build where that is of the system, else one of
    /// its own for each system, of the job's mix.
    pub fn place_of_system(&mut self, system: WallSystem) -> usize {
        let is_it = |said: &Said| said.id.is_none() && said.system == Some(system);
        if let Some(place) = self.all.iter().position(is_it) {
            return place;
        }
        let alone = self.of_system_alone(Some(system));
        self.all.push(alone);
        self.all.len() - 1
    }

    /// The system of a build, where it could be read.
    pub fn system(&self, place: usize) -> Option<WallSystem> {
        self.all.get(place)?.system
    }

    /// How high a lift is where neither the wall nor its build says: as the job says, else as the system has it.
    pub fn lift_height(&self, place: usize) -> Option<Length> {
        let of_system = || self.system(place).and_then(lift_height_of);
        self.lift_height.or_else(of_system)
    }

    /// How high a lift is, as the build itself says.
    pub fn own_lift_height(&self, place: usize) -> Option<Length> {
        self.all.get(place)?.lift_height
    }

    /// What is pared off each face: as the build says, else of cob the job's own, else nothing.
    pub fn paring(&self, place: usize) -> Length {
        let said = self.all.get(place);
        let of_system = || match said.and_then(|said| said.system) {
            Some(WallSystem::Cob) | None => self.paring_of_cob,
            Some(_) => Length::ZERO,
        };
        said.and_then(|said| said.paring).unwrap_or_else(of_system)
    }

    /// All builds, where all could be read.
    pub fn whole(self) -> Option<Vec<Build>> {
        self.all.into_iter().map(|said| said.build).collect()
    }

    fn of_system_alone(&self, system: Option<WallSystem>) -> Said {
        Said {
            id: None,
            build: system.map(|system| Build {
                system,
                mix: self.mix.clone().filter(|_| system != WallSystem::StrawBale),
                ..Build::default()
            }),
            system,
            lift_height: None,
            paring: None,
        }
    }
}

/// Height of a lift that nobody gives; `None` where geometry has a rule of its own.
///
/// - Cob: the lesser of the wall's thickness and 450 mm, which geometry knows.
/// - Light straw-clay: 150 mm, lifts of 6 in (`https://natural-building-alliance.org/light-straw-clay/`, read).
/// - Rammed earth: 150 mm rammed (common practice, no source).
/// - Adobe: 600 mm, since it is left a week to dry after every 2 ft of wall (*American Cyclopaedia*, vol. 1, "Adobe
///   Houses", read).
/// - Bales and wattle go up in one: the most that a lift may have.
fn lift_height_of(system: WallSystem) -> Option<Length> {
    match system {
        WallSystem::Cob => None,
        WallSystem::RammedEarth | WallSystem::LightStrawClay => Some(Length::from_mm(dec!(150))),
        WallSystem::Adobe => Some(Length::from_mm(dec!(600))),
        WallSystem::StrawBale | WallSystem::WattleAndDaub => {
            Some(Length::from_metres(LIFT_HEIGHT.most))
        }
    }
}

/// A number that was given and is within its bounds. What is wrong with it is told, and what it is for is read as if
/// nothing had been said.
pub fn within(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    text: &str,
    bounds: &Bounds,
) -> Option<Decimal> {
    let number = decoder.number_if_any(field, text, bounds).flatten();
    number.filter(|number| bounds.least <= *number && *number <= bounds.most)
}

fn said<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Build, mix: Option<&MixId>) -> Said {
    let id = decoder.text("id", &wire.id, ID_CHARACTERS_MAX);
    let system = choice::wall_system(decoder, "system", wire.system);
    if let Some(system) = system {
        refuse_strays(decoder, wire, system);
    }
    let lift_height = within(decoder, "lift_height_m", &wire.lift_height_m, &LIFT_HEIGHT);
    let paring = within(decoder, "paring_mm", &wire.paring_mm, &PARING).map(Length::from_mm);
    if let Some(system) = system {
        refuse_paring(decoder, system, paring);
    }
    let build = build(decoder, wire, mix).zip(system).zip(id);
    Said {
        id: Some(wire.id.clone()),
        build: build.map(|((build, system), id)| Build {
            mix: build.mix.filter(|_| system != WallSystem::StrawBale),
            id,
            system,
            ..build
        }),
        system,
        lift_height: lift_height.map(Length::from_metres),
        paring,
    }
}

/// All of a build but its id and system.
fn build<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::Build,
    mix: Option<&MixId>,
) -> Option<Build> {
    let own_mix = decoder.name_if_any::<Mixes>("mix", &wire.mix);
    let mixing = method_if_any(decoder, "mixing", &wire.mixing);
    let piece = decoder.name_if_any::<Materials>("piece_material", &wire.piece_material);
    let mortar = decoder.name_if_any::<Mixes>("mortar_mix", &wire.mortar_mix);
    let joint = decoder.number_if_any("joint_mm", &wire.joint_mm, &JOINT);
    let breakage = decoder.number_or_zero("breakage_percent", &wire.breakage_percent, &BREAKAGE);
    let bale_lay = choice::bale_lay(decoder, "bale_lay", wire.bale_lay);
    let settling = decoder.number_or_zero("settling_percent", &wire.settling_percent, &SETTLING);
    let tie = tie(decoder, wire);
    let staves = lattice(
        decoder,
        ("stave_material", &wire.stave_material),
        ("stave_spacing_mm", &wire.stave_spacing_mm),
        &STAVES,
    );
    let rods = lattice(
        decoder,
        ("rod_material", &wire.rod_material),
        ("rod_spacing_mm", &wire.rod_spacing_mm),
        &RODS,
    );
    let wattle = decoder.number_or_zero("wattle_percent", &wire.wattle_percent, &WATTLE);
    let form = form(decoder, wire);
    Some(Build {
        mix: own_mix?.or_else(|| mix.cloned()),
        mixing: mixing?,
        piece: piece?,
        mortar: mortar?,
        joint: joint?.map(Length::from_mm),
        breakage: Share::from_percent(breakage?),
        bale_lay: bale_lay?,
        settling: Share::from_percent(settling?),
        tie: tie?,
        staves: staves?,
        rods: rods?,
        wattle: Share::from_percent(wattle?),
        form: form?,
        ..Build::default()
    })
}

/// What ties a bale: what, and how much of it.
fn tie(decoder: &mut Decoder<'_>, wire: &wire::Build) -> Option<Option<Tie>> {
    let material = decoder.name_if_any::<Materials>("tie_material", &wire.tie_material);
    let amount = decoder.number_if_any("ties_per_piece", &wire.ties_per_piece, &TIES);
    let pair = pair(
        decoder,
        ["tie_material", "ties_per_piece"],
        material?,
        amount?,
    )?;
    Some(pair.map(|(material, to_a_piece)| Tie {
        material,
        to_a_piece,
    }))
}

/// Staves or rods: what, and how far apart.
fn lattice(
    decoder: &mut Decoder<'_>,
    (material_field, material): (&'static str, &str),
    (spacing_field, spacing): (&'static str, &str),
    bounds: &Bounds,
) -> Option<Option<Lattice>> {
    let material = decoder.name_if_any::<Materials>(material_field, material);
    let spacing = decoder.number_if_any(spacing_field, spacing, bounds);
    let pair = pair(
        decoder,
        [material_field, spacing_field],
        material?,
        spacing?,
    )?;
    Some(pair.map(|(material, spacing)| Lattice {
        material,
        spacing: Length::from_mm(spacing),
    }))
}

/// Boards or sheets of forms: what, and how often one is used.
fn form(decoder: &mut Decoder<'_>, wire: &wire::Build) -> Option<Option<Form>> {
    let material = decoder.name_if_any::<Materials>("form_material", &wire.form_material);
    let uses = decoder.whole("form_use_count", wire.form_use_count, 1, FORM_USES_MAX);
    let (material, uses) = (material?, uses?);
    if material.is_none() && wire.form_use_count != 0 {
        refuse_alone(decoder, "form_use_count", "form_material");
        return None;
    }
    Some(material.map(|material| Form { material, uses }))
}

/// Two fields of which each needs the other.
fn pair<A, B>(
    decoder: &mut Decoder<'_>,
    [one_field, other_field]: [&'static str; 2],
    one: Option<A>,
    other: Option<B>,
) -> Option<Option<(A, B)>> {
    match (one, other) {
        (Some(one), Some(other)) => Some(Some((one, other))),
        (None, None) => Some(None),
        (Some(_), None) => {
            refuse_alone(decoder, one_field, other_field);
            None
        }
        (None, Some(_)) => {
            refuse_alone(decoder, other_field, one_field);
            None
        }
    }
}

fn refuse_alone(decoder: &mut Decoder<'_>, given: &str, missing: &'static str) {
    decoder.refuse(
        missing,
        "MISSING",
        format!("{given} is given and {missing} is not; give both, or neither"),
    );
}

/// Whether any wall of a job is of cob, as far as it says.
fn has_cob(wire: &wire::Job) -> bool {
    let cob = wire::WallSystem::Cob as i32;
    let of_builds = wire.builds.iter().map(|build| build.system);
    let of_walls = wire.walls.iter().map(|wall| wall.system);
    of_builds.chain(of_walls).any(|system| system == cob)
}

/// Only cob is laid on wider than it is to stand and pared back: anything else is as wide as its pieces or forms, and
/// what would be pared off it would only make the takeoff larger.
fn refuse_paring(decoder: &mut Decoder<'_>, system: WallSystem, paring: Option<Length>) {
    if system == WallSystem::Cob || paring.is_none_or(|paring| paring == Length::ZERO) {
        return;
    }
    decoder.refuse(
        "paring_mm",
        "PARING_ONLY_OF_COB",
        format!(
            "paring_mm is of cob alone, and {} is not pared; leave it out, or give 0",
            system.word()
        ),
    );
}

/// Refuses what belongs to other systems, which would be left out of the takeoff without a word.
fn refuse_strays(decoder: &mut Decoder<'_>, wire: &wire::Build, system: WallSystem) {
    use WallSystem::{Adobe, LightStrawClay, RammedEarth, StrawBale, WattleAndDaub};
    let said = |text: &String| !text.is_empty();
    let fields: [(&[WallSystem], &'static str, bool); 15] = [
        (
            &[Adobe, StrawBale],
            "piece_material",
            said(&wire.piece_material),
        ),
        (&[Adobe], "mortar_mix", said(&wire.mortar_mix)),
        (&[Adobe], "joint_mm", said(&wire.joint_mm)),
        (
            &[Adobe, StrawBale],
            "breakage_percent",
            said(&wire.breakage_percent),
        ),
        (&[StrawBale], "bale_lay", wire.bale_lay != 0),
        (
            &[StrawBale],
            "settling_percent",
            said(&wire.settling_percent),
        ),
        (&[StrawBale], "tie_material", said(&wire.tie_material)),
        (&[StrawBale], "ties_per_piece", said(&wire.ties_per_piece)),
        (
            &[WattleAndDaub],
            "stave_material",
            said(&wire.stave_material),
        ),
        (
            &[WattleAndDaub],
            "stave_spacing_mm",
            said(&wire.stave_spacing_mm),
        ),
        (&[WattleAndDaub], "rod_material", said(&wire.rod_material)),
        (
            &[WattleAndDaub],
            "rod_spacing_mm",
            said(&wire.rod_spacing_mm),
        ),
        (
            &[WattleAndDaub],
            "wattle_percent",
            said(&wire.wattle_percent),
        ),
        (
            &[RammedEarth, LightStrawClay],
            "form_material",
            said(&wire.form_material),
        ),
        (
            &[RammedEarth, LightStrawClay],
            "form_use_count",
            wire.form_use_count != 0,
        ),
    ];
    let strays = fields
        .into_iter()
        .filter(|(of, _, is_said)| *is_said && !of.contains(&system));
    for (of, field, _) in strays {
        let of: Vec<&str> = of.iter().map(|system| system.word()).collect();
        refuse_stray(decoder, field, system, &of.join(" or "));
    }
    if system == StrawBale && said(&wire.mix) {
        refuse_stray(decoder, "mix", system, "earth");
    }
}

fn refuse_stray(decoder: &mut Decoder<'_>, field: &'static str, system: WallSystem, of: &str) {
    let system = system.word();
    decoder.refuse(
        field,
        "NOT_OF_THIS_SYSTEM",
        format!("a build of {system} has no {field}, which is for {of}; leave it out"),
    );
}
