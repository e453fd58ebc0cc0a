//! Anchors, lengths, bond and fire rows: vectors, refusals and laws.

mod fixing_reading;
mod fixing_scene;

use std::fs::read_to_string;

use facade::{Condition, Flatness};
use fixing::anchors::{
    AnchorRequest, Governing, Pattern, ResistanceLevel, WallResistance, ZoneDesign, design,
    resistance,
};
use fixing::bond::{BondRequest, bond, preparation};
use fixing::fire::{
    FireAnswer, FireBuilding, FireFacade, FireOpening, FireStep, FireTop, barriers,
};
use fixing::length::{Layers, choose};
use fixing::wind::LoadLevel;
use fixing::{pull_out, rules};
use fixing_reading::{files, fire_rules, fixing_rules, root};
use fixing_scene::{anchor, board, plug, scene, substrate};
use material::{Attachment, BaseCategory, PlateResistance, Setting};
use quantity::{Area, AreaMass, Force, Length, Mm, PerArea, Stress, WindPressure};
use serde::Deserialize;
use standards::en_13501_1::FireClass;
use working::{Fault, Origin, Severity, Sheet, Standing};

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct AnchorCase {
    id: String,
    #[allow(dead_code)]
    source: String,
    suction_kpa: f64,
    wind_factor: f64,
    wall_kn: f64,
    wall_factor: f64,
    panel_kn: f64,
    joint_kn: f64,
    system_factor: f64,
    pattern: String,
    per_m2_min: f64,
    design_suction_kpa: Option<f64>,
    wall_design_kn: Option<f64>,
    system_design_kn: Option<f64>,
    needed: f64,
    asked: f64,
    per_board: u32,
    governing: String,
}

#[derive(Deserialize)]
struct Cases<T> {
    case: Vec<T>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct PullOutCase {
    id: String,
    #[allow(dead_code)]
    source: String,
    loads_kn: Vec<f64>,
    evaluated_kn: f64,
    step_kn: f64,
    capped: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct BondCase {
    id: String,
    #[allow(dead_code)]
    source: String,
    bond_strength_mpa: f64,
    design_suction_kpa: f64,
    mass_kg_per_m2: f64,
    share_of_strength: f64,
    share: f64,
    tension_pa: f64,
    shear_pa: f64,
    utilisation: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct LengthCase {
    id: String,
    old_render_mm: i32,
    bed_mm: i32,
    board_mm: i32,
    needed_mm: f64,
    length_mm: i32,
}

fn worked<T: for<'de> Deserialize<'de>>(name: &str) -> T {
    let text = read_to_string(root().join("tests/worked/fixing").join(name)).expect(name);
    toml::from_str(&text).expect(name)
}

/// What the anchors of one zone are designed with.
#[derive(Clone)]
struct Zone {
    suction_kpa: f64,
    wind_factor: f64,
    wall: WallResistance,
    wall_factor: f64,
    panel_kn: f64,
    joint_kn: f64,
    system_factor: f64,
    pattern: Pattern,
    per_m2_min: f64,
}

fn stated(kn: f64, level: ResistanceLevel) -> WallResistance {
    WallResistance::Stated {
        category: BaseCategory::SolidMasonry,
        resistance: Force::from_kn(kn),
        level,
        source: "vector".into(),
    }
}

fn zone() -> Zone {
    Zone {
        suction_kpa: 1.05,
        wind_factor: 1.5,
        wall: stated(0.9, ResistanceLevel::Characteristic),
        wall_factor: 2.0,
        panel_kn: 0.52,
        joint_kn: 0.42,
        system_factor: 1.5,
        pattern: Pattern::JointsAndField,
        per_m2_min: 4.0,
    }
}

impl Zone {
    fn design(&self) -> (ZoneDesign, Force) {
        let mut set = rules::defaults();
        set.wind_factor.value = self.wind_factor;
        set.wall_factor.value = self.wall_factor;
        set.system_factor.value = self.system_factor;
        set.per_m2_min.value = PerArea::from_per_m2(self.per_m2_min);
        let anchor = anchor();
        let rows = [PlateResistance {
            board: "board.eps".into(),
            thickness_min: Mm(80),
            plate_diameter_min: Mm(60),
            panel: Force::from_kn(self.panel_kn),
            joint: Force::from_kn(self.joint_kn),
        }];
        let mut request = request(&set, &anchor, &rows);
        request.wall = self.wall.clone();
        request.pattern = self.pattern;
        request.per_m2_min = self.per_m2_min;
        let mut sheet = Sheet::new();
        let r = resistance(&request, &mut sheet).expect("sound");
        let w = sheet.given(
            "w_ek",
            WindPressure::from_kpa(self.suction_kpa),
            Origin::request("w"),
        );
        let wall = r.wall.value;
        (design("zone", &r, w, &mut sheet), wall)
    }
}

fn request<'a>(
    set: &'a standards::eota::FixingRules,
    anchor: &'a material::Anchor,
    rows: &'a [PlateResistance],
) -> AnchorRequest<'a> {
    AnchorRequest {
        path: "situations[0]",
        rules: set,
        level: LoadLevel::Characteristic,
        anchor,
        plate: None,
        board: "board.eps",
        board_thickness: Mm(140),
        board_area: Area::from_m2(0.5),
        plate_resistances: rows,
        per_m2_min: 4.0,
        per_m2_max: 16.0,
        category: Some(BaseCategory::SolidMasonry),
        member_thickness: Some(Length::from_mm(240.0)),
        wall: WallResistance::Assessed,
        pattern: Pattern::JointsAndField,
    }
}

fn rows() -> Vec<PlateResistance> {
    fixing_scene::system().plate_resistances
}

fn near(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: found {found}, expected {expected}"
    );
}

