//! thermal-bridge.
#![no_std]
extern crate alloc;
