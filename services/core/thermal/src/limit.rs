//! National limits of U or R as data, and the verdict on a wall.

use alloc::borrow::Cow;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Rounding, ThermalResistance, Transmittance};
use working::{Check, Clause, Figure, Limit, Origin, Sheet, Standing, Verdict};

use crate::build_up::{BuildUp, Role};
use crate::formula;
use crate::transmittance::Transmittances;

/// Which resistance an act limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ResistanceOf {
    /// The insulation that is put on.
    Insulation,
    /// The whole kit: insulation and coats.
    Kit,
    /// The whole wall without surface resistances.
    Wall,
    /// The whole wall with surface resistances.
    Total,
}

/// What an act limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LimitValue {
    /// The corrected U-value must not exceed this.
    TransmittanceAtMost(Transmittance),
    /// This resistance must be reached.
    ResistanceAtLeast {
        /// Which resistance.
        of: ResistanceOf,
        /// The least value.
        value: ThermalResistance,
    },
}

/// One limit of one act.
#[derive(Clone, Debug, PartialEq)]
pub struct ThermalLimit {
    /// A short key, such as `de-geg-7-outer-wall`.
    pub id: String,
    /// The country by its ISO 3166 code.
    pub country: String,
    /// The act.
    pub act: String,
    /// The edition of the act.
    pub edition: String,
    /// The element in the act's words.
    pub element: String,
    /// The action on it in the act's words.
    pub action: String,
    /// The zone it holds for; empty for everywhere.
    pub zone: String,
    /// The first day it holds, as `YYYY-MM-DD`; empty where unknown.
    pub valid_from: String,
    /// The last day it holds; empty while in force.
    pub valid_to: String,
    /// What is limited.
    pub value: LimitValue,
    /// How the figure is rounded before it is compared.
    pub rounding: Rounding,
    /// The share by which a declared resistance of insulation is reduced where fixings pierce it; 0 for none.
    pub pierced_reduction: f64,
    /// Exceptions, in words; a person has to judge them.
    pub exceptions: Vec<String>,
    /// Where it was read.
    pub source: String,
    /// How well it is known.
    pub standing: Standing,
}

/// The act behind a limit that the asker states.
pub const STATED_IN_THE_REQUEST: &str = "value stated in the request";

impl ThermalLimit {
    /// A limit that the asker states, with no act behind it: compared in full, without reductions.
    pub fn stated(value: LimitValue) -> Self {
        Self {
            id: String::from("stated"),
            country: String::new(),
            act: String::from(STATED_IN_THE_REQUEST),
            edition: String::new(),
            element: String::new(),
            action: String::new(),
            zone: String::new(),
            valid_from: String::new(),
            valid_to: String::new(),
            value,
            rounding: Rounding::Full,
            pierced_reduction: 0.0,
            exceptions: Vec::new(),
            source: String::from("request"),
            standing: Standing::Project,
        }
    }
    /// The limit in one line, as it stands on the sheet.
    pub fn citation(&self) -> String {
        let parts = [
            &self.country,
            &self.act,
            &self.edition,
            &self.element,
            &self.zone,
        ];
        let mut text = String::new();
        for part in parts.into_iter().filter(|part| !part.is_empty()) {
            if !text.is_empty() {
                text.push_str(", ");
            }
            text.push_str(part);
        }
        if self.standing == Standing::Unverified {
            text.push_str(" (unverified)");
        }
        text
    }
    /// The bare comparison: the figure as the act compares it, and whether it meets the limit.
    pub(crate) fn compare(&self, build_up: &BuildUp, of: &Transmittances) -> (f64, bool) {
        match self.value {
            LimitValue::TransmittanceAtMost(limit) => {
                let figure = self.rounding.round(of.u_corrected.value.as_w_per_m2k());
                (figure, figure <= limit.as_w_per_m2k())
            }
            LimitValue::ResistanceAtLeast { of: which, value } => {
                let full = resistance(which, of) * (1.0 - self.reduction(build_up, which));
                let figure = self.rounding.round(full.as_m2k_per_w());
                (figure, figure >= value.as_m2k_per_w())
            }
        }
    }
    fn reduction(&self, build_up: &BuildUp, which: ResistanceOf) -> f64 {
        let pierced = build_up.anchors.is_some() || build_up.fasteners.is_some();
        if pierced && which == ResistanceOf::Insulation {
            self.pierced_reduction
        } else {
            0.0
        }
    }
}

