//! What a takeoff is made from: the building, the parts of the system, and what other engines found.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{Building, Flatness};
use material::{
    Accessory, Adhesive, Anchor, Assortment, BaseProfile, Bead, Board, Finish, Foam, Mesh, Mortar,
    MountingElement, Plate, Plug, Primer, SealingStrip, System, Waterproofing,
};
use quantity::{Area, Length, Mm, Temperature};
use working::{Fault, Faults};

use crate::measurement::MeasurementRules;

/// How the boards are bonded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Bonding {
    /// A bead round the board and dabs.
    #[default]
    BeadAndDab,
    /// The whole face with a notched trowel.
    FullBed,
}

impl Bonding {
    /// How a board is bonded: the whole face where its least bonded share is 1; else as asked for; else the whole face on a wall
    /// that was measured flat.
    pub fn of(
        board: &Board,
        asked: Option<Self>,
        flatness: Option<Flatness>,
        practice: &Practice,
    ) -> Self {
        let flat = flatness
            .is_some_and(|f| f.gap <= practice.flat_up_to && f.straightedge >= practice.flat_over);
        match asked {
            _ if board.bonded_share_min >= 1.0 => Self::FullBed,
            Some(method) => method,
            None if flat => Self::FullBed,
            None => Self::BeadAndDab,
        }
    }
}

/// What a board is laid for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BoardRole {
    /// The facade above the base line.
    Facade,
    /// The plinth and below ground.
    Plinth,
    /// Fire-barrier strips.
    Barrier,
    /// Jambs, heads and sills.
    Reveal,
}

impl BoardRole {
    /// In words.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Facade => "facade",
            Self::Plinth => "plinth",
            Self::Barrier => "fire barriers",
            Self::Reveal => "reveals",
        }
    }
}

/// What the design of the bond asks of the boards of one role.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BondNeed {
    /// What they are laid for.
    pub role: BoardRole,
    /// The least share of their backs to be bonded.
    pub share: f64,
    /// How they are bonded at least.
    pub method: Bonding,
}

/// What the setting-out needs of one board and thickness in one role.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardNeed {
    /// The board's key in the assortment.
    pub board: String,
    /// What it is laid for.
    pub role: BoardRole,
    /// Thickness.
    pub thickness: Mm,
    /// Whole boards that the pieces are cut from.
    pub boards: u64,
    /// No layout can take fewer boards than this.
    pub bound: u64,
    /// Area of the laid pieces.
    pub net_area: Area,
    /// The same by facade, by its id.
    pub by_facade: Vec<(String, Area)>,
    /// By facade, what finds no room for its share of anchors and is bonded over its whole face.
    pub unanchored: Vec<(String, Area)>,
    /// Area of usable offcuts left over.
    pub offcut_area: Area,
    /// Area of scrap and saw cuts.
    pub scrap_area: Area,
    /// Number of cuts.
    pub cuts: u64,
    /// Length of the joints between laid pieces.
    pub joint_length: Length,
    /// The usable offcuts one by one; reveal strips of the same board and thickness are cut from them first.
    pub leftovers: Vec<Leftover>,
}

/// A rectangle left of a board and large enough to use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Leftover {
    /// Along the board.
    pub width: Mm,
    /// Across the board.
    pub height: Mm,
}

/// What the setting-out found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Laid {
    /// Boards by board, thickness and role.
    pub boards: Vec<BoardNeed>,
}

/// What the fixing design found for one facade and zone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AnchorNeed {
    /// The anchor's key in the assortment.
    pub anchor: String,
    /// The stocked length.
    pub length: Mm,
    /// How many.
    pub count: u64,
    /// Facade and zone in words, such as `F1, zone A`.
    pub zone: String,
    /// Whether each takes the system's wider plate.
    pub plate: Fitting,
    /// Whether each takes the system's plug or cap.
    pub plug: Fitting,
}

/// Whether a part goes with another.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Fitting {
    /// Without.
    #[default]
    Without,
    /// With.
    With,
}

