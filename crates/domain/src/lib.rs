//! The pure middle: values in, values out.

pub mod geometry;
