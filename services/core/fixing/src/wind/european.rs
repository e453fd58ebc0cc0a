//! EN 1991-1-4 with national parameters.

mod check;
mod profile;

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use quantity::{Area, Length, Mm, WindPressure, WindSpeed};
use standards::en_1991_1_4 as en;
use standards::en_1991_1_4::{
    AltitudeRule, NationalWind, Profile, SideReference, Terrain, WindZone,
};
use working::{Fault, Faults, Figure, Finding, Origin, Severity, Sheet, Standing};

use super::envelope::{Patch, envelope};
use super::{
    FacadeOnPlan, FacadeSuction, LoadLevel, Plan, PlanShape, Runs, Suction, WindCode, WindRequest,
    Zone,
};

/// The site.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    /// Fundamental basic wind velocity where the caller states it; beside a zone it must be the zone's.
    pub velocity: Option<WindSpeed>,
    /// Wind zone of the national set, or empty.
    pub zone: String,
    /// Terrain of the national set, such as `II`.
    pub terrain: String,
    /// Altitude above the sea, where the zone's rule needs it.
    pub altitude: Option<Length>,
    /// Orography factor; 1 on flat ground.
    pub orography: f64,
    /// Directional factor, where the national one is not meant.
    pub direction_factor: Option<f64>,
    /// Season factor, where the national one is not meant.
    pub season_factor: Option<f64>,
    /// Return period in years, where it is not 50.
    pub return_period_years: Option<f64>,
    /// The number by which a table's columns are chosen, such as the distance to the shore.
    pub table_parameter: Option<f64>,
}

impl Default for Site {
    fn default() -> Self {
        Self {
            velocity: None,
            zone: String::new(),
            terrain: String::new(),
            altitude: None,
            orography: 1.0,
            direction_factor: None,
            season_factor: None,
            return_period_years: None,
            table_parameter: None,
        }
    }
}

/// EN 1991-1-4 at a site.
#[derive(Clone, Copy, Debug)]
pub struct EnWind<'a> {
    /// National parameters.
    pub national: &'a NationalWind,
    /// The site.
    pub site: &'a Site,
    /// Path of the site in the request, for faults and origins.
    pub path: &'a str,
}

/// The peak velocity pressure at one height and what led to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PeakPressure {
    /// Basic wind velocity.
    pub basic_velocity: Figure<WindSpeed>,
    /// Basic velocity pressure.
    pub basic_pressure: Figure<WindPressure>,
    /// Peak velocity pressure.
    pub peak: Figure<WindPressure>,
    /// Exposure factor.
    pub exposure: Figure<f64>,
}

/// What is the same at every height.
#[derive(Clone, Copy)]
struct Basic {
    velocity: Figure<WindSpeed>,
    pressure: Figure<WindPressure>,
    density: Figure<quantity::Density>,
    orography: Figure<f64>,
}

/// One wind direction across the plan: `b` across, `d` along.
struct Orientation {
    b: Length,
    edge: Figure<Length>,
    ratio: Figure<f64>,
    coefficients: [Figure<f64>; 5],
}

const WINDWARD: usize = 3;
const LEEWARD: usize = 4;

