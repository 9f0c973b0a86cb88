//! How answers look: as tables for people, as JSON and CSV for programs.

pub mod basis;
pub mod csv;
pub mod estimate;
pub mod figure;
pub mod record;
pub mod shown;
pub mod summary;
pub mod table;
pub mod takeoff;
