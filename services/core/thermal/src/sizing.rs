//! The smallest stocked thickness of insulation, or combination of two boards, that meets a limit.

use alloc::string::String;
use alloc::vec;
use alloc::vec::Vec;

use quantity::Length;
use working::{Fault, Faults, Sheet, Verdict};

use crate::build_up::{Body, BuildUp, Homogeneous, Layer, PointBridges, Role, Source};
use crate::limit::{ThermalLimit, judge};
use crate::record::under;
use crate::transmittance::{Transmittances, transmittance, transmittance_bare};
use crate::validate::{above_zero, validate};

/// The most boards that a search takes; all pairs of them are looked at.
pub const MOST_BOARDS: usize = 400;

/// A stocked board of one thickness.
#[derive(Clone, Debug, PartialEq)]
pub struct Board {
    /// What the reader calls it.
    pub name: String,
    /// The catalogue article, such as `board.eps`.
    pub article: String,
    /// Its thickness.
    pub thickness: Length,
    /// Its material with design values.
    pub material: Homogeneous,
    /// Its price per square metre in the currency of the caller; needed only for [`Aim::Cheapest`].
    pub price_per_m2: Option<f64>,
    /// The anchors that go with this thickness, in place of those of the build-up.
    pub anchors: Option<PointBridges>,
}

/// How many layers of board may be combined.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Layering {
    /// One board.
    #[default]
    Single,
    /// One board, or two on each other.
    UpToTwo,
}

/// What the search prefers among those that meet the limit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Aim {
    /// The least thickness; then fewer layers; then the order of the stock.
    #[default]
    Thinnest,
    /// The least price of the boards; then the least thickness, fewer layers, the order of the stock.
    Cheapest,
}

/// A question of sizing.
#[derive(Clone, Copy, Debug)]
pub struct SizingRequest<'a> {
    /// The wall with a layer of insulation that the boards replace.
    pub build_up: &'a BuildUp,
    /// The place of that layer among the layers, from 0.
    pub slot: usize,
    /// The boards in stock.
    pub stock: &'a [Board],
    /// How many may be combined.
    pub layering: Layering,
    /// What is preferred.
    pub aim: Aim,
    /// The limit to be met.
    pub limit: &'a ThermalLimit,
    /// The most thickness there is room for, as at a roof edge or a boundary; nothing for no bound.
    pub room: Option<Length>,
}

/// What was chosen and how it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The boards by their place in the stock, the inner one first.
    pub boards: Vec<usize>,
    /// The thickness of the boards together.
    pub thickness: Length,
    /// The wall with them.
    pub build_up: BuildUp,
    /// Its transmittance, on the sheet.
    pub transmittances: Transmittances,
    /// The check against the limit, on the sheet.
    pub verdict: Verdict,
}

/// The answer of a search. Every candidate is looked at in the order of preference, so a choice has no gap to the best.
#[derive(Clone, Debug, PartialEq)]
pub struct Sizing {
    /// The choice: the first that meets the limit; or, where none does, the nearest to it, whose verdict then does not hold.
    pub choice: Option<Choice>,
    /// Whether the choice meets the limit.
    pub admissible: bool,
    /// How many candidates there were.
    pub candidates: usize,
    /// How many were calculated.
    pub examined: usize,
    /// What was found, in a sentence.
    pub text: String,
}

struct Candidate {
    boards: Vec<usize>,
    thickness: f64,
    price: f64,
}

