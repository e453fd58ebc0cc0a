//! The whole job on the demo buildings: every figure recomputed from the sheet, sums that must agree, the same bytes twice.

mod surveyed;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use api::v1;
use client::Estimator;
use prost::Message;

const SURVEYS: [&str; 3] = ["house", "flats", "short"];

fn request(name: &str) -> v1::EstimateRequest {
    surveyed::request(
        name,
        v1::Include {
            setting_out: true,
            working: true,
            drawings: true,
            rule_costs: false,
        },
    )
}

fn answer(name: &str) -> v1::EstimateResponse {
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    here.estimate(request(name))
        .unwrap_or_else(|r| panic!("{name}: {} {:?}", r.summary, r.faults))
}

/// A reader with pencil and paper: every derived line from its printed expression and the values of the lines it names.
fn recompute(name: &str, sheet: &v1::CalculationSheet) -> usize {
    let values: BTreeMap<u32, f64> = sheet
        .lines
        .iter()
        .map(|line| (line.number, line.value))
        .collect();
    let mut recomputed = 0;
    for line in &sheet.lines {
        for input in &line.inputs {
            for from in &input.from {
                assert!(
                    from.line < line.number,
                    "{name} line {}: input from a later line",
                    line.number
                );
                assert_eq!(
                    values[&from.line].to_bits(),
                    from.value.to_bits(),
                    "{name} line {}: {} is not what line {} says",
                    line.number,
                    input.symbol,
                    from.line
                );
            }
        }
        if line.kind() == v1::LineKind::Checked {
            let (figure, limit) = (line.inputs[0].from[0].value, line.inputs[1].from[0].value);
            assert!(
                (line.value - figure / limit).abs() < 1e-12
                    || (line.value - limit / figure).abs() < 1e-12,
                "{name}: {line:?}"
            );
            assert_eq!(line.holds, line.value <= 1.0, "{name}: {line:?}");
            recomputed += 1;
        }
        if line.kind() != v1::LineKind::Derived {
            continue;
        }
        let lists: Vec<Vec<f64>> = line
            .inputs
            .iter()
            .map(|i| i.from.iter().map(|f| f.value).collect())
            .collect();
        let symbols: Vec<(&str, &[f64], bool)> = line
            .inputs
            .iter()
            .zip(&lists)
            .map(|(i, list)| (i.symbol.as_str(), list.as_slice(), i.list))
            .collect();
        let by_hand = working::evaluate(&line.expression, &symbols)
            .unwrap_or_else(|fault| panic!("{name}: {line:?}: {fault}"));
        let apart = (by_hand - line.value).abs();
        assert!(
            apart <= 1e-12 * line.value.abs().max(1e-300) || apart == 0.0,
            "{name} line {}: {} gives {by_hand}, printed {}",
            line.number,
            line.substituted,
            line.value
        );
        recomputed += 1;
    }
    recomputed
}

#[test]
fn everything_printed_as_working_can_be_recomputed() {
    for name in SURVEYS {
        let sheet = answer(name).sheet.expect("the working was asked for");
        let recomputed = recompute(name, &sheet);
        assert!(recomputed > 150, "{name}: only {recomputed} lines");
        assert!(
            sheet
                .lines
                .iter()
                .any(|line| line.standing() == v1::Standing::Unverified),
            "what is from memory says so"
        );
    }
}

#[test]
fn the_same_request_gives_the_same_bytes() {
    for name in SURVEYS {
        assert!(
            answer(name).encode_to_vec() == answer(name).encode_to_vec(),
            "{name}"
        );
    }
}

