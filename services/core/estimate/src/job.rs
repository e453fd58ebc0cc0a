//! The straight line: resolve, size, fix, set out, take off, assess, check, draw.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use facade::{Below, Building};
use material::{Assortment, Attachment, Board};
use quantity::{Area, AreaMass, Length, Mm};
use rules::RuleBook;
use setting_out::RuleCosts;
use standards::en_1991_1_4::NationalWind;
use standards::eota::FixingRules;
use takeoff::MeasurementRules;
use working::{Fault, Faults, Finding, Halt, Severity, Sheet};

use crate::answer::{ChosenAnchor, ChosenSystem, Estimate, Fixing, Part};
use crate::draw_part::{Drawn, draw};
use crate::fix_part::{self, Fixed, FixingBasis};
use crate::kit_part::{self, Ordered};
use crate::origins::{self, Known};
use crate::parts::{self, Parts, expected};
use crate::refusal::{Refusal, RefusalKind};
use crate::request::{Request, ThicknessChoice};
use crate::set_out::{self, Order, Product, Products};
use crate::survey_findings::{self, BoardsAtWall};
use crate::thermal_part::{self, Finished, Sized, ThermalRules, bridges};
use crate::{fire, value, wall};

/// The most rounds of thickness: each round takes the next thicker board, of which there are fewer than this.
const ROUNDS: usize = 60;

/// Everything that a request names, found.
pub(crate) struct Resolved<'a> {
    pub parts: Parts<'a>,
    pub thermal: ThermalRules<'a>,
    pub national: &'a NationalWind,
    pub fixing: FixingRules,
    pub measurement: &'a MeasurementRules,
    pub layout: &'a setting_out::Rules,
}

/// Estimates a whole job from resolved materials and rules.
///
/// # Errors
/// A [`Refusal`] with every fault at once. A design that fails its checks is an answer, not an error.
pub fn estimate(
    request: &Request,
    assortment: &Assortment,
    rules: &RuleBook,
) -> Result<Estimate, Refusal> {
    estimate_unless(request, assortment, rules, Halt::NEVER)
}

/// Estimates as [`estimate`] does, unless the work is halted before its end.
///
/// # Errors
/// Those of [`estimate`], and a refusal of the kind [`RefusalKind::Halted`].
pub fn estimate_unless(
    request: &Request,
    assortment: &Assortment,
    rules: &RuleBook,
    halt: Halt<'_>,
) -> Result<Estimate, Refusal> {
    let whole = || {
        value::check(request).map_err(bad)?;
        let resolved = resolve(request, assortment, rules)?;
        let mut sheet = Sheet::new();
        let round = designed(request, &resolved, rules, &mut sheet, halt)?;
        go_on(halt)?;
        finish(request, assortment, &resolved, &round, sheet, halt)
    };
    whole().map_err(|refusal| by_fields(refusal, request))
}

/// The names of a request that stand for nothing, and a thickness that is not stocked: what [`estimate`] would find after the values.
pub fn unknown(request: &Request, assortment: &Assortment, rules: &RuleBook) -> Vec<Fault> {
    let refusal = resolve(request, assortment, rules).err();
    refusal.map_or_else(Vec::new, |refusal| by_fields(refusal, request).faults)
}

/// The names of rule data that stand for nothing, whatever the catalogue: what can be told of a request whose branch is unknown.
pub fn unknown_rules(request: &Request, rules: &RuleBook) -> Vec<Fault> {
    let mut faults = Faults::new();
    let _ = resolve_rules(request, None, rules, &mut faults);
    let kind = RefusalKind::NotFound;
    let faults = faults.into_list();
    by_fields(Refusal { kind, faults }, request).faults
}

/// A refusal whose faults name fields of the request, however a part of the work calls them; what is then said twice is said once.
fn by_fields(refusal: Refusal, request: &Request) -> Refusal {
    let mut faults: Vec<Fault> = Vec::new();
    for fault in refusal.faults {
        let path = origins::blamed(&fault.path, request);
        let fault = Fault { path, ..fault };
        if !faults.contains(&fault) {
            faults.push(fault);
        }
    }
    Refusal { faults, ..refusal }
}

