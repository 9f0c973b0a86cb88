//! What is said of a job file that cannot be taken as it is: keys that are not known, things that are missing, lines
//! that are not TOML; in the end all of it in the order of the file, or the job.

use super::{Reader, Section};
use crate::fault::Fault;
use crate::job_file::key::{Key, places_of};
use crate::job_file::place::{Place, Places};
use crate::text::{nearest, quoted};

impl Reader<'_, '_> {
    pub(super) fn unknown_key<T>(
        &mut self,
        name: &str,
        keys: &[Key<T>],
        line: usize,
        section: &Section,
    ) {
        let known: Vec<&str> = keys.iter().map(|key| key.name).collect();
        let what = match (
            places_of(name, self.sections).as_slice(),
            nearest(name, &known),
        ) {
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

    pub(super) fn fault(&mut self, section: &Section, line: usize, key: &str, what: String) {
        let fault = Fault {
            place: Some(self.place(section, Some(line), key)),
            field: section.field.clone(),
            description: what,
        };
        self.faults.push(fault);
    }

    pub(super) fn missing(&mut self, section: &Section, key: &str, what: &str) {
        let fault = Fault {
            place: Some(self.place(section, section.line, key)),
            field: section.field.clone(),
            description: what.to_owned(),
        };
        self.missing.push(fault);
    }

    /// `called` is what such a file is called.
    pub(super) fn not_such_a_file(&self, called: &str) -> Fault {
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
            description: format!("this is not {called}: {what}{others}"),
        }
    }

    /// What was read when nothing is wrong, else every fault in the order of the file.
    pub(super) fn finish<T>(mut self, thing: T) -> Result<(T, Places), Vec<Fault>> {
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
            return Ok((thing, self.places));
        }
        self.faults
            .sort_by_key(|fault| fault.place.as_ref().and_then(|place| place.line));
        Err(self.faults)
    }
}
