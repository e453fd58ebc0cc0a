//! ASCE 7 components and cladding of walls: the second code behind the same seam.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use quantity::{Length, Mm, WindPressure, WindSpeed};
use standards::asce_7 as asce;
use standards::asce_7::{Enclosure, Exposure, WallZone};
use standards::en_1991_1_4::SUCTION;
use working::{Fault, Faults, Figure, Finding, Origin, Severity, Sheet};

use super::envelope::{Patch, envelope};
use super::{FacadeSuction, LoadLevel, PlanShape, Suction, WindCode, WindRequest, Zone};

/// Whether the 10 % reduction of wall coefficients for flat roofs is claimed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum RoofSlope {
    /// Steeper than 10 degrees, or not known: no reduction.
    #[default]
    Steeper,
    /// At most 10 degrees.
    UpToTenDegrees,
}

/// The site.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AsceSite {
    /// Basic wind speed, 3 s gust, at strength level.
    pub velocity: WindSpeed,
    /// Exposure.
    pub exposure: Exposure,
    /// Ground elevation above the sea.
    pub elevation: Length,
    /// Topographic factor; 1 on flat ground.
    pub topographic: f64,
    /// How open the building is.
    pub enclosure: Enclosure,
    /// Roof slope.
    pub roof: RoofSlope,
}

/// ASCE 7 at a site.
#[derive(Clone, Copy, Debug)]
pub struct AsceWind<'a> {
    /// The site.
    pub site: &'a AsceSite,
    /// Path of the site in the request, for faults and origins.
    pub path: &'a str,
}

/// The velocity pressure at mean roof height, with the wind speed that it comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VelocityPressure {
    /// The basic wind speed.
    pub velocity: Figure<WindSpeed>,
    /// The velocity pressure.
    pub pressure: Figure<WindPressure>,
}

impl AsceWind<'_> {
    fn at(&self, field: &str) -> Origin {
        Origin::request(format!("{}.{field}", self.path))
    }
    /// The velocity pressure at mean roof height.
    pub fn velocity_pressure(&self, height: Figure<Length>, sheet: &mut Sheet) -> VelocityPressure {
        let site = self.site;
        let clause = site.exposure.clause();
        let z_min = sheet.given(
            "z_min",
            site.exposure.height_min(),
            Origin::Table(asce::LOW_RISE),
        );
        let zg = sheet.given(
            "z_g",
            site.exposure.gradient_height(),
            Origin::Table(clause),
        );
        let alpha = sheet.given("alpha", site.exposure.alpha(), Origin::Table(clause));
        let kz = sheet.derive(
            "K_z",
            &asce::EXPOSURE_COEFFICIENT,
            (height, z_min, zg, alpha),
        );
        let elevation = sheet.given("z_e", site.elevation, self.at("elevation_m"));
        let ke = sheet.derive("K_e", &asce::ELEVATION_FACTOR, (elevation,));
        let kzt = sheet.given("K_zt", site.topographic, self.at("topographic_factor"));
        let kd = sheet.given(
            "K_d",
            asce::DIRECTIONALITY,
            Origin::Table(asce::DIRECTIONALITY_TABLE),
        );
        let v = sheet.given("V", site.velocity, self.at("basic_velocity_m_per_s"));
        VelocityPressure {
            velocity: v,
            pressure: sheet.derive("q_h", &asce::VELOCITY_PRESSURE, (kz, kzt, kd, ke, v)),
        }
    }
    fn findings(&self, request: &WindRequest) -> Vec<Finding> {
        let mut findings = alloc::vec![Finding {
            code: "WIND_DATA_UNVERIFIED",
            severity: Severity::Caution,
            path: self.path.to_string(),
            text: "Constants of exposure D, the directionality factor and the clause numbers of ASCE 7 are not verified here. Have them confirmed \
                before the design is used."
                .to_string(),
            source: asce::DOCUMENT,
        }];
        if request.plan.shape == PlanShape::Other {
            findings.push(Finding {
                code: "PLAN_APPROXIMATED",
                severity: Severity::Caution,
                path: "plan".to_string(),
                text: "The plan is not a rectangle: its bounding rectangle stands for it, and every facade carries edge strips at both ends."
                    .to_string(),
                source: asce::DOCUMENT,
            });
        }
        findings
    }
}

