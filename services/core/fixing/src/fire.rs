//! Fire-barrier strips proposed from rule rows. Rows are data; without rows for a country the answer is that there is no rule data.

use alloc::collections::BTreeSet;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use quantity::{Length, Mm};
use standards::en_13501_1::{FireClass, MainClass};
use working::{Finding, Severity, Standing};

/// What always stands beside proposals.
pub const CAUTION: &str = "Fire-barrier strips listed here come from rule data of the stated edition. They are a quantity aid, not a fire-safety \
design. Have them confirmed by the person responsible for fire safety and against the system's assessment before ordering or building.";

/// When a row applies.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FireCondition {
    /// The reaction-to-fire main classes of the insulation it speaks of; empty for all.
    pub insulation: Vec<MainClass>,
    /// Insulation thicker than this.
    pub thickness_above: Option<Mm>,
    /// Insulation up to this thickness.
    pub thickness_to: Option<Mm>,
    /// Buildings higher than this.
    pub height_above: Option<Length>,
    /// Buildings up to this height.
    pub height_to: Option<Length>,
    /// Buildings of at least so many storeys.
    pub storeys_from: Option<u32>,
}

/// Where a strip goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StripPosition {
    /// Along the lower edge of the insulation, not higher above ground than this.
    LowerEdge {
        /// Greatest height above ground of its lower edge.
        not_above: Mm,
    },
    /// At the ceiling of a storey, the ground floor being 1, not farther from the strip below than this.
    Ceiling {
        /// The storey.
        storey: u32,
        /// Greatest distance between the axes of this strip and the one below it; zero for none.
        from_below: Mm,
    },
    /// At the ceiling of every so manieth storey.
    EveryStoreys {
        /// How many.
        storeys: u32,
    },
    /// Along the upper edge of the insulation.
    UpperEdge,
    /// Over every opening, reaching past it at both sides.
    OverOpenings {
        /// How far past.
        past: Mm,
    },
    /// The row does not say where; the text it cites must be read.
    NotStated,
}

/// One strip of a row.
#[derive(Clone, Debug, PartialEq)]
pub struct StripRule {
    /// Where it goes.
    pub position: StripPosition,
    /// Least height of the strip.
    pub height_min: Mm,
    /// The worst main class its material may have.
    pub material: MainClass,
    /// Anchors beyond those of the wind, per metre of strip.
    pub extra_anchors_per_m: f64,
    /// What else the row says.
    pub note: String,
}

/// What a row asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum FireDemand {
    /// Strips.
    Strips(Vec<StripRule>),
    /// Insulation of this main class or better above a height over ground.
    ClassAbove {
        /// The height.
        height: Length,
        /// The worst main class.
        class: MainClass,
    },
}

/// A row of rule data.
#[derive(Clone, Debug, PartialEq)]
pub struct FireRule {
    /// ISO 3166-1 alpha-2 code.
    pub country: String,
    /// Its id.
    pub id: String,
    /// The legal text.
    pub legal_reference: String,
    /// Its edition.
    pub edition: String,
    /// Who has verified the row, or empty.
    pub verified_by: String,
    /// When, as an ISO 8601 date, or empty.
    pub verified_on: String,
    /// How well it is known.
    pub standing: Standing,
    /// Where it was read.
    pub source: String,
    /// The headline in words.
    pub headline: String,
    /// When it applies.
    pub when: FireCondition,
    /// What it asks for.
    pub demand: FireDemand,
}

/// A facade as the rules see it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FireFacade {
    /// Its id.
    pub id: String,
    /// Left edge.
    pub left: Mm,
    /// Right edge.
    pub right: Mm,
    /// Lower edge of the insulation, from left to right.
    pub base: Vec<FireStep>,
    /// Upper edge of the insulation.
    pub top: Mm,
    /// Level of the ground.
    pub ground: Mm,
    /// Openings: left, right and upper edge.
    pub openings: Vec<(Mm, Mm, Mm)>,
}

/// A level piece of the lower edge of the insulation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FireStep {
    /// Where it begins.
    pub from: Mm,
    /// Where it ends.
    pub to: Mm,
    /// Its height.
    pub level: Mm,
}

impl FireFacade {
    /// Where the insulation begins at its lowest.
    fn bottom(&self) -> Mm {
        let levels = self.base.iter().map(|step| step.level);
        levels.min().unwrap_or(self.ground)
    }
    /// The stretches, from left to right, of steps of the lower edge that are asked for.
    fn stretches(&self, asked: impl Fn(Mm) -> bool) -> Vec<(Mm, Mm)> {
        let mut found: Vec<(Mm, Mm)> = Vec::new();
        for step in self.base.iter().filter(|step| asked(step.level)) {
            match found.last_mut() {
                Some(last) if last.1 == step.from => last.1 = step.to,
                _ => found.push((step.from, step.to)),
            }
        }
        found
    }
}