/// Between two parts of the work: whether the next one is begun.
fn go_on(halt: Halt<'_>) -> Result<(), Refusal> {
    if halt.is_asked() {
        Err(halted())
    } else {
        Ok(())
    }
}

fn halted() -> Refusal {
    Refusal {
        kind: RefusalKind::Halted,
        faults: Vec::new(),
    }
}

fn bad(faults: Vec<Fault>) -> Refusal {
    Refusal {
        kind: RefusalKind::BadValue,
        faults,
    }
}

fn unfit(faults: Vec<Fault>) -> Refusal {
    Refusal {
        kind: RefusalKind::DoNotFit,
        faults,
    }
}

/// Looks up every name of the request.
fn resolve<'a>(
    request: &Request,
    assortment: &'a Assortment,
    book: &'a RuleBook,
) -> Result<Resolved<'a>, Refusal> {
    let mut faults = Faults::new();
    let parts = match parts::resolve(&request.system, &request.finish, assortment) {
        Ok(parts) => Some(parts),
        Err(list) => {
            faults.extend(list);
            None
        }
    };
    let rules = resolve_rules(request, parts.as_ref(), book, &mut faults);
    let fixing = book
        .fixing
        .values()
        .find(|set| !request.country.is_empty() && set.country == request.country)
        .or_else(|| book.fixing.values().find(|set| set.country.is_empty()))
        .cloned()
        .unwrap_or_else(fixing::rules::defaults);
    // The board of a system is known even where another part of it is not.
    let board = parts::facade_board(&request.system, assortment);
    if let (ThicknessChoice::Given(thickness), Some(board)) = (&request.thickness, board)
        && board.stocked(*thickness).is_none()
    {
        let stocked: Vec<String> = board
            .thicknesses
            .iter()
            .map(|t| t.thickness.0.to_string())
            .collect();
        faults.add(
            "thickness.board_thickness_mm",
            "NOT_STOCKED",
            format!("{thickness}"),
            format!(
                "a stocked thickness of {}: {} mm",
                board.article.key,
                stocked.join(", ")
            ),
        );
    }
    let (Some(parts), Some(rules)) = (parts, rules) else {
        return Err(Refusal {
            kind: RefusalKind::NotFound,
            faults: faults.into_list(),
        });
    };
    if faults.is_empty() {
        Ok(Resolved {
            parts,
            thermal: rules.thermal,
            national: rules.national,
            fixing,
            measurement: rules.measurement,
            layout: rules.layout,
        })
    } else {
        Err(unfit(faults.into_list()))
    }
}

/// The rule sets that a request names.
struct RuleSets<'a> {
    thermal: ThermalRules<'a>,
    national: &'a NationalWind,
    measurement: &'a MeasurementRules,
    layout: &'a setting_out::Rules,
}

/// Looks up every rule set of the request; nothing where one of them is missing.
fn resolve_rules<'a>(
    request: &Request,
    parts: Option<&Parts<'_>>,
    book: &'a RuleBook,
    faults: &mut Faults,
) -> Option<RuleSets<'a>> {
    let thermal = thermal_part::resolve(request, book, faults);
    let national = named(
        faults,
        ("wind.national_set", "wind parameter set"),
        &book.wind,
        &request.wind.national_set,
    );
    if let Some(set) = national {
        faults.extend(fix_part::site_faults(request, set));
    }
    let measurement = named(
        faults,
        ("measurement", "measurement rule set"),
        &book.measurement,
        &request.measurement,
    )
    .inspect(|set| set.check_rule_data("measurement", faults));
    let layout_rules = match (request.layout_rules.as_str(), parts) {
        ("", Some(parts)) => usual_rules(parts.board).key,
        ("", None) => USUAL_LAYOUT_RULES,
        (key, _) => key,
    };
    let layout = named(
        faults,
        ("layout_rules", "setting-out rule set"),
        &book.setting_out,
        layout_rules,
    );
    Some(RuleSets {
        thermal: thermal?,
        national: national?,
        measurement: measurement?,
        layout: layout?,
    })
}

