//! The text of a job file with its lines, and what the TOML reader could not make sense of, line by line.
//! A value on such a line is taken from the line itself, so that `1,000` is refused as a number with a comma in it and
//! not as a stray character.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, Error};

/// With more broken lines than this the text is no job file with slips in it.
const BROKEN_LINES_MAX: usize = 20;

const SECOND_KEY: &str = "this key stands here a second time; keep one of the two";

const SECOND_SECTION: &str = "this section stands here a second time; a job has one of it at the most, so keep one of the two";

/// A text and its lines.
pub(super) struct Source<'text> {
    text: &'text str,
    /// Where each line starts, in bytes.
    starts: Vec<usize>,
    /// What the TOML reader said of a line, by the line's number from 1; the first thing when it said several.
    broken: BTreeMap<usize, String>,
}

impl<'text> Source<'text> {
    /// Reads a text as far as it can be read.
    pub(super) fn parse(text: &'text str) -> (Self, Spanned<DeTable<'text>>) {
        let (table, refusals) = DeTable::parse_recoverable(text);
        let starts = std::iter::once(0)
            .chain(text.match_indices('\n').map(|(at, _)| at + 1))
            .collect();
        let mut source = Self {
            text,
            starts,
            broken: BTreeMap::new(),
        };
        for refusal in refusals {
            let line = source.line_of(&refusal);
            source
                .broken
                .entry(line)
                .or_insert_with(|| sentence(&refusal));
        }
        source.tell_second_sections_once();
        (source, table)
    }

    /// The line of a byte, from 1.
    pub(super) fn line(&self, at: usize) -> usize {
        self.starts.partition_point(|start| *start <= at)
    }

    /// What stands at a span, or, on a broken line, all that follows the first `=` up to a comment.
    pub(super) fn written(&self, span: Range<usize>) -> Written<'text> {
        let line = self.line(span.start);
        if self.broken.contains_key(&line) {
            let (_, value) = self.line_text(line).split_once('=').unwrap_or_default();
            let (value, _) = value.split_once('#').unwrap_or((value, ""));
            Written::Broken(value.trim())
        } else {
            Written::Whole(self.text.get(span).unwrap_or_default())
        }
    }

    /// The broken lines.
    pub(super) fn broken(&self) -> &BTreeMap<usize, String> {
        &self.broken
    }

    /// Whether so much is broken that the text is something else.
    pub(super) fn is_hopeless(&self) -> bool {
        BROKEN_LINES_MAX < self.broken.len()
    }

    /// Whether a line opens a section: when that is broken, what follows it was read into another.
    pub(super) fn is_header(&self, line: usize) -> bool {
        self.line_text(line).trim_start().starts_with('[')
    }

    /// What stands in a section that is there a second time is there a second time too: the section alone is told.
    fn tell_second_sections_once(&mut self) {
        let is_second = |line: &usize| self.is_header(*line) && self.broken[line] == SECOND_KEY;
        let seconds: Vec<usize> = self.broken.keys().copied().filter(is_second).collect();
        for header in seconds {
            self.broken.insert(header, SECOND_SECTION.to_owned());
            let mut below = header + 1..=self.starts.len();
            let end = below.find(|line| self.is_header(*line));
            let section = header + 1..end.unwrap_or(usize::MAX);
            self.broken
                .retain(|line, what| !section.contains(line) || what != SECOND_KEY);
        }
    }

    fn line_text(&self, line: usize) -> &'text str {
        let start = self.starts.get(line.saturating_sub(1)).copied();
        let text = start.and_then(|start| self.text.get(start..));
        text.and_then(|text| text.lines().next())
            .unwrap_or_default()
    }

    /// The TOML reader points behind what it missed, which may be the next line's start or the end of the text.
    fn line_of(&self, refusal: &Error) -> usize {
        let at = refusal.span().map_or(0, |span| span.start);
        let is_at_line_end = self.text[..at.min(self.text.len())].ends_with('\n') && 0 < at;
        self.line(if at == self.text.len() && is_at_line_end {
            at - 1
        } else {
            at
        })
    }
}

/// A value as it stands in the file.
pub(super) enum Written<'text> {
    /// On a line that the TOML reader could read: the value alone.
    Whole(&'text str),
    /// On a broken line: all that stands where the value should.
    Broken(&'text str),
}

fn sentence(refusal: &Error) -> String {
    match refusal.message() {
        "duplicate key" => SECOND_KEY.to_owned(),
        other => format!("not TOML: {other}"),
    }
}
