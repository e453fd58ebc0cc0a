//! Every system of the generic catalogue on the demo house, which stands on an insulated plinth, with fire barriers and without, and on a plinth
//! too low for anchors.

use std::path::Path;

use api::v1;
use client::{Estimator, read};

fn house() -> v1::EstimateRequest {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("surveys/house.toml");
    let Ok(survey) = read(&path, |_| None) else {
        panic!("the house cannot be read")
    };
    v1::EstimateRequest {
        thickness: Some(v1::Thickness {
            choice: Some(v1::thickness::Choice::BoardThicknessMm(120)),
        }),
        ..survey.request
    }
}

fn answer(request: v1::EstimateRequest) -> v1::EstimateResponse {
    let name = request.system.clone();
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    here.estimate(request)
        .unwrap_or_else(|r| panic!("{name}: {} {:?}", r.summary, r.faults))
}

/// The keys of all systems, read with code that is not ours.
fn systems() -> Vec<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../catalogues/generic/systems.toml");
    let text = std::fs::read_to_string(path).unwrap();
    let table: toml::Table = text.parse().unwrap();
    let systems = table["system"].as_table().unwrap();
    systems.keys().cloned().collect()
}

/// A system that states no pull-through resistance for its plinth board is lent that of the facade board, and the plate with it.
#[test]
fn every_system_can_stand_on_an_insulated_plinth() {
    let systems = systems();
    assert!(systems.len() > 4, "{systems:?}");
    let mut plated_plinths = 0;
    for system in systems {
        let response = answer(v1::EstimateRequest {
            system: system.clone(),
            ..house()
        });
        let (fixing, kit) = (response.fixing.unwrap(), response.kit.unwrap());
        let plinth = |a: &&v1::ChosenAnchor| a.situation.starts_with("plinth");
        let plated = |a: &&v1::ChosenAnchor| !a.plate.is_empty();
        let anchors = || fixing.anchors.iter();
        assert!(
            anchors().any(|a| plinth(&a)),
            "{system}: {:?}",
            fixing.anchors
        );
        let said = response
            .findings
            .iter()
            .any(|f| f.code == "PULL_THROUGH_TAKEN_FROM_FACADE_BOARD");
        let facade = anchors().filter(|a| !plinth(a)).any(|a| plated(&a));
        for anchor in anchors().filter(plinth) {
            assert_eq!(plated(&anchor), facade && said, "{system}: {anchor:?}");
            plated_plinths += u32::from(plated(&anchor));
        }
        let count: u32 = anchors().filter(plated).map(|a| a.count).sum();
        let bought = kit.lines.iter().filter(|l| l.article.starts_with("plate."));
        let bought: f64 = bought.map(|l| l.net).sum();
        assert!(
            (bought - f64::from(count)).abs() < 1e-9,
            "{system}: {bought} plates for {count} anchors"
        );
    }
    assert!(plated_plinths > 0, "no plinth takes a plate");
}

