//! The rules of buying and of money that moves, as tables worked by hand and as laws that hold for all prices: what is
//! ordered, breaks, loads, who is bought from, orders of several jobs, what a price and a rate must hold, how they change,
//! and prices that follow an index.

mod breaks;
mod change;
mod chosen;
mod escalated;
mod faults;
mod jobs;
mod laws;
mod loaded;
mod loads;
mod ordered;
#[path = "../rules/sample.rs"]
#[allow(dead_code, reason = "the tests of the rules use all of it")]
mod sample;
mod shop;
mod sources;
