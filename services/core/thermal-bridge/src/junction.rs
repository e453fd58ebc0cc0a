//! What a junction adds to the flat elements beside it, and its coldest inner point, written on the calculation sheet.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::{
    Length, LinearHeatFlow, LinearTransmittance, Temperature, TemperatureDifference,
    ThermalResistance, Transmittance,
};
use standards::{iso_6946, iso_10211};
use working::{Check, Fault, Faults, Figure, Limit, Origin, Sheet};

use crate::detail::{Flank, Section, Side};
use crate::model::{Model, SNAP_M};
use crate::solution::{Solution, SurfacePoint};

/// The figures of a junction.
#[derive(Clone, Debug, PartialEq)]
pub struct Junction {
    /// The heat flow from inside for one kelvin between inside and outside; with two environments, L2D.
    pub coupling: Figure<LinearTransmittance>,
    /// The linear thermal transmittance with inner dimensions.
    pub psi_inner: Figure<LinearTransmittance>,
    /// The linear thermal transmittance with outer dimensions.
    pub psi_outer: Figure<LinearTransmittance>,
    /// The transmittances of the flanking elements, in their order.
    pub flanks: Vec<Figure<Transmittance>>,
    /// The coldest point of the surfaces towards inside.
    pub coldest: SurfacePoint,
    /// The temperature factor there.
    pub factor: Figure<f64>,
    /// What is left when all heat flows are added, as a share of the heat that passes.
    pub imbalance: f64,
}

/// One layer along a cut.
#[derive(Clone, Debug, PartialEq)]
pub struct CutLayer {
    /// The rectangle.
    pub rectangle: usize,
    /// Its extent along the cut.
    pub thickness: Length,
}

/// The layers that a cut crosses, from its start to its end.
///
/// Where the cut runs along the side of rectangles, those to the right of it and above it count, else those left and below.
///
/// # Errors
/// The cut is not parallel to an axis, or leaves the material; `path` stands before the field in the fault.
pub fn layers_along(model: &Model, flank: &Flank, path: &str) -> Result<Vec<CutLayer>, Fault> {
    let across = (flank.to.x - flank.from.x).as_m();
    let up = (flank.to.y - flank.from.y).as_m();
    let horizontal = libm::fabs(across) > SNAP_M;
    if horizontal == (libm::fabs(up) > SNAP_M) {
        return Err(Fault {
            path: format!("{path}.cut_mm"),
            reason: "NOT_AXIS_PARALLEL",
            found: format!("{} by {} mm", across * 1e3, up * 1e3),
            expected: String::from("a cut parallel to one axis"),
        });
    }
    let (start, length, beside) = if horizontal {
        (flank.from.x.as_m(), across, flank.from.y.as_m())
    } else {
        (flank.from.y.as_m(), up, flank.from.x.as_m())
    };
    let end = start + length;
    let (low, high) = (libm::fmin(start, end), libm::fmax(start, end));
    let mut crossed: Vec<(f64, CutLayer)> = Vec::new();
    for after in [true, false] {
        for (i, r) in model.rectangles.iter().enumerate() {
            let (a0, a1, b0, b1) = if horizontal {
                (r.x0, r.x1, r.y0, r.y1)
            } else {
                (r.y0, r.y1, r.x0, r.x1)
            };
            let on_this_side = if after {
                b0.as_m() <= beside + SNAP_M && beside + SNAP_M < b1.as_m()
            } else {
                b0.as_m() < beside - SNAP_M && beside - SNAP_M <= b1.as_m()
            };
            let (from, to) = (libm::fmax(low, a0.as_m()), libm::fmin(high, a1.as_m()));
            let new = !crossed
                .iter()
                .any(|(other, _)| libm::fabs(other - from) <= SNAP_M);
            if on_this_side && to - from > SNAP_M && new {
                let thickness = Length::from_m(to - from);
                crossed.push((
                    from,
                    CutLayer {
                        rectangle: i,
                        thickness,
                    },
                ));
            }
        }
    }
    crossed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let covered: f64 = crossed
        .iter()
        .map(|(_, layer)| layer.thickness.as_m())
        .sum();
    if libm::fabs(covered - (high - low)) > 1e-5 {
        return Err(Fault {
            path: format!("{path}.cut_mm"),
            reason: "CUT_LEAVES_MATERIAL",
            found: format!(
                "{} mm of material along {} mm",
                covered * 1e3,
                (high - low) * 1e3
            ),
            expected: String::from("a cut from face to face, through material all the way"),
        });
    }
    let mut layers: Vec<CutLayer> = crossed.into_iter().map(|(_, layer)| layer).collect();
    if length < 0.0 {
        layers.reverse();
    }
    Ok(layers)
}

