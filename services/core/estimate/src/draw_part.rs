//! The job as drawings: elevations of boards, of anchors and of reinforcement, and the cutting sheets.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use drawing::{
    AnchorDrawing, AnchorKind, BeadKind, BeadLine, BreachMark, CutBoard, CutLine, CutPart,
    CuttingSheet, ElevationDrawing, ElevationOptions, FixtureMark, JointDrawing, MeshStrip,
    OpeningCorner, OpeningDrawing, PartUse, PieceDrawing, PieceKind, Point, Rectangle, TitleBlock,
    ZoneDrawing, chains_of, cutting_sheets, elevation, utilisation_picture,
};
use facade::{Below, Building, Facade, Meets, OpeningKind, Side};
use material::Mesh;
use quantity::Mm;
use setting_out::Form;
use working::{Fault, Finding, Severity};

use crate::answer::{AnchorPoint, Drawing, FixingZone};
use crate::set_out::{purpose, rule_name};

/// What the drawings are made from.
pub(crate) struct Drawn<'a> {
    pub reference: &'a str,
    pub building: &'a Building,
    pub job: &'a setting_out::Job,
    pub layout: &'a setting_out::Layout,
    pub zones: &'a [FixingZone],
    pub anchors: &'a [AnchorPoint],
    /// How each of the chosen anchors sits.
    pub kinds: Vec<AnchorKind>,
    pub mesh: &'a Mesh,
}

const REMARK: &str = "Anchors, fire barriers and scaffold ties are to be confirmed by the person responsible under local rules.";

/// All drawings of a job. What cannot be drawn becomes a finding, never a refusal.
pub(crate) fn draw(drawn: &Drawn<'_>) -> (Vec<Drawing>, Vec<Finding>) {
    let mut drawings = Vec::new();
    let mut findings = Vec::new();
    let sets = [
        ("boards", "boards", ElevationOptions::boards()),
        (
            "anchors",
            "anchors and wind zones",
            ElevationOptions::anchors(),
        ),
        (
            "reinforcement",
            "reinforcement, beads and profiles",
            ElevationOptions::reinforcement(),
        ),
    ];
    for (index, facade) in drawn.building.facades.iter().enumerate() {
        for (file, title, options) in &sets {
            let title = format!("Elevation {}: {title}", facade.id);
            let picture = picture(drawn, index, facade, &title);
            let name = format!("elevation-{}-{file}", file_name(&facade.id));
            gather(
                elevation(&picture, options),
                &name,
                &title,
                &mut drawings,
                &mut findings,
            );
        }
        if !drawn.zones.is_empty() {
            let title = format!("Elevation {}: used share of the anchors", facade.id);
            let picture = picture(drawn, index, facade, &title);
            let name = format!("elevation-{}-utilisation", file_name(&facade.id));
            gather(
                utilisation_picture(&picture),
                &name,
                &title,
                &mut drawings,
                &mut findings,
            );
        }
    }
    let sheet = cutting(drawn);
    if !sheet.boards.is_empty() {
        gather(
            cutting_sheets(&sheet),
            "cutting",
            "Cutting sheet",
            &mut drawings,
            &mut findings,
        );
    }
    (drawings, findings)
}

fn gather(
    sheets: Result<Vec<drawing::Sheet>, Vec<Fault>>,
    name: &str,
    title: &str,
    drawings: &mut Vec<Drawing>,
    findings: &mut Vec<Finding>,
) {
    match sheets {
        Ok(sheets) => drawings.extend(sheets.into_iter().map(|sheet| Drawing {
            name: format!("{name}-{}.svg", sheet.number),
            title: format!("{title}, sheet {} of {}", sheet.number, sheet.count),
            svg: sheet.svg,
        })),
        Err(faults) => findings.extend(faults.into_iter().map(|fault| Finding {
            code: "NOT_DRAWN",
            severity: Severity::Note,
            path: String::new(),
            text: format!("{title} could not be drawn: {fault}"),
            source: "",
        })),
    }
}

/// A name that is safe in every file system.
fn file_name(id: &str) -> String {
    id.chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() {
                c.to_ascii_lowercase()
            } else {
                '-'
            }
        })
        .collect()
}

fn at(p: facade::Point) -> Point {
    Point { x: p.x, y: p.y }
}

fn rectangle(r: &facade::Rectangle) -> Rectangle {
    Rectangle {
        x: r.x,
        y: r.y,
        width: r.width,
        height: r.height,
    }
}

