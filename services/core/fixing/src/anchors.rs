//! How many anchors each zone needs: resistance of one anchor in the wall and of the system over its plate, whole anchors per board.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use material::{Anchor, BaseCategory, BaseResistance, Plate, PlateResistance};
use quantity::{Area, Force, Length, Mm, PerArea, WindPressure};
use standards::eota::{self, FixingRules};
use working::{
    Check, Clause, Fault, Faults, Figure, Finding, Limit, Origin, Severity, Sheet, Standing,
    Verdict,
};

use crate::pull_out::pull_out;
use crate::rules;
use crate::wind::LoadLevel;

/// Where the anchors of a board stand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Pattern {
    /// At the two T-junctions of each vertical joint, the others in the board's field.
    #[default]
    JointsAndField,
    /// All in the board's field.
    FieldOnly,
}

impl Pattern {
    /// Anchors of a whole board in running bond that stand in joints, of `per_board`.
    pub const fn in_joints(self, per_board: u32) -> u32 {
        match self {
            Self::JointsAndField if per_board >= 2 => 2,
            _ => 0,
        }
    }
}

/// What a stated resistance holds already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ResistanceLevel {
    /// Nothing: the partial factor is still to be applied.
    Characteristic,
    /// The partial factor on the resistance.
    Design,
    /// Every safety factor, that of the wind among them.
    Permissible,
}

/// Where the resistance in the wall comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum WallResistance {
    /// From the anchor's assessment, by the category of the base material.
    Assessed,
    /// From pull-out tests on site: ultimate loads.
    SiteTests(Vec<Force>),
    /// Stated by the caller.
    Stated {
        /// The base material that it holds for.
        category: BaseCategory,
        /// The resistance.
        resistance: Force,
        /// What it holds already.
        level: ResistanceLevel,
        /// Where it is from.
        source: String,
    },
}

/// What the anchors of one layer situation are designed with.
#[derive(Clone, Debug)]
pub struct AnchorRequest<'a> {
    /// Path of the situation in the request, for faults and origins.
    pub path: &'a str,
    /// Rules.
    pub rules: &'a FixingRules,
    /// Level of safety of the suction.
    pub level: LoadLevel,
    /// The anchor.
    pub anchor: &'a Anchor,
    /// A wider plate under the anchor's own.
    pub plate: Option<&'a Plate>,
    /// Key of the board.
    pub board: &'a str,
    /// Its thickness.
    pub board_thickness: Mm,
    /// Area of a whole board.
    pub board_area: Area,
    /// The system's pull-through resistances.
    pub plate_resistances: &'a [PlateResistance],
    /// The system's least number of anchors per square metre.
    pub per_m2_min: f64,
    /// The most for which the system is claimed.
    pub per_m2_max: f64,
    /// The category of the base material.
    pub category: Option<BaseCategory>,
    /// Thickness of the base material, where known.
    pub member_thickness: Option<Length>,
    /// Where the resistance in the wall comes from.
    pub wall: WallResistance,
    /// Where the anchors stand.
    pub pattern: Pattern,
}

/// The resistances of one anchor in one layer situation, on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Resistance {
    /// Design resistance in the wall.
    pub wall: Figure<Force>,
    /// Characteristic pull-through in the field.
    pub panel: Figure<Force>,
    /// Characteristic pull-through at joints.
    pub joint: Figure<Force>,
    /// Reduction on the system.
    pub reduction: Figure<f64>,
    /// Partial factor on the system.
    pub system_factor: Figure<f64>,
    /// Partial factor on the wind; 1 where the suction holds it already.
    pub wind_factor: Figure<f64>,
    /// The least number that is asked for.
    pub least: Figure<PerArea>,
    /// The most for which the system is claimed.
    pub most: Figure<PerArea>,
    /// Area of a whole board.
    pub board_area: Figure<Area>,
    /// Where the anchors stand.
    pub pattern: Pattern,
    /// The assessment row that embedment and drilling come from.
    pub base: BaseResistance,
    /// What the reader should know.
    pub findings: Vec<Finding>,
}

