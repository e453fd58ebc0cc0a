//! takeoff.
#![no_std]
extern crate alloc;