fn picture(drawn: &Drawn<'_>, index: usize, facade: &Facade, title: &str) -> ElevationDrawing {
    let (low, high) = facade.bounds();
    let openings: Vec<OpeningDrawing> = facade
        .openings
        .iter()
        .map(|o| OpeningDrawing {
            id: o.id.clone(),
            raw: rectangle(&o.raw),
            finished: rectangle(&o.finished()),
        })
        .collect();
    let outline: Vec<Point> = facade.outline.iter().map(|p| at(*p)).collect();
    let mut drawing = ElevationDrawing {
        block: TitleBlock {
            project: drawn.reference.to_string(),
            title: title.to_string(),
            remark: REMARK.to_string(),
            ..TitleBlock::default()
        },
        base_line: facade
            .base
            .iter()
            .flat_map(|s| {
                [
                    Point {
                        x: s.from,
                        y: s.level,
                    },
                    Point {
                        x: s.to,
                        y: s.level,
                    },
                ]
            })
            .collect(),
        ground_line: facade
            .base
            .iter()
            .flat_map(|s| {
                [
                    Point {
                        x: s.from,
                        y: s.ground,
                    },
                    Point {
                        x: s.to,
                        y: s.ground,
                    },
                ]
            })
            .collect(),
        joints: facade
            .joints
            .iter()
            .enumerate()
            .map(|(i, joint)| JointDrawing {
                name: format!("structural joint {}, {}", i + 1, joint.gap),
                from: Point {
                    x: joint.x,
                    y: low.y,
                },
                to: Point {
                    x: joint.x,
                    y: high.y,
                },
            })
            .collect(),
        pieces: pieces(drawn, index),
        mesh: openings_mesh(facade, drawn.mesh),
        beads: beads(facade),
        fixtures: facade
            .fixtures
            .iter()
            .flat_map(|fixture| {
                fixture.points.iter().map(|p| FixtureMark {
                    at: at(*p),
                    text: fixture.name.clone(),
                })
            })
            .collect(),
        breaches: breaches(drawn, index),
        outline,
        openings,
        ..ElevationDrawing::default()
    };
    zones_and_anchors(drawn, facade, &mut drawing);
    drawing.dimensions = chains_of(&drawing.outline, &drawing.openings);
    drawing
}

fn pieces(drawn: &Drawn<'_>, wall: usize) -> Vec<PieceDrawing> {
    drawn
        .layout
        .pieces
        .iter()
        .filter(|piece| piece.wall == wall)
        .map(|piece| PieceDrawing {
            number: piece.number,
            outline: piece
                .outline
                .iter()
                .map(|p| Point { x: p.x, y: p.y })
                .collect(),
            kind: match (purpose(drawn.job, piece), piece.form) {
                ("plinth", _) => PieceKind::Plinth,
                ("barrier", _) => PieceKind::Barrier,
                (_, Form::Whole) => PieceKind::Whole,
                (_, Form::Notched) => PieceKind::Notched,
                _ => PieceKind::Cut,
            },
        })
        .collect()
}

fn breaches(drawn: &Drawn<'_>, wall: usize) -> Vec<BreachMark> {
    drawn
        .layout
        .breaches
        .iter()
        .filter(|breach| breach.wall == wall)
        .map(|breach| BreachMark {
            at: Point {
                x: breach.at.x,
                y: breach.at.y,
            },
            text: format!(
                "{}: {} of {}",
                rule_name(breach.rule),
                breach.found,
                breach.required
            ),
        })
        .collect()
}

/// The zones of the facade boards; plinth and barrier boards lie in the same strips and are told in the answer.
fn zones_and_anchors(drawn: &Drawn<'_>, facade: &Facade, drawing: &mut ElevationDrawing) {
    let mine: Vec<&FixingZone> = drawn
        .zones
        .iter()
        .filter(|zone| zone.facade == facade.id && !zone.zone.contains(' '))
        .collect();
    drawing.zones = mine
        .iter()
        .map(|zone| ZoneDrawing {
            name: zone.zone.clone(),
            area: Rectangle {
                x: zone.x_from,
                y: zone.y_from,
                width: zone.x_to - zone.x_from,
                height: zone.y_to - zone.y_from,
            },
            anchors_per_m2: zone.provided_per_m2,
            utilisation: zone.utilisation,
        })
        .collect();
    let holds = |zone: &FixingZone, p: &AnchorPoint| {
        zone.x_from <= p.x && p.x <= zone.x_to && zone.y_from <= p.y && p.y <= zone.y_to
    };
    drawing.anchors = drawn
        .anchors
        .iter()
        .filter(|p| p.facade == facade.id)
        .filter_map(|p| {
            let zone = mine
                .iter()
                .position(|zone| zone.zone == p.zone && holds(zone, p))
                .or_else(|| mine.iter().position(|zone| zone.zone == p.zone))?;
            Some(AnchorDrawing {
                at: Point { x: p.x, y: p.y },
                zone,
                kind: *drawn.kinds.get(p.anchor)?,
            })
        })
        .collect();
}

/// Whether an opening stands on the base line, so that it has no lower corners in the wall.
fn stands_on_base(facade: &Facade, opening: &facade::Opening) -> bool {
    opening.kind == OpeningKind::Door && opening.raw.y <= facade.base_level_at(opening.raw.x)
}

