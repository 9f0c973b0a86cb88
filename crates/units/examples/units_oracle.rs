//! Answers conversions on stdin, a line each, so that an outside units library can judge the engine's own.
//!
//! A line is `kind|text|unit`: `length|20'4"|m`, `volume|5 yd3|L`. The answer is the number of that unit, in canonical
//! form, or `refused: ` and the reason. The line `currencies` is answered by a line for each currency, its code
//! and its decimals. A line that is not of this form ends the program with status 2.

use std::io::{BufRead, Write};
use std::process::ExitCode;

use hod_units::{
    Area, AreaUnit, Currency, Decimal, Density, DensityUnit, Length, LengthUnit, Mass, MassUnit,
    QuantityFault, Unit, Volume, VolumeUnit, canonical,
};

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
        let answer = match line.as_str() {
            "currencies" => currencies(),
            sum => conversion(sum).ok_or_else(|| format!("not understood: {sum}"))?,
        };
        writeln!(out, "{answer}")?;
    }
    out.flush()?;
    Ok(())
}

fn currencies() -> String {
    let line = |currency: Currency| format!("{} {}", currency.code(), currency.minor_units());
    Currency::all().map(line).collect::<Vec<_>>().join("\n")
}

fn conversion(line: &str) -> Option<String> {
    let fields: [&str; 3] = line.split('|').collect::<Vec<_>>().try_into().ok()?;
    let [kind, text, unit] = fields;
    let number =
        match kind {
            "length" => Length::parse(text, LengthUnit::Metre)
                .map(|of| of.to(LengthUnit::parse(unit).ok()?)),
            "area" => Area::parse(text, AreaUnit::SquareMetre)
                .map(|of| of.to(AreaUnit::parse(unit).ok()?)),
            "volume" => Volume::parse(text, VolumeUnit::CubicMetre)
                .map(|of| of.to(VolumeUnit::parse(unit).ok()?)),
            "mass" => {
                Mass::parse(text, MassUnit::Kilogram).map(|of| of.to(MassUnit::parse(unit).ok()?))
            }
            "density" => Density::parse(text, DensityUnit::KilogramPerCubicMetre)
                .map(|of| of.to(DensityUnit::parse(unit).ok()?)),
            _ => return None,
        };
    told(number)
}

/// `None` where the unit asked for is not one, or the number is too large for it.
fn told(number: Result<Option<Decimal>, QuantityFault>) -> Option<String> {
    match number {
        Ok(number) => number.map(canonical),
        Err(fault) => Some(format!("refused: {fault}")),
    }
}