#[test]
fn the_order_list_agrees_with_what_it_is_made_from() {
    for name in SURVEYS {
        let answer = answer(name);
        let (kit, layout, fixing) = (
            answer.kit.unwrap(),
            answer.layout.unwrap(),
            answer.fixing.unwrap(),
        );
        for line in kit.lines.iter().filter(|line| line.packs > 0) {
            let bought = line.packs as f64 * line.pack_content;
            assert!(
                line.net >= 0.0 && line.waste >= 0.0 && line.leftover >= -1e-6,
                "{name}: {line:?}"
            );
            let account = line.net + line.waste + line.leftover;
            assert!(
                (account - bought).abs() < 1e-6 * bought.max(1.0),
                "{name}: net, waste and leftover are not what is bought: {line:?}"
            );
            let codes = ["MTK", "MTR", "KGM", "LTR", "H87"];
            assert!(
                codes.contains(&line.unit_code.as_str()),
                "{name}: UN/ECE Recommendation 20 has no {}",
                line.unit_code
            );
        }
        let placed: u32 = fixing.zones.iter().map(|zone| zone.count).sum();
        assert_eq!(placed, fixing.count, "{name}: zones add up to the whole");
        assert_eq!(
            fixing.points.len() as u32,
            fixing.count,
            "{name}: every anchor is drawn once"
        );
        let ordered: f64 = kit
            .lines
            .iter()
            .filter(|line| line.article.starts_with("anchor."))
            .map(|line| line.net)
            .sum();
        assert!(
            (ordered - f64::from(fixing.count)).abs() < 1e-6 || ordered > f64::from(fixing.count),
            "{name}: {ordered} anchors ordered for {}",
            fixing.count
        );
        for total in &layout.totals {
            assert!(
                total.board_count >= total.bound_area_count,
                "{name}: fewer boards than the area needs"
            );
            let boards = layout
                .boards
                .iter()
                .filter(|board| board.board == total.board)
                .count();
            assert_eq!(
                boards as u32, total.board_count,
                "{name}: every board is on the cutting list"
            );
            let own = layout.boards.iter().filter(|b| b.board == total.board);
            let cuts: usize = own.map(|b| b.cuts.len()).sum();
            assert_eq!(cuts as u32, total.cut_count, "{name}: every cut is listed");
        }
        assert_shapes(name, &layout);
        let pieces: Vec<u32> = layout.pieces.iter().map(|piece| piece.number).collect();
        let cut: Vec<u32> = layout
            .boards
            .iter()
            .flat_map(|board| &board.parts)
            .map(|part| part.piece)
            .filter(|n| *n > 0)
            .collect();
        let (mut a, mut b) = (pieces.clone(), cut);
        a.sort_unstable();
        b.sort_unstable();
        assert_eq!(
            a, b,
            "{name}: every piece on the wall is cut from exactly one board"
        );
        assert_money(name, &kit);
    }
}

/// A law: a piece has the same area and the same edges on its board as on the wall, only turned and moved.
fn assert_shapes(name: &str, layout: &v1::Layout) {
    let area2 = |ring: &[v1::Point]| -> i64 {
        let next = ring.iter().cycle().skip(1);
        let cross = |(a, b): (&v1::Point, &v1::Point)| {
            i64::from(a.x_mm) * i64::from(b.y_mm) - i64::from(b.x_mm) * i64::from(a.y_mm)
        };
        ring.iter().zip(next).map(cross).sum()
    };
    let edges = |ring: &[v1::Point]| -> Vec<i64> {
        let next = ring.iter().cycle().skip(1);
        let square = |d: i32| i64::from(d) * i64::from(d);
        let length =
            |(a, b): (&v1::Point, &v1::Point)| square(a.x_mm - b.x_mm) + square(a.y_mm - b.y_mm);
        let mut lengths: Vec<i64> = ring.iter().zip(next).map(length).collect();
        lengths.sort_unstable();
        lengths
    };
    let mut halves = 0;
    for part in layout.boards.iter().flat_map(|b| &b.parts) {
        let Some(piece) = layout.pieces.iter().find(|p| p.number == part.piece) else {
            continue;
        };
        let shaped = piece.kind == "notched" || piece.kind == "sloped";
        assert_eq!(
            shaped,
            !part.outline.is_empty(),
            "{name}: piece {}",
            piece.number
        );
        if shaped {
            assert_eq!(
                area2(&part.outline),
                area2(&piece.outline),
                "{name}: piece {}",
                piece.number
            );
            assert_eq!(
                edges(&part.outline),
                edges(&piece.outline),
                "{name}: piece {}",
                piece.number
            );
        }
        let inside = |p: &v1::Point| {
            (part.x_mm..=part.x_mm + part.width_mm).contains(&p.x_mm)
                && (part.y_mm..=part.y_mm + part.height_mm).contains(&p.y_mm)
        };
        assert!(
            part.outline.iter().all(inside),
            "{name}: piece {}",
            piece.number
        );
        halves += usize::from(part.half_turned);
    }
    if name == "house" {
        assert!(halves > 0, "no two slopes of the gable share a cut");
    }
}

/// Prices to the cent, by whole cents and nothing else.
fn assert_money(name: &str, kit: &v1::Kit) {
    let micros = |money: &v1::Money| -> i128 {
        let (whole, decimals) = money.amount.split_once('.').unwrap_or((&money.amount, ""));
        let decimals: i128 = format!("{decimals:0<6}")[..6].parse().unwrap();
        whole.parse::<i128>().unwrap() * 1_000_000 + decimals
    };
    let mut sum = 0;
    for line in &kit.lines {
        if let (Some(price), Some(total)) = (&line.price, &line.total) {
            assert_eq!(
                micros(price) * i128::from(line.packs),
                micros(total),
                "{name}: {line:?}"
            );
            sum += micros(total);
        }
    }
    let net = micros(kit.net_price.as_ref().unwrap());
    assert_eq!(sum, net, "{name}: the lines add up to the net price");
    assert_eq!(
        net + micros(kit.tax.as_ref().unwrap()),
        micros(kit.gross_price.as_ref().unwrap()),
        "{name}"
    );
}

