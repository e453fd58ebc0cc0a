//! standards.
#![no_std]
extern crate alloc;