/// Strips of soft wool in a facade of another board are fixed by flush anchors with a wider plate, and follow a base line that steps.
#[test]
fn every_system_can_carry_fire_barriers() {
    let mut carrying = 0;
    for system in systems() {
        let mut request = v1::EstimateRequest {
            system: system.clone(),
            country: "DE".into(),
            include: Some(v1::Include {
                setting_out: true,
                drawings: true,
                ..v1::Include::default()
            }),
            ..house()
        };
        let Some(v1::estimate_request::Survey::Building(building)) = &mut request.survey else {
            panic!("a full survey")
        };
        let base = &mut building.facades[0].base;
        let whole = base[0];
        let (low, high) = (whole.level_mm, whole.level_mm + 250);
        let step = |from_mm, to_mm, level_mm| v1::BaseStep {
            from_mm,
            to_mm,
            level_mm,
            ground_mm: level_mm - 300,
            ..whole
        };
        *base = vec![step(0, 4500, low), step(4500, whole.to_mm, high)];
        let response = answer(request);
        let proposed = response
            .findings
            .iter()
            .any(|f| f.code == "FIRE_BARRIER_PROPOSED");
        if !proposed {
            continue;
        }
        carrying += 1;
        let (fixing, kit) = (response.fixing.unwrap(), response.kit.unwrap());
        let barrier = |a: &&v1::ChosenAnchor| a.situation.starts_with("barrier");
        let anchors = || fixing.anchors.iter();
        assert!(
            anchors().any(|a| barrier(&a)),
            "{system}: {:?}",
            fixing.anchors
        );
        for anchor in anchors().filter(barrier) {
            assert!(
                !anchor.plate.is_empty() && !anchor.anchor.contains("recessed"),
                "{system}: {anchor:?}"
            );
        }
        let count: u32 = anchors()
            .filter(|a| !a.plate.is_empty())
            .map(|a| a.count)
            .sum();
        let bought = kit.lines.iter().filter(|l| l.article.starts_with("plate."));
        let bought: f64 = bought.map(|l| l.net).sum();
        assert!(
            (bought - f64::from(count)).abs() < 1e-9,
            "{system}: {bought} plates for {count} anchors"
        );
        for (index, anchor) in fixing.anchors.iter().enumerate() {
            let own = |p: &&v1::AnchorPoint| p.anchor_index as usize == index;
            let placed = fixing.points.iter().filter(own).count();
            assert_eq!(placed, anchor.count as usize, "{system}: {anchor:?}");
        }
        let anchors_of_front = response
            .drawings
            .iter()
            .find(|d| d.name.starts_with("elevation-front-anchors"))
            .unwrap_or_else(|| panic!("{system}: no elevation of the front"));
        for kind in ["wider plate", "recessed"] {
            let chosen = fixing.anchors.iter().any(|a| match kind {
                "recessed" => a.anchor.contains(kind),
                _ => !a.plate.is_empty(),
            });
            assert_eq!(
                anchors_of_front.svg.contains(kind),
                chosen,
                "{system} {kind}"
            );
        }
        // The lowest strip of the front lies on both steps of its base line.
        let layout = response.layout.unwrap();
        let on_base = |level: i32, from: i32, to: i32| {
            let mut strips = layout
                .pieces
                .iter()
                .filter(|p| p.facade == "front" && p.zone.starts_with("barrier"));
            strips.any(|p| {
                p.outline.iter().any(|at| at.y_mm == level)
                    && p.outline
                        .iter()
                        .all(|at| (from..=to).contains(&at.x_mm) || at.x_mm < 0)
            })
        };
        assert!(
            on_base(low, 0, 4500) && on_base(high, 4500, whole.to_mm + 400),
            "{system}: no strip along the steps"
        );
    }
    assert!(carrying > 2, "{carrying} systems with barriers");
}

/// A plug over every sunk anchor; a cap over every flush one, but only where the system sinks none and what it names is a cap.
#[test]
fn anchors_are_covered_by_plugs_or_caps() {
    let (mut plugged, mut capped) = (0, 0);
    for system in systems() {
        let response = answer(v1::EstimateRequest {
            system: system.clone(),
            ..house()
        });
        let (fixing, kit) = (response.fixing.unwrap(), response.kit.unwrap());
        let sinks = fixing.anchors.iter().any(|a| a.anchor.contains("recessed"));
        for anchor in &fixing.anchors {
            let sunk = anchor.anchor.contains("recessed");
            assert_eq!(
                !anchor.plug.is_empty(),
                sunk || !sinks,
                "{system}: {anchor:?}"
            );
            if sunk {
                plugged += 1;
            } else if !anchor.plug.is_empty() {
                assert_eq!(anchor.plug, "plug.flush-cap", "{system}");
                capped += 1;
            }
        }
        let covered = fixing.anchors.iter().filter(|a| !a.plug.is_empty());
        let covered: u32 = covered.map(|a| a.count).sum();
        let bought = kit.lines.iter().filter(|l| l.article.starts_with("plug."));
        let bought: f64 = bought.map(|l| l.net).sum();
        assert!(
            (bought - f64::from(covered)).abs() < 1e-9,
            "{system}: {bought} plugs or caps for {covered} anchors"
        );
    }
    assert!(
        plugged > 0 && capped > 0,
        "{plugged} plugged, {capped} capped"
    );
}