#[test]
fn numbers_of_anchors_meet_the_vectors() {
    let cases: Cases<AnchorCase> = worked("anchors.toml");
    for case in cases.case {
        let (found, wall) = Zone {
            suction_kpa: case.suction_kpa,
            wind_factor: case.wind_factor,
            wall: stated(case.wall_kn, ResistanceLevel::Characteristic),
            wall_factor: case.wall_factor,
            panel_kn: case.panel_kn,
            joint_kn: case.joint_kn,
            system_factor: case.system_factor,
            pattern: if case.pattern == "joints" {
                Pattern::JointsAndField
            } else {
                Pattern::FieldOnly
            },
            per_m2_min: case.per_m2_min,
        }
        .design();
        near(&case.id, found.needed.value.as_per_m2(), case.needed, 5e-5);
        near(&case.id, found.asked.value.as_per_m2(), case.asked, 1e-12);
        assert_eq!(found.per_board, case.per_board, "{}", case.id);
        let governing = match found.governing {
            Governing::Wall => "wall",
            Governing::System => "system",
            Governing::LeastNumber => "number",
        };
        assert_eq!(governing, case.governing, "{}", case.id);
        if let Some(kpa) = case.design_suction_kpa {
            near(&case.id, found.design_suction.value.as_kpa(), kpa, 1e-9);
        }
        if let Some(kn) = case.wall_design_kn {
            near(&case.id, wall.as_kn(), kn, 1e-9);
        }
        if let Some(kn) = case.system_design_kn {
            near(&case.id, found.system.value.as_kn(), kn, 1e-8);
        }
        assert!(found.verdict.holds && found.verdict.utilisation <= 1.0);
    }
}

#[test]
fn no_safety_factor_counts_twice() {
    let plain = Zone {
        panel_kn: 9.0,
        joint_kn: 9.0,
        wall_factor: 1.0,
        ..zone()
    };
    for tenth in 3..40 {
        let kpa = f64::from(tenth) / 10.0;
        // γF on the load, or the resistance divided by it: the same number.
        let on_load = Zone {
            suction_kpa: kpa,
            wind_factor: 1.5,
            wall: stated(0.6, ResistanceLevel::Characteristic),
            ..plain.clone()
        };
        let on_resistance = Zone {
            suction_kpa: kpa,
            wind_factor: 1.0,
            wall: stated(0.6 / 1.5, ResistanceLevel::Characteristic),
            ..plain.clone()
        };
        assert_eq!(
            on_load.design().0.per_board,
            on_resistance.design().0.per_board,
            "{kpa}"
        );
        // A permissible load is compared with the characteristic suction, whatever the rules' factors are.
        let permissible = Zone {
            suction_kpa: kpa,
            wind_factor: 1.5,
            wall_factor: 2.0,
            wall: stated(0.4, ResistanceLevel::Permissible),
            ..plain.clone()
        };
        assert_eq!(
            permissible.design().0.per_board,
            on_resistance.design().0.per_board,
            "{kpa}"
        );
        // A design value takes no factor of the rules again.
        let by_design = Zone {
            suction_kpa: kpa,
            wind_factor: 1.5,
            wall_factor: 2.0,
            wall: stated(0.6, ResistanceLevel::Design),
            ..plain.clone()
        };
        assert_eq!(
            by_design.design().0.per_board,
            on_load.design().0.per_board,
            "{kpa}"
        );
    }
    // Suction at strength level holds its factor already.
    let (set, anchor, rows) = (rules::defaults(), anchor(), rows());
    let mut strength = request(&set, &anchor, &rows);
    strength.level = LoadLevel::Strength;
    let r = resistance(&strength, &mut Sheet::new()).expect("sound");
    assert_eq!(r.wind_factor.value, 1.0);
    strength.wall = stated(0.4, ResistanceLevel::Permissible);
    assert_eq!(refused(&strength), ["SAFETY_COUNTED_TWICE"]);
}

#[test]
fn a_zone_that_nothing_serves_is_an_answer() {
    let (found, _) = Zone {
        suction_kpa: 8.0,
        ..zone()
    }
    .design();
    assert_eq!(found.per_board, 8);
    assert!(!found.verdict.holds && found.verdict.utilisation > 1.0);
    assert_eq!(found.governing, Governing::System);
}

#[test]
fn numbers_follow_load_and_resistance() {
    let mut draw = fixing_scene::Draw(7);
    for _ in 0..2_000 {
        let base = Zone {
            suction_kpa: draw.between(0.1, 3.0),
            wall: stated(draw.between(0.3, 1.5), ResistanceLevel::Characteristic),
            panel_kn: draw.between(0.3, 0.9),
            joint_kn: draw.between(0.2, 0.3),
            pattern: if draw.unit() < 0.5 {
                Pattern::FieldOnly
            } else {
                Pattern::JointsAndField
            },
            ..zone()
        };
        let n = base.design().0.per_board;
        let more_wind = Zone {
            suction_kpa: base.suction_kpa * draw.between(1.0, 1.5),
            ..base.clone()
        };
        assert!(more_wind.design().0.per_board >= n);
        let more_safety = Zone {
            wind_factor: 1.6,
            ..base.clone()
        };
        assert!(more_safety.design().0.per_board >= n);
        let stronger_panel = Zone {
            panel_kn: base.panel_kn * draw.between(1.0, 1.5),
            ..base.clone()
        };
        assert!(stronger_panel.design().0.per_board <= n);
        let stronger_wall = Zone {
            wall: stated(1.5, ResistanceLevel::Characteristic),
            ..base.clone()
        };
        assert!(stronger_wall.design().0.per_board <= n);
    }
}

