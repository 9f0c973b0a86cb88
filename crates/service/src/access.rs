//! The door: from a bearer token to the firm whose data it opens. A token is 256 random bits and is known by its
//! SHA-256 alone; whether a token is missing, malformed, unknown or revoked, the caller is told the same.

use std::collections::HashMap;
use std::fmt;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use hod_store::{FirmId, Store, StoreFault};
use http::HeaderMap;
use http::header::AUTHORIZATION;
use rand::TryRngCore;
use rand::rngs::OsRng;
use sha2::{Digest, Sha256};
use subtle::ConstantTimeEq;

use crate::refusal::Refusal;

/// What every token begins with, so that one left lying about is recognised.
const PREFIX: &str = "hod_";

/// Characters after the prefix: 32 bytes in base64 without padding.
const CHARACTERS: usize = 43;

/// How long a token that was good is taken as good without asking again. A revoked one ceases within this.
const GOOD_FOR: Duration = Duration::from_millis(500);

/// How many good tokens are remembered at once.
const REMEMBERED_MAX: usize = 1000;

/// The operating system gives no random bits.
pub use rand::rand_core::OsError as NoRandomBits;

/// A token. Never printed but by [`Token::reveal`].
pub struct Token(String);

impl Token {
    /// A new one, of 256 bits from the operating system.
    ///
    /// # Errors
    /// When the operating system has no random bits to give.
    pub fn make() -> Result<Self, NoRandomBits> {
        let mut bits = [0; 32];
        OsRng.try_fill_bytes(&mut bits)?;
        Ok(Self(format!("{PREFIX}{}", URL_SAFE_NO_PAD.encode(bits))))
    }

    /// Reads one from where it was written down; `None` for what has not its form.
    pub fn read(text: &str) -> Option<Self> {
        let characters = text.strip_prefix(PREFIX)?;
        let is_written_so = characters.len() == CHARACTERS
            && characters
                .bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_'));
        is_written_so.then(|| Self(text.to_owned()))
    }

    /// Its text, for the one place where its holder reads it.
    pub fn reveal(&self) -> &str {
        &self.0
    }

    /// What is kept of it.
    pub fn sha256(&self) -> [u8; 32] {
        Sha256::digest(&self.0).into()
    }

    /// The token that a call carries, if it has the form of one.
    fn carried(headers: &HeaderMap) -> Option<Self> {
        let value = headers.get(AUTHORIZATION)?.to_str().ok()?;
        let (scheme, token) = value.split_once(' ')?;
        scheme
            .eq_ignore_ascii_case("bearer")
            .then(|| Self::read(token))?
    }
}

/// Stars.
impl fmt::Debug for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Token(***)")
    }
}

/// Knows tokens.
pub struct Access {
    store: Store,
    good: Mutex<HashMap<u64, Good>>,
}

/// A token that was good a moment ago.
#[derive(Clone, Copy)]
struct Good {
    sha256: [u8; 32],
    firm: FirmId,
    asked: Instant,
}

impl Access {
    /// Looks tokens up in this store.
    pub fn new(store: Store) -> Self {
        Self {
            store,
            good: Mutex::default(),
        }
    }

    /// Whose token a call carries.
    pub async fn firm_of(&self, headers: &HeaderMap) -> Result<FirmId, Refusal> {
        let token = Token::carried(headers).ok_or(Refusal::Unauthenticated)?;
        let sha256 = token.sha256();
        let asked = Instant::now();
        if let Some(firm) = self.remembered(&sha256, asked) {
            return Ok(firm);
        }
        let found = self.store.token_firm(&sha256).await.map_err(unanswered)?;
        let firm = found.ok_or(Refusal::Unauthenticated)?.firm;
        self.remember(Good {
            sha256,
            firm,
            asked,
        });
        Ok(firm)
    }

    fn remembered(&self, sha256: &[u8; 32], now: Instant) -> Option<FirmId> {
        let good = *self.lock().get(&slot(sha256))?;
        let is_it = bool::from(good.sha256.ct_eq(sha256));
        (is_it && now.duration_since(good.asked) < GOOD_FOR).then_some(good.firm)
    }

    fn remember(&self, good: Good) {
        let mut all = self.lock();
        if REMEMBERED_MAX <= all.len() {
            all.clear();
        }
        all.insert(slot(&good.sha256), good);
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, HashMap<u64, Good>> {
        // A map that a panic left is still a map: at worst an entry is missing and is asked for again.
        self.good.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Where a hash is remembered: by its first bytes, which are as good as random.
fn slot(sha256: &[u8; 32]) -> u64 {
    sha256
        .iter()
        .take(8)
        .fold(0, |slot, byte| slot << 8 | u64::from(*byte))
}

fn unanswered(fault: StoreFault) -> Refusal {
    match fault {
        StoreFault::Unavailable(_) | StoreFault::TimedOut(_) => {
            Refusal::Unavailable(Box::new(fault))
        }
        StoreFault::NotFound(_)
        | StoreFault::Taken(_)
        | StoreFault::Stale(_)
        | StoreFault::Refused { .. }
        | StoreFault::RequestReused
        | StoreFault::Internal(_) => Refusal::Internal(Box::new(fault)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(value: &str) -> HeaderMap {
        let mut headers = HeaderMap::new();
        headers.insert(AUTHORIZATION, value.parse().expect("a header"));
        headers
    }

    #[test]
    fn a_token_made_is_a_token_carried_and_no_two_are_alike() {
        let (one, other) = (Token::make().expect("bits"), Token::make().expect("bits"));
        assert_ne!(one.reveal(), other.reveal());
        assert_eq!(one.reveal().len(), PREFIX.len() + CHARACTERS);
        let carried =
            Token::carried(&headers(&format!("Bearer {}", one.reveal()))).expect("carried");
        assert_eq!(carried.sha256(), one.sha256());
    }

    #[test]
    fn what_has_not_the_form_of_a_token_is_none() {
        let token = format!("hod_{}", "a".repeat(43));
        for bad in [
            String::new(),
            token.clone(),
            format!("Basic {token}"),
            format!("Bearer {}", &token[1..]),
            format!("Bearer {token}a"),
            format!("Bearer {}", token.replacen("aa", "a b", 1)),
            format!("Bearer {}", token.replacen("aa", "a$", 1)),
        ] {
            assert!(Token::carried(&headers(&bad)).is_none(), "{bad}");
        }
        assert!(Token::carried(&HeaderMap::new()).is_none());
        assert!(Token::carried(&headers(&format!("bearer {token}"))).is_some());
    }

    #[test]
    fn a_token_is_never_printed_by_accident() {
        let token = Token::make().expect("bits");
        assert_eq!(format!("{token:?}"), "Token(***)");
    }
}