const KIT: &[Role] = &[Role::Insulation, Role::Coat];
const ALL: &[Role] = &[Role::Wall, Role::Insulation, Role::Coat];

fn roles(which: ResistanceOf) -> &'static [Role] {
    match which {
        ResistanceOf::Insulation => &[Role::Insulation],
        ResistanceOf::Kit => KIT,
        ResistanceOf::Wall | ResistanceOf::Total => ALL,
    }
}

fn resistance(which: ResistanceOf, of: &Transmittances) -> ThermalResistance {
    match which {
        ResistanceOf::Total => of.total.value,
        _ => of.resistance_of(roles(which)),
    }
}

const COMPARED: Clause = Clause::project("comparison with the limit of the act named beside it");

/// Whether a wall meets a limit, with the comparison on the sheet. A wall that does not is an answer.
pub fn judge(
    limit: &ThermalLimit,
    build_up: &BuildUp,
    of: &Transmittances,
    sheet: &mut Sheet,
) -> Verdict {
    let name = || Cow::Owned(alloc::format!("limit of {}", limit.citation()));
    let rounded = |text: &str| {
        Origin::Counted(Cow::Owned(alloc::format!(
            "{text}, {}",
            how(limit.rounding)
        )))
    };
    match limit.value {
        LimitValue::TransmittanceAtMost(value) => {
            let bound = sheet.given("U, limit", value, Origin::Rule(limit.citation()));
            let figure = if limit.rounding == Rounding::Full {
                of.u_corrected
            } else {
                let value = of.rounded(limit.rounding);
                sheet.given("U_c as compared", value, rounded("U_c"))
            };
            sheet.check(Check {
                name: name(),
                clause: COMPARED,
                figure,
                limit: bound,
                side: Limit::AtMost,
            })
        }
        LimitValue::ResistanceAtLeast { of: which, value } => {
            let bound = sheet.given("R, limit", value, Origin::Rule(limit.citation()));
            let full = counted_resistance(limit, which, build_up, of, sheet);
            let figure = if limit.rounding == Rounding::Full {
                full
            } else {
                let number = limit.rounding.round(full.value.as_m2k_per_w());
                sheet.given(
                    "R as compared",
                    ThermalResistance::from_m2k_per_w(number),
                    rounded("R"),
                )
            };
            sheet.check(Check {
                name: name(),
                clause: COMPARED,
                figure,
                limit: bound,
                side: Limit::AtLeast,
            })
        }
    }
}

fn counted_resistance(
    limit: &ThermalLimit,
    which: ResistanceOf,
    build_up: &BuildUp,
    of: &Transmittances,
    sheet: &mut Sheet,
) -> Figure<ThermalResistance> {
    let full = if which == ResistanceOf::Total {
        of.total
    } else {
        let parts: Vec<Figure<ThermalResistance>> = of
            .layers
            .iter()
            .filter(|layer| roles(which).contains(&layer.role))
            .map(|layer| layer.resistance)
            .collect();
        sheet.derive("R that the act limits", &formula::SUM, (&parts,))
    };
    let reduction = limit.reduction(build_up, which);
    if reduction == 0.0 {
        return full;
    }
    let share = sheet.given(
        "reduction for piercing fixings",
        reduction,
        Origin::Rule(limit.citation()),
    );
    sheet.derive("R that counts", &formula::REDUCED, (full, share))
}

fn how(rounding: Rounding) -> String {
    match rounding {
        Rounding::Full => String::from("not rounded"),
        Rounding::Decimals(places) => alloc::format!("rounded to {places} decimal places"),
        Rounding::Significant(figures) => {
            alloc::format!("rounded to {figures} significant figures")
        }
    }
}