impl WindCode for AsceWind<'_> {
    fn name(&self) -> String {
        format!("{}, components and cladding of walls", asce::DOCUMENT)
    }

    fn check(&self, request: &WindRequest, faults: &mut Faults) {
        let site = self.site;
        let mut within = |field: &str, number: f64, low: f64, high: f64| {
            if !(low..=high).contains(&number) {
                faults.add(
                    format!("{}.{field}", self.path),
                    "OUT_OF_RANGE",
                    number.to_string(),
                    format!("{low} to {high}"),
                );
            }
        };
        within(
            "basic_velocity_m_per_s",
            site.velocity.as_m_per_s(),
            10.0,
            120.0,
        );
        within("elevation_m", site.elevation.as_m(), -500.0, 6000.0);
        within("topographic_factor", site.topographic, 1.0, 3.0);
        if request.plan.height > asce::HEIGHT_MAX {
            faults.add(
                "plan.height_m",
                "HEIGHT_BEYOND_SCOPE",
                format!("{} m", request.plan.height.as_m()),
                format!(
                    "at most 18.288 m: {}, {}",
                    asce::LOW_RISE.document,
                    asce::LOW_RISE.clause
                ),
            );
        }
    }

    fn suction(&self, request: &WindRequest, sheet: &mut Sheet) -> Result<Suction, Vec<Fault>> {
        let plan = &request.plan;
        sheet.section("Wind");
        sheet.step(format!(
            "{}: edge strips at both vertical edges of every facade",
            self.name()
        ));
        let height = sheet.given("h", plan.height, Origin::request("plan.height_m"));
        let least = plan.length.min(plan.width);
        let least = sheet.given(
            "least horizontal dimension",
            least.to_length(),
            Origin::request("plan"),
        );
        let area = sheet.given(
            "effective area",
            request.loaded_area,
            self.at("loaded_area_m2"),
        );
        let VelocityPressure {
            velocity,
            pressure: q,
        } = self.velocity_pressure(height, sheet);
        let strip = sheet.derive("a", &asce::EDGE_STRIP, (least, height));
        let internal = sheet.given(
            "GC_pi",
            self.site.enclosure.coefficient(),
            Origin::Table(asce::INTERNAL),
        );
        let inward_internal = sheet.given(
            "-GC_pi",
            -self.site.enclosure.coefficient(),
            Origin::Table(asce::INTERNAL),
        );
        let reduction = match self.site.roof {
            RoofSlope::Steeper => 1.0,
            RoofSlope::UpToTenDegrees => 0.9,
        };
        let mut coefficient = |label: &'static str, small: f64, large: f64| {
            let small = sheet.given(
                "GC_p for 10 square feet",
                small * reduction,
                Origin::Table(asce::WALLS),
            );
            let large = sheet.given(
                "GC_p for 500 square feet",
                large * reduction,
                Origin::Table(asce::WALLS),
            );
            sheet.derive(label, &asce::WALL_COEFFICIENT, (area, small, large))
        };
        let outward = [WallZone::Five, WallZone::Four]
            .map(|zone| coefficient("GC_p outwards", zone.outward_small(), asce::OUTWARD_LARGE));
        let inward = coefficient("GC_p inwards", asce::INWARD.0, asce::INWARD.1);
        let pressure = sheet.derive(
            "p inwards",
            &asce::NET_PRESSURE,
            (q, inward, inward_internal),
        );
        let [edge, field] = outward.map(|c| {
            let p = sheet.derive("p outwards", &asce::NET_PRESSURE, (q, c, internal));
            (c, sheet.derive("suction", &SUCTION, (p,)))
        });
        let facades = request.facades.iter().map(|facade| {
            let width = facade.right - facade.left;
            let a = libm::ceil(strip.value.as_mm() - 1e-6).clamp(0.0, f64::from(width.0));
            let a = Mm(a as i32);
            let patch = |zone, x, (coefficient, suction)| Patch {
                zone,
                x,
                y: (facade.bottom, facade.top),
                coefficient,
                suction,
            };
            let patches = [
                patch(Zone::Five, (facade.left, facade.left + a), edge),
                patch(Zone::Five, (facade.right - a, facade.right), edge),
                patch(Zone::Four, (facade.left, facade.right), field),
            ];
            FacadeSuction {
                id: facade.id.clone(),
                strips: envelope(facade, &patches),
                pressure,
            }
        });
        Ok(Suction {
            code: self.name(),
            level: LoadLevel::Strength,
            basic_velocity: velocity,
            reference_height: height,
            peak_pressure: q,
            facades: facades.collect(),
            findings: self.findings(request),
        })
    }
}