/// Writes a solved section on the sheet: heat flow, coupling, flanking elements, psi with both dimensions, temperature factor, and
/// the checks of grid and balance that the standard asks for.
///
/// # Errors
/// No environment inside or outside, both at one temperature, heated environments of different temperatures, or a flank whose cut
/// does not cross the material; all of them at once.
pub fn record(
    sheet: &mut Sheet,
    section: &Section,
    solution: &Solution,
) -> Result<Junction, Vec<Fault>> {
    let sides = Sides::of(section)?;
    sheet.section("Thermal bridge");
    record_search(sheet, solution);
    let given = |sheet: &mut Sheet, index: usize| {
        let environment = section.model.environments.get(index);
        let name = environment.map_or("", |e| e.name.as_str());
        let temperature = solution
            .temperatures()
            .get(index)
            .copied()
            .unwrap_or_default();
        let origin = Origin::request(format!("environments[{index}].temperature_c"));
        sheet.given(format!("temperature {name}"), temperature, origin)
    };
    let temperatures: Vec<Figure<Temperature>> = (0..section.model.environments.len())
        .map(|i| given(sheet, i))
        .collect();
    let pick = |i: usize| {
        temperatures.get(i).copied().unwrap_or(Figure {
            value: Temperature::ZERO,
            line: 0,
        })
    };
    let (inside, outside) = (pick(sides.first_inside), pick(sides.outside));
    let difference = sheet.derive(
        "difference inside to outside",
        &iso_10211::TEMPERATURE_DIFFERENCE,
        (inside, outside),
    );
    let flows: Vec<Figure<LinearHeatFlow>> = sides
        .inside
        .iter()
        .map(|&i| {
            let flow = solution.flow(i).unwrap_or_default();
            let name = section
                .model
                .environments
                .get(i)
                .map_or("", |e| e.name.as_str());
            let origin = Origin::Counted("heat flow solved on the grid".into());
            sheet.given(format!("heat flow from {name}"), flow, origin)
        })
        .collect();
    let flow = sheet.derive("heat flow from inside", &iso_10211::FLOW_SUM, (&flows,));
    let coupling = sheet.derive("thermal coupling", &iso_10211::COUPLING, (flow, difference));
    let flats = Flats::record(sheet, section, &temperatures, difference)?;
    let psi_inner = flats.psi(sheet, "psi with inner dimensions", coupling, &flats.inner);
    let psi_outer = flats.psi(sheet, "psi with outer dimensions", coupling, &flats.outer);
    let coldest = sides
        .inside
        .iter()
        .filter_map(|&i| solution.coldest_surface(i))
        .reduce(|best, next| {
            if next.temperature < best.temperature {
                next
            } else {
                best
            }
        });
    let Some(coldest) = coldest else {
        return Err(Sides::none("environments", "no surface towards inside"));
    };
    let at = coldest.point;
    let surface = sheet.given(
        format!(
            "coldest inner surface, at x {:.1} mm, y {:.1} mm",
            at.x.as_mm(),
            at.y.as_mm()
        ),
        coldest.temperature,
        Origin::Counted("lowest temperature of all inner surface nodes".into()),
    );
    let factor = sheet.derive(
        "temperature factor",
        &iso_10211::TEMPERATURE_FACTOR,
        (surface, inside, outside),
    );
    record_checks(sheet, section, solution);
    Ok(Junction {
        coupling,
        psi_inner,
        psi_outer,
        flanks: flats.u,
        coldest,
        factor,
        imbalance: solution.imbalance(),
    })
}