/// The building as the rules see it.
#[derive(Clone, Debug, PartialEq)]
pub struct FireBuilding {
    /// ISO 3166-1 alpha-2 code.
    pub country: String,
    /// Height above ground.
    pub height: Length,
    /// Storeys, the ground floor counted.
    pub storeys: u32,
    /// Class of the insulation.
    pub insulation: FireClass,
    /// Thickness of the insulation.
    pub thickness: Mm,
    /// Facades.
    pub facades: Vec<FireFacade>,
}

/// A strip that is proposed.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// Id of the row it comes from.
    pub rule: String,
    /// Facade.
    pub facade: String,
    /// Left edge.
    pub x_from: Mm,
    /// Right edge.
    pub x_to: Mm,
    /// Lower edge.
    pub y_from: Mm,
    /// Upper edge.
    pub y_to: Mm,
    /// The worst main class of its material.
    pub material: MainClass,
    /// Anchors beyond those of the wind, the strip's length counted.
    pub extra_anchors: u32,
    /// Why, in words.
    pub text: String,
}

/// What the rule data say.
#[derive(Clone, Debug, PartialEq)]
pub enum FireAnswer {
    /// There are no rows for the country. That is not to say that no barrier is needed.
    NoRuleData {
        /// The country asked for.
        country: String,
        /// Countries that rows exist for.
        known: Vec<String>,
    },
    /// Rows exist; these ids apply, with what they propose.
    Rules {
        /// Rows that apply.
        applied: Vec<String>,
        /// Rows that do not apply to this building.
        not_applied: Vec<String>,
        /// Strips, by facade and from below.
        proposals: Vec<Proposal>,
    },
}

/// What rule rows propose for a building, with findings that always say what the rows are worth.
pub fn barriers(rules: &[FireRule], building: &FireBuilding) -> (FireAnswer, Vec<Finding>) {
    let mine: Vec<&FireRule> = rules
        .iter()
        .filter(|r| r.country == building.country)
        .collect();
    if mine.is_empty() || building.country.is_empty() {
        return no_rule_data(rules, &building.country);
    }
    let mut findings = alloc::vec![finding(
        "FIRE_BARRIERS_TO_CONFIRM",
        Severity::Caution,
        CAUTION.to_string()
    )];
    let (mut applied, mut not_applied, mut proposals) = (Vec::new(), Vec::new(), Vec::new());
    for rule in mine {
        if !applies(&rule.when, building) {
            not_applied.push(rule.id.clone());
            continue;
        }
        applied.push(rule.id.clone());
        if rule.standing == Standing::Unverified || rule.verified_by.is_empty() {
            findings.push(finding(
                "FIRE_RULE_UNVERIFIED",
                Severity::Caution,
                format!(
                    "Row {} ({}, {}) is a headline that nobody has verified against the text: {}.",
                    rule.id, rule.legal_reference, rule.edition, rule.headline
                ),
            ));
        }
        demand(rule, building, &mut proposals, &mut findings);
    }
    proposals.sort_by(|a, b| {
        (&a.facade, a.y_from, a.x_from, &a.rule).cmp(&(&b.facade, b.y_from, b.x_from, &b.rule))
    });
    let answer = FireAnswer::Rules {
        applied,
        not_applied,
        proposals,
    };
    (answer, findings)
}

fn finding(code: &'static str, severity: Severity, text: String) -> Finding {
    Finding {
        code,
        severity,
        path: "country".to_string(),
        text,
        source: "",
    }
}

fn no_rule_data(rules: &[FireRule], country: &str) -> (FireAnswer, Vec<Finding>) {
    let mut known: Vec<String> = rules.iter().map(|r| r.country.clone()).collect();
    known.sort_unstable();
    known.dedup();
    let asked = if country.is_empty() {
        "no country named"
    } else {
        country
    };
    let text = format!(
        "No rule data on fire barriers ({asked}; rows exist for {}). That does not mean that none are needed: ask the person responsible for fire \
         safety.",
        if known.is_empty() {
            "no country".to_string()
        } else {
            known.join(", ")
        }
    );
    let findings = alloc::vec![finding("FIRE_NO_RULE_DATA", Severity::Caution, text)];
    let answer = FireAnswer::NoRuleData {
        country: country.to_string(),
        known,
    };
    (answer, findings)
}

fn applies(when: &FireCondition, building: &FireBuilding) -> bool {
    let class = when.insulation.is_empty() || when.insulation.contains(&building.insulation.main());
    class
        && when.thickness_above.is_none_or(|t| building.thickness > t)
        && when.thickness_to.is_none_or(|t| building.thickness <= t)
        && when.height_above.is_none_or(|h| building.height > h)
        && when.height_to.is_none_or(|h| building.height <= h)
        && when.storeys_from.is_none_or(|s| building.storeys >= s)
}

