//! What insulating saves: heat loss before and after with bridges, energy, money, carbon dioxide, and the range that the uncertain inputs give.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::{
    Area, Currency, DegreeTime, EmissionFactor, Energy, HeatTransferCoefficient, Length,
    LinearTransmittance, Mass, PointTransmittance, Transmittance,
};
use working::{Fault, Faults, Figure, Sheet};

use crate::build_up::Source;
use crate::formula;
use crate::record::{label, under};
use crate::validate::within;

/// A plane part of the envelope.
#[derive(Clone, Debug, PartialEq)]
pub struct EnvelopePlane {
    /// What it is.
    pub name: String,
    /// Its area.
    pub area: Area,
    /// Its corrected transmittance.
    pub u: Transmittance,
}

/// A linear bridge of the envelope.
#[derive(Clone, Debug, PartialEq)]
pub struct EnvelopeLine {
    /// What it is.
    pub name: String,
    /// Its length.
    pub length: Length,
    /// Its linear transmittance, for the same dimensions as the areas.
    pub psi: LinearTransmittance,
}

/// Point bridges of the envelope of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct EnvelopePoint {
    /// What they are.
    pub name: String,
    /// How many.
    pub number: f64,
    /// The point transmittance of one.
    pub chi: PointTransmittance,
}

/// The part of the envelope that is insulated, in one state.
#[derive(Clone, Debug, PartialEq)]
pub struct Envelope {
    /// Plane parts.
    pub planes: Vec<EnvelopePlane>,
    /// Linear bridges.
    pub lines: Vec<EnvelopeLine>,
    /// Point bridges that are not in a plane part's corrected transmittance already.
    pub points: Vec<EnvelopePoint>,
    /// Where these were given; its path serves faults too.
    pub from: Source,
}

/// What a season asks and energy costs.
#[derive(Clone, Debug, PartialEq)]
pub struct SavingTerms {
    /// The degree time of a heating season.
    pub degree_time: DegreeTime,
    /// Heat given to the rooms by energy bought.
    pub efficiency: f64,
    /// The currency of the price.
    pub currency: Currency,
    /// The price of a kilowatt hour bought.
    pub price_per_kwh: f64,
    /// The carbon dioxide of the energy bought.
    pub emission: EmissionFactor,
    /// Where these were given.
    pub from: Source,
}

/// An input that is not known exactly.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum UncertainInput {
    /// Transmittances before.
    TransmittanceBefore,
    /// Transmittances after.
    TransmittanceAfter,
    /// Linear and point bridges before.
    BridgesBefore,
    /// Linear and point bridges after.
    BridgesAfter,
    /// The degree time.
    DegreeTime,
    /// The efficiency of the heating.
    Efficiency,
    /// The price of energy.
    Price,
    /// The emission factor.
    Emission,
}

/// How far an input may lie beside its value, as factors on it.
#[derive(Clone, Debug, PartialEq)]
pub struct InputRange {
    /// The input.
    pub input: UncertainInput,
    /// The least factor, such as 0.9.
    pub low: f64,
    /// The largest factor, such as 1.1.
    pub high: f64,
    /// Why so far.
    pub why: String,
}

/// A question of the saving.
#[derive(Clone, Copy, Debug)]
pub struct SavingRequest<'a> {
    /// The envelope before.
    pub before: &'a Envelope,
    /// The envelope after.
    pub after: &'a Envelope,
    /// Season and energy.
    pub terms: &'a SavingTerms,
    /// The inputs that are not known exactly; each at most once.
    pub ranges: &'a [InputRange],
}

/// An amount with the range that the inputs give it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ranged {
    /// The least of all combinations of the inputs' ends.
    pub least: f64,
    /// With every input at one end at a time, the falls put together as independent ones.
    pub likely_low: f64,
    /// With every input at its value.
    pub value: f64,
    /// The rises put together as independent ones.
    pub likely_high: f64,
    /// The most of all combinations.
    pub most: f64,
}

/// What one uncertain input does alone.
#[derive(Clone, Debug, PartialEq)]
pub struct InputEffect {
    /// The input.
    pub input: UncertainInput,
    /// Energy saved with it at its low and at its high factor, kWh a year.
    pub energy_kwh: (f64, f64),
    /// Money saved with it at its low and at its high factor, in the currency a year.
    pub money: (f64, f64),
    /// Why the input is uncertain.
    pub why: String,
}