/// What limits the anchors of a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Governing {
    /// Pull-out from the wall.
    Wall,
    /// Pull-through of the system over the plates.
    System,
    /// The least number of anchors.
    LeastNumber,
}

impl Governing {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Wall => "pull-out from the wall",
            Self::System => "pull-through of the board over the plate",
            Self::LeastNumber => "least number of anchors",
        }
    }
}

/// The anchors of one zone.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneDesign {
    /// Design suction.
    pub design_suction: Figure<WindPressure>,
    /// Share of anchors in joints.
    pub joint_share: Figure<f64>,
    /// Design pull-through resistance of one anchor.
    pub system: Figure<Force>,
    /// Governing design resistance of one anchor.
    pub resistance: Figure<Force>,
    /// Needed for the suction alone.
    pub needed: Figure<PerArea>,
    /// Asked for: whole, and not fewer than the least number.
    pub asked: Figure<PerArea>,
    /// Anchors for a whole board.
    pub per_board: u32,
    /// Provided.
    pub provided: Figure<PerArea>,
    /// What governs.
    pub governing: Governing,
    /// Design suction against design resistance.
    pub verdict: Verdict,
}

/// Anchors as counted on the wall in one zone.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Counted {
    /// All.
    pub anchors: u32,
    /// Of them in joints.
    pub in_joints: u32,
    /// Area of the boards that they hold.
    pub area: Area,
}

/// The resistances of an anchor in one layer situation.
///
/// # Errors
/// Every refusal at once: no category, a category that the anchor is not assessed in, a resistance of another base material, too few tests, a
/// board thinner than assessed or tested, a plate smaller than tested, a base material too thin, rule data out of range.
pub fn resistance(
    request: &AnchorRequest<'_>,
    sheet: &mut Sheet,
) -> Result<Resistance, Vec<Fault>> {
    let mut faults = Faults::new();
    faults.extend(rules::check(request.rules, "fixing_rules"));
    check_numbers(request, &mut faults);
    let base = check_base(request, &mut faults);
    check_hole(request, base, &mut faults);
    let pull_through = check_pull_through(request, &mut faults);
    let wall = wall_resistance(request, base, &mut faults, sheet);
    let (Some(base), Some(row), Some((wall, mut findings))) = (base, pull_through, wall) else {
        return Err(faults.into_list());
    };
    faults.or(())?;
    let rules = request.rules;
    let rule = |key: &str, cited: String| Origin::Rule(format!("{}, {key}: {cited}", rules.key));
    let wind_factor = match request.level {
        LoadLevel::Characteristic => sheet.given(
            "gamma_F",
            rules.wind_factor.value,
            rule("wind_factor", rules.wind_factor.cite("wind_factor")),
        ),
        LoadLevel::Strength => sheet.given(
            "gamma_F",
            1.0,
            Origin::Assumed("the wind code's suction holds its load factor already".into()),
        ),
    };
    let wall = design_wall(request, &wall, wind_factor, sheet);
    let system = |key| Origin::catalogue(format!("plate resistance of {}", row.board), key);
    let panel = sheet.given("R_panel", row.panel, system("panel-kn"));
    let joint = sheet.given("R_joint", row.joint, system("joint-kn"));
    let cited = rules.system_reduction.cite("system_reduction");
    let reduction = sheet.given(
        "k",
        rules.system_reduction.value,
        rule("system_reduction", cited),
    );
    let cited = rules.system_factor.cite("system_factor");
    let system_factor = sheet.given(
        "gamma_M, system",
        rules.system_factor.value,
        rule("system_factor", cited),
    );
    let (least, most) = numbers(request, sheet);
    let board_area = sheet.given(
        "A_b",
        request.board_area,
        Origin::catalogue(request.board, "length-mm, height-mm"),
    );
    findings.extend(cautions(request));
    Ok(Resistance {
        wall,
        panel,
        joint,
        reduction,
        system_factor,
        wind_factor,
        least,
        most,
        board_area,
        pattern: request.pattern,
        base: *base,
        findings,
    })
}

