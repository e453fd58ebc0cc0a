//! Walls, parts and rule sets that the takeoff checks share.
#![allow(dead_code)] // each test file uses its share

pub mod stock;

use std::fs;
use std::path::{Path, PathBuf};

use facade::{
    BaseStep, Below, Building, ExistingLayer, Facade, Flatness, Meets, Opening, OpeningKind, Point,
    Rectangle, Substrate, Surface,
};
use quantity::{Area, Conductivity, Density, Length, Mm, Rounding, SpecificHeat};
use takeoff::edges::EdgeKind;
use takeoff::measurement::{
    Adjacent, Band, CornerOpenings, Edge, HeightStages, MeasureRounding, OpeningBasis, OutlineRule,
    Plane, RevealBilling, RevealSides,
};
use takeoff::{
    BoardNeed, BoardRole, Component, Job, Laid, Line, MeasurementRules, Parts, Practice, Site,
    Takeoff, take_off,
};
use working::{Sheet, Standing};

pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// A shipped measurement rule set.
pub fn rules(key: &str) -> MeasurementRules {
    let path = root().join(format!("catalogues/rules/measurement/{key}.toml"));
    read_rules(&fs::read_to_string(path).unwrap())
}

/// A measurement rule set from its text, by the key table of [`MeasurementRules`].
pub fn read_rules(text: &str) -> MeasurementRules {
    let t: toml::Table = text.parse().unwrap();
    let known = [
        "format",
        "key",
        "name",
        "document",
        "edition",
        "source",
        "status",
        "notes",
        "plane",
        "outline",
        "opening-basis",
        "adjacent-openings",
        "corner-openings",
        "reveal-sides",
        "reveal-length-up-to-mm",
        "interruption-over-mm",
        "linear-gap-over-mm",
        "narrow-strip-up-to-mm",
        "round-length-decimals",
        "round-area-decimals",
        "height-stages",
        "band",
    ];
    for key in t.keys() {
        assert!(known.contains(&key.as_str()), "unknown key {key}");
    }
    assert_eq!(t["format"].as_integer(), Some(1));
    let word = |key: &str| t.get(key).map(|v| v.as_str().unwrap().to_owned());
    let mm = |v: Option<&toml::Value>| v.map(|v| Length::from_mm(number(v)));
    let places = |key: &str| {
        t.get(key).map_or(Rounding::Full, |v| {
            Rounding::Decimals(u8::try_from(v.as_integer().unwrap()).unwrap())
        })
    };
    let template = MeasurementRules::template(word("key").unwrap(), word("name").unwrap());
    MeasurementRules {
        document: word("document").unwrap(),
        edition: word("edition").unwrap(),
        source: word("source").unwrap(),
        standing: match word("status").as_deref() {
            Some("published") => Standing::Published,
            Some("unverified") => Standing::Unverified,
            other => panic!("status {other:?}"),
        },
        notes: t["notes"]
            .as_array()
            .unwrap()
            .iter()
            .map(|v| v.as_str().unwrap().to_owned())
            .collect(),
        plane: match word("plane").as_deref() {
            None | Some("bare-wall") => Plane::BareWall,
            Some("finished-surface") => Plane::FinishedSurface,
            other => panic!("plane {other:?}"),
        },
        outline: match word("outline").as_deref() {
            None | Some("as-built") => OutlineRule::AsBuilt,
            Some("bounding-rectangle") => OutlineRule::BoundingRectangle,
            other => panic!("outline {other:?}"),
        },
        basis: match word("opening-basis").as_deref() {
            Some("raw") => OpeningBasis::Raw,
            None | Some("finished") => OpeningBasis::Finished,
            Some("smallest") => OpeningBasis::Smallest,
            other => panic!("basis {other:?}"),
        },
        adjacent: match word("adjacent-openings").as_deref() {
            None | Some("apart") => Adjacent::Apart,
            Some("joined") => Adjacent::Joined,
            other => panic!("adjacent {other:?}"),
        },
        corner_openings: match word("corner-openings").as_deref() {
            None | Some("per-face") => CornerOpenings::PerFace,
            Some("whole") => CornerOpenings::Whole,
            other => panic!("corner openings {other:?}"),
        },
        reveal_sides: match word("reveal-sides").as_deref() {
            None | Some("jambs-and-head") => RevealSides::JambsAndHead,
            Some("all-sides") => RevealSides::AllSides,
            other => panic!("reveal sides {other:?}"),
        },
        reveal_length_up_to: mm(t.get("reveal-length-up-to-mm")),
        interruption_over: mm(t.get("interruption-over-mm")),
        linear_gap_over: mm(t.get("linear-gap-over-mm")),
        narrow_strip_up_to: mm(t.get("narrow-strip-up-to-mm")),
        height_stages: t.get("height-stages").map(|v| HeightStages {
            first: Length::from_mm(number(&v["first-mm"])),
            step: Length::from_mm(number(&v["step-mm"])),
        }),
        rounding: MeasureRounding {
            length: places("round-length-decimals"),
            area: places("round-area-decimals"),
        },
        bands: t
            .get("band")
            .map(|v| v.as_array().unwrap().iter().map(band).collect())
            .unwrap_or_default(),
        ..template
    }
}

