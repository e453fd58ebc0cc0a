//! Mesh: strips, reveals and diagonal pieces, cut from rolls together.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{Meets, Side};
use material::{Mesh, Unit};
use quantity::{Area, Length, Mm};
use working::{Figure, Origin, Severity, numbered};

use crate::cutting::split;
use crate::depths::{reveals, together};
use crate::edges::{EdgeKind, OVER_PLINTH, corners_in_wall};
use crate::formulas::{AREA_SUM, DIAGONALS, MESH_STRIPS, PACKS, ROLLS_WITH_WASTE};
use crate::hanging::{Face, Hanging, Hung, sum};
use crate::job::Job;
use crate::line::{Bound, Component, Line, Loss, Share};
use crate::mesh::{Strips, diagonals, side_by_side, strips, up_to_mm};
use crate::order::{Order, Supplied, Want, purchase};
use crate::survey::Survey;

/// What is cut from the rolls, the same whichever way the strips run.
struct Pieces {
    reveals: Vec<Mm>,
    diagonals: Vec<Mm>,
    reveal_area: Area,
    diagonal_count: Figure<f64>,
}

/// The mesh line: drops or bands on each facade, whichever buys fewer rolls together. Gives the way of each facade, none where the mesh
/// could not be cut.
pub(crate) fn mesh(job: &Job, survey: &Survey, order: &mut Order) -> Vec<Strips> {
    order.sheet.section("Mesh");
    let mesh = job.parts.mesh;
    let pieces = pieces(job, survey, order);
    let projection = survey.faces.projection.value;
    let facades = job.building.facades.iter();
    let faces: Vec<Face> = facades
        .zip(&survey.facades)
        .map(|(facade, measured)| {
            let plan = |way| strips(facade, &measured.edges, projection, mesh, way);
            Face {
                drops: plan(Strips::Drops),
                bands: plan(Strips::Bands),
            }
        })
        .collect();
    let small: Vec<Mm> = [&pieces.reveals, &pieces.diagonals]
        .into_iter()
        .flatten()
        .copied()
        .collect();
    let hanging = Hanging {
        mesh,
        faces: &faces,
        small: &small,
        budget: job.practice.cutting_budget,
    };
    match hanging.best() {
        Ok(hung) => {
            let told = record_strips(mesh, &hung, &faces, survey, order);
            let ways = hung.ways.clone();
            mesh_line(mesh, survey, &pieces, (hung, told), order);
            ways
        }
        Err(fault) => {
            order.find(
                "MESH_NOT_CUT",
                Severity::Breach,
                mesh.article.key.as_str(),
                format!("the mesh could not be cut from its rolls: {fault:?}"),
                "",
            );
            Vec::new()
        }
    }
}

