//! moisture-transport.
#![no_std]
extern crate alloc;