#[test]
fn the_thickness_chosen_is_the_smallest_that_serves() {
    for name in SURVEYS {
        let mut request = request(name);
        let choice = v1::thickness::Choice::TransmittanceAtMostWPerM2k(0.24);
        request.thickness = Some(v1::Thickness {
            choice: Some(choice),
        });
        let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
        let answer = here
            .estimate(request)
            .unwrap_or_else(|r| panic!("{name}: {}", r.summary));
        let (system, thermal) = (answer.system.unwrap(), answer.thermal.unwrap());
        assert!(
            thermal.u_after_w_per_m2k < thermal.u_before_w_per_m2k,
            "{name}: insulation lowers U"
        );
        let target = thermal
            .limits
            .iter()
            .find(|limit| limit.key == "request")
            .expect("the survey states a target");
        assert!(target.holds, "{name}: {target:?}");
        for row in thermal
            .sizing
            .iter()
            .filter(|row| row.thickness_mm < system.thickness_mm)
        {
            assert!(
                !row.holds,
                "{name}: {} mm would have served",
                row.thickness_mm
            );
        }
    }
}

#[test]
fn what_can_hurt_someone_is_said() {
    for name in SURVEYS {
        let answer = answer(name);
        let codes: Vec<&str> = answer.findings.iter().map(|f| f.code.as_str()).collect();
        for wanted in [
            "STRUCTURAL_DESIGN_TO_CONFIRM",
            "CAUTION_SCAFFOLD",
            "CAUTION_DUST",
            "CAUTION_WET_MORTAR",
            "FIRE_NO_RULE_DATA",
        ] {
            assert!(
                codes.contains(&wanted),
                "{name} does not say {wanted}: {codes:?}"
            );
        }
        let severities: Vec<i32> = answer.findings.iter().map(|f| -f.severity).collect();
        assert!(severities.is_sorted(), "{name}: the gravest come first");
    }
}

#[test]
fn what_each_rule_costs_comes_back_where_asked_for() {
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    let mut asked = request("short");
    asked.search_budget_steps = 50;
    let rules = |asked: &v1::EstimateRequest| {
        let answer = here.estimate(asked.clone());
        answer
            .unwrap_or_else(|r| panic!("{} {:?}", r.summary, r.faults))
            .layout
            .map_or(0, |layout| layout.rule_costs.len())
    };
    assert_eq!(rules(&asked), 0);
    asked.include = Some(v1::Include {
        rule_costs: true,
        ..v1::Include::default()
    });
    assert_eq!(
        rules(&asked),
        7,
        "one line for each rule that can be lifted"
    );
}

/// The names of all fields of the protocol, read from its text.
fn fields() -> BTreeSet<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../proto/etics/v1");
    let mut names = BTreeSet::new();
    for file in std::fs::read_dir(folder).unwrap() {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        let lines = text.lines().map(str::trim);
        for line in lines.filter(|l| l.ends_with(';') && !l.starts_with("//")) {
            let words: Vec<&str> = line.split_whitespace().collect();
            if let [.., name, "=", _] = words.as_slice() {
                names.insert((*name).to_string());
            }
        }
    }
    names
}

/// The files of the generic catalogue, read with code that is not ours.
fn catalogue() -> Vec<toml::Table> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../catalogues/generic");
    let files = std::fs::read_dir(folder).unwrap();
    let read = |file: std::io::Result<std::fs::DirEntry>| {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        text.parse().unwrap()
    };
    files.map(read).collect()
}

/// All keys that a table uses.
fn gather(table: &toml::Table, keys: &mut BTreeSet<String>) {
    for (key, value) in table {
        keys.insert(key.clone());
        if let Some(inner) = value.as_table() {
            gather(inner, keys);
        }
    }
}