fn refused(request: &AnchorRequest<'_>) -> Vec<&'static str> {
    let faults = resistance(request, &mut Sheet::new()).expect_err("refused");
    faults.iter().map(|f| f.reason).collect()
}

fn first(result: Result<fixing::anchors::Resistance, Vec<Fault>>) -> Fault {
    result.expect_err("refused").remove(0)
}

#[test]
fn anchors_are_refused_with_reason_and_clause() {
    let (set, anchor, rows) = (rules::defaults(), anchor(), rows());
    let sound = request(&set, &anchor, &rows);
    assert!(resistance(&sound, &mut Sheet::new()).is_ok());

    // A resistance from cavity brick, used for aerated concrete.
    let mut aerated = anchor.clone();
    aerated.base.push(material::BaseResistance {
        category: BaseCategory::AeratedConcrete,
        ..aerated.base[2]
    });
    let mut r = request(&set, &aerated, &rows);
    r.category = Some(BaseCategory::AeratedConcrete);
    r.wall = WallResistance::Stated {
        category: BaseCategory::HollowMasonry,
        resistance: Force::from_kn(0.6),
        level: ResistanceLevel::Characteristic,
        source: "assessment, category C".into(),
    };
    let fault = first(resistance(&r, &mut Sheet::new()));
    assert_eq!(fault.reason, "RESISTANCE_OF_OTHER_MATERIAL");
    assert!(
        fault.expected.contains("category E") && fault.expected.contains("use categories A to E"),
        "{fault}"
    );

    // Not assessed in aerated concrete at all, with or without tests.
    let mut r = sound.clone();
    r.category = Some(BaseCategory::AeratedConcrete);
    assert_eq!(refused(&r), ["ANCHOR_NOT_ASSESSED_HERE"]);
    r.wall = WallResistance::SiteTests(vec![Force::from_kn(2.0); 15]);
    assert_eq!(
        refused(&r),
        ["ANCHOR_NOT_ASSESSED_HERE", "TESTS_NEED_ASSESSMENT"]
    );
    r.category = None;
    assert!(refused(&r).contains(&"BASE_MATERIAL_UNKNOWN"));

    // Fourteen tests.
    let mut r = sound.clone();
    r.wall = WallResistance::SiteTests(vec![Force::from_kn(2.0); 14]);
    let fault = first(resistance(&r, &mut Sheet::new()));
    assert_eq!(
        (fault.reason, fault.found.as_str()),
        ("TOO_FEW_TESTS", "14 tests")
    );
    assert!(
        fault.expected.contains("at least 15") && fault.expected.contains("TR 051"),
        "{fault}"
    );

    // Boards thinner than assessed, and thinner than tested.
    let mut r = sound.clone();
    r.board_thickness = Mm(60);
    let faults = resistance(&r, &mut Sheet::new()).expect_err("refused");
    assert_eq!(faults[0].reason, "BOARD_THINNER_THAN_ASSESSED");
    assert_eq!(faults[1].reason, "BOARD_THINNER_THAN_TESTED");
    assert!(
        faults[1].expected.contains("80 mm") && faults[1].expected.contains("EAD 040083"),
        "{}",
        faults[1]
    );

    // A plate smaller than tested, a board without values, a base material too thin.
    let wide = [PlateResistance {
        plate_diameter_min: Mm(90),
        ..rows[0].clone()
    }];
    assert_eq!(
        refused(&request(&set, &anchor, &wide)),
        ["PLATE_SMALLER_THAN_TESTED"]
    );
    assert_eq!(
        refused(&request(&set, &anchor, &[])),
        ["NO_PULL_THROUGH_VALUE"]
    );
    let mut r = sound.clone();
    r.member_thickness = Some(Length::from_mm(70.0));
    assert_eq!(refused(&r), ["MEMBER_TOO_THIN"]);
    r.member_thickness = Some(Length::from_mm(35.0));
    assert_eq!(refused(&r), ["MEMBER_TOO_THIN", "HOLE_THROUGH_WALL"]);

    // All of it at once.
    let mut bad = rules::defaults();
    bad.wall_factor.value = 0.5;
    let mut r = request(&bad, &anchor, &wide);
    r.category = Some(BaseCategory::AeratedConcrete);
    r.board_thickness = Mm(40);
    assert!(refused(&r).len() >= 4, "{:?}", refused(&r));
}

#[test]
fn pull_out_tests_meet_their_vectors_and_laws() {
    let rule = rules::defaults().site_tests;
    let kn = |list: &[f64]| list.iter().map(|&f| Force::from_kn(f)).collect::<Vec<_>>();
    let of = |loads: &[Force]| {
        let found = pull_out(&rule, loads, "tests", &mut Sheet::new()).expect("sound");
        (
            found.evaluated.value.as_kn(),
            found.resistance.value.as_kn(),
            found.capped,
        )
    };
    let cases: Cases<PullOutCase> = worked("pull-out.toml");
    for case in cases.case {
        let (evaluated, step, capped) = of(&kn(&case.loads_kn));
        near(&case.id, evaluated, case.evaluated_kn, 1e-12);
        assert_eq!((step, capped), (case.step_kn, case.capped), "{}", case.id);
    }
    let mut draw = fixing_scene::Draw(11);
    for _ in 0..500 {
        let mut loads: Vec<Force> = (0..draw.whole(15, 25))
            .map(|_| Force::from_kn(draw.between(0.4, 3.0)))
            .collect();
        let before = of(&loads);
        let at = draw.whole(0, loads.len() as i32 - 1) as usize;
        loads.swap(0, at);
        loads.reverse();
        assert_eq!(of(&loads), before, "order does not matter");
        loads[at] = loads[at] * draw.between(0.3, 1.0);
        let after = of(&loads);
        let falls = after.0 <= before.0 && after.1 <= before.1;
        assert!(falls, "a lower value never raises the result");
    }
    let faults = pull_out(
        &rule,
        &kn(&[2.0, f64::NAN, -1.0]),
        "tests",
        &mut Sheet::new(),
    )
    .expect_err("bad");
    assert_eq!(
        faults.iter().map(|f| f.reason).collect::<Vec<_>>(),
        ["TOO_FEW_TESTS", "OUT_OF_RANGE", "OUT_OF_RANGE"]
    );
}

fn chosen(old_render: i32, bed: i32, thickness: i32) -> Result<(i32, f64, f64), Vec<Fault>> {
    let (anchor, board) = (anchor(), board());
    let layers = Layers {
        path: "situations[0]",
        anchor: &anchor,
        base: &anchor.base[1],
        old_render: Mm(old_render),
        bed: Mm(bed),
        board: &board,
        thickness: Mm(thickness),
        plate: None,
        plug: None,
    };
    choose(&layers, &mut Sheet::new()).map(|c| {
        (
            c.length.0,
            c.needed.value.as_mm(),
            c.hole_depth.value.as_mm(),
        )
    })
}

#[test]
fn the_shortest_length_that_serves_is_taken_and_never_a_shorter_one() {
    let cases: Cases<LengthCase> = worked("length.toml");
    for case in cases.case {
        let (length, needed, hole) =
            chosen(case.old_render_mm, case.bed_mm, case.board_mm).expect("stocked");
        near(&case.id, needed, case.needed_mm, 1e-9);
        assert_eq!(length, case.length_mm);
        // The hole is 10 mm deeper than the tip of the anchor that is taken, whose plate lies on the board.
        near(&case.id, hole, f64::from(case.length_mm) + 10.0, 1e-9);
    }
    let faults = chosen(20, 15, 180).expect_err("the list ends");
    assert_eq!(faults[0].reason, "NO_ANCHOR_LONG_ENOUGH");
    assert!(
        faults[0].found.contains("240 mm") && faults[0].expected.contains("5 mm are missing"),
        "{}",
        faults[0]
    );
    for thickness in 80..190 {
        for bed in [5, 10, 15] {
            if let Ok((length, needed, _)) = chosen(0, bed, thickness) {
                assert!(f64::from(length) >= needed - 1e-9 && f64::from(length) - needed < 77.0);
            }
        }
    }
}

/// For every layer situation the hole takes the whole anchor and what is drilled beyond it, and no anchor touches the bottom.
#[test]
fn the_hole_takes_the_stocked_anchor_whole() {
    let (mut anchor, board) = (anchor(), board());
    let base = anchor.base[1];
    let plug = plug();
    for recess in [0, 15, 20] {
        anchor.setting = match recess {
            0 => Setting::Flush,
            depth => Setting::Recessed { depth: Mm(depth) },
        };
        for (old_render, bed, thickness) in (0..=30)
            .step_by(5)
            .flat_map(|old| [(old, 5, 100), (old, 10, 140), (old, 15, 160)])
        {
            let layers = Layers {
                path: "situations[0]",
                anchor: &anchor,
                base: &base,
                old_render: Mm(old_render),
                bed: Mm(bed),
                board: &board,
                thickness: Mm(thickness),
                plate: None,
                plug: Some(&plug),
            };
            let Ok(found) = choose(&layers, &mut Sheet::new()) else {
                continue;
            };
            let what =
                format!("render {old_render}, bed {bed}, board {thickness}, recess {recess}");
            let tip = f64::from(found.length.0 + recess);
            let spare = f64::from(base.extra_drill_depth.0);
            near(&what, found.hole_depth.value.as_mm(), tip + spare, 1e-9);
            let layers = f64::from(old_render + bed + thickness);
            near(
                &what,
                found.drill_depth.value.as_mm(),
                tip + spare - layers,
                1e-9,
            );
            let least = f64::from((base.embedment + base.extra_drill_depth).0);
            assert!(found.drill_depth.value.as_mm() >= least - 1e-9, "{what}");
        }
    }
}

#[test]
fn soft_boards_and_sunk_anchors_need_their_parts() {
    let (mut anchor, mut board) = (anchor(), board());
    anchor.setting = Setting::Recessed { depth: Mm(20) };
    board.wider_plate = true;
    let layers = Layers {
        path: "s",
        anchor: &anchor,
        base: &anchor.base[1],
        old_render: Mm(0),
        bed: Mm(10),
        board: &board,
        thickness: Mm(160),
        plate: None,
        plug: None,
    };
    let faults = choose(&layers, &mut Sheet::new()).expect_err("parts missing");
    assert_eq!(
        faults.iter().map(|f| f.reason).collect::<Vec<_>>(),
        ["WIDER_PLATE_MISSING", "PLUG_MISSING"]
    );
}

fn bond_request<'a>(
    set: &'a standards::eota::FixingRules,
    wall: &'a facade::Substrate,
    attachment: Attachment,
    sheet: &mut Sheet,
) -> BondRequest<'a> {
    BondRequest {
        path: "bond",
        rules: set,
        attachment,
        board: "board.eps",
        board_share_min: 0.4,
        bond_strength: Some(Stress::from_mpa(0.08)),
        substrate: wall,
        design_suction: sheet.given("S_d", WindPressure::from_kpa(1.5), Origin::request("w")),
        render_mass: AreaMass::from_kg_per_m2(12.0),
        insulation_mass: AreaMass::from_kg_per_m2(8.0),
    }
}