/// A joint that is sealed with a strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SealedJoint {
    /// Under window sills, and at their ends from the frame to the face of the boards.
    Sill,
    /// At frames, on jambs and head.
    Frame,
    /// At an abutting building.
    Abutting,
    /// At eaves and verge.
    Eaves,
}

/// Rules of site practice. The defaults are common practice without a source.
#[derive(Clone, Debug, PartialEq)]
pub struct Practice {
    /// Where they come from, for the sheet.
    pub source: String,
    /// A wall with no greater gap under the straightedge is flat: boards are bonded over their whole face.
    pub flat_up_to: Mm,
    /// A shorter straightedge says nothing about that.
    pub flat_over: Mm,
    /// The share of a board's back that bead and dabs cover, or the board's least bonded share where that is more.
    pub bead_and_dab_share: f64,
    /// Share of the board joints that have a gap to be foamed.
    pub foamed_joint_share: f64,
    /// Width of such a gap.
    pub foamed_gap: Length,
    /// Packers for each fixing of a base profile.
    pub packers_per_fixing: f64,
    /// Width of a cut through a bar.
    pub bar_kerf: Mm,
    /// The shortest piece of a bar that is fixed.
    pub bar_piece_min: Mm,
    /// The shortest rest of a bar that a run longer than a bar is pieced from, where that buys less. What a bar holds is never pieced.
    pub bar_rest_min: Mm,
    /// The shortest part of a reveal strip that is jointed lengthwise.
    pub reveal_part_min: Mm,
    /// How far the waterproofing over the boards rises above finished ground.
    pub waterproofing_rise: Mm,
    /// Joints sealed with a strip; frames only where the system has no frame bead.
    pub sealed: Vec<SealedJoint>,
    /// Height of the splash zone above finished ground.
    pub splash_zone: Mm,
    /// Least distance of the base profile above a walkway.
    pub base_above_walkway: Mm,
    /// Coldest air and substrate for wet work.
    pub work_from: Temperature,
    /// Warmest air and substrate for wet work.
    pub work_to: Temperature,
    /// Steps of the search for each cutting plan.
    pub cutting_budget: u32,
}

impl Default for Practice {
    fn default() -> Self {
        Self {
            source: String::from("common practice, no source"),
            flat_up_to: Mm(3),
            flat_over: Mm(1000),
            bead_and_dab_share: 0.5,
            foamed_joint_share: 0.10,
            foamed_gap: Length::from_mm(3.0),
            packers_per_fixing: 1.0,
            bar_kerf: Mm(2),
            bar_piece_min: Mm(200),
            bar_rest_min: Mm(500),
            reveal_part_min: Mm(100),
            waterproofing_rise: Mm(50),
            sealed: alloc::vec![
                SealedJoint::Sill,
                SealedJoint::Frame,
                SealedJoint::Abutting,
                SealedJoint::Eaves
            ],
            splash_zone: Mm(300),
            base_above_walkway: Mm(10),
            work_from: Temperature::from_celsius(5.0),
            work_to: Temperature::from_celsius(30.0),
            cutting_budget: crate::cutting::BUDGET,
        }
    }
}

/// What is known of the finish's colour and of the weather at work.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Site {
    /// Light reflection index of the finish's colour, 0 to 100.
    pub reflection_index: Option<f64>,
    /// Total solar reflectance of the finish, 0 to 100.
    pub solar_reflectance: Option<f64>,
    /// Lowest air or substrate temperature expected during wet work.
    pub coldest: Option<Temperature>,
    /// Highest air or substrate temperature expected during wet work.
    pub warmest: Option<Temperature>,
}