fn record_search(sheet: &mut Sheet, solution: &Solution) {
    let grids: Vec<String> = solution
        .refinements()
        .iter()
        .map(|r| {
            let change = r.flow_change.map_or(String::new(), |c| {
                format!(", flow changed by {:.3} %", c * 100.0)
            });
            format!("{} x {} lines{change}", r.lines.0, r.lines.1)
        })
        .collect();
    sheet.step(format!(
        "Steady heat flow in two dimensions on a grid whose lines follow every material; all cells halved until the flow settles: {}. Heat in and heat out differ by {:.1e} of the flow.",
        grids.join("; "),
        solution.imbalance()
    ));
}

fn record_checks(sheet: &mut Sheet, section: &Section, solution: &Solution) {
    if let [.., coarse, fine] = solution.refinements() {
        let origin = || Origin::Counted("coupling of the first environment on one grid".into());
        let before = sheet.given("coupling on the coarser grid", coarse.coupling, origin());
        let after = sheet.given("coupling on the halved grid", fine.coupling, origin());
        let change = sheet.derive(
            "change by halving",
            &iso_10211::REFINEMENT_CHANGE,
            (before, after),
        );
        let limit = sheet.given(
            "largest change by halving",
            iso_10211::LARGEST_FLOW_CHANGE,
            Origin::Table(iso_10211::CRITERIA),
        );
        sheet.check(Check {
            name: "the grid is fine enough".into(),
            clause: iso_10211::CRITERIA,
            figure: change,
            limit,
            side: Limit::AtMost,
        });
    }
    let flows: Vec<Figure<LinearHeatFlow>> = (0..section.model.environments.len())
        .map(|i| {
            let flow = solution.flow(i).unwrap_or_default();
            sheet.given(
                format!("heat flow of environment {i}"),
                flow,
                Origin::Counted("solved on the grid".into()),
            )
        })
        .collect();
    let balance = sheet.derive("imbalance", &iso_10211::BALANCE, (&flows,));
    let limit = sheet.given(
        "largest imbalance",
        iso_10211::LARGEST_IMBALANCE,
        Origin::Table(iso_10211::CRITERIA),
    );
    sheet.check(Check {
        name: "heat in equals heat out".into(),
        clause: iso_10211::CRITERIA,
        figure: balance,
        limit,
        side: Limit::AtMost,
    });
}

/// The environments by side.
struct Sides {
    inside: Vec<usize>,
    first_inside: usize,
    outside: usize,
}

impl Sides {
    fn none(path: &str, found: &str) -> Vec<Fault> {
        alloc::vec![Fault {
            path: String::from(path),
            reason: "NO_REFERENCE",
            found: String::from(found),
            expected: String::from(
                "an environment inside and one outside, at different temperatures"
            ),
        }]
    }
    fn of(section: &Section) -> Result<Self, Vec<Fault>> {
        let of = |side: Side| -> Vec<usize> {
            section
                .sides
                .iter()
                .enumerate()
                .filter(|(_, s)| **s == side)
                .map(|(i, _)| i)
                .collect()
        };
        let (inside, outside) = (of(Side::Inside), of(Side::Outside));
        let (Some(&first_inside), Some(&outside)) = (inside.first(), outside.first()) else {
            return Err(Self::none(
                "environments",
                "no environment inside, or none outside",
            ));
        };
        let at = |i: usize| section.model.environments.get(i).map(|e| e.temperature);
        let mut faults = Faults::new();
        if at(first_inside) == at(outside) {
            faults.add(
                "environments",
                "NO_REFERENCE",
                "inside and outside at one temperature",
                "an environment inside and one outside, at different temperatures",
            );
        }
        for &i in &inside {
            if at(i) != at(first_inside) {
                faults.add(
                    format!("environments[{i}].temperature_c"),
                    "INSIDE_DIFFERS",
                    format!("{:?} degrees Celsius", at(i).map(Temperature::as_celsius)),
                    "the temperature of the first environment inside",
                );
            }
        }
        faults.or(Self {
            inside,
            first_inside,
            outside,
        })
    }
}

/// The flanking elements on the sheet.
struct Flats {
    u: Vec<Figure<Transmittance>>,
    inner: Vec<Figure<Length>>,
    outer: Vec<Figure<Length>>,
    /// Their shares of the temperature difference, where one of them borders an unheated space.
    shares: Option<Vec<Figure<f64>>>,
}

