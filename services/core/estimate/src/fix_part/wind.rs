//! The wind at the site, for the anchors and for a system that takes none.

use alloc::format;
use alloc::vec::Vec;

use facade::{Building, Facade};
use fixing::wind::{EnWind, FacadeOnPlan, Plan, PlanShape, Site};
use quantity::{Mm, WindPressure};
use standards::en_1991_1_4::NationalWind;
use working::{Fault, Figure, Finding, Sheet};

use crate::answer::Fixing;
use crate::fix_part::FixingBasis;
use crate::request::{Request, WindSite};

/// Every fault of the wind at the site, by its national set.
pub(crate) fn site_faults(request: &Request, national: &NationalWind) -> Vec<Fault> {
    let site = site(&request.wind);
    let code = EnWind {
        national,
        site: &site,
        path: "wind",
    };
    code.faults(request.building.height.to_length())
}

pub(super) fn site(site: &WindSite) -> Site {
    Site {
        velocity: site.basic_velocity,
        zone: site.zone.clone(),
        terrain: site.terrain.clone(),
        altitude: site.altitude,
        orography: site.orography_factor,
        ..Site::default()
    }
}

pub(super) fn plan(building: &Building) -> Plan {
    Plan {
        length: building.plan_length,
        width: building.plan_width,
        height: building.height.to_length(),
        shape: PlanShape::Rectangular,
    }
}

pub(super) fn ground(facade: &Facade) -> Mm {
    facade
        .base
        .iter()
        .map(|step| step.ground)
        .min()
        .unwrap_or_else(|| facade.bounds().0.y)
}

/// The wind as the answer tells it, the greatest design suction, and what the reader should know.
pub(crate) type WindTold = (Fixing, Option<Figure<WindPressure>>, Vec<Finding>);

/// The wind alone, for a system that takes no anchors: its code, its figures, the greatest design suction.
///
/// # Errors
/// Every fault of site and building.
pub(crate) fn wind_only(
    basis: &FixingBasis<'_>,
    sheet: &mut Sheet,
) -> Result<WindTold, Vec<Fault>> {
    let site = site(basis.site);
    let plan = plan(basis.building);
    let code = EnWind {
        national: basis.national,
        site: &site,
        path: "wind",
    };
    let facades = basis.building.facades.iter().map(|facade| {
        let (low, high) = facade.bounds();
        FacadeOnPlan {
            id: facade.id.clone(),
            runs: FacadeOnPlan::side_by_width(facade.width(), &plan),
            left: low.x,
            right: high.x,
            bottom: low.y,
            top: high.y,
            ground: ground(facade),
        }
    });
    let request = fixing::wind::WindRequest {
        plan,
        facades: facades.collect(),
        loaded_area: basis.site.loaded_area,
    };
    let wind = fixing::wind::suction(&code, &request, sheet)?;
    let worst = wind
        .facades
        .iter()
        .flat_map(|f| &f.strips)
        .map(|s| s.suction)
        .reduce(|a, b| if b.value > a.value { b } else { a });
    let factor = sheet.given(
        "gamma_F",
        basis.rules.wind_factor.value,
        working::Origin::Rule(format!("{}, wind_factor", basis.rules.key)),
    );
    let suction = worst.map(|w| sheet.derive("S_d", &standards::eota::DESIGN_SUCTION, (factor, w)));
    let answer = Fixing {
        code: wind.code,
        basic_velocity: wind.basic_velocity.value,
        reference_height: wind.reference_height.value,
        peak_pressure: wind.peak_pressure.value,
        holds: true,
        ..Fixing::default()
    };
    Ok((answer, suction, wind.findings))
}