/// The setting-out rule set of most boards, where the request names none.
const USUAL_LAYOUT_RULES: &str = "common-practice";
/// Boards lower than this are low: where course lines keep 100 mm clear of sills and lintels, boards of 200 mm have no room for one between
/// two openings of unlike height.
const LOW_BOARDS: Mm = Mm(300);
/// Boards shorter than this are short: joints 250 mm from those above and below leave a board of 500 mm one place only.
const SHORT_BOARDS: Mm = Mm(600);

/// A setting-out rule set that is taken unasked, and why.
struct UsualRules {
    key: &'static str,
    /// What is told of it; nothing of the set that most boards take.
    told: Option<(&'static str, String)>,
}

/// The rule set for a board where the request names none.
fn usual_rules(board: &Board) -> UsualRules {
    if board.length < SHORT_BOARDS {
        let text = format!(
            "Boards of {} length are set out by the rule set `small-boards`, which asks for less stagger than `{USUAL_LAYOUT_RULES}` and lets course lines come nearer to sills and lintels. Name a set in the request for another.",
            board.length
        );
        UsualRules {
            key: "small-boards",
            told: Some(("LAYOUT_RULES_OF_SHORT_BOARDS", text)),
        }
    } else if board.height < LOW_BOARDS {
        let text = format!(
            "Boards of {} are set out by the rule set `low-boards`, which lets course lines come nearer to sills and lintels than `{USUAL_LAYOUT_RULES}`. Name a set in the request for another.",
            board.height
        );
        UsualRules {
            key: "low-boards",
            told: Some(("LAYOUT_RULES_OF_LOW_BOARDS", text)),
        }
    } else {
        UsualRules {
            key: USUAL_LAYOUT_RULES,
            told: None,
        }
    }
}

fn named<'a, T>(
    faults: &mut Faults,
    (path, kind): (&str, &str),
    map: &'a BTreeMap<String, T>,
    key: &str,
) -> Option<&'a T> {
    let found = map.get(key);
    if found.is_none() {
        faults.add(
            path,
            "UNKNOWN_RULE_SET",
            format!("`{key}`"),
            expected(kind, map, key),
        );
    }
    found
}

/// One thickness carried through setting-out and fixing.
struct Round<'a> {
    sized: Option<Sized>,
    products: Products<'a>,
    job: setting_out::Job,
    layout: setting_out::Layout,
    fixed: Option<Fixed>,
    barrier_findings: Vec<Finding>,
}

impl Resolved<'_> {
    fn basis<'a>(&'a self, request: &'a Request) -> FixingBasis<'a> {
        FixingBasis {
            building: &request.building,
            parts: &self.parts,
            rules: &self.fixing,
            national: self.national,
            site: &request.wind,
            bed: bed(&self.parts),
            bonding: request.bonding,
        }
    }
    fn anchor(&self, key: Option<&str>) -> Option<&material::Anchor> {
        self.parts
            .anchors
            .iter()
            .copied()
            .find(|anchor| Some(anchor.article.key.as_str()) == key)
    }
    /// The anchors as placed, as point bridges.
    fn bridges(&self, fixed: Option<&Fixed>) -> thermal::PointBridges {
        match fixed.and_then(|fixed| Some((fixed.per_m2(), self.anchor(fixed.anchor())?))) {
            Some((per_m2, anchor)) => bridges(per_m2, anchor),
            None => no_bridges(),
        }
    }
}

