//! What became of a thing between two readings of it, field by field, for whoever is refused because it has changed.
//! It reads messages through their descriptors, so that every noun is told alike and no field is forgotten.

use std::sync::OnceLock;

use hod_wire::DESCRIPTORS;
use prost::Message;
use prost_reflect::{
    DescriptorPool, DynamicMessage, FieldDescriptor, Kind, MessageDescriptor, ReflectMessage, Value,
};

use crate::refusal::Violation;

/// The reason of every change told.
pub const CHANGED: &str = "CHANGED_MEANWHILE";

/// Most changes that are told one by one.
const CHANGES_MAX: usize = 40;

/// Most characters of a value that is told.
const CHARACTERS_MAX: usize = 80;

/// Fields that are other with every change, and tell nothing of it.
const OF_EVERY_CHANGE: [&str; 3] = ["etag", "create_time", "update_time"];

/// A change that is known only in words.
pub fn in_words(description: String) -> Violation {
    Violation {
        field: String::new(),
        reason: CHANGED,
        description,
    }
}

/// What differs between a message as it was read and as it is now; `message` is its full name, such as
/// `hod.v1.Region`. Empty when neither can be read as that, or when nothing differs.
pub fn changes<W: Message>(message: &str, read: &W, now: &W) -> Vec<Violation> {
    let Some(descriptor) = pool().and_then(|pool| pool.get_message_by_name(message)) else {
        return Vec::new();
    };
    let dynamic =
        |wire: &W| DynamicMessage::decode(descriptor.clone(), wire.encode_to_vec().as_slice()).ok();
    let (Some(read), Some(now)) = (dynamic(read), dynamic(now)) else {
        return Vec::new();
    };
    let mut told = Told::default();
    told.message("", &read, &now);
    told.all()
}

fn pool() -> Option<&'static DescriptorPool> {
    static POOL: OnceLock<Option<DescriptorPool>> = OnceLock::new();
    POOL.get_or_init(|| DescriptorPool::decode(DESCRIPTORS).ok())
        .as_ref()
}

/// What has been told so far.
#[derive(Default)]
struct Told {
    changes: Vec<Violation>,
    left: usize,
}

impl Told {
    fn all(mut self) -> Vec<Violation> {
        if 0 < self.left {
            let left = format!("{} more fields have changed", self.left);
            self.changes.push(in_words(left));
        }
        self.changes
    }

    fn tell(&mut self, field: &str, description: String) {
        if CHANGES_MAX <= self.changes.len() {
            self.left += 1;
            return;
        }
        self.changes.push(Violation {
            field: field.to_owned(),
            reason: CHANGED,
            description,
        });
    }

    fn message(&mut self, path: &str, read: &DynamicMessage, now: &DynamicMessage) {
        for field in read.descriptor().fields() {
            if path.is_empty() && OF_EVERY_CHANGE.contains(&field.name()) {
                continue;
            }
            let path = below(path, field.name());
            match (read.has_field(&field), now.has_field(&field)) {
                (false, false) => {}
                _ => self.field(
                    &path,
                    &field,
                    &read.get_field(&field),
                    &now.get_field(&field),
                ),
            }
        }
    }

    fn field(&mut self, path: &str, field: &FieldDescriptor, read: &Value, now: &Value) {
        match (read, now) {
            (Value::List(read), Value::List(now)) => self.list(path, field, read, now),
            (Value::Message(read), Value::Message(now)) => self.message(path, read, now),
            (read, now) if read != now => {
                let was_is = format!("was {}, is now {}", shown(field, read), shown(field, now));
                self.tell(path, was_is);
            }
            _ => {}
        }
    }

    /// Items that have ids are held against those of the same id, others against those in their place.
    fn list(&mut self, path: &str, field: &FieldDescriptor, read: &[Value], now: &[Value]) {
        let key = key_field(field);
        let same = |place: usize, item: &Value, others: &[Value]| match &key {
            Some(key) => others
                .iter()
                .position(|other| id(key, other) == id(key, item)),
            None => (place < others.len()).then_some(place),
        };
        for (place, item) in now.iter().enumerate() {
            let path = format!("{path}[{place}]");
            match same(place, item, read).and_then(|before| read.get(before)) {
                Some(before) => self.field(&path, field, before, item),
                None => self.tell(&path, format!("{} is new", item_shown(field, &key, item))),
            }
        }
        for (place, item) in read.iter().enumerate() {
            if same(place, item, now).is_none() {
                self.tell(path, format!("{} is gone", item_shown(field, &key, item)));
            }
        }
    }
}

fn below(path: &str, field: &str) -> String {
    match path {
        "" => field.to_owned(),
        path => format!("{path}.{field}"),
    }
}

