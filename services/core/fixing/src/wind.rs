//! The wind on the facades: zones and their characteristic suction, whatever the code.

mod american;
mod envelope;
mod european;

use alloc::collections::BTreeMap;
use alloc::string::String;
use alloc::vec::Vec;
use core::fmt;

pub use american::{AsceSite, AsceWind, RoofSlope, VelocityPressure};
pub use european::{EnWind, PeakPressure, Site};

use quantity::{Area, Length, Mm, WindPressure, WindSpeed};
use standards::en_1991_1_4::NationalWind;
use working::{Fault, Faults, Figure, Finding, Sheet};

/// Whether the building is a rectangle in plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PlanShape {
    /// It is.
    #[default]
    Rectangular,
    /// It is not; its bounding rectangle stands for it, on the safe side.
    Other,
}

/// The building as the wind sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan {
    /// Extent in plan, the longer by custom.
    pub length: Mm,
    /// Extent across it.
    pub width: Mm,
    /// Height above ground to the highest point of the roof or parapet.
    pub height: Length,
    /// Shape.
    pub shape: PlanShape,
}

/// Which side of the plan a facade runs along.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Runs {
    /// Along the plan's length.
    AlongLength,
    /// Along the plan's width.
    AlongWidth,
    /// Not known: the worse of both counts at every place.
    #[default]
    Unknown,
}

/// One facade on the plan, in its own coordinates.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FacadeOnPlan {
    /// Its id.
    pub id: String,
    /// Which side of the plan it runs along.
    pub runs: Runs,
    /// Its left vertical edge.
    pub left: Mm,
    /// Its right vertical edge.
    pub right: Mm,
    /// Its lowest point.
    pub bottom: Mm,
    /// Its highest point.
    pub top: Mm,
    /// The level of the ground, from which heights count.
    pub ground: Mm,
}

impl FacadeOnPlan {
    /// The side of the plan whose extent is nearest to the facade's width; a facade that fits both alike, or neither within a tenth, is of
    /// unknown side.
    pub fn side_by_width(width: Mm, plan: &Plan) -> Runs {
        let apart = |side: Mm| (side - width).abs();
        let (length, across) = (apart(plan.length), apart(plan.width));
        let near = |side: Mm, off: Mm| off.0.saturating_mul(10) <= side.0;
        match (near(plan.length, length), near(plan.width, across)) {
            (true, false) => Runs::AlongLength,
            (false, true) => Runs::AlongWidth,
            (true, true) if length < across => Runs::AlongLength,
            (true, true) if across < length => Runs::AlongWidth,
            (true, true) if plan.length == plan.width => Runs::AlongLength,
            _ => Runs::Unknown,
        }
    }
}

/// What the wind is asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct WindRequest {
    /// The building.
    pub plan: Plan,
    /// Its facades.
    pub facades: Vec<FacadeOnPlan>,
    /// The loaded area of one fixing for the pressure coefficient; 1 m² lies on the safe side.
    pub loaded_area: Area,
}

/// A zone of the wind code, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Zone {
    /// EN 1991-1-4, at the windward edge of a side wall.
    A,
    /// EN 1991-1-4, next to A.
    B,
    /// EN 1991-1-4, the rest of a side wall.
    C,
    /// EN 1991-1-4, the leeward wall.
    E,
    /// ASCE 7, edge strip.
    Five,
    /// ASCE 7, between the edge strips.
    Four,
}

impl Zone {
    /// The sign in the code.
    pub const fn sign(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::B => "B",
            Self::C => "C",
            Self::E => "E",
            Self::Five => "5",
            Self::Four => "4",
        }
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.sign())
    }
}

/// A rectangle of one facade in which one suction governs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ZoneStrip {
    /// The zone that governs there.
    pub zone: Zone,
    /// Left edge.
    pub x_from: Mm,
    /// Right edge.
    pub x_to: Mm,
    /// Lower edge.
    pub y_from: Mm,
    /// Upper edge.
    pub y_to: Mm,
    /// The external pressure coefficient, negative outwards.
    pub coefficient: Figure<f64>,
    /// The suction, positive outwards.
    pub suction: Figure<WindPressure>,
}

/// The wind on one facade.
#[derive(Clone, Debug, PartialEq)]
pub struct FacadeSuction {
    /// The facade.
    pub id: String,
    /// Strips that cover it without overlap, from below and from the left.
    pub strips: Vec<ZoneStrip>,
    /// The greatest pressure inwards, for information.
    pub pressure: Figure<WindPressure>,
}

/// At which level of safety the suction of a code stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadLevel {
    /// Characteristic: the partial factor on the wind is still to be applied.
    Characteristic,
    /// Strength level: it holds the load factor already, which must not be applied again.
    Strength,
}

/// The wind on all facades.
#[derive(Clone, Debug, PartialEq)]
pub struct Suction {
    /// Code and parameter set.
    pub code: String,
    /// At which level of safety it stands.
    pub level: LoadLevel,
    /// The basic wind velocity that went in.
    pub basic_velocity: Figure<WindSpeed>,
    /// The reference height.
    pub reference_height: Figure<Length>,
    /// The peak velocity pressure there.
    pub peak_pressure: Figure<WindPressure>,
    /// Facades in the order of the request.
    pub facades: Vec<FacadeSuction>,
    /// What the reader should know.
    pub findings: Vec<Finding>,
}

