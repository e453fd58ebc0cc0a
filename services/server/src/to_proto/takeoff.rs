//! Boards, pieces, quantities, price.

use api::v1;
use estimate::{
    Areas, BoardJoints, BoardTotal, CutBoard, CutPart, Kit, KitLine, Layout, LayoutBreach,
    Leftover, Piece, SawCut,
};
use quantity::{Decimal, Mm};

use super::common::money;

pub(super) fn layout(layout: &Layout) -> v1::Layout {
    v1::Layout {
        totals: layout.totals.iter().map(total).collect(),
        breaches: layout.breaches.iter().map(breach).collect(),
        search_steps: layout.steps,
        rule_costs: layout
            .rule_costs
            .iter()
            .map(|(rule, boards)| v1::RuleCost {
                rule: rule.clone(),
                board_count: *boards,
            })
            .collect(),
        leftovers: layout.leftovers.iter().map(leftover).collect(),
        pieces: layout.pieces.iter().map(piece).collect(),
        boards: layout.boards.iter().map(board).collect(),
        joints: layout.joints.iter().map(joints).collect(),
    }
}

fn joints(joints: &BoardJoints) -> v1::BoardJoints {
    v1::BoardJoints {
        facade: joints.facade.clone(),
        vertical_m: joints.vertical.as_m(),
        level_m: joints.level.as_m(),
    }
}

fn total(total: &BoardTotal) -> v1::BoardTotal {
    v1::BoardTotal {
        board: total.board.clone(),
        thickness_mm: total.thickness.0,
        board_count: total.boards,
        whole_count: total.whole,
        cut_piece_count: total.cut_pieces,
        cut_count: total.cuts,
        net_area_m2: total.net_area.as_m2(),
        bound_area_count: total.bound_area,
        bound_effective_count: total.bound_effective,
        baseline_board_count: total.baseline_boards,
        baseline_cut_count: total.baseline_cuts,
        proven: total.proven,
        offcut_area_m2: total.offcut_area.as_m2(),
        scrap_area_m2: total.scrap_area.as_m2(),
    }
}

fn breach(breach: &LayoutBreach) -> v1::LayoutBreach {
    v1::LayoutBreach {
        rule: breach.rule.clone(),
        facade: breach.facade.clone(),
        x_mm: breach.x.0,
        y_mm: breach.y.0,
        text: breach.text.clone(),
    }
}

fn leftover(leftover: &Leftover) -> v1::Leftover {
    v1::Leftover {
        board: leftover.board.clone(),
        width_mm: leftover.width.0,
        height_mm: leftover.height.0,
        count: leftover.count,
    }
}

fn piece(piece: &Piece) -> v1::Piece {
    let hole = |points: &Vec<(Mm, Mm)>| v1::Hole {
        outline: ring(points),
    };
    v1::Piece {
        number: piece.number,
        facade: piece.facade.clone(),
        course: piece.course,
        outline: ring(&piece.outline),
        holes: piece.holes.iter().map(hole).collect(),
        board: piece.board,
        kind: piece.kind.clone(),
        zone: piece.zone.name().to_owned(),
    }
}

fn board(board: &CutBoard) -> v1::CutBoard {
    v1::CutBoard {
        number: board.number,
        board: board.board.clone(),
        parts: board.parts.iter().map(part).collect(),
        cuts: board.cuts.iter().map(saw_cut).collect(),
    }
}

fn part(part: &CutPart) -> v1::CutPart {
    v1::CutPart {
        piece: part.piece,
        x_mm: part.x.0,
        y_mm: part.y.0,
        width_mm: part.width.0,
        height_mm: part.height.0,
        turned: part.turned,
        order: part.order,
        half_turned: part.half_turned,
        outline: ring(&part.outline),
    }
}

fn saw_cut(cut: &SawCut) -> v1::SawCut {
    v1::SawCut {
        from: Some(point(cut.from)),
        to: Some(point(cut.to)),
        kind: cut.kind.clone(),
    }
}

fn point((x, y): (Mm, Mm)) -> v1::Point {
    v1::Point {
        x_mm: x.0,
        y_mm: y.0,
    }
}

fn ring(points: &[(Mm, Mm)]) -> Vec<v1::Point> {
    points.iter().copied().map(point).collect()
}

pub(super) fn kit(kit: &Kit) -> v1::Kit {
    v1::Kit {
        areas: kit.areas.iter().map(areas).collect(),
        measurement: kit.measurement.clone(),
        lines: kit.lines.iter().map(line).collect(),
        water: kit
            .water
            .iter()
            .map(|w| v1::WaterLine {
                purpose: w.purpose.clone(),
                water_l: w.litres,
            })
            .collect(),
        net_price: money(kit.net_price),
        tax_share: share(kit.tax_share),
        tax: money(kit.tax),
        gross_price: money(kit.gross_price),
        unpriced_count: kit.unpriced,
        mass_kg_per_m2: kit.mass_per_area.as_kg_per_m2(),
        mass_kg: kit.mass.as_kg(),
    }
}

/// A share as decimal text; empty for none.
fn share(share: Decimal) -> String {
    if share.is_zero() {
        String::new()
    } else {
        share.normalize().to_string()
    }
}

fn areas(areas: &Areas) -> v1::Areas {
    v1::Areas {
        facade: areas.facade.clone(),
        gross_m2: areas.gross.as_m2(),
        net_m2: areas.net.as_m2(),
        with_reveals_m2: areas.with_reveals.as_m2(),
        developed_m2: areas.developed.as_m2(),
        billed_m2: areas.billed.as_m2(),
        billed_reveals_m: areas.billed_reveals.as_m(),
        billed_base_m: areas.billed_base.as_m(),
        billed_strips_m: areas.billed_strips.as_m(),
        billed_stages: areas
            .billed_stages
            .iter()
            .map(|stage| v1::HeightStage {
                from_m: stage.from.as_m(),
                to_m: stage.to.as_m(),
                area_m2: stage.area.as_m2(),
            })
            .collect(),
        clear_openings: areas
            .clear_openings
            .iter()
            .map(|clear| v1::ClearOpening {
                opening: clear.opening.clone(),
                width_mm: clear.width.as_mm(),
                height_mm: clear.height.as_mm(),
            })
            .collect(),
    }
}

fn line(line: &KitLine) -> v1::KitLine {
    let metadata = line.metadata.iter();
    v1::KitLine {
        article: line.article.clone(),
        name: line.name.clone(),
        size: line.size.clone(),
        purpose: line.purpose.clone(),
        net: line.net,
        waste: line.waste,
        waste_origin: line.waste_origin.clone(),
        unit: line.unit.clone(),
        unit_code: line.unit_code.clone(),
        packs: line.packs,
        pack_name: line.pack_name.clone(),
        pack_content: line.pack_content,
        leftover: line.leftover,
        price: money(line.price),
        total: money(line.total),
        short_packs: line.short_packs,
        metadata: metadata
            .map(|(key, value)| v1::Metadatum {
                key: key.clone(),
                value: value.clone(),
            })
            .collect(),
        sheet_line: line.sheet_line,
        derivation: line.derivation.clone(),
        pallets: line.pallets,
    }
}
