//! Plots, read back from their SVG text, and the laws of ticks and isotherms.

mod drawing_paper;
#[allow(dead_code)] // shared with the other checks
#[path = "../../services/core/drawing/examples/gallery/plots.rs"]
mod plots;
#[allow(dead_code)] // shared with the other checks
#[path = "../../services/core/drawing/examples/gallery/scenes.rs"]
mod scenes;

use drawing::{
    Curve, DryingPlot, FieldMark, Hatch, IsothermPlot, LimitLine, ProfileLayer, TemperatureField,
    Ticks, condensate_plot, cost_plot, drying_plot, isotherm_plot, isotherms, wall_profile,
};
use drawing_paper::{Numbers, Paper, apart, lawful};

fn every_plot() -> Vec<(&'static str, String)> {
    vec![
        ("wall", wall_profile(&plots::wall()).unwrap()),
        ("condensate", condensate_plot(&plots::condensate()).unwrap()),
        ("corner", isotherm_plot(&plots::corner()).unwrap()),
        ("cost", cost_plot(&plots::cost()).unwrap()),
        ("drying", drying_plot(&plots::drying()).unwrap()),
    ]
}

#[test]
fn every_plot_is_lawful_and_repeatable() {
    let again = every_plot();
    for ((name, svg), (_, second)) in every_plot().iter().zip(&again) {
        let paper = lawful(svg);
        assert_eq!(paper.width, 180.0, "{name}");
        assert_eq!(svg, second, "{name}");
        // Black and white: no other ink is named.
        for part in svg.split(['"', '\'']).filter(|p| p.starts_with('#')) {
            assert!(part == "#000" || part == "#fff", "{part}");
        }
    }
}

#[test]
fn ticks_are_multiples_of_one_two_or_five_and_cover_the_range() {
    let mut numbers = Numbers(3);
    for _ in 0..20_000 {
        let size = 10_f64.powi(numbers.below(14) - 5);
        let low = (numbers.share() - 0.5) * size;
        let high = low + numbers.share() * size;
        let most = 3 + numbers.below(15) as u32;
        let ticks = Ticks::covering(low, high, most);
        assert!([1, 2, 5].contains(&ticks.mantissa));
        assert!(
            (2..=most).contains(&ticks.count),
            "{ticks:?} for {low} to {high}, {most}"
        );
        let step = ticks.mantissa as f64 * 10_f64.powi(ticks.exponent);
        assert!((ticks.step() / step - 1.0).abs() < 1e-12);
        let (first, last) = ticks.range();
        let slack = step * 1e-6;
        assert!(
            first <= low + slack && last >= high - slack,
            "{ticks:?} for {low} to {high}"
        );
        if high - low > 1e-6 * size {
            assert!(
                low - first < step + slack && last - high < step + slack,
                "{ticks:?} for {low} to {high}"
            );
        }
        for i in 0..ticks.count {
            let written: f64 = ticks.label(i).parse().unwrap();
            assert!(
                (written - ticks.value(i)).abs() <= 1e-9 * step.max(ticks.value(i).abs()),
                "{}",
                ticks.label(i)
            );
            assert!(!ticks.label(i).starts_with("-0") || written < 0.0);
        }
        // The next finer step of the series would need too many.
        let finer = match ticks.mantissa {
            5 => 2.0,
            2 => 1.0,
            _ => 0.5,
        } * 10_f64.powi(ticks.exponent);
        if high - low > 1e-6 * size {
            assert!(
                ((high - 1e-9 * finer) / finer).ceil() - ((low + 1e-9 * finer) / finer).floor()
                    + 1.0
                    > f64::from(most) - 1e-6,
                "{ticks:?} for {low} to {high}, {most}"
            );
        }
    }
}

#[test]
fn ticks_bear_anything() {
    for (low, high) in [
        (0.0, 0.0),
        (5.0, 5.0),
        (-3.0, -3.0),
        (f64::NAN, 1.0),
        (f64::NEG_INFINITY, f64::INFINITY),
        (1e300, 2e300),
        (7.0, 2.0),
        (1e12, 1e12),
    ] {
        let ticks = Ticks::covering(low, high, 8);
        assert!(
            ticks.values().iter().all(|v| v.is_finite()),
            "{low} to {high}"
        );
        assert!(ticks.count >= 2 && ticks.count <= 8);
    }
    assert_eq!(Ticks::covering(0.0, 1.0, 11).label(3), "0.3");
    assert_eq!(Ticks::covering(-1.0, 1.0, 5).label(2), "0.0");
}