/// What is said of a request is said by its own fields, so that a caller can show it beside them; so is where a figure comes from.
#[test]
fn findings_and_figures_name_fields_of_the_request() {
    let (names, mut keys) = (fields(), BTreeSet::new());
    for table in catalogue() {
        gather(&table, &mut keys);
    }
    assert!(keys.contains("vapour-resistance-factor") && keys.len() > 80);
    assert!(names.contains("reflection_index_percent") && names.len() > 300);
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    let mut codes = BTreeSet::new();
    for name in SURVEYS {
        let mut dark = request(name);
        dark.reflection_index_percent = Some(12.0);
        dark.site_temperature = Some(v1::SiteTemperature {
            least_celsius: -4.0,
            greatest_celsius: 41.0,
        });
        let mut slender = request(name);
        slender.reflection_index_percent = None;
        if let Some(v1::estimate_request::Survey::Building(building)) = &mut slender.survey {
            building.height_mm = 60_000;
        }
        for request in [request(name), dark, slender] {
            let response = here
                .estimate(request)
                .unwrap_or_else(|r| panic!("{name}: {} {:?}", r.summary, r.faults));
            for line in response.sheet.unwrap().lines {
                if let Some(from) = line.origin.strip_prefix("catalogue: ") {
                    assert!(
                        from.split(", ").skip(1).all(|key| keys.contains(key)
                            || key.starts_with("category ")
                            || key.starts_with("plate resistance of board.")),
                        "{name}: {line:?}"
                    );
                }
                let Some(path) = line.origin.strip_prefix("request: ") else {
                    continue;
                };
                for step in path.split('.').filter(|step| !step.is_empty()) {
                    let step = step.split('[').next().unwrap_or(step);
                    assert!(names.contains(step), "{name}: {line:?}");
                }
            }
            for finding in response.findings {
                let steps = finding.path.split('.').filter(|step| !step.is_empty());
                for step in steps.map(|step| step.split('[').next().unwrap_or(step)) {
                    assert!(names.contains(step), "{name}: {finding:?}");
                }
                codes.insert(finding.code);
            }
        }
    }
    for code in [
        "COLOUR_TOO_DARK",
        "COLOUR_NOT_TOLD",
        "WORK_TEMPERATURE",
        "SLENDER_BUILDING",
        "FIXING_RULES_UNVERIFIED",
    ] {
        assert!(codes.contains(code), "{code} is not among {codes:?}");
    }
}

/// Packs come on the fewest pallets that hold them, by the catalogue as read with code that is not ours.
#[test]
fn packs_come_on_the_fewest_pallets() {
    let mut per_pallet: BTreeMap<String, i64> = BTreeMap::new();
    for table in catalogue() {
        for (kind, articles) in &table {
            for (name, article) in articles.as_table().into_iter().flatten() {
                if let Some(packs) = article.get("packs-per-pallet") {
                    per_pallet.insert(format!("{kind}.{name}"), packs.as_integer().unwrap());
                }
            }
        }
    }
    assert!(per_pallet.len() > 5, "{per_pallet:?}");
    let mut on_pallets = 0;
    for name in SURVEYS {
        for line in answer(name).kit.unwrap().lines {
            let Some(&packs) = per_pallet.get(&line.article) else {
                continue;
            };
            let pallets = line.pallets.unwrap_or_else(|| panic!("{name}: {line:?}"));
            let holds = |pallets: u64| pallets * packs as u64 >= line.packs;
            assert!(holds(pallets) && !holds(pallets - 1), "{name}: {line:?}");
            on_pallets += 1;
        }
    }
    assert!(on_pallets > 5, "{on_pallets}");
}

/// Anchors would pierce the waterproofing of a plinth: below finished ground boards are only bonded (common practice, no source).
#[test]
fn nothing_is_drilled_below_ground() {
    let mut in_plinth = 0;
    for name in SURVEYS {
        let asked = request(name);
        let Some(v1::estimate_request::Survey::Building(building)) = asked.survey else {
            continue;
        };
        let fixing = answer(name).fixing.unwrap();
        for point in &fixing.points {
            let facade = building.facades.iter().find(|f| f.id == point.facade);
            let base = &facade.unwrap().base;
            let step = base
                .iter()
                .find(|s| s.from_mm <= point.x_mm && point.x_mm <= s.to_mm);
            let Some(step) = step else { continue };
            assert!(point.y_mm > step.ground_mm, "{name}: {point:?}");
            in_plinth += usize::from(point.y_mm < step.level_mm);
        }
    }
    assert!(in_plinth > 0, "no plinth is anchored above ground");
}