/// Sizes, sets out and fixes; where the anchors as placed cost the target, again with the next thicker board.
fn designed<'a>(
    request: &'a Request,
    resolved: &'a Resolved<'a>,
    book: &RuleBook,
    sheet: &mut Sheet,
    halt: Halt<'_>,
) -> Result<Round<'a>, Refusal> {
    let parts = &resolved.parts;
    let walls = wall::walls(&request.building);
    let (anchors, faults) = if fix_part::takes_anchors(parts) {
        fix_part::densities(&resolved.basis(request))
    } else {
        (unanchored(parts), Vec::new())
    };
    if anchors.is_empty() {
        return Err(unfit(faults));
    }
    let mut thicker_than = Mm::ZERO;
    for round in 0..ROUNDS {
        go_on(halt)?;
        let (thickness, sized) = match (&request.thickness, &resolved.thermal.target) {
            (ThicknessChoice::Given(thickness), _) => (*thickness, None),
            (_, Some(target)) => {
                let sized =
                    thermal_part::size(&walls, parts, target, &anchors, thicker_than, sheet)
                        .map_err(bad)?;
                sheet.retell(origins::before_placing);
                (sized.thickness, Some(sized))
            }
            (_, None) => (Mm::ZERO, None),
        };
        let products = products(request, parts, thickness)?;
        let mut found = lay_and_fix(request, resolved, products, book, sheet, halt)?;
        let last = round + 1 == ROUNDS
            || parts
                .board
                .thicknesses
                .last()
                .is_none_or(|t| t.thickness <= thickness);
        let bridges = resolved.bridges(found.fixed.as_ref());
        let settled = match &resolved.thermal.target {
            Some(target) if sized.as_ref().is_some_and(|s| s.admissible) && !last => {
                walls.iter().all(|existing| {
                    let (build_up, _) =
                        wall::after(existing, parts, thickness, Some(bridges.clone()));
                    let of = thermal::transmittance_bare(&build_up);
                    thermal::judge(target, &build_up, &of, &mut Sheet::new()).holds
                })
            }
            _ => true,
        };
        if settled {
            if request.rule_costs == RuleCosts::Report {
                found.layout.rule_costs = setting_out::rule_costs(&found.job, halt);
            }
            return Ok(Round { sized, ..found });
        }
        sheet.step(format!("With {:.2} anchors/m2 as placed, {thickness} no longer meets the target: the next thicker board is taken.", bridges.per_area.as_per_m2()));
        thicker_than = thickness;
    }
    Err(unfit(Vec::new()))
}

fn no_bridges() -> thermal::PointBridges {
    thermal::PointBridges {
        per_area: quantity::PerArea::ZERO,
        chi: quantity::PointTransmittance::ZERO,
        from: thermal::Source::Assumed(String::from("the system is bonded without anchors")),
    }
}

fn unanchored(parts: &Parts<'_>) -> thermal_part::AnchorsOf {
    parts
        .board
        .thicknesses
        .iter()
        .map(|t| (t.thickness, no_bridges()))
        .collect()
}

/// The thickness of the adhesive bed on the grid.
fn bed(parts: &Parts<'_>) -> Mm {
    let bed = parts
        .bonding_mortar
        .bonding
        .map_or(Length::from_mm(10.0), |b| b.bed);
    Mm(libm::ceil(bed.as_mm()).clamp(0.0, 200.0) as i32)
}

/// The boards of the job, each in the thickness of the facade where it is stocked so.
fn products<'a>(
    request: &Request,
    parts: &'a Parts<'a>,
    thickness: Mm,
) -> Result<Products<'a>, Refusal> {
    let mut faults = Faults::new();
    let Some(main) = parts.board.stocked(thickness).map(|size| Product {
        board: parts.board,
        size,
    }) else {
        faults.add(
            "thickness",
            "NOT_STOCKED",
            format!("{thickness}"),
            format!("a stocked thickness of {}", parts.board.article.key),
        );
        return Err(unfit(faults.into_list()));
    };
    let wants_plinth = request.building.facades.iter().any(set_out::has_plinth);
    let plinth_board = match (wants_plinth, parts.plinth_board) {
        (true, Some(board)) => Some(board),
        (true, None) if parts.board.exposure.plinth => Some(parts.board),
        (true, None) => {
            faults.add(
                "system",
                "NO_PLINTH_BOARD",
                format!(
                    "`{}`, whose facade board must not stand in the splash zone",
                    request.system
                ),
                "a system with a plinth board, because the survey has an insulated plinth",
            );
            None
        }
        _ => None,
    };
    let plinth = plinth_board.and_then(|board| equal(board, thickness, "plinth", &mut faults));
    let barrier = parts
        .barrier_board
        .and_then(|board| board.stocked(thickness).map(|size| Product { board, size }));
    if faults.is_empty() {
        Ok(Products {
            main,
            plinth,
            barrier,
        })
    } else {
        Err(unfit(faults.into_list()))
    }
}

