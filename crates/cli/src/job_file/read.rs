//! Walks a TOML text by the tables of `key` and fills the contract's job, keeping every fault and every place.
//! It reads on after a fault, so that all are told at once.

use std::collections::BTreeSet;

use hod_wire::v1::{Inclusion, Job, Niche, Opening, Wall};
use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use super::key::{self, Holds, Key};
use super::number::{self, Measure};
use super::place::{Place, Places};
use super::source::{Source, Written};
use crate::fault::Fault;
use crate::name;
use crate::text::quoted;

/// A longer key is no slip of a known one.
const NEAR_KEY_CHARACTERS_MAX: usize = 40;

/// How alike two keys must be to be named as the nearest, from 0 to 1.
const NEAR_KEY_LIKENESS_MIN: f64 = 0.75;

/// Reads a job and where its fields stand, or tells every fault.
pub(super) fn job(file: &str, text: &str) -> Result<(Job, Places), Vec<Fault>> {
    let (source, table) = Source::parse(text);
    let table = table.into_inner();
    let mut reader = Reader::new(file, &source);
    if source.is_hopeless() || (!source.broken().is_empty() && !has_known_key(&table)) {
        return Err(vec![reader.not_a_job_file()]);
    }
    let job = reader.job(&table);
    reader.finish(job)
}