/// Searches the stock for the wall. No admissible board is an answer, not an error.
///
/// # Errors
/// Faults of the wall or of the stock: an unknown slot, a board without thickness, a price missing where the cheapest is sought.
pub fn size(request: &SizingRequest<'_>, sheet: &mut Sheet) -> Result<Sizing, Vec<Fault>> {
    validate_request(request)?;
    let candidates = candidates(request);
    let mut examined = 0;
    let mut nearest: Option<(f64, &Candidate)> = None;
    let mut found = None;
    for candidate in &candidates {
        examined += 1;
        let build_up = with_boards(request, &candidate.boards);
        let of = transmittance_bare(&build_up);
        let (figure, holds) = request.limit.compare(&build_up, &of);
        if holds {
            found = Some(candidate);
            break;
        }
        let distance = distance(request.limit, figure);
        if nearest.is_none_or(|(best, _)| distance < best) {
            nearest = Some((distance, candidate));
        }
    }
    let admissible = found.is_some();
    let chosen = found.or(nearest.map(|(_, candidate)| candidate));
    sheet.section("Thickness of the insulation");
    let text = sentence(request, admissible, chosen, candidates.len());
    sheet.step(alloc::format!(
        "{text} Candidates {} in the order of preference, calculated {examined}; every earlier one fails the limit, so the gap to the best is 0.",
        candidates.len()
    ));
    let choice = match chosen {
        Some(candidate) => Some(replay(request, candidate, sheet)?),
        None => None,
    };
    Ok(Sizing {
        choice,
        admissible,
        candidates: candidates.len(),
        examined,
        text,
    })
}

/// How far a figure lies on the wrong side of its limit, as a share of the limit.
fn distance(limit: &ThermalLimit, figure: f64) -> f64 {
    match limit.value {
        crate::LimitValue::TransmittanceAtMost(value) => figure / value.as_w_per_m2k(),
        crate::LimitValue::ResistanceAtLeast { value, .. } => value.as_m2k_per_w() / figure,
    }
}

fn replay(
    request: &SizingRequest<'_>,
    candidate: &Candidate,
    sheet: &mut Sheet,
) -> Result<Choice, Vec<Fault>> {
    let build_up = with_boards(request, &candidate.boards);
    let transmittances = transmittance(&build_up, sheet)?;
    let verdict = judge(request.limit, &build_up, &transmittances, sheet);
    Ok(Choice {
        boards: candidate.boards.clone(),
        thickness: Length::from_m(candidate.thickness),
        build_up,
        transmittances,
        verdict,
    })
}

fn sentence(
    request: &SizingRequest<'_>,
    admissible: bool,
    chosen: Option<&Candidate>,
    candidates: usize,
) -> String {
    let Some(chosen) = chosen else {
        return if candidates == 0 {
            String::from("No stocked board fits the room there is.")
        } else {
            String::from("No stocked board can be calculated.")
        };
    };
    let names: Vec<&str> = chosen
        .boards
        .iter()
        .filter_map(|&board| request.stock.get(board))
        .map(|board| board.name.as_str())
        .collect();
    let mm = chosen.thickness * 1e3;
    let names = names.join(" + ");
    if admissible {
        let aim = match request.aim {
            Aim::Thinnest => "the thinnest",
            Aim::Cheapest => "the cheapest",
        };
        alloc::format!("{mm:.0} mm ({names}) is {aim} in stock that meets the limit.")
    } else {
        alloc::format!("Nothing in stock meets the limit; {mm:.0} mm ({names}) comes nearest.")
    }
}

/// The wall with these boards in the slot.
pub(crate) fn with_boards(request: &SizingRequest<'_>, boards: &[usize]) -> BuildUp {
    let mut build_up = request.build_up.clone();
    let slot = request.slot.min(build_up.layers.len().saturating_sub(1));
    let path = build_up
        .layers
        .get(slot)
        .map(|layer| layer.path.clone())
        .unwrap_or_default();
    let layers: Vec<Layer> = boards
        .iter()
        .filter_map(|&board| request.stock.get(board))
        .map(|board| Layer {
            name: board.name.clone(),
            role: Role::Insulation,
            path: path.clone(),
            thickness_from: Source::Catalogue(board.article.clone()),
            material_from: Source::Catalogue(board.article.clone()),
            thickness: board.thickness,
            body: Body::Homogeneous(board.material),
        })
        .collect();
    // The outer board carries the anchors.
    if let Some(anchors) = boards
        .last()
        .and_then(|&b| request.stock.get(b))
        .and_then(|b| b.anchors.clone())
    {
        build_up.anchors = Some(anchors);
    }
    build_up
        .layers
        .splice(slot..(slot + 1).min(build_up.layers.len()), layers);
    build_up
}