fn graded(n: u32, size: f64) -> Vec<f64> {
    (0..=n)
        .map(|i| size * (f64::from(i) / f64::from(n)).powf(1.7))
        .collect()
}

fn field(
    x_mm: Vec<f64>,
    y_mm: Vec<f64>,
    value: impl Fn(f64, f64) -> Option<f64>,
) -> TemperatureField {
    let celsius = y_mm
        .iter()
        .flat_map(|y| x_mm.iter().map(|x| value(*x, *y)).collect::<Vec<_>>())
        .collect();
    TemperatureField {
        x_mm,
        y_mm,
        celsius,
    }
}

fn length(line: &[(f64, f64)]) -> f64 {
    line.windows(2)
        .map(|p| (p[1].0 - p[0].0).hypot(p[1].1 - p[0].1))
        .sum()
}

/// In a linear field every isotherm is one straight line from edge to edge, wherever the grid lines lie.
#[test]
fn isotherms_of_a_linear_field_are_straight_and_in_place() {
    let (a, b, c) = (-4.0, 0.013, 0.021);
    let linear = field(graded(23, 700.0), graded(17, 400.0), |x, y| {
        Some(a + b * x + c * y)
    });
    for level in [-3.9, -1.0, 0.0, 2.5, 5.0, 11.0, 13.4] {
        let lines = isotherms(&linear, level);
        assert_eq!(lines.len(), 1, "{level}");
        let line = &lines[0];
        for (x, y) in line {
            assert!((a + b * x + c * y - level).abs() < 1e-9, "{x}, {y}");
        }
        let on_edge = |(x, y): (f64, f64)| {
            x < 1e-9 || y < 1e-9 || (x - 700.0).abs() < 1e-9 || (y - 400.0).abs() < 1e-9
        };
        let (first, last) = (line[0], line[line.len() - 1]);
        assert!(on_edge(first) && on_edge(last));
        let straight = (last.0 - first.0).hypot(last.1 - first.1);
        assert!((length(line) - straight).abs() < 1e-9 * straight);
    }
    assert!(isotherms(&linear, -4.5).is_empty());
    assert!(isotherms(&linear, 14.0).is_empty());
}

/// The isotherms of a distance are circles: closed, and of length 2 pi r as the grid is refined, with second order.
#[test]
fn isotherms_of_a_distance_are_circles() {
    let off = |n: u32| {
        let lines: Vec<f64> = (0..=n)
            .map(|i| f64::from(i) * 2.0 / f64::from(n) - 1.0)
            .collect();
        let distance = field(lines.clone(), lines, |x, y| {
            Some((x - 0.013).hypot(y + 0.007))
        });
        let found = isotherms(&distance, 0.6);
        assert_eq!(found.len(), 1);
        let line = &found[0];
        assert_eq!(line.first(), line.last());
        (length(line) / (2.0 * std::f64::consts::PI * 0.6) - 1.0).abs()
    };
    let (coarse, fine) = (off(40), off(160));
    assert!(coarse < 3e-3 && fine < coarse / 8.0, "{coarse} then {fine}");
}

/// On a saddle the two branches do not cross, and each keeps to its quadrant.
#[test]
fn a_saddle_keeps_its_branches_apart() {
    let lines: Vec<f64> = vec![-1.0, -0.35, 0.3, 1.0];
    let saddle = field(lines.clone(), lines, |x, y| Some(x * y));
    for level in [0.02, -0.02] {
        let found = isotherms(&saddle, level);
        assert_eq!(found.len(), 2, "{level}");
        for line in found {
            let side = line[0].0 > 0.0;
            for (x, y) in line {
                assert!((x > 0.0) == side, "{x}, {y} at {level}");
                assert!((x * y) * level >= -1e-12);
            }
        }
    }
}

#[test]
fn where_there_is_no_material_there_is_no_line() {
    let lines: Vec<f64> = (0..=20).map(f64::from).collect();
    let part = field(lines.clone(), lines, |x, y| {
        (x <= 10.0 || y <= 10.0).then_some(x + y)
    });
    for line in isotherms(&part, 24.5) {
        assert!(line.iter().all(|(x, y)| *x <= 10.0 || *y <= 10.0));
    }
    assert_eq!(isotherms(&part, 24.5).len(), 2);
    assert!(isotherms(&TemperatureField::default(), 1.0).is_empty());
}

