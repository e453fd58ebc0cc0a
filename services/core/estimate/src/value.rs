//! The values of a request in themselves, and the cautions that stand beside every answer.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use quantity::Temperature;
use standards::en_1991_1_4::NationalWind;
use working::{Fault, Faults, Finding, Severity};

use crate::kit_part::sound_tax;
use crate::origins;
use crate::parts::Parts;
use crate::request::{Request, ThicknessChoice};

/// The most steps for each board that a caller may grant the setting-out search; the default is 3,000, which a building of 2,000 m2 spends in
/// about half a second.
pub const MOST_SEARCH_STEPS: u64 = 60_000;

/// Checks the values of a request, the building among them.
///
/// # Errors
/// Every fault at once, in the order of the fields.
pub fn check(request: &Request) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    if let Err(list) = facade::check(&request.building) {
        faults.extend(list);
    }
    if request.system.is_empty() {
        faults.add(
            "system",
            "MISSING",
            "nothing",
            "the key of a system in the catalogue",
        );
    }
    thickness(request, &mut faults);
    wind(request, &mut faults);
    let indoor = request.climate.indoor.as_celsius();
    within(&mut faults, "climate.indoor_celsius", indoor, 5.0, 35.0);
    if let Some(index) = request.reflection_index {
        within(&mut faults, "reflection_index_percent", index, 0.0, 100.0);
    }
    if !sound_tax(request.tax_share) {
        faults.add(
            "tax_share",
            "OUT_OF_RANGE",
            request.tax_share.to_string(),
            "0 to 1",
        );
    }
    if request.search_budget > MOST_SEARCH_STEPS {
        faults.add(
            "search_budget_steps",
            "LIMIT_EXCEEDED",
            request.search_budget.to_string(),
            format!("at most {MOST_SEARCH_STEPS}"),
        );
    }
    courses(request, &mut faults);
    if let Some((least, greatest)) = request.site_temperature {
        within(
            &mut faults,
            "site_temperature.least_celsius",
            least.as_celsius(),
            -60.0,
            60.0,
        );
        within(
            &mut faults,
            "site_temperature.greatest_celsius",
            greatest.as_celsius(),
            -60.0,
            60.0,
        );
        if least > greatest {
            faults.add(
                "site_temperature",
                "OUT_OF_ORDER",
                format!("{} above {}", least.as_celsius(), greatest.as_celsius()),
                "the least first",
            );
        }
    }
    country(request, &mut faults);
    faults.or(())
}

/// The most courses of a base coat.
const COURSES_MAX: usize = 4;

fn courses(request: &Request, faults: &mut Faults) {
    let courses = &request.base_coat_courses;
    if courses.len() > COURSES_MAX {
        faults.add(
            "base_coat_courses_mm",
            "LIMIT_EXCEEDED",
            format!("{} courses", courses.len()),
            format!("at most {COURSES_MAX}"),
        );
    }
    for (i, course) in courses.iter().enumerate().take(COURSES_MAX) {
        let path = format!("base_coat_courses_mm[{i}]");
        within(faults, &path, course.as_mm(), 0.5, 30.0);
    }
}

fn within(faults: &mut Faults, path: &str, number: f64, least: f64, most: f64) {
    if !(least..=most).contains(&number) {
        let reason = if number.is_finite() {
            "OUT_OF_RANGE"
        } else {
            "NOT_FINITE"
        };
        faults.add(
            path,
            reason,
            format!("{number}"),
            format!("{least} to {most}"),
        );
    }
}

fn thickness(request: &Request, faults: &mut Faults) {
    match &request.thickness {
        ThicknessChoice::Given(mm) if mm.0 <= 0 || mm.0 > 500 => {
            faults.add(
                "thickness.board_thickness_mm",
                "OUT_OF_RANGE",
                format!("{mm}"),
                "1 to 500 mm",
            );
        }
        ThicknessChoice::TransmittanceAtMost(u) => within(
            faults,
            "thickness.transmittance_at_most_w_per_m2k",
            u.as_w_per_m2k(),
            0.05,
            5.0,
        ),
        ThicknessChoice::ResistanceAtLeast(r) => within(
            faults,
            "thickness.resistance_at_least_m2k_per_w",
            r.as_m2k_per_w(),
            0.1,
            30.0,
        ),
        ThicknessChoice::Limit(key) if key.is_empty() => faults.add(
            "thickness.limit",
            "MISSING",
            "nothing",
            "the key of a limit in the rule data",
        ),
        _ => {}
    }
}

fn wind(request: &Request, faults: &mut Faults) {
    let wind = &request.wind;
    if let Some(speed) = wind.basic_velocity {
        within(
            faults,
            "wind.basic_velocity_m_per_s",
            speed.as_m_per_s(),
            5.0,
            80.0,
        );
    }
    if let Some(altitude) = wind.altitude {
        within(faults, "wind.altitude_m", altitude.as_m(), -500.0, 5000.0);
    }
    within(
        faults,
        "wind.orography_factor",
        wind.orography_factor,
        0.5,
        3.0,
    );
    within(
        faults,
        "wind.loaded_area_m2",
        wind.loaded_area.as_m2(),
        0.1,
        100.0,
    );
}

fn country(request: &Request, faults: &mut Faults) {
    let sound = request.country.is_empty()
        || (request.country.len() == 2 && request.country.bytes().all(|b| b.is_ascii_uppercase()));
    if !sound {
        faults.add(
            "country",
            "OUT_OF_RANGE",
            format!("`{}`", request.country),
            "two capital letters by ISO 3166-1, such as `DE`, or nothing",
        );
    }
}

