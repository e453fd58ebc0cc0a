//! What comes back: one plain structure for the whole job. Lengths on the facade are whole millimetres from its own origin.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::Assumption;
use quantity::{
    Area, AreaMass, Conductivity, Decimal, Force, Length, Mass, Mm, Money, Temperature,
    ThermalResistance, Transmittance, VapourPressure, WindPressure, WindSpeed,
};
use takeoff::BoardRole;
use working::{Finding, Sheet, Standing};

/// The answer to a whole job.
#[derive(Default)]
pub struct Estimate {
    /// The caller's reference.
    pub reference: String,
    /// The documents relied on, each with the weakest standing of what was used of it.
    pub standards: Vec<(&'static str, Standing)>,
    /// What was chosen.
    pub system: ChosenSystem,
    /// Thickness, transmittance, moisture.
    pub thermal: Thermal,
    /// Wind, zones, anchors, bond.
    pub fixing: Fixing,
    /// Boards and pieces.
    pub layout: Layout,
    /// Quantities and price.
    pub kit: Kit,
    /// Cautions, breaches, notes, in order of weight and place.
    pub findings: Vec<Finding>,
    /// What was assumed.
    pub assumptions: Vec<Assumption>,
    /// Plots of the worst wall, where drawings are asked for: temperature and vapour pressure through it, condensate by month.
    pub wall_drawings: Vec<Drawing>,
    /// Elevations, cutting sheets, and lists of reveal strips, bars and rolls, where asked for.
    pub drawings: Vec<Drawing>,
    /// The calculation sheet.
    pub sheet: Sheet,
}

/// What was chosen.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChosenSystem {
    /// The system's key.
    pub key: String,
    /// Its name.
    pub name: String,
    /// Key of the facade board.
    pub board: String,
    /// Board thickness.
    pub thickness: Mm,
    /// Key of the finish.
    pub finish: String,
    /// Reaction-to-fire class of the system.
    pub reaction_to_fire: String,
    /// How it is held, in words.
    pub attachment: String,
}

/// One layer of the finished wall, inside to outside.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WallLayer {
    /// What it is.
    pub name: String,
    /// Thickness.
    pub thickness: Length,
    /// Conductivity.
    pub conductivity: Conductivity,
    /// Resistance.
    pub resistance: ThermalResistance,
    /// Equivalent air layer thickness s_d.
    pub vapour_thickness: Length,
    /// Temperature at its outer face in the coldest month.
    pub outer_temperature: Temperature,
}

/// One stocked thickness that was tried.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SizingRow {
    /// Thickness.
    pub thickness: Mm,
    /// Corrected transmittance with it.
    pub transmittance: Transmittance,
    /// Whether the target holds.
    pub holds: bool,
}

/// A thermal limit and whether it holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LimitCheck {
    /// Key, or `request` for the caller's own target.
    pub key: String,
    /// Act and edition, or `request`.
    pub source: String,
    /// `U at most` or `R at least`, with value and unit in words.
    pub text: String,
    /// Whether it holds.
    pub holds: bool,
    /// Used share; above 1 it fails.
    pub utilisation: f64,
}

/// What becomes of condensate over a year.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CondensationOutcome {
    /// None in any month.
    #[default]
    None,
    /// Some in winter, gone within the year.
    DriesWithinYear,
    /// Some is left after a year.
    Accumulates,
}

/// One month of the moisture assessment.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MoistureMonth {
    /// January is 1.
    pub month: u8,
    /// Outdoor temperature.
    pub outdoor: Temperature,
    /// Outdoor vapour pressure.
    pub outdoor_pressure: VapourPressure,
    /// Indoor vapour pressure.
    pub indoor_pressure: VapourPressure,
    /// Least temperature factor against mould.
    pub factor_min: f64,
    /// Condensate formed (or dried, negative) in the month, all planes.
    pub condensate: AreaMass,
    /// Condensate accumulated at its end, all planes.
    pub accumulated: AreaMass,
}

/// Moisture by ISO 13788.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Moisture {
    /// Temperature factor of the plain wall.
    pub factor: f64,
    /// Greatest of the monthly least factors.
    pub factor_min: f64,
    /// The month of that, January being 1.
    pub critical_month: u8,
    /// Whether the surface stays free of mould.
    pub mould_safe: bool,
    /// What becomes of condensate.
    pub outcome: CondensationOutcome,
    /// The most that accumulates.
    pub accumulated_max: AreaMass,
    /// The twelve months, January first.
    pub months: Vec<MoistureMonth>,
    /// The verdict in words.
    pub verdict: String,
}