/// Reveal strips and diagonal pieces, as lengths of roll.
fn pieces(job: &Job, survey: &Survey, order: &mut Order) -> Pieces {
    let mesh = job.parts.mesh;
    let mut by_width: BTreeMap<Mm, Vec<Mm>> = BTreeMap::new();
    let (mut four, mut others) = (0_u32, 0_u32);
    let mut reveal_area = Area::ZERO;
    for facade in &job.building.facades {
        for finished in facade.finished_openings() {
            for (n, reveal) in reveals(facade, &finished, &survey.faces).iter().enumerate() {
                // The strip of a narrower part laps over that of the wider one above it.
                let lap = if n == 0 { Mm::ZERO } else { mesh.overlap };
                let jambs = reveal.jambs.iter().map(|jamb| *jamb + lap);
                let lengths: Vec<Mm> = jambs.chain(reveal.head.iter().copied()).collect();
                // A reveal deeper than the roll is wide takes strips side by side, overlapped.
                let width = up_to_mm(reveal.depth);
                for across in split(width, mesh.roll_width, -mesh.overlap, Mm::ZERO) {
                    let list = by_width.entry(across).or_default();
                    for length in &lengths {
                        let along = split(*length, mesh.roll_length, -mesh.overlap, Mm::ZERO);
                        list.extend(along);
                    }
                }
                // What laps over is mesh and no reveal.
                let bare = together(&reveal.jambs) + together(&reveal.head);
                reveal_area += reveal.depth * bare;
            }
            match corners_in_wall(facade, &finished)
                .map(u32::from)
                .iter()
                .sum()
            {
                4 => four += 1,
                corners => others += corners,
            }
        }
    }
    let projection = up_to_mm(survey.faces.projection.value);
    let open = open_faces(job);
    let faces = faces_beside_joints(job, survey).into_iter();
    let faces = faces.chain(along(survey, &open));
    let faces = faces.map(|length| (projection, length));
    let over_plinth = along(survey, &OVER_PLINTH);
    let over_plinth = over_plinth.map(|length| (up_to_mm(survey.faces.back), length));
    for (width, length) in faces.chain(over_plinth.filter(|face| face.0 > Mm::ZERO)) {
        let list = by_width.entry(width.min(mesh.roll_width)).or_default();
        list.extend(split(length, mesh.roll_length, -mesh.overlap, Mm::ZERO));
    }
    let counted = || Origin::Counted("openings of the survey".into());
    let four = order.sheet.given("n_4", f64::from(four), counted());
    let others = order.sheet.given("n_c", f64::from(others), counted());
    let count = order.sheet.derive("n_d", &DIAGONALS, (four, others));
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

/// The heights at which a wall goes on beside a joint and ends free. The faces of ends that are free as a whole are covered with the wall.
fn faces_beside_joints(job: &Job, survey: &Survey) -> Vec<Mm> {
    let mut heights = Vec::new();
    for (facade, measured) in job.building.facades.iter().zip(&survey.facades) {
        let (low, high) = facade.bounds();
        for (side, x) in [(Side::Left, low.x), (Side::Right, high.x)] {
            if let Meets::StructuralJoint { .. } = facade.meets(side) {
                let free = measured.edges.list.iter();
                let free = free.filter(|edge| edge.kind == EdgeKind::FreeEnd);
                let lines = free.flat_map(|edge| &edge.lines).filter(|l| l.0.x == x);
                heights.extend(lines.map(|(from, to)| to.y - from.y));
            }
        }
    }
    heights
}

/// The edges whose narrow faces no strip of the wall reaches, as deep as the boards stand out: steps of the outline, the undersides of what
/// overhangs, and that at a base line which no profile closes.
fn open_faces(job: &Job) -> Vec<EdgeKind> {
    let base = job.parts.base_profile.is_none();
    let base = base.then_some(EdgeKind::BaseLine);
    let others = [EdgeKind::Offset, EdgeKind::LowerEdge];
    others.into_iter().chain(base).collect()
}

/// The lengths of the edges of some kinds.
fn along(survey: &Survey, kinds: &[EdgeKind]) -> impl Iterator<Item = Mm> {
    let facades = survey.facades.iter();
    facades.flat_map(move |facade| kinds.iter().flat_map(|kind| facade.edges.of(*kind)))
}

/// Puts the strips of every facade on the sheet; returns in words which facade got which way, and why.
fn record_strips(
    mesh: &Mesh,
    hung: &Hung,
    faces: &[Face],
    survey: &Survey,
    order: &mut Order,
) -> String {
    let from = |key| Origin::catalogue(mesh.article.key.as_str(), key);
    let r = order
        .sheet
        .given("r", mesh.roll_width.to_length(), from("roll-width-mm"));
    let o = order
        .sheet
        .given("o", mesh.overlap.to_length(), from("overlap-mm"));
    for (face, way) in faces.iter().zip(&hung.ways) {
        let origin = Origin::Counted("extent of the facade round its ends".into());
        let extent = face.plan(*way).extent.to_length();
        let b = order.sheet.given("b", extent, origin);
        order.sheet.derive(way.name(), &MESH_STRIPS, (b, r, o));
    }
    let ids = |way: Strips| -> Vec<&str> {
        let facades = survey.facades.iter().zip(&hung.ways);
        facades
            .filter(|(_, w)| **w == way)
            .map(|(f, _)| f.id.as_str())
            .collect()
    };
    let by_way: Vec<String> = [Strips::Drops, Strips::Bands]
        .into_iter()
        .map(|way| (way, ids(way)))
        .filter(|(_, ids)| !ids.is_empty())
        .map(|(way, ids)| format!("{} on {}", way.name(), ids.join(", ")))
        .collect();
    let proof = if hung.bought == hung.least {
        "proven least"
    } else {
        "gap open"
    };
    let [drops, bands] = hung.uniform;
    let told = format!(
        "{}; {}: {}{}, at least {}, {proof}; all in drops {drops}, all in bands {bands}",
        by_way.join(", "),
        hung.ends.name(),
        numbered(hung.bought, "roll", "rolls"),
        bought_for_waste(mesh, hung),
        hung.least
    );
    order.sheet.step(format!(
        "{told}; drops and bands facade by facade, whole and joined, were tried; fewest rolls bought, then fewest cut, then one way for all, then least mesh, then whole before joined; strips, reveals and diagonal pieces are cut from the same rolls; what falls out of openings is not reused"
    ));
    told
}

/// The rolls that only the waste on site buys, in words; nothing where the rests of those that are cut hold it.
fn bought_for_waste(mesh: &Mesh, hung: &Hung) -> String {
    let beyond = hung.bought.saturating_sub(hung.cutting.bars);
    if beyond == 0 {
        return String::new();
    }
    format!(
        ", {} of them only for the waste on site of {:.0} %, which the rests of the {} do not hold",
        beyond,
        mesh.article.waste_share * 100.0,
        numbered(hung.cutting.bars, "roll that is cut", "rolls that are cut"),
    )
}

fn mesh_line(
    mesh: &Mesh,
    survey: &Survey,
    pieces: &Pieces,
    (hung, told): (Hung, String),
    order: &mut Order,
) {
    let coated: Vec<Figure<Area>> = survey.facades.iter().map(|f| f.areas.coated).collect();
    let net = order
        .sheet
        .derive("net mesh", &AREA_SUM, (coated.as_slice(),));
    let from = |key| Origin::catalogue(mesh.article.key.as_str(), key);
    let counted = Origin::Counted("cutting plan above".into());
    let rolls = order
        .sheet
        .given("rolls cut", hung.cutting.bars as f64, counted);
    let waste = order
        .sheet
        .given("w", mesh.article.waste_share, from("waste-share"));
    let length = hung.strip_length + sum(&pieces.reveals) + sum(&pieces.diagonals);
    let counted = Origin::Counted("strips, reveals and diagonal pieces".into());
    let cut = Length::from_m(length as f64 / 1000.0);
    let cut = order.sheet.given("length cut", cut, counted);
    let whole = order.sheet.given(
        "length of a roll",
        mesh.roll_length.to_length(),
        from("roll-length-mm"),
    );
    let need = order.sheet.derive(
        "rolls with waste",
        &ROLLS_WITH_WASTE,
        (rolls, cut, waste, whole),
    );
    let one = order.sheet.given("rolls in a pack", 1.0, from("pack"));
    let packs = order.sheet.derive("packs", &PACKS, (need, one));
    let width = mesh.roll_width.to_length();
    let roll = (width * mesh.roll_length.to_length()).as_m2();
    let want = Want {
        component: Component::Mesh,
        article: &mesh.article,
        purpose: format!(
            "{} over the whole face, reveals, diagonals",
            hung.one_way()
                .map_or("drops and bands, facade by facade,", Strips::name)
        ),
    };
    let losses = losses(mesh, net.value, pieces, &hung);
    let need = net.value.as_m2() + losses.iter().map(|l| l.amount).sum::<f64>();
    let supplied = Supplied {
        net_need: net.value.as_m2(),
        need,
    };
    let packs_of = (packs.value as u64, roll);
    let bought = purchase(&mesh.supply, packs_of, Some(mesh.roll_length), supplied);
    order.price_of(want.article, &bought);
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
            found: hung.bought,
            least: hung.least,
        }],
        told: alloc::vec![told],
        cutting: alloc::vec![hung.cutting],
        sheet_lines: alloc::vec![net.line, rolls.line, packs.line],
    });
}

/// What is cut from the rolls beyond the coated area, and why. Rests of rolls are left over.
fn losses(mesh: &Mesh, net: Area, pieces: &Pieces, hung: &Hung) -> Vec<Loss> {
    let width = mesh.roll_width.to_length().as_m();
    let used = |length: i64| length as f64 / 1000.0 * width;
    let diagonals = used(sum(&pieces.diagonals));
    let covering = used(hung.strip_length) + used(sum(&pieces.reveals));
    let corners = format!(
        "{} at corners of openings",
        numbered(
            pieces.diagonal_count.value as u64,
            "diagonal piece",
            "diagonal pieces"
        )
    );
    [
        (
            covering - net.as_m2(),
            "overlaps, openings inside strips, strips cut square under slopes",
        ),
        (diagonals, corners.as_str()),
        (
            (covering + diagonals) * mesh.article.waste_share,
            "waste on site, share of the article",
        ),
    ]
    .map(|(amount, origin)| Loss {
        amount,
        origin: String::from(origin),
    })
    .to_vec()
}
