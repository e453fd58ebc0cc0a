//! facade.
#![no_std]
extern crate alloc;