/// An estimator with a branch of its own articles.
fn with_branch(name: &str, articles: &str) -> Estimator {
    let folder = std::env::temp_dir().join(format!("etics-{name}-{}", std::process::id()));
    let branch = folder.join(name);
    std::fs::create_dir_all(&branch).unwrap();
    let heading = format!(
        "format = 1\n[catalogue]\nname = \"{name}\"\ncurrency = \"EUR\"\nextends = \"generic\"\n"
    );
    std::fs::write(branch.join("catalogue.toml"), heading).unwrap();
    std::fs::write(branch.join("own.toml"), format!("format = 1\n{articles}")).unwrap();
    let here = Estimator::here(Some(&folder)).unwrap_or_else(|r| panic!("{}", r.summary));
    std::fs::remove_dir_all(&folder).unwrap();
    here
}

/// How the bonding mortar of an estimate comes about.
fn bonding(here: &Estimator, request: v1::EstimateRequest) -> String {
    let response = here
        .estimate(request)
        .unwrap_or_else(|r| panic!("{} {:?}", r.summary, r.faults));
    let kit = response.kit.unwrap();
    let mut lines = kit.lines.into_iter();
    lines.find(|l| l.purpose == "bonding").unwrap().derivation
}

/// A mortar that holds 0.04 MPa is to cover 0.03 / 0.04 of the boards' backs, one that holds 0.035 more than 0.8 of them, and so all: both
/// are ordered as they are told. The house has 7 mm of gap: 4.5 kg/m2 and 0.6 kg for each over the share, or 5 kg/m2 and the whole.
#[test]
fn a_weak_mortar_is_ordered_for_the_share_that_it_must_cover() {
    let plinth = |strength_kpa: u32| {
        let own = format!(
            "[mortar.bonding-standard.bonding]\nstrength-to-insulant-kpa = {strength_kpa}\n"
        );
        let here = with_branch(&format!("weak-{strength_kpa}"), &own);
        let request = v1::EstimateRequest {
            branch: format!("weak-{strength_kpa}"),
            ..house()
        };
        let derivation = bonding(&here, request);
        let told = |name: &str| {
            let shares = derivation.split(" + ");
            let mut own = shares.filter_map(|share| share.strip_prefix(name));
            own.find_map(|kg| kg.parse::<f64>().ok())
        };
        let without = told("front, plinth, boards without room for anchors ");
        [told("front, plinth ").unwrap(), without.unwrap_or(0.0)]
    };
    let (whole, per_m2) = (5.0 + 0.6 * 7.0, |share: f64| 4.5 + 0.6 * share * 7.0);
    for (strength, own) in [(100, per_m2(0.6)), (40, per_m2(0.75)), (35, whole)] {
        let [anchored, without] = plinth(strength);
        // The plinth of the front by hand: 7.2 m by 0.5 m, less 0.3 m of the door, which is finished 1 m wide. What finds no room for
        // its anchors is bonded over the whole face by any mortar.
        let area = 7.2 * 0.5 - 1.0 * 0.3 - without / whole;
        let by_hand = area * own;
        assert!((anchored - by_hand).abs() < 0.15, "{anchored}, {by_hand}");
    }
}

/// One wall of 4 m with a plinth of 60 mm, too low for an anchor.
fn on_a_low_plinth() -> v1::EstimateRequest {
    let mut request = house();
    let Some(v1::estimate_request::Survey::Building(building)) = &mut request.survey else {
        panic!("a full survey")
    };
    let free = || {
        Some(v1::Edge {
            kind: v1::EdgeKind::FreeEnd.into(),
            ..v1::Edge::default()
        })
    };
    let outline = [(0, 240), (4000, 240), (4000, 3300), (0, 3300)];
    building.facades = vec![v1::Facade {
        id: "annexe".into(),
        outline: outline.map(|(x_mm, y_mm)| v1::Point { x_mm, y_mm }).into(),
        left: free(),
        right: free(),
        base: vec![v1::BaseStep {
            from_mm: 0,
            to_mm: 4000,
            level_mm: 300,
            ground_mm: 240,
            below: v1::Below::InsulatedPlinth.into(),
        }],
        ..v1::Facade::default()
    }];
    request
}