#[test]
fn the_bond_meets_its_vectors() {
    let set = rules::defaults();
    let mut wall = substrate();
    wall.surface = facade::Surface::BareMasonry;
    wall.pull_off = Some(Stress::from_mpa(0.10));
    let cases: Cases<BondCase> = worked("bond.toml");
    for case in cases.case {
        let mut sheet = Sheet::new();
        let mut request = bond_request(&set, &wall, Attachment::Bonded, &mut sheet);
        request.bond_strength = Some(Stress::from_mpa(case.bond_strength_mpa));
        request.render_mass = AreaMass::from_kg_per_m2(case.mass_kg_per_m2);
        request.insulation_mass = AreaMass::ZERO;
        let suction = WindPressure::from_kpa(case.design_suction_kpa);
        request.design_suction = sheet.given("S_d", suction, Origin::request("w"));
        let found = bond(&request, &mut sheet).expect("sound");
        let lines = sheet.lines();
        let symbol = |s: &str| lines.iter().find(|l| l.symbol == s).expect("line").value;
        near(&case.id, symbol("sigma_d"), case.tension_pa, 1e-6);
        near(&case.id, symbol("tau_d"), case.shear_pa, 0.5);
        near(&case.id, found.share.value, case.share, 1e-12);
        near(
            &case.id,
            found.checks[0].utilisation,
            case.utilisation,
            0.0002,
        );
        assert!(found.checks.iter().all(|c| c.holds));
        let share = lines
            .iter()
            .find(|l| l.label == "S of the strength")
            .expect("share");
        near(&case.id, share.value, case.share_of_strength, 1e-12);
    }
}

