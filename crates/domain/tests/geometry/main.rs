//! The exact geometry of walls, from outside: tables worked by hand, laws, and every refusal.

#![expect(
    clippy::disallowed_methods,
    reason = "the checks reckon with the machine's own sine and tangent, to share nothing with what they check"
)]

mod covered;
mod drawings;
mod enclosed;
mod faults;
mod junctions;
mod laws;
mod openings;
mod stems;
mod worked;
mod zones;

use hod_domain::geometry;