/// Where the facade's board may stand in the plinth too, the plinth's pieces are bought with the facade's, and those without room for anchors
/// are bonded over their whole face all the same: 4 m by 60 mm, 5.0 kg and 0.6 kg for each of 7 mm of gap on a square metre.
#[test]
fn a_plinth_of_the_facade_board_is_bonded_where_it_holds_no_anchor() {
    let own = r#"
[board.eps-white]
exposure = ["facade", "plinth", "ground"]
[system.eps-white]
plinth-board = "eps-white"
"#;
    let here = with_branch("one-board", own);
    let request = v1::EstimateRequest {
        branch: "one-board".into(),
        ..on_a_low_plinth()
    };
    let derivation = bonding(&here, request);
    let by_hand = 4.0 * 0.06 * (5.0 + 0.6 * 7.0);
    let told = format!("annexe, facade, boards without room for anchors {by_hand:.2}");
    assert!(derivation.contains(&told), "{derivation}");
}

/// A strip of 60 mm holds no anchor; that is said in words, and nothing else is blamed.
#[test]
fn boards_without_room_for_anchors_are_named() {
    let response = answer(on_a_low_plinth());
    let named: Vec<&str> = response
        .findings
        .iter()
        .filter(|f| f.code == "ANCHORS_NOT_ENOUGH")
        .map(|f| f.text.as_str())
        .collect();
    assert!(!named.is_empty(), "{:?}", response.findings);
    for text in named {
        assert!(
            text.contains("room for an anchor") && !text.contains("inf"),
            "{text}"
        );
    }
}

/// Lamellas of 200 mm have their own rule set where the request names none, and it is said; other boards have the usual one.
#[test]
fn low_boards_have_rules_of_their_own() {
    let with = |system: &str, layout_rules: &str| {
        answer(v1::EstimateRequest {
            system: system.into(),
            layout_rules: layout_rules.into(),
            ..house()
        })
    };
    let breaches = |response: &v1::EstimateResponse| {
        let layout = response.layout.as_ref().unwrap();
        layout.breaches.len()
    };
    let said = |response: &v1::EstimateResponse| {
        let mut findings = response.findings.iter();
        findings.any(|f| f.code == "LAYOUT_RULES_OF_LOW_BOARDS")
    };
    let unsaid = with("mineral-wool-lamella", "");
    assert!(said(&unsaid));
    let usual = with("mineral-wool-lamella", "common-practice");
    assert!(!said(&usual));
    assert!(
        breaches(&unsaid) < breaches(&usual),
        "{} and {} breaches",
        breaches(&unsaid),
        breaches(&usual)
    );
    let low = with("mineral-wool-lamella", "low-boards");
    assert_eq!(low.layout, unsaid.layout);
    let white = with("eps-white", "");
    assert!(!said(&white));
    assert_eq!(white.layout, with("eps-white", "common-practice").layout);
}

/// Boards of 500 by 500 mm have one lawful place for a joint under a stagger of 250 mm: where the request names no rule set, they get the one
/// for short boards, and it is said.
#[test]
fn short_boards_have_rules_of_their_own() {
    let folder = std::env::temp_dir().join(format!("etics-square-{}", std::process::id()));
    let branch = folder.join("square");
    std::fs::create_dir_all(&branch).unwrap();
    let heading = r#"format = 1
[catalogue]
name = "square"
currency = "EUR"
extends = "generic"
"#;
    std::fs::write(branch.join("catalogue.toml"), heading).unwrap();
    let board = "format = 1\n[board.eps-white]\nlength-mm = 500\nheight-mm = 500\n";
    std::fs::write(branch.join("boards.toml"), board).unwrap();
    let here = Estimator::here(Some(&folder)).unwrap_or_else(|r| panic!("{}", r.summary));
    std::fs::remove_dir_all(&folder).unwrap();
    let with = |layout_rules: &str| {
        let request = v1::EstimateRequest {
            branch: "square".into(),
            layout_rules: layout_rules.into(),
            ..house()
        };
        here.estimate(request)
            .unwrap_or_else(|r| panic!("{} {:?}", r.summary, r.faults))
    };
    let said = |response: &v1::EstimateResponse| {
        let mut findings = response.findings.iter();
        findings.any(|f| f.code == "LAYOUT_RULES_OF_SHORT_BOARDS")
    };
    let unsaid = with("");
    assert!(said(&unsaid));
    let named = with("small-boards");
    assert!(!said(&named));
    assert_eq!(unsaid.layout, named.layout);
    let breaches =
        |response: &v1::EstimateResponse| response.layout.as_ref().unwrap().breaches.len();
    let usual = with("common-practice");
    assert!(breaches(&unsaid) < breaches(&usual));
}

