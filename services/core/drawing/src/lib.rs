//! drawing.
#![no_std]
extern crate alloc;
