//! The calls, each a plain function of the same five lines: parse, resolve, compute, explain, encode.
//!
//! They know neither socket nor clock: the server's shell and the command line without a server both end here.

mod assess;
mod catalogue;
mod design;
mod estimate;
mod physics;
mod take_off;

pub use assess::assess;
pub use catalogue::{check, get_article, list_articles, list_systems};
pub use design::design;
pub use estimate::estimate;
pub(crate) use physics::Said;
pub use physics::{bridge, drying, dynamics, economy, list_details, saving, wall};
pub use take_off::take_off;