/// The parts of one system, each found in the assortment.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // each field holds the kind that it is named after
pub struct Parts<'a> {
    pub assortment: &'a Assortment,
    pub system: &'a System,
    pub board: &'a Board,
    pub plinth_board: Option<&'a Board>,
    pub bonding_mortar: &'a Mortar,
    pub base_coat_mortar: &'a Mortar,
    pub mesh: &'a Mesh,
    pub beads: Vec<&'a Bead>,
    pub base_profile: Option<&'a BaseProfile>,
    pub profile_fixing: Option<&'a Accessory>,
    pub profile_joiner: Option<&'a Accessory>,
    pub profile_packer: Option<&'a Accessory>,
    pub anchors: Vec<&'a Anchor>,
    pub plate: Option<&'a Plate>,
    pub plug: Option<&'a Plug>,
    pub foam: Option<&'a Foam>,
    pub sealing_strip: Option<&'a SealingStrip>,
    pub waterproofing: Option<&'a Waterproofing>,
    pub elements: Vec<&'a MountingElement>,
    pub adhesive: Option<&'a Adhesive>,
    pub primer: &'a Primer,
    pub finish: &'a Finish,
}

/// Finds an article by its key, with or without the kind before a dot.
pub(crate) fn find<'a, T>(
    map: &'a alloc::collections::BTreeMap<String, T>,
    key: &str,
) -> Option<&'a T> {
    map.get(key)
        .or_else(|| key.split_once('.').and_then(|(_, bare)| map.get(bare)))
}

impl<'a> Parts<'a> {
    /// The parts of the system under `key`, with its usual finish or the one named.
    ///
    /// # Errors
    /// Every article that the assortment lacks, at once.
    pub fn resolve(
        assortment: &'a Assortment,
        key: &str,
        finish: Option<&str>,
    ) -> Result<Self, Vec<Fault>> {
        let mut faults = Faults::new();
        let Some(system) = find(&assortment.systems, key) else {
            faults.add(
                "system",
                "UNKNOWN_ARTICLE",
                format!("`{key}`"),
                "a system of the assortment",
            );
            return Err(faults.into_list());
        };
        let (a, s) = (assortment, system);
        let mut look = Lookup { faults, key };
        let finish = finish.or(s.finishes.first().map(String::as_str));
        let required = Found {
            board: look.one(&a.boards, "board", &s.board),
            bonding_mortar: look.one(&a.mortars, "bonding-mortar", &s.bonding_mortar),
            base_coat_mortar: look.one(&a.mortars, "base-coat-mortar", &s.base_coat_mortar),
            mesh: look.one(&a.meshes, "mesh", &s.mesh),
            primer: look.one(&a.primers, "primer", &s.primer),
            finish: look.one(&a.finishes, "finishes", finish.unwrap_or("")),
        };
        let parts = Self {
            assortment,
            system,
            plinth_board: look.maybe(&a.boards, "plinth-board", s.plinth_board.as_ref()),
            beads: look.all(&a.beads, "beads", &s.beads),
            base_profile: look.maybe(&a.base_profiles, "base-profile", s.base_profile.as_ref()),
            profile_fixing: look.maybe(&a.accessories, "profile-fixing", s.profile_fixing.as_ref()),
            profile_joiner: look.maybe(&a.accessories, "profile-joiner", s.profile_joiner.as_ref()),
            profile_packer: look.maybe(&a.accessories, "profile-packer", s.profile_packer.as_ref()),
            anchors: look.all(&a.anchors, "anchors", &s.anchors),
            plate: look.maybe(&a.plates, "plate", s.plate.as_ref()),
            plug: look.maybe(&a.plugs, "plug", s.plug.as_ref()),
            foam: look.maybe(&a.foams, "foam", s.foam.as_ref()),
            sealing_strip: look.maybe(&a.sealing_strips, "sealing-strip", s.sealing_strip.as_ref()),
            waterproofing: look.maybe(&a.waterproofings, "waterproofing", s.waterproofing.as_ref()),
            elements: look.all(
                &a.mounting_elements,
                "mounting-elements",
                &s.mounting_elements,
            ),
            adhesive: look.maybe(
                &a.adhesives,
                "mounting-adhesive",
                s.mounting_adhesive.as_ref(),
            ),
            // Read last, so that a missing part does not hide the others.
            ..match required.whole(assortment, system) {
                Some(parts) => parts,
                None => return Err(look.faults.into_list()),
            }
        };
        look.faults.or(parts)
    }
}

