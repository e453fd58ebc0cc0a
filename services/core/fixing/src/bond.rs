//! The bond: which share of the boards, what the substrate must hold, and how it is prepared.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use facade::{Condition, Substrate, Surface};
use material::{Attachment, BaseCategory};
use quantity::{Acceleration, AreaMass, Stress, WindPressure};
use standards::en_17237;
use standards::eota::{self, FixingRules};
use working::{
    Check, Clause, Fault, Faults, Figure, Finding, Limit, Origin, Severity, Sheet, Verdict,
};

/// Standard acceleration of free fall.
const GRAVITY: Acceleration = Acceleration::from_m_per_s2(9.80665);

/// What the bond is judged by.
#[derive(Clone, Debug)]
pub struct BondRequest<'a> {
    /// Path in the request, for faults and origins.
    pub path: &'a str,
    /// Rules.
    pub rules: &'a FixingRules,
    /// How the system is held.
    pub attachment: Attachment,
    /// Key of the board.
    pub board: &'a str,
    /// The least share that the board asks for.
    pub board_share_min: f64,
    /// Mean bond strength between adhesive and board, dry, where known.
    pub bond_strength: Option<Stress>,
    /// The wall behind.
    pub substrate: &'a Substrate,
    /// The greatest design suction on the facades.
    pub design_suction: Figure<WindPressure>,
    /// Mass of base coat, primer and finish.
    pub render_mass: AreaMass,
    /// Mass of the boards.
    pub insulation_mass: AreaMass,
}

/// The bond.
#[derive(Clone, Debug, PartialEq)]
pub struct Bond {
    /// The share of each board's back that is to be bonded.
    pub share: Figure<f64>,
    /// How the mortar is laid, in words.
    pub method: &'static str,
    /// Checks, where strengths are known.
    pub checks: Vec<Verdict>,
    /// What the reader should know.
    pub findings: Vec<Finding>,
}

/// The bonded share and the checks of the bond.
///
/// # Errors
/// A system that is bonded only, on a substrate whose pull-off strength is not known; shares, strengths and masses out of range.
pub fn bond(request: &BondRequest<'_>, sheet: &mut Sheet) -> Result<Bond, Vec<Fault>> {
    let mut faults = Faults::new();
    check(request, &mut faults);
    faults.or(())?;
    sheet.section("Bond");
    sheet.step(format!("{} on {}.substrate", request.board, request.path));
    let share = share(request, sheet);
    let mut checks = Vec::new();
    if let (Some(strength), Some(pull_off)) = (request.bond_strength, request.substrate.pull_off) {
        stresses(request, share, (strength, pull_off), &mut checks, sheet);
    }
    if let Some(pull_off) = request.substrate.pull_off {
        checks.push(substrate_check(request, pull_off, sheet));
    }
    let mut findings = mass(request, sheet);
    findings.extend(preparation(request.substrate, request.path));
    findings.extend(flatness(request));
    findings.extend(needs_anchors(request));
    Ok(Bond {
        share,
        method: method(share.value),
        checks,
        findings,
    })
}

fn check(request: &BondRequest<'_>, faults: &mut Faults) {
    let path = request.path;
    let mut within = |field: &str, number: Option<f64>, low: f64, high: f64| {
        if let Some(n) = number
            && !(low..=high).contains(&n)
        {
            faults.add(
                format!("{path}.{field}"),
                "OUT_OF_RANGE",
                n.to_string(),
                format!("{low} to {high}"),
            );
        }
    };
    within(
        "board.bonded_share_min",
        Some(request.board_share_min),
        0.0,
        1.0,
    );
    within(
        "bond_strength_mpa",
        request.bond_strength.map(Stress::as_mpa),
        0.001,
        10.0,
    );
    within(
        "substrate.pull_off_mpa",
        request.substrate.pull_off.map(Stress::as_mpa),
        0.0,
        10.0,
    );
    within(
        "render_mass_kg_per_m2",
        Some(request.render_mass.as_kg_per_m2()),
        0.0,
        500.0,
    );
    within(
        "insulation_mass_kg_per_m2",
        Some(request.insulation_mass.as_kg_per_m2()),
        0.0,
        500.0,
    );
    if request.attachment == Attachment::Bonded && request.substrate.pull_off.is_none() {
        faults.add(
            format!("{path}.substrate.pull_off_mpa"),
            "SUBSTRATE_NOT_TESTED",
            "bonded only, without a pull-off strength of the substrate",
            format!(
                "a pull-off strength measured on the wall, at least {} MPa, or a system with anchors: {}, {}",
                request.rules.bond.substrate_min.value.as_mpa(),
                eota::BOND.document,
                eota::BOND.clause
            ),
        );
    }
}