/// The board in this thickness, or the thickest stocked one below it: a plinth may stand back, never out.
fn equal<'a>(
    board: &'a Board,
    thickness: Mm,
    role: &str,
    faults: &mut Faults,
) -> Option<Product<'a>> {
    let found = board
        .thicknesses
        .iter()
        .rev()
        .find(|t| t.thickness <= thickness)
        .map(|size| Product { board, size });
    if found.is_none() {
        faults.add(
            "system",
            "NOT_STOCKED",
            format!(
                "no {} of {thickness} or less for the {role}",
                board.article.key
            ),
            "a stocked thickness no greater than the facade's",
        );
    }
    found
}

fn lay_and_fix<'a>(
    request: &'a Request,
    resolved: &'a Resolved<'a>,
    products: Products<'a>,
    book: &RuleBook,
    sheet: &mut Sheet,
    halt: Halt<'_>,
) -> Result<Round<'a>, Refusal> {
    let (strips, barrier_findings) = fire::strips(request, resolved, &products, book);
    let products = Products {
        barrier: products.barrier.filter(|_| !strips.is_empty()),
        ..products
    };
    let order = Order {
        building: &request.building,
        products,
        bed: bed(&resolved.parts),
        rules: resolved.layout,
        barriers: &strips,
        budget: request.search_budget,
    };
    let job = set_out::job(&order);
    let laid = setting_out::set_out_unless(&job, halt);
    let laid = laid.map_err(|faults| bad(set_out::faults(faults)))?;
    let Some(layout) = laid else {
        return Err(halted());
    };
    let fixed = if fix_part::takes_anchors(&resolved.parts) {
        Some(
            fix_part::designed(
                &resolved.basis(request),
                &products,
                Some((&job, &layout)),
                sheet,
            )
            .map_err(unfit)?,
        )
    } else {
        None
    };
    Ok(Round {
        sized: None,
        products,
        job,
        layout,
        fixed,
        barrier_findings,
    })
}

/// Anchors and bond of the chosen round, told.
struct FixingTold {
    answer: Fixing,
    bonds: Vec<takeoff::BondNeed>,
    findings: Vec<Finding>,
}

fn fixing_told(
    request: &Request,
    resolved: &Resolved<'_>,
    round: &Round<'_>,
    sheet: &mut Sheet,
) -> Result<FixingTold, Refusal> {
    let basis = resolved.basis(request);
    let (mut answer, suction, mut findings) = match &round.fixed {
        Some(fixed) => {
            let mut findings = fixed.findings.clone();
            findings.extend(fixed.answer.findings.iter().cloned());
            (
                fixed.told(&resolved.parts),
                fixed.design_suction(),
                findings,
            )
        }
        None => fix_part::wind_only(&basis, sheet).map_err(bad)?,
    };
    let mut bonds = Vec::new();
    if let Some(suction) = suction {
        let mass = render_mass(request, &resolved.parts);
        let bonded = fix_part::bonds(&basis, &round.products, suction, mass, sheet);
        let bonded = bonded.map_err(unfit)?;
        if let Some(main) = bonded.boards.first() {
            answer.bonded_share = main.share;
            answer.bonding.clone_from(&main.bonding);
        }
        answer.bonds = bonded.boards;
        bonds = bonded.needs;
        answer.holds &= bonded.holds;
        findings.extend(bonded.findings);
    }
    if request.include.setting_out || request.include.drawings {
        answer.points = round.fixed.as_ref().map(Fixed::points).unwrap_or_default();
    }
    Ok(FixingTold {
        answer,
        bonds,
        findings,
    })
}

