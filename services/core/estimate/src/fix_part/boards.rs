//! The boards to be fixed: which kinds there are on which wall, what holds them, and where each lies above the ground.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{Below, Building, Facade, Rectangle};
use fixing::placement::BoardOnWall;
use material::{Board, System};
use quantity::Mm;
use working::{Finding, Severity};

use crate::answer::Part;
use crate::fix_part::walls::Wall;
use crate::parts::Parts;
use crate::set_out::{Product, Products, part};

/// A part of the wall with its own board: which wall behind, which product, what for.
pub(super) struct Key<'a> {
    pub wall: usize,
    pub product: Product<'a>,
    pub part: Part,
    /// The boards alone, such as `facade boards 160 mm`.
    pub boards: String,
    /// The boards, and of several walls the facades that stand on this one.
    pub name: String,
}

pub(super) fn keys<'a>(walls: &[Wall<'_>], products: &Products<'a>) -> Vec<Key<'a>> {
    walls
        .iter()
        .enumerate()
        .flat_map(|(wall, behind)| {
            products.by_part().map(move |(part, product)| {
                let boards = format!("{part} boards {}", product.size.thickness);
                let name = match walls {
                    [_] => boards.clone(),
                    _ => format!("{boards} on {}", behind.facades.join(", ")),
                };
                Key {
                    wall,
                    product,
                    part,
                    boards,
                    name,
                }
            })
        })
        .collect()
}

/// The system with a pull-through row for every board of the job, and the boards for which the facade board's stands in, because it
/// states none for a plinth or barrier board.
pub(super) fn complete<'a>(
    parts: &Parts<'_>,
    products: &Products<'a>,
) -> (System, Vec<&'a str>, Vec<Finding>) {
    let mut system = parts.system.clone();
    // A system names its boards without the kind, the fixing design with it.
    for row in &mut system.plate_resistances {
        if !row.board.contains('.') {
            row.board = format!("board.{}", row.board);
        }
    }
    let (mut lent, mut findings) = (Vec::new(), Vec::new());
    let main = &parts.board.article.key;
    let plate = if parts.board.wider_plate {
        ", and with it the wider plate that it was tested with"
    } else {
        ""
    };
    for product in [products.plinth, products.barrier].into_iter().flatten() {
        let key = product.board.article.key.as_str();
        if key == main || system.plate_resistances.iter().any(|row| row.board == *key) {
            continue;
        }
        let borrowed: Vec<_> = system
            .plate_resistances
            .iter()
            .filter(|row| row.board == *main)
            .cloned()
            .collect();
        system
            .plate_resistances
            .extend(borrowed.into_iter().map(|row| material::PlateResistance {
                board: key.into(),
                ..row
            }));
        lent.push(key);
        findings.push(Finding {
            code: "PULL_THROUGH_TAKEN_FROM_FACADE_BOARD",
            severity: Severity::Caution,
            path: String::from("system"),
            text: format!("The system states no pull-through resistance for {key}; that of {main} is taken{plate}. Confirm it against the assessment."),
            source: "EAD 040083 (from memory, unverified)",
        });
    }
    (system, lent, findings)
}

/// The board of each key. One that is lent the pull-through resistance of the facade board takes the wider plate as well, if that was tested
/// with one.
pub(super) fn anchored(keys: &[Key<'_>], lent: &[&str], main: &Board) -> Vec<Board> {
    keys.iter()
        .map(|key| {
            let board = key.product.board;
            let lent = lent.contains(&board.article.key.as_str());
            Board {
                wider_plate: board.wider_plate || (lent && main.wider_plate),
                ..board.clone()
            }
        })
        .collect()
}

/// Says that nothing is drilled below ground, where there is anything below it.
pub(super) fn unanchored_below_ground(building: &Building) -> Option<Finding> {
    let mut buried = building.facades.iter().flat_map(buried);
    buried.next().map(|_| Finding {
        code: "NO_ANCHORS_BELOW_GROUND",
        severity: Severity::Note,
        path: String::from("building.facades"),
        text: String::from(
            "below finished ground boards are bonded only: anchors there would pierce the waterproofing",
        ),
        source: "common practice, no source",
    })
}

/// What of an insulated plinth lies below finished ground, by step.
pub(super) fn buried(facade: &Facade) -> impl Iterator<Item = Rectangle> + '_ {
    let low = facade.bounds().0.y;
    let steps = facade.base.iter();
    let plinth = steps.filter(move |s| s.below == Below::InsulatedPlinth && s.ground > low);
    plinth.map(move |s| Rectangle {
        x: s.from,
        y: low,
        width: s.to - s.from,
        height: s.ground.min(s.level) - low,
    })
}

/// The part of a piece that may be anchored: nothing below finished ground. Pieces that are cut otherwise than square and reach into the
/// ground keep their outline; the ground counts as an opening there.
fn above_ground(
    facade: &Facade,
    outline: Vec<facade::Point>,
    holes: &[Vec<setting_out::Point>],
) -> Option<Vec<facade::Point>> {
    let span = |of: fn(&facade::Point) -> Mm| {
        let values = outline.iter().map(of);
        values.clone().min().zip(values.max())
    };
    let ((x0, x1), (y0, y1)) = (span(|p| p.x)?, span(|p| p.y)?);
    let (low, high) = facade.bounds();
    // A piece round a corner lies over the ground beside the wall's end.
    let over = |r: &Rectangle| {
        let (from, to) = (r.x, r.right());
        (from < x1 || from == low.x) && (x0 < to || to == high.x)
    };
    let ground = buried(facade).filter(over).map(|r| r.top()).max();
    match ground {
        Some(ground) if y1 <= ground => None,
        Some(ground) if y0 < ground && outline.len() == 4 && holes.is_empty() => {
            let raised = outline.into_iter().map(|p| facade::Point {
                y: p.y.max(ground),
                ..p
            });
            Some(raised.collect())
        }
        _ => Some(outline),
    }
}

pub(super) fn boards(
    (job, layout): (&setting_out::Job, &setting_out::Layout),
    surveyed: &Facade,
    facade: usize,
    wall: usize,
    keys: &[Key<'_>],
) -> Vec<BoardOnWall> {
    let ring = |points: &[setting_out::Point]| {
        points
            .iter()
            .map(|p| facade::Point { x: p.x, y: p.y })
            .collect::<Vec<_>>()
    };
    layout
        .pieces
        .iter()
        .filter(|piece| piece.wall == facade)
        .filter_map(|piece| {
            Some(BoardOnWall {
                number: piece.number,
                outline: above_ground(surveyed, ring(&piece.outline), &piece.holes)?,
                holes: piece.holes.iter().map(|hole| ring(hole)).collect(),
                situation: keys
                    .iter()
                    .position(|key| key.wall == wall && key.part == part(job, piece))?,
            })
        })
        .collect()
}
