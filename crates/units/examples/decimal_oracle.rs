//! Answers sums on stdin, a line each, so that outside decimal arithmetic can judge the engine's own.
//! The operations are those that the engine uses: checked sums of decimals, the one rounding function, the split.
//!
//! A line is `operation operand operand places rounding`, `-` standing for what is not needed:
//! `round 2.345 - 2 half_up`, `multiply 1.1 2.2 - -`, `divide 1 3 9 half_even`, `split 100 3:2:2 0 -`,
//! `read 6.20 - - -`, `fixed 1.5 - 2 -`. The answer is the canonical number, shares joined by `:`,
//! or `none` where the engine declines. A line that is not of this form ends the program with status 2.

use std::io::{BufRead, Write};
use std::process::ExitCode;

use hod_units::{Decimal, Rounding, canonical, fixed, parse_decimal, round, split};

fn main() -> ExitCode {
    match answer_all() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            let _ = writeln!(std::io::stderr(), "{error}");
            ExitCode::from(2)
        }
    }
}

fn answer_all() -> Result<(), Box<dyn std::error::Error>> {
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    for line in std::io::stdin().lock().lines() {
        let line = line?;
        let answer = answer(&line).ok_or_else(|| format!("not understood: {line}"))?;
        writeln!(out, "{}", answer.unwrap_or_else(|| "none".to_owned()))?;
    }
    out.flush()?;
    Ok(())
}

/// `None` for a line that is not of the form; `Some(None)` where the engine declines the sum.
fn answer(line: &str) -> Option<Option<String>> {
    let fields: [&str; 5] = line.split(' ').collect::<Vec<_>>().try_into().ok()?;
    let [operation, left, right, places, rounding] = fields;
    if operation == "read" {
        return Some(parse_decimal(left).ok().map(canonical));
    }
    let left = exact(left)?;
    if operation == "fixed" {
        return Some(Some(fixed(left, places.parse().ok()?)));
    }
    if operation == "split" {
        let weights = right.split(':').map(exact).collect::<Option<Vec<_>>>()?;
        return Some(split(left, &weights, places.parse().ok()?).map(joined));
    }
    let value = match operation {
        "round" => Some(left),
        "add" => left.checked_add(exact(right)?),
        "subtract" => left.checked_sub(exact(right)?),
        "multiply" => left.checked_mul(exact(right)?),
        "divide" => left.checked_div(exact(right)?),
        _ => return None,
    };
    let rounded = match rounding {
        "-" => value,
        how => {
            let (places, how) = (places.parse().ok()?, rounding_named(how)?);
            value.map(|value| round(value, places, how))
        }
    };
    Some(rounded.map(canonical))
}

/// The vectors have operands longer than people may write, so they are not read by `parse_decimal`.
fn exact(text: &str) -> Option<Decimal> {
    Decimal::from_str_exact(text).ok()
}

fn rounding_named(name: &str) -> Option<Rounding> {
    match name {
        "half_up" => Some(Rounding::HalfAwayFromZero),
        "half_even" => Some(Rounding::HalfToEven),
        "down" => Some(Rounding::Down),
        _ => None,
    }
}

fn joined(shares: Vec<Decimal>) -> String {
    shares
        .into_iter()
        .map(canonical)
        .collect::<Vec<_>>()
        .join(":")
}