/// Thickness, transmittance, moisture.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Thermal {
    /// Transmittance of the wall as it is.
    pub before: Transmittance,
    /// Transmittance with the system, before corrections.
    pub uncorrected: Transmittance,
    /// Transmittance with the system, anchors and profiles counted.
    pub after: Transmittance,
    /// Total resistance, surface resistances counted, before corrections.
    pub resistance: ThermalResistance,
    /// Anchors per square metre counted in the correction.
    pub anchors_per_m2: f64,
    /// Target or limits checked.
    pub limits: Vec<LimitCheck>,
    /// Thicknesses tried, thinnest first.
    pub sizing: Vec<SizingRow>,
    /// The finished wall.
    pub layers: Vec<WallLayer>,
    /// Moisture.
    pub moisture: Moisture,
}

/// What boards on a wall are laid for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// The facade above the base line.
    #[default]
    Facade,
    /// The plinth and what lies below ground.
    Plinth,
    /// Fire-barrier strips.
    Barrier,
}

impl Part {
    /// As answers and lists have it: `facade`, `plinth` or `barrier`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Facade => "facade",
            Self::Plinth => "plinth",
            Self::Barrier => "barrier",
        }
    }

    /// What the takeoff calls it.
    pub(crate) const fn role(self) -> BoardRole {
        match self {
            Self::Facade => BoardRole::Facade,
            Self::Plinth => BoardRole::Plinth,
            Self::Barrier => BoardRole::Barrier,
        }
    }
}

impl core::fmt::Display for Part {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(self.name())
    }
}

/// One wind zone of one facade.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FixingZone {
    /// Facade.
    pub facade: String,
    /// Zone letter of the wind code.
    pub zone: String,
    /// Which boards in it.
    pub boards: Part,
    /// Left edge.
    pub x_from: Mm,
    /// Right edge.
    pub x_to: Mm,
    /// Lower edge.
    pub y_from: Mm,
    /// Upper edge.
    pub y_to: Mm,
    /// Characteristic suction, positive outwards.
    pub suction: WindPressure,
    /// Design suction.
    pub design_suction: WindPressure,
    /// Design resistance of one anchor.
    pub anchor_resistance: Force,
    /// Anchors needed per square metre, unrounded.
    pub needed_per_m2: f64,
    /// Anchors per square metre provided.
    pub provided_per_m2: f64,
    /// Anchors per whole board.
    pub per_board: u32,
    /// Anchors placed.
    pub count: u32,
    /// Used share of the resistance; above 1 it fails.
    pub utilisation: f64,
    /// Whether fewer anchors stand there than rules and system ask for, whatever the wind.
    pub too_few: bool,
    /// What governs, in words.
    pub governing: String,
    /// Least number of anchors per square metre that rules and system ask for, whatever the wind.
    pub least_per_m2: f64,
}

impl FixingZone {
    /// The zone's letter, with the boards where they are not the facade's.
    pub fn label(&self) -> String {
        zone_label(&self.zone, self.boards)
    }
}

/// A zone's letter, with the boards where they are not the facade's.
pub(crate) fn zone_label(zone: impl core::fmt::Display, boards: Part) -> String {
    match boards {
        Part::Facade => format!("{zone}"),
        Part::Plinth | Part::Barrier => format!("{zone} {boards}"),
    }
}

/// The anchor chosen for one layer situation.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChosenAnchor {
    /// Where it serves.
    pub situation: String,
    /// Anchor key.
    pub anchor: String,
    /// Its name.
    pub name: String,
    /// Length.
    pub length: Mm,
    /// Least length that serves.
    pub length_needed: Mm,
    /// Drill diameter.
    pub drill_diameter: Mm,
    /// Drill depth into the base material.
    pub drill_depth: Mm,
    /// Wider plate, or empty.
    pub plate: String,
    /// Plug or cap, or empty.
    pub plug: String,
    /// How many.
    pub count: u32,
}

/// One line of the drilling list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DrillingLine {
    /// Facade.
    pub facade: String,
    /// Which boards on which wall.
    pub situation: String,
    /// The boards alone.
    pub boards: String,
    /// Anchor key.
    pub anchor: String,
    /// Anchor length.
    pub length: Mm,
    /// Drill diameter.
    pub drill_diameter: Mm,
    /// Depth of the hole in the base material.
    pub drill_depth: Length,
    /// Depth of the hole from the face of the board.
    pub hole_depth: Length,
    /// How many.
    pub count: u32,
}

/// One placed anchor.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AnchorPoint {
    /// Facade.
    pub facade: String,
    /// To the right.
    pub x: Mm,
    /// Up.
    pub y: Mm,
    /// Zone.
    pub zone: String,
    /// Which of the zones it counts to, by its place among them. That zone governs its board, which may reach into another.
    pub zone_index: usize,
    /// Whether it sits in a board joint.
    pub in_joint: bool,
    /// Which of the chosen anchors it is, by its place among them.
    pub anchor: usize,
}

