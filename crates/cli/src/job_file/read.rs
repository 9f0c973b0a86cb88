//! Walks a TOML text by the tables of `key` and fills what the contract has for it, keeping every fault and every place.
//! It reads on after a fault, so that all are told at once. What a value may look like is in `value`, what is said of
//! the rest in `told`.

mod told;
mod value;

use std::collections::BTreeSet;

use hod_wire::v1::Job;
use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use self::value::{kind_of, unknown_word};
use super::key::{Holds, Key, Keyed, ListOf, Whole};
use super::place::{Place, Places};
use super::source::{Source, Written};
use crate::fault::Fault;
use crate::name::{self, collection::SOIL_TESTS};
use crate::text::quoted;

/// Reads a job and where its fields stand, or tells every fault.
pub(super) fn job(file: &str, text: &str) -> Result<(Job, Places), Vec<Fault>> {
    read(file, text, |reader, job: &mut Job, table| {
        reader.place_soil_test(job, entry(table, "site").is_some());
    })
}

/// Reads what a file beside a job file is of, and where its fields stand, or tells every fault.
pub(super) fn whole<T: Whole>(file: &str, text: &str) -> Result<(T, Places), Vec<Fault>> {
    read(file, text, |_, _, _| {})
}

/// `settle` brings in order what only the whole tells.
fn read<'text, T: Whole>(
    file: &str,
    text: &'text str,
    settle: impl Fn(&mut Reader<'_, 'text>, &mut T, &DeTable<'text>),
) -> Result<(T, Places), Vec<Fault>> {
    let (source, table) = Source::parse(text);
    let table = table.into_inner();
    let mut reader = Reader::new::<T>(file, &source);
    if source.is_hopeless() || (!source.broken().is_empty() && !has_known_key::<T>(&table)) {
        return Err(vec![reader.not_such_a_file(T::CALLED)]);
    }
    let section = Section {
        field: String::new(),
        thing: String::new(),
        line: None,
    };
    let mut thing: T = reader.section(&table, &section);
    settle(&mut reader, &mut thing, &table);
    reader.finish(thing)
}

fn has_known_key<T: Keyed>(table: &DeTable) -> bool {
    table
        .keys()
        .any(|key| T::KEYS.iter().any(|known| known.name == key.get_ref()))
}

/// A section of the file: which one, and how it is called.
struct Section {
    /// The field path of the contract, empty for the job.
    field: String,
    /// `wall south, opening door`; empty for the job.
    thing: String,
    /// The line of its header; none for the job.
    line: Option<usize>,
}

impl Section {
    /// The path of one of its fields.
    fn path(&self, field: &str) -> String {
        match self.field.as_str() {
            "" => field.to_owned(),
            section => format!("{section}.{field}"),
        }
    }

    /// What is called so on it.
    fn with(&self, thing: &str) -> String {
        match self.thing.as_str() {
            "" => thing.to_owned(),
            section => format!("{section}, {thing}"),
        }
    }
}

/// What stands under a header, to be read into a field of the section that it is on.
pub(super) struct Found<'found, 'text> {
    value: &'found Spanned<DeValue<'text>>,
    line: usize,
    /// The header without its brackets.
    header: &'static str,
    /// The last part of it.
    key: &'static str,
    field: &'static str,
    on: &'found Section,
}

/// What has been read so far, and all that is wrong with it.
pub(super) struct Reader<'source, 'text> {
    file: &'source str,
    source: &'source Source<'text>,
    places: Places,
    faults: Vec<Fault>,
    /// Kept apart: on a broken text a key may be missing only because its line could not be read.
    missing: Vec<Fault>,
    /// Broken lines whose value got a sentence of its own.
    explained: BTreeSet<usize>,
    /// Where in such a file a key of a name stands.
    sections: &'static [fn(&str) -> Option<String>],
}

impl<'source, 'text> Reader<'source, 'text> {
    fn new<T: Whole>(file: &'source str, source: &'source Source<'text>) -> Self {
        Self {
            file,
            source,
            places: Places::default(),
            faults: Vec::new(),
            missing: Vec::new(),
            explained: BTreeSet::new(),
            sections: T::PLACES,
        }
    }

