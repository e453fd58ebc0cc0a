//! What a system is made of: boards, mortars, mesh, beads, profiles, anchors, primers, finishes and the packs they come in.
//!
//! Plain data with units in its types. It does not know where the data came from (that is `catalogue`), nor what is done with
//! it (that is `takeoff`, `thermal` and `fixing`). Articles are generic: no maker, no brand.
//!
//! ```
//! use material::{Pack, Unit};
//! let bag = Pack::new("bag", 25.0, Unit::Kilogram);
//! assert_eq!(bag.unit.code(), "KGM");
//! assert_eq!(bag.packs_for(51.0), Some(3));
//! ```
#![no_std]
extern crate alloc;

mod anchor;
mod assortment;
mod board;
mod coating;
mod hygric;
mod linear;
mod pack;
mod system;

pub use anchor::{Anchor, AnchorLength, BaseCategory, BaseResistance, Plate, Plug, Setting};
pub use assortment::Assortment;
pub use board::{Board, BoardThickness, Exposure, Rotation};
pub use coating::{BaseCoatUse, BondingUse, Finish, Mortar, Primer, Waterproofing};
pub use hygric::Hygric;
pub use linear::{BaseProfile, Bead, BeadUse, LinearStock, Mesh, ProfileSize, SealingStrip};
pub use pack::{Article, Pack, Supply, Unit};
pub use system::{
    Accessory, Adhesive, Attachment, Foam, LoadClass, MountingElement, PlateResistance, System,
};
