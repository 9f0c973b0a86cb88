//! The rules of soil work, as tables worked by hand: shares and classes, what a jar cannot tell, sand to add, trials on
//! the bench and the limits they are held against.

mod jar;
mod laws;
mod rule_packs;
mod sand;
mod settling;
mod texture;
mod trials;
mod uncertainty;
