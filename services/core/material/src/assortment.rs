//! All articles of one branch at one moment.

use alloc::collections::BTreeMap;
use alloc::string::String;

use quantity::Currency;

use crate::{
    Accessory, Adhesive, Anchor, BaseProfile, Bead, Board, Finish, Foam, Hygric, Mesh, Mortar,
    MountingElement, Plate, Plug, Primer, SealingStrip, System, Waterproofing,
};

/// All articles of one branch at one moment, by their key without the kind (`eps-grey`, not `board.eps-grey`).
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)] // each map holds the kind that it is named after
pub struct Assortment {
    /// The branch or catalogue name.
    pub name: String,
    /// A hash of the normalised content.
    pub revision: String,
    /// The currency of every price.
    pub currency: Currency,
    pub boards: BTreeMap<String, Board>,
    pub mortars: BTreeMap<String, Mortar>,
    pub meshes: BTreeMap<String, Mesh>,
    pub beads: BTreeMap<String, Bead>,
    pub base_profiles: BTreeMap<String, BaseProfile>,
    pub accessories: BTreeMap<String, Accessory>,
    pub anchors: BTreeMap<String, Anchor>,
    pub plates: BTreeMap<String, Plate>,
    pub plugs: BTreeMap<String, Plug>,
    pub foams: BTreeMap<String, Foam>,
    pub sealing_strips: BTreeMap<String, SealingStrip>,
    pub waterproofings: BTreeMap<String, Waterproofing>,
    pub primers: BTreeMap<String, Primer>,
    pub finishes: BTreeMap<String, Finish>,
    pub mounting_elements: BTreeMap<String, MountingElement>,
    pub adhesives: BTreeMap<String, Adhesive>,
    pub hygrics: BTreeMap<String, Hygric>,
    pub systems: BTreeMap<String, System>,
}

impl Assortment {
    /// An assortment without articles.
    pub fn empty(name: impl Into<String>, currency: Currency) -> Self {
        Self {
            name: name.into(),
            revision: String::new(),
            currency,
            boards: BTreeMap::new(),
            mortars: BTreeMap::new(),
            meshes: BTreeMap::new(),
            beads: BTreeMap::new(),
            base_profiles: BTreeMap::new(),
            accessories: BTreeMap::new(),
            anchors: BTreeMap::new(),
            plates: BTreeMap::new(),
            plugs: BTreeMap::new(),
            foams: BTreeMap::new(),
            sealing_strips: BTreeMap::new(),
            waterproofings: BTreeMap::new(),
            primers: BTreeMap::new(),
            finishes: BTreeMap::new(),
            mounting_elements: BTreeMap::new(),
            adhesives: BTreeMap::new(),
            hygrics: BTreeMap::new(),
            systems: BTreeMap::new(),
        }
    }
}