fn check_numbers(request: &AnchorRequest<'_>, faults: &mut Faults) {
    let path = request.path;
    let area = request.board_area.as_m2();
    if !(0.01..=10.0).contains(&area) {
        faults.add(
            format!("{path}.board"),
            "OUT_OF_RANGE",
            format!("{area} m2 a board"),
            "0.01 to 10 m2",
        );
    }
    let (low, high) = (request.per_m2_min, request.per_m2_max);
    if !(low >= 0.0 && high > 0.0 && low <= high && high <= 50.0) {
        faults.add(
            format!("{path}.system"),
            "OUT_OF_RANGE",
            format!("{low} to {high} anchors per m2"),
            "a least number not above the greatest, at most 50",
        );
    }
    if let Some(thickness) = request.member_thickness
        && (thickness < request.anchor.member_thickness_min || !thickness.is_finite())
    {
        faults.add(
            format!("{path}.member_thickness_mm"),
            "MEMBER_TOO_THIN",
            format!("{} mm", thickness.as_mm()),
            format!(
                "at least {} mm for {}: {}, {}",
                request.anchor.member_thickness_min.as_mm(),
                request.anchor.article.key,
                eota::DISTANCES.document,
                eota::DISTANCES.clause
            ),
        );
    }
}

/// The hole ends within the base material.
fn check_hole(request: &AnchorRequest<'_>, base: Option<&BaseResistance>, faults: &mut Faults) {
    let (Some(base), Some(thickness)) = (base, request.member_thickness) else {
        return;
    };
    let hole = base.embedment + base.extra_drill_depth;
    if hole.to_length() >= thickness {
        faults.add(
            format!("{}.member_thickness_mm", request.path),
            "HOLE_THROUGH_WALL",
            format!("{} mm", thickness.as_mm()),
            format!(
                "more than the hole of {hole} that {} needs",
                request.anchor.article.key
            ),
        );
    }
}

fn letters(anchor: &Anchor) -> String {
    let list: Vec<String> = anchor
        .base
        .iter()
        .map(|b| b.category.letter().to_string())
        .collect();
    list.join(", ")
}

fn check_base<'a>(request: &AnchorRequest<'a>, faults: &mut Faults) -> Option<&'a BaseResistance> {
    let path = request.path;
    let Some(category) = request.category else {
        faults.add(
            format!("{path}.category"),
            "BASE_MATERIAL_UNKNOWN",
            "no category",
            "the base material's category A to E, established on site; where it is in doubt, pull-out tests as well",
        );
        return None;
    };
    let base = request.anchor.in_category(category);
    if base.is_none() {
        faults.add(
            format!("{path}.category"),
            "ANCHOR_NOT_ASSESSED_HERE",
            format!("category {}", category.letter()),
            format!(
                "one of {}, in which {} is assessed: {}, {}",
                letters(request.anchor),
                request.anchor.article.key,
                eota::CATEGORIES.document,
                eota::CATEGORIES.clause
            ),
        );
    }
    base
}

