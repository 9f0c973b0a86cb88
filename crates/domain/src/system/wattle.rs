//! Wattle and daub: staves between the posts of a frame, rods woven between the staves, and daub on both faces.

use hod_units::{Decimal, Length, Rounding, Share, Volume};

use super::piece::{breakage, said_by};
use super::stock::{LENGTHS, material_in};
use super::stretch::mm;
use super::{Built, BuiltSums, Stretch, mixing_of, place_earth};
use crate::basis::{Basis, Joint, Term};
use crate::fault::too_large;
use crate::job::{Build, Lattice};
use crate::material::Material;
use crate::takeoff::tally::Tally;
use crate::text::Text;
use crate::unit::{Unit, round_up};
use crate::work::Task;

/// Daub is told to the step of all volumes, 1e-6 m3, and the length of a panel to a tenth of a millimetre.
const VOLUME_PLACES: u32 = 6;
const LENGTH_PLACES: u32 = 4;

/// Puts down wattle and daub: staves and rods of every panel, the daub, and the work.
///
/// ```text
/// L_panel = V / t / H                    mean length, openings taken out
/// staves  = ceil(L_panel / s_stave) + 1  each as high as the panel, H
/// rods    = ceil(H / s_rod)              rows, each as long as the panel is on the mean
/// daub    = V x (1 - wattle)
/// ```
///
/// with the finished volume `V`, m3, the thickness half-way up `t` and the spacings `s`, m. A panel of 3.00 m x 2.40 m,
/// 100 mm thick, with staves every 300 mm and rods every 60 mm: 11 staves, 26.4 m; 40 rows, 120 m; of 0.72 m3, a fifth of
/// it wattle, 0.576 m3 of daub. What is broken or too short comes on top.
pub(super) fn put_down(built: &Built, sums: &BuiltSums, tally: &mut Tally) {
    let build = built.build;
    let lattices = [Kind::Stave.of(build, tally), Kind::Rod.of(build, tally)];
    let Some(daub) = daubed(build, sums) else {
        tally
            .faults
            .push(too_large(&format!("the daub of {}", build.name())));
        return;
    };
    let method = mixing_of(build, tally);
    place_earth(build, &daub, &[Task::Daub], tally);
    let mut is_woven = false;
    for used in lattices.into_iter().flatten() {
        is_woven = true;
        if used.put_down(built, tally).is_none() {
            let kind = used.kind.word();
            tally
                .faults
                .push(too_large(&format!("the {kind}s of {}", build.name())));
        }
    }
    if is_woven {
        tally.work(Task::Weave, None, sums.amounts());
    }
    tally.work(Task::Daub, method.as_ref(), daub.amounts());
}

/// The sums of what is daub: what staves and rods take is neither net nor placed, and paring is all daub. `None` on
/// overflow.
fn daubed(build: &Build, sums: &BuiltSums) -> Option<BuiltSums> {
    let share = Share::WHOLE.checked_sub(build.wattle)?.fraction();
    let pared = sums.placed.checked_sub(sums.net)?;
    let net: Volume = sums.net.checked_mul(share)?;
    let net = net.rounded(VOLUME_PLACES, Rounding::HalfAwayFromZero);
    Some(BuiltSums {
        net,
        placed: net.checked_add(pared)?,
        ..*sums
    })
}

/// Staves or rods.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Stave,
    Rod,
}

impl Kind {
    const fn word(self) -> &'static str {
        match self {
            Self::Stave => "stave",
            Self::Rod => "rod",
        }
    }

    /// Those of a build, with their material; a caution when it names none, a fault when they are not there or cannot be
    /// counted.
    fn of<'a, 't: 'a>(self, build: &'a Build, tally: &mut Tally<'t>) -> Option<Used<'a>> {
        let lattice = match self {
            Self::Stave => &build.staves,
            Self::Rod => &build.rods,
        };
        let word = self.word();
        let Some(lattice) = lattice else {
            let description = format!(
                "{} names no {word}s, so none are ordered or set; name them with their spacing, unless they stand already",
                said_by(build)
            );
            tally.caution("WATTLE_NOT_COUNTED", said_by(build), description);
            return None;
        };
        let field = build.path(match self {
            Self::Stave => "stave_material",
            Self::Rod => "rod_material",
        });
        let material = material_in(&field, &lattice.material, LENGTHS, tally)?;
        if self == Self::Rod && material.purchase_unit == Unit::Each && material.size.is_none() {
            let message = format!(
                "{field} is {}, which is ordered each and has no sizes, so that nobody can tell how many reach along a panel; \
                 give its length_mm, width_mm and height_mm, or a rod that is ordered by the metre",
                material.id
            );
            tally.refuse(field, "PIECE_HAS_NO_SIZE", message);
            return None;
        }
        Some(Used {
            kind: self,
            build,
            lattice,
            material,
        })
    }
}

/// Staves or rods of a build, and what they are cut from.
struct Used<'a> {
    kind: Kind,
    build: &'a Build,
    lattice: &'a Lattice,
    material: &'a Material,
}

