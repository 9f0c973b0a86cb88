//! How the volume of earth changes when it is dug or damp: swell from the bank to loose, and the bulking of damp sand.
//! What a heap weighs is for the material to say.

use hod_units::{Decimal, Length, Share, Volume};

/// How much damp sand bulks, from a field test: its height in a straight-sided vessel as it comes off the heap, and again
/// when it has been flooded and has settled. `None` when the flooded height is not positive.
///
/// The base is the flooded height, since flooded sand takes the room of dry sand (read at
/// `https://www.civilease.com/2020/07/bulking-of-sand.html`): 40 of 200 mm would be 20 %, and wrong.
///
/// ```
/// use hod_domain::soil::bulking_of_field_test;
/// use hod_units::Length;
///
/// // (200 - 160) / 160 = 25 %.
/// let [moist, flooded] = [200, 160].map(|mm| Length::from_mm(mm.into()));
/// assert_eq!(bulking_of_field_test(moist, flooded).map(|share| share.to_string()).as_deref(), Some("25 %"));
/// ```
pub fn bulking_of_field_test(moist: Length, flooded: Length) -> Option<Share> {
    if !flooded.is_positive() {
        return None;
    }
    let above = moist.checked_sub(flooded)?;
    above.checked_ratio(flooded).map(Share::from_fraction)
}

/// What a volume in the bank comes to when it is loose: `bank x (1 + swell)`. `None` on overflow.
///
/// ```
/// use hod_domain::soil::loose_volume;
/// use hod_units::{Share, Volume};
///
/// // 300 m3 of clay that swells by 40 %: 300 x 1.40 = 420 m3.
/// let bank = Volume::from_cubic_metres(300.into());
/// let loose = loose_volume(bank, Share::from_percent(40.into()));
/// assert_eq!(loose.map(|loose| loose.to_string()).as_deref(), Some("420 m3"));
/// ```
pub fn loose_volume(bank: Volume, swell: Share) -> Option<Volume> {
    bank.checked_mul(swell.fraction().checked_add(Decimal::ONE)?)
}

/// What a loose volume was in the bank: `loose / (1 + swell)`, and not `loose x (1 - swell)`. `None` on overflow.
///
/// ```
/// use hod_domain::soil::bank_volume;
/// use hod_units::{Share, Volume};
///
/// // 13 m3 loose, 30 % of swell: 13 / 1.30 = 10 m3.
/// let loose = Volume::from_cubic_metres(13.into());
/// let bank = bank_volume(loose, Share::from_percent(30.into()));
/// assert_eq!(bank.map(|bank| bank.to_string()).as_deref(), Some("10 m3"));
/// ```
pub fn bank_volume(loose: Volume, swell: Share) -> Option<Volume> {
    loose.checked_div(swell.fraction().checked_add(Decimal::ONE)?)
}