#[test]
fn bonded_only_without_a_tested_substrate_is_refused_and_a_weak_one_is_an_answer() {
    let set = rules::defaults();
    let wall = substrate();
    let mut sheet = Sheet::new();
    let request = bond_request(&set, &wall, Attachment::Bonded, &mut sheet);
    let faults = bond(&request, &mut sheet).expect_err("refused");
    assert_eq!(faults[0].reason, "SUBSTRATE_NOT_TESTED");
    assert!(
        faults[0].expected.contains("0.08 MPa") && faults[0].expected.contains("ETAG 004"),
        "{}",
        faults[0]
    );
    let mut weak = substrate();
    weak.pull_off = Some(Stress::from_mpa(0.05));
    weak.category = Some(BaseCategory::AeratedConcrete);
    weak.flatness = Some(Flatness {
        gap: Mm(30),
        straightedge: Mm(2000),
    });
    let request = bond_request(&set, &weak, Attachment::Bonded, &mut sheet);
    let mut heavy = request;
    heavy.render_mass = AreaMass::from_kg_per_m2(45.0);
    heavy.insulation_mass = AreaMass::from_kg_per_m2(25.0);
    let found = bond(&heavy, &mut sheet).expect("an answer");
    assert!(found.checks.iter().any(|c| !c.holds && c.utilisation > 1.0));
    let codes: Vec<&str> = found.findings.iter().map(|f| f.code).collect();
    for code in [
        "MASS_BEYOND_STANDARD",
        "SUBSTRATE_UNEVEN",
        "ANCHORS_NEEDED_HERE",
        "OLD_RENDER",
    ] {
        assert!(codes.contains(&code), "{code} in {codes:?}");
    }
    let mut conditions = substrate();
    conditions.conditions = vec![
        Condition::Dusty,
        Condition::Painted,
        Condition::Damp,
        Condition::Dusty,
    ];
    let findings = preparation(&conditions, "substrate");
    assert_eq!(findings.len(), 4); // three conditions and the old render
    assert_eq!(
        (findings[0].code, findings[0].severity),
        ("SUBSTRATE_DAMP", Severity::Breach)
    );
}

fn fire_building(
    country: &str,
    height: f64,
    storeys: u32,
    class: &str,
    thickness: i32,
) -> FireBuilding {
    FireBuilding {
        country: country.into(),
        height: Length::from_m(height),
        storeys,
        insulation: class.parse().expect("class"),
        thickness: Mm(thickness),
        facades: vec![FireFacade {
            id: "front".into(),
            path: "building.facades[0]".into(),
            left: Mm(0),
            right: Mm(12_000),
            base: vec![step(0, 12_000, 300)],
            top: vec![top(
                0,
                12_000,
                ((height * 1000.0) as i32, (height * 1000.0) as i32),
            )],
            ground: Mm(0),
            openings: vec![window("W", 2_000, 1_100, 2_500)],
        }],
        joined: Vec::new(),
        clear: Mm(100),
    }
}

fn top(from: i32, to: i32, (left, right): (i32, i32)) -> FireTop {
    FireTop {
        from: Mm(from),
        to: Mm(to),
        left: Mm(left),
        right: Mm(right),
    }
}

fn window(id: &str, left: i32, bottom: i32, top: i32) -> FireOpening {
    FireOpening {
        id: id.into(),
        left: Mm(left),
        right: Mm(left + 1_200),
        bottom: Mm(bottom),
        top: Mm(top),
    }
}

fn step(from: i32, to: i32, level: i32) -> FireStep {
    FireStep {
        from: Mm(from),
        to: Mm(to),
        level: Mm(level),
    }
}

fn proposals(building: &FireBuilding) -> Vec<fixing::fire::Proposal> {
    let (answer, _) = barriers(&fire_rules(), building);
    let FireAnswer::Rules { proposals, .. } = answer else {
        panic!("rules for {}", building.country)
    };
    proposals
}

