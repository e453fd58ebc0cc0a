//! The survey as a setting-out job, and its layout as the answer.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{Below, Building, Facade, Meets, Side};
use material::{Board, BoardThickness};
use quantity::{Area, Mm};
use setting_out::{
    BaseStep, BoardStock, Budget, Corner, CornerKind, CutKind, Form, Job, KeepClear, Opening,
    Point, Proof, RuleCosts, Rules, Runner, Strip, StructuralJoint, Turn, Wall, Zone, ZoneExtent,
    first_to_run,
};

use crate::answer::{
    BoardJoints, BoardTotal, CutBoard, CutPart, Layout, LayoutBreach, Leftover, Part, Piece, SawCut,
};

/// A board product of the job: which board, and which of its thicknesses.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Product<'a> {
    pub board: &'a Board,
    pub size: &'a BoardThickness,
}

/// The products by the part they play.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Products<'a> {
    pub main: Product<'a>,
    pub plinth: Option<Product<'a>>,
    pub barrier: Option<Product<'a>>,
}

impl<'a> Products<'a> {
    /// Every part of the wall with its product, where it has one.
    pub fn by_part(&self) -> impl Iterator<Item = (Part, Product<'a>)> + use<'a> {
        let all = [
            (Part::Facade, Some(self.main)),
            (Part::Plinth, self.plinth),
            (Part::Barrier, self.barrier),
        ];
        all.into_iter()
            .filter_map(|(part, product)| Some((part, product?)))
    }
}

/// A fire-barrier strip on one facade.
#[derive(Clone, Debug)]
pub(crate) struct BarrierStrip {
    pub facade: usize,
    pub left: Mm,
    pub right: Mm,
    pub bottom: Mm,
    pub height: Mm,
}

/// What a setting-out job is made of.
pub(crate) struct Order<'a> {
    pub building: &'a Building,
    pub products: Products<'a>,
    pub bed: Mm,
    pub rules: &'a Rules,
    pub barriers: &'a [BarrierStrip],
    /// Steps, zero for the default.
    pub budget: u64,
}

fn stock(product: Product<'_>) -> BoardStock {
    BoardStock {
        key: key(product),
        length: product.board.length,
        height: product.board.height,
        thickness: product.size.thickness,
        boards_per_pack: product.size.boards_per_pack,
        waste_ppm: libm::round(product.board.article.waste_share * 1e6) as u32,
        rotation: match product.board.rotation {
            material::Rotation::Allowed => setting_out::Rotation::Allowed,
            material::Rotation::Forbidden => setting_out::Rotation::Forbidden,
        },
        kerf: product.board.kerf,
    }
}

/// The key of a product in the job: the article and its thickness.
pub(crate) fn key(product: Product<'_>) -> String {
    format!("{} {}", product.board.article.key, product.size.thickness)
}

/// Whether a facade has wall below its base line that takes plinth boards.
pub(crate) fn has_plinth(facade: &Facade) -> bool {
    let (low, _) = facade.bounds();
    facade
        .base
        .iter()
        .any(|step| step.below == Below::InsulatedPlinth && step.level > low.y)
}

/// The job, with each product at most once.
pub(crate) fn job(order: &Order<'_>) -> Job {
    let mut boards: Vec<BoardStock> = Vec::new();
    for (_, product) in order.products.by_part() {
        let entry = stock(product);
        if !boards.iter().any(|b| b.key == entry.key) {
            boards.push(entry);
        }
    }
    let facades = order.building.facades.iter().enumerate();
    let walls: Vec<Wall> = facades.map(|(i, facade)| wall(order, i, facade)).collect();
    Job {
        corners: corners(order.building, &walls, order.products.main.board.length),
        walls,
        boards,
        rules: order.rules.clone(),
        budget: Budget {
            steps: if order.budget == 0 {
                Budget::default().steps
            } else {
                order.budget
            },
            rule_costs: RuleCosts::Skip,
        },
    }
}

fn point(p: facade::Point) -> Point {
    Point { x: p.x, y: p.y }
}

