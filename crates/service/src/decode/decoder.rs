//! The reader of requests: it reads every field, keeps every fault with the path of its field, and goes on.
//! It knows numbers, texts, names, dates and enums, and no message; the messages are read in the files beside it.

use hod_units::{Date, Decimal, canonical, parse_date, parse_decimal};

use crate::name::{Collection, quoted, read_child_name, read_name};
use crate::refusal::Violation;

/// The bounds of a number, both included.
#[derive(Debug, Clone, Copy)]
pub struct Bounds {
    /// The least that is taken.
    pub least: Decimal,
    /// The most.
    pub most: Decimal,
    /// What it is counted in, for the message; may be empty.
    pub unit: &'static str,
    /// Most digits after the point.
    pub places: u32,
}

impl Bounds {
    /// Bounds in a unit, with as many decimals as a number may have at all.
    pub const fn of(least: Decimal, most: Decimal, unit: &'static str) -> Self {
        Self {
            least,
            most,
            unit,
            places: 12,
        }
    }
}

/// So many faults of a request are kept: one for each of the most walls of a job. A message of many empty parts could
/// fill the memory with what is wrong with each.
const VIOLATIONS_MAX: usize = 5000;

/// One step of the path to a field.
#[derive(Debug, Clone, Copy)]
enum Step {
    Field(&'static str),
    Item(&'static str, usize),
}

/// Reads a request. Whatever is wrong is kept and told at once, by [`Decoder::violations`].
///
/// A number outside its bounds is a fault and still handed on, so that rules which lie deeper can be tried in the
/// same pass; a text that is no number at all gives `None`.
#[derive(Debug, Default)]
pub struct Decoder<'a> {
    path: Vec<Step>,
    subjects: Vec<(&'static str, &'a str)>,
    violations: Vec<Violation>,
}

impl<'a> Decoder<'a> {
    /// A reader at the root of a request.
    pub fn new() -> Self {
        Self::default()
    }

    /// What is wrong so far, in the order found.
    pub fn violations(self) -> Vec<Violation> {
        self.violations
    }

    /// Whether nothing is wrong so far.
    pub fn is_clean(&self) -> bool {
        self.violations.is_empty()
    }

    /// Reads inside a field.
    pub fn within<T>(&mut self, field: &'static str, read: impl FnOnce(&mut Self) -> T) -> T {
        self.step(Step::Field(field), read)
    }

    /// Reads inside a field that may be left out.
    pub fn part<W, T>(
        &mut self,
        field: &'static str,
        wire: Option<&'a W>,
        read: impl FnOnce(&mut Self, &'a W) -> Option<T>,
    ) -> Option<Option<T>> {
        let Some(wire) = wire else {
            return Some(None);
        };
        self.within(field, |decoder| read(decoder, wire)).map(Some)
    }

    /// Reads at an item of a repeated field.
    pub fn at<T>(
        &mut self,
        field: &'static str,
        index: usize,
        read: impl FnOnce(&mut Self) -> T,
    ) -> T {
        self.step(Step::Item(field, index), read)
    }

    /// The items of a repeated field that are read at all: no more than may be sent. What is wrong with each of very
    /// many could fill the memory.
    pub fn list<W>(
        &mut self,
        field: &'static str,
        items: &'a [W],
        least: usize,
        most: usize,
    ) -> &'a [W] {
        self.count(field, items.len(), least, most);
        items.get(..most).unwrap_or(items)
    }

    /// Refuses an id that stands before it in its list too. An empty one is missing, and told as such.
    pub fn unlike(&mut self, field: &'static str, ids: impl IntoIterator<Item = &'a str>) {
        let mut known: Vec<&str> = Vec::new();
        for (index, id) in ids.into_iter().enumerate() {
            if let Some(first) = known
                .iter()
                .position(|known| *known == id && !id.is_empty())
            {
                let found = format!(
                    "{field}[{first}] is called {} too; give each a name of its own",
                    quoted(id)
                );
                self.at(field, index, |decoder| {
                    decoder.refuse("id", "DUPLICATE_ID", found)
                });
            }
            known.push(id);
        }
    }

