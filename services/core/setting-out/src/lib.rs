//! setting-out.
#![no_std]
extern crate alloc;