/// A wind code: the seam behind which EN 1991-1-4 and ASCE 7 stand alike.
pub trait WindCode {
    /// Code, edition and parameter set in words.
    fn name(&self) -> String;
    /// Adds every fault of the site and the building to `faults`.
    fn check(&self, request: &WindRequest, faults: &mut Faults);
    /// The suction on every facade, every figure on the sheet.
    ///
    /// # Errors
    /// The faults that [`WindCode::check`] finds.
    fn suction(&self, request: &WindRequest, sheet: &mut Sheet) -> Result<Suction, Vec<Fault>>;
}

/// The suction on every facade by any code.
///
/// # Errors
/// Every fault of building, facades and site at once: a plan without depth, a height beyond the code's scope, an unknown zone or
/// terrain with the names of those that exist, numbers out of range.
///
/// ```
/// use fixing::wind::{EnWind, FacadeOnPlan, Plan, PlanShape, Runs, Site, WindRequest, suction};
/// use quantity::{Area, Length, Mm, WindSpeed};
/// use standards::en_1991_1_4::NationalWind;
///
/// let national = NationalWind::recommended();
/// let site = Site { velocity: Some(WindSpeed::from_m_per_s(25.0)), terrain: "II".into(), ..Site::default() };
/// let facade = FacadeOnPlan { id: "front".into(), runs: Runs::AlongLength, left: Mm(0), right: Mm(30_000), bottom: Mm(0), top: Mm(10_000), ground: Mm(0) };
/// let request = WindRequest {
///     plan: Plan { length: Mm(30_000), width: Mm(12_000), height: Length::from_m(10.0), shape: PlanShape::Rectangular },
///     facades: vec![facade],
///     loaded_area: Area::from_m2(1.0),
/// };
/// let wind = suction(&EnWind { national: &national, site: &site, path: "wind" }, &request, &mut working::Sheet::new()).unwrap();
/// let edge = &wind.facades[0].strips[0];
/// assert_eq!((edge.x_from, edge.x_to), (Mm(0), Mm(2_400)));
/// assert!((edge.suction.value.as_pa() - 1286.41).abs() < 0.01);
/// ```
pub fn suction(
    code: &dyn WindCode,
    request: &WindRequest,
    sheet: &mut Sheet,
) -> Result<Suction, Vec<Fault>> {
    let mut faults = Faults::new();
    check_request(request, &mut faults);
    code.check(request, &mut faults);
    faults.or(())?;
    code.suction(request, sheet)
}

/// The national set of a key.
///
/// # Errors
/// A key that no set has, with the names of those that exist. A country without a set is refused, never guessed.
///
/// ```
/// use std::collections::BTreeMap;
/// let sets = BTreeMap::from([("en-recommended".to_string(), standards::en_1991_1_4::NationalWind::recommended())]);
/// let faults = fixing::wind::national(&sets, "at", "wind.national_set").unwrap_err();
/// assert!(faults[0].expected.contains("en-recommended"));
/// ```
pub fn national<'a>(
    sets: &'a BTreeMap<String, NationalWind>,
    key: &str,
    path: &str,
) -> Result<&'a NationalWind, Vec<Fault>> {
    sets.get(key).ok_or_else(|| {
        let names: Vec<&str> = sets.keys().map(String::as_str).collect();
        let mut faults = Faults::new();
        faults.add(
            path,
            "UNKNOWN_NATIONAL_SET",
            alloc::format!("`{key}`"),
            alloc::format!("one of {}", names.join(", ")),
        );
        faults.into_list()
    })
}

/// What every code asks of plan and facades.
fn check_request(request: &WindRequest, faults: &mut Faults) {
    let plan = &request.plan;
    for (field, side) in [("length", plan.length), ("width", plan.width)] {
        if side.0 <= 0 || side > Mm::LIMIT {
            faults.add(
                alloc::format!("plan.{field}_mm"),
                "PLAN_WITHOUT_DEPTH",
                alloc::format!("{side}"),
                "both extents of the plan between 1 mm and 1 km: every facade needs the depth behind it (EN 1991-1-4, 7.2.2(1))",
            );
        }
    }
    let height = plan.height.as_m();
    if !(height > 0.0 && height.is_finite()) {
        faults.add(
            "plan.height_m",
            "NOT_POSITIVE",
            alloc::format!("{height} m"),
            "a positive height",
        );
    }
    let area = request.loaded_area.as_m2();
    if !(area > 0.0 && area <= 10_000.0) {
        faults.add(
            "wind.loaded_area_m2",
            "OUT_OF_RANGE",
            alloc::format!("{area} m2"),
            "more than 0 and at most 10000 m2",
        );
    }
    for (i, facade) in request.facades.iter().enumerate() {
        let inside = |v: Mm| v.abs() <= Mm::LIMIT;
        let bounded = [
            facade.left,
            facade.right,
            facade.bottom,
            facade.top,
            facade.ground,
        ]
        .into_iter()
        .all(inside);
        if facade.right <= facade.left || facade.top <= facade.bottom || !bounded {
            faults.add(
                alloc::format!("facades[{i}]"),
                "FACADE_WITHOUT_AREA",
                alloc::format!(
                    "{} to {} wide, {} to {} high",
                    facade.left,
                    facade.right,
                    facade.bottom,
                    facade.top
                ),
                "right of left, top above bottom, all within 1 km",
            );
        }
    }
}