fn candidates(request: &SizingRequest<'_>) -> Vec<Candidate> {
    let mut found = Vec::new();
    let fits = |candidate: &Candidate| {
        request
            .room
            .is_none_or(|room| candidate.thickness <= room.as_m() * (1.0 + 1e-12))
    };
    let of = |boards: Vec<usize>| {
        let parts = || boards.iter().filter_map(|&b| request.stock.get(b));
        Candidate {
            thickness: parts().map(|b| b.thickness.as_m()).sum(),
            price: parts().map(|b| b.price_per_m2.unwrap_or(0.0)).sum(),
            boards,
        }
    };
    for first in 0..request.stock.len() {
        found.push(of(vec![first]));
        if request.layering == Layering::UpToTwo {
            found.extend((first..request.stock.len()).map(|second| of(vec![first, second])));
        }
    }
    found.retain(fits);
    found.sort_by(|a, b| {
        // A tenth of a micrometre apart is the same thickness: sums of the same boards differ by the last digit.
        let thickness = libm::round(a.thickness * 1e7).total_cmp(&libm::round(b.thickness * 1e7));
        let thinnest = thickness
            .then(a.boards.len().cmp(&b.boards.len()))
            .then_with(|| a.boards.cmp(&b.boards));
        match request.aim {
            Aim::Thinnest => thinnest,
            Aim::Cheapest => a.price.total_cmp(&b.price).then(thinnest),
        }
    });
    found
}

pub(crate) fn validate_request(request: &SizingRequest<'_>) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    if let Err(list) = validate(request.build_up) {
        faults.extend(list);
    }
    let slot_path = under(&request.build_up.path, "slot");
    match request.build_up.layers.get(request.slot) {
        None => {
            let found = alloc::format!(
                "layer {} of {}",
                request.slot,
                request.build_up.layers.len()
            );
            faults.add(
                slot_path,
                "NO_SUCH_LAYER",
                found,
                "a layer of insulation of the wall",
            );
        }
        Some(layer) if layer.role != Role::Insulation => {
            let found = alloc::format!("`{}`, which is not insulation that is put on", layer.name);
            faults.add(
                slot_path,
                "NOT_INSULATION",
                found,
                "a layer of insulation of the wall",
            );
        }
        Some(_) => {}
    }
    if request.stock.len() > MOST_BOARDS {
        let found = alloc::format!("{} boards", request.stock.len());
        faults.add(
            "stock",
            "TOO_MANY",
            found,
            alloc::format!("at most {MOST_BOARDS}"),
        );
    }
    for (index, board) in request.stock.iter().enumerate() {
        let path = |field: &str| alloc::format!("stock[{index}].{field}");
        above_zero(
            &mut faults,
            &path("thickness_mm"),
            board.thickness.as_mm(),
            "mm",
        );
        let lambda = board.material.conductivity.as_w_per_mk();
        above_zero(
            &mut faults,
            &path("conductivity_w_per_mk"),
            lambda,
            "W/(m K)",
        );
        match board.price_per_m2 {
            Some(price) if !(price.is_finite() && price >= 0.0) => {
                faults.add(
                    path("price_per_m2"),
                    "OUT_OF_RANGE",
                    alloc::format!("{price}"),
                    "a price of 0 or more",
                );
            }
            None if request.aim == Aim::Cheapest => {
                faults.add(
                    path("price_per_m2"),
                    "MISSING",
                    "nothing",
                    "a price, because the cheapest is sought",
                );
            }
            _ => {}
        }
    }
    faults.or(())
}