/// From the chosen round to the whole answer.
fn finish(
    request: &Request,
    assortment: &Assortment,
    resolved: &Resolved<'_>,
    round: &Round<'_>,
    mut sheet: Sheet,
    halt: Halt<'_>,
) -> Result<Estimate, Refusal> {
    let parts = &resolved.parts;
    let thickness = round.products.main.size.thickness;
    let FixingTold {
        answer: fixing,
        bonds,
        mut findings,
    } = fixing_told(request, resolved, round, &mut sheet)?;
    let walls = wall::walls(&request.building);
    let anchors = resolved.bridges(round.fixed.as_ref());
    let finished = Finished {
        walls: &walls,
        parts,
        thickness,
        anchors,
        profile: profile(&request.building),
    };
    sheet.section("The finished wall");
    let mut assessed =
        thermal_part::assess(request, &resolved.thermal, &finished, &mut sheet).map_err(bad)?;
    if let Some(sized) = &round.sized {
        assessed.thermal.sizing.clone_from(&sized.rows);
    }
    let ordered = Ordered {
        request,
        building: &request.building,
        stock: assortment,
        parts,
        thickness,
        plinth_thickness: round.products.plinth.map(|p| p.size.thickness),
        laid: kit_part::laid(
            &round.job,
            &round.layout,
            &round.products,
            round.fixed.as_ref(),
        ),
        anchors: round.fixed.as_ref().map(Fixed::needs).unwrap_or_default(),
        bonds,
        measurement: resolved.measurement,
    };
    let takeoff = kit_part::take_off(&ordered, &mut sheet).map_err(bad)?;
    let known = Known {
        request,
        parts,
        placed: round.fixed.as_ref().map(Fixed::placed),
    };
    sheet.retell(|origin| origins::retold(origin, &known));
    let baseline = set_out::baseline(&round.job);
    let layout = set_out::told(
        &round.job,
        &round.layout,
        &baseline,
        request.include.setting_out,
    );
    findings.extend(assessed.findings);
    findings.extend(round.barrier_findings.iter().cloned());
    findings.extend(takeoff.findings.iter().cloned());
    mass_told_once(&mut findings);
    findings.extend(layout_findings(&layout, &request.building));
    findings.extend(survey_told(request, resolved, thickness));
    let kit = kit_part::told(&takeoff, request, assortment);
    findings.extend(kit_part::priced_at_nothing(&kit, assortment));
    findings.extend(kit_part::rounded_to_pay(&kit, assortment));
    let mut estimate = Estimate {
        reference: request.reference.clone(),
        standards: sheet.documents(),
        system: chosen(request, parts, thickness),
        thermal: assessed.thermal,
        kit,
        layout,
        fixing,
        findings: Vec::new(),
        assumptions: request.assumptions.clone(),
        wall_drawings: assessed.drawings,
        drawings: Vec::new(),
        sheet,
    };
    go_on(halt)?;
    if request.include.drawings {
        let along = kit_part::laid_along(&ordered, &takeoff);
        findings.extend(elevations(
            (request, assortment),
            resolved,
            round,
            (along, &takeoff),
            &mut estimate,
        ));
    }
    estimate.findings = value::in_order(findings, request);
    Ok(estimate)
}

/// The takeoff weighs what is laid and holds it against the same limits as the design of the bond, which weighs a square metre as it is
/// meant: where the takeoff speaks, the design need not.
fn mass_told_once(findings: &mut Vec<Finding>) {
    if findings.iter().any(|f| f.code == "MASS_OUTSIDE_SCOPE") {
        findings.retain(|f| f.code != "MASS_BEYOND_STANDARD");
    }
}

/// What is said of the request itself, whatever was laid.
fn survey_told(request: &Request, resolved: &Resolved<'_>, thickness: Mm) -> Vec<Finding> {
    let boards = BoardsAtWall {
        thickness,
        bed: bed(&resolved.parts),
        rules: resolved.layout,
    };
    let mut findings = Vec::from_iter(rules_taken(request, resolved.parts.board));
    findings.extend(survey_findings::findings(&request.building, boards));
    findings.extend(value::cautions(request, &resolved.parts));
    let sets = &resolved.thermal.book.wind;
    findings.extend(value::wind_of_elsewhere(request, resolved.national, sets));
    findings
}

/// Draws the elevations and cutting sheets of the chosen round, and says what could not be drawn.
fn elevations(
    (request, assortment): (&Request, &Assortment),
    resolved: &Resolved<'_>,
    round: &Round<'_>,
    (along, takeoff): (
        Vec<(takeoff::Component, Vec<takeoff::edges::EdgeKind>)>,
        &takeoff::Takeoff,
    ),
    estimate: &mut Estimate,
) -> Vec<Finding> {
    let drawn = Drawn {
        reference: &request.reference,
        building: &request.building,
        job: &round.job,
        layout: &round.layout,
        zones: &estimate.fixing.zones,
        anchors: &estimate.fixing.points,
        chosen: &estimate.fixing.anchors,
        drilling: &estimate.fixing.drilling,
        names: board_names(&round.products),
        stock: assortment,
        kinds: anchor_kinds(resolved, &estimate.fixing.anchors),
        mesh: resolved.parts.mesh,
        along,
        takeoff,
        thickness: round.products.main.size.thickness,
    };
    let (drawings, said) = draw(&drawn);
    estimate.drawings = drawings;
    if !request.include.setting_out {
        estimate.fixing.points.clear();
    }
    said
}