    /// Refuses what stands before it in its list too, by the field that names it.
    pub fn each_once(
        &mut self,
        list: &'static str,
        field: &'static str,
        names: impl IntoIterator<Item = &'a str>,
    ) {
        let mut known: Vec<&str> = Vec::new();
        for (index, name) in names.into_iter().enumerate() {
            let before = known.iter().position(|known| *known == name);
            if let Some(first) = before.filter(|_| !name.is_empty()) {
                let found = format!("{list}[{first}] names {} too; name it once", quoted(name));
                self.at(list, index, |decoder| {
                    decoder.refuse(field, "DUPLICATE", found)
                });
            }
            known.push(name);
        }
    }

    /// Reads every item of a repeated field; `None` when any could not be read.
    pub fn each<W, T>(
        &mut self,
        field: &'static str,
        items: &'a [W],
        read: impl FnMut(&mut Self, &'a W) -> Option<T>,
    ) -> Option<Vec<T>> {
        let kept = self.each_kept(field, items, read);
        (kept.len() == items.len()).then(|| kept.into_iter().map(|(_, value)| value).collect())
    }

    /// Reads every item of a repeated field and keeps those that could be read, each with its place.
    pub fn each_kept<W, T>(
        &mut self,
        field: &'static str,
        items: &'a [W],
        mut read: impl FnMut(&mut Self, &'a W) -> Option<T>,
    ) -> Vec<(usize, T)> {
        let mut kept = Vec::with_capacity(items.len());
        for (index, item) in items.iter().enumerate() {
            let value = self.step(Step::Item(field, index), |decoder| read(decoder, item));
            kept.extend(value.map(|value| (index, value)));
        }
        kept
    }

    /// Reads what belongs to a thing that people know by an id: `wall "south"`. Its faults begin with that.
    pub fn about<T>(
        &mut self,
        noun: &'static str,
        id: &'a str,
        read: impl FnOnce(&mut Self) -> T,
    ) -> T {
        self.subjects.push((noun, id));
        let value = read(self);
        self.subjects.pop();
        value
    }

    /// Keeps a fault of a field.
    pub fn refuse(&mut self, field: &'static str, reason: &'static str, found: impl Into<String>) {
        if VIOLATIONS_MAX <= self.violations.len() {
            return;
        }
        let mut description = String::new();
        for (noun, id) in self.subjects.iter().filter(|(_, id)| !id.is_empty()) {
            if !description.is_empty() {
                description.push_str(", ");
            }
            description.push_str(&format!("{noun} {}", quoted(id)));
        }
        if !description.is_empty() {
            description.push_str(": ");
        }
        description.push_str(&found.into());
        self.violations.push(Violation {
            field: self.path_of(field),
            reason,
            description,
        });
    }

    /// Keeps a fault that was found by a deeper rule, unless its field has one already: a size that is out of its
    /// bounds breaks other rules too, and is told once.
    pub fn also(&mut self, field: &str, reason: &'static str, description: String) {
        let field = self.path_of(field);
        let has_room = self.violations.len() < VIOLATIONS_MAX;
        if has_room && self.violations.iter().all(|told| told.field != field) {
            self.violations.push(Violation {
                field,
                reason,
                description,
            });
        }
    }

    /// A number that must be given.
    pub fn number(&mut self, field: &'static str, text: &str, bounds: &Bounds) -> Option<Decimal> {
        let number = self.any_number(field, text)?;
        self.check_bounds(field, text, number, bounds);
        Some(number)
    }

    /// A number that may be left out.
    pub fn number_if_any(
        &mut self,
        field: &'static str,
        text: &str,
        bounds: &Bounds,
    ) -> Option<Option<Decimal>> {
        if text.is_empty() {
            Some(None)
        } else {
            self.number(field, text, bounds).map(Some)
        }
    }

    /// A number that is zero when left out.
    pub fn number_or_zero(
        &mut self,
        field: &'static str,
        text: &str,
        bounds: &Bounds,
    ) -> Option<Decimal> {
        self.number_if_any(field, text, bounds)
            .map(Option::unwrap_or_default)
    }

    /// A number that must be given and whose size others judge.
    pub fn any_number(&mut self, field: &'static str, text: &str) -> Option<Decimal> {
        match parse_decimal(text) {
            Ok(number) => Some(number),
            Err(fault) => {
                let reason = if text.is_empty() {
                    "MISSING"
                } else {
                    "NOT_A_NUMBER"
                };
                self.refuse(field, reason, format!("{field}: {fault}"));
                None
            }
        }
    }

    /// A number that may be left out and whose size others judge.
    pub fn any_number_if_any(
        &mut self,
        field: &'static str,
        text: &str,
    ) -> Option<Option<Decimal>> {
        if text.is_empty() {
            Some(None)
        } else {
            self.any_number(field, text).map(Some)
        }
    }

    fn check_bounds(&mut self, field: &'static str, text: &str, number: Decimal, bounds: &Bounds) {
        let Bounds {
            least,
            most,
            unit,
            places,
        } = *bounds;
        if number < least || most < number {
            let unit = if unit.is_empty() {
                String::new()
            } else {
                format!(" {unit}")
            };
            self.refuse(
                field,
                "OUT_OF_RANGE",
                format!(
                    "{field} is {text}{unit}; it must be from {} to {}{unit}",
                    canonical(least),
                    canonical(most)
                ),
            );
        } else if places < number.normalize().scale() {
            self.refuse(
                field,
                "TOO_MANY_DECIMALS",
                format!("{field} is {text}; it may have at most {places} decimals"),
            );
        }
    }

    /// A text that must be given.
    pub fn text(
        &mut self,
        field: &'static str,
        text: &str,
        characters_max: usize,
    ) -> Option<String> {
        if text.trim().is_empty() {
            self.refuse(field, "MISSING", format!("{field} is needed and empty"));
            return None;
        }
        self.text_if_any(field, text, characters_max)
    }

    /// A text that may be empty.
    pub fn text_if_any(
        &mut self,
        field: &'static str,
        text: &str,
        characters_max: usize,
    ) -> Option<String> {
        let characters = text.chars().count();
        if characters_max < characters {
            self.refuse(
                field,
                "TOO_LONG",
                format!(
                    "{field} has {characters} characters; at most {characters_max} are accepted"
                ),
            );
            return None;
        }
        if let Some(control) = text.chars().find(|character| character.is_control()) {
            self.refuse(
                field,
                "CONTROL_CHARACTER",
                format!(
                    "{field} holds the control character U+{:04X}; write it as one line of plain text",
                    u32::from(control)
                ),
            );
            return None;
        }
        Some(text.to_owned())
    }

    /// A text of several lines that may be empty.
    pub fn lines_if_any(
        &mut self,
        field: &'static str,
        text: &str,
        characters_max: usize,
    ) -> Option<String> {
        // Line ends and tabs are what a note is written with; every other control character is refused.
        let plain: String = text
            .chars()
            .filter(|c| !matches!(c, '\n' | '\r' | '\t'))
            .collect();
        self.text_if_any(field, &plain, characters_max)
            .map(|_| text.to_owned())
    }

    /// The name of a thing that hangs on no other.
    pub fn name<C: Collection>(&mut self, field: &'static str, text: &str) -> Option<C::Id> {
        self.keep(field, "NOT_A_NAME", read_name::<C>(text))
    }

    /// The name of a thing that hangs on no other, which may be left out.
    pub fn name_if_any<C: Collection>(
        &mut self,
        field: &'static str,
        text: &str,
    ) -> Option<Option<C::Id>> {
        if text.is_empty() {
            Some(None)
        } else {
            self.name::<C>(field, text).map(Some)
        }
    }

    /// The name of a thing that hangs on no other, which must be given.
    pub fn name_needed<C: Collection>(&mut self, field: &'static str, text: &str) -> Option<C::Id> {
        if text.is_empty() {
            let found = format!("{field} is needed and empty; write {}/ID", C::SEGMENT);
            self.refuse(field, "MISSING", found);
            return None;
        }
        self.name::<C>(field, text)
    }

    /// A count that stands for `nothing` when it is 0.
    pub fn whole(
        &mut self,
        field: &'static str,
        number: i32,
        nothing: u32,
        most: u32,
    ) -> Option<u32> {
        match u32::try_from(number) {
            Ok(0) => Some(nothing),
            Ok(number) if number <= most => Some(number),
            _ => {
                let found = format!("{field} is {number}; it must be from 1 to {most}");
                self.refuse(field, "OUT_OF_RANGE", found);
                None
            }
        }
    }

    /// The name of a thing that hangs on another.
    pub fn child_name<P: Collection, C: Collection>(
        &mut self,
        field: &'static str,
        text: &str,
    ) -> Option<(P::Id, C::Id)> {
        self.keep(field, "NOT_A_NAME", read_child_name::<P, C>(text))
    }

    /// Anything that has a reader of its own.
    pub fn read<T, F: std::fmt::Display>(
        &mut self,
        field: &'static str,
        reason: &'static str,
        read: Result<T, F>,
    ) -> Option<T> {
        self.keep(
            field,
            reason,
            read.map_err(|fault| format!("{field}: {fault}")),
        )
    }

    /// A date that must be given.
    pub fn date(&mut self, field: &'static str, text: &str) -> Option<Date> {
        if text.is_empty() {
            self.refuse(
                field,
                "MISSING",
                format!("{field} is needed and empty; write year-month-day, such as 2026-05-01"),
            );
            return None;
        }
        self.read(field, "NOT_A_DATE", parse_date(text))
    }

    /// A date that may be left out.
    pub fn date_if_any(&mut self, field: &'static str, text: &str) -> Option<Option<Date>> {
        if text.is_empty() {
            Some(None)
        } else {
            self.date(field, text).map(Some)
        }
    }

    /// How many things a list holds.
    pub fn count(&mut self, field: &'static str, count: usize, least: usize, most: usize) {
        if count < least || most < count {
            self.refuse(
                field,
                "WRONG_COUNT",
                format!("there are {count} {field}; from {least} to {most} are accepted"),
            );
        }
    }

    /// A value of a closed list. `read` takes the number apart and gives `None` for what is refused.
    pub fn choice<T>(
        &mut self,
        field: &'static str,
        number: i32,
        read: impl FnOnce(i32) -> Option<T>,
    ) -> Option<T> {
        let chosen = read(number);
        if chosen.is_none() && number == 0 {
            self.refuse(
                field,
                "MISSING",
                format!("{field} is needed and unspecified"),
            );
        } else if chosen.is_none() {
            self.refuse(
                field,
                "UNKNOWN_CHOICE",
                format!("{field} is {number}, which is not accepted here"),
            );
        }
        chosen
    }

    fn keep<T>(
        &mut self,
        field: &'static str,
        reason: &'static str,
        read: Result<T, String>,
    ) -> Option<T> {
        match read {
            Ok(value) => Some(value),
            Err(found) => {
                self.refuse(field, reason, found);
                None
            }
        }
    }

    fn step<T>(&mut self, step: Step, read: impl FnOnce(&mut Self) -> T) -> T {
        self.path.push(step);
        let value = read(self);
        self.path.pop();
        value
    }

    fn path_of(&self, field: &str) -> String {
        let mut path = String::new();
        for step in &self.path {
            match step {
                Step::Field(name) => path.push_str(name),
                Step::Item(name, index) => path.push_str(&format!("{name}[{index}]")),
            }
            path.push('.');
        }
        path.push_str(field);
        if field.is_empty() {
            path.pop();
        }
        path
    }
}

#[cfg(test)]
mod tests;