/// The saving of a year.
#[derive(Clone, Debug, PartialEq)]
pub struct Saving {
    /// The heat transfer coefficient before.
    pub before: Figure<HeatTransferCoefficient>,
    /// The heat transfer coefficient after.
    pub after: Figure<HeatTransferCoefficient>,
    /// Energy bought before.
    pub energy_before: Figure<Energy>,
    /// Energy bought after.
    pub energy_after: Figure<Energy>,
    /// Energy saved.
    pub energy: Figure<Energy>,
    /// Money saved, in the currency.
    pub money: Figure<f64>,
    /// Carbon dioxide saved.
    pub emission: Figure<Mass>,
    /// Energy saved with its range, kWh a year.
    pub energy_range_kwh: Ranged,
    /// Money saved with its range, in the currency a year.
    pub money_range: Ranged,
    /// Carbon dioxide saved with its range, kg a year.
    pub emission_range_kg: Ranged,
    /// What each uncertain input does alone, the largest effect on money first; of equals in the order of the inputs.
    pub effects: Vec<InputEffect>,
}

/// The ranges that are usual where nothing better is known (common practice, no source).
pub fn usual_ranges() -> Vec<InputRange> {
    let why = |what: &str| format!("{what}; common practice, no source");
    let range = |input, low, high, text: &str| InputRange {
        input,
        low,
        high,
        why: why(text),
    };
    alloc::vec![
        range(
            UncertainInput::TransmittanceBefore,
            0.8,
            1.2,
            "the old wall's conductivity is estimated"
        ),
        range(
            UncertainInput::TransmittanceAfter,
            0.95,
            1.1,
            "declared boards, laid by hand"
        ),
        range(
            UncertainInput::BridgesAfter,
            0.8,
            1.2,
            "details differ from the drawing"
        ),
        range(
            UncertainInput::DegreeTime,
            0.85,
            1.15,
            "winters differ and so do habits"
        ),
        range(
            UncertainInput::Efficiency,
            0.9,
            1.1,
            "the heating is not measured"
        ),
    ]
}

/// The saving of a year, with every figure on the sheet and the range that the inputs give.
///
/// # Errors
/// Every fault of the envelopes, the terms and the ranges at once.
pub fn saving(request: &SavingRequest<'_>, sheet: &mut Sheet) -> Result<Saving, Vec<Fault>> {
    validate_saving(request)?;
    sheet.section("Saving");
    let terms = request.terms;
    let before = heat_transfer("before", request.before, sheet);
    let after = heat_transfer("after", request.after, sheet);
    let from = |key: &'static str| terms.from.origin(key);
    let degree_time = sheet.given("G", terms.degree_time, from("degree-days"));
    let efficiency = sheet.given("eta", terms.efficiency, from("efficiency"));
    let energy_before = sheet.derive(
        "Q before",
        &formula::SEASON_ENERGY,
        (before, degree_time, efficiency),
    );
    let energy_after = sheet.derive(
        "Q after",
        &formula::SEASON_ENERGY,
        (after, degree_time, efficiency),
    );
    let energy = sheet.derive(
        "energy saved",
        &formula::ENERGY_SAVED,
        (energy_before, energy_after),
    );
    let price = sheet.given("p", terms.price_per_kwh, from("price-per-kwh"));
    let money = sheet.derive("money saved", &formula::MONEY_SAVED, (energy, price));
    let factor = sheet.given("k", terms.emission, from("emission-kg-per-kwh"));
    let emission = sheet.derive(
        "carbon dioxide saved",
        &formula::EMISSION_SAVED,
        (factor, energy),
    );
    let ranges = request.ranges;
    let (energy_range_kwh, money_range, emission_range_kg) = all_ranges(request);
    if !ranges.is_empty() {
        sheet.step(format!(
            "Range: {} inputs at their ends in all {} combinations for the least and the most; one at a time, put together by the root of squares, for the likely range.",
            ranges.len(),
            1_u32 << ranges.len()
        ));
    }
    Ok(Saving {
        before,
        after,
        energy_before,
        energy_after,
        energy,
        money,
        emission,
        energy_range_kwh,
        money_range,
        emission_range_kg,
        effects: effects(request),
    })
}