fn share(request: &BondRequest<'_>, sheet: &mut Sheet) -> Figure<f64> {
    let rules = &request.rules.bond;
    let rule = |cited: String| Origin::Rule(format!("{}: {cited}", request.rules.key));
    let practice = sheet.given(
        "share by practice",
        rules.share_practice.value,
        rule(rules.share_practice.cite("bond.share_practice")),
    );
    let board = sheet.given(
        "share of the board",
        request.board_share_min,
        Origin::catalogue(request.board, "bonded-share-min"),
    );
    let mut asked = alloc::vec![practice, board];
    if let Some(strength) = request.bond_strength {
        let need = sheet.given(
            "strength needed over the whole board",
            rules.needed_strength.value,
            rule(rules.needed_strength.cite("bond.needed_strength")),
        );
        let b = sheet.given(
            "B",
            strength,
            Origin::request(format!("{}.bond_strength_mpa", request.path)),
        );
        let floor = sheet.given(
            "floor of the share",
            rules.share_floor.value,
            rule(rules.share_floor.cite("bond.share_floor")),
        );
        asked.push(sheet.derive("S of the strength", &eota::BONDED_SHARE, (need, b, floor)));
    }
    sheet.derive("S", &eota::GREATEST_SHARE, (&asked,))
}

fn stresses(
    request: &BondRequest<'_>,
    share: Figure<f64>,
    (strength, pull_off): (Stress, Stress),
    checks: &mut Vec<Verdict>,
    sheet: &mut Sheet,
) {
    let rules = &request.rules.bond;
    let rule = |cited: String| Origin::Rule(format!("{}: {cited}", request.rules.key));
    let tension = sheet.derive(
        "sigma_d",
        &eota::BOND_TENSION,
        (request.design_suction, share),
    );
    let gamma = sheet.given(
        "gamma_G",
        rules.dead_load_factor.value,
        rule(rules.dead_load_factor.cite("bond.dead_load_factor")),
    );
    let mass = sheet.given(
        "m",
        request.render_mass + request.insulation_mass,
        Origin::Counted("render and boards".into()),
    );
    let g = sheet.given(
        "g",
        GRAVITY,
        Origin::Table(Clause::project("standard acceleration of free fall")),
    );
    let shear = sheet.derive("tau_d", &eota::BOND_SHEAR, (gamma, mass, g, share));
    let b = sheet.given(
        "B",
        strength,
        Origin::request(format!("{}.bond_strength_mpa", request.path)),
    );
    let f = sheet.given(
        "f_sub",
        pull_off,
        Origin::request(format!("{}.substrate.pull_off_mpa", request.path)),
    );
    let gamma = sheet.given(
        "gamma_M, bond",
        rules.material_factor.value,
        rule(rules.material_factor.cite("bond.material_factor")),
    );
    let resistance = sheet.derive("f_d", &eota::BOND_RESISTANCE, (b, f, gamma));
    for (name, figure) in [
        ("tension in the bond", tension),
        ("shear in the bond", shear),
    ] {
        checks.push(sheet.check(Check {
            name: name.into(),
            clause: eota::BOND,
            figure,
            limit: resistance,
            side: Limit::AtMost,
        }));
    }
}

fn substrate_check(request: &BondRequest<'_>, pull_off: Stress, sheet: &mut Sheet) -> Verdict {
    let rule = &request.rules.bond.substrate_min;
    let figure = sheet.given(
        "pull-off strength of the substrate",
        pull_off,
        Origin::request(format!("{}.substrate.pull_off_mpa", request.path)),
    );
    let limit = sheet.given(
        "least pull-off strength",
        rule.value,
        Origin::Rule(format!(
            "{}: {}",
            request.rules.key,
            rule.cite("bond.substrate_min")
        )),
    );
    sheet.check(Check {
        name: "pull-off strength of the substrate".into(),
        clause: eota::BOND,
        figure,
        limit,
        side: Limit::AtLeast,
    })
}

/// The mortar of a full bed, in words.
pub const FULL_SURFACE: &str = "full surface with a notched trowel";

/// What is bonded over more of its back than this is bonded over all of it (common practice, no source).
pub const FULL_SURFACE_OVER: f64 = 0.8;

/// How the mortar is laid for a share.
const fn method(share: f64) -> &'static str {
    if share > FULL_SURFACE_OVER {
        FULL_SURFACE
    } else {
        "bead around the edge and dabs in the field"
    }
}

fn mass(request: &BondRequest<'_>, sheet: &mut Sheet) -> Vec<Finding> {
    let path = request.path;
    let render = sheet.given(
        "m_render",
        request.render_mass,
        Origin::Counted("base coat, mesh, primer, finish".into()),
    );
    let boards = sheet.given(
        "m_ins",
        request.insulation_mass,
        Origin::Counted("boards".into()),
    );
    let whole = sheet.derive("m", &en_17237::MASS, (render, boards));
    let limits = en_17237::WITH_ADHESIVE;
    let mut findings = Vec::new();
    for (what, found, limit) in [
        ("render", render.value, limits.render),
        ("render and insulation together", whole.value, limits.whole),
    ] {
        if found > limit {
            findings.push(Finding {
                code: "MASS_BEYOND_STANDARD",
                severity: Severity::Caution,
                path: path.to_string(),
                text: format!(
                    "The mass of {what} is {:.1} kg/m2, above the {} kg/m2 for which the product standard is written. The system's own assessment must \
                     cover it.",
                    found.as_kg_per_m2(),
                    limit.as_kg_per_m2()
                ),
                source: en_17237::DOCUMENT,
            });
        }
    }
    findings
}