impl Used<'_> {
    /// Puts down lines and the order. `None` on overflow.
    fn put_down(&self, built: &Built, tally: &mut Tally) -> Option<()> {
        let mut metres = Decimal::ZERO;
        let mut pieces = Decimal::ZERO;
        for stretch in &built.stretches {
            let (count, each) = match self.kind {
                Kind::Stave => (self.staves(stretch)?, stretch.height()?),
                Kind::Rod => (self.rows(stretch)?, panel_length(stretch)?),
            };
            let part = stretch.part();
            tally.line(&part, self.count_label(), Unit::Each, count.clone());
            let number = round_up(count.work()?, 0)?;
            let length = self.length(number, each);
            metres = metres.checked_add(length.work()?)?;
            pieces = pieces.checked_add(number)?;
            tally.line(&part, self.length_label(), Unit::M, length);
            self.too_short(stretch, tally);
        }
        let ordered = self.ordered(metres, pieces);
        tally.need(&self.material.id, ordered.carried_on(&breakage(self.build)));
        Some(())
    }

    const fn count_label(&self) -> &'static str {
        match self.kind {
            Kind::Stave => "staves",
            Kind::Rod => "rows of rods",
        }
    }

    const fn length_label(&self) -> &'static str {
        match self.kind {
            Kind::Stave => "length of staves",
            Kind::Rod => "length of rods",
        }
    }

    /// Staves of a panel: one at every spacing, and one more to end with.
    fn staves(&self, stretch: &Stretch) -> Option<Basis> {
        let length = panel_length(stretch)?.metres();
        let spaces = round_up(length.checked_div(self.lattice.spacing.metres())?, 0)?;
        Some(
            Basis::of([
                Term::new(Joint::Start, spaces, Unit::Number, self.spaces_label(), ""),
                Term::new(
                    Joint::Plus,
                    Decimal::ONE,
                    Unit::Number,
                    "one to end with",
                    "",
                ),
            ])
            .to("up to a whole one"),
        )
    }

    fn spaces_label(&self) -> Text {
        Text::from(format!("spaces of {} mm", mm(self.lattice.spacing)))
    }

    /// Rows of rods up a panel.
    fn rows(&self, stretch: &Stretch) -> Option<Basis> {
        let spacing = self.lattice.spacing.metres();
        Some(
            Basis::of([
                Term::new(
                    Joint::Start,
                    stretch.height()?.metres(),
                    Unit::M,
                    "height of the panel",
                    "",
                ),
                Term::new(Joint::Over, spacing, Unit::M, "spacing of the rods", "job"),
            ])
            .to("up to a whole row"),
        )
    }

    fn length(&self, number: Decimal, each: Length) -> Basis {
        let label = match self.kind {
            Kind::Stave => "height of the panel",
            Kind::Rod => "mean length of the panel",
        };
        Basis::of([
            Term::new(Joint::Start, number, Unit::Number, self.count_label(), ""),
            Term::new(Joint::Times, each.metres(), Unit::M, label, ""),
        ])
    }

    /// What is ordered, in the purchase unit: metres; staves one by one; rods by how many of their length that makes.
    fn ordered(&self, metres: Decimal, pieces: Decimal) -> Basis {
        let of = |value, unit, label| Term::new(Joint::Start, value, unit, label, "");
        let metres = of(metres, Unit::M, self.length_label());
        match (self.material.purchase_unit, self.kind, self.material.size) {
            (Unit::Each, Kind::Stave, _) => Basis::of([of(pieces, Unit::Each, self.count_label())]),
            (Unit::Each, Kind::Rod, Some(size)) => {
                let source = format!("materials/{}", self.material.id);
                let length = size.length.metres();
                Basis::of([
                    metres,
                    Term::new(Joint::Over, length, Unit::M, "length of a rod", source),
                ])
            }
            _ => Basis::of([metres]),
        }
    }

    /// A caution for a stave that does not reach to the top of its panel.
    fn too_short(&self, stretch: &Stretch, tally: &mut Tally) {
        let is_each = self.kind == Kind::Stave && self.material.purchase_unit == Unit::Each;
        let size = self.material.size.filter(|_| is_each);
        let Some((size, height)) = size.zip(stretch.height()) else {
            return;
        };
        if height <= size.length {
            return;
        }
        let description = format!(
            "{} is {} mm high and a stave of {} is {} mm long; order a longer one",
            stretch.part(),
            mm(height),
            self.material.id,
            mm(size.length)
        );
        tally.caution("STAVE_TOO_SHORT", stretch.part(), description);
    }
}

/// Mean length of a panel with its openings taken out: `V / t / H`. `None` on overflow.
fn panel_length(stretch: &Stretch) -> Option<Length> {
    let face = stretch
        .zone
        .net
        .cubic_metres()
        .checked_div(stretch.thickness()?.metres())?;
    let length = Length::from_metres(face.checked_div(stretch.height()?.metres())?);
    Some(length.rounded(LENGTH_PLACES, Rounding::HalfAwayFromZero))
}