fn band(v: &toml::Value) -> Band {
    Band {
        up_to: v.get("up-to-m2").map(|v| Area::from_m2(number(v))),
        edge: match v.get("limit").and_then(toml::Value::as_str) {
            None | Some("included") => Edge::Included,
            Some("excluded") => Edge::Excluded,
            other => panic!("limit {other:?}"),
        },
        deduct_share: number(&v["deduct-share"]),
        reveals: match v["reveals"].as_str() {
            Some("none") => RevealBilling::None,
            Some("area") => RevealBilling::Area,
            Some("length") => RevealBilling::Length,
            other => panic!("reveals {other:?}"),
        },
    }
}

pub fn number(v: &toml::Value) -> f64 {
    v.as_float()
        .unwrap_or_else(|| v.as_integer().unwrap() as f64)
}

pub fn rectangle(width: i32, height: i32) -> Vec<Point> {
    vec![
        Point::at(0, 0),
        Point::at(width, 0),
        Point::at(width, height),
        Point::at(0, height),
    ]
}

pub fn window(id: &str, x: i32, y: i32, width: i32, height: i32) -> Opening {
    Opening {
        id: id.into(),
        kind: OpeningKind::Window,
        raw: Rectangle {
            x: Mm(x),
            y: Mm(y),
            width: Mm(width),
            height: Mm(height),
        },
        ..Opening::default()
    }
}

/// A wall with free ends, its base line at the outline's lowest point, 300 mm above a walkway.
pub fn wall(id: &str, outline: Vec<Point>, openings: Vec<Opening>) -> Facade {
    let (low, high) = facade::bounds(&outline).unwrap();
    Facade {
        id: id.into(),
        outline,
        openings,
        left: Meets::FreeEnd,
        right: Meets::FreeEnd,
        joints: Vec::new(),
        base: vec![BaseStep {
            from: low.x,
            to: high.x,
            level: low.y,
            ground: low.y - Mm(300),
            below: Below::Walkway,
        }],
        cracks: Vec::new(),
        fixtures: Vec::new(),
        substrate: None,
    }
}

pub fn building(facades: Vec<Facade>) -> Building {
    Building {
        facades,
        substrate: Substrate {
            layers: vec![ExistingLayer {
                name: "solid masonry".into(),
                thickness: Length::from_mm(240.0),
                conductivity: Conductivity::from_w_per_mk(0.5),
                vapour_resistance_factor: 10.0,
                density: Density::from_kg_per_m3(1200.0),
                specific_heat: SpecificHeat::from_j_per_kgk(1000.0),
            }],
            surface: Surface::Render,
            old_render: Mm(20),
            flatness: Some(Flatness {
                gap: Mm(4),
                straightedge: Mm(2000),
            }),
            conditions: Vec::new(),
            category: None,
            pull_off: None,
            pull_out_tests: Vec::new(),
        },
        plan_length: Mm(10_000),
        plan_width: Mm(10_000),
        height: Mm(8_000),
        storeys: 2,
    }
}

