//! programme.
#![no_std]
extern crate alloc;