    /// A soil test is one of the job's own site, and in full names both.
    fn place_soil_test(&mut self, job: &mut Job, has_site: bool) {
        let Some(ground) = job.ground.as_mut().filter(|it| !it.soil_test.is_empty()) else {
            return;
        };
        let tests = format!("{}/{SOIL_TESTS}", job.site);
        let named = name::full(&tests, &ground.soil_test);
        let id = ground.soil_test.rsplit('/').next().unwrap_or_default();
        let refusal = if !has_site {
            "a soil test is one of the job's site, and no site is given; write site = \"ID\" at the top of the file".to_owned()
        } else if named != format!("{tests}/{id}") {
            let (found, id) = (quoted(&ground.soil_test), quoted(id));
            format!(
                "{found} is more than an id; the test is one of the job's own site, so write its id alone: soil_test = {id}"
            )
        } else {
            ground.soil_test = named;
            return;
        };
        if let Some(place) = self.places.find("ground.soil_test") {
            self.faults.push(Fault {
                place: Some(place),
                field: "ground.soil_test".to_owned(),
                description: refusal,
            });
        }
    }

    /// All sections under a header that is to be written `[[header]]`.
    pub(super) fn all_of<T: Keyed>(&mut self, found: &Found<'_, 'text>) -> Vec<T> {
        let tables = self.tables(found);
        let mut all = Vec::with_capacity(tables.len());
        for (index, (line, table)) in tables.into_iter().enumerate() {
            let called = self.called::<T>(table, index);
            let thing = format!("{} {called}", found.key.replace('_', " "));
            let section = Section {
                field: format!("{}[{index}]", found.on.path(found.field)),
                thing: found.on.with(&thing),
                line: Some(line),
            };
            all.push(self.section(table, &section));
        }
        all
    }

    /// The one section under a header that is to be written `[header]`.
    pub(super) fn one_of<T: Keyed>(&mut self, found: &Found<'_, 'text>) -> Option<T> {
        let Found { header, line, .. } = *found;
        match found.value.get_ref() {
            DeValue::Table(table) => {
                let section = Section {
                    field: found.on.path(found.field),
                    thing: found.on.with(&found.key.replace('_', " ")),
                    line: Some(line),
                };
                return Some(self.section(table, &section));
            }
            DeValue::Array(array) if array.iter().all(is_table) => {
                let what = format!(
                    "write [{header}], with one bracket on each side; a job has one of it at the most"
                );
                self.fault(found.on, line, "", what);
            }
            other => {
                let what = format!("found {} where a [{header}] is needed", kind_of(other));
                self.fault(found.on, line, found.key, what);
            }
        }
        None
    }

