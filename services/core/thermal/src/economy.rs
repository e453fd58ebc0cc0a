//! The economic thickness: what a square metre costs over the years, board by board, with the curve.

use alloc::borrow::Cow;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Currency, DegreeTime, Length, Transmittance};
use working::{Fault, Faults, Figure, Sheet};

use crate::build_up::{BuildUp, Source};
use crate::formula;
use crate::limit::{LimitValue, ThermalLimit};
use crate::record::under;
use crate::sizing::{Aim, Board, Layering, SizingRequest, validate_request, with_boards};
use crate::transmittance::{Transmittances, transmittance, transmittance_bare};
use crate::validate::within;

/// What energy costs and how the future counts.
#[derive(Clone, Debug, PartialEq)]
pub struct EnergyTerms {
    /// The currency of every price here.
    pub currency: Currency,
    /// The price of a kilowatt hour bought.
    pub price_per_kwh: f64,
    /// The degree time of a heating season.
    pub degree_time: DegreeTime,
    /// Heat given to the rooms by energy bought: below 1 for a boiler, above 1 for a heat pump.
    pub efficiency: f64,
    /// The discount rate a year, such as 0.03.
    pub discount_rate: f64,
    /// The growth of the energy price a year, such as 0.02.
    pub price_growth: f64,
    /// The years considered.
    pub years: u32,
    /// Where these were given.
    pub from: Source,
}

/// A question of economic thickness.
#[derive(Clone, Copy, Debug)]
pub struct EconomyRequest<'a> {
    /// The wall with a layer of insulation that the boards replace.
    pub build_up: &'a BuildUp,
    /// The place of that layer.
    pub slot: usize,
    /// The boards in stock, each with its price.
    pub stock: &'a [Board],
    /// What energy costs.
    pub terms: &'a EnergyTerms,
    /// Cost per square metre that does not depend on the thickness, in the currency; scaffold, coats, work.
    pub fixed_cost_per_m2: f64,
    /// A limit that the thickness must meet too; nothing for none.
    pub limit: Option<&'a ThermalLimit>,
}

/// One point of the curve. Costs are in the currency per square metre; a life-cycle cost is an estimate and not a bill.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CostPoint {
    /// The board, by its place in the stock.
    pub board: usize,
    /// Its thickness.
    pub thickness: Length,
    /// The corrected U-value with it.
    pub u_corrected: Transmittance,
    /// The price of the board.
    pub boards: f64,
    /// The present value of the energy.
    pub energy: f64,
    /// All together.
    pub total: f64,
    /// Whether it meets the limit; true where none was asked.
    pub admissible: bool,
}

/// The economic thickness.
#[derive(Clone, Debug, PartialEq)]
pub struct Economy {
    /// The curve, from thin to thick; of equal thicknesses in the order of the stock.
    pub curve: Vec<CostPoint>,
    /// The cheapest point that meets the limit, by its place on the curve; the thinner of equals.
    pub best: Option<usize>,
    /// The cheapest point of all, whether it meets the limit or not.
    pub cheapest: Option<usize>,
    /// The transmittance with the best board, on the sheet.
    pub transmittances: Option<Transmittances>,
    /// Its cost over the years, on the sheet, in the currency per m2.
    pub cost: Option<Figure<f64>>,
    /// What was found, in a sentence.
    pub text: String,
}

/// Finds the stocked thickness with the least cost over the years. Every board is looked at, so there is no gap to the best.
///
/// # Errors
/// Faults of the wall, of the stock (each board needs a price) and of the terms, all at once.
pub fn economic_thickness(
    request: &EconomyRequest<'_>,
    sheet: &mut Sheet,
) -> Result<Economy, Vec<Fault>> {
    let free = ThermalLimit::stated(LimitValue::TransmittanceAtMost(
        Transmittance::from_w_per_m2k(f64::MAX),
    ));
    let sizing = SizingRequest {
        build_up: request.build_up,
        slot: request.slot,
        stock: request.stock,
        layering: Layering::Single,
        aim: Aim::Cheapest,
        limit: request.limit.unwrap_or(&free),
        room: None,
    };
    let mut faults = Faults::new();
    if let Err(list) = validate_request(&sizing) {
        faults.extend(list);
    }
    check_terms(request, &mut faults);
    faults.or(())?;
    let curve = curve(request, &sizing);
    let least = |only_admissible: bool| -> Option<usize> {
        let mut best: Option<(usize, f64)> = None;
        for (place, point) in curve.iter().enumerate() {
            let counts = point.admissible || !only_admissible;
            if counts && best.is_none_or(|(_, total)| point.total < total) {
                best = Some((place, point.total));
            }
        }
        best.map(|(place, _)| place)
    };
    let (best, cheapest) = (least(true), least(false));
    sheet.section("Economic thickness");
    let text = sentence(request, &curve, best);
    sheet.step(format!(
        "{text} All {} boards of the stock were calculated, so the gap to the best is 0.",
        curve.len()
    ));
    let mut economy = Economy {
        best,
        cheapest,
        transmittances: None,
        cost: None,
        text,
        curve,
    };
    if let Some(point) = best.and_then(|place| economy.curve.get(place)) {
        let of = transmittance(&with_boards(&sizing, &[point.board]), sheet)?;
        economy.cost = Some(replay(request, point, &of, sheet));
        economy.transmittances = Some(of);
    }
    Ok(economy)
}

