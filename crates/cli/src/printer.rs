//! The one way out: the answer on standard output, all talk on standard error.
//! Colour only where somebody looks on and has not said `NO_COLOR`, and never with a meaning of its own.

use std::io::{self, BufWriter, IsTerminal, Write};

use anstream::{AutoStream, ColorChoice};
use clap::builder::styling::{AnsiColor, Style};

use crate::fault::Failure;
use crate::text::{counted, plain};

/// Most faults told of one thing. A file with more has one cause, and its first lines show it.
const FAULTS_TOLD_MAX: usize = 100;

const ERROR: Style = AnsiColor::Red.on_default().bold();
const HINT: Style = AnsiColor::Cyan.on_default().bold();

/// Where answers and talk go.
pub struct Printer {
    answer: Box<dyn Write>,
    talk: Box<dyn Write>,
    is_watched: bool,
    has_colour: bool,
}

impl Printer {
    /// To the streams of this process.
    pub fn to_process() -> Self {
        let stdout = io::stdout();
        Self {
            has_colour: AutoStream::choice(&stdout) != ColorChoice::Never,
            answer: Box::new(BufWriter::new(stdout)),
            talk: Box::new(anstream::stderr()),
            is_watched: io::stderr().is_terminal(),
        }
    }

    /// Whether somebody looks on, so that a progress bar makes sense.
    pub fn is_watched(&self) -> bool {
        self.is_watched
    }

    /// A part of the answer, as it is.
    pub fn answer(&mut self, text: &str) -> Result<(), Failure> {
        self.answer_bytes(text.as_bytes())
    }

    /// A part of an answer that is a file.
    pub fn answer_bytes(&mut self, bytes: &[u8]) -> Result<(), Failure> {
        self.answer
            .write_all(bytes)
            .map_err(|refusal| Failure::printing(&refusal))
    }

    /// Help or version, which come with their own colours.
    pub fn help(&mut self, text: &clap::builder::StyledStr) -> Result<(), Failure> {
        if self.has_colour {
            self.answer(&text.ansi().to_string())
        } else {
            self.answer(&text.to_string())
        }
    }

    /// Sends out what has been printed so far.
    pub fn flush(&mut self) -> Result<(), Failure> {
        self.answer
            .flush()
            .map_err(|refusal| Failure::printing(&refusal))
    }

    /// A line of talk.
    pub fn say(&mut self, line: &str) {
        self.talk_line(&plain(line));
    }

    /// A usage fault, in the words of the command-line reader.
    pub fn usage(&mut self, text: &clap::builder::StyledStr) {
        let told = text.ansi().to_string();
        self.talk_line(told.trim_end());
    }

    /// Every fault of a failure on a line of its own, then the next step.
    pub fn failure(&mut self, failure: &Failure) {
        for fault in failure.faults.iter().take(FAULTS_TOLD_MAX) {
            self.talk_line(&format!(
                "{ERROR}error:{ERROR:#} {}",
                plain(&fault.to_string())
            ));
        }
        if let Some(more @ 1..) = failure.faults.len().checked_sub(FAULTS_TOLD_MAX) {
            self.talk_line(&format!(
                "{ERROR}error:{ERROR:#} and {}",
                counted(more, "more fault", "more faults")
            ));
        }
        if let Some(hint) = &failure.hint {
            self.hint(hint);
        }
    }

    /// A next step.
    pub fn hint(&mut self, hint: &str) {
        self.talk_line(&format!("{HINT}hint:{HINT:#} {}", plain(hint)));
    }

    /// When even standard error cannot be written to there is nobody left to tell, and nothing to do about it.
    fn talk_line(&mut self, line: &str) {
        let _nobody_left_to_tell = writeln!(self.talk, "{line}");
    }
}
