//! The exact geometry of walls, from outside: tables worked by hand, laws, an independent reckoning, and every refusal.

mod drawings;
mod faults;
mod junctions;
mod laws;
mod reckoning;
mod worked;