fn check_pull_through<'a>(
    request: &AnchorRequest<'a>,
    faults: &mut Faults,
) -> Option<&'a PlateResistance> {
    let path = request.path;
    let clause = eota::PULL_THROUGH_RANGE;
    let cite = format!("{}, {}", clause.document, clause.clause);
    if request.board_thickness < request.anchor.board_thickness_min {
        faults.add(
            format!("{path}.board_thickness_mm"),
            "BOARD_THINNER_THAN_ASSESSED",
            format!("{}", request.board_thickness),
            format!(
                "at least {} for {}: {cite}",
                request.anchor.board_thickness_min, request.anchor.article.key
            ),
        );
    }
    let plate = request.plate.map_or(request.anchor.plate_diameter, |p| {
        p.diameter.max(request.anchor.plate_diameter)
    });
    let rows: Vec<&PlateResistance> = request
        .plate_resistances
        .iter()
        .filter(|r| r.board == request.board)
        .collect();
    if rows.is_empty() {
        faults.add(
            format!("{path}.board"),
            "NO_PULL_THROUGH_VALUE",
            format!("`{}`", request.board),
            "a board for which the system states pull-through resistances",
        );
        return None;
    }
    let thick: Vec<&PlateResistance> = rows
        .iter()
        .copied()
        .filter(|r| r.thickness_min <= request.board_thickness)
        .collect();
    if thick.is_empty() {
        let least = rows
            .iter()
            .map(|r| r.thickness_min)
            .min()
            .unwrap_or_default();
        faults.add(
            format!("{path}.board_thickness_mm"),
            "BOARD_THINNER_THAN_TESTED",
            format!("{}", request.board_thickness),
            format!("at least {least}, the least thickness of the pull-through tests: {cite}"),
        );
        return None;
    }
    let row = thick
        .iter()
        .copied()
        .filter(|r| r.plate_diameter_min <= plate && r.panel.as_n() > 0.0 && r.joint.as_n() > 0.0)
        .max_by_key(|r| (r.thickness_min, r.plate_diameter_min));
    if row.is_none() {
        let least = thick
            .iter()
            .map(|r| r.plate_diameter_min)
            .min()
            .unwrap_or_default();
        faults.add(
            format!("{path}.plate_mm"),
            "PLATE_SMALLER_THAN_TESTED",
            format!("{plate}"),
            format!("at least {least}, the least plate of the pull-through tests, with positive values: {cite}"),
        );
    }
    row
}

/// A resistance in the wall before its factor, with what it holds already.
struct WallValue {
    value: Figure<Force>,
    level: ResistanceLevel,
}

fn wall_resistance(
    request: &AnchorRequest<'_>,
    base: Option<&BaseResistance>,
    faults: &mut Faults,
    sheet: &mut Sheet,
) -> Option<(WallValue, Vec<Finding>)> {
    let path = request.path;
    let characteristic = |value| WallValue {
        value,
        level: ResistanceLevel::Characteristic,
    };
    match &request.wall {
        WallResistance::Assessed => {
            let row = base?;
            let key = format!(
                "{}, category {}",
                request.anchor.article.key,
                row.category.letter()
            );
            let value = sheet.given(
                "N_Rk",
                row.resistance,
                Origin::catalogue(key, "resistance-kn"),
            );
            positive_force(row.resistance, &format!("{path}.anchor"), faults)?;
            Some((characteristic(value), Vec::new()))
        }
        WallResistance::SiteTests(tests) => {
            if base.is_none() {
                faults.add(
                    format!("{path}.pull_out_tests_kn"),
                    "TESTS_NEED_ASSESSMENT",
                    "tests in a base material that the anchor is not assessed in",
                    format!(
                        "an anchor assessed in the same family of material: {}, {}",
                        eota::SAME_FAMILY.document,
                        eota::SAME_FAMILY.clause
                    ),
                );
            }
            let rule = &request.rules.site_tests;
            match pull_out(rule, tests, &format!("{path}.pull_out_tests_kn"), sheet) {
                Ok(found) => Some((characteristic(found.resistance), found.findings)),
                Err(list) => {
                    faults.extend(list);
                    None
                }
            }
        }
        WallResistance::Stated {
            category,
            resistance,
            level,
            source,
        } => {
            if request.category.is_some_and(|wall| wall != *category) {
                let wall = request.category.map_or('?', BaseCategory::letter);
                faults.add(
                    format!("{path}.wall_resistance"),
                    "RESISTANCE_OF_OTHER_MATERIAL",
                    format!("a resistance in category {}", category.letter()),
                    format!(
                        "one in category {wall}, that of the wall: {}, {}",
                        eota::CATEGORIES.document,
                        eota::CATEGORIES.clause
                    ),
                );
            }
            if *level == ResistanceLevel::Permissible && request.level == LoadLevel::Strength {
                faults.add(
                    format!("{path}.wall_resistance"),
                    "SAFETY_COUNTED_TWICE",
                    "a permissible load against suction at strength level",
                    "a characteristic or design resistance: both sides would hold the safety of the wind",
                );
            }
            positive_force(*resistance, &format!("{path}.wall_resistance"), faults)?;
            let origin = Origin::request(format!("{path}.wall_resistance ({source})"));
            let value = sheet.given("stated resistance in the wall", *resistance, origin);
            Some((
                WallValue {
                    value,
                    level: *level,
                },
                Vec::new(),
            ))
        }
    }
}

