//! Materials that a part of the building takes as they come, by the metre, the square metre or the piece: found in the
//! library, and ordered in a unit in which the part can count them. What is placed wet is a mix, and not of here.

use crate::id::MaterialId;
use crate::material::Material;
use crate::takeoff::tally::Tally;
use crate::unit::Unit;

/// Whatever is counted piece by piece.
pub(super) const PIECES: &[Unit] = &[Unit::Each, Unit::Bag];

/// Whatever is a length or a piece of a length.
pub(super) const LENGTHS: &[Unit] = &[Unit::M, Unit::Each];

/// A material that the job names in `field`; a fault when it is not there, or ordered in none of the units in which it is
/// counted here.
pub(super) fn material_in<'a>(
    field: &str,
    id: &MaterialId,
    units: &[Unit],
    tally: &mut Tally<'a>,
) -> Option<&'a Material> {
    let material = tally.material(field, id)?;
    if units.contains(&material.purchase_unit) {
        return Some(material);
    }
    let words: Vec<&str> = units.iter().map(|unit| unit.word()).collect();
    tally.refuse(
        field,
        "MATERIAL_UNIT_UNFIT",
        format!(
            "{field} is {id}, which is ordered by the {}; name a material that is ordered by the {}",
            material.purchase_unit.word(),
            words.join(" or the ")
        ),
    );
    None
}
