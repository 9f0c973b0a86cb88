//! Where things stand in a job file: the file, the line, and the wall and opening that a builder knows it by.
//! Field paths are the contract's (`walls[0].openings[1].width_m`); keys are the file's own words.

use std::collections::HashMap;
use std::fmt;

/// A place in a job file.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Place {
    /// The file as it was named.
    pub file: String,
    /// The line, from 1; none for the file as a whole.
    pub line: Option<usize>,
    /// The wall and what is on it: `wall south, opening door`; empty at the top of the file.
    pub thing: String,
    /// The key; empty when the fault is not of one.
    pub key: String,
}

impl Place {
    /// A file as a whole.
    pub fn of_file(file: &str) -> Self {
        Self {
            file: file.to_owned(),
            ..Self::default()
        }
    }

    /// Without the key, the text of a list, or the wall, when a sentence begins with it anyway.
    pub fn unless_said_in(mut self, sentence: &str) -> Self {
        let begins = |with: &str| {
            let rest = sentence.strip_prefix(with);
            rest.is_some_and(|rest| rest.starts_with([' ', ':']))
        };
        if begins(&self.key) {
            self.key = String::new();
        }
        if let Some((list, text)) = self.key.split_once(' ')
            && begins(text)
        {
            self.key = list.to_owned();
        }
        if sentence.starts_with("wall \"") {
            self.thing = String::new();
            self.key = String::new();
        }
        self
    }
}

/// `studio.toml:12: wall south, opening door: width_m`.
impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(line) = self.line {
            write!(f, ":{line}")?;
        }
        for part in [&self.thing, &self.key] {
            if !part.is_empty() {
                write!(f, ": {part}")?;
            }
        }
        Ok(())
    }
}

/// Where each field of a job stands.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Places {
    by_field: HashMap<String, Place>,
}

impl Places {
    /// Keeps where a field stands.
    pub(super) fn keep(&mut self, field: String, place: Place) {
        self.by_field.insert(field, place);
    }

    /// The place of a field, as the server names it below the job: its own line, else that of the nearest thing
    /// around it that has one, with the rest of the path as the key.
    pub fn find(&self, field: &str) -> Option<Place> {
        let mut around = field;
        loop {
            if let Some(place) = self.by_field.get(around) {
                let mut place = place.clone();
                let rest = field[around.len()..].trim_start_matches('.');
                if !rest.is_empty() {
                    place.key = rest.to_owned();
                }
                return Some(place);
            }
            if around.is_empty() {
                return None;
            }
            around = &around[..around.rfind(['.', '[']).unwrap_or(0)];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(line: usize, thing: &str, key: &str) -> Place {
        Place {
            file: "studio.toml".to_owned(),
            line: Some(line),
            thing: thing.to_owned(),
            key: key.to_owned(),
        }
    }

    #[test]
    fn a_field_that_the_file_leaves_out_is_placed_on_what_should_have_had_it() {
        let mut places = Places::default();
        places.keep(String::new(), Place::of_file("studio.toml"));
        places.keep("walls[0]".to_owned(), place(7, "wall south", ""));
        places.keep(
            "walls[0].height_m".to_owned(),
            place(9, "wall south", "height_m"),
        );

        let find = |field| places.find(field).map(|place| place.to_string());
        let told = |text: &str| Some(text.to_owned());
        assert_eq!(
            find("walls[0].height_m"),
            told("studio.toml:9: wall south: height_m")
        );
        assert_eq!(
            find("walls[0].length_m"),
            told("studio.toml:7: wall south: length_m")
        );
        assert_eq!(find("walls[0]"), told("studio.toml:7: wall south"));
        assert_eq!(find("site"), told("studio.toml: site"));
        assert_eq!(find(""), told("studio.toml"));
    }
}
