//! The migrations are built into the program, so a new one has to build it again.

fn main() {
    println!("cargo::rerun-if-changed=../../migrations");
}