/// Value on an axis from a place on paper, by two of its own lettered ticks.
struct Reading {
    at: [f64; 2],
    value: [f64; 2],
}

impl Reading {
    fn of(&self, place: f64) -> f64 {
        self.value[0]
            + (place - self.at[0]) * (self.value[1] - self.value[0]) / (self.at[1] - self.at[0])
    }
    /// Reads the first panel's axes; figures along x are centred, figures along y end at the axis, and letters stand on a base line
    /// half of a 1.8 mm capital below the middle.
    fn axes(paper: &Paper) -> (Self, Self) {
        let ticks = |anchoring: &str| -> Vec<(f64, f64, f64)> {
            paper
                .words
                .iter()
                .filter(|w| w.class == "tick" && w.anchoring == anchoring)
                .map(|w| (w.x, w.y - 0.9, w.content.parse().unwrap()))
                .collect()
        };
        let (x, y) = (ticks("middle"), ticks("end"));
        let (x0, x1) = (x[0], x[x.len() - 1]);
        let (y0, y1) = (y[0], y[y.len() - 1]);
        (
            Self {
                at: [x0.0, x1.0],
                value: [x0.2, x1.2],
            },
            Self {
                at: [y0.1, y1.1],
                value: [y0.2, y1.2],
            },
        )
    }
}

fn curves(paper: &Paper) -> Vec<Vec<(f64, f64)>> {
    paper
        .paths
        .iter()
        .filter(|p| p.group == "curve")
        .map(|p| p.runs.concat())
        .collect()
}

#[test]
fn what_is_read_off_the_cost_plot_is_what_was_plotted() {
    let plot = plots::cost();
    let paper = lawful(&cost_plot(&plot).unwrap());
    let (x, y) = Reading::axes(&paper);
    let curves = curves(&paper);
    assert_eq!(curves.len(), 3);
    for (i, point) in plot.points.iter().enumerate() {
        for (curve, value) in
            curves
                .iter()
                .zip([point.system + point.heat, point.system, point.heat])
        {
            assert!((x.of(curve[i].0) - point.thickness_mm).abs() < 0.05);
            assert!((y.of(curve[i].1) - value).abs() < 0.05);
        }
    }
    // The ring stands on the least sum, found here by looking at every point.
    let least = plot
        .points
        .iter()
        .map(|p| p.system + p.heat)
        .fold(f64::INFINITY, f64::min);
    let ring = paper.circles.iter().find(|c| c.group == "optimum").unwrap();
    assert!((y.of(ring.y) - least).abs() < 0.05);
    assert!(
        paper
            .words
            .iter()
            .any(|w| w.content.starts_with("least: 140 mm"))
    );
}

#[test]
fn what_is_read_off_the_drying_plot_is_what_was_plotted() {
    let plot = plots::drying();
    let paper = lawful(&drying_plot(&plot).unwrap());
    let (x, y) = Reading::axes(&paper);
    let drawn = curves(&paper);
    assert_eq!(drawn.len(), plot.limits.len() + plot.curves.len());
    assert!((y.of(drawn[0][0].1) - 10.0).abs() < 0.01);
    for (curve, given) in drawn[1..].iter().zip(&plot.curves) {
        for (spot, (day, water)) in curve.iter().zip(&given.points) {
            assert!((x.of(spot.0) - day).abs() < 0.03 && (y.of(spot.1) - water).abs() < 0.01);
        }
    }
}

#[test]
fn what_is_read_off_the_wall_is_what_was_plotted() {
    let plot = plots::wall();
    let paper = lawful(&wall_profile(&plot).unwrap());
    // The first figures along y are those of the temperatures, the upper panel.
    let temperatures: Vec<(f64, f64)> = paper
        .words
        .iter()
        .filter(|w| w.class == "tick" && w.anchoring == "end")
        .map(|w| (w.y - 0.9, w.content.parse().unwrap()))
        .take(6)
        .collect();
    let y = Reading {
        at: [temperatures[0].0, temperatures[5].0],
        value: [temperatures[0].1, temperatures[5].1],
    };
    let (x, _) = Reading::axes(&paper);
    let curve = &curves(&paper)[0];
    assert_eq!(curve.len(), plot.temperature.len());
    for (spot, (place, celsius)) in curve.iter().zip(&plot.temperature) {
        assert!((x.of(spot.0) - place).abs() < 0.1, "{place}");
        assert!((y.of(spot.1) - celsius).abs() < 0.02, "{celsius}");
    }
    // The layers above are drawn to the same places.
    let mut face = 0.0;
    for ((_, layer), given) in paper
        .rects
        .iter()
        .filter(|(g, _)| g == "layer")
        .zip(&plot.layers)
    {
        assert!((x.of(layer.x0) - face).abs() < 0.1);
        face += given.thickness_mm;
        assert!((x.of(layer.x1) - face).abs() < 0.1);
    }
}

