//! A thing as its fields in order, under the names of the contract: what JSON prints, and what tables of one thing and
//! CSV rows are made from. Decimals stay the texts they came as; only counts are numbers.

use prost_types::Timestamp;
use serde::ser::{Serialize, SerializeMap, Serializer};

use crate::word::{self, Word};

/// What a field holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    /// Nothing: not given, not known, or empty.
    Absent,
    /// Text, a decimal or a word of a closed list.
    Text(String),
    /// A whole number of things.
    Count(i64),
    /// Whether something is so.
    Flag(bool),
    /// Texts in order.
    Texts(Vec<String>),
    /// A thing within.
    One(Record),
    /// A thing within that may not be there; in a row it has one column either way.
    OneAtMost(Option<Record>),
    /// Things within, in order.
    Many(Vec<Record>),
}

/// Fields in order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Record {
    fields: Vec<(&'static str, Value)>,
}

impl Record {
    /// Without fields.
    pub fn new() -> Self {
        Self::default()
    }

    /// With a field more.
    pub fn field(mut self, name: &'static str, value: Value) -> Self {
        self.fields.push((name, value));
        self
    }

    /// With a text or decimal; empty is absent.
    pub fn text(self, name: &'static str, text: &str) -> Self {
        let value = match text {
            "" => Value::Absent,
            text => Value::Text(text.to_owned()),
        };
        self.field(name, value)
    }

    /// With a word of a closed list; the unspecified one is absent.
    pub fn word<W: Word>(self, name: &'static str, number: i32) -> Self {
        self.text(name, word::of::<W>(number))
    }

    /// With words of a closed list.
    pub fn words<W: Word>(self, name: &'static str, numbers: &[i32]) -> Self {
        let words = numbers
            .iter()
            .map(|number| word::of::<W>(*number).to_owned());
        self.field(name, Value::Texts(words.collect()))
    }

    /// With a count.
    pub fn count(self, name: &'static str, count: impl Into<i64>) -> Self {
        self.field(name, Value::Count(count.into()))
    }

    /// With a count that may not be known.
    pub fn count_if_known(self, name: &'static str, count: Option<i32>) -> Self {
        let value = count.map_or(Value::Absent, |count| Value::Count(count.into()));
        self.field(name, value)
    }

    /// With a count that 0 leaves out: what stands for it then is said by the contract.
    pub fn count_if_given(self, name: &'static str, count: i32) -> Self {
        self.count_if_known(name, Some(count).filter(|count| *count != 0))
    }

    /// With texts in order.
    pub fn texts(self, name: &'static str, texts: &[String]) -> Self {
        self.field(name, Value::Texts(texts.to_vec()))
    }

    /// With a thing within that may not be there.
    pub fn one_if_there<T>(
        self,
        name: &'static str,
        thing: Option<&T>,
        record: impl Fn(&T) -> Self,
    ) -> Self {
        self.field(name, Value::OneAtMost(thing.map(record)))
    }

    /// With an instant, as RFC 3339 writes it.
    pub fn time(self, name: &'static str, time: Option<&Timestamp>) -> Self {
        self.text(name, &time.map(ToString::to_string).unwrap_or_default())
    }

    /// With things within.
    pub fn many<T>(self, name: &'static str, things: &[T], record: impl Fn(&T) -> Self) -> Self {
        self.field(name, Value::Many(things.iter().map(record).collect()))
    }

    /// The fields as rows of name and text. The fields of a thing within come under both names
    /// (`build_up.tax_percent`); a list within is one text.
    pub fn flat(&self) -> Vec<(String, String)> {
        let mut rows = Vec::with_capacity(self.fields.len());
        for (name, value) in &self.fields {
            match value {
                Value::One(within) => rows.extend(
                    within
                        .flat()
                        .into_iter()
                        .map(|(below, text)| (format!("{name}.{below}"), text)),
                ),
                other => rows.push(((*name).to_owned(), other.text())),
            }
        }
        rows
    }

    /// The fields that hold something, for people: each with its texts, one to a thing within.
    pub fn listed(&self) -> Vec<(String, Vec<String>)> {
        let mut rows = Vec::with_capacity(self.fields.len());
        for (name, value) in &self.fields {
            match value {
                Value::One(within) | Value::OneAtMost(Some(within)) => rows.extend(
                    within
                        .listed()
                        .into_iter()
                        .map(|(below, texts)| (format!("{name}.{below}"), texts)),
                ),
                Value::Many(records) => {
                    rows.push((
                        (*name).to_owned(),
                        records.iter().map(Self::named).collect(),
                    ));
                }
                other => rows.push(((*name).to_owned(), vec![other.text()])),
            }
        }
        rows.retain(|(_, texts)| texts.iter().any(|text| !text.is_empty()));
        rows
    }

    /// A thing within on one line: `id south, length_m 6.20, openings (id door, width_m 0.90)`.
    fn named(&self) -> String {
        let texts = self.fields.iter().filter_map(|(name, value)| {
            let text = value.named();
            (!text.is_empty()).then(|| format!("{name} {text}"))
        });
        texts.collect::<Vec<_>>().join(", ")
    }
}

impl Value {
    /// As it stands behind its name on a line.
    fn named(&self) -> String {
        match self {
            Self::One(record) | Self::OneAtMost(Some(record)) => format!("({})", record.named()),
            Self::Many(records) => {
                let texts = records.iter().map(|record| format!("({})", record.named()));
                texts.collect::<Vec<_>>().join(" ")
            }
            Self::Texts(texts) => texts.join(" "),
            Self::Absent
            | Self::OneAtMost(None)
            | Self::Text(_)
            | Self::Count(_)
            | Self::Flag(_) => self.text(),
        }
    }

