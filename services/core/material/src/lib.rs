//! material.
#![no_std]
extern crate alloc;
