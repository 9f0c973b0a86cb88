//! Lists, page by page, until there are no more.

use tonic::Status;

use crate::fault::Failure;

/// How many things are asked for at once: the most that a server gives.
pub(super) const PAGE_SIZE: i32 = 1000;

/// All things of a list; `page` asks for one page by its token and gives the next one's.
pub(super) async fn all_pages<T>(
    mut page: impl AsyncFnMut(String) -> Result<(Vec<T>, String), Status>,
) -> Result<Vec<T>, Failure> {
    let mut all = Vec::new();
    let mut token = String::new();
    loop {
        let (mut things, next) = page(token).await?;
        all.append(&mut things);
        if next.is_empty() {
            return Ok(all);
        }
        token = next;
    }
}