impl EnWind<'_> {
    fn at(&self, field: &str) -> String {
        format!("{}.{field}", self.path)
    }
    fn rule(&self, key: &str, cited: &str) -> Origin {
        Origin::Rule(format!("{}, {key}: {cited}", self.national.key))
    }
    fn zone(&self) -> Option<&WindZone> {
        self.national.zone(&self.site.zone)
    }

    /// The peak velocity pressure at height `z`, on the sheet.
    ///
    /// # Errors
    /// Every fault of the site, and a height beyond the profile.
    pub fn peak_pressure(&self, z: Length, sheet: &mut Sheet) -> Result<PeakPressure, Vec<Fault>> {
        let mut faults = Faults::new();
        self.check_site(z, &mut faults);
        faults.or(())?;
        let terrain = self.terrain()?;
        let basic = self.basic(z, sheet);
        let height = sheet.given("z", z, Origin::request("z"));
        let peak = self.peak(terrain, basic, height, sheet);
        let exposure = sheet.derive("c_e", &en::EXPOSURE_FACTOR, (peak, basic.pressure));
        Ok(PeakPressure {
            basic_velocity: basic.velocity,
            basic_pressure: basic.pressure,
            peak,
            exposure,
        })
    }

    /// Every fault of the site for a building of this height; none for a sound one.
    pub fn faults(&self, height: Length) -> Vec<Fault> {
        let mut faults = Faults::new();
        self.check_site(height, &mut faults);
        faults.into_list()
    }

    fn terrain(&self) -> Result<&Terrain, Vec<Fault>> {
        self.national.terrain(&self.site.terrain).ok_or_else(|| {
            let mut faults = Faults::new();
            self.unknown_terrain(&mut faults);
            faults.into_list()
        })
    }

    /// Edge measure and coefficients of one wind direction.
    fn orientation(
        &self,
        name: &str,
        (b, d): (Figure<Length>, Figure<Length>),
        (height, area): (Figure<Length>, Figure<Area>),
        sheet: &mut Sheet,
    ) -> Orientation {
        let edge = sheet.derive(format!("e, wind {name}"), &en::EDGE_MEASURE, (b, height));
        let ratio = sheet.derive(format!("h/d, wind {name}"), &en::SLENDERNESS, (height, d));
        let coefficients = [0, 1, 2, WINDWARD, LEEWARD].map(|zone| {
            let sign = ["A", "B", "C", "D", "E"]
                .get(zone)
                .copied()
                .unwrap_or_default();
            self.coefficient(&format!("{sign}, wind {name}"), zone, ratio, area, sheet)
        });
        Orientation {
            b: b.value,
            edge,
            ratio,
            coefficients,
        }
    }

    fn coefficient(
        &self,
        label: &str,
        zone: usize,
        ratio: Figure<f64>,
        area: Figure<Area>,
        sheet: &mut Sheet,
    ) -> Figure<f64> {
        let rows = &self.national.coefficients;
        let above = rows.iter().position(|r| r.ratio >= ratio.value);
        let (low, high) = match above {
            Some(0) => (rows.first(), rows.first()),
            Some(i) => (rows.get(i - 1), rows.get(i)),
            None => (rows.last(), rows.last()),
        };
        let (Some(low), Some(high)) = (low, high) else {
            return sheet.given(
                "no coefficients",
                f64::NAN,
                self.rule("coefficients", "none"),
            );
        };
        let mut one_of = |pick: fn(en::CoefficientPair) -> f64, kind: &str| {
            let mut cell = |row: &en::CoefficientRow| {
                let (value, cited) = row.zones.get(zone).map_or((f64::NAN, String::new()), |c| {
                    (
                        pick(c.value),
                        c.cite(&format!("coefficients at h/d {}", row.ratio)),
                    )
                });
                sheet.given(
                    format!("{kind} {label}, h/d {}", row.ratio),
                    value,
                    self.rule("Table 7.1", &cited),
                )
            };
            let first = cell(low);
            if low.ratio == high.ratio {
                return first;
            }
            let second = cell(high);
            let r1 = sheet.given(
                "h/d of the lower row",
                low.ratio,
                self.rule("Table 7.1", "row"),
            );
            let r2 = sheet.given(
                "h/d of the upper row",
                high.ratio,
                self.rule("Table 7.1", "row"),
            );
            let args = (ratio, r1, r2, first, second);
            sheet.derive(
                format!("{kind} {label}"),
                &en::COEFFICIENT_BETWEEN_RATIOS,
                args,
            )
        };
        let one = one_of(|pair| pair.one, "c_pe,1");
        let ten = one_of(|pair| pair.ten, "c_pe,10");
        sheet.derive(
            format!("c_pe {label}"),
            &en::COEFFICIENT_OF_AREA,
            (area, one, ten),
        )
    }

    /// Tops of the parts of a wall with their reference heights, in metres above ground, from below.
    fn parts(&self, b: Length, height: Length) -> Vec<Length> {
        if self.national.side_reference.value == SideReference::BuildingHeight || height <= b {
            return alloc::vec![height];
        }
        let mut tops = alloc::vec![b];
        if height > 2.0 * b {
            let count = self.national.strips_between.value.clamp(1, 50);
            let between = height - 2.0 * b;
            tops.extend((1..=count).map(|i| b + between * (f64::from(i) / f64::from(count))));
        }
        tops.push(height);
        tops
    }

    fn findings(
        &self,
        plan: &Plan,
        orientations: &[Orientation],
        facades: &[FacadeOnPlan],
    ) -> Vec<Finding> {
        let mut findings = Vec::new();
        let mut say = |code, severity, path: &str, text: String, source| {
            findings.push(Finding {
                code,
                severity,
                path: path.to_string(),
                text,
                source,
            });
        };
        let unverified = self.unverified();
        if !unverified.is_empty() {
            let text = format!(
                "Wind data of set {} not yet verified against the national text: {}. Have them confirmed before the design is used.",
                self.national.key,
                unverified.join("; ")
            );
            say(
                "WIND_DATA_UNVERIFIED",
                Severity::Caution,
                self.path,
                text,
                "",
            );
        }
        if plan.shape == PlanShape::Other {
            let text = "The plan is not a rectangle: its bounding rectangle stands for it, and every facade carries edge zones at both ends. \
                Re-entrant corners, courtyards and wind between buildings need a specialist's look.";
            say(
                "PLAN_APPROXIMATED",
                Severity::Caution,
                "plan",
                text.to_string(),
                en::DOCUMENT,
            );
        }
        if facades.iter().any(|f| f.runs == Runs::Unknown) {
            let text = "The side of the plan is not known for every facade; there the worse of both counts.";
            say(
                "FACADE_SIDE_UNKNOWN",
                Severity::Note,
                "facades",
                text.to_string(),
                en::DOCUMENT,
            );
        }
        if orientations
            .iter()
            .any(|o| o.ratio.value > en::SLENDERNESS_MAX)
        {
            let text = "The building is higher than five times its depth: the coefficients of walls are only a guide there.";
            say(
                "SLENDER_BUILDING",
                Severity::Caution,
                "plan.height_m",
                text.to_string(),
                en::DOCUMENT,
            );
        }
        if self.site.orography != 1.0 && !self.is_log() {
            let text = "The profile is stated for flat ground; the orography factor acts on the whole peak pressure, on the safe side.";
            say(
                "OROGRAPHY_ON_FLAT_PROFILE",
                Severity::Note,
                self.path,
                text.to_string(),
                en::DOCUMENT,
            );
        }
        findings
    }

    /// Suction above which national approvals stop.
    fn beyond_approvals(&self, facades: &[FacadeSuction]) -> Option<Finding> {
        let limit = self.national.suction_limit.as_ref()?;
        let strips = facades.iter().flat_map(|f| &f.strips);
        let worst = strips
            .map(|s| s.suction.value)
            .fold(WindPressure::ZERO, WindPressure::max);
        (worst > limit.value).then(|| Finding {
            code: "SUCTION_BEYOND_APPROVALS",
            severity: Severity::Caution,
            path: self.path.to_string(),
            text: format!(
                "Characteristic suction of {:.2} kPa, above the {} kPa at which national approvals stop ({}). The system's assessment must cover it.",
                worst.as_kpa(),
                limit.value.as_kpa(),
                limit.source
            ),
            source: "",
        })
    }

    fn is_log(&self) -> bool {
        let terrain = self.national.terrain(&self.site.terrain);
        terrain.is_some_and(|t| matches!(t.profile.value, Profile::Log { .. }))
    }

    /// The names of the values used that are not verified.
    fn unverified(&self) -> Vec<String> {
        let set = self.national;
        let mut names = Vec::new();
        let mut note = |standing: Standing, name: String| {
            if standing == Standing::Unverified {
                names.push(name);
            }
        };
        note(set.air_density.standing, "air density".to_string());
        if let Some(zone) = self.zone() {
            note(
                zone.velocity.standing,
                format!("velocity of zone {}", zone.key),
            );
            if zone.altitude.value != AltitudeRule::None {
                note(zone.altitude.standing, "altitude rule".to_string());
            }
        }
        if let Some(terrain) = set.terrain(&self.site.terrain) {
            note(
                terrain.profile.standing,
                format!("profile of terrain {}", terrain.key),
            );
        }
        let cells = set.coefficients.iter().flat_map(|row| row.zones.iter());
        if cells
            .into_iter()
            .any(|c| c.standing == Standing::Unverified)
        {
            note(Standing::Unverified, "parts of Table 7.1".to_string());
        }
        note(
            set.side_reference.standing,
            "reference height of side walls".to_string(),
        );
        names
    }
}