fn demand(
    rule: &FireRule,
    building: &FireBuilding,
    proposals: &mut Vec<Proposal>,
    findings: &mut Vec<Finding>,
) {
    match &rule.demand {
        FireDemand::ClassAbove { height, class } => {
            let reaches = building
                .facades
                .iter()
                .any(|f| (f.top - f.ground).to_length() > *height);
            if reaches && building.insulation.main() > *class {
                findings.push(finding(
                    "FIRE_CLASS_ABOVE_HEIGHT",
                    Severity::Breach,
                    format!(
                        "Row {}: above {} m over ground the insulation is to be of class {class:?} or better; it is {}.",
                        rule.id,
                        height.as_m(),
                        building.insulation
                    ),
                ));
            }
        }
        FireDemand::Strips(strips) => {
            for facade in &building.facades {
                let mut below: Option<Mm> = None;
                for strip in strips {
                    lay(rule, strip, building, facade, &mut below, proposals);
                }
            }
            if strips
                .iter()
                .any(|s| s.position == StripPosition::NotStated)
            {
                findings.push(finding(
                    "FIRE_POSITION_NOT_STATED",
                    Severity::Caution,
                    format!(
                        "Row {} does not say where its strips go: read {}.",
                        rule.id, rule.legal_reference
                    ),
                ));
            }
        }
    }
}

/// The height of a storey, taken alike for all.
fn storey_height(building: &FireBuilding) -> Mm {
    let mm = building.height.as_mm() / f64::from(building.storeys.max(1));
    Mm(libm::round(mm).clamp(1.0, f64::from(Mm::LIMIT.0)) as i32)
}

fn lay(
    rule: &FireRule,
    strip: &StripRule,
    building: &FireBuilding,
    facade: &FireFacade,
    below: &mut Option<Mm>,
    proposals: &mut Vec<Proposal>,
) {
    let storey = storey_height(building);
    let last = *below;
    let bottom = facade.bottom();
    let mut band = |y: Mm, text: String| {
        let top = (facade.top - strip.height_min).max(bottom);
        let y = y.max(bottom).min(top);
        *below = Some(y);
        // Where the facade steps up past it, a strip would lie in the plinth.
        for stretch in facade.stretches(|level| level <= y) {
            proposals.push(proposal(rule, strip, facade, stretch, y, text.clone()));
        }
    };
    match strip.position {
        StripPosition::LowerEdge { not_above } => {
            let levels: BTreeSet<Mm> = facade.base.iter().map(|step| step.level).collect();
            let told = if levels.len() > 1 {
                "; the row does not say how it is carried up a step"
            } else {
                ""
            };
            let text =
                format!("along the lower edge, not higher than {not_above} above ground{told}");
            for level in levels {
                for stretch in facade.stretches(|own| own == level) {
                    let text = text.clone();
                    proposals.push(proposal(rule, strip, facade, stretch, level, text));
                }
            }
            *below = Some(bottom);
        }
        StripPosition::Ceiling {
            storey: number,
            from_below,
        } => {
            if number > building.storeys {
                return;
            }
            let level = facade.ground + storey * i32::try_from(number).unwrap_or(i32::MAX);
            let limit = last
                .filter(|_| from_below > Mm::ZERO)
                .map(|y| y + from_below);
            let y = limit.map_or(level, |limit| level.min(limit));
            band(
                y,
                format!("at the ceiling of storey {number}, storeys taken as {storey} high"),
            );
        }
        StripPosition::EveryStoreys { storeys } => {
            let step = storeys.max(1);
            // A bound for the loop: no building has more than 200 storeys.
            for number in (step..building.storeys.min(200)).step_by(step as usize) {
                let level = facade.ground + storey * i32::try_from(number).unwrap_or(i32::MAX);
                band(
                    level,
                    format!("at the ceiling of storey {number}, storeys taken as {storey} high"),
                );
            }
        }
        StripPosition::UpperEdge => band(
            facade.top - strip.height_min,
            "along the upper edge".to_string(),
        ),
        StripPosition::OverOpenings { past } => {
            for &(left, right, top) in &facade.openings {
                let x = (
                    (left - past).max(facade.left),
                    (right + past).min(facade.right),
                );
                let text = format!("over an opening, {past} past it");
                proposals.push(proposal(rule, strip, facade, x, top, text));
            }
        }
        StripPosition::NotStated => {}
    }
}

fn proposal(
    rule: &FireRule,
    strip: &StripRule,
    facade: &FireFacade,
    (x_from, x_to): (Mm, Mm),
    y_from: Mm,
    text: String,
) -> Proposal {
    let metres = (x_to - x_from).to_length().as_m().max(0.0);
    let extra = libm::ceil(metres * strip.extra_anchors_per_m * (1.0 - 1e-9)).clamp(0.0, 1e6);
    Proposal {
        rule: rule.id.clone(),
        facade: facade.id.clone(),
        x_from,
        x_to,
        y_from,
        y_to: y_from + strip.height_min,
        material: strip.material,
        extra_anchors: extra as u32,
        text: if strip.note.is_empty() {
            text
        } else {
            format!("{text}; {}", strip.note)
        },
    }
}