/// What the boards are called for people, by what they are for.
fn board_names<'a>(products: &Products<'a>) -> BTreeMap<Part, &'a str> {
    let name = |(part, product): (Part, Product<'a>)| (part, product.board.article.name.as_str());
    products.by_part().map(name).collect()
}

/// How each of the chosen anchors sits.
fn anchor_kinds(resolved: &Resolved<'_>, chosen: &[ChosenAnchor]) -> Vec<drawing::AnchorKind> {
    let setting = |key: &str| resolved.anchor(Some(key)).map(|anchor| anchor.setting);
    let kind = |anchor: &ChosenAnchor| match setting(&anchor.anchor) {
        _ if !anchor.plate.is_empty() => drawing::AnchorKind::WidePlate,
        Some(material::Setting::Recessed { .. }) => drawing::AnchorKind::Recessed,
        _ => drawing::AnchorKind::Flush,
    };
    chosen.iter().map(kind).collect()
}

/// Mass of the rendering by the courses asked for, or the system's base coat.
fn render_mass(request: &Request, parts: &Parts<'_>) -> AreaMass {
    let courses = &request.base_coat_courses;
    let thickness = if courses.is_empty() {
        parts.system.base_coat_thickness
    } else {
        courses.iter().copied().sum()
    };
    let (mesh, primer) = (parts.mesh, parts.primer);
    takeoff::rendering(
        parts.base_coat_mortar,
        thickness,
        mesh,
        primer,
        parts.finish,
    )
}

fn chosen(request: &Request, parts: &Parts<'_>, thickness: Mm) -> ChosenSystem {
    ChosenSystem {
        key: request.system.clone(),
        name: parts.system.article.name.clone(),
        board: parts.board.article.key.clone(),
        thickness,
        finish: parts.finish.article.key.clone(),
        reaction_to_fire: parts.system.reaction_to_fire.clone(),
        attachment: match parts.system.attachment {
            Attachment::Bonded => "bonded",
            Attachment::BondedWithSupplementaryAnchors => "bonded, with supplementary anchors",
            Attachment::AnchoredWithSupplementaryMortar => "anchored, with supplementary mortar",
        }
        .to_string(),
    }
}

/// The length of base profile and the wall area that it edges.
fn profile(building: &Building) -> Option<(Length, Area)> {
    let length: Length = building
        .facades
        .iter()
        .flat_map(|f| &f.base)
        .filter(|step| step.below != Below::InsulatedPlinth)
        .map(|step| (step.to - step.from).to_length())
        .sum();
    let area: Area = building.facades.iter().map(facade::Facade::net_area).sum();
    (length > Length::ZERO && area > Area::ZERO).then_some((length, area))
}

/// Which rules were taken for low or short boards, where the request names none.
fn rules_taken(request: &Request, board: &Board) -> Option<Finding> {
    let told = usual_rules(board).told;
    let (code, text) = told.filter(|_| request.layout_rules.is_empty())?;
    Some(Finding {
        code,
        severity: Severity::Note,
        path: String::from("layout_rules"),
        text,
        source: "common practice, no source",
    })
}

fn layout_findings(layout: &crate::answer::Layout, building: &Building) -> Vec<Finding> {
    let place = |id: &str| {
        let index = building.facades.iter().position(|facade| facade.id == id);
        index.map_or_else(String::new, |index| format!("building.facades[{index}]"))
    };
    layout
        .breaches
        .iter()
        .map(|breach| Finding {
            code: "LAYOUT_RULE_NOT_KEPT",
            severity: Severity::Breach,
            path: place(&breach.facade),
            text: format!(
                "{} at ({}, {}): {}: {}",
                breach.facade, breach.x, breach.y, breach.rule, breach.text
            ),
            source: "setting-out rule set",
        })
        .collect()
}