/// A length in whole millimetres, never less than it is: an edge zone is rather a millimetre too wide.
fn outward(length: Length) -> Mm {
    let mm = libm::ceil(length.as_mm() - 1e-6);
    Mm(mm.clamp(0.0, f64::from(Mm::LIMIT.0)) as i32)
}

/// One reference height and the pressures of all five zones there, for one orientation.
struct Part {
    y: (Mm, Mm),
    suction: [Figure<WindPressure>; 5],
    pressure: Figure<WindPressure>,
}

impl WindCode for EnWind<'_> {
    fn name(&self) -> String {
        format!("{}, {}", self.national.document, self.national.name)
    }

    fn check(&self, request: &WindRequest, faults: &mut Faults) {
        self.check_site(request.plan.height, faults);
        faults.extend(self.national.check("national"));
        if self.national.coefficients.is_empty() {
            faults.add(
                "national.coefficients",
                "MISSING",
                "no rows",
                "rows of Table 7.1",
            );
        }
    }

    fn suction(&self, request: &WindRequest, sheet: &mut Sheet) -> Result<Suction, Vec<Fault>> {
        let terrain = self.terrain()?;
        let plan = &request.plan;
        sheet.section("Wind");
        sheet.step(format!("{}: four wind directions, the worst of them at every place, edge zones at both vertical edges", self.name()));
        let length = sheet.given(
            "length of the plan",
            plan.length.to_length(),
            Origin::request("plan.length_mm"),
        );
        let width = sheet.given(
            "width of the plan",
            plan.width.to_length(),
            Origin::request("plan.width_mm"),
        );
        let height = sheet.given("h", plan.height, Origin::request("plan.height_m"));
        let area = sheet.given(
            "loaded area of one fixing",
            request.loaded_area,
            Origin::request(self.at("loaded_area_m2")),
        );
        let basic = self.basic(plan.height, sheet);
        let peak = self.peak(terrain, basic, height, sheet);
        let scope = (height, area);
        let along_length = self.orientation("along the length", (width, length), scope, sheet);
        let along_width = self.orientation("along the width", (length, width), scope, sheet);
        let orientations = [along_length, along_width];
        let mut heights: Vec<(Length, Figure<WindPressure>)> = alloc::vec![(plan.height, peak)];
        let parts = orientations
            .each_ref()
            .map(|o| self.pressures(terrain, basic, o, plan.height, &mut heights, sheet));
        let facades: Vec<FacadeSuction> = request
            .facades
            .iter()
            .map(|facade| facade_suction(facade, &orientations, &parts))
            .collect();
        let mut findings = self.findings(plan, &orientations, &request.facades);
        findings.extend(self.beyond_approvals(&facades));
        Ok(Suction {
            code: self.name(),
            level: LoadLevel::Characteristic,
            basic_velocity: basic.velocity,
            reference_height: height,
            peak_pressure: peak,
            facades,
            findings,
        })
    }
}