fn wall(order: &Order<'_>, index: usize, facade: &Facade) -> Wall {
    let openings = facade.finished_openings().map(|finished| {
        let f = finished.size;
        Opening {
            id: finished.opening.id.clone(),
            corner: Point { x: f.x, y: f.y },
            width: f.width,
            height: f.height,
        }
    });
    let joints = facade
        .joints
        .iter()
        .enumerate()
        .map(|(i, j)| StructuralJoint {
            id: format!("joint {}", i + 1),
            x: j.x,
            gap: j.gap,
        });
    let cracks = facade.cracks.iter().enumerate().map(|(i, c)| KeepClear {
        id: format!("crack {}", i + 1),
        from: point(c.from),
        to: point(c.to),
    });
    let plinth = order.products.plinth.filter(|_| has_plinth(facade));
    Wall {
        id: facade.id.clone(),
        outline: facade.outline.iter().map(|p| point(*p)).collect(),
        openings: openings.collect(),
        base_line: if plinth.is_some() {
            facade
                .base
                .iter()
                .map(|s| BaseStep {
                    from: s.from,
                    to: s.to,
                    level: s.level,
                })
                .collect()
        } else {
            Vec::new()
        },
        zones: zones(order, index, plinth),
        structural_joints: joints.collect(),
        keep_clear: cracks.collect(),
        thickness: order.products.main.size.thickness,
        bed: order.bed,
    }
}

fn zones(order: &Order<'_>, index: usize, plinth: Option<Product<'_>>) -> Vec<Zone> {
    let mut zones = alloc::vec![Zone {
        id: String::from("facade"),
        extent: ZoneExtent::Main,
        board: key(order.products.main)
    }];
    if let Some(plinth) = plinth {
        zones.push(Zone {
            id: String::from("plinth"),
            extent: ZoneExtent::Plinth,
            board: key(plinth),
        });
    }
    if let Some(barrier) = order.products.barrier {
        zones.extend(
            order
                .barriers
                .iter()
                .filter(|strip| strip.facade == index)
                .enumerate()
                .map(|(i, strip)| Zone {
                    id: format!("barrier {}", i + 1),
                    extent: ZoneExtent::FireBarrier(Strip {
                        corner: Point {
                            x: strip.left,
                            y: strip.bottom,
                        },
                        width: strip.right - strip.left,
                        height: strip.height,
                    }),
                    board: key(barrier),
                }),
        );
    }
    zones
}

/// Each pair of facade ends once, seen from the facade whose right end is at the corner.
fn corners(building: &Building, walls: &[Wall], board: Mm) -> Vec<Corner> {
    let mut corners = Vec::new();
    let mut places = Vec::new();
    for (place, facade) in building.facades.iter().enumerate() {
        let (with, kind) = match facade.meets(Side::Right) {
            Meets::SalientCorner { with } => (with, CornerKind::Salient),
            Meets::ReEntrantCorner { with } => (with, CornerKind::ReEntrant),
            _ => continue,
        };
        let Some(other) = walls.iter().position(|w| w.id == *with) else {
            continue;
        };
        places.push((place, other, kind));
        corners.push(Corner {
            id: format!("{}/{with}", facade.id),
            right_end_of: facade.id.clone(),
            left_end_of: with.clone(),
            kind,
            first_to_run: Runner::RightEnd,
        });
    }
    let runners = first_to_run(walls, &places, board);
    for (corner, runner) in corners.iter_mut().zip(runners) {
        corner.first_to_run = runner;
    }
    corners
}

/// What the answer says of a layout. `detail` adds every piece and board.
pub(crate) fn told(
    job: &Job,
    layout: &setting_out::Layout,
    baseline: &BTreeMap<usize, (u32, u32)>,
    detail: bool,
) -> Layout {
    Layout {
        totals: layout
            .products
            .iter()
            .map(|sum| total(job, layout, sum, baseline))
            .collect(),
        breaches: layout
            .breaches
            .iter()
            .map(|breach| told_breach(job, breach))
            .collect(),
        steps: layout.steps,
        rule_costs: layout
            .rule_costs
            .iter()
            .map(|cost| (rule_name(cost.rule).into(), cost.boards as i32))
            .collect(),
        leftovers: leftovers(job, layout),
        pieces: if detail {
            pieces(job, layout)
        } else {
            Vec::new()
        },
        boards: if detail {
            boards(job, layout)
        } else {
            Vec::new()
        },
        joints: layout.walls.iter().map(|sum| joints(job, sum)).collect(),
    }
}

