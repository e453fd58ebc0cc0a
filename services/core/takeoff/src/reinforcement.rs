//! Mesh: strips, reveals and diagonal pieces, cut from rolls together.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use material::{Mesh, Unit};
use quantity::{Area, Length, Mm};
use working::{Figure, Origin, Severity};

use crate::cutting::{CutFault, Cutting, Stock, cut, split};
use crate::edges::stands_on_base;
use crate::formulas::{AREA_SUM, COUNT_WITH_WASTE, DIAGONALS, MESH_STRIPS, PACKS};
use crate::job::Job;
use crate::line::{Bound, Component, Line, Loss, Share};
use crate::mesh::{StripPlan, Strips, diagonals, side_by_side, strips};
use crate::order::{Order, Want, purchase};
use crate::survey::Survey;

/// What is cut from the rolls, the same whichever way the strips run.
struct Pieces {
    reveals: Vec<Mm>,
    diagonals: Vec<Mm>,
    reveal_area: Area,
    diagonal_count: Figure<f64>,
}

/// Whether a strip may go on from the next roll.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Ends {
    /// Every strip that a roll holds is cut in one piece.
    Whole,
    /// A strip goes on from the next roll with an overlap.
    Joined,
}

impl Ends {
    const fn name(self) -> &'static str {
        match self {
            Self::Whole => "strips in one piece",
            Self::Joined => "strips going on from the next roll with an overlap",
        }
    }
}

/// The shortest part of a joined strip, common practice, no source.
const PART_MIN: Mm = Mm(1000);

/// One way of hanging the mesh.
struct Hung {
    way: Strips,
    ends: Ends,
    plans: Vec<StripPlan>,
    cutting: Cutting,
    strip_length: i64,
    /// No plan of this way can do with fewer rolls.
    least: u64,
}

/// The mesh line: drops or bands, whichever buys fewer rolls.
pub(crate) fn mesh(job: &Job, survey: &Survey, order: &mut Order) {
    order.sheet.section("Mesh");
    let mesh = job.parts.mesh;
    let pieces = pieces(job, survey, order);
    let ways = [Ends::Whole, Ends::Joined]
        .into_iter()
        .flat_map(|ends| [Strips::Drops, Strips::Bands].map(|way| (way, ends)));
    let hung: Result<Vec<Hung>, CutFault> = ways
        .map(|(way, ends)| hang(job, survey.projection.value, &pieces, way, ends))
        .collect();
    let best = match hung {
        Ok(ways) => ways.into_iter().reduce(|best, other| {
            let fewer =
                (other.cutting.bars, other.strip_length) < (best.cutting.bars, best.strip_length);
            if fewer { other } else { best }
        }),
        Err(fault) => {
            order.find(
                "MESH_NOT_CUT",
                Severity::Breach,
                mesh.article.key.as_str(),
                format!("the mesh could not be cut from its rolls: {fault:?}"),
                "",
            );
            None
        }
    };
    if let Some(hung) = best {
        record_strips(mesh, &hung, order);
        mesh_line(mesh, survey, &pieces, hung, order);
    }
}

/// Reveal strips and diagonal pieces, as lengths of roll.
fn pieces(job: &Job, survey: &Survey, order: &mut Order) -> Pieces {
    let mesh = job.parts.mesh;
    let mut by_width: BTreeMap<Mm, Vec<Mm>> = BTreeMap::new();
    let (mut four, mut two) = (0_u32, 0_u32);
    let mut reveal_area = Area::ZERO;
    for facade in &job.building.facades {
        for opening in &facade.openings {
            let f = opening.finished();
            let deep = opening.reveal_depth.to_length() + survey.projection.value;
            let width = Mm(libm::ceil(deep.as_mm() - 1e-6) as i32);
            // A reveal deeper than the roll is wide takes strips side by side, overlapped.
            for across in split(width, mesh.roll_width, -mesh.overlap, Mm::ZERO) {
                let list = by_width.entry(across).or_default();
                for length in [f.height, f.height, f.width] {
                    list.extend(split(length, mesh.roll_length, -mesh.overlap, Mm::ZERO));
                    reveal_area += length.to_length() * across.to_length();
                }
            }
            if stands_on_base(facade, opening) {
                two += 1;
            } else {
                four += 1;
            }
        }
    }
    let counted = || Origin::Counted("openings of the survey".into());
    let four = order.sheet.given("n_4", f64::from(four), counted());
    let two = order.sheet.given("n_2", f64::from(two), counted());
    let count = order.sheet.derive("n_d", &DIAGONALS, (four, two));
    let diagonals = diagonals(count.value as usize, mesh).unwrap_or_else(|| {
        order.find(
            "DIAGONAL_WIDER_THAN_ROLL",
            Severity::Caution,
            mesh.article.key.as_str(),
            "diagonal pieces do not fit the roll; they are not in the mesh line",
            "",
        );
        Vec::new()
    });
    Pieces {
        reveals: by_width
            .into_iter()
            .filter_map(|(width, list)| side_by_side(list, width, mesh.roll_width))
            .flatten()
            .collect(),
        diagonals,
        reveal_area,
        diagonal_count: count,
    }
}

