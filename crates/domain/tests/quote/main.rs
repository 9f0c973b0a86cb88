//! What a client is sent, what becomes of it, and what changed between two estimates: tables worked by hand, and laws that
//! hold of all prices.

mod compare;
mod compare_hours;
mod laws;
mod offer;
mod payment;
mod provisional;
mod sample;
mod state;
mod variation;