/// A lorry's load: boards by their volume and density, mesh by its area, everything in kilograms as bought, with densities as read from the
/// catalogue with code that is not ours.
#[test]
fn what_is_ordered_weighs_what_its_parts_weigh() {
    let tables = catalogue();
    let of = |article: &str, key: &str| {
        let (kind, name) = article.split_once('.').unwrap();
        let mut found = tables
            .iter()
            .filter_map(|t| t.get(kind)?.get(name)?.get(key));
        let value = found.next().unwrap_or_else(|| panic!("{article} {key}"));
        value
            .as_float()
            .unwrap_or_else(|| value.as_integer().unwrap() as f64)
    };
    for name in SURVEYS {
        let kit = answer(name).kit.unwrap();
        let mass = |line: &v1::KitLine| {
            let bought = line.packs as f64 * line.pack_content;
            let article = line.article.as_str();
            if article.starts_with("board.") {
                let thickness: f64 = line.size.trim_end_matches(" mm").parse().unwrap();
                let face = of(article, "length-mm") * of(article, "height-mm");
                bought * face * thickness * 1e-9 * of(article, "density-kg-per-m3")
            } else if article.starts_with("mesh.") {
                bought * of(article, "mass-g-per-m2") / 1000.0
            } else if line.unit_code == "KGM" {
                bought
            } else {
                0.0
            }
        };
        let sum: f64 = kit.lines.iter().map(mass).sum();
        assert!(
            (sum - kit.mass_kg).abs() < 1e-6 * sum,
            "{name}: {sum} {}",
            kit.mass_kg
        );
    }
}

/// How boards are bonded and how thick each course is are the caller's to say; colour and weather reach the takeoff by itself too.
#[test]
fn bonding_courses_colour_and_weather_are_heard() {
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    let net = |request: v1::EstimateRequest, starts: &str| -> f64 {
        let answer = here
            .estimate(request)
            .unwrap_or_else(|r| panic!("{:?}", r.faults));
        let kit = answer.kit.unwrap();
        let mut lines = kit.lines.iter().filter(|l| l.purpose.starts_with(starts));
        lines.next().unwrap_or_else(|| panic!("no {starts}")).net
    };
    let plain = |method: v1::BondingMethod, courses: &[f64]| {
        let mut request = request("short");
        request.bonding_method = method.into();
        request.base_coat_courses_mm = courses.to_vec();
        request
    };
    let (dabs, bed) = (v1::BondingMethod::BeadAndDab, v1::BondingMethod::FullBed);
    assert!(net(plain(bed, &[]), "bonding") > net(plain(dabs, &[]), "bonding"));
    let said = |request| {
        let answer = here
            .estimate(request)
            .unwrap_or_else(|r| panic!("{:?}", r.faults));
        answer.fixing.unwrap().bonding
    };
    assert!(said(plain(bed, &[])).starts_with("full surface"));
    assert!(said(plain(dabs, &[])).starts_with("bead"));
    // The system's base coat is 4 mm thick.
    let (one, two) = (plain(dabs, &[]), plain(dabs, &[3.0, 2.0]));
    let ratio = net(two, "base coat") / net(one, "base coat");
    assert!((ratio - 5.0 / 4.0).abs() < 1e-9, "{ratio}");
    let house = request("house");
    let Some(v1::estimate_request::Survey::Building(mut building)) = house.survey else {
        panic!("the house has a full survey")
    };
    building.plan_length_mm = 5000;
    building.plan_width_mm = 5000;
    let asked = v1::TakeOffRequest {
        survey: Some(v1::take_off_request::Survey::Building(building)),
        system: house.system,
        thickness: house.thickness,
        wind: house.wind,
        reflection_index_percent: Some(10.0),
        site_temperature: Some(v1::SiteTemperature {
            least_celsius: -5.0,
            greatest_celsius: 40.0,
        }),
        ..v1::TakeOffRequest::default()
    };
    let answer = here
        .take_off(asked)
        .unwrap_or_else(|r| panic!("{:?}", r.faults));
    let codes: BTreeSet<&str> = answer.findings.iter().map(|f| f.code.as_str()).collect();
    for code in [
        "COLOUR_TOO_DARK",
        "WORK_TEMPERATURE",
        "FACADE_LARGER_THAN_BUILDING",
    ] {
        assert!(codes.contains(code), "{code} is not among {codes:?}");
    }
}