#[test]
fn bars_are_as_high_as_their_months() {
    let plot = plots::condensate();
    let paper = lawful(&condensate_plot(&plot).unwrap());
    let ticks: Vec<(f64, f64)> = paper
        .words
        .iter()
        .filter(|w| w.class == "tick")
        .map(|w| (w.y - 0.9, w.content.parse().unwrap()))
        .collect();
    let last = ticks[ticks.len() - 1];
    let per_mm = ((last.1 - ticks[0].1) / (last.0 - ticks[0].0)).abs();
    let heights: Vec<f64> = paper
        .rects
        .iter()
        .filter(|(g, _)| g == "bar")
        .map(|(_, b)| (b.y1 - b.y0) * per_mm)
        .collect();
    let given: Vec<f64> = plot
        .planes
        .iter()
        .flat_map(|p| &p.monthly_g_per_m2)
        .filter(|v| **v != 0.0)
        .map(|v| v.abs())
        .collect();
    assert_eq!(heights.len(), given.len());
    for (h, g) in heights.iter().zip(&given) {
        assert!((h - g).abs() < 0.1, "{h} for {g}");
    }
}

#[test]
fn curves_are_told_apart_without_colour() {
    let curves = (0..12)
        .map(|i| Curve {
            name: format!("material {i}"),
            points: vec![(0.0, f64::from(i)), (100.0, f64::from(i) + 1.0)],
        })
        .collect();
    let svg = drying_plot(&DryingPlot {
        title: "Twelve".into(),
        x_title: "time, days".into(),
        y_title: "water, kg/m²".into(),
        curves,
        limits: Vec::new(),
    })
    .unwrap();
    lawful(&svg);
    let document = roxmltree::Document::parse(&svg).unwrap();
    let mut looks = std::collections::BTreeSet::new();
    let groups: Vec<_> = document
        .root_element()
        .children()
        .filter(roxmltree::Node::is_element)
        .collect();
    for (i, group) in groups
        .iter()
        .enumerate()
        .filter(|(_, g)| g.attribute("class") == Some("curve"))
    {
        let mark = groups[i + 1];
        let shape = mark.first_element_child().map(|n| {
            (
                n.tag_name().name().to_owned(),
                n.attribute("d")
                    .map(|d| d.matches(['M', 'L']).count() * 10 + d.matches('M').count()),
            )
        });
        looks.insert((
            group.attribute("stroke-dasharray").map(str::to_owned),
            mark.attribute("fill").map(str::to_owned),
            shape,
        ));
    }
    assert_eq!(looks.len(), 12);
}

#[test]
fn faults_of_plots_come_at_once() {
    let mut wall = plots::wall();
    wall.layers[1].thickness_mm = 0.0;
    wall.layers.push(ProfileLayer {
        name: "x".into(),
        thickness_mm: f64::NAN,
        hatch: Hatch::Plain,
    });
    wall.temperature[0].1 = f64::INFINITY;
    wall.condensation[0].x_mm = f64::NAN;
    assert_eq!(wall_profile(&wall).unwrap_err().len(), 4);

    let mut year = plots::condensate();
    year.planes[0].monthly_g_per_m2.pop();
    year.planes[1].gathered_g_per_m2[3] = f64::NAN;
    year.limit = Some(LimitLine {
        name: "limit".into(),
        value: f64::NAN,
    });
    assert_eq!(condensate_plot(&year).unwrap_err().len(), 3);

    let mut corner = plots::corner();
    corner.field.x_mm[5] = corner.field.x_mm[4];
    corner.field.celsius[0] = Some(f64::NAN);
    corner.rectangles[0].x1_mm = corner.rectangles[0].x0_mm;
    let paths: Vec<String> = isotherm_plot(&corner)
        .unwrap_err()
        .into_iter()
        .map(|f| f.path)
        .collect();
    assert_eq!(
        paths,
        ["field.x_mm[5]", "field.celsius[0]", "rectangles[0]"]
    );

    let mut cost = plots::cost();
    cost.points[2].thickness_mm = cost.points[1].thickness_mm;
    cost.optimum = Some(99);
    assert_eq!(cost_plot(&cost).unwrap_err().len(), 2);

    assert!(drying_plot(&DryingPlot::default()).is_err());
    assert!(isotherm_plot(&IsothermPlot::default()).is_err());
}