fn joints(job: &Job, sum: &setting_out::WallSum) -> BoardJoints {
    BoardJoints {
        facade: wall_id(job, sum.wall),
        vertical: sum.vertical_joint.to_length(),
        level: sum.level_joint.to_length(),
    }
}

fn wall_id(job: &Job, wall: usize) -> String {
    job.walls
        .get(wall)
        .map_or_else(String::new, |w| w.id.clone())
}

fn board_key(job: &Job, product: usize) -> String {
    let key = job.boards.get(product).map_or("", |b| b.key.as_str());
    key.split(' ').next().unwrap_or_default().into()
}

fn total(
    job: &Job,
    layout: &setting_out::Layout,
    sum: &setting_out::ProductSum,
    baseline: &BTreeMap<usize, (u32, u32)>,
) -> BoardTotal {
    let mine = || layout.pieces.iter().filter(|p| p.product == sum.product);
    let whole = mine().filter(|p| p.form == Form::Whole).count() as u32;
    let area = |mm2: i64| Area::from_mm2(mm2 as f64);
    let (baseline_boards, baseline_cuts) = baseline.get(&sum.product).copied().unwrap_or_default();
    BoardTotal {
        board: board_key(job, sum.product),
        thickness: job
            .boards
            .get(sum.product)
            .map_or(Mm::ZERO, |b| b.thickness),
        boards: sum.boards,
        whole,
        cut_pieces: sum.pieces.saturating_sub(whole),
        cuts: sum.cuts,
        net_area: area(sum.piece_area_mm2),
        bound_area: sum.lb_area,
        bound_effective: sum.bound,
        baseline_boards,
        baseline_cuts,
        proven: sum.boards_proven == Proof::Proven,
        offcut_area: area(sum.offcut_area_mm2),
        scrap_area: area(sum.scrap_area_mm2),
    }
}

/// The name of a setting-out rule, as the answer and the drawings give it.
pub(crate) fn rule_name(rule: setting_out::Rule) -> &'static str {
    use setting_out::Rule;
    match rule {
        Rule::Stagger => "stagger",
        Rule::MinPieceWidth => "least piece width",
        Rule::MinPieceHeight => "least piece height",
        Rule::CornerPiece => "corner piece",
        Rule::OpeningKeepOut => "joint clear of jambs",
        Rule::CourseLineClear => "course line clear of sills and lintels",
        Rule::CrackOverlap => "board over a crack",
        Rule::CornerCourses => "equal courses at a corner",
    }
}

fn told_breach(job: &Job, breach: &setting_out::Breach) -> LayoutBreach {
    LayoutBreach {
        rule: rule_name(breach.rule).into(),
        facade: wall_id(job, breach.wall),
        x: breach.at.x,
        y: breach.at.y,
        text: format!("{breach}"),
    }
}

fn leftovers(job: &Job, layout: &setting_out::Layout) -> Vec<Leftover> {
    let mut counts: BTreeMap<(usize, i32, i32), u32> = BTreeMap::new();
    for offcut in &layout.offcuts {
        *counts
            .entry((offcut.product, -offcut.width.0, -offcut.height.0))
            .or_default() += 1;
    }
    counts
        .into_iter()
        .map(|((product, width, height), count)| Leftover {
            board: board_key(job, product),
            width: Mm(-width),
            height: Mm(-height),
            count,
        })
        .collect()
}

/// What a piece is for, by its zone.
pub(crate) fn part(job: &Job, piece: &setting_out::Piece) -> Part {
    let zone = job
        .walls
        .get(piece.wall)
        .and_then(|wall| wall.zones.get(piece.zone));
    match zone.map(|z| z.extent) {
        Some(ZoneExtent::Plinth) => Part::Plinth,
        Some(ZoneExtent::FireBarrier(_)) => Part::Barrier,
        Some(ZoneExtent::Main) | None => Part::Facade,
    }
}