/// The field that tells items of a list apart.
fn key_field(field: &FieldDescriptor) -> Option<FieldDescriptor> {
    let Kind::Message(item) = field.kind() else {
        return None;
    };
    ["id", "part", "label"]
        .into_iter()
        .find_map(|name| item.get_field_by_name(name))
}

fn id(key: &FieldDescriptor, item: &Value) -> Option<String> {
    let message = item.as_message()?;
    let is_of_it = |descriptor: &MessageDescriptor| descriptor == key.parent_message();
    is_of_it(&message.descriptor()).then(|| message.get_field(key).as_str().map(str::to_owned))?
}

fn item_shown(field: &FieldDescriptor, key: &Option<FieldDescriptor>, item: &Value) -> String {
    match key.as_ref().and_then(|key| id(key, item)) {
        Some(id) => format!("{id:?}"),
        None => shown(field, item),
    }
}

/// A value for people, shortened.
fn shown(field: &FieldDescriptor, value: &Value) -> String {
    let text = match (value, field.kind()) {
        (Value::String(text), _) if text.is_empty() => "empty".to_owned(),
        (Value::String(text), _) => format!("{text:?}"),
        (Value::EnumNumber(number), Kind::Enum(list)) => list
            .get_value(*number)
            .map_or_else(|| number.to_string(), |value| value.name().to_owned()),
        (Value::Bool(is), _) => is.to_string(),
        (Value::I32(number), _) => number.to_string(),
        (Value::I64(number), _) => number.to_string(),
        (Value::Message(message), _) => message.to_string(),
        (other, _) => other.to_string(),
    };
    match text.char_indices().nth(CHARACTERS_MAX) {
        Some((end, _)) => format!("{}...", text.get(..end).unwrap_or_default()),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use hod_wire::v1::{BuildUp, Job, Region, Rounding, Wall};

    use super::*;

    fn told<W: Message>(message: &str, read: &W, now: &W) -> Vec<(String, String)> {
        let all = changes(message, read, now).into_iter();
        all.map(|change| (change.field, change.description))
            .collect()
    }

    fn pair(field: &str, description: &str) -> (String, String) {
        (field.to_owned(), description.to_owned())
    }

    #[test]
    fn what_changed_is_told_field_by_field_as_it_was_and_as_it_is() {
        let read = Region {
            display_name: "North".into(),
            build_up: Some(BuildUp {
                contingency_percent: "10".into(),
                ..Default::default()
            }),
            etag: "\"1\"".into(),
            ..Default::default()
        };
        let now = Region {
            display_name: "North coast".into(),
            rounding: Rounding::HalfToEven.into(),
            build_up: Some(BuildUp {
                contingency_percent: "12".into(),
                tax_label: "VAT".into(),
                ..Default::default()
            }),
            etag: "\"2\"".into(),
            ..Default::default()
        };
        assert_eq!(
            told("hod.v1.Region", &read, &now),
            [
                pair("display_name", "was \"North\", is now \"North coast\""),
                pair(
                    "rounding",
                    "was ROUNDING_UNSPECIFIED, is now ROUNDING_HALF_TO_EVEN"
                ),
                pair("build_up.contingency_percent", "was \"10\", is now \"12\""),
                pair("build_up.tax_label", "was empty, is now \"VAT\""),
            ]
        );
        assert_eq!(told("hod.v1.Region", &now, &now), []);
    }

    #[test]
    fn walls_are_held_against_those_of_the_same_name() {
        let wall = |id: &str, height: &str| Wall {
            id: id.into(),
            height_m: height.into(),
            ..Default::default()
        };
        let job = |walls: Vec<Wall>| Job {
            walls,
            ..Default::default()
        };
        let read = job(vec![wall("south", "2.40"), wall("east", "2.40")]);
        let now = job(vec![wall("east", "2.60"), wall("north", "2.40")]);
        assert_eq!(
            told("hod.v1.Job", &read, &now),
            [
                pair("walls[0].height_m", "was \"2.40\", is now \"2.60\""),
                pair("walls[1]", "\"north\" is new"),
                pair("walls", "\"south\" is gone"),
            ]
        );
    }

    #[test]
    fn so_many_changes_are_told_and_the_rest_counted() {
        let job = |height: &str| Job {
            walls: (0..50)
                .map(|number| Wall {
                    id: format!("w{number}"),
                    height_m: height.into(),
                    ..Default::default()
                })
                .collect(),
            ..Default::default()
        };
        let all = told("hod.v1.Job", &job("2.4"), &job("2.5"));
        assert_eq!(all.len(), CHANGES_MAX + 1);
        assert_eq!(all[CHANGES_MAX], pair("", "10 more fields have changed"));
    }
}
