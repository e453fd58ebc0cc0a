//! Made-up walls, years, details and boards for the plots and the cutting sheet.

use drawing::{
    CondensatePlot, CondensationPlane, CostPlot, CostPoint, Curve, CutBoard, CutLine, CutPart,
    CuttingSheet, DetailRectangle, DryingPlot, FieldMark, Hatch, IsothermPlot, LimitLine, PartUse,
    PlaneCondensate, Point, ProfileLayer, Rectangle, TemperatureField, WallProfile,
};
use quantity::Mm;

/// A rendered brick wall under 140 mm of insulation, in January.
pub fn wall() -> WallProfile {
    let layer = |name: &str, thickness_mm: f64, hatch: Hatch| ProfileLayer {
        name: name.into(),
        thickness_mm,
        hatch,
    };
    let layers = vec![
        layer("gypsum plaster", 15.0, Hatch::Level),
        layer("brick masonry", 240.0, Hatch::Rising),
        layer("old render", 20.0, Hatch::Level),
        layer("bonding mortar", 5.0, Hatch::Solid),
        layer("mineral wool board", 140.0, Hatch::Crossed),
        layer("base coat and finish", 8.0, Hatch::Upright),
    ];
    let temperature = vec![
        (-15.0, 20.0),
        (0.0, 19.0),
        (15.0, 18.9),
        (255.0, 15.7),
        (275.0, 15.5),
        (280.0, 15.5),
        (420.0, -4.5),
        (428.0, -4.6),
        (440.0, -5.0),
    ];
    let saturation = temperature
        .iter()
        .map(|&(x, t): &(f64, f64)| {
            let p = if t >= 0.0 {
                610.5 * (17.269 * t / (237.3 + t)).exp()
            } else {
                610.5 * (21.875 * t / (265.5 + t)).exp()
            };
            (x, p)
        })
        .collect();
    WallProfile {
        title: "Temperature and vapour pressure, January".into(),
        left: "inside".into(),
        right: "outside".into(),
        layers,
        temperature,
        vapour_pressure: vec![
            (-15.0, 1285.0),
            (0.0, 1285.0),
            (15.0, 1220.0),
            (255.0, 640.0),
            (275.0, 520.0),
            (280.0, 500.0),
            (420.0, 418.0),
            (428.0, 321.0),
            (440.0, 321.0),
        ],
        saturation_pressure: saturation,
        condensation: vec![CondensationPlane {
            x_mm: 420.0,
            text: "condensate 42 g/m² in the month".into(),
        }],
    }
}

/// A year with condensate at two planes.
pub fn condensate() -> CondensatePlot {
    let months = [
        "Oct", "Nov", "Dec", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep",
    ];
    let plane = |name: &str, monthly: [f64; 12]| {
        let mut sum = 0.0;
        let gathered = monthly
            .iter()
            .map(|v| {
                sum += v;
                sum
            })
            .collect();
        PlaneCondensate {
            name: name.into(),
            monthly_g_per_m2: monthly.to_vec(),
            gathered_g_per_m2: gathered,
        }
    };
    CondensatePlot {
        title: "Condensate by month".into(),
        months: months.iter().map(|m| (*m).into()).collect(),
        planes: vec![
            plane(
                "board / base coat",
                [
                    0.0, 22.0, 58.0, 71.0, 40.0, 6.0, -60.0, -137.0, 0.0, 0.0, 0.0, 0.0,
                ],
            ),
            plane(
                "old render / mortar",
                [
                    0.0, 0.0, 12.0, 18.0, 9.0, -14.0, -25.0, 0.0, 0.0, 0.0, 0.0, 0.0,
                ],
            ),
        ],
        limit: Some(LimitLine {
            name: "limit, demo data".into(),
            value: 200.0,
        }),
    }
}

/// A corner of two walls: an exact field is not needed to look at the lines.
pub fn corner() -> IsothermPlot {
    let lines: Vec<f64> = (0..=60)
        .map(|i| f64::from(i * i) * 1000.0 / 3600.0)
        .collect();
    let mut celsius = Vec::new();
    for y in &lines {
        for x in &lines {
            // Two walls of 380 mm meet at the lower left; the room is the upper right.
            let air = *x > 380.0 && *y > 380.0;
            let depth = x.min(*y) / 380.0;
            let cool = 0.35 * (-((x - y) / 300.0).powi(2)).exp() * depth * (2.0 - depth);
            celsius.push((!air).then_some(-5.0 + 23.5 * (depth.min(1.0) - 0.5 * cool * depth)));
        }
    }
    let part = |b: [f64; 4], material: &str, hatch: Hatch| DetailRectangle {
        x0_mm: b[0],
        y0_mm: b[1],
        x1_mm: b[2],
        y1_mm: b[3],
        material: material.into(),
        hatch,
    };
    IsothermPlot {
        title: "Salient corner, isotherms".into(),
        field: TemperatureField {
            x_mm: lines.clone(),
            y_mm: lines,
            celsius,
        },
        rectangles: vec![
            part(
                [0.0, 0.0, 140.0, 1000.0],
                "insulation board",
                Hatch::Crossed,
            ),
            part(
                [140.0, 0.0, 1000.0, 140.0],
                "insulation board",
                Hatch::Crossed,
            ),
            part(
                [140.0, 140.0, 380.0, 1000.0],
                "brick masonry",
                Hatch::Rising,
            ),
            part(
                [380.0, 140.0, 1000.0, 380.0],
                "brick masonry",
                Hatch::Rising,
            ),
        ],
        emphasised: vec![12.6],
        marks: vec![FieldMark {
            x_mm: 380.0,
            y_mm: 380.0,
            text: "least inside: 15.2 °C".into(),
        }],
    }
}

