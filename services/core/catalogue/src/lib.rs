//! catalogue.
#![no_std]
extern crate alloc;