impl Flats {
    fn record(
        sheet: &mut Sheet,
        section: &Section,
        temperatures: &[Figure<Temperature>],
        difference: Figure<TemperatureDifference>,
    ) -> Result<Self, Vec<Fault>> {
        let mut faults = Faults::new();
        let (mut u, mut inner, mut outer) = (Vec::new(), Vec::new(), Vec::new());
        for (i, flank) in section.flanks.iter().enumerate() {
            let path = format!("flanks[{i}]");
            match layers_along(&section.model, flank, &path) {
                Ok(layers) => u.push(record_flank(sheet, &section.model, flank, &layers)),
                Err(fault) => faults.extend([fault]),
            }
            let origin = |key: &str| Origin::request(format!("{path}.{key}"));
            inner.push(sheet.given(
                format!("inner length of {}", flank.name),
                flank.inner_length,
                origin("inner_length_mm"),
            ));
            outer.push(sheet.given(
                format!("outer length of {}", flank.name),
                flank.outer_length,
                origin("outer_length_mm"),
            ));
        }
        faults.or(())?;
        let outside = |e: usize| section.sides.get(e) == Some(&Side::Outside);
        let shares = if section.flanks.iter().all(|f| outside(f.cold)) {
            None
        } else {
            let pairs = section.flanks.iter().filter_map(|f| {
                Some((
                    &f.name,
                    *temperatures.get(f.warm)?,
                    *temperatures.get(f.cold)?,
                ))
            });
            Some(
                pairs
                    .map(|(name, warm, cold)| {
                        let label = format!("share of the difference across {name}");
                        sheet.derive(
                            label,
                            &iso_10211::DIFFERENCE_SHARE,
                            (warm, cold, difference),
                        )
                    })
                    .collect(),
            )
        };
        Ok(Self {
            u,
            inner,
            outer,
            shares,
        })
    }

    fn psi(
        &self,
        sheet: &mut Sheet,
        label: &'static str,
        coupling: Figure<LinearTransmittance>,
        lengths: &Vec<Figure<Length>>,
    ) -> Figure<LinearTransmittance> {
        match &self.shares {
            None => sheet.derive(
                label,
                &iso_10211::LINEAR_TRANSMITTANCE,
                (coupling, &self.u, lengths),
            ),
            Some(shares) => sheet.derive(
                label,
                &iso_10211::LINEAR_TRANSMITTANCE_BESIDE_UNHEATED,
                (coupling, shares, &self.u, lengths),
            ),
        }
    }
}

fn record_flank(
    sheet: &mut Sheet,
    model: &Model,
    flank: &Flank,
    layers: &[CutLayer],
) -> Figure<Transmittance> {
    let film = |index: usize| {
        model
            .environments
            .get(index)
            .map_or(ThermalResistance::ZERO, |e| e.resistance)
    };
    let from = |index: usize| {
        Origin::request(format!(
            "environments[{index}].surface_resistance_m2k_per_w"
        ))
    };
    let warm = sheet.given(
        "surface resistance on the warm side",
        film(flank.warm),
        from(flank.warm),
    );
    let cold = sheet.given(
        "surface resistance on the cold side",
        film(flank.cold),
        from(flank.cold),
    );
    let mut resistances: Vec<Figure<ThermalResistance>> = Vec::new();
    for layer in layers {
        let Some(rectangle) = model.rectangles.get(layer.rectangle) else {
            continue;
        };
        let name = &rectangle.name;
        let d = sheet.given(
            format!("thickness of {name} in {}", flank.name),
            layer.thickness,
            Origin::Counted("extent along the cut".into()),
        );
        let lambda = sheet.given(
            format!("conductivity of {name}"),
            rectangle.conductivity,
            Origin::request(format!(
                "rectangles[{}].conductivity_w_per_mk",
                layer.rectangle
            )),
        );
        resistances.push(sheet.derive(
            format!("resistance of {name}"),
            &iso_6946::LAYER,
            (d, lambda),
        ));
    }
    let total = sheet.derive(
        format!("total resistance of {}", flank.name),
        &iso_6946::TOTAL,
        (warm, &resistances, cold),
    );
    sheet.derive(
        format!("transmittance of {}", flank.name),
        &iso_6946::TRANSMITTANCE,
        (total,),
    )
}
