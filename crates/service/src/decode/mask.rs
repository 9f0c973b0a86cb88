//! Update masks: which fields of what was sent replace those of what is kept.

use prost_types::FieldMask;

use super::Decoder;

/// A field that a mask may name: its path, whether it is set, and how it is moved over.
pub struct MaskedField<W> {
    /// `display_name`, or `build_up.tax_percent` within another message.
    pub path: &'static str,
    /// Whether it has another value than that of an empty message.
    pub is_set: fn(&W) -> bool,
    /// Puts it in place of the same field of the first message.
    pub take: fn(&mut W, &mut W),
}

/// Lists the fields of a message that a mask may name. Fields of a message within it stand in braces behind it.
macro_rules! masked {
    ($wire:ty { $($field:ident $({ $($inner:ident),* $(,)? })?),* $(,)? }) => {
        &[$($crate::decode::masked!(@fields $wire, $field $(, $($inner)*)?)),*]
    };
    (@fields $wire:ty, $field:ident) => {
        &[$crate::decode::MaskedField {
            path: stringify!($field),
            is_set: |from: &$wire| $crate::decode::is_set(&from.$field),
            take: |into: &mut $wire, from: &mut $wire| into.$field = std::mem::take(&mut from.$field),
        }] as &[$crate::decode::MaskedField<$wire>]
    };
    (@fields $wire:ty, $field:ident, $($inner:ident)*) => {
        &[$($crate::decode::MaskedField {
            path: concat!(stringify!($field), ".", stringify!($inner)),
            is_set: |from: &$wire| {
                from.$field.as_ref().is_some_and(|inner| $crate::decode::is_set(&inner.$inner))
            },
            take: |into: &mut $wire, from: &mut $wire| {
                into.$field.get_or_insert_default().$inner =
                    from.$field.as_mut().map(|inner| std::mem::take(&mut inner.$inner)).unwrap_or_default();
            },
        }),*] as &[$crate::decode::MaskedField<$wire>]
    };
}
pub(crate) use masked;

/// Whether a field has another value than that of an empty message.
pub fn is_set<T: Default + PartialEq>(value: &T) -> bool {
    *value != T::default()
}

/// The fields that a mask may name, in groups: a field alone, or all those of a message within.
pub type MaskedFields<W> = &'static [&'static [MaskedField<W>]];

/// Fields that the server writes. A mask may name them, as one made from a whole resource does, to no effect.
const WRITTEN_BY_SERVER: [&str; 5] = ["name", "list_version", "create_time", "update_time", "etag"];

/// Moves over the fields that the mask names; without a mask those that are set, and with `*` all of them.
pub fn merge<W>(
    decoder: &mut Decoder<'_>,
    mask: Option<&FieldMask>,
    fields: MaskedFields<W>,
    kept: &mut W,
    mut given: W,
) {
    let paths = mask.map_or(&[] as &[String], |mask| &mask.paths);
    for path in paths {
        refuse_unknown(decoder, fields, path);
    }
    for field in fields.iter().copied().flatten() {
        let chosen = if paths.is_empty() {
            (field.is_set)(&given)
        } else {
            paths.iter().any(|path| names(path, field.path))
        };
        if chosen {
            (field.take)(kept, &mut given);
        }
    }
}

fn names(path: &str, field: &str) -> bool {
    let inside = |rest: &str| rest.is_empty() || rest.starts_with('.');
    path == "*" || field.strip_prefix(path).is_some_and(inside)
}

fn refuse_unknown<W>(decoder: &mut Decoder<'_>, fields: MaskedFields<W>, path: &str) {
    let mut all = fields.iter().copied().flatten();
    let known = !path.is_empty() && all.any(|field| names(path, field.path));
    if known || WRITTEN_BY_SERVER.contains(&path) {
        return;
    }
    let known: Vec<&str> = fields
        .iter()
        .copied()
        .flatten()
        .map(|field| field.path)
        .collect();
    decoder.refuse(
        "update_mask",
        "UNKNOWN_FIELD",
        format!(
            "update_mask names {}, which is not a field that can be changed; it may name {} or *",
            crate::name::quoted(path),
            known.join(", ")
        ),
    );
}

#[cfg(test)]
mod tests {
    use hod_wire::v1::{BuildUp, Region};

    use super::*;

    const FIELDS: MaskedFields<Region> = masked!(Region {
        display_name,
        parent_region,
        build_up { tax_label, tax_percent },
    });

    fn kept() -> Region {
        Region {
            name: "regions/a".into(),
            display_name: "Old".into(),
            parent_region: "regions/p".into(),
            build_up: Some(BuildUp {
                tax_label: "VAT".into(),
                tax_percent: "20".into(),
                ..Default::default()
            }),
            ..Default::default()
        }
    }

    fn merged(paths: &[&str], given: Region) -> Result<Region, String> {
        let mut decoder = Decoder::new();
        let mut into = kept();
        let mask = FieldMask {
            paths: paths.iter().map(|path| (*path).to_owned()).collect(),
        };
        merge(&mut decoder, Some(&mask), FIELDS, &mut into, given);
        match decoder.violations().pop() {
            None => Ok(into),
            Some(violation) => Err(violation.description),
        }
    }

    fn given() -> Region {
        Region {
            display_name: "New".into(),
            build_up: Some(BuildUp {
                tax_percent: "10".into(),
                ..Default::default()
            }),
            ..Default::default()
        }
    }

    #[test]
    fn without_a_mask_what_is_set_is_taken_and_the_rest_stays() {
        let region = merged(&[], given()).expect("merged");
        assert_eq!(
            (region.display_name.as_str(), region.parent_region.as_str()),
            ("New", "regions/p")
        );
        let build_up = region.build_up.expect("a build-up");
        assert_eq!(
            (build_up.tax_label.as_str(), build_up.tax_percent.as_str()),
            ("VAT", "10")
        );
    }

    #[test]
    fn a_field_named_and_not_set_is_cleared() {
        let region = merged(&["parent_region"], given()).expect("merged");
        assert_eq!(
            (region.display_name.as_str(), region.parent_region.as_str()),
            ("Old", "")
        );
    }

    #[test]
    fn a_message_named_is_replaced_whole_and_one_field_of_it_alone() {
        let whole = merged(&["build_up"], given())
            .expect("merged")
            .build_up
            .expect("a build-up");
        assert_eq!(
            (whole.tax_label.as_str(), whole.tax_percent.as_str()),
            ("", "10")
        );
        let one = merged(&["build_up.tax_percent"], given()).expect("merged");
        assert_eq!(one.build_up.expect("a build-up").tax_label, "VAT");
        assert_eq!(one.display_name, "Old");
    }

    #[test]
    fn a_star_replaces_all_that_can_be_changed_and_nothing_that_the_server_writes() {
        let region = merged(&["*"], given()).expect("merged");
        assert_eq!(region.name, "regions/a");
        assert_eq!(region.parent_region, "");
        assert!(merged(&["name", "etag", "display_name"], given()).is_ok());
    }

    #[test]
    fn an_unknown_field_is_refused_and_told_the_known_ones() {
        for bad in ["colour", "display", "build_up.colour", "", "tax_label"] {
            let told = merged(&[bad], given()).expect_err(bad);
            assert_eq!(
                told,
                format!(
                    "update_mask names {bad:?}, which is not a field that can be changed; it may name display_name, \
                     parent_region, build_up.tax_label, build_up.tax_percent or *"
                )
            );
        }
    }
}
