//! The cutting sheet: every board that is cut, with its parts and the offcuts kept.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use drawing::{
    CutBoard, CutLine, CutPart, CuttingSheet, PartTop, PartUse, Point, Rectangle, TitleBlock,
};
use setting_out::Turn;

use super::{Drawn, in_one};

const REMARK: &str =
    "Cutting makes dust and hot wires burn: masks, goggles, and the tool's own instructions.";

/// How the sizes are to be read.
const NOTES: [&str; 4] = [
    "Sizes are finished sizes in millimetres, length × height, as the part lies on the board drawn.",
    "A slope is told by the edges along the sides, each with the end that it begins at; left and right, above and below as drawn.",
    "A notch is told by width by height and where it sits.",
    "Where corners are given, each is told from the part's lower left: to the right / up.",
];

/// Every board that is cut.
pub(super) fn cutting(drawn: &Drawn<'_>) -> CuttingSheet {
    let boards = drawn
        .layout
        .boards
        .iter()
        .filter(|board| !board.cuts.is_empty())
        .filter_map(|board| {
            let stock = drawn.job.boards.get(board.product)?;
            Some(CutBoard {
                number: board.number,
                product: in_one(&stock.key),
                length: stock.length,
                height: stock.height,
                kerf: stock.kerf,
                parts: parts(drawn, board),
                cuts: cuts(board),
            })
        })
        .collect();
    CuttingSheet {
        block: TitleBlock {
            project: drawn.reference.to_string(),
            title: String::from("Cutting sheet"),
            remark: String::from(REMARK),
            ..TitleBlock::default()
        },
        boards,
        notes: NOTES.map(String::from).to_vec(),
    }
}

fn point(p: setting_out::Point) -> Point {
    Point { x: p.x, y: p.y }
}

fn cuts(board: &setting_out::BoardUse) -> Vec<CutLine> {
    board
        .cuts
        .iter()
        .enumerate()
        .map(|(order, cut)| CutLine {
            order: order as u32 + 1,
            from: point(cut.from),
            to: point(cut.to),
        })
        .collect()
}

fn ring(points: Vec<setting_out::Point>) -> Vec<Point> {
    points.into_iter().map(point).collect()
}

fn parts(drawn: &Drawn<'_>, board: &setting_out::BoardUse) -> Vec<CutPart> {
    let pieces = board.placements.iter().filter_map(|placed| {
        let piece = drawn.layout.piece(placed.piece)?;
        Some(CutPart {
            outline: ring(placed.outline(piece)),
            holes: placed.holes(piece).into_iter().map(ring).collect(),
            used_as: PartUse::Piece(placed.piece),
            top: match placed.turn {
                Turn::None => PartTop::Up,
                Turn::Quarter => PartTop::Left,
                Turn::Half => PartTop::Down,
            },
        })
    });
    let offcuts = drawn.layout.offcuts.iter().enumerate();
    let kept = offcuts
        .filter(|(_, offcut)| offcut.board == board.number)
        .map(|(index, offcut)| {
            let rectangle = Rectangle {
                x: offcut.corner.x,
                y: offcut.corner.y,
                width: offcut.width,
                height: offcut.height,
            };
            CutPart {
                outline: rectangle.corners().to_vec(),
                holes: Vec::new(),
                used_as: PartUse::Offcut(index as u32 + 1),
                top: PartTop::Up,
            }
        });
    pieces.chain(kept).collect()
}