/// That a facade is higher or wider than its building is said of each once, with its field.
#[test]
fn a_facade_larger_than_its_building_is_told_once_for_each_size() {
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    let mut house = request("house");
    let Some(v1::estimate_request::Survey::Building(building)) = &mut house.survey else {
        panic!("the house has a full survey")
    };
    building.height_mm = 5_500;
    let (length, width) = (building.plan_length_mm, building.plan_width_mm);
    let larger = |request: v1::EstimateRequest| -> Vec<(String, bool)> {
        let answer = here
            .estimate(request)
            .unwrap_or_else(|r| panic!("{:?}", r.faults));
        let found = answer.findings.into_iter();
        let found = found.filter(|f| f.code == "FACADE_LARGER_THAN_BUILDING");
        found
            .map(|f| (f.path, f.text.contains("plan_length_mm")))
            .collect()
    };
    let facade = |index: usize, wide: bool| (format!("building.facades[{index}]"), wide);
    // Front and gable are 5.6 and 9.2 m high; the ground at the rear, 5.45 m high, stands at 150 mm.
    assert_eq!(larger(house.clone()), [facade(0, false), facade(1, false)]);
    let Some(v1::estimate_request::Survey::Building(building)) = &mut house.survey else {
        panic!("the house has a full survey")
    };
    let widest = building.facades.iter().map(|f| {
        let xs = f.outline.iter().map(|p| p.x_mm);
        xs.clone().max().unwrap() - xs.min().unwrap()
    });
    let widths: Vec<i32> = widest.collect();
    assert!(widths.iter().all(|w| *w > 5_000 && *w <= length.max(width)));
    (building.plan_length_mm, building.plan_width_mm) = (5_000, 5_000);
    let told = larger(house);
    for index in 0..3 {
        assert!(told.contains(&facade(index, true)), "{told:?}");
        assert_eq!(told.contains(&facade(index, false)), index < 2, "{told:?}");
    }
    assert_eq!(told.len(), 5, "{told:?}");
}

/// What a rule set bills by the metre and by stages of height comes back beside the areas. Reveals by DIN 18363: two jambs and a head of every
/// opening at its smallest size; stages by IS 1200: 10 m, then 3 m each, which add up to the billed area.
#[test]
fn lengths_and_stages_are_billed_beside_areas() {
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    let areas = |name: &str, set: &str| {
        let mut request = request(name);
        request.measurement = set.into();
        let answer = here
            .estimate(request)
            .unwrap_or_else(|r| panic!("{:?}", r.faults));
        answer.kit.unwrap().areas
    };
    let Some(v1::estimate_request::Survey::Building(building)) = request("house").survey else {
        panic!("the house has a full survey")
    };
    for area in areas("house", "din-18363") {
        let of = |facade: &v1::Facade| -> f64 {
            let reveals = facade.openings.iter().map(|o| {
                let width = o.width_mm - 2 * o.reveal_insulation_mm;
                let height = o.height_mm - o.reveal_insulation_mm - o.sill_insulation_mm;
                f64::from(2 * height + width) / 1000.0
            });
            reveals.sum()
        };
        let own = building.facades.iter();
        let own = own.filter(|f| area.facade.is_empty() || f.id == area.facade);
        let expected: f64 = own.map(of).sum();
        let found = area.billed_reveals_m;
        assert!((found - expected).abs() < 0.03, "{found} for {expected}");
        assert!(area.billed_stages.is_empty());
    }
    let mut high = 0;
    for area in areas("flats", "is-1200") {
        let stages = &area.billed_stages;
        if area.facade.is_empty() {
            assert!(stages.is_empty());
            continue;
        }
        let sum: f64 = stages.iter().map(|s| s.area_m2).sum();
        assert!((sum - area.billed_m2).abs() < 1e-6, "{sum} {area:?}");
        assert_eq!((stages[0].from_m, stages[0].to_m), (0.0, 10.0));
        high += usize::from(stages.len() > 1 && stages[1].to_m == 13.0);
    }
    assert!(high > 0, "no facade is higher than 10 m");
}

/// The survey as it was sent, read with code that is not ours.
fn sent(name: &str) -> toml::Value {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("surveys/{name}.toml"));
    let table: toml::Table = std::fs::read_to_string(file).unwrap().parse().unwrap();
    toml::Value::Table(table)
}

/// Whether a field such as `building.facades[0].openings[2]` was sent.
fn was_sent(survey: &toml::Value, path: &str) -> bool {
    let steps = path.split('.').flat_map(|step| step.split('['));
    let mut at = Some(survey);
    for step in steps {
        at = match step.strip_suffix(']') {
            Some(index) => at.and_then(|v| v.get(index.parse::<usize>().unwrap())),
            None => at.and_then(|v| v.get(step)),
        };
    }
    at.is_some()
}

