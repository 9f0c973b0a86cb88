//! Ids that the server makes for what the caller gave none.

use uuid::Uuid;

/// The digits of an id: no vowel-like look-alikes, so that an id can be read out over the telephone.
const DIGITS: &[u8; 32] = b"0123456789abcdefghjkmnpqrstvwxyz";

/// Characters after the first letter: 80 bits, five to a digit.
const CHARACTERS: u32 = 16;

/// A new id that begins with this letter: 48 bits of time in milliseconds, so that ids sort by age, and 32 random
/// ones. Should two ever fall together, the store refuses the second.
pub fn new_id(letter: char) -> String {
    let uuid = Uuid::now_v7().as_u128();
    let bits = (uuid >> 80) << 32 | (uuid & 0xffff_ffff);
    let digit = |place: u32| {
        let value = (bits >> (5 * place)) & 31;
        char::from(DIGITS[value as usize])
    };
    std::iter::once(letter)
        .chain((0..CHARACTERS).rev().map(digit))
        .collect()
}

/// The caller's id, or a new one where the caller gave none.
pub fn id_or_new(given: &str, letter: char) -> String {
    if given.is_empty() {
        new_id(letter)
    } else {
        given.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use hod_domain::id::EstimateId;

    use super::*;

    #[test]
    fn an_id_that_is_made_is_an_id_and_no_two_are_alike() {
        let mut all: Vec<String> = (0..1000).map(|_| new_id('e')).collect();
        assert!(
            all.iter()
                .all(|id| id.len() == 17 && EstimateId::parse(id).is_ok()),
            "{}",
            all[0]
        );
        all.sort();
        all.dedup();
        assert_eq!(all.len(), 1000);
    }

    #[test]
    fn a_later_id_sorts_after_an_earlier_one() {
        let earlier = new_id('e');
        std::thread::sleep(std::time::Duration::from_millis(2));
        assert!(earlier < new_id('e'));
    }
}