/// The cautions that no single engine gives; those of fixing, wet mortar, dust, scaffold and tools come from fixing and takeoff. Common practice, no source.
pub(crate) fn cautions(request: &Request, parts: &Parts<'_>) -> Vec<Finding> {
    let mut list = alloc::vec![
        caution(
            "OLD_COATINGS",
            "Render, paint and sheets of unknown age may hold asbestos or lead: have them tested before anything is drilled, sanded or removed.",
        ),
        caution(
            "STORAGE_AND_FIRE",
            "Foam boards, wood-based boards, gun foam and packing burn: store small stacks away from ignition sources, and keep hot work off the facade until it is rendered.",
        ),
    ];
    list.extend(larger_than_plan(request));
    if request.country.is_empty() {
        list.push(Finding {
            code: "NO_COUNTRY",
            severity: Severity::Note,
            path: "country".to_string(),
            text: String::from("No country was named, so no national thermal limit and no national fire rule was looked up."),
            source: "",
        });
    }
    let sequence = format!(
        "Order of work: base profile or plinth, boards, {} h until anchors, sanding of the board faces, beads and diagonal mesh, base coat with mesh, second coat after at least 24 h, at least {:.0} days of drying, primer thinned with {:.0} to {:.0} % water, finish after at least {:.0} h.",
        parts
            .bonding_mortar
            .bonding
            .map_or(48.0, |b| b.before_anchors.as_hours()),
        parts
            .base_coat_mortar
            .base_coat
            .map_or(10.0, |b| b.drying.as_days()),
        parts.primer.water_share_min * 100.0,
        parts.primer.water_share_max * 100.0,
        parts.primer.drying.as_hours()
    );
    list.push(Finding {
        code: "ORDER_OF_WORK",
        severity: Severity::Note,
        path: String::new(),
        text: sequence,
        source: "common practice, no source",
    });
    list
}

/// Facades that do not fit the building whose size the wind is reckoned with.
fn larger_than_plan(request: &Request) -> Vec<Finding> {
    let building = &request.building;
    let longest = building.plan_length.max(building.plan_width);
    let facades = building.facades.iter().enumerate();
    let of = |(i, facade): (usize, &facade::Facade)| -> Vec<Finding> {
        let (low, high) = facade.bounds();
        let ground = facade.base.iter().map(|step| step.ground).min();
        let tall = high.y - ground.map_or(low.y, |ground| ground.max(low.y));
        let sizes = [
            (
                facade.width(),
                longest,
                "wide",
                "plan_length_mm and plan_width_mm",
            ),
            (tall, building.height, "high above ground", "height_mm"),
        ];
        let larger = sizes.into_iter().filter(|(size, most, ..)| size > most);
        let told = larger.map(|(size, _, how, fields)| Finding {
            code: "FACADE_LARGER_THAN_BUILDING",
            severity: Severity::Caution,
            path: format!("building.facades[{i}]"),
            text: format!(
                "{} is {size} {how}, more than the building by {fields}: wind zones and suction are reckoned with the building's size. Correct one of them.",
                facade.id
            ),
            source: "",
        });
        told.collect()
    };
    facades.flat_map(of).collect()
}

/// A wind set that is not of the country that was named, where the rule data hold one of it, and where they hold none.
pub(crate) fn wind_of_elsewhere(
    request: &Request,
    taken: &NationalWind,
    sets: &BTreeMap<String, NationalWind>,
) -> Option<Finding> {
    let country = &request.country;
    if country.is_empty() || taken.country == *country {
        return None;
    }
    let own = sets.iter().filter(|(_, set)| set.country == *country);
    let own: Vec<String> = own.map(|(key, _)| format!("`{key}`")).collect();
    let key = &request.wind.national_set;
    let (code, text) = if own.is_empty() {
        let text = format!(
            "No rule data on wind ({country}); the set `{key}` is taken. That does not mean that it holds there: the national annex decides."
        );
        ("WIND_NO_RULE_DATA", text)
    } else {
        let text = format!(
            "The wind is reckoned by the set `{key}`, though the rule data hold {} for {country}: confirm which one holds at the site.",
            own.join(", ")
        );
        ("WIND_SET_OF_ELSEWHERE", text)
    };
    Some(Finding {
        code,
        severity: Severity::Caution,
        path: String::from("wind.national_set"),
        text,
        source: "",
    })
}

fn caution(code: &'static str, text: &str) -> Finding {
    Finding {
        code,
        severity: Severity::Caution,
        path: String::new(),
        text: text.to_string(),
        source: "common practice, no source",
    }
}

/// The findings by the fields of the request, without repeats: breaches first, then cautions, then notes; each kind in the order in which it
/// arose.
pub(crate) fn in_order(list: Vec<Finding>, request: &Request) -> Vec<Finding> {
    let mut kept: Vec<Finding> = Vec::new();
    for mut finding in list {
        finding.path = origins::blamed(&finding.path, request);
        if !kept.contains(&finding) {
            kept.push(finding);
        }
    }
    kept.sort_by_key(|finding| core::cmp::Reverse(finding.severity));
    kept
}

/// The indoor temperature where a caller names none.
pub const USUAL_INDOOR: Temperature = Temperature::from_celsius(20.0);