fn positive_force(force: Force, path: &str, faults: &mut Faults) -> Option<()> {
    let kn = force.as_kn();
    if kn > 0.0 && kn <= 100.0 {
        return Some(());
    }
    faults.add(
        path,
        "OUT_OF_RANGE",
        format!("{kn} kN"),
        "above 0 and up to 100 kN",
    );
    None
}

/// The design resistance in the wall: each safety factor once and never twice.
fn design_wall(
    request: &AnchorRequest<'_>,
    wall: &WallValue,
    wind_factor: Figure<f64>,
    sheet: &mut Sheet,
) -> Figure<Force> {
    let rules = request.rules;
    match wall.level {
        ResistanceLevel::Characteristic => {
            let cited = rules.wall_factor.cite("wall_factor");
            let factor = sheet.given(
                "gamma_M, wall",
                rules.wall_factor.value,
                Origin::Rule(format!("{}, wall_factor: {cited}", rules.key)),
            );
            sheet.derive("r_wall", &eota::WALL_RESISTANCE, (wall.value, factor))
        }
        ResistanceLevel::Design => {
            let factor = sheet.given(
                "gamma_M, wall",
                1.0,
                Origin::Assumed("the stated resistance is a design value already".into()),
            );
            sheet.derive("r_wall", &eota::WALL_RESISTANCE, (wall.value, factor))
        }
        ResistanceLevel::Permissible => sheet.derive(
            "r_wall",
            &eota::WALL_OF_PERMISSIBLE,
            (wind_factor, wall.value),
        ),
    }
}

/// The least and the greatest number of anchors: the stricter of rules and system.
fn numbers(request: &AnchorRequest<'_>, sheet: &mut Sheet) -> (Figure<PerArea>, Figure<PerArea>) {
    let rules = request.rules;
    let of_rules = rules.per_m2_min.value;
    let of_system = PerArea::from_per_m2(request.per_m2_min);
    let least = if of_rules >= of_system {
        let cited = rules.per_m2_min.cite("per_m2_min");
        sheet.given(
            "n_min",
            of_rules,
            Origin::Rule(format!("{}: {cited}", rules.key)),
        )
    } else {
        sheet.given(
            "n_min",
            of_system,
            Origin::catalogue("system", "anchors-min-per-m2"),
        )
    };
    let most = PerArea::from_per_m2(request.per_m2_max);
    let most = sheet.given(
        "n_max",
        most,
        Origin::catalogue("system", "anchors-max-per-m2"),
    );
    (least, most)
}

fn cautions(request: &AnchorRequest<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let names = rules::unverified(request.rules);
    if !names.is_empty() {
        findings.push(Finding {
            code: "FIXING_RULES_UNVERIFIED",
            severity: Severity::Caution,
            path: "fixing_rules".to_string(),
            text: format!(
                "Rules of set {} not yet verified against their texts: {}. Have them confirmed before the design is used.",
                request.rules.key,
                names.join(", ")
            ),
            source: "",
        });
    }
    findings
}

/// How a share and a number of anchors stand up, without a sheet; for the search.
struct Trial {
    share: f64,
    asked: PerArea,
}

