//! Counting makings exactly: a decimal over another as whole numbers, up to a whole one.

use hod_units::Decimal;

/// One decimal over another, as whole numbers: what it makes of a third is exact, so that a count that comes out
/// whole is never pushed up by the last digit of a division. A job has a lift or so to every running metre, which
/// makes this the busiest sum of a takeoff.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ratio {
    over: u128,
    /// Above zero.
    under: u128,
}

/// Ten to the power of every scale that a decimal can have.
const POWERS_OF_TEN: [u128; 29] = {
    let mut powers = [1; 29];
    let mut at = 1;
    while at < powers.len() {
        powers[at] = powers[at - 1] * 10;
        at += 1;
    }
    powers
};

impl Ratio {
    /// `None` when one is negative, the second is zero, or the whole numbers grow too large.
    pub fn of(over: Decimal, under: Decimal) -> Option<Self> {
        let (over, under) = (over.normalize(), under.normalize());
        let ratio = Self {
            over: whole(over)?.checked_mul(power_of_ten(under.scale())?)?,
            under: whole(under)?.checked_mul(power_of_ten(over.scale())?)?,
        };
        (0 < ratio.under).then_some(ratio)
    }

    /// So much of `value`, up to a whole number; `None` for a negative one, or on overflow.
    pub fn of_up_to_whole(&self, value: Decimal) -> Option<u32> {
        let over = whole(value)?.checked_mul(self.over)?;
        let under = power_of_ten(value.scale())?.checked_mul(self.under)?;
        match (u64::try_from(over), u64::try_from(under)) {
            // The division that processors have; the other takes a call.
            (Ok(over), Ok(under)) => u32::try_from(over.div_ceil(under)).ok(),
            _ => u32::try_from(over.div_ceil(under)).ok(),
        }
    }
}

/// The digits of a decimal without its point; `None` for a negative one.
fn whole(value: Decimal) -> Option<u128> {
    u128::try_from(value.mantissa()).ok()
}

fn power_of_ten(scale: u32) -> Option<u128> {
    POWERS_OF_TEN.get(scale as usize).copied()
}
