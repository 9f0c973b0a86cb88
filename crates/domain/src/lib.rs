//! The pure middle: values in, values out.
//!
//! The walls of a [`job`] are measured by [`geometry`] into a [`takeoff`]; a [`mix`] with its materials turns placed
//! volume into batches; the prices and rates of a [`region`], the labour constants of [`work`] and the crew turn
//! both into an [`estimate`], which [`build_up`] brings from direct cost to price. Every figure carries its
//! [`basis`], and everything that stands in the way is told at once as a [`fault`].
//!
//! Nothing here waits, reads a clock, a setting or a file, logs, or knows how values travel or are kept: the date
//! is an argument, and the same values give the same answer for ever.

pub mod basis;
pub mod build_up;
pub mod buying;
pub mod compare;
pub mod escalation;
pub mod estimate;
pub mod fault;
pub mod geometry;
pub mod id;
pub mod job;
pub mod library;
pub mod material;
pub mod mix;
pub mod price;
pub mod quote;
pub mod region;
pub mod rules;
pub mod site;
pub mod soil;
pub mod system;
pub mod takeoff;
pub mod text;
pub mod trial;
pub mod unit;
pub mod work;