impl Resistance {
    /// The share of anchors in joints of a whole board in running bond.
    fn nominal_share(&self, per_board: u32) -> f64 {
        f64::from(self.pattern.in_joints(per_board)) / f64::from(per_board.max(1))
    }
    /// The governing resistance at a share, without a sheet.
    pub fn bare(&self, share: f64) -> Force {
        let system = (eota::SYSTEM_RESISTANCE.function)((
            self.reduction.value,
            self.panel.value,
            self.joint.value,
            share,
            self.system_factor.value,
        ));
        self.wall.value.min(system)
    }
    fn trial(&self, suction: WindPressure, per_board: u32) -> Trial {
        let share = self.nominal_share(per_board);
        let needed = (eota::NEEDED.function)((suction, self.bare(share)));
        Trial {
            share,
            asked: (eota::NUMBER.function)((needed, self.least.value)),
        }
    }
    /// The most whole anchors on a board for which the system is claimed; at least one.
    pub fn per_board_max(&self) -> u32 {
        let most = self.most.value.as_per_m2() * self.board_area.value.as_m2();
        (libm::floor(most * (1.0 + 1e-9)).clamp(1.0, 200.0)) as u32
    }
    /// The fewest anchors on a board that serve a design suction, or the most for which the system is claimed.
    pub fn per_board(&self, design_suction: WindPressure) -> u32 {
        let most = self.per_board_max();
        (1..=most)
            .find(|&k| {
                let asked = self.trial(design_suction, k).asked;
                (eota::PER_BOARD.function)((asked, self.board_area.value)) <= f64::from(k)
            })
            .unwrap_or(most)
    }
}

/// The anchors of a zone under a suction, every figure on the sheet. A zone that no number of anchors serves comes back with a
/// utilisation above 1.
pub fn design(
    label: &str,
    resistance: &Resistance,
    suction: Figure<WindPressure>,
    sheet: &mut Sheet,
) -> ZoneDesign {
    let s = sheet.derive(
        format!("S_d, {label}"),
        &eota::DESIGN_SUCTION,
        (resistance.wind_factor, suction),
    );
    let per_board = resistance.per_board(s.value);
    let trial = resistance.trial(s.value, per_board);
    sheet.step(format!(
        "{label}: fewest anchors per board from 1 to {} whose number reaches the need at their own joint share: {per_board}",
        resistance.per_board_max()
    ));
    let share = sheet.given(
        format!("s, {label}"),
        trial.share,
        Origin::Counted(
            format!(
                "{} of {per_board} anchors of a whole board stand in joints",
                resistance.pattern.in_joints(per_board)
            )
            .into(),
        ),
    );
    let (system, governing) = of_share(label, resistance, share, sheet);
    let needed = sheet.derive(format!("n_S, {label}"), &eota::NEEDED, (s, governing));
    let asked = sheet.derive(
        format!("n, {label}"),
        &eota::NUMBER,
        (needed, resistance.least),
    );
    sheet.derive(
        format!("anchors asked for per board, {label}"),
        &eota::PER_BOARD,
        (asked, resistance.board_area),
    );
    let k = sheet.given(
        format!("k, {label}"),
        f64::from(per_board),
        Origin::Counted("fewest that serve".into()),
    );
    let provided = sheet.derive(
        format!("n_prov, {label}"),
        &eota::PROVIDED,
        (k, resistance.board_area),
    );
    let verdict = check(label, (s, provided, governing), sheet);
    let mode = if system.value < resistance.wall.value {
        Governing::System
    } else {
        Governing::Wall
    };
    let by_number =
        libm::ceil(needed.value.as_per_m2() * (1.0 - 1e-9)) < resistance.least.value.as_per_m2();
    ZoneDesign {
        design_suction: s,
        joint_share: share,
        system,
        resistance: governing,
        needed,
        asked,
        per_board,
        provided,
        governing: if by_number {
            Governing::LeastNumber
        } else {
            mode
        },
        verdict,
    }
}