fn has_known_key(table: &DeTable) -> bool {
    table
        .keys()
        .any(|key| key::JOB.iter().any(|known| known.name == key.get_ref()))
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

struct Reader<'source, 'text> {
    file: &'source str,
    source: &'source Source<'text>,
    places: Places,
    faults: Vec<Fault>,
    /// Kept apart: on a broken text a key may be missing only because its line could not be read.
    missing: Vec<Fault>,
    /// Broken lines whose value got a sentence of its own.
    explained: BTreeSet<usize>,
}

impl<'source, 'text> Reader<'source, 'text> {
    fn new(file: &'source str, source: &'source Source<'text>) -> Self {
        Self {
            file,
            source,
            places: Places::default(),
            faults: Vec::new(),
            missing: Vec::new(),
            explained: BTreeSet::new(),
        }
    }

    fn job(&mut self, table: &DeTable<'text>) -> Job {
        let section = Section {
            field: String::new(),
            thing: String::new(),
            line: None,
        };
        let mut job: Job = self.section(table, key::JOB, &section);
        for (index, (line, wall)) in self
            .sections(table, "wall", "wall", &section)
            .into_iter()
            .enumerate()
        {
            let wall = self.wall(index, line, wall);
            job.walls.push(wall);
        }
        if job.walls.is_empty() && entry(table, "wall").is_none() {
            self.missing(&section, "wall", "a job needs at least one [[wall]]");
        }
        job
    }

    fn wall(&mut self, index: usize, line: usize, table: &DeTable<'text>) -> Wall {
        let section = Section {
            field: format!("walls[{index}]"),
            thing: format!("wall {}", called(table, index)),
            line: Some(line),
        };
        let mut wall: Wall = self.section(table, key::WALL, &section);
        if ["length_m", "radius_m", "bend_deg"]
            .iter()
            .all(|key| entry(table, key).is_none())
        {
            let both = "is missing; give it, or radius_m and bend_deg for an arc";
            self.missing(&section, "length_m", both);
        }
        wall.openings = self.all_of::<Opening>(table, "opening", key::OPENING, &section);
        wall.niches = self.all_of::<Niche>(table, "niche", key::NICHE, &section);
        wall.inclusions = self.all_of::<Inclusion>(table, "inclusion", key::INCLUSION, &section);
        wall
    }

    /// All sections of a kind on a wall.
    fn all_of<T: Default>(
        &mut self,
        wall: &DeTable<'text>,
        kind: &str,
        keys: &[Key<T>],
        on: &Section,
    ) -> Vec<T> {
        let header = format!("wall.{kind}");
        let found = self.sections(wall, kind, &header, on);
        let mut all = Vec::with_capacity(found.len());
        for (index, (line, table)) in found.into_iter().enumerate() {
            let section = Section {
                field: format!("{}.{kind}s[{index}]", on.field),
                thing: format!("{}, {kind} {}", on.thing, called(table, index)),
                line: Some(line),
            };
            all.push(self.section(table, keys, &section));
        }
        all
    }

    /// The tables under a key that is to be written `[[header]]`, with their lines.
    fn sections<'table>(
        &mut self,
        table: &'table DeTable<'text>,
        key: &str,
        header: &str,
        within: &Section,
    ) -> Vec<(usize, &'table DeTable<'text>)> {
        let Some((written, value)) = entry(table, key) else {
            return Vec::new();
        };
        let DeValue::Array(array) = value.get_ref() else {
            let line = self.source.line(written.span().start);
            self.fault(
                within,
                line,
                "",
                format!("write [[{header}]], with two brackets on each side"),
            );
            return Vec::new();
        };
        let mut found = Vec::new();
        for element in array.iter() {
            let line = self.source.line(element.span().start);
            match element.get_ref() {
                DeValue::Table(table) => found.push((line, table)),
                other => {
                    let what = format!("found {} where a [[{header}]] is needed", kind_of(other));
                    self.fault(within, line, key, what);
                }
            }
        }
        found
    }

    /// Reads the keys of one section; its own sections are left to the caller.
    fn section<T: Default>(
        &mut self,
        table: &DeTable<'text>,
        keys: &[Key<T>],
        section: &Section,
    ) -> T {
        let mut thing = T::default();
        self.places
            .keep(section.field.clone(), self.place(section, section.line, ""));
        for (written, value) in table {
            let line = self.source.line(written.span().start);
            match keys.iter().find(|key| key.name == written.get_ref()) {
                Some(key) => self.key(&mut thing, key, line, value, section),
                None => self.unknown_key(written.get_ref(), keys, line, section),
            }
        }
        for key in keys.iter().filter(|key| key.is_needed) {
            if entry(table, key.name).is_none() {
                self.missing(section, key.name, "is missing");
            }
        }
        thing
    }

    fn key<T>(
        &mut self,
        thing: &mut T,
        key: &Key<T>,
        line: usize,
        value: &Spanned<DeValue<'text>>,
        section: &Section,
    ) {
        let field = match section.field.as_str() {
            "" => key.field.to_owned(),
            field => format!("{field}.{}", key.field),
        };
        self.places
            .keep(field, self.place(section, Some(line), key.name));
        let refusal = match &key.holds {
            Holds::Text(set) => self.text(value).map(|text| set(thing, text)),
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
            Holds::Sections => Ok(()),
            Holds::Reserved(what) => Err(Some(format!(
                "is a name kept for {what}, which this version does not measure; take it out, and count that elsewhere"
            ))),
        };
        if let Err(Some(refusal)) = refusal {
            self.explained.insert(line);
            self.fault(section, line, key.name, refusal);
        }
    }

    /// A text. `Err(None)` when the line is broken, which is told with the broken lines.
    fn text(&self, value: &Spanned<DeValue<'text>>) -> Result<String, Option<String>> {
        match (value.get_ref(), self.source.written(value.span())) {
            (_, Written::Broken(_)) => Err(None),
            (DeValue::String(text), Written::Whole(_)) => Ok(text.clone().into_owned()),
            (_, Written::Whole(written)) => Err(Some(format!(
                "{} is not text; write it in quotes",
                quoted(written)
            ))),
        }
    }

    fn number(
        &self,
        value: &Spanned<DeValue<'text>>,
        measure: Measure,
    ) -> Result<String, Option<String>> {
        let written = match self.source.written(value.span()) {
            Written::Broken(written) => return Err(number::broken(written, measure)),
            Written::Whole(written) => written,
        };
        match value.get_ref() {
            DeValue::Integer(_) | DeValue::Float(_) => number::bare(written).map_err(Some),
            DeValue::String(text) => number::in_quotes(text, measure).map_err(Some),
            other => Err(Some(format!(
                "found {} where a number is needed, such as 6.20",
                kind_of(other)
            ))),
        }
    }

    fn count(&self, value: &Spanned<DeValue<'text>>) -> Result<i32, Option<String>> {
        match (value.get_ref(), self.source.written(value.span())) {
            (_, Written::Broken(written)) => Err(number::count(written).err()),
            (DeValue::Integer(_) | DeValue::Float(_), Written::Whole(written)) => {
                number::count(written).map_err(Some)
            }
            (other, Written::Whole(_)) => Err(Some(format!(
                "found {} where a whole number is needed, such as 12",
                kind_of(other)
            ))),
        }
    }

    fn unknown_key<T>(&mut self, name: &str, keys: &[Key<T>], line: usize, section: &Section) {
        let elsewhere = key::sections_with(name);
        let known: Vec<&str> = keys.iter().map(|key| key.name).collect();
        let what = match (elsewhere.as_slice(), nearest(name, &known)) {
            ([], Some(near)) => format!("unknown key {}; the nearest is {near}", quoted(name)),
            ([], None) => format!(
                "unknown key {}; the keys here are {}",
                quoted(name),
                known.join(", ")
            ),
            (places, _) => format!(
                "{name} is not a key here; it stands {}",
                places.join(", or ")
            ),
        };
        self.explained.insert(line);
        self.fault(section, line, "", what);
    }

    fn place(&self, section: &Section, line: Option<usize>, key: &str) -> Place {
        Place {
            file: self.file.to_owned(),
            line,
            thing: crate::text::plain(&section.thing),
            key: key.to_owned(),
        }
    }

    fn fault(&mut self, section: &Section, line: usize, key: &str, what: String) {
        let fault = Fault {
            place: Some(self.place(section, Some(line), key)),
            field: section.field.clone(),
            description: what,
        };
        self.faults.push(fault);
    }

    fn missing(&mut self, section: &Section, key: &str, what: &str) {
        let fault = Fault {
            place: Some(self.place(section, section.line, key)),
            field: section.field.clone(),
            description: what.to_owned(),
        };
        self.missing.push(fault);
    }

    fn not_a_job_file(&self) -> Fault {
        let mut place = Place::of_file(self.file);
        let lines = self.source.broken();
        let first = lines.first_key_value();
        place.line = first.map(|(line, _)| *line);
        let others = match lines.len().saturating_sub(1) {
            0 => String::new(),
            1 => "; 1 more line is like it".to_owned(),
            more => format!("; {more} more lines are like it"),
        };
        let what = first.map_or("", |(_, what)| what.as_str());
        Fault {
            place: Some(place),
            field: String::new(),
            description: format!("this is not a job file: {what}{others}"),
        }
    }

    /// The job when nothing is wrong, else every fault in the order of the file.
    fn finish(mut self, job: Job) -> Result<(Job, Places), Vec<Fault>> {
        let broken: Vec<(usize, &String)> = self
            .source
            .broken()
            .iter()
            .filter(|(line, _)| !self.explained.contains(line))
            .map(|(line, what)| (*line, what))
            .collect();
        if broken.iter().any(|(line, _)| self.source.is_header(*line)) {
            self.faults.clear();
        }
        if broken.is_empty() {
            self.faults.append(&mut self.missing);
        }
        self.faults
            .extend(broken.into_iter().map(|(line, what)| Fault {
                place: Some(Place {
                    line: Some(line),
                    ..Place::of_file(self.file)
                }),
                field: String::new(),
                description: what.clone(),
            }));
        if self.faults.is_empty() {
            return Ok((job, self.places));
        }
        self.faults
            .sort_by_key(|fault| fault.place.as_ref().and_then(|place| place.line));
        Err(self.faults)
    }
}

