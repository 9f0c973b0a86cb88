//! Answers in the format that was asked for, one after the other: documents for programs, tables for people.
//! What is in an answer is for `render` and `noun`.

use clap::ValueEnum;
use serde::Serialize;

use crate::fault::Failure;
use crate::noun::Noun;
use crate::printer::Printer;
use crate::render::csv;
use crate::render::record::{Record, Value};
use crate::render::table::{Side, Table};

/// How the answer is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people.
    Table,
    /// One document; an array when there are several.
    Json,
    /// A document to a line.
    Jsonl,
    /// A header and a row to each wall or line.
    Csv,
}

/// Something that can be shown in every format.
pub trait Answer {
    /// All of it, under the names of the contract.
    fn record(&self) -> Record;
    /// The names of its CSV columns, the same for every answer of its kind.
    fn header(&self) -> Vec<String>;
    /// Its CSV rows.
    fn rows(&self) -> Vec<Vec<String>>;
    /// For people.
    fn table(&self) -> String;
    /// Whether it is a part of one whole, which stands closer to the part before it than an answer of its own would.
    fn is_part(&self) -> bool {
        false
    }
    /// What must be seen beside CSV rows that have no room for it.
    fn beside_rows(&self) -> Vec<String> {
        Vec::new()
    }
}

/// Where answers go, in their format.
pub struct Output<'a> {
    printer: &'a mut Printer,
    format: Format,
    /// The address that is asked, for what is told of a connection that broke.
    server: &'a str,
}

impl<'a> Output<'a> {
    /// Into a printer, with what the server at an address answers.
    pub fn new(printer: &'a mut Printer, format: Format, server: &'a str) -> Self {
        Self {
            printer,
            format,
            server,
        }
    }

    /// The format asked for.
    pub fn format(&self) -> Format {
        self.format
    }

    /// For talk beside the answers.
    pub fn printer(&mut self) -> &mut Printer {
        self.printer
    }

    /// One thing in full.
    pub fn one<T: Noun>(&mut self, thing: &T) -> Result<(), Failure> {
        self.record(&thing.record())
    }

    /// One record in full: for people, a field to a line.
    pub fn record(&mut self, record: &Record) -> Result<(), Failure> {
        let text = match self.format {
            Format::Table => fields(record),
            Format::Json => pretty(record)? + "\n",
            Format::Jsonl => compact(record)? + "\n",
            Format::Csv => {
                let (names, values): (Vec<_>, Vec<_>) = record.flat().into_iter().unzip();
                csv::row(names) + &csv::row(values)
            }
        };
        self.printer.answer(&text)
    }

    /// All things of a list.
    pub fn list<T: Noun>(&mut self, things: &[T]) -> Result<(), Failure> {
        let records = things.iter().map(Noun::record);
        match self.format {
            Format::Table => self.printer.answer(&listing(things)),
            Format::Json => {
                let all = records.collect::<Vec<_>>();
                self.printer.answer(&(pretty(&all)? + "\n"))
            }
            Format::Jsonl => {
                for record in records {
                    self.printer.answer(&(compact(&record)? + "\n"))?;
                }
                Ok(())
            }
            Format::Csv => {
                let names = T::default()
                    .record()
                    .flat()
                    .into_iter()
                    .map(|(name, _)| name);
                self.printer.answer(&csv::row(names))?;
                for record in records {
                    let values = record.flat().into_iter().map(|(_, value)| value);
                    self.printer.answer(&csv::row(values))?;
                }
                Ok(())
            }
        }
    }

    /// What was written by the server: for programs the thing itself, for people a sentence and the next step.
    pub fn written<T: Noun>(&mut self, thing: &T, done: &str, next: &str) -> Result<(), Failure> {
        if self.format != Format::Table {
            return self.one(thing);
        }
        self.printer.answer(&format!("{} {done}\n", thing.name()))?;
        self.printer.flush()?;
        self.printer.say(&format!("next: {next}"));
        Ok(())
    }

    /// The start of a row of answers.
    pub fn answers(self, is_several: bool) -> Answers<'a> {
        Answers {
            output: self,
            is_several,
            written: 0,
            hints: Vec::new(),
        }
    }
}

/// A row of answers, written as they come so that no more than one is held.
pub struct Answers<'a> {
    output: Output<'a>,
    is_several: bool,
    written: usize,
    /// Next steps, each told once, after the last answer.
    hints: Vec<String>,
}