/// A strip along the lower edge lies at each step of it, and one further up nowhere in the plinth.
#[test]
fn fire_strips_follow_a_lower_edge_that_steps() {
    let mut building = fire_building("DE", 12.0, 4, "E", 160);
    building.facades[0].base = vec![
        step(0, 4_000, 300),
        step(4_000, 9_000, 2_950),
        step(9_000, 12_000, 700),
    ];
    let lying = |building: &FireBuilding, what: &str| -> Vec<(i32, i32, i32)> {
        let found = proposals(building);
        let named = found.iter().filter(|p| p.text.contains(what));
        let mut lying: Vec<_> = named.map(|p| (p.x_from.0, p.x_to.0, p.y_from.0)).collect();
        lying.sort_unstable();
        lying
    };
    let along_steps = [(0, 4_000, 300), (4_000, 9_000, 2_950), (9_000, 12_000, 700)];
    assert_eq!(lying(&building, "lower edge"), along_steps);
    assert_eq!(lying(&building, "carried up a step"), along_steps);
    // Storeys of 3 m: the strip at the ceiling of the first runs on at the level of the step that lies there.
    let ceiling = "ceiling of storey 1";
    let beside = [(0, 4_000, 2_950), (9_000, 12_000, 2_950)];
    assert_eq!(lying(&building, ceiling), beside);
    // A step far above it leaves it out, and so does the strip along that step; both are told.
    building.facades[0].base[1].level = Mm(3_700);
    let beside = [(0, 4_000, 3_000), (9_000, 12_000, 3_000)];
    assert_eq!(lying(&building, ceiling), beside);
    let (_, findings) = barriers(&fire_rules(), &building);
    let told = findings.iter().find(|f| f.code == "FIRE_STRIP_NOT_LAID");
    assert!(told.is_some_and(|f| {
        f.text
            .contains("from 4000 mm to 9000 mm the wall begins above it")
    }));
    // Ground that steps under a level base line parts no strip.
    for step in &mut building.facades[0].base {
        step.level = Mm(300);
    }
    assert_eq!(lying(&building, "lower edge"), [(0, 12_000, 300)]);
    assert!(lying(&building, "carried up a step").is_empty());
}

#[test]
fn fire_rows_propose_strips_with_their_row_and_caution() {
    let rows = fire_rules();
    assert!(
        rows.iter()
            .all(|r| r.standing == Standing::Unverified && r.verified_by.is_empty())
    );
    let (answer, findings) = barriers(&rows, &fire_building("DE", 12.0, 4, "E", 160));
    let FireAnswer::Rules {
        applied, proposals, ..
    } = answer
    else {
        panic!("rows exist")
    };
    assert!(applied.contains(&"de-eps-strips".to_string()));
    let mine: Vec<_> = proposals
        .iter()
        .filter(|p| p.rule == "de-eps-strips")
        .collect();
    assert_eq!(mine.len(), 4);
    assert_eq!((mine[0].y_from, mine[0].y_to), (Mm(300), Mm(500)));
    assert!(mine[1].y_from - mine[0].y_from <= Mm(3_000));
    assert_eq!(mine[3].y_to, Mm(12_000));
    assert!(
        mine.iter()
            .all(|p| p.x_from == Mm(0) && p.x_to == Mm(12_000))
    );
    assert!(findings.iter().any(|f| f.code == "FIRE_BARRIERS_TO_CONFIRM"
        && f.text.contains("quantity aid, not a fire-safety design")));
    assert!(findings.iter().any(|f| f.code == "FIRE_RULE_UNVERIFIED"));
    // Mineral wool is not meant by the rows.
    let (answer, _) = barriers(&rows, &fire_building("DE", 12.0, 4, "A1", 160));
    assert!(matches!(answer, FireAnswer::Rules { ref proposals, .. } if proposals.is_empty()));
    // Above a height the class itself is at fault.
    let (_, findings) = barriers(&rows, &fire_building("PL", 30.0, 10, "E", 160));
    assert!(
        findings
            .iter()
            .any(|f| f.code == "FIRE_CLASS_ABOVE_HEIGHT" && f.severity == Severity::Breach)
    );
    let (_, findings) = barriers(&rows, &fire_building("PL", 30.0, 10, "A2-s1,d0", 160));
    assert!(!findings.iter().any(|f| f.code == "FIRE_CLASS_ABOVE_HEIGHT"));
    // Where the row does not say where, no place is made up.
    let (answer, findings) = barriers(&rows, &fire_building("CZ", 18.0, 6, "E", 160));
    assert!(matches!(answer, FireAnswer::Rules { ref proposals, .. } if proposals.is_empty()));
    assert!(
        findings
            .iter()
            .any(|f| f.code == "FIRE_POSITION_NOT_STATED")
    );
}

/// What lies on a facade: stretch and lower edge of each strip.
fn lying(building: &FireBuilding, facade: &str) -> Vec<(i32, i32, i32)> {
    let found = proposals(building);
    let own = found.iter().filter(|p| p.facade == facade);
    let mut lying: Vec<_> = own.map(|p| (p.y_from.0, p.x_from.0, p.x_to.0)).collect();
    lying.sort_unstable();
    lying
}

fn told(building: &FireBuilding, code: &str) -> Vec<String> {
    let (_, findings) = barriers(&fire_rules(), building);
    let own = findings.into_iter().filter(|f| f.code == code);
    own.map(|f| f.text).collect()
}

/// A row that another took the place of proposes nothing beside it, and that is said.
#[test]
fn a_superseded_fire_row_is_not_applied() {
    let building = fire_building("DE", 12.0, 4, "E", 160);
    let (answer, findings) = barriers(&fire_rules(), &building);
    let FireAnswer::Rules {
        applied,
        not_applied,
        proposals,
    } = answer
    else {
        panic!("rows exist")
    };
    assert_eq!(applied, ["de-eps-strips"]);
    assert_eq!(not_applied, ["de-older-rule"]);
    assert!(proposals.iter().all(|p| p.rule == "de-eps-strips"));
    assert!(findings.iter().any(|f| f.code == "FIRE_ROW_SUPERSEDED"));
    // Where its successor is not there, it applies.
    let mut rows = fire_rules();
    rows.retain(|row| row.id != "de-eps-strips");
    let (answer, _) = barriers(&rows, &building);
    assert!(
        matches!(answer, FireAnswer::Rules { ref applied, .. } if applied == &["de-older-rule"])
    );
}