fn hang(
    job: &Job,
    projection: Length,
    pieces: &Pieces,
    way: Strips,
    ends: Ends,
) -> Result<Hung, CutFault> {
    let mesh = job.parts.mesh;
    let plans: Vec<StripPlan> = job
        .building
        .facades
        .iter()
        .map(|f| strips(f, projection, mesh, way))
        .collect();
    let whole: Vec<Mm> = plans
        .iter()
        .flat_map(|p| &p.lengths)
        .flat_map(|l| split(*l, mesh.roll_length, -mesh.overlap, Mm::ZERO))
        .collect();
    let small = sum(&pieces.reveals) + sum(&pieces.diagonals);
    let roll_length = i64::from(mesh.roll_length.0).max(1);
    let by_length = (sum(&whole) + small + roll_length - 1) / roll_length;
    let lengths = match ends {
        Ends::Whole => whole,
        Ends::Joined => joined(&whole, mesh),
    };
    let strip_length = sum(&lengths);
    let all: Vec<Mm> = [&lengths, &pieces.reveals, &pieces.diagonals]
        .into_iter()
        .flatten()
        .copied()
        .collect();
    let roll = Stock {
        length: mesh.roll_length,
        kerf: Mm::ZERO,
    };
    let cutting = cut(&all, roll, job.practice.cutting_budget)?;
    Ok(Hung {
        way,
        ends,
        plans,
        strip_length,
        least: match ends {
            Ends::Whole => cutting.bound,
            Ends::Joined => by_length as u64,
        },
        cutting,
    })
}

/// Strips cut one after the other, going on from roll to roll; each is no longer than a roll.
fn joined(strips: &[Mm], mesh: &Mesh) -> Vec<Mm> {
    let mut parts = Vec::new();
    let mut room = mesh.roll_length;
    for strip in strips {
        let beyond = *strip - room + mesh.overlap;
        if *strip <= room {
            parts.push(*strip);
            room -= *strip;
        } else if room >= PART_MIN && beyond >= PART_MIN && beyond <= mesh.roll_length {
            parts.extend([room, beyond]);
            room = mesh.roll_length - beyond;
        } else {
            parts.push(*strip);
            room = mesh.roll_length - *strip;
        }
    }
    parts
}

fn record_strips(mesh: &Mesh, hung: &Hung, order: &mut Order) {
    let from = |key| Origin::catalogue(mesh.article.key.as_str(), key);
    let r = order
        .sheet
        .given("r", mesh.roll_width.to_length(), from("roll-width-mm"));
    let o = order
        .sheet
        .given("o", mesh.overlap.to_length(), from("overlap-mm"));
    for plan in &hung.plans {
        let origin = Origin::Counted("extent of the facade round its ends".into());
        let b = order.sheet.given("b", plan.extent.to_length(), origin);
        order.sheet.derive(hung.way.name(), &MESH_STRIPS, (b, r, o));
    }
    let proof = if hung.cutting.bars == hung.least {
        "proven least"
    } else {
        "gap open"
    };
    order.sheet.step(format!(
        "{}, {}, chosen: drops and bands, whole and joined, were tried; fewest rolls, then least mesh, then whole before joined; {} rolls, at least {}, {proof}; strips, reveals and diagonal pieces are cut from the same rolls; what falls out of openings is not reused",
        hung.way.name(),
        hung.ends.name(),
        hung.cutting.bars,
        hung.least
    ));
}