/// Plots of random figures, tiny, huge, negative, flat, stay on the page.
#[test]
fn anything_that_is_accepted_is_plotted_lawfully() {
    let mut numbers = Numbers(11);
    for round in 0..200 {
        let size = 10_f64.powi(round % 15 - 6);
        let mut value = || (numbers.share() - 0.5) * size;
        let curves = (0..3)
            .map(|i| Curve {
                name: format!("{i} {}", "long name ".repeat(12)),
                points: (0..30).map(|_| (value(), value())).collect(),
            })
            .collect();
        let paper = lawful(
            &drying_plot(&DryingPlot {
                title: "t".repeat(300),
                x_title: "x".into(),
                y_title: "y ".repeat(80),
                curves,
                limits: vec![LimitLine {
                    name: "l".into(),
                    value: value(),
                }],
            })
            .unwrap(),
        );
        apart(&paper, &["tick"]);
        let mut wall = plots::wall();
        for point in wall
            .temperature
            .iter_mut()
            .chain(&mut wall.vapour_pressure)
            .chain(&mut wall.saturation_pressure)
        {
            point.1 = value();
        }
        wall.left = "a very long word for the inside of a house".into();
        wall.condensation[0].x_mm = value();
        let paper = lawful(&wall_profile(&wall).unwrap());
        apart(&paper, &["tick"]);
        let mut corner = plots::corner();
        for (i, t) in corner.field.celsius.iter_mut().enumerate() {
            *t = (i % 17 != 3).then(&mut value);
        }
        corner.marks[0].x_mm = value();
        corner.marks[0].text = "mark ".repeat(30);
        corner.field.y_mm.truncate(9);
        corner.field.celsius.truncate(9 * 61);
        lawful(&isotherm_plot(&corner).unwrap());
    }
}

/// The words of two places near each other cover neither each other nor a ring, wherever on the field they are.
#[test]
fn words_of_near_places_keep_apart() {
    let mut numbers = Numbers(5);
    for _ in 0..300 {
        let mut corner = plots::corner();
        let xs = &corner.field.x_mm;
        let ys = &corner.field.y_mm;
        let across = |share: f64, of: &[f64]| of[0] + share * (of[of.len() - 1] - of[0]);
        let at = (across(numbers.share(), xs), across(numbers.share(), ys));
        let aside = |n: &mut Numbers, of: &[f64], from: f64| {
            (from + 0.1 * (n.share() - 0.5) * (of[of.len() - 1] - of[0]))
                .clamp(of[0], of[of.len() - 1])
        };
        let near = (aside(&mut numbers, xs, at.0), aside(&mut numbers, ys, at.1));
        let mark = |(x_mm, y_mm): (f64, f64), text: &str| FieldMark {
            x_mm,
            y_mm,
            text: text.into(),
        };
        corner.marks = vec![mark(at, "reveal at the frame"), mark(near, "coldest")];
        let paper = lawful(&isotherm_plot(&corner).unwrap());
        let words: Vec<_> = paper
            .words
            .iter()
            .filter(|w| w.group == "field-mark")
            .map(|w| {
                // Letters of a common sans-serif face are 0.55 of their size wide on the mean, or less.
                let length = 0.55 * w.content.chars().count() as f64 * w.size;
                w.sized_box(length, 0.73 * w.size)
            })
            .collect();
        assert_eq!(words.len(), 2);
        assert!(!words[0].overlaps(&words[1]), "{at:?} {near:?}");
        for ring in paper.circles.iter().filter(|c| c.group == "field-mark") {
            for word in &words {
                let (x, y) = (
                    ring.x.clamp(word.x0, word.x1),
                    ring.y.clamp(word.y0, word.y1),
                );
                assert!(
                    (ring.x - x).hypot(ring.y - y) >= ring.r - 0.02,
                    "{at:?} {near:?}"
                );
            }
        }
    }
}