    fn text(&self) -> String {
        match self {
            Self::Absent | Self::OneAtMost(None) => String::new(),
            Self::Text(text) => text.clone(),
            Self::Count(count) => count.to_string(),
            Self::Flag(flag) => flag.to_string(),
            Self::Texts(texts) => texts.join("; "),
            Self::One(record) | Self::OneAtMost(Some(record)) => record.in_a_cell(),
            Self::Many(records) => {
                let texts: Vec<String> = records.iter().map(Record::in_a_cell).collect();
                texts.join("; ")
            }
        }
    }
}

impl Record {
    /// In a cell of a row: two values side by side; of more than two only names tell which is which.
    fn in_a_cell(&self) -> String {
        if 2 < self.fields.len() {
            return self.named();
        }
        let texts: Vec<String> = self.fields.iter().map(|(_, value)| value.text()).collect();
        texts.join(" ")
    }
}

impl Serialize for Record {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.fields.len()))?;
        for (name, value) in &self.fields {
            map.serialize_entry(name, value)?;
        }
        map.end()
    }
}

impl Serialize for Value {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Absent | Self::OneAtMost(None) => serializer.serialize_none(),
            Self::Text(text) => serializer.serialize_str(text),
            Self::Count(count) => serializer.serialize_i64(*count),
            Self::Flag(flag) => serializer.serialize_bool(*flag),
            Self::Texts(texts) => texts.serialize(serializer),
            Self::One(record) | Self::OneAtMost(Some(record)) => record.serialize(serializer),
            Self::Many(records) => records.serialize(serializer),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mix() -> Record {
        Record::new()
            .text("name", "mixes/house-cob")
            .text("batch_yield_l", "")
            .field(
                "build_up",
                Value::One(Record::new().text("tax_percent", "19.0")),
            )
            .many("ingredients", &["subsoil", "sand"], |id| {
                Record::new().text("material", id).text("parts", "1.50")
            })
            .count("walls", 4)
            .time(
                "create_time",
                Some(&Timestamp {
                    seconds: 1_790_000_000,
                    nanos: 0,
                }),
            )
    }

    #[test]
    fn json_keeps_the_order_the_digits_and_a_key_for_what_is_absent() {
        assert_eq!(
            serde_json::to_string(&mix()).unwrap_or_default(),
            "{\"name\":\"mixes/house-cob\",\"batch_yield_l\":null,\"build_up\":{\"tax_percent\":\"19.0\"},\
             \"ingredients\":[{\"material\":\"subsoil\",\"parts\":\"1.50\"},{\"material\":\"sand\",\"parts\":\"1.50\"}],\
             \"walls\":4,\"create_time\":\"2026-09-21T14:13:20Z\"}"
        );
    }

    #[test]
    fn for_people_each_thing_within_has_a_text_of_its_own() {
        let opening = Record::new().text("id", "door").text("rise_m", "");
        let wall = |id: &str, openings: &[Record]| {
            Record::new().text("id", id).text("length_m", "6.20").many(
                "openings",
                openings,
                Record::clone,
            )
        };
        let walls = [
            wall("south", &[opening.clone(), opening]),
            wall("east", &[]),
        ];
        let job = Record::new()
            .text("mix", "")
            .many("walls", &walls, Record::clone)
            .many("niches", &[], Record::clone)
            .count("count", 2);
        assert_eq!(
            job.listed(),
            [
                (
                    "walls".to_owned(),
                    vec![
                        "id south, length_m 6.20, openings (id door) (id door)".to_owned(),
                        "id east, length_m 6.20".to_owned(),
                    ]
                ),
                ("count".to_owned(), vec!["2".to_owned()]),
            ]
        );
    }

    #[test]
    fn a_thing_that_may_not_be_there_has_its_column_either_way() {
        let trench = |trench: Option<&str>| {
            Record::new().one_if_there("trench", trench.as_ref(), |width| {
                let width = Record::new().text("width_mm", width);
                width.text("depth_mm", "500").text("fill_mix", "")
            })
        };
        assert_eq!(trench(None).flat(), [("trench".to_owned(), String::new())]);
        assert_eq!(
            trench(Some("600")).flat(),
            [("trench".to_owned(), "width_mm 600, depth_mm 500".to_owned())]
        );
        assert_eq!(trench(None).listed(), []);
        assert_eq!(
            trench(Some("600")).listed(),
            [
                ("trench.width_mm".to_owned(), vec!["600".to_owned()]),
                ("trench.depth_mm".to_owned(), vec!["500".to_owned()]),
            ]
        );
        let json = |record: Record| serde_json::to_string(&record).unwrap_or_default();
        assert_eq!(json(trench(None)), "{\"trench\":null}");
        assert_eq!(
            json(trench(Some("600"))),
            "{\"trench\":{\"width_mm\":\"600\",\"depth_mm\":\"500\",\"fill_mix\":null}}"
        );
    }

    #[test]
    fn a_flat_row_names_what_is_within_and_joins_lists() {
        let rows = mix().flat();
        let rows: Vec<(&str, &str)> = rows
            .iter()
            .map(|(name, text)| (name.as_str(), text.as_str()))
            .collect();
        assert_eq!(
            rows,
            [
                ("name", "mixes/house-cob"),
                ("batch_yield_l", ""),
                ("build_up.tax_percent", "19.0"),
                ("ingredients", "subsoil 1.50; sand 1.50"),
                ("walls", "4"),
                ("create_time", "2026-09-21T14:13:20Z"),
            ]
        );
    }
}