impl EnWind<'_> {
    /// The parts of a wall under one orientation with the pressures of all zones; heights already computed are used again.
    fn pressures(
        &self,
        terrain: &Terrain,
        basic: Basic,
        orientation: &Orientation,
        height: Length,
        known: &mut Vec<(Length, Figure<WindPressure>)>,
        sheet: &mut Sheet,
    ) -> Vec<Part> {
        let tops = self.parts(orientation.b, height);
        let last = tops.len().saturating_sub(1);
        let mut from = Mm(-Mm::LIMIT.0);
        let mut parts = Vec::with_capacity(tops.len());
        for (i, top) in tops.into_iter().enumerate() {
            let peak = if let Some((_, peak)) = known.iter().find(|(h, _)| *h == top) {
                *peak
            } else {
                let z = sheet.given(
                    "z_e",
                    top,
                    Origin::Counted("top of the part of the wall".into()),
                );
                let peak = self.peak(terrain, basic, z, sheet);
                known.push((top, peak));
                peak
            };
            let to = if i == last {
                Mm(2 * Mm::LIMIT.0)
            } else {
                outward(top)
            };
            let pressures = orientation
                .coefficients
                .map(|c| sheet.derive("w_e", &en::EXTERNAL_PRESSURE, (peak, c)));
            let suction = pressures.map(|w| sheet.derive("w_ek", &en::SUCTION, (w,)));
            let [_, _, _, pressure, _] = pressures;
            parts.push(Part {
                y: (from, to),
                suction,
                pressure,
            });
            from = to;
        }
        parts
    }
}