/// An origin in the request is a field that stands there; what was not sent says that it was assumed, and the answer tells it.
#[test]
fn what_the_sheet_calls_sent_was_sent() {
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    for name in SURVEYS {
        let survey = sent(name);
        let answer = answer(name);
        let lines = answer.sheet.expect("the working was asked for").lines;
        for line in &lines {
            assert!(!line.origin.contains("inside-celsius"), "{name}: {line:?}");
            let Some(path) = line.origin.strip_prefix("request: ") else {
                continue;
            };
            // What is nothing where it is not sent needs no word in the survey.
            assert!(
                was_sent(&survey, path) || line.value == 0.0,
                "{name}: {line:?}"
            );
        }
        for path in ["wind.orography_factor", "wind.loaded_area_m2"] {
            let assumed = answer.assumptions.iter().find(|a| a.path == path);
            let text = &assumed.unwrap_or_else(|| panic!("{name}: {path}")).text;
            let origin = format!("assumed: {text}");
            assert!(lines.iter().any(|l| l.origin == origin), "{name}: {origin}");
        }
        let mut told = request(name);
        if let Some(wind) = &mut told.wind {
            (wind.orography_factor, wind.loaded_area_m2) = (Some(1.1), Some(2.0));
            let answer = here
                .estimate(told)
                .unwrap_or_else(|r| panic!("{}", r.summary));
            let lines = answer.sheet.unwrap().lines;
            for (path, value) in [("orography_factor", 1.1), ("loaded_area_m2", 2.0)] {
                let origin = format!("request: wind.{path}");
                assert!(lines.iter().any(|l| l.origin == origin && l.value == value));
                assert!(answer.assumptions.iter().all(|a| !a.path.ends_with(path)));
            }
        }
    }
}

/// The anchors in the transmittance can be recomputed: so many, on so many square metres of facade boards.
#[test]
fn anchors_in_the_transmittance_are_so_many_on_so_much() {
    for name in SURVEYS {
        let lines = answer(name).sheet.unwrap().lines;
        let counted = lines.iter().filter(|l| l.label == "n, anchors");
        let placed = counted.filter_map(|l| {
            let told = l.origin.strip_prefix("counted: ")?;
            let (anchors, rest) = told.split_once(" anchors placed / ")?;
            let area = rest.strip_suffix(" m2 of facade boards")?;
            Some((l.value, anchors.to_owned(), area.to_owned()))
        });
        let placed: Vec<_> = placed.collect();
        assert!(!placed.is_empty(), "{name}");
        for (value, anchors, area) in placed {
            let (anchors, area): (f64, f64) = (anchors.parse().unwrap(), area.parse().unwrap());
            assert!((value - anchors / area).abs() < 1e-9, "{name}");
            // As many as the sheet counts for facade boards zone by zone.
            let zones = lines.iter().filter(|l| l.label.contains(", facade boards"));
            let zones: f64 = zones
                .filter(|l| l.origin == "counted: anchors placed for the boards of the zone")
                .map(|l| l.value)
                .sum();
            assert_eq!(zones, anchors, "{name}");
        }
    }
}

/// The used share is that of a resistance; where the least number of anchors governs, that number is told.
#[test]
fn the_used_share_is_that_of_a_resistance() {
    for name in SURVEYS {
        let fixing = answer(name).fixing.unwrap();
        let used = |zone: &v1::FixingZone| {
            let resistance = zone.provided_per_m2 * zone.anchor_resistance_kn * 1000.0;
            zone.design_suction_pa / resistance
        };
        let most = fixing.zones.iter().map(used).fold(0.0, f64::max);
        assert!((fixing.utilisation_share - most).abs() < 1e-9, "{name}");
        let designed = &fixing.sensitivity[0];
        assert!((designed.utilisation_share - most).abs() < 1e-9, "{name}");
        for zone in &fixing.zones {
            assert!((zone.utilisation_share - used(zone)).abs() < 1e-9);
            assert!(zone.least_per_m2 >= 4.0);
            if zone.governing.starts_with("least number of anchors") {
                let number = format!(", {} per m2", zone.least_per_m2);
                assert!(zone.governing.ends_with(&number), "{}", zone.governing);
            }
        }
    }
}

/// Each kind of board tells its own bond, and never less of it than its catalogue entry asks for.
#[test]
fn each_kind_of_board_tells_its_bond() {
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    let least = |board: &str| -> f64 {
        let bare = board.strip_prefix("board.").unwrap();
        let tables = catalogue();
        let entry = tables.iter().find_map(|t| t.get("board")?.get(bare));
        entry.unwrap()["bonded-share-min"].as_float().unwrap()
    };
    for (name, country, kinds) in [
        ("house", "", &["facade", "plinth"][..]),
        ("house", "DE", &["facade", "plinth", "barrier"][..]),
        ("flats", "", &["facade"][..]),
        ("short", "", &["facade"][..]),
    ] {
        let mut asked = request(name);
        asked.country = country.to_owned();
        let answer = here
            .estimate(asked)
            .unwrap_or_else(|r| panic!("{}", r.summary));
        let fixing = answer.fixing.unwrap();
        let boards: Vec<&str> = fixing.bonds.iter().map(|b| b.boards.as_str()).collect();
        assert_eq!(boards, kinds, "{name}");
        for bond in &fixing.bonds {
            let least = least(&bond.board);
            assert!(bond.bonded_share_min >= least, "{name}: {bond:?}");
            let full = bond.bonding.contains("full surface");
            assert!(full || bond.bonded_share_min < 1.0, "{name}: {bond:?}");
        }
        assert_eq!(fixing.bonded_share, fixing.bonds[0].bonded_share_min);
    }
}