/// A rule set that no board can obey is refused with each of its rules by the key that the rule set's file has, though all ask for the same length.
#[test]
fn each_rule_that_no_board_can_obey_is_named() {
    let keys = [
        "stagger-mm",
        "min-piece-width-mm",
        "min-piece-height-mm",
        "corner-piece-min-width-mm",
        "opening-keep-out-mm",
        "course-line-clear-mm",
        "crack-overlap-mm",
    ];
    let folder = std::env::temp_dir().join(format!("etics-rules-{}", std::process::id()));
    let sets = folder.join("rules").join("setting-out");
    std::fs::create_dir_all(&sets).unwrap();
    let heading = "format = 1\nkey = \"too-much\"\nname = \"Too much\"\nsource = \"none\"\n";
    // Longer than half of each board of the house and higher than all of them, a corner piece longer than all of them.
    let rules = keys.map(|key| match key {
        "corner-piece-min-width-mm" => format!("{key} = 2000\n"),
        _ => format!("{key} = 1000\n"),
    });
    let text = [heading, &rules.concat()].concat();
    std::fs::write(sets.join("too-much.toml"), text).unwrap();
    let here = Estimator::here(Some(&folder)).unwrap_or_else(|r| panic!("{}", r.summary));
    std::fs::remove_dir_all(&folder).unwrap();
    let refusal = here
        .estimate(v1::EstimateRequest {
            layout_rules: "too-much".into(),
            ..house()
        })
        .unwrap_err();
    assert_eq!(refusal.faults.len(), keys.len(), "{:?}", refusal.faults);
    for (fault, key) in refusal.faults.iter().zip(keys) {
        assert_eq!(fault.path, "layout_rules");
        assert!(fault.text.contains(key), "{key}: {}", fault.text);
    }
}

/// What rules cost takes the layout itself, one search for few boards, and one for each rule: the command line says how many that are.
#[test]
fn the_help_tells_how_many_searches_the_costs_of_rules_take() {
    let response = answer(v1::EstimateRequest {
        include: Some(v1::Include {
            rule_costs: true,
            ..v1::Include::default()
        }),
        search_budget_steps: 1,
        ..house()
    });
    let searches = 2 + response.layout.unwrap().rule_costs.len();
    let words = ["eight", "nine", "ten", "eleven"];
    let word = words[searches.checked_sub(8).unwrap()];
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../services/client/src");
    let arguments = std::fs::read_to_string(format!("{folder}/arguments.rs")).unwrap();
    let told = format!("takes {word} searches in place of one");
    assert!(arguments.contains(&told), "{searches} searches");
}

/// Every fire-barrier strip that is told lies as it is told, and no other is laid.
#[test]
fn fire_barriers_lie_as_they_are_told() {
    for storeys in [2, 3, 4] {
        let mut request = v1::EstimateRequest {
            country: "DE".into(),
            include: Some(v1::Include {
                setting_out: true,
                ..v1::Include::default()
            }),
            ..house()
        };
        let Some(v1::estimate_request::Survey::Building(building)) = &mut request.survey else {
            panic!("a full survey")
        };
        building.storeys = storeys;
        let response = answer(request);
        let told: std::collections::BTreeSet<(String, i32, i32)> = response
            .findings
            .iter()
            .filter(|f| f.code == "FIRE_BARRIER_PROPOSED")
            .map(|f| {
                let (facade, rest) = f.text.split_once(": from ").expect("a level");
                let mut numbers = rest.split(" mm").map(|part| part.rsplit(' ').next());
                let mut level = || {
                    numbers
                        .next()
                        .flatten()
                        .and_then(|n| n.parse().ok())
                        .expect("mm")
                };
                (facade.to_owned(), level(), level())
            })
            .collect();
        let layout = response.layout.unwrap();
        let barriers = layout.pieces.iter().filter(|p| p.zone == "barrier");
        let laid: std::collections::BTreeSet<(String, i32, i32)> = barriers
            .map(|p| {
                let ys = || p.outline.iter().map(|at| at.y_mm);
                (p.facade.clone(), ys().min().unwrap(), ys().max().unwrap())
            })
            .collect();
        assert!(!told.is_empty());
        assert_eq!(told, laid, "{storeys} storeys");
    }
}
