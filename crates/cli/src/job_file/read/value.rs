//! Values of a job file: text, lists of text, numbers and counts, or a sentence on why not.
//! A value on a broken line gives no sentence where the line itself is told: `Err(None)`.

use toml::Spanned;
use toml::de::DeValue;

use super::{Reader, Section};
use crate::job_file::key::ListOf;
use crate::job_file::number::{self, Measure};
use crate::job_file::source::Written;
use crate::text::{nearest, quoted};

impl<'text> Reader<'_, 'text> {
    pub(super) fn text(&self, value: &Spanned<DeValue<'text>>) -> Result<String, Option<String>> {
        match (value.get_ref(), self.source.written(value.span())) {
            (_, Written::Broken(_)) => Err(None),
            (DeValue::String(text), Written::Whole(_)) => Ok(text.clone().into_owned()),
            (_, Written::Whole(written)) => Err(Some(format!(
                "{} is not text; write it in quotes",
                quoted(written)
            ))),
        }
    }

    /// A list of texts; each keeps its place, so that a server's fault of one of them comes back to it.
    pub(super) fn texts(
        &mut self,
        value: &Spanned<DeValue<'text>>,
        list: ListOf,
        key: &str,
        field: &str,
        section: &Section,
    ) -> Result<Vec<String>, Option<String>> {
        let array = match value.get_ref() {
            DeValue::Array(array) => array,
            DeValue::String(text) => {
                self.text(value)?;
                let text = quoted(text);
                return Err(Some(format!(
                    "{text} is a text where a list of them is needed; write [{text}]"
                )));
            }
            other => {
                let kind = kind_of(other);
                let example = list.example();
                return Err(Some(format!(
                    "found {kind} where a list of texts is needed, such as [\"{example}\"]"
                )));
            }
        };
        let mut texts = Vec::with_capacity(array.len());
        for (index, element) in array.iter().enumerate() {
            let line = self.source.line(element.span().start);
            match self.text(element) {
                Ok(text) => {
                    let place =
                        self.place(section, Some(line), &format!("{key} {}", quoted(&text)));
                    self.places.keep(format!("{field}[{index}]"), place);
                    texts.push(text);
                }
                Err(Some(_)) => {
                    let (Written::Whole(written) | Written::Broken(written)) =
                        self.source.written(element.span());
                    let written = quoted(written);
                    let refusal = format!("{written} {}", list.refusal());
                    self.explained.insert(line);
                    self.fault(section, line, key, refusal);
                }
                Err(None) => {}
            }
        }
        Ok(texts)
    }

    /// A day: a date of TOML's own, or text, of which the server says what is wrong with it.
    pub(super) fn date(&self, value: &Spanned<DeValue<'text>>) -> Result<String, Option<String>> {
        match (value.get_ref(), self.source.written(value.span())) {
            (DeValue::Datetime(_), Written::Whole(written)) => Ok(written.to_owned()),
            (DeValue::String(_), _) | (_, Written::Broken(_)) => self.text(value),
            (other, _) => Err(Some(format!(
                "found {} where a date is needed, such as 2026-05-01",
                kind_of(other)
            ))),
        }
    }

    pub(super) fn number(
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

    pub(super) fn count(&self, value: &Spanned<DeValue<'text>>) -> Result<i32, Option<String>> {
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
}

impl ListOf {
    fn example(self) -> &'static str {
        match self {
            Self::Coats => "clay-base:12",
            Self::Sentences => "text",
        }
    }

    fn refusal(self) -> &'static str {
        match self {
            Self::Coats => {
                "is no MIX:MM; write a mix, a colon and how thick it stands, in quotes, such as \"clay-base:12\""
            }
            Self::Sentences => "is not text; write it in quotes",
        }
    }
}

pub(super) fn kind_of(value: &DeValue) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a section",
    }
}

pub(super) fn unknown_word(text: &str, accepted: &[&str]) -> String {
    match nearest(text, accepted) {
        Some(near) if accepted.len() != 1 => {
            format!("{} is not known; did you mean {near}?", quoted(text))
        }
        _ => format!("{} is not known; use {}", quoted(text), accepted.join(", ")),
    }
}