/// Life-cycle cost over the stocked thicknesses.
pub fn cost() -> CostPlot {
    let points: Vec<CostPoint> = (3..=15)
        .map(|i| {
            let thickness_mm = f64::from(i) * 20.0;
            CostPoint {
                thickness_mm,
                system: 92.0 + 0.31 * thickness_mm,
                heat: 2300.0 / (0.7 + thickness_mm / 35.0) / 10.0,
            }
        })
        .collect();
    let sum = |p: &CostPoint| p.system + p.heat;
    let optimum = (0..points.len()).min_by(|a, b| sum(&points[*a]).total_cmp(&sum(&points[*b])));
    CostPlot {
        title: "Cost over thickness, 30 years".into(),
        unit: "EUR/m²".into(),
        points,
        optimum,
    }
}

/// A wet wall behind four materials.
pub fn drying() -> DryingPlot {
    let curve = |name: &str, days: f64| Curve {
        name: name.into(),
        points: (0..=365)
            .map(|d| (f64::from(d), 4.0 + 26.0 * (-f64::from(d) / days).exp()))
            .collect(),
    };
    DryingPlot {
        title: "Drying of a wet wall".into(),
        x_title: "time after the work, days".into(),
        y_title: "water in the masonry, kg/m²".into(),
        curves: vec![
            curve("no insulation", 60.0),
            curve("mineral wool board", 85.0),
            curve("wood fibre board", 110.0),
            curve("EPS board", 260.0),
        ],
        limits: vec![LimitLine {
            name: "dry enough, demo data".into(),
            value: 10.0,
        }],
    }
}

/// Boards with two or three pieces each, some too small to letter, one notched.
pub fn cutting(boards: u32) -> CuttingSheet {
    let boxed = |x: i32, y: i32, w: i32, h: i32| Rectangle::at(x, y, w, h).corners().to_vec();
    let part = |outline: Vec<Point>, used_as: PartUse| CutPart {
        outline,
        used_as,
        holes: Vec::new(),
        top: drawing::PartTop::Up,
    };
    let cut = |order: u32, a: (i32, i32), b: (i32, i32)| CutLine {
        order,
        from: Point::at(a.0, a.1),
        to: Point::at(b.0, b.1),
    };
    let boards = (0..boards)
        .map(|i| {
            let first = 10 + 4 * i;
            let a = 250 + i32::try_from(i * 37 % 400).unwrap_or(0);
            let (parts, cuts) = match i % 3 {
                0 => (
                    vec![
                        part(boxed(0, 0, a, 500), PartUse::Piece(first)),
                        part(boxed(a, 0, 60, 500), PartUse::Piece(first + 1)),
                        part(boxed(a + 60, 0, 940 - a, 300), PartUse::Offcut(i + 1)),
                        part(boxed(a + 60, 300, 940 - a, 200), PartUse::Scrap),
                    ],
                    vec![
                        cut(1, (a, 0), (a, 500)),
                        cut(2, (a + 60, 0), (a + 60, 500)),
                        cut(3, (a + 60, 300), (1000, 300)),
                    ],
                ),
                1 => (
                    vec![
                        part(
                            vec![
                                Point::at(0, 0),
                                Point::at(1000, 0),
                                Point::at(1000, 500),
                                Point::at(a, 500),
                                Point::at(a, 260),
                                Point::at(0, 260),
                            ],
                            PartUse::Piece(first),
                        ),
                        part(boxed(0, 260, a, 240), PartUse::Piece(first + 1)),
                    ],
                    vec![cut(1, (0, 260), (a, 260)), cut(2, (a, 260), (a, 500))],
                ),
                _ => (
                    vec![
                        part(boxed(0, 0, 480, 500), PartUse::Piece(first)),
                        part(boxed(480, 0, 480, 500), PartUse::Piece(first + 1)),
                        part(boxed(960, 0, 40, 500), PartUse::Scrap),
                    ],
                    vec![cut(1, (480, 0), (480, 500)), cut(2, (960, 0), (960, 500))],
                ),
            };
            CutBoard {
                number: i + 1,
                product: "EPS 140".into(),
                length: Mm(1000),
                height: Mm(500),
                kerf: Mm(0),
                parts,
                cuts,
            }
        })
        .collect();
    CuttingSheet {
        block: crate::scenes::block("Cutting sheet"),
        boards,
        notes: vec![
            "Cut with dust extraction; hot wire outdoors or in well aired rooms only.".into(),
        ],
    }
}