/// Facades that a corner joins have their strip at a ceiling on one level, however their grounds lie; what cannot run on round it is told.
#[test]
fn fire_strips_run_on_round_a_corner() {
    let mut building = fire_building("DE", 9.0, 3, "E", 120);
    building.facades[0].openings.clear();
    let mut side = building.facades[0].clone();
    side.id = "side".into();
    side.ground = Mm(350);
    side.base = vec![step(0, 12_000, 650)];
    building.facades.push(side);
    let at_ceiling = |building: &FireBuilding, facade: &str| -> Vec<i32> {
        let found = lying(building, facade);
        let between = found.iter().filter(|s| (2_000..5_000).contains(&s.0));
        between.map(|s| s.0).collect()
    };
    assert_ne!(
        at_ceiling(&building, "front"),
        at_ceiling(&building, "side")
    );
    building.joined = vec![(0, 1)];
    assert_eq!(at_ceiling(&building, "front"), [3_000]);
    assert_eq!(at_ceiling(&building, "side"), [3_000]);
    let corners = told(&building, "FIRE_STRIP_ENDS_AT_CORNER");
    assert!(
        corners.len() == 1 && corners[0].contains("that of side from 650 mm to 850 mm"),
        "{corners:?}"
    );
    // A common base line leaves nothing to tell.
    building.facades[1].base = vec![step(0, 12_000, 300)];
    assert!(told(&building, "FIRE_STRIP_ENDS_AT_CORNER").is_empty());
}

/// The strip along the upper edge lies under each level piece of it; under a slope it lies at the eaves, and the slope is told.
#[test]
fn fire_strips_follow_the_upper_edge() {
    let mut building = fire_building("DE", 6.0, 2, "E", 160);
    building.facades[0].openings.clear();
    building.facades[0].top = vec![
        top(0, 3_000, (6_000, 6_000)),
        top(3_000, 12_000, (5_000, 5_000)),
    ];
    let along_steps = [
        (300, 0, 12_000),
        (3_000, 0, 12_000),
        (4_800, 3_000, 12_000),
        (5_800, 0, 3_000),
    ];
    assert_eq!(lying(&building, "front"), along_steps);
    assert!(told(&building, "FIRE_STRIP_NOT_LAID").is_empty());
    building.facades[0].top = vec![
        top(0, 6_000, (6_000, 9_000)),
        top(6_000, 12_000, (9_000, 6_000)),
    ];
    let under_gable = [(300, 0, 12_000), (3_000, 0, 12_000), (5_800, 0, 12_000)];
    assert_eq!(lying(&building, "front"), under_gable);
    let slopes = told(&building, "FIRE_STRIP_NOT_LAID");
    assert!(
        slopes.len() == 1 && slopes[0].contains("slopes up to 9000 mm"),
        "{slopes:?}"
    );
}

/// Storeys are those below the eaves, not below the ridge, and what they rest on is said; where the eaves are too low for them, the
/// building's height is taken, and a ceiling above the wall is told as not laid.
#[test]
fn fire_strips_rest_on_storeys_below_the_eaves() {
    let mut building = fire_building("DE", 9.0, 2, "E", 160);
    building.facades[0].openings.clear();
    building.facades[0].top = vec![
        top(0, 6_000, (5_600, 9_000)),
        top(6_000, 12_000, (9_000, 5_600)),
    ];
    assert_eq!(lying(&building, "front")[1], (2_800, 0, 12_000));
    let found = proposals(&building);
    assert!(found.iter().any(|p| {
        p.text.contains("from 2800 mm to 3000 mm") && p.text.contains("eaves 5600 mm above ground")
    }));
    building.storeys = 3;
    let found = proposals(&building);
    assert!(found.iter().any(|p| p.text.contains("a height of 9000 mm")));
    assert!(
        found
            .iter()
            .all(|p| !p.text.contains("ceiling of storey 3"))
    );
    let not_laid = told(&building, "FIRE_STRIP_NOT_LAID");
    assert!(
        not_laid
            .iter()
            .any(|t| t.contains("ceiling of storey 3 at 9000 mm")),
        "{not_laid:?}"
    );
}

/// A strip at a ceiling is told with the level at which it lies, lowered where the row limits its distance from the strip below.
#[test]
fn fire_strips_are_told_as_they_lie() {
    let mut building = fire_building("DE", 9.4, 2, "E", 160);
    building.facades[0].openings.clear();
    let found = proposals(&building);
    let ceiling = found
        .iter()
        .find(|p| p.text.contains("ceiling of storey 1"));
    let ceiling = ceiling.expect("a strip there");
    // The row: axes at most 3000 mm apart, the lower strip from 300 mm to 500 mm.
    assert_eq!((ceiling.y_from, ceiling.y_to), (Mm(3_300), Mm(3_500)));
    assert!(
        ceiling.text.contains("from 3300 mm to 3500 mm")
            && ceiling.text.contains("lowered to 3300 mm")
    );
    for p in &found {
        assert!(
            p.text.contains(&format!("from {} to {}", p.y_from, p.y_to)),
            "{}",
            p.text
        );
    }
    // Where an opening takes the whole width of a strip, none is proposed, and that is said.
    building.facades[0].openings = vec![FireOpening {
        id: "gate".into(),
        left: Mm(0),
        right: Mm(12_000),
        bottom: Mm(300),
        top: Mm(2_800),
    }];
    assert!(lying(&building, "front").iter().all(|s| s.0 > 300));
    let not_laid = told(&building, "FIRE_STRIP_NOT_LAID");
    assert!(
        not_laid[0].contains("openings take its whole width"),
        "{not_laid:?}"
    );
    // No two strips lie in each other: what is proposed can be laid.
    for (i, a) in found.iter().enumerate() {
        assert!(found.iter().skip(i + 1).all(|b| a.y_to <= b.y_from
            || b.y_to <= a.y_from
            || a.x_to <= b.x_from
            || b.x_to <= a.x_from));
    }
}

