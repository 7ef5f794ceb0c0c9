//! Laws that hold for any input, tried on many.

mod metrology;
mod syntax;