fn heat_transfer(
    state: &'static str,
    envelope: &Envelope,
    sheet: &mut Sheet,
) -> Figure<HeatTransferCoefficient> {
    let from = |key: &'static str| envelope.from.origin(key);
    let mut lists = (
        Vec::new(),
        Vec::new(),
        Vec::new(),
        Vec::new(),
        Vec::new(),
        Vec::new(),
    );
    for plane in &envelope.planes {
        let name = plane.name.as_str();
        lists.0.push(sheet.given(
            label(format_args!("A {state}, {name}")),
            plane.area,
            from("area-m2"),
        ));
        lists.1.push(sheet.given(
            label(format_args!("U {state}, {name}")),
            plane.u,
            from("u-w-per-m2k"),
        ));
    }
    for line in &envelope.lines {
        let name = line.name.as_str();
        lists.2.push(sheet.given(
            label(format_args!("l {state}, {name}")),
            line.length,
            from("length-m"),
        ));
        lists.3.push(sheet.given(
            label(format_args!("psi {state}, {name}")),
            line.psi,
            from("psi-w-per-mk"),
        ));
    }
    for point in &envelope.points {
        let name = point.name.as_str();
        lists.4.push(sheet.given(
            label(format_args!("n {state}, {name}")),
            point.number,
            from("number"),
        ));
        lists.5.push(sheet.given(
            label(format_args!("chi {state}, {name}")),
            point.chi,
            from("chi-w-per-k"),
        ));
    }
    sheet.derive(
        label(format_args!("H {state}")),
        &formula::HEAT_TRANSFER,
        (&lists.0, &lists.1, &lists.2, &lists.3, &lists.4, &lists.5),
    )
}

/// Factors on the inputs, one each, in the order of [`UncertainInput`].
#[derive(Clone, Copy)]
struct Factors([f64; 8]);

impl Factors {
    const NONE: Self = Self([1.0; 8]);
    fn with(mut self, input: UncertainInput, factor: f64) -> Self {
        if let Some(at) = self.0.get_mut(input as usize) {
            *at = factor;
        }
        self
    }
    fn of(&self, input: UncertainInput) -> f64 {
        self.0.get(input as usize).copied().unwrap_or(1.0)
    }
}

/// Energy in kWh, money, kilograms.
type Amounts = [f64; 3];

fn bare(request: &SavingRequest<'_>, factors: &Factors) -> Amounts {
    let loss = |envelope: &Envelope, plane: UncertainInput, bridge: UncertainInput| {
        let planes: f64 = envelope
            .planes
            .iter()
            .map(|p| p.area.as_m2() * p.u.as_w_per_m2k())
            .sum();
        let lines: f64 = envelope
            .lines
            .iter()
            .map(|l| l.length.as_m() * l.psi.as_w_per_mk())
            .sum();
        let points: f64 = envelope
            .points
            .iter()
            .map(|p| p.number * p.chi.as_w_per_k())
            .sum();
        planes * factors.of(plane) + (lines + points) * factors.of(bridge)
    };
    let before = loss(
        request.before,
        UncertainInput::TransmittanceBefore,
        UncertainInput::BridgesBefore,
    );
    let after = loss(
        request.after,
        UncertainInput::TransmittanceAfter,
        UncertainInput::BridgesAfter,
    );
    let terms = request.terms;
    let heat = HeatTransferCoefficient::from_w_per_k(before - after)
        * (terms.degree_time * factors.of(UncertainInput::DegreeTime));
    let energy = heat / (terms.efficiency * factors.of(UncertainInput::Efficiency));
    [
        energy.as_kwh(),
        energy.as_kwh() * terms.price_per_kwh * factors.of(UncertainInput::Price),
        (terms.emission * factors.of(UncertainInput::Emission) * energy).as_kg(),
    ]
}

fn all_ranges(request: &SavingRequest<'_>) -> (Ranged, Ranged, Ranged) {
    let nominal = bare(request, &Factors::NONE);
    let (mut least, mut most) = (nominal, nominal);
    // Validation bounds the inputs to eight, so there are at most 256 combinations.
    for corner in 0..(1_u32 << request.ranges.len().min(8)) {
        let factors =
            request
                .ranges
                .iter()
                .enumerate()
                .fold(Factors::NONE, |factors, (bit, range)| {
                    let high = corner >> bit & 1 == 1;
                    factors.with(range.input, if high { range.high } else { range.low })
                });
        let found = bare(request, &factors);
        for ((least, most), found) in least.iter_mut().zip(&mut most).zip(found) {
            *least = libm::fmin(*least, found);
            *most = libm::fmax(*most, found);
        }
    }
    let (mut falls, mut rises) = ([0.0_f64; 3], [0.0_f64; 3]);
    for range in request.ranges {
        let low = bare(request, &Factors::NONE.with(range.input, range.low));
        let high = bare(request, &Factors::NONE.with(range.input, range.high));
        for (index, nominal) in nominal.iter().enumerate() {
            let ends = (
                low.get(index).copied().unwrap_or(*nominal),
                high.get(index).copied().unwrap_or(*nominal),
            );
            let fall = nominal - libm::fmin(*nominal, libm::fmin(ends.0, ends.1));
            let rise = libm::fmax(*nominal, libm::fmax(ends.0, ends.1)) - nominal;
            if let (Some(falls), Some(rises)) = (falls.get_mut(index), rises.get_mut(index)) {
                *falls += fall * fall;
                *rises += rise * rise;
            }
        }
    }
    let ranged = |index: usize| {
        let at = |list: &[f64; 3]| list.get(index).copied().unwrap_or_default();
        Ranged {
            least: at(&least),
            likely_low: at(&nominal) - libm::sqrt(at(&falls)),
            value: at(&nominal),
            likely_high: at(&nominal) + libm::sqrt(at(&rises)),
            most: at(&most),
        }
    };
    (ranged(0), ranged(1), ranged(2))
}

