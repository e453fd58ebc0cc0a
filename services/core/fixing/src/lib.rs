//! fixing.
#![no_std]
extern crate alloc;