/// How boards of one kind are bonded.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BoardBond {
    /// Which boards.
    pub boards: Part,
    /// Board key.
    pub board: String,
    /// Least share of the back to be bonded.
    pub share: f64,
    /// Bonding method in words.
    pub bonding: String,
}

/// What a change of one input would do.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SensitivityRow {
    /// What is changed.
    pub change: String,
    /// Anchors then.
    pub anchors: u32,
    /// Greatest used share of the anchors' resistance then.
    pub utilisation: f64,
}

/// Wind, zones, anchors, bond.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fixing {
    /// The wind code and parameter set.
    pub code: String,
    /// Basic wind velocity.
    pub basic_velocity: WindSpeed,
    /// Reference height.
    pub reference_height: Length,
    /// Peak velocity pressure at the reference height.
    pub peak_pressure: WindPressure,
    /// Zones.
    pub zones: Vec<FixingZone>,
    /// Anchors chosen.
    pub anchors: Vec<ChosenAnchor>,
    /// The drilling list, by facade.
    pub drilling: Vec<DrillingLine>,
    /// All anchors.
    pub count: u32,
    /// Every anchor, where the setting-out was asked for.
    pub points: Vec<AnchorPoint>,
    /// Bonded share to be provided behind the facade boards.
    pub bonded_share: f64,
    /// Bonding method of the facade boards in words.
    pub bonding: String,
    /// The bond of each kind of board.
    pub bonds: Vec<BoardBond>,
    /// Greatest used share of the anchors' resistance; the least number of anchors is not in it.
    pub utilisation: f64,
    /// Whether every check holds.
    pub holds: bool,
    /// Sensitivity.
    pub sensitivity: Vec<SensitivityRow>,
}

/// Boards of one product.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BoardTotal {
    /// Board key.
    pub board: String,
    /// Thickness.
    pub thickness: Mm,
    /// Boards taken.
    pub boards: u32,
    /// Boards laid whole.
    pub whole: u32,
    /// Pieces cut.
    pub cut_pieces: u32,
    /// Saw cuts.
    pub cuts: u32,
    /// Net area covered.
    pub net_area: Area,
    /// Lower bound by area.
    pub bound_area: u32,
    /// Lower bound that also rounds up strips that nothing can lie beside, where no piece may be turned; else that by area.
    pub bound_effective: u32,
    /// Boards of a plain half-bond layout with offcut re-use.
    pub baseline_boards: u32,
    /// Cuts of that.
    pub baseline_cuts: u32,
    /// Whether no layout with fewer boards exists.
    pub proven: bool,
    /// Area of usable offcuts left.
    pub offcut_area: Area,
    /// Area of scrap.
    pub scrap_area: Area,
}

/// One piece on the wall.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Piece {
    /// Number, unique in the job.
    pub number: u32,
    /// Facade.
    pub facade: String,
    /// Course from below, from 1.
    pub course: u32,
    /// Corners on the facade, counter-clockwise.
    pub outline: Vec<(Mm, Mm)>,
    /// Holes in it: openings smaller than a board.
    pub holes: Vec<Vec<(Mm, Mm)>>,
    /// Board it is cut from.
    pub board: u32,
    /// `whole`, `cut` or `notched`.
    pub kind: String,
    /// What it is for.
    pub zone: Part,
}

/// A part cut from a board, with the rectangle around it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CutPart {
    /// The piece it becomes; zero for an offcut.
    pub piece: u32,
    /// Left edge on the board.
    pub x: Mm,
    /// Lower edge on the board.
    pub y: Mm,
    /// Width on the board.
    pub width: Mm,
    /// Height on the board.
    pub height: Mm,
    /// Whether it is turned by a quarter, anticlockwise, from its place on the wall.
    pub turned: bool,
    /// Whether it is turned by a half.
    pub half_turned: bool,
    /// Order of cutting, from 1; zero where no cut is needed.
    pub order: u32,
    /// Its corners on the board, counter-clockwise, where it is no rectangle.
    pub outline: Vec<(Mm, Mm)>,
}

/// A straight cut on a board.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SawCut {
    /// Where it begins.
    pub from: (Mm, Mm),
    /// Where it ends.
    pub to: (Mm, Mm),
    /// `through` from edge to edge of the part in hand, `notch` a side of a notch, `slope` a sloping cut.
    pub kind: String,
}

/// One board and what is cut from it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CutBoard {
    /// Number, unique in the job.
    pub number: u32,
    /// Board key.
    pub board: String,
    /// Its parts, offcuts among them.
    pub parts: Vec<CutPart>,
    /// The cuts in order.
    pub cuts: Vec<SawCut>,
}

/// A leftover size.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Leftover {
    /// Board key.
    pub board: String,
    /// Width.
    pub width: Mm,
    /// Height.
    pub height: Mm,
    /// How many.
    pub count: u32,
}