fn effects(request: &SavingRequest<'_>) -> Vec<InputEffect> {
    let mut found: Vec<InputEffect> = request
        .ranges
        .iter()
        .map(|range| {
            let [low_energy, low_money, _] =
                bare(request, &Factors::NONE.with(range.input, range.low));
            let [high_energy, high_money, _] =
                bare(request, &Factors::NONE.with(range.input, range.high));
            InputEffect {
                input: range.input,
                energy_kwh: (low_energy, high_energy),
                money: (low_money, high_money),
                why: range.why.clone(),
            }
        })
        .collect();
    let span = |effect: &InputEffect| libm::fabs(effect.money.1 - effect.money.0);
    found.sort_by(|a, b| span(b).total_cmp(&span(a)).then(a.input.cmp(&b.input)));
    found
}

fn validate_saving(request: &SavingRequest<'_>) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    check_envelope("before", request.before, &mut faults);
    check_envelope("after", request.after, &mut faults);
    let terms = request.terms;
    let at = |field: &str| under("terms", field);
    within(
        &mut faults,
        &at("degree_days"),
        terms.degree_time.as_kelvin_days(),
        (0.0, 20_000.0),
        "K d",
    );
    within(
        &mut faults,
        &at("efficiency"),
        terms.efficiency,
        (0.05, 20.0),
        "",
    );
    within(
        &mut faults,
        &at("price_per_kwh"),
        terms.price_per_kwh,
        (0.0, 1e6),
        "",
    );
    within(
        &mut faults,
        &at("emission_kg_per_kwh"),
        terms.emission.as_kg_per_kwh(),
        (0.0, 10.0),
        "kg/kWh",
    );
    for (index, range) in request.ranges.iter().enumerate() {
        let path = format!("ranges[{index}]");
        within(
            &mut faults,
            &under(&path, "low"),
            range.low,
            (0.01, 1.0),
            "",
        );
        within(
            &mut faults,
            &under(&path, "high"),
            range.high,
            (1.0, 100.0),
            "",
        );
        let earlier = request.ranges.iter().take(index);
        if earlier.clone().any(|other| other.input == range.input) {
            faults.add(
                under(&path, "input"),
                "TWICE",
                "an input named before",
                "each input at most once",
            );
        }
    }
    faults.or(())
}

fn check_envelope(name: &str, envelope: &Envelope, faults: &mut Faults) {
    let path = match &envelope.from {
        Source::Request(path) => path.as_str(),
        _ => name,
    };
    if envelope.planes.is_empty() {
        faults.add(
            under(path, "planes"),
            "EMPTY",
            "no plane part",
            "at least one plane part",
        );
    }
    for (index, plane) in envelope.planes.iter().enumerate() {
        let at = |field: &str| under(path, &format!("planes[{index}].{field}"));
        within(faults, &at("area_m2"), plane.area.as_m2(), (0.0, 1e7), "m2");
        within(
            faults,
            &at("u_w_per_m2k"),
            plane.u.as_w_per_m2k(),
            (0.001, 20.0),
            "W/(m2 K)",
        );
    }
    for (index, line) in envelope.lines.iter().enumerate() {
        let at = |field: &str| under(path, &format!("lines[{index}].{field}"));
        within(faults, &at("length_m"), line.length.as_m(), (0.0, 1e6), "m");
        within(
            faults,
            &at("psi_w_per_mk"),
            line.psi.as_w_per_mk(),
            (-5.0, 5.0),
            "W/(m K)",
        );
    }
    for (index, point) in envelope.points.iter().enumerate() {
        let at = |field: &str| under(path, &format!("points[{index}].{field}"));
        within(faults, &at("number"), point.number, (0.0, 1e8), "");
        within(
            faults,
            &at("chi_w_per_k"),
            point.chi.as_w_per_k(),
            (0.0, 1.0),
            "W/K",
        );
    }
}
