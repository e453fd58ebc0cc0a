//! estimate.
#![no_std]
extern crate alloc;
