//! TOML text to materials: read, overlay, complete, complain with file and line.
//!
//! A *catalogue* is a folder with a `catalogue.toml` and any number of other files. It may extend one other catalogue and
//! then holds only what differs: a branch is a folder with prices and stock. This crate is handed the texts; it never touches
//! a disk, and it knows neither a request nor what is computed with a material.
//!
//! ```
//! use catalogue::{Catalogues, SourceFile};
//! let text = "format = 1\n[catalogue]\nname = \"town\"\ncurrency = \"EUR\"\n\
//!             [foam.gun]\nname = \"Foam\"\nsource = \"demo value\"\nyield = 40\npack-litres = 0.75\n";
//! let catalogues = Catalogues::read(vec![SourceFile::new("town/catalogue.toml", text)]);
//! let faults = catalogues.assemble("town").unwrap_err();
//! assert_eq!(faults[0].line, 8);
//! assert_eq!(faults[0].help.as_deref(), Some("the key says its unit: `yield-l-per-l`"));
//! ```
#![no_std]
extern crate alloc;

mod source;

mod fault;
mod nearest;

mod complete;
mod entry;
mod json;
mod value;

mod articles;
mod kinds;
mod read;

mod together;

mod revision;

mod assemble;
mod schema;

pub mod rules;

pub use assemble::{Assembly, Catalogues, Origin};
pub use fault::{CatalogueFault, Fact};
pub use schema::catalogue_schema;
pub use source::SourceFile;
