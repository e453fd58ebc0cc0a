//! working.
#![no_std]
extern crate alloc;