fn of_share(
    label: &str,
    resistance: &Resistance,
    share: Figure<f64>,
    sheet: &mut Sheet,
) -> (Figure<Force>, Figure<Force>) {
    let args = (
        resistance.reduction,
        resistance.panel,
        resistance.joint,
        share,
        resistance.system_factor,
    );
    let system = sheet.derive(format!("r_system, {label}"), &eota::SYSTEM_RESISTANCE, args);
    let args = (resistance.wall, system);
    let governing = sheet.derive(format!("r, {label}"), &eota::GOVERNING_RESISTANCE, args);
    (system, governing)
}

fn check(
    label: &str,
    (s, provided, r): (Figure<WindPressure>, Figure<PerArea>, Figure<Force>),
    sheet: &mut Sheet,
) -> Verdict {
    let rd = sheet.derive(
        format!("R_d, {label}"),
        &eota::PROVIDED_RESISTANCE,
        (provided, r),
    );
    sheet.check(Check {
        name: format!("design suction within design resistance, {label}").into(),
        clause: eota::VERIFICATION,
        figure: s,
        limit: rd,
        side: Limit::AtMost,
    })
}

/// The zone as it stands on the wall: the real number and the real share of anchors in joints.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneVerified {
    /// The real share of anchors in joints.
    pub joint_share: Figure<f64>,
    /// Governing design resistance of one anchor at that share.
    pub resistance: Figure<Force>,
    /// Provided.
    pub provided: Figure<PerArea>,
    /// What governs.
    pub governing: Governing,
    /// Design suction against design resistance.
    pub verdict: Verdict,
    /// The number provided against the least number.
    pub number: Verdict,
}

/// Whether a count on the wall serves a design suction, without a sheet.
pub fn serves(resistance: &Resistance, design_suction: WindPressure, counted: Counted) -> bool {
    let area = counted.area.as_m2();
    if counted.anchors == 0 || area <= 0.0 {
        return area <= 0.0;
    }
    let share = f64::from(counted.in_joints) / f64::from(counted.anchors);
    let provided = f64::from(counted.anchors) / area;
    let r = resistance.bare(share).as_n();
    provided * r >= design_suction.as_pa() && provided >= resistance.least.value.as_per_m2()
}

/// Checks a zone as counted on the wall, on the sheet.
pub fn verify(
    label: &str,
    resistance: &Resistance,
    design_suction: Figure<WindPressure>,
    counted: Counted,
    sheet: &mut Sheet,
) -> ZoneVerified {
    let on_wall = |what: &'static str| Origin::Counted(what.into());
    let k = sheet.given(
        format!("anchors, {label}"),
        f64::from(counted.anchors),
        on_wall("anchors placed for the boards of the zone"),
    );
    let joints = sheet.given(
        format!("anchors in joints, {label}"),
        f64::from(counted.in_joints),
        on_wall("anchors placed in board joints"),
    );
    let area = sheet.given(
        format!("area of boards, {label}"),
        counted.area,
        on_wall("area of the boards of the zone"),
    );
    let share = if counted.anchors == 0 {
        sheet.given(format!("s, {label}"), 0.0, on_wall("no anchors"))
    } else {
        sheet.derive(
            format!("s on the wall, {label}"),
            &eota::JOINT_SHARE,
            (joints, k),
        )
    };
    let (system, governing) = of_share(label, resistance, share, sheet);
    let provided = sheet.derive(
        format!("n_prov on the wall, {label}"),
        &eota::PROVIDED,
        (k, area),
    );
    let verdict = check(label, (design_suction, provided, governing), sheet);
    let number = sheet.check(Check {
        name: format!("least number of anchors, {label}").into(),
        clause: Clause {
            document: "EAD 040083-00-0404",
            clause: "least number of anchors",
            standing: Standing::Unverified,
        },
        figure: provided,
        limit: resistance.least,
        side: Limit::AtLeast,
    });
    let mode = if system.value < resistance.wall.value {
        Governing::System
    } else {
        Governing::Wall
    };
    ZoneVerified {
        joint_share: share,
        resistance: governing,
        provided,
        governing: if number.utilisation > verdict.utilisation {
            Governing::LeastNumber
        } else {
            mode
        },
        verdict,
        number,
    }
}
