//! The kinds of article, one table each: its keys, and how the material is made of them.

mod anchor;
mod board;
mod coating;
mod hygric;
mod linear;
mod part;
mod system;

pub(crate) use anchor::{AnchorEntry, PlateEntry, PlugEntry};
pub(crate) use board::BoardEntry;
pub(crate) use coating::{FinishEntry, MortarEntry, PrimerEntry, WaterproofingEntry};
pub(crate) use hygric::HygricEntry;
pub(crate) use linear::{BaseProfileEntry, BeadEntry, MeshEntry, SealingStripEntry};
pub(crate) use part::{AccessoryEntry, AdhesiveEntry, FoamEntry, MountingElementEntry};
pub(crate) use system::SystemEntry;
