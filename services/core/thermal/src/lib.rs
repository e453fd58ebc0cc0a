//! thermal.
#![no_std]
extern crate alloc;