/// Boards as a setting-out might report them: four in a hundred more than the area asks for.
pub fn laid(building: &Building, parts: &Parts, thickness: Mm) -> Laid {
    let net: Area = building.facades.iter().map(Facade::net_area).sum();
    let one = parts.board.length.to_length() * parts.board.height.to_length();
    let bound = (net / one).ceil();
    let boards = (1.04 * bound).ceil();
    Laid {
        boards: vec![BoardNeed {
            board: parts.system.board.clone(),
            role: BoardRole::Facade,
            thickness,
            boards: boards as u64,
            bound: bound as u64,
            net_area: net,
            by_facade: Vec::new(),
            unanchored: Vec::new(),
            offcut_area: Area::ZERO,
            scrap_area: one * boards - net,
            cuts: 10,
            joint_length: Length::from_m(3.0 * net.as_m2()),
            leftovers: Vec::new(),
        }],
    }
}

pub fn job<'a>(
    building: &'a Building,
    parts: &Parts<'a>,
    laid: &'a Laid,
    measurement: &'a MeasurementRules,
) -> Job<'a> {
    Job {
        building,
        thickness: laid.boards.first().map_or(Mm(140), |b| b.thickness),
        plinth_thickness: None,
        bonding: None,
        bonds: &[],
        parts: parts.clone(),
        courses: &[],
        laid,
        anchors: &[],
        measurement,
        site: Site::default(),
        practice: Practice::default(),
    }
}

/// A fixed-seed source of whole numbers.
pub struct Draw(pub u64);

impl Draw {
    pub fn below(&mut self, end: u64) -> u64 {
        tests::mixed(&mut self.0) % end
    }
    pub fn between(&mut self, low: i32, high: i32) -> i32 {
        low + self.below((high - low + 1) as u64) as i32
    }
}

/// The first line of a part.
pub fn line(found: &Takeoff, component: Component) -> &Line {
    let line = found.lines.iter().find(|l| l.component == component);
    line.unwrap_or_else(|| panic!("no {component:?}"))
}

/// Whether two figures agree but for the dust of arithmetic.
pub fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * b.abs().max(1.0)
}

/// The takeoff of a building in boards of 140 mm, billed by DIN 18345.
pub fn take(home: &Building) -> Takeoff {
    let stock = stock::assortment();
    let parts = Parts::resolve(&stock, "eps", None).unwrap();
    let boards = laid(home, &parts, Mm(140));
    let set = rules("din-18345");
    take_off(&job(home, &parts, &boards, &set), &mut Sheet::new()).unwrap()
}

/// All edges of a kind.
pub fn metres(found: &Takeoff, kind: EdgeKind) -> f64 {
    let of = found.edges.iter().filter(|e| e.kind == kind);
    of.map(|e| e.length.as_m()).sum()
}

/// A part of a base line, 300 mm above its ground.
pub fn base_step(from: i32, to: i32, level: i32, below: Below) -> BaseStep {
    BaseStep {
        from: Mm(from),
        to: Mm(to),
        level: Mm(level),
        ground: Mm(level - 300),
        below,
    }
}

/// Two walls of 6.4 m and 5.2 m by 3.4 m round a corner, each with a window of 1.4 m height up to it.
pub fn corner_window(insulation: i32) -> Building {
    let corner = |with: &str| Meets::SalientCorner { with: with.into() };
    let reveal = |o: Opening| Opening {
        reveal_depth: Mm(140),
        reveal_insulation: Mm(insulation),
        ..o
    };
    let mut south = wall(
        "south",
        rectangle(6400, 3400),
        vec![reveal(window("S", 4400, 900, 2000, 1400))],
    );
    south.left = Meets::AbuttingBuilding;
    south.right = corner("east");
    let mut east = wall(
        "east",
        rectangle(5200, 3400),
        vec![reveal(window("E", 0, 900, 1600, 1400))],
    );
    east.left = corner("south");
    east.right = Meets::AbuttingBuilding;
    building(vec![south, east])
}
