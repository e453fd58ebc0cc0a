//! The short form that a web shop has, and what is assumed to make a building of it.

use alloc::borrow::ToOwned;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use material::BaseCategory;
use quantity::{Conductivity, Density, Length, Mm, SpecificHeat};
use working::{Fault, Faults};

use crate::building::{BaseStep, Below, Building, Facade, Meets, Opening, OpeningKind};
use crate::check::LIMITS;
use crate::polygon::{Point, Rectangle};
use crate::substrate::{ExistingLayer, Substrate, Surface};

/// One plain facade by length, height, number and size of openings.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ShortForm {
    /// Length of the facade.
    pub length: Mm,
    /// Height of the facade above the base line.
    pub height: Mm,
    /// Number of openings, all alike.
    pub opening_count: u32,
    /// Width of each.
    pub opening_width: Mm,
    /// Height of each.
    pub opening_height: Mm,
}

/// Something the service assumed, and for which field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assumption {
    /// The field of the full survey that it fills.
    pub path: String,
    /// What was assumed and why.
    pub text: String,
}

/// The reveal depth assumed, common practice, no source.
const REVEAL_DEPTH: Mm = Mm(150);
/// The reveal insulation assumed, common practice, no source.
const REVEAL_INSULATION: Mm = Mm(30);
/// The least strip of wall between openings and to the edges in an assumed arrangement.
const STRIP: Mm = Mm(300);

/// The storey height assumed, common practice, no source.
const STOREY: Mm = Mm(2800);
/// The most storeys of a building; see [`check`](crate::check).
const STOREYS_MAX: i32 = 60;
/// The height above ground at which the base line is assumed.
const BASE_LINE: Mm = Mm(300);
/// The greatest height whose building lies within the limits of a survey.
const HEIGHT_MAX: Mm = Mm(STOREY.0 * STOREYS_MAX);

impl ShortForm {
    /// The building, and everything that was assumed to make it.
    ///
    /// # Errors
    /// Every fault of the form at once: a size that is not positive or beyond the limits, or openings that cannot be set apart in the wall.
    pub fn expand(&self) -> Result<(Building, Vec<Assumption>), Vec<Fault>> {
        let mut faults = Faults::new();
        let mut positive = |path: &str, size: Mm, most: Mm| {
            if size <= Mm::ZERO || size > most {
                faults.add(
                    path,
                    "OUT_OF_RANGE",
                    format!("{size}"),
                    format!("1 to {most}"),
                );
            }
        };
        positive("short.length_mm", self.length, LIMITS.extent);
        positive("short.height_mm", self.height, HEIGHT_MAX);
        if self.opening_count > 0 {
            positive("short.opening_width_mm", self.opening_width, LIMITS.extent);
            positive(
                "short.opening_height_mm",
                self.opening_height,
                LIMITS.height,
            );
        }
        if self.opening_count == 0 && (self.opening_width, self.opening_height) != (Mm(0), Mm(0)) {
            faults.add(
                "short.opening_count",
                "MISSING",
                format!(
                    "no number of openings of {} x {}",
                    self.opening_width, self.opening_height
                ),
                "how many openings there are, or no sizes of openings",
            );
        }
        if self.opening_count > LIMITS.openings {
            faults.add(
                "short.opening_count",
                "LIMIT_EXCEEDED",
                format!("{}", self.opening_count),
                format!("at most {}", LIMITS.openings),
            );
        }
        if !faults.is_empty() {
            return Err(faults.into_list());
        }
        let Some(openings) = self.arrange() else {
            let area = f64::from(self.opening_width.0)
                * f64::from(self.opening_height.0)
                * f64::from(self.opening_count);
            faults.add(
                "short.opening_count",
                "OPENINGS_DO_NOT_FIT",
                format!("{} openings of {} x {} ({:.1} m2)", self.opening_count, self.opening_width, self.opening_height, area / 1e6),
                format!("openings that leave strips of {STRIP} in a wall of {} x {}; send the full survey where they stand closer", self.length, self.height),
            );
            return Err(faults.into_list());
        };
        Ok((self.building(openings), self.assumptions()))
    }

