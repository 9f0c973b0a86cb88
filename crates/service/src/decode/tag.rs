//! Etags: the quoted version of a resource.

/// The version that an etag stands for; `None` when there is no etag. A text that is no etag of ours stands for a
/// version that nothing has, so that it is refused as no longer current.
pub fn tag(text: &str) -> Option<i64> {
    if text.is_empty() {
        return None;
    }
    let version = text
        .strip_prefix('"')
        .and_then(|rest| rest.strip_suffix('"'))
        .and_then(|version| version.parse().ok());
    Some(version.unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_etag_is_a_version_in_quotes_and_anything_else_is_no_current_one() {
        assert_eq!(tag(""), None);
        assert_eq!(tag("\"7\""), Some(7));
        for other in ["7", "\"", "\"\"", "\"seven\"", "*", "W/\"7\""] {
            assert_eq!(tag(other), Some(0), "{other}");
        }
    }
}
