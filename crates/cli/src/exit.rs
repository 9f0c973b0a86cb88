//! The codes with which `hod` ends, each with its sentence: the one place that both the program and its help read.
//! Which fault gets which code is for `fault` and for the commands to say.

/// All that was asked is done.
pub const DONE: u8 = 0;
/// Something that should not happen: a fault of the program, of the server or of the machine.
pub const UNEXPECTED: u8 = 1;
/// The command line is not one that `hod` knows.
pub const USAGE: u8 = 2;
/// Refused: the job file or a value has faults, or a rule says no.
pub const REFUSED: u8 = 3;
/// Something named is not there: a file, a job, a mix, a price in force on the date.
pub const MISSING: u8 = 4;
/// No server answered, or it did not let us in.
pub const NO_SERVER: u8 = 5;
/// Somebody else changed it since it was read.
pub const CHANGED: u8 = 6;

/// Every code with what it means, as the help shows it.
pub const MEANINGS: [(u8, &str); 7] = [
    (DONE, "done"),
    (
        UNEXPECTED,
        "unexpected: a fault of the program, the server or the machine",
    ),
    (USAGE, "the command line is not one that hod knows"),
    (
        REFUSED,
        "refused: faults in the job file or in a value, or a rule says no",
    ),
    (
        MISSING,
        "something named is not there: a file, a job, a mix, a price in force on the date",
    ),
    (NO_SERVER, "no server answered, or it did not let us in"),
    (
        CHANGED,
        "somebody else changed it since it was read: read it again, then repeat",
    ),
];

/// The codes as a section of the help.
pub fn help() -> String {
    let mut text = String::from("Exit codes:\n");
    for (code, meaning) in MEANINGS {
        text.push_str(&format!("  {code}  {meaning}\n"));
    }
    text.push_str("\nWith several jobs the code is that of the first one that failed.");
    text
}