    /// Rows of equal openings, evenly spaced; nothing where they do not fit.
    fn arrange(&self) -> Option<Vec<Opening>> {
        if self.opening_count == 0 {
            return Some(Vec::new());
        }
        let fit = |extent: Mm, size: Mm| ((extent.0 - STRIP.0) / (size.0 + STRIP.0)).max(0) as u32;
        let (across, up) = (
            fit(self.length, self.opening_width),
            fit(self.height, self.opening_height),
        );
        if u64::from(across) * u64::from(up) < u64::from(self.opening_count) {
            return None;
        }
        let rows = self
            .opening_count
            .div_ceil(across)
            .max(self.storeys().min(self.opening_count).min(up));
        let even =
            |extent: Mm, size: Mm, count: u32, at: u32| {
                let free = i64::from(extent.0) - i64::from(size.0) * i64::from(count);
                Mm((free * i64::from(at + 1) / i64::from(count + 1)
                    + i64::from(size.0) * i64::from(at)) as i32)
            };
        let mut openings = Vec::new();
        for row in 0..rows {
            let in_row = self.opening_count / rows + u32::from(row < self.opening_count % rows);
            for column in 0..in_row {
                openings.push(Opening {
                    id: format!("O{}", openings.len() + 1),
                    kind: OpeningKind::Window,
                    raw: Rectangle {
                        x: even(self.length, self.opening_width, in_row, column),
                        y: even(self.height, self.opening_height, rows, row),
                        width: self.opening_width,
                        height: self.opening_height,
                    },
                    reveal_depth: REVEAL_DEPTH,
                    reveal_insulation: if self.opening_width > Mm(200)
                        && self.opening_height > Mm(200)
                    {
                        REVEAL_INSULATION
                    } else {
                        Mm::ZERO
                    },
                    sill_insulation: Mm::ZERO,
                });
            }
        }
        Some(openings)
    }

    fn storeys(&self) -> u32 {
        ((self.height.0 + STOREY.0 / 2) / STOREY.0).max(1) as u32
    }

    fn building(&self, openings: Vec<Opening>) -> Building {
        let facade = Facade {
            id: "F1".to_owned(),
            outline: alloc::vec![
                Point::at(0, 0),
                Point {
                    x: self.length,
                    y: Mm::ZERO
                },
                Point {
                    x: self.length,
                    y: self.height
                },
                Point {
                    x: Mm::ZERO,
                    y: self.height
                },
            ],
            openings,
            left: Meets::FreeEnd,
            right: Meets::FreeEnd,
            joints: Vec::new(),
            base: alloc::vec![BaseStep {
                from: Mm::ZERO,
                to: self.length,
                level: Mm::ZERO,
                ground: -BASE_LINE,
                below: Below::Walkway
            }],
            cracks: Vec::new(),
            fixtures: Vec::new(),
            substrate: None,
        };
        let masonry = ExistingLayer {
            name: "solid masonry".to_owned(),
            thickness: Length::from_mm(240.0),
            conductivity: Conductivity::from_w_per_mk(0.5),
            vapour_resistance_factor: 10.0,
            density: Density::from_kg_per_m3(1200.0),
            specific_heat: SpecificHeat::from_j_per_kgk(1000.0),
        };
        Building {
            facades: alloc::vec![facade],
            substrate: Substrate {
                layers: alloc::vec![masonry],
                surface: Surface::Render,
                old_render: Mm(20),
                flatness: None,
                conditions: Vec::new(),
                category: None,
                pull_off: None,
                pull_out_tests: Vec::new(),
            },
            plan_length: self.length,
            plan_width: self.length.min(Mm(10_000)),
            height: self.height + BASE_LINE,
            storeys: self.storeys(),
        }
    }

    fn assumptions(&self) -> Vec<Assumption> {
        let mut list = Vec::new();
        let mut assume = |path: &str, text: String| {
            list.push(Assumption {
                path: path.to_owned(),
                text,
            });
        };
        assume(
            "building.facades[0].base",
            "the base line is straight and level, 300 mm above a finished walkway".to_owned(),
        );
        assume(
            "building.facades[0].left",
            "both ends are free: no corner, no abutting building".to_owned(),
        );
        if self.opening_count > 0 {
            assume(
                "building.facades[0].openings",
                format!(
                    "openings of the size told stand in evenly spaced rows, with reveals {REVEAL_DEPTH} deep, insulated {REVEAL_INSULATION}"
                ),
            );
        }
        assume(
            "building.substrate.layers",
            "240 mm solid masonry, 0.5 W/(m.K)".to_owned(),
        );
        assume(
            "building.substrate.old_render_mm",
            "20 mm old render, sound and flat".to_owned(),
        );
        assume(
            "building.plan_length_mm",
            "the facade is as long as the building".to_owned(),
        );
        assume(
            "building.plan_width_mm",
            format!("the building is {} deep", self.length.min(Mm(10_000))),
        );
        assume(
            "building.height_mm",
            "the roof is at the height of the facade, which begins 300 mm above ground".to_owned(),
        );
        assume(
            "building.storeys",
            format!("{} storeys of about 2.8 m", self.storeys()),
        );
        let letters: Vec<String> = BaseCategory::ALL
            .iter()
            .map(|c| format!("{}", c.letter()))
            .collect();
        assume(
            "building.substrate.category",
            format!(
                "the base material's category ({}) is not known: anchors stay to be confirmed by pull-out tests on site",
                letters.join(", ")
            ),
        );
        list
    }
}
