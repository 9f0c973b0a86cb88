//! The command line: parse, call, print.
//!
//! It sees the contract and the units and nothing behind them, so it can read `20'4"` and cannot reckon a wall.
//! Commands are in `command`, a file to each noun; the job file is read in `job_file`; how answers look is in
//! `render` and `noun`; all that is printed goes through `printer`.

pub mod command;
pub mod connect;
pub mod exit;
pub mod fault;
pub mod job_file;
pub mod name;
pub mod noun;
pub mod output;
pub mod printer;
pub mod render;
pub mod rule_file;
pub mod text;
pub mod word;

use std::ffi::OsString;

use clap::Parser;
use clap::error::ErrorKind;

use command::{Command, Context};
use connect::Access;
use fault::Failure;
use output::{Format, Output};
use printer::Printer;

/// Quantities, batches, labour-hours and a price for walls of earth, from their drawings.
#[derive(Debug, Parser)]
#[command(
    name = "hod",
    version,
    before_help = "Example: hod estimate studio.toml --on 2026-05-01",
    after_help = exit::help(),
    after_long_help = environment_help() + "\n\n" + &exit::help(),
    subcommand_required = true,
    arg_required_else_help = true,
    disable_help_subcommand = true
)]
pub struct Arguments {
    /// How the answer is written: table, json, jsonl or csv.
    #[arg(
        long,
        global = true,
        value_enum,
        default_value_t = Format::Table,
        hide_possible_values = true,
        help_heading = "Everywhere",
        display_order = 900
    )]
    pub format: Format,
    /// Where the server is.
    #[arg(
        long,
        global = true,
        env = "HOD_SERVER",
        value_name = "HOST:PORT",
        default_value = "127.0.0.1:7370",
        help_heading = "Everywhere",
        display_order = 901
    )]
    pub server: String,
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What the environment says, beside what flags say.
fn environment_help() -> String {
    "Environment:\n  \
     HOD_SERVER           where the server is, as --server\n  \
     HOD_TOKEN            the token to enter with; else the owner's, HOD_DATA/owner-token\n  \
     HOD_DATA             the server's data folder; else /var/lib/hod for root, and\n  \
     \u{20}                    XDG_DATA_HOME/hod or ~/.local/share/hod for anybody else\n  \
     HOD_TLS_CA           what signs the server's certificate (PEM), for https://HOST:PORT\n  \
     HOD_TLS_CLIENT_CERT  our own certificate, where the server asks for one, and its\n  \
     HOD_TLS_CLIENT_KEY   key (PEM)\n  \
     NO_COLOR             no colour, wherever it is printed"
        .to_owned()
}

/// Does what the arguments say and gives the exit code. `access` says how the server is entered; the address in it
/// is replaced by the one the arguments give.
pub fn run(
    arguments: impl IntoIterator<Item = OsString>,
    access: Access,
    printer: &mut Printer,
) -> u8 {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(refusal) => return told(&refusal, printer),
    };
    let access = Access {
        server: arguments.server,
        ..access
    };
    let context = Context {
        access: &access,
        output: Output::new(printer, arguments.format, &access.server),
    };
    let done = arguments.command.run(context);
    let done = done.and_then(|()| printer.flush());
    match done {
        Ok(()) => exit::DONE,
        Err(failure) => {
            let failure = failure.at(&access.server);
            printer.failure(&failure);
            failure.code
        }
    }
}

/// Help and version are answers; all else that the reader of arguments says is a usage fault.
fn told(refusal: &clap::Error, printer: &mut Printer) -> u8 {
    let text = refusal.render();
    let printed: Result<u8, Failure> = match refusal.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => printer
            .help(&text)
            .and_then(|()| printer.flush())
            .map(|()| exit::DONE),
        _ => {
            printer.usage(&text);
            Ok(exit::USAGE)
        }
    };
    printed.unwrap_or_else(|failure| failure.code)
}