/// Every line of the order list leads to the packs that it buys, whichever of several sizes it is.
#[test]
fn each_size_of_a_line_leads_to_its_own_packs() {
    let mut several = 0;
    for name in SURVEYS {
        let answer = answer(name);
        let sheet = answer.sheet.unwrap();
        let lines = answer.kit.unwrap().lines;
        for line in lines.iter().filter(|line| line.packs > 0) {
            let packs = &sheet.lines[line.sheet_line as usize];
            assert_eq!(packs.value, line.packs as f64, "{name}: {line:?}");
        }
        let lengths = |line: &&v1::KitLine| line.derivation.starts_with("with the line above");
        several += lines.iter().filter(lengths).count();
    }
    assert!(several > 0, "no line in several sizes");
}

/// Prices below the smallest unit of a currency: lines keep every digit, and what is paid is rounded once, by ISO 4217 to whole yen, to cents
/// and to thousandths of a dinar. The sums are reckoned in millionths with nothing of ours.
#[test]
fn what_is_paid_can_be_paid_in_its_currency() {
    for (currency, unit) in [("JPY", 1_000_000_i128), ("EUR", 10_000), ("KWD", 1_000)] {
        let heading = format!(
            "format = 1\n[catalogue]\nname = \"town\"\ncurrency = \"{currency}\"\nextends = \"generic\"\n"
        );
        let priced = "[mesh.standard]\nprice = \"61.000725\"\n";
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(currency);
        std::fs::create_dir_all(folder.join("town")).unwrap();
        let file = folder.join("town/catalogue.toml");
        std::fs::write(file, format!("{heading}{priced}")).unwrap();
        let here = Estimator::here(Some(&folder)).unwrap_or_else(|r| panic!("{}", r.summary));
        let mut request = request("house");
        request.include = None;
        request.branch = "town".to_owned();
        request.tax_share = "0.19".to_owned();
        let answer = here
            .estimate(request)
            .unwrap_or_else(|r| panic!("{}", r.summary));
        let kit = answer.kit.unwrap();
        let micros = |money: Option<&v1::Money>| -> i128 {
            let amount = &money.unwrap().amount;
            let (whole, decimals) = amount.split_once('.').unwrap_or((amount, ""));
            let decimals: i128 = format!("{decimals:0<6}").parse().unwrap();
            whole.parse::<i128>().unwrap() * 1_000_000 + decimals
        };
        let half_up = |micros: i128| (micros * 2 + unit).div_euclid(2 * unit) * unit;
        let lines = kit.lines.iter().filter(|line| line.total.is_some());
        let exact: i128 = lines.map(|line| micros(line.total.as_ref())).sum();
        let (net, tax) = (micros(kit.net_price.as_ref()), micros(kit.tax.as_ref()));
        assert_ne!(exact % unit, 0, "{currency}: nothing to round");
        assert_eq!(net, half_up(exact), "{currency}");
        assert_eq!(tax, half_up(net * 19 / 100), "{currency}");
        assert_eq!(micros(kit.gross_price.as_ref()), net + tax, "{currency}");
        assert!(answer.findings.iter().any(|f| f.code == "PRICE_ROUNDED"));
    }
}

/// A system outside the scope of the draft product standard is told so once for each of its two masses, from one document.
#[test]
fn a_mass_outside_the_scope_is_told_once() {
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    let mut request = request("house");
    request.base_coat_courses_mm = vec![30.0];
    let answer = here
        .estimate(request)
        .unwrap_or_else(|r| panic!("{}", r.summary));
    let told = answer
        .findings
        .iter()
        .filter(|f| f.text.contains("mass of"));
    let told: Vec<(&str, &str)> = told.map(|f| (f.code.as_str(), f.source.as_str())).collect();
    assert!((1..=2).contains(&told.len()), "{told:?}");
    assert!(told.iter().all(|t| *t == told[0]), "{told:?}");
    let sheet = answer.sheet.unwrap();
    let cited = sheet.lines.iter().filter(|l| l.document.contains("17237"));
    let cited: BTreeSet<(&str, i32)> = cited.map(|l| (l.document.as_str(), l.standing)).collect();
    assert_eq!(cited.len(), 1, "{cited:?}");
}