/// The parts that no system goes without.
struct Found<'a> {
    board: Option<&'a Board>,
    bonding_mortar: Option<&'a Mortar>,
    base_coat_mortar: Option<&'a Mortar>,
    mesh: Option<&'a Mesh>,
    primer: Option<&'a Primer>,
    finish: Option<&'a Finish>,
}

impl<'a> Found<'a> {
    fn whole(&self, assortment: &'a Assortment, system: &'a System) -> Option<Parts<'a>> {
        Some(Parts {
            assortment,
            system,
            board: self.board?,
            plinth_board: None,
            bonding_mortar: self.bonding_mortar?,
            base_coat_mortar: self.base_coat_mortar?,
            mesh: self.mesh?,
            beads: Vec::new(),
            base_profile: None,
            profile_fixing: None,
            profile_joiner: None,
            profile_packer: None,
            anchors: Vec::new(),
            plate: None,
            plug: None,
            foam: None,
            sealing_strip: None,
            waterproofing: None,
            elements: Vec::new(),
            adhesive: None,
            primer: self.primer?,
            finish: self.finish?,
        })
    }
}

struct Lookup<'k> {
    faults: Faults,
    key: &'k str,
}

impl Lookup<'_> {
    fn one<'a, T>(
        &mut self,
        map: &'a alloc::collections::BTreeMap<String, T>,
        field: &str,
        key: &str,
    ) -> Option<&'a T> {
        let found = find(map, key);
        if found.is_none() {
            self.faults.add(
                format!("system.{}.{field}", self.key),
                "UNKNOWN_ARTICLE",
                format!("`{key}`"),
                "an article of the assortment",
            );
        }
        found
    }
    fn maybe<'a, T>(
        &mut self,
        map: &'a alloc::collections::BTreeMap<String, T>,
        field: &str,
        key: Option<&String>,
    ) -> Option<&'a T> {
        key.and_then(|key| self.one(map, field, key))
    }
    fn all<'a, T>(
        &mut self,
        map: &'a alloc::collections::BTreeMap<String, T>,
        field: &str,
        keys: &[String],
    ) -> Vec<&'a T> {
        keys.iter()
            .filter_map(|key| self.one(map, field, key))
            .collect()
    }
}

/// Everything a takeoff is made from.
#[derive(Clone, Debug)]
pub struct Job<'a> {
    /// The building; it is checked again here.
    pub building: &'a Building,
    /// The system's parts.
    pub parts: Parts<'a>,
    /// Board thickness on the facade.
    pub thickness: Mm,
    /// Board thickness at the plinth; nothing: as on the facade.
    pub plinth_thickness: Option<Mm>,
    /// How boards are to be bonded; nothing: by the board and the wall's flatness, see [`Bonding::of`].
    pub bonding: Option<Bonding>,
    /// What the design of the bond asks for, where it was made; no more than one of each role.
    pub bonds: &'a [BondNeed],
    /// Thickness of each course of the base coat; empty: one course of the system's thickness.
    pub courses: &'a [Length],
    /// What the setting-out found.
    pub laid: &'a Laid,
    /// What the fixing design found.
    pub anchors: &'a [AnchorNeed],
    /// The measurement rule set for billing.
    pub measurement: &'a MeasurementRules,
    /// Colour and weather.
    pub site: Site,
    /// Site practice.
    pub practice: Practice,
}

impl Job<'_> {
    /// How far the face of the plinth stands back behind that of the facade; nothing where it is as thick.
    pub(crate) fn plinth_back(&self) -> Mm {
        let plinth = self.plinth_thickness.unwrap_or(self.thickness);
        (self.thickness - plinth).max(Mm::ZERO)
    }
}