/// What a condition asks for (common practice, no source).
const fn preparation_of(condition: Condition) -> (&'static str, Severity, &'static str) {
    match condition {
        Condition::Painted => (
            "SUBSTRATE_PAINTED",
            Severity::Caution,
            "The wall is painted: bond tests on site before work begins, paint that does not hold is removed, and anchors are needed in any case.",
        ),
        Condition::Sanding => (
            "SUBSTRATE_SANDING",
            Severity::Caution,
            "The surface chalks or sands: brush or wash it down and prime it with a consolidating primer, then test the bond.",
        ),
        Condition::Dusty => (
            "SUBSTRATE_DUSTY",
            Severity::Note,
            "The surface is dusty: clean it. Dust is drawn off, not swept dry; wear breathing protection.",
        ),
        Condition::LooseRender => (
            "SUBSTRATE_LOOSE_RENDER",
            Severity::Breach,
            "Render sounds hollow: it is knocked off and made good before boards are set. Nothing may be bonded or anchored over it. Keep the area \
             below clear.",
        ),
        Condition::Damp => (
            "SUBSTRATE_DAMP",
            Severity::Breach,
            "The wall is damp or shows salts: find and stop the cause and let the wall dry before boards are set.",
        ),
        Condition::Growth => (
            "SUBSTRATE_GROWTH",
            Severity::Note,
            "Algae or moss: remove it, treat with a biocide as its label says, and rinse. Wear gloves and eye protection.",
        ),
    }
}

/// What the survey's conditions ask for before boards are set, each once, in the order of their weight.
pub fn preparation(substrate: &Substrate, path: &str) -> Vec<Finding> {
    let mut conditions = substrate.conditions.clone();
    conditions.sort_unstable();
    conditions.dedup();
    let mut findings: Vec<Finding> = conditions
        .into_iter()
        .map(|condition| {
            let (code, severity, text) = preparation_of(condition);
            Finding {
                code,
                severity,
                path: format!("{path}.substrate.conditions"),
                text: text.to_string(),
                source: "common practice, no source",
            }
        })
        .collect();
    findings.sort_by_key(|finding| core::cmp::Reverse(finding.severity));
    if substrate.old_render.0 > 0 {
        findings.push(Finding {
            code: "OLD_RENDER",
            severity: Severity::Note,
            path: format!("{path}.substrate.old_render_mm"),
            text: "An old render stays on the wall: sound it over the whole area, test its bond, and drill through it; it does not count as embedment."
                .to_string(),
            source: "common practice, no source",
        });
    }
    findings
}

fn flatness(request: &BondRequest<'_>) -> Option<Finding> {
    let flatness = request.substrate.flatness?;
    if flatness.straightedge.0 <= 0 {
        return None;
    }
    let per_metre = f64::from(flatness.gap.0) * 1000.0 / f64::from(flatness.straightedge.0);
    let rules = &request.rules.bond;
    let limit = match request.attachment {
        Attachment::Bonded => &rules.flatness_bonded_mm,
        _ => &rules.flatness_anchored_mm,
    };
    (per_metre > limit.value).then(|| Finding {
        code: "SUBSTRATE_UNEVEN",
        severity: Severity::Breach,
        path: format!("{}.substrate.flatness", request.path),
        text: format!(
            "The wall is out of flat by {per_metre:.1} mm in a metre, more than the {} mm for this way of fixing: level it before boards are set.",
            limit.value
        ),
        source: "trade article, German practice",
    })
}

/// Walls on which mortar alone is not enough.
fn needs_anchors(request: &BondRequest<'_>) -> Option<Finding> {
    let substrate = request.substrate;
    let why = if substrate.conditions.contains(&Condition::Painted) {
        "painted"
    } else if substrate.surface == Surface::Render {
        "rendered"
    } else if substrate.category == Some(BaseCategory::AeratedConcrete) {
        "of aerated concrete"
    } else {
        return None;
    };
    (request.attachment == Attachment::Bonded).then(|| Finding {
        code: "ANCHORS_NEEDED_HERE",
        severity: Severity::Breach,
        path: request.path.to_string(),
        text: format!(
            "The wall is {why}: it needs anchors whatever the bond. Choose a system with anchors."
        ),
        source: "trade guidance to STN 73 2902:2012",
    })
}