/// A rule of setting-out that does not hold somewhere.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LayoutBreach {
    /// Rule.
    pub rule: String,
    /// Facade.
    pub facade: String,
    /// Where.
    pub x: Mm,
    /// Where.
    pub y: Mm,
    /// What was found against what was asked.
    pub text: String,
}

/// Boards and pieces.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Layout {
    /// Totals by product.
    pub totals: Vec<BoardTotal>,
    /// Breaches.
    pub breaches: Vec<LayoutBreach>,
    /// Steps of the search used.
    pub steps: u64,
    /// What each rule costs in boards, in words.
    pub rule_costs: Vec<(String, i32)>,
    /// Leftovers by size.
    pub leftovers: Vec<Leftover>,
    /// Pieces, where asked for.
    pub pieces: Vec<Piece>,
    /// Cutting list, where asked for.
    pub boards: Vec<CutBoard>,
    /// Joints between boards, facade by facade.
    pub joints: Vec<BoardJoints>,
}

/// Joints between the boards of one facade.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BoardJoints {
    /// Facade.
    pub facade: String,
    /// Upright joints between boards beside each other.
    pub vertical: Length,
    /// Level joints between courses.
    pub level: Length,
}

/// The five areas of one facade, never mixed up.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Areas {
    /// Facade, or empty for the total.
    pub facade: String,
    /// Inside the outline.
    pub gross: Area,
    /// Gross less finished openings.
    pub net: Area,
    /// Net with reveals.
    pub with_reveals: Area,
    /// The developed outer surface.
    pub developed: Area,
    /// By the measurement rule set; for billing only.
    pub billed: Area,
    /// Reveals that the measurement rule set bills by the metre.
    pub billed_reveals: Length,
    /// Base line by the metre, as the measurement rule set counts gaps in it.
    pub billed_base: Length,
    /// Facades that are but strips, which the measurement rule set bills by the metre instead of their area.
    pub billed_strips: Length,
    /// The billed area by stage of height, where the measurement rule set has stages; of a facade only.
    pub billed_stages: Vec<takeoff::Stage>,
    /// The openings as they are left; of a facade only.
    pub clear_openings: Vec<takeoff::ClearOpening>,
}

/// One line of the order list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct KitLine {
    /// Article key with its kind, such as `board.eps-white`.
    pub article: String,
    /// Name.
    pub name: String,
    /// Size, such as `140 mm`, or empty.
    pub size: String,
    /// What it is for.
    pub purpose: String,
    /// Net need in `unit`.
    pub net: f64,
    /// Added for waste or lost in cutting, in `unit`.
    pub waste: f64,
    /// Where the waste comes from.
    pub waste_origin: String,
    /// Unit sign.
    pub unit: String,
    /// UN/ECE Recommendation 20 code.
    pub unit_code: String,
    /// Packs to buy.
    pub packs: u64,
    /// What a pack is called.
    pub pack_name: String,
    /// What a pack holds, in `unit`.
    pub pack_content: f64,
    /// What is left of the packs, in `unit`.
    pub leftover: f64,
    /// Price of a pack.
    pub price: Option<Money>,
    /// Price of the line.
    pub total: Option<Money>,
    /// Packs short of what the branch has, where told.
    pub short_packs: Option<u64>,
    /// Pallets that the packs come on, where the article is sold so.
    pub pallets: Option<u64>,
    /// The caller's own article numbers and the like.
    pub metadata: Vec<(String, String)>,
    /// Where it stands on the sheet.
    pub sheet_line: u32,
    /// How it is derived, in words.
    pub derivation: String,
}

/// Water that is mixed in on site and never bought.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WaterLine {
    /// For what.
    pub purpose: String,
    /// Litres.
    pub litres: f64,
}

/// Quantities and price.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Kit {
    /// Areas by facade, the total last.
    pub areas: Vec<Areas>,
    /// Measurement rule set of the billed area.
    pub measurement: String,
    /// The order list.
    pub lines: Vec<KitLine>,
    /// Water.
    pub water: Vec<WaterLine>,
    /// Sum of the priced lines.
    pub net_price: Option<Money>,
    /// The tax share that is reckoned with; zero where none is asked for.
    pub tax_share: Decimal,
    /// Tax on it.
    pub tax: Option<Money>,
    /// With tax.
    pub gross_price: Option<Money>,
    /// Lines without a price.
    pub unpriced: u32,
    /// Mass of the system.
    pub mass_per_area: AreaMass,
    /// Mass of everything ordered that has a mass.
    pub mass: Mass,
}

/// One drawing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// File name without folder, such as `elevation-front-1.svg`.
    pub name: String,
    /// What it shows.
    pub title: String,
    /// The SVG text.
    pub svg: String,
}