fn check_terms(request: &EconomyRequest<'_>, faults: &mut Faults) {
    let terms = request.terms;
    let at = |field: &str| under("terms", field);
    within(
        faults,
        &at("price_per_kwh"),
        terms.price_per_kwh,
        (0.0, 1e6),
        "",
    );
    within(
        faults,
        &at("degree_days"),
        terms.degree_time.as_kelvin_days(),
        (0.0, 20_000.0),
        "K d",
    );
    within(
        faults,
        &at("efficiency"),
        terms.efficiency,
        (0.05, 20.0),
        "",
    );
    within(
        faults,
        &at("discount_rate"),
        terms.discount_rate,
        (-0.05, 0.5),
        "",
    );
    within(
        faults,
        &at("price_growth"),
        terms.price_growth,
        (-0.1, 0.5),
        "",
    );
    within(
        faults,
        &at("years"),
        f64::from(terms.years),
        (1.0, 100.0),
        "years",
    );
    within(
        faults,
        "fixed_cost_per_m2",
        request.fixed_cost_per_m2,
        (0.0, 1e9),
        "",
    );
}

fn present_value(terms: &EnergyTerms) -> f64 {
    (formula::PRESENT_VALUE.function)((
        terms.discount_rate,
        terms.price_growth,
        f64::from(terms.years),
    ))
}

fn curve(request: &EconomyRequest<'_>, sizing: &SizingRequest<'_>) -> Vec<CostPoint> {
    let terms = request.terms;
    let present = present_value(terms);
    let mut points: Vec<CostPoint> = request
        .stock
        .iter()
        .enumerate()
        .map(|(index, board)| {
            let build_up = with_boards(sizing, &[index]);
            let of = transmittance_bare(&build_up);
            let u_corrected = of.u_corrected.value;
            let yearly = (formula::YEARLY_COST.function)((
                u_corrected * terms.degree_time,
                terms.efficiency,
                terms.price_per_kwh,
            ));
            let boards = board.price_per_m2.unwrap_or(f64::NAN);
            CostPoint {
                board: index,
                thickness: board.thickness,
                u_corrected,
                boards,
                energy: present * yearly,
                total: (formula::LIFE_CYCLE_COST.function)((
                    boards,
                    request.fixed_cost_per_m2,
                    present,
                    yearly,
                )),
                admissible: request
                    .limit
                    .is_none_or(|limit| limit.compare(&build_up, &of).1),
            }
        })
        .collect();
    points.sort_by(|a, b| {
        a.thickness
            .as_m()
            .total_cmp(&b.thickness.as_m())
            .then(a.board.cmp(&b.board))
    });
    points
}

fn sentence(request: &EconomyRequest<'_>, curve: &[CostPoint], best: Option<usize>) -> String {
    let Some(point) = best.and_then(|place| curve.get(place)) else {
        return String::from(
            "No stocked board meets the limit, so there is no economic thickness.",
        );
    };
    let ends = match best {
        Some(place) if place + 1 == curve.len() && curve.len() > 1 => {
            " It is the thickest in stock; a thicker one might cost less."
        }
        _ => "",
    };
    format!(
        "{:.0} mm costs least over {} years: {:.2} {} per m2.{ends}",
        point.thickness.as_mm(),
        request.terms.years,
        point.total,
        request.terms.currency.code()
    )
}

fn replay(
    request: &EconomyRequest<'_>,
    point: &CostPoint,
    of: &Transmittances,
    sheet: &mut Sheet,
) -> Figure<f64> {
    let terms = request.terms;
    let from = |key: &'static str| terms.from.origin(key);
    let degree_time = sheet.given("G", terms.degree_time, from("degree-days"));
    let loss = sheet.derive("q", &formula::SEASON_LOSS, (of.u_corrected, degree_time));
    let efficiency = sheet.given("eta", terms.efficiency, from("efficiency"));
    let price = sheet.given("p", terms.price_per_kwh, from("price-per-kwh"));
    let yearly = sheet.derive("c", &formula::YEARLY_COST, (loss, efficiency, price));
    let discount = sheet.given("i", terms.discount_rate, from("discount-rate"));
    let growth = sheet.given("e", terms.price_growth, from("price-growth"));
    let years = sheet.given("n", f64::from(terms.years), from("years"));
    let present = sheet.derive("a", &formula::PRESENT_VALUE, (discount, growth, years));
    let article = request
        .stock
        .get(point.board)
        .map(|b| b.article.clone())
        .unwrap_or_default();
    let boards = sheet.given(
        "c_b",
        point.boards,
        Source::Catalogue(article).origin("price-per-m2"),
    );
    let fixed = sheet.given(
        "c_0",
        request.fixed_cost_per_m2,
        working::Origin::Request(Cow::Borrowed("fixed_cost_per_m2")),
    );
    sheet.derive(
        "C",
        &formula::LIFE_CYCLE_COST,
        (boards, fixed, present, yearly),
    )
}