/// How far a strip of 200 mm keeps clear, by each opening: `None` where it lies in one.
fn clear_of(openings: &[FireOpening], y: i32) -> bool {
    openings.iter().all(|o| {
        let gap = (o.bottom.0 - (y + 200)).max(y - o.top.0);
        gap == 0 || gap >= 100
    })
}

/// By brute force over every millimetre: where any level within reach and limit is clear of all openings, the nearest such is laid; where
/// none is, the strip is told with what it does not keep clear of.
#[test]
fn fire_strips_keep_clear_of_sills_and_lintels_where_they_can() {
    let mut seed = 7u32;
    let mut random = |least: i32, most: i32| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        least + (seed >> 8) as i32 % (most - least + 1)
    };
    let (mut clear, mut moved, mut not) = (0, 0, 0);
    for _ in 0..400 {
        let mut building = fire_building("DE", 12.0, 4, "E", 160);
        let count = random(1, 4);
        let openings = (0..count).map(|i| {
            let bottom = random(8_000, 9_600);
            window(
                &format!("W{i}"),
                2_000 * i,
                bottom,
                bottom + random(100, 900),
            )
        });
        building.facades[0].openings = openings.collect();
        // The third storey's ceiling at 9.0 m, with no limit in the row.
        let openings = building.facades[0].openings.clone();
        let reach = (0..=300).flat_map(|by| [9_000 - by, 9_000 + by]);
        let nearest = reach.into_iter().find(|y| clear_of(&openings, *y));
        let found = proposals(&building);
        let strip = found
            .iter()
            .find(|p| p.text.contains("ceiling of storey 3"));
        let y = strip.expect("a strip there").y_from.0;
        let named = told(&building, "FIRE_STRIP_NOT_CLEAR");
        if let Some(nearest) = nearest {
            assert_eq!((y - 9_000).abs(), (nearest - 9_000).abs(), "{openings:?}");
            assert!(clear_of(&openings, y) && named.is_empty(), "{named:?}");
            clear += 1;
            moved += i32::from(y != 9_000);
        } else {
            assert!(
                named.len() == 1 && named[0].contains("opening `W"),
                "{named:?}"
            );
            not += 1;
        }
    }
    assert!(
        clear > 50 && moved > 20 && not > 20,
        "{clear} {moved} {not}"
    );
}

#[test]
fn a_country_without_rows_gets_no_rule_data() {
    for country in ["AT", "FR", "GB", ""] {
        let (answer, findings) =
            barriers(&fire_rules(), &fire_building(country, 12.0, 4, "E", 160));
        let FireAnswer::NoRuleData { known, .. } = answer else {
            panic!("{country}")
        };
        assert_eq!(known, ["CZ", "DE", "PL"]);
        assert!(
            findings[0].text.contains("No rule data")
                && findings[0]
                    .text
                    .contains("does not mean that none are needed")
        );
    }
}

#[test]
fn fire_classes_follow_the_grammar() {
    let accepted = [
        "A1", "A2-s1,d0", "A2-s3,d2", "B-s1,d0", "B-s2,d1", "C-s3,d2", "D-s1,d0", "E", "E-d2", "F",
    ];
    let refused = [
        "",
        "A",
        "A1-s1,d0",
        "A2",
        "B",
        "B-s1",
        "B-d0",
        "B-s4,d0",
        "B-s1,d3",
        "B-s1 d0",
        "E-d0",
        "E-s1,d0",
        "F-d2",
        "G",
        "b-s1,d0",
        "B-s1,d0,d1",
    ];
    for text in accepted {
        let class: FireClass = text.parse().unwrap_or_else(|f| panic!("{f}"));
        assert_eq!(class.to_string(), text);
    }
    for text in refused {
        assert!(text.parse::<FireClass>().is_err(), "{text}");
    }
}

#[test]
fn every_fixing_rule_set_is_sound() {
    let sets: Vec<_> = files("catalogues/rules/fixing")
        .values()
        .map(|t| fixing_rules(t))
        .collect();
    assert_eq!(
        sets.iter().map(|s| s.key.as_str()).collect::<Vec<_>>(),
        ["de-load-class", "eota-default"]
    );
    for set in &sets {
        assert!(rules::check(set, "set").is_empty(), "{}", set.key);
    }
    assert_eq!(sets[1], rules::defaults());
    // F1 by the set itself: class 0.25 kN for wall and pull-through, characteristic suction 0.96 kPa: 6 per square metre.
    let (anchor, rows) = (
        anchor(),
        [PlateResistance {
            panel: Force::from_kn(0.25),
            joint: Force::from_kn(0.25),
            ..rows().remove(0)
        }],
    );
    let mut request = request(&sets[0], &anchor, &rows);
    request.wall = stated(0.25, ResistanceLevel::Characteristic);
    let mut sheet = Sheet::new();
    let r = resistance(&request, &mut sheet).expect("sound");
    let w = sheet.given("w", WindPressure::from_kpa(0.96), Origin::request("w"));
    assert_eq!(
        design("zone", &r, w, &mut sheet).asked.value.as_per_m2(),
        6.0
    );
    assert!(scene().fix(&mut Sheet::new()).is_ok());
}
