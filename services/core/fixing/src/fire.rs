//! Fire-barrier strips proposed from rule rows. Rows are data; without rows for a country the answer is that there is no rule data.

mod laying;

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

/// Where a strip goes. A ceiling's own level is not surveyed: it is taken from the storeys, so that a strip there may lie a little lower or
/// higher where it comes clear of sills and lintels, never higher than the row allows.
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
    /// The row that took its place, or empty. Where that row is there, this one is never applied.
    pub superseded_by: String,
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
    /// Its path in the request, for findings.
    pub path: String,
    /// Left edge.
    pub left: Mm,
    /// Right edge.
    pub right: Mm,
    /// Lower edge of the insulation, from left to right.
    pub base: Vec<FireStep>,
    /// Upper edge of the insulation, from left to right.
    pub top: Vec<FireTop>,
    /// Level of the ground.
    pub ground: Mm,
    /// Openings.
    pub openings: Vec<FireOpening>,
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

/// A straight piece of the upper edge of the insulation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FireTop {
    /// Where it begins.
    pub from: Mm,
    /// Where it ends.
    pub to: Mm,
    /// Its height where it begins.
    pub left: Mm,
    /// Its height where it ends.
    pub right: Mm,
}

impl FireTop {
    fn low(&self) -> Mm {
        self.left.min(self.right)
    }
    fn high(&self) -> Mm {
        self.left.max(self.right)
    }
    fn is_level(&self) -> bool {
        self.left == self.right
    }
}

/// An opening as boards are cut to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FireOpening {
    /// Its id.
    pub id: String,
    /// Left jamb.
    pub left: Mm,
    /// Right jamb.
    pub right: Mm,
    /// Sill.
    pub bottom: Mm,
    /// Lintel.
    pub top: Mm,
}

impl FireFacade {
    /// Where the insulation begins at its lowest.
    fn bottom(&self) -> Mm {
        let levels = self.base.iter().map(|step| step.level);
        levels.min().unwrap_or(self.ground)
    }
    /// Where the insulation ends at its highest.
    fn highest(&self) -> Mm {
        let highs = self.top.iter().map(FireTop::high);
        highs.max().unwrap_or(self.ground)
    }
    /// The highest level piece of the upper edge; where all of it slopes, its lowest point.
    fn eaves(&self) -> Mm {
        let level = self.top.iter().filter(|top| top.is_level());
        let lowest = self.top.iter().map(FireTop::low).min();
        let eaves = level.map(FireTop::low).max().or(lowest);
        eaves.unwrap_or(self.ground)
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
    /// Facades. Heights of those that are joined are measured from one level.
    pub facades: Vec<FireFacade>,
    /// Facades that meet at a corner or a joint: whose right end, whose left end.
    pub joined: Vec<(usize, usize)>,
    /// The least distance at which an edge of a strip keeps clear of sills, lintels and edges that it does not lie on.
    pub clear: Mm,
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
    let (mut applied, mut not_applied) = (Vec::new(), Vec::new());
    let mut laying = laying::Laying::new(building);
    for rule in &mine {
        if let Some(successor) = mine.iter().find(|row| row.id == rule.superseded_by) {
            not_applied.push(rule.id.clone());
            findings.push(finding(
                "FIRE_ROW_SUPERSEDED",
                Severity::Note,
                format!(
                    "Row {} ({}) is superseded by row {} ({}) and not applied.",
                    rule.id, rule.edition, successor.id, successor.edition
                ),
            ));
            continue;
        }
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
        demand(rule, building, &mut laying, &mut findings);
    }
    let (mut proposals, told) = laying.laid();
    findings.extend(told);
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
    laying: &mut laying::Laying<'_>,
    findings: &mut Vec<Finding>,
) {
    match &rule.demand {
        FireDemand::ClassAbove { height, class } => {
            let reaches = building
                .facades
                .iter()
                .any(|f| (f.highest() - f.ground).to_length() > *height);
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
            laying.lay(rule, strips);
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