/// The envelope of one facade.
fn facade_suction(
    facade: &FacadeOnPlan,
    orientations: &[Orientation; 2],
    parts: &[Vec<Part>; 2],
) -> FacadeSuction {
    let [along_length, along_width] = orientations;
    let [length_parts, width_parts] = parts;
    let mut patches = Vec::new();
    let mut pressure: Option<Figure<WindPressure>> = None;
    let mut lay = |side: (&Orientation, &[Part]), across: (&Orientation, &[Part])| {
        for part in side.1 {
            side_patches(facade, side.0, part, &mut patches);
        }
        for part in across.1 {
            let [_, _, _, _, leeward] = part.suction;
            let [_, _, _, _, coefficient] = across.0.coefficients;
            patches.push(patch(
                facade,
                Zone::E,
                (facade.left, facade.right),
                part,
                (coefficient, leeward),
            ));
            if pressure.is_none_or(|p| part.pressure.value > p.value) {
                pressure = Some(part.pressure);
            }
        }
    };
    let (lengthwise, widthwise) = (
        (along_length, length_parts.as_slice()),
        (along_width, width_parts.as_slice()),
    );
    if facade.runs != Runs::AlongWidth {
        lay(lengthwise, widthwise);
    }
    if facade.runs != Runs::AlongLength {
        lay(widthwise, lengthwise);
    }
    FacadeSuction {
        id: facade.id.clone(),
        strips: envelope(facade, &patches),
        pressure: pressure.unwrap_or(Figure {
            value: WindPressure::ZERO,
            line: 0,
        }),
    }
}

fn patch(
    facade: &FacadeOnPlan,
    zone: Zone,
    x: (Mm, Mm),
    part: &Part,
    (coefficient, suction): (Figure<f64>, Figure<WindPressure>),
) -> Patch {
    Patch {
        zone,
        x,
        y: (facade.ground + part.y.0, facade.ground + part.y.1),
        coefficient,
        suction,
    }
}

/// Zones A, B, C from the left edge and from the right one.
fn side_patches(facade: &FacadeOnPlan, side: &Orientation, part: &Part, patches: &mut Vec<Patch>) {
    let width = facade.right - facade.left;
    let first = outward(side.edge.value / 5.0).min(width);
    let second = outward(side.edge.value).min(width);
    let [a, b, c, _, _] = part.suction;
    let [ca, cb, cc, _, _] = side.coefficients;
    let cuts = [
        (Zone::A, Mm::ZERO, first, (ca, a)),
        (Zone::B, first, second, (cb, b)),
        (Zone::C, second, width, (cc, c)),
    ];
    for (zone, from, to, figures) in cuts {
        if from < to {
            let left = (facade.left + from, facade.left + to);
            let right = (facade.right - to, facade.right - from);
            patches.push(patch(facade, zone, left, part, figures));
            patches.push(patch(facade, zone, right, part, figures));
        }
    }
}
