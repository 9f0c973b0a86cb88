//! Pages of a list: how many, and after which. A page token is bound to the list and its filters, so that it cannot
//! be used on another by mistake; it gives no rights, and what it leads to is asked for like anything else.

use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use prost::Message;
use sha2::{Digest, Sha256};

use super::Decoder;

/// How many are sent when the caller does not say.
const PAGE_SIZE_USUAL: u32 = 100;

/// Most that are sent at once.
const PAGE_SIZE_MAX: u32 = 1000;

/// Bytes of the digest that binds a token to its list.
const SEAL_BYTES: usize = 8;

/// Which page of a list.
#[derive(Debug, Clone)]
pub struct Page {
    /// How many at most.
    pub size: u32,
    /// The id after which it begins; none for the first page.
    pub after: Option<String>,
    /// What its tokens are bound to.
    seal: [u8; SEAL_BYTES],
}

impl Page {
    /// Reads the size and the token. `filters` is the request with both of them cleared: the size may change between
    /// pages, the rest may not.
    pub fn read(
        decoder: &mut Decoder<'_>,
        method: &'static str,
        page_size: i32,
        page_token: &str,
        filters: &impl Message,
    ) -> Option<Self> {
        let seal = seal(method, filters);
        let size = size(decoder, page_size);
        let after = after(decoder, page_token, seal);
        Some(Self {
            size: size?,
            after: after?,
            seal,
        })
    }
}

/// The token of the page that begins after this id.
pub fn next_page_token(page: &Page, after: &str) -> String {
    let mut bytes = page.seal.to_vec();
    bytes.extend_from_slice(after.as_bytes());
    URL_SAFE_NO_PAD.encode(bytes)
}

fn size(decoder: &mut Decoder<'_>, page_size: i32) -> Option<u32> {
    match u32::try_from(page_size) {
        Ok(0) => Some(PAGE_SIZE_USUAL),
        Ok(size) => Some(size.min(PAGE_SIZE_MAX)),
        Err(_) => {
            decoder.refuse(
                "page_size",
                "OUT_OF_RANGE",
                format!("page_size is {page_size}; it must not be negative"),
            );
            None
        }
    }
}

fn after(
    decoder: &mut Decoder<'_>,
    page_token: &str,
    seal: [u8; SEAL_BYTES],
) -> Option<Option<String>> {
    if page_token.is_empty() {
        return Some(None);
    }
    let opened = URL_SAFE_NO_PAD.decode(page_token).ok().and_then(|bytes| {
        let (given, after) = bytes.split_at_checked(SEAL_BYTES)?;
        (given == seal).then(|| String::from_utf8(after.to_vec()).ok())?
    });
    if opened.is_none() {
        decoder.refuse(
            "page_token",
            "NOT_OF_THIS_LIST",
            "page_token is not from a page of this list with these filters; leave it out to begin again",
        );
        return None;
    }
    Some(opened)
}

fn seal(method: &'static str, filters: &impl Message) -> [u8; SEAL_BYTES] {
    let mut hash = Sha256::new();
    hash.update(method.as_bytes());
    hash.update([0]);
    hash.update(filters.encode_to_vec());
    let digest = hash.finalize();
    std::array::from_fn(|at| digest[at])
}

#[cfg(test)]
mod tests {
    use hod_wire::v1::ListPricesRequest;

    use super::*;

    fn read(size: i32, token: &str, filters: &ListPricesRequest) -> Result<Page, String> {
        let mut decoder = Decoder::new();
        let page = Page::read(&mut decoder, "ListPrices", size, token, filters);
        page.ok_or_else(|| decoder.violations()[0].reason.to_owned())
    }

    fn of(parent: &str) -> ListPricesRequest {
        ListPricesRequest {
            parent: parent.into(),
            ..Default::default()
        }
    }

    #[test]
    fn a_size_left_out_is_the_usual_one_and_a_large_one_is_the_largest() {
        for (asked, given) in [
            (0, 100),
            (1, 1),
            (1000, 1000),
            (1001, 1000),
            (i32::MAX, 1000),
        ] {
            assert_eq!(
                read(asked, "", &of("regions/a")).expect("a page").size,
                given
            );
        }
        assert_eq!(
            read(-1, "", &of("regions/a")).expect_err("negative"),
            "OUT_OF_RANGE"
        );
    }

    #[test]
    fn a_token_leads_on_in_its_own_list_with_any_size_and_in_no_other() {
        let first = read(10, "", &of("regions/a")).expect("a page");
        let token = next_page_token(&first, "sand-2026");
        assert!(
            token
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_')
        );
        let second = read(20, &token, &of("regions/a")).expect("a page");
        assert_eq!(second.after.as_deref(), Some("sand-2026"));
        for (token, list) in [
            (token.as_str(), "regions/b"),
            ("x", "regions/a"),
            ("!", "regions/a"),
        ] {
            assert_eq!(
                read(10, token, &of(list)).expect_err(token),
                "NOT_OF_THIS_LIST"
            );
        }
    }
}