/// A key of a table with its value. A table has a score of keys at most, so a search is as good as a look-up.
fn entry<'table, 'text>(
    table: &'table DeTable<'text>,
    key: &str,
) -> Option<(
    &'table Spanned<DeString<'text>>,
    &'table Spanned<DeValue<'text>>,
)> {
    table.iter().find(|(written, _)| written.get_ref() == key)
}

/// What a wall or an opening is called: its id, else its number.
fn called(table: &DeTable, index: usize) -> String {
    match entry(table, "id").map(|(_, value)| value.get_ref()) {
        Some(DeValue::String(id)) if !id.is_empty() => id.clone().into_owned(),
        _ => (index + 1).to_string(),
    }
}

fn kind_of(value: &DeValue) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a section",
    }
}

fn unknown_word(text: &str, accepted: &[&str]) -> String {
    match nearest(text, accepted) {
        Some(near) if accepted.len() != 1 => {
            format!("{} is not known; did you mean {near}?", quoted(text))
        }
        _ => format!("{} is not known; use {}", quoted(text), accepted.join(", ")),
    }
}

fn nearest<'known>(text: &str, known: &[&'known str]) -> Option<&'known str> {
    if NEAR_KEY_CHARACTERS_MAX < text.len() {
        return None;
    }
    known
        .iter()
        .map(|known| {
            (
                strsim::normalized_damerau_levenshtein(text, known)
                    .max(strsim::jaro_winkler(text, known)),
                *known,
            )
        })
        .filter(|(likeness, _)| NEAR_KEY_LIKENESS_MIN <= *likeness)
        .max_by(|(one, _), (other, _)| one.total_cmp(other))
        .map(|(_, known)| known)
}