impl Answers<'_> {
    /// The next answer.
    pub fn answer(&mut self, answer: &dyn Answer) -> Result<(), Failure> {
        let text = match self.output.format {
            Format::Table if answer.is_part() => self.below(&answer.table()),
            Format::Table => self.apart(answer.table()),
            Format::Json | Format::Jsonl => self.document(&answer.record())?,
            Format::Csv => {
                let header = match self.written {
                    0 => csv::row(answer.header()),
                    _ => String::new(),
                };
                let rows: Vec<String> = answer.rows().into_iter().map(csv::row).collect();
                header + &rows.concat()
            }
        };
        self.written += 1;
        self.output.printer.answer(&text)?;
        self.output.printer.flush()?;
        if self.output.format == Format::Csv {
            for line in answer.beside_rows() {
                self.output.printer.say(&line);
            }
        }
        Ok(())
    }

    /// In the place of the next answer, why there is none. Where documents stand in a row a program needs one for
    /// each of its questions, so that none is taken for its neighbour's.
    pub fn failed(&mut self, input: &str, failure: &Failure) -> Result<(), Failure> {
        let failure = &failure.clone().at(self.output.server);
        let is_document = matches!(self.output.format, Format::Json | Format::Jsonl);
        if self.is_several && is_document && !failure.faults.is_empty() {
            let text = self.document(&failure_record(input, failure))?;
            self.written += 1;
            self.output.printer.answer(&text)?;
            self.output.printer.flush()?;
        }
        if !self.is_several {
            self.output.printer.failure(failure);
            return Ok(());
        }
        let mut named = failure.clone().of_input(input);
        self.hints.extend(named.hint.take());
        self.output.printer.failure(&named);
        Ok(())
    }

    /// For talk beside the answers.
    pub fn printer(&mut self) -> &mut Printer {
        self.output.printer
    }

    /// What is wrong with the row as a whole.
    pub fn broken(&mut self, failure: &Failure) {
        let failure = failure.clone().at(self.output.server);
        self.output.printer.failure(&failure);
    }

    /// The end of the row.
    pub fn close(mut self) -> Result<(), Failure> {
        match self.output.format {
            Format::Json if self.is_several && self.written == 0 => {
                self.output.printer.answer("[]\n")?;
            }
            Format::Json if self.is_several => self.output.printer.answer("\n]\n")?,
            Format::Json | Format::Table | Format::Jsonl | Format::Csv => {}
        }
        self.output.printer.flush()?;
        self.hints.sort();
        self.hints.dedup();
        for hint in self.hints {
            self.output.printer.hint(&hint);
        }
        Ok(())
    }

    /// Two blank lines between tables; answers of a line stand close.
    fn apart(&self, table: String) -> String {
        if 0 < self.written && 1 < table.lines().count() {
            format!("\n\n{table}")
        } else {
            table
        }
    }

    /// A blank line between the parts of one whole.
    fn below(&self, table: &str) -> String {
        let gap = if 0 < self.written { "\n" } else { "" };
        format!("{gap}{table}")
    }

    fn document(&self, record: &Record) -> Result<String, Failure> {
        if self.output.format == Format::Jsonl {
            return Ok(compact(record)? + "\n");
        }
        let document = pretty(record)?;
        if !self.is_several {
            return Ok(document + "\n");
        }
        // JSON texts hold no line feed of their own, so every line of the document may be set in.
        let set_in = document.replace('\n', "\n  ");
        let before = if self.written == 0 { "[\n  " } else { ",\n  " };
        Ok(format!("{before}{set_in}"))
    }
}

fn failure_record(input: &str, failure: &Failure) -> Record {
    Record::new()
        .text("input", input)
        .text("reason", &failure.reason)
        .many("faults", &failure.faults, |fault| {
            let place = fault.place.clone().unwrap_or_default();
            let line = place.line.and_then(|line| i64::try_from(line).ok());
            Record::new()
                .field("line", line.map_or(Value::Absent, Value::Count))
                .text("thing", &place.thing)
                .text("key", &place.key)
                .text("field", &fault.field)
                .text("description", &fault.description)
        })
}

/// A field to a line, its name in front; of several things within, each to a line of its own.
fn fields(record: &Record) -> String {
    let mut table = Table::new(&[("Field", Side::Left), ("Value", Side::Left)]);
    for (name, values) in record.listed() {
        let names = std::iter::once(name).chain(std::iter::repeat(String::new()));
        let lines = values.iter().flat_map(|value| value_lines(value));
        for (name, value) in names.zip(lines) {
            table.row([name, value]);
        }
    }
    table.to_string()
}

/// A value that is too long for a line, broken after its commas; what carries it on is set in.
fn value_lines(value: &str) -> Vec<String> {
    let mut lines = vec![String::new()];
    for piece in value.split_inclusive(", ") {
        match lines.last_mut() {
            Some(line)
                if line.chars().count() + piece.trim_end().chars().count() <= VALUE_COLUMNS =>
            {
                line.push_str(piece);
            }
            _ => lines.push(format!("  {piece}")),
        }
    }
    lines.retain(|line| !line.is_empty());
    for line in &mut lines {
        line.truncate(line.trim_end().len());
    }
    lines
}

/// How long a value of a thing shown in full may be on a line.
const VALUE_COLUMNS: usize = 80;

fn listing<T: Noun>(things: &[T]) -> String {
    let headings: Vec<(&str, Side)> = T::COLUMNS
        .iter()
        .map(|column| (column.heading, column.side))
        .collect();
    let mut table = Table::new(&headings);
    for thing in things {
        table.row(T::COLUMNS.iter().map(|column| (column.show)(thing)));
    }
    table.to_string()
}

fn pretty(value: &impl Serialize) -> Result<String, Failure> {
    serde_json::to_string_pretty(value).map_err(|refusal| Failure::printing(&refusal.into()))
}

fn compact(value: &impl Serialize) -> Result<String, Failure> {
    serde_json::to_string(value).map_err(|refusal| Failure::printing(&refusal.into()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_value_is_broken_after_its_commas_and_loses_nothing() {
        assert_eq!(
            value_lines("id south, length_m 6.20"),
            ["id south, length_m 6.20"]
        );
        let fields: Vec<String> = (10..30).map(|at| format!("field_{at} 1.25")).collect();
        let long = fields.join(", ");
        let lines = value_lines(&long);
        assert_eq!(lines.len(), 4, "{lines:?}");
        assert!(lines.iter().all(|line| line.len() <= VALUE_COLUMNS));
        assert!(lines[1].starts_with("  field_"));
        let told: Vec<&str> = lines.iter().map(|line| line.trim()).collect();
        assert_eq!(told.join(" "), long);
        // What has no commas stays whole.
        let word = "x".repeat(VALUE_COLUMNS + 20);
        assert_eq!(value_lines(&word).concat().trim(), word);
    }
}