fn openings_mesh(facade: &Facade, mesh: &Mesh) -> Vec<MeshStrip> {
    facade
        .openings
        .iter()
        .flat_map(|opening| {
            let f = opening.finished();
            let [a, b, c, d] = f.corners();
            let lower = !stands_on_base(facade, opening);
            [
                (a, OpeningCorner::LowerLeft, lower),
                (b, OpeningCorner::LowerRight, lower),
                (c, OpeningCorner::UpperRight, true),
                (d, OpeningCorner::UpperLeft, true),
            ]
            .into_iter()
            .filter(|(_, _, wanted)| *wanted)
            .map(|(p, corner, _)| MeshStrip {
                at: at(p),
                corner,
                length: mesh.diagonal_length,
                width: mesh.diagonal_width,
            })
            .collect::<Vec<_>>()
        })
        .collect()
}

fn beads(facade: &Facade) -> Vec<BeadLine> {
    let (low, high) = facade.bounds();
    let mut lines = Vec::new();
    let mut line = |kind, (x0, y0): (Mm, Mm), (x1, y1): (Mm, Mm)| {
        if (x0, y0) != (x1, y1) {
            lines.push(BeadLine {
                from: Point { x: x0, y: y0 },
                to: Point { x: x1, y: y1 },
                kind,
            });
        }
    };
    for step in &facade.base {
        let kind = if step.below == Below::InsulatedPlinth {
            BeadKind::Drip
        } else {
            BeadKind::Base
        };
        line(kind, (step.from, step.level), (step.to, step.level));
    }
    for opening in &facade.openings {
        let f = opening.finished();
        line(BeadKind::Corner, (f.x, f.y), (f.x, f.top()));
        line(BeadKind::Corner, (f.right(), f.y), (f.right(), f.top()));
        line(BeadKind::Drip, (f.x, f.top()), (f.right(), f.top()));
        if opening.kind == OpeningKind::Window {
            line(BeadKind::Sill, (f.x, f.y), (f.right(), f.y));
        }
    }
    for (side, x) in [(Side::Left, low.x), (Side::Right, high.x)] {
        let top = low.y + facade.edge_length(side);
        let kind = match facade.meets(side) {
            Meets::SalientCorner { .. } | Meets::ReEntrantCorner { .. } | Meets::FreeEnd => {
                BeadKind::Corner
            }
            Meets::StructuralJoint { .. } => BeadKind::Joint,
            Meets::AbuttingBuilding => BeadKind::Sealing,
        };
        line(kind, (x, low.y), (x, top));
    }
    for joint in &facade.joints {
        line(BeadKind::Joint, (joint.x, low.y), (joint.x, high.y));
    }
    lines
}

/// Every board that is cut, with its parts and the offcuts kept.
fn cutting(drawn: &Drawn<'_>) -> CuttingSheet {
    let boards = drawn
        .layout
        .boards
        .iter()
        .filter(|board| !board.cuts.is_empty())
        .filter_map(|board| {
            let stock = drawn.job.boards.get(board.product)?;
            Some(CutBoard {
                number: board.number,
                product: stock.key.clone(),
                length: stock.length,
                height: stock.height,
                parts: parts(drawn, board),
                cuts: board
                    .cuts
                    .iter()
                    .enumerate()
                    .map(|(order, cut)| CutLine {
                        order: order as u32 + 1,
                        from: Point {
                            x: cut.from.x,
                            y: cut.from.y,
                        },
                        to: Point {
                            x: cut.to.x,
                            y: cut.to.y,
                        },
                    })
                    .collect(),
            })
        })
        .collect();
    CuttingSheet {
        block: TitleBlock {
            project: drawn.reference.to_string(),
            title: String::from("Cutting sheet"),
            remark: String::from(
                "Cutting makes dust and hot wires burn: masks, goggles, and the tool's own instructions.",
            ),
            ..TitleBlock::default()
        },
        boards,
        notes: Vec::new(),
    }
}

fn parts(drawn: &Drawn<'_>, board: &setting_out::BoardUse) -> Vec<CutPart> {
    let mut parts: Vec<CutPart> = board
        .placements
        .iter()
        .filter_map(|placed| {
            let piece = drawn.layout.piece(placed.piece)?;
            let outline = placed.outline(piece).into_iter();
            Some(CutPart {
                outline: outline.map(|p| Point { x: p.x, y: p.y }).collect(),
                used_as: PartUse::Piece(placed.piece),
            })
        })
        .collect();
    for (index, offcut) in drawn
        .layout
        .offcuts
        .iter()
        .enumerate()
        .filter(|(_, o)| o.board == board.number)
    {
        let rectangle = Rectangle {
            x: offcut.corner.x,
            y: offcut.corner.y,
            width: offcut.width,
            height: offcut.height,
        };
        parts.push(CutPart {
            outline: rectangle.corners().to_vec(),
            used_as: PartUse::Offcut(index as u32 + 1),
        });
    }
    parts
}