    /// The tables under a key that is to be written `[[header]]`, with their lines.
    fn tables<'table>(
        &mut self,
        found: &Found<'table, 'text>,
    ) -> Vec<(usize, &'table DeTable<'text>)> {
        let Found {
            header, line, on, ..
        } = *found;
        let DeValue::Array(array) = found.value.get_ref() else {
            let what = match found.value.get_ref() {
                DeValue::Table(_) => format!("write [[{header}]], with two brackets on each side"),
                other => format!("found {} where a [[{header}]] is needed", kind_of(other)),
            };
            let key = if is_table(found.value) { "" } else { found.key };
            self.fault(on, line, key, what);
            return Vec::new();
        };
        let mut tables = Vec::new();
        for element in array.iter() {
            let line = self.source.line(element.span().start);
            match element.get_ref() {
                DeValue::Table(table) => tables.push((line, table)),
                other => {
                    let what = format!("found {} where a [[{header}]] is needed", kind_of(other));
                    self.fault(on, line, found.key, what);
                }
            }
        }
        tables
    }

    /// What one of several is called: by what it calls itself, else by its number.
    fn called<T: Keyed>(&self, table: &DeTable<'text>, index: usize) -> String {
        let number = || (index + 1).to_string();
        match entry(table, T::CALLED_BY).map(|(_, value)| (value.get_ref(), value.span())) {
            Some((DeValue::String(text), _)) if !text.is_empty() => text.clone().into_owned(),
            Some((DeValue::Integer(_) | DeValue::Float(_), span)) => {
                match self.source.written(span) {
                    Written::Whole(written) => written.to_owned(),
                    Written::Broken(_) => number(),
                }
            }
            _ => number(),
        }
    }

    /// Reads the keys of one section, and the sections on it.
    fn section<T: Keyed>(&mut self, table: &DeTable<'text>, section: &Section) -> T {
        let mut thing = T::default();
        self.places
            .keep(section.field.clone(), self.place(section, section.line, ""));
        for (written, value) in table {
            let line = self.source.line(written.span().start);
            match T::KEYS.iter().find(|key| key.name == written.get_ref()) {
                Some(key) => self.key(&mut thing, key, line, value, section),
                None => self.unknown_key(written.get_ref(), T::KEYS, line, section),
            }
        }
        self.needs::<T>(table, section);
        thing
    }

    /// Tells the keys that a section lacks.
    fn needs<T: Keyed>(&mut self, table: &DeTable<'text>, section: &Section) {
        let lacks = |key: &str| entry(table, key).is_none();
        for key in T::KEYS.iter().filter(|key| key.is_needed) {
            if lacks(key.name) {
                self.missing(section, key.name, "is missing");
            }
        }
        if let [first, ..] = T::ONE_OF
            && T::ONE_OF.iter().all(|key| lacks(key))
        {
            self.missing(section, first, T::NONE_OF_THEM);
        }
    }

    fn key<T>(
        &mut self,
        thing: &mut T,
        key: &Key<T>,
        line: usize,
        value: &Spanned<DeValue<'text>>,
        section: &Section,
    ) {
        let field = section.path(key.field);
        self.places
            .keep(field.clone(), self.place(section, Some(line), key.name));
        let found = |header| Found {
            value,
            line,
            header,
            key: key.name,
            field: key.field,
            on: section,
        };
        let refusal = match &key.holds {
            Holds::Text(set) => self.text(value).map(|text| set(thing, text)),
            Holds::Texts(list, set) => {
                let texts = self.texts(value, *list, key.name, &field, section);
                texts.map(|texts| set(thing, texts))
            }
            Holds::Date(set) => self.date(value).map(|date| set(thing, date)),
            Holds::Id(collection, set) => self
                .text(value)
                .map(|id| set(thing, name::full(collection, &id))),
            Holds::Number(measure, set) => self
                .number(value, *measure)
                .map(|number| set(thing, number)),
            Holds::Count(set) => self.count(value).map(|count| set(thing, count)),
            Holds::Word { accepted, set } => self.text(value).and_then(|text| {
                set(thing, &text).ok_or_else(|| Some(unknown_word(&text, &accepted())))
            }),
            Holds::Words { accepted, add } => {
                let texts = self.texts(value, ListOf::Sentences, key.name, &field, section);
                texts.map(|texts| {
                    for text in texts.iter().filter(|text| add(thing, text).is_none()) {
                        let unknown = unknown_word(text, &accepted());
                        self.explained.insert(line);
                        self.fault(section, line, key.name, unknown);
                    }
                })
            }
            Holds::Sections(header, read) | Holds::Section(header, read) => {
                read(self, &found(header), thing);
                Ok(())
            }
        };
        if let Err(Some(refusal)) = refusal {
            self.explained.insert(line);
            self.fault(section, line, key.name, refusal);
        }
    }

    fn place(&self, section: &Section, line: Option<usize>, key: &str) -> Place {
        Place {
            file: self.file.to_owned(),
            line,
            thing: crate::text::plain(&section.thing),
            key: key.to_owned(),
        }
    }
}

fn is_table(value: &Spanned<DeValue>) -> bool {
    matches!(value.get_ref(), DeValue::Table(_))
}

/// A key of a table with its value. A table has two score of keys at most, so a search is as good as a look-up.
fn entry<'table, 'text>(
    table: &'table DeTable<'text>,
    key: &str,
) -> Option<(
    &'table Spanned<DeString<'text>>,
    &'table Spanned<DeValue<'text>>,
)> {
    table.iter().find(|(written, _)| written.get_ref() == key)
}
