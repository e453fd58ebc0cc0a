//! What every answer carries.

use api::v1;
use estimate::Drawing;
use facade::Assumption;
use material::Assortment;
use quantity::Money;
use rules::RuleBook;
use working::{Finding, Severity, Standing};

/// Where an answer comes from.
pub fn provenance(
    standards: &[(&'static str, Standing)],
    assortment: &Assortment,
    rules: &RuleBook,
) -> v1::Provenance {
    v1::Provenance {
        engine_version: crate::ENGINE_VERSION.to_owned(),
        standards: standards
            .iter()
            .map(|&(document, known)| v1::StandardReference {
                document: document.to_owned(),
                standing: standing(Some(known)).into(),
            })
            .collect(),
        catalogue: assortment.name.clone(),
        catalogue_revision: assortment.revision.clone(),
        rules_revision: rules.revision.clone(),
    }
}

pub(super) fn standing(known: Option<Standing>) -> v1::Standing {
    match known {
        None => v1::Standing::Unspecified,
        Some(Standing::Published) => v1::Standing::Published,
        Some(Standing::Unverified) => v1::Standing::Unverified,
        Some(Standing::Project) => v1::Standing::Project,
    }
}

pub(super) fn findings(list: &[Finding]) -> Vec<v1::Finding> {
    let severity = |s: Severity| match s {
        Severity::Note => v1::Severity::Note,
        Severity::Caution => v1::Severity::Caution,
        Severity::Breach => v1::Severity::Breach,
    };
    list.iter()
        .map(|f| v1::Finding {
            code: f.code.to_owned(),
            severity: severity(f.severity).into(),
            path: f.path.clone(),
            text: f.text.clone(),
            source: f.source.to_owned(),
        })
        .collect()
}

pub(super) fn assumptions(list: &[Assumption]) -> Vec<v1::Assumption> {
    list.iter()
        .map(|a| v1::Assumption {
            path: a.path.clone(),
            text: a.text.clone(),
        })
        .collect()
}

pub(super) fn drawings(list: &[Drawing]) -> Vec<v1::Drawing> {
    list.iter()
        .map(|d| v1::Drawing {
            name: d.name.clone(),
            title: d.title.clone(),
            svg: d.svg.clone(),
        })
        .collect()
}

pub(super) fn money(amount: Option<Money>) -> Option<v1::Money> {
    amount.map(|m| v1::Money {
        amount: m.amount_text(),
        currency: m.currency.code().to_owned(),
    })
}