fn pieces(job: &Job, layout: &setting_out::Layout) -> Vec<Piece> {
    layout
        .pieces
        .iter()
        .map(|piece| Piece {
            number: piece.number,
            facade: wall_id(job, piece.wall),
            course: layout.courses.get(piece.course).map_or(0, |c| c.number),
            outline: piece.outline.iter().map(|p| (p.x, p.y)).collect(),
            holes: piece
                .holes
                .iter()
                .map(|hole| hole.iter().map(|p| (p.x, p.y)).collect())
                .collect(),
            board: layout.boards.get(piece.board).map_or(0, |b| b.number),
            kind: match piece.form {
                Form::Whole => "whole",
                Form::Cut => "cut",
                Form::Notched => "notched",
                Form::Sloped => "sloped",
            }
            .into(),
            zone: part(job, piece),
        })
        .collect()
}

fn boards(job: &Job, layout: &setting_out::Layout) -> Vec<CutBoard> {
    let mut offcuts: BTreeMap<u32, Vec<CutPart>> = BTreeMap::new();
    for offcut in &layout.offcuts {
        offcuts.entry(offcut.board).or_default().push(CutPart {
            piece: 0,
            x: offcut.corner.x,
            y: offcut.corner.y,
            width: offcut.width,
            height: offcut.height,
            ..CutPart::default()
        });
    }
    let order: BTreeMap<u32, u32> = layout
        .cutting_list
        .iter()
        .map(|line| (line.piece, line.order))
        .collect();
    layout
        .boards
        .iter()
        .map(|board| CutBoard {
            number: board.number,
            board: board_key(job, board.product),
            parts: board
                .placements
                .iter()
                .map(|placed| CutPart {
                    piece: placed.piece,
                    x: placed.corner.x,
                    y: placed.corner.y,
                    width: placed.width,
                    height: placed.height,
                    turned: placed.turn == Turn::Quarter,
                    half_turned: placed.turn == Turn::Half,
                    order: order.get(&placed.piece).copied().unwrap_or_default(),
                    outline: shape(layout, placed),
                })
                .chain(offcuts.remove(&board.number).unwrap_or_default())
                .collect(),
            cuts: board.cuts.iter().map(saw_cut).collect(),
        })
        .collect()
}

/// The corners of a piece on its board; none of a rectangle.
fn shape(layout: &setting_out::Layout, placed: &setting_out::Placement) -> Vec<(Mm, Mm)> {
    let shaped = |piece: &&setting_out::Piece| matches!(piece.form, Form::Notched | Form::Sloped);
    let piece = layout.piece(placed.piece).filter(shaped);
    piece.map_or_else(Vec::new, |piece| {
        let outline = placed.outline(piece);
        outline.iter().map(|p| (p.x, p.y)).collect()
    })
}

fn saw_cut(cut: &setting_out::Cut) -> SawCut {
    SawCut {
        from: (cut.from.x, cut.from.y),
        to: (cut.to.x, cut.to.y),
        kind: match cut.kind {
            CutKind::Through => "through",
            CutKind::Notch => "notch",
            CutKind::Slope => "slope",
        }
        .into(),
    }
}

/// Boards and cuts of the plain half-bond layout, by product.
pub(crate) fn baseline(job: &Job) -> BTreeMap<usize, (u32, u32)> {
    let plain = setting_out::half_bond(job, setting_out::PencilCourses::Clear).unwrap_or_default();
    plain
        .products
        .iter()
        .map(|sum| (sum.product, (sum.boards, sum.cuts)))
        .collect()
}

/// Faults of a setting-out job as faults of the whole, under the names that the setting-out gives. A request names a rule set as a whole, so
/// the rule that no board can obey is told by the key that it has there.
pub(crate) fn faults(faults: Vec<setting_out::Fault>) -> Vec<working::Fault> {
    faults
        .into_iter()
        .map(|fault| working::Fault {
            found: match fault.path.strip_prefix("rules.") {
                Some("corner_pieces") => format!("corner-piece-min-width-mm of {}", fault.found),
                Some(rule) => format!("{}-mm of {}", rule.replace('_', "-"), fault.found),
                None => fault.found,
            },
            path: fault.path,
            reason: "LAYOUT_IMPOSSIBLE",
            expected: fault.expected,
        })
        .collect()
}
