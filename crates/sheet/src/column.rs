//! The columns of a price file: their names in the header, and which of them must be there.

use crate::fault::{FileFault, quoted};

macro_rules! columns {
    ($($(#[$doc:meta])* $name:ident $text:literal;)*) => {
        /// A column of a price file, in the order in which it is written.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Column {
            $($(#[$doc])* $name,)*
        }

        impl Column {
            /// All of them, as they are written from left to right.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];

            /// Its name in the header.
            pub const fn name(self) -> &'static str {
                match self {
                    $(Self::$name => $text,)*
                }
            }
        }
    };
}

columns! {
    /// The id of the region.
    Region "region";
    /// The id of the material.
    Material "material";
    /// Who sells at it.
    Supplier "supplier";
    /// The material's purchase unit.
    Unit "unit";
    /// Money per purchase unit before tax.
    UnitPrice "unit_price";
    /// First day in force.
    StartDate "start_date";
    /// Last day in force.
    EndDate "end_date";
    /// Whole packs of so much, in the purchase unit.
    PackSize "pack_size";
    /// The least that is sold, in the purchase unit.
    MinimumOrder "minimum_order";
    /// What the breaks lower: `all-units` or `incremental`.
    BreakRule "break_rule";
    /// From which quantity on which unit price holds: `10:4.80 20:4.50`.
    Breaks "breaks";
    /// Most loose volume of a load, m3.
    LoadVolume "load_m3";
    /// Most mass of a load, t.
    LoadMass "load_t";
    /// Most of a load in the purchase unit.
    LoadQuantity "load_quantity";
    /// Money for each load.
    ChargePerLoad "charge_per_load";
    /// Money for each load and kilometre.
    ChargePerKm "charge_per_km";
    /// Kilometres charged for a load.
    Distance "distance_km";
    /// Days from order to delivery.
    LeadDays "lead_days";
    /// Where it was read.
    Source "source";
    /// What else there is to know.
    Note "note";
    /// The id of the price within its region; made by the server when empty.
    Price "price";
}

/// Those without which no row is a price.
const NEEDED: &[Column] = &[
    Column::Region,
    Column::Material,
    Column::Unit,
    Column::UnitPrice,
    Column::StartDate,
];

/// What stands for a comma where people write their decimals with one.
const OTHER_DELIMITERS: &[(char, &str)] = &[(';', "semicolons"), ('\t', "tabs"), ('|', "bars")];

impl Column {
    fn parse(text: &str) -> Option<Self> {
        let text = text.trim().to_ascii_lowercase();
        Self::ALL
            .iter()
            .copied()
            .find(|column| column.name() == text)
    }
}

/// Which cell of a row is of which column.
#[derive(Debug)]
pub(crate) struct Header {
    /// By the place of the cell; none where the header has no name that is known.
    columns: Vec<Option<Column>>,
    /// By the place of the cell: whether the header says nothing there.
    unnamed: Vec<bool>,
}

impl Header {
    /// Reads the header row. Gives a header when every row under it can still be read.
    pub(crate) fn read(
        row: u32,
        names: &[String],
        told: &mut dyn FnMut(FileFault),
    ) -> Option<Self> {
        if let Some(fault) = wrong_delimiter(row, names) {
            told(fault);
            return None;
        }
        let columns: Vec<Option<Column>> = names.iter().map(|name| Column::parse(name)).collect();
        for (name, column) in names.iter().zip(&columns) {
            if column.is_none() && !name.trim().is_empty() {
                told(unknown(row, name));
            }
        }
        let mut is_whole = true;
        for column in Column::ALL {
            let count = columns.iter().flatten().filter(|c| *c == column).count();
            if 1 < count {
                is_whole = false;
                told(repeated(row, *column, count));
            } else if count == 0 && NEEDED.contains(column) {
                is_whole = false;
                told(missing(row, *column));
            }
        }
        let unnamed = names.iter().map(|name| name.trim().is_empty()).collect();
        is_whole.then_some(Self { columns, unnamed })
    }

    /// How many cells a row has.
    pub(crate) fn width(&self) -> usize {
        self.columns.len()
    }

    /// Whether the header says nothing over the cell.
    pub(crate) fn is_unnamed(&self, place: usize) -> bool {
        self.unnamed.get(place).copied().unwrap_or(true)
    }

    /// The column of a cell by its place.
    pub(crate) fn column(&self, place: usize) -> Option<Column> {
        self.columns.get(place).copied().flatten()
    }
}

/// One cell that holds the names of columns with something else than a comma between them.
fn wrong_delimiter(row: u32, names: &[String]) -> Option<FileFault> {
    let (delimiter, word) = OTHER_DELIMITERS.iter().find(|(delimiter, _)| {
        let cells = names.iter().flat_map(|name| name.split(*delimiter));
        let is_split = names.iter().any(|name| name.contains(*delimiter));
        is_split && 1 < cells.filter(|cell| Column::parse(cell).is_some()).count()
    })?;
    Some(FileFault::of_row(
        row,
        "WRONG_DELIMITER",
        format!(
            "the header has {word} ({delimiter:?}) between its columns where commas are expected; \
             save the file as comma-separated values with a decimal point, or as a workbook"
        ),
    ))
}

fn unknown(row: u32, name: &str) -> FileFault {
    let known: Vec<&str> = Column::ALL.iter().map(|column| column.name()).collect();
    FileFault {
        row,
        column: name.trim().chars().take(60).collect(),
        reason: "UNKNOWN_COLUMN",
        message: format!(
            "{} is not a column of a price file; take it out, or name it one of {}",
            quoted(name),
            known.join(", ")
        ),
    }
}

fn repeated(row: u32, column: Column, count: usize) -> FileFault {
    FileFault::of_cell(
        row,
        column,
        "REPEATED_COLUMN",
        format!(
            "the header names {} {count} times; keep one of these columns",
            column.name()
        ),
    )
}

fn missing(row: u32, column: Column) -> FileFault {
    FileFault::of_cell(
        row,
        column,
        "MISSING_COLUMN",
        format!(
            "the header has no column {}; every price needs one, so add it",
            column.name()
        ),
    )
}