fn mesh_line(mesh: &Mesh, survey: &Survey, pieces: &Pieces, hung: Hung, order: &mut Order) {
    let coated: Vec<Figure<Area>> = survey.facades.iter().map(|f| f.areas.coated).collect();
    let net = order
        .sheet
        .derive("net mesh", &AREA_SUM, (coated.as_slice(),));
    let from = |key| Origin::catalogue(mesh.article.key.as_str(), key);
    let counted = Origin::Counted("cutting plan above".into());
    let rolls = order
        .sheet
        .given("rolls", hung.cutting.bars as f64, counted);
    let waste = order
        .sheet
        .given("w", mesh.article.waste_share, from("waste-share"));
    let need = order
        .sheet
        .derive("rolls with waste", &COUNT_WITH_WASTE, (rolls, waste));
    let one = order.sheet.given("rolls in a pack", 1.0, from("pack"));
    let packs = order.sheet.derive("packs", &PACKS, (need, one));
    let width = mesh.roll_width.to_length();
    let roll = (width * mesh.roll_length.to_length()).as_m2();
    let want = Want {
        component: Component::Mesh,
        article: &mesh.article,
        purpose: format!(
            "{} over the whole face, reveals, diagonals",
            hung.way.name()
        ),
    };
    let bought = purchase(
        &mesh.supply,
        packs.value as u64,
        roll,
        Some(mesh.roll_length),
    );
    order.price_of(want.article, &bought);
    let losses = losses(mesh, net.value, pieces, &hung);
    let need = net.value.as_m2() + losses.iter().map(|l| l.amount).sum::<f64>();
    order.lines.push(Line {
        component: want.component,
        article: mesh.article.key.clone(),
        name: mesh.article.name.clone(),
        purpose: want.purpose,
        unit: Unit::SquareMetre,
        net_need: net.value.as_m2(),
        shares: alloc::vec![
            Share {
                name: String::from("face, coated less reveals"),
                amount: net.value.as_m2() - pieces.reveal_area.as_m2()
            },
            Share {
                name: String::from("reveals"),
                amount: pieces.reveal_area.as_m2()
            },
        ],
        losses,
        need,
        leftover: bought.content * bought.packs as f64 - need,
        purchases: alloc::vec![bought],
        bounds: alloc::vec![Bound {
            of: format!("rolls of {}, {}", mesh.roll_length, hung.ends.name()),
            found: hung.cutting.bars,
            least: hung.least,
        }],
        cutting: alloc::vec![hung.cutting],
        sheet_lines: alloc::vec![net.line, rolls.line, packs.line],
    });
}

/// What the bought rolls hold beyond the coated area, and why.
fn losses(mesh: &Mesh, net: Area, pieces: &Pieces, hung: &Hung) -> Vec<Loss> {
    let width = mesh.roll_width.to_length().as_m();
    let used = |length: i64| length as f64 / 1000.0 * width;
    let diagonals = used(sum(&pieces.diagonals));
    let covering = used(hung.strip_length) + used(sum(&pieces.reveals));
    let rolls = width * mesh.roll_length.to_length().as_m() * hung.cutting.bars as f64;
    let corners = format!(
        "{:.0} diagonal pieces at corners of openings",
        pieces.diagonal_count.value
    );
    [
        (
            covering - net.as_m2(),
            "overlaps, openings inside strips, strips cut square under slopes",
        ),
        (diagonals, corners.as_str()),
        (rolls - covering - diagonals, "rests of rolls"),
        (
            rolls * mesh.article.waste_share,
            "waste on site, share of the article",
        ),
    ]
    .map(|(amount, origin)| Loss {
        amount,
        origin: String::from(origin),
    })
    .to_vec()
}

fn sum(lengths: &[Mm]) -> i64 {
    lengths.iter().map(|l| i64::from(l.0)).sum()
}
