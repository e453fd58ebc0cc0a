//! Made-up facades and plots: a house with a gable and a long block. Shared by the gallery and the checks.

use drawing::{
    AnchorDrawing, AnchorKind, BeadKind, BeadLine, BreachMark, ChainSide, DimensionChain,
    ElementLoad, ElevationDrawing, FixtureMark, JointDrawing, MeshStrip, OpeningCorner,
    OpeningDrawing, OpeningFoot, PieceDrawing, PieceKind, Point, Rectangle, TitleBlock,
    ZoneDrawing, chains_of,
};
use quantity::Mm;

const BOARD: (i32, i32) = (1000, 500);

/// The title block of a scene.
pub fn block(title: &str) -> TitleBlock {
    TitleBlock {
        project: "Demonstration house, Mill Lane 4".into(),
        title: title.into(),
        number: "S-01".into(),
        revision: "a".into(),
        date: "2026-03-02".into(),
        responsible: "A. Foreman".into(),
        remark: "Demo data. Anchors and zones: to be confirmed by the person responsible under local rules before drilling.".into(),
    }
}

fn opening(id: &str, x: i32, y: i32, width: i32, height: i32) -> OpeningDrawing {
    OpeningDrawing {
        id: id.into(),
        raw: Rectangle::at(x, y, width, height),
        finished: Rectangle::at(x + 30, y, width - 60, height - 30),
        foot: if id.starts_with('D') {
            OpeningFoot::Floor
        } else {
            OpeningFoot::Sill
        },
    }
}

/// A house, 10 m by 8 m to the ridge, nine openings.
pub fn house() -> ElevationDrawing {
    let outline = vec![
        Point::at(0, 0),
        Point::at(10_000, 0),
        Point::at(10_000, 5500),
        Point::at(5000, 8000),
        Point::at(0, 5500),
    ];
    let openings = vec![
        opening("W1", 800, 900, 1260, 1380),
        opening("D1", 2900, 0, 1010, 2130),
        opening("W2", 4800, 900, 1510, 1380),
        opening("W3", 7600, 900, 1260, 1380),
        opening("W4", 800, 3600, 1260, 1380),
        opening("W5", 3100, 3600, 885, 1380),
        opening("W6", 4900, 3600, 1260, 1380),
        opening("W7", 7600, 3600, 1260, 1380),
        opening("W8", 4620, 6050, 760, 760),
    ];
    facade("House, south elevation", outline, openings, true)
}

/// A block, 40 m by 15 m, 65 openings on five floors.
pub fn block_of_flats() -> ElevationDrawing {
    let outline = Rectangle::at(0, 0, 40_000, 15_000).corners().to_vec();
    let mut openings = Vec::new();
    for floor in 0..5 {
        for bay in 0..13 {
            let (x, y) = (900 + bay * 3030, 800 + floor * 2900);
            openings.push(opening(
                &format!("{}.{:02}", floor + 1, bay + 1),
                x,
                y,
                if bay % 4 == 2 { 2010 } else { 1385 },
                1510,
            ));
        }
    }
    let mut drawing = facade("Block, street elevation", outline, openings, false);
    drawing.joints.push(JointDrawing {
        name: "J1".into(),
        from: Point::at(20_240, 0),
        to: Point::at(20_240, 15_000),
    });
    drawing
}

fn facade(
    title: &str,
    outline: Vec<Point>,
    openings: Vec<OpeningDrawing>,
    gable: bool,
) -> ElevationDrawing {
    let width = outline.iter().map(|p| p.x.0).max().unwrap_or(0);
    let height = outline.iter().map(|p| p.y.0).max().unwrap_or(0);
    let pieces = boards(width, height, gable, &openings);
    let zones = zones(width, height);
    let anchors = anchors(&pieces, &zones);
    let mut dimensions = chains_of(&outline, &openings, &[]);
    dimensions.push(DimensionChain {
        side: ChainSide::Right,
        stations: (0..=height / BOARD.1).map(|i| Mm(i * BOARD.1)).collect(),
        rows: None,
    });
    let (mesh, beads) = reinforcement(width, &openings);
    ElevationDrawing {
        block: block(title),
        base_line: vec![Point::at(0, 0), Point::at(width, 0)],
        ground_line: vec![Point::at(-600, -300), Point::at(width + 600, -300)],
        fixtures: vec![
            FixtureMark {
                at: Point::at(2500, 2300),
                text: "wall lamp".into(),
                load: ElementLoad::Light,
            },
            FixtureMark {
                at: Point::at(width - 400, 2600),
                text: "awning".into(),
                load: ElementLoad::Heavy,
            },
        ],
        breaches: vec![BreachMark {
            at: Point::at(2060, 2500),
            text: "joint 40 mm from the line of the opening's edge, 100 mm asked".into(),
        }],
        notes: vec!["Boards: generic EPS 1000 × 500, 140 mm.".into()],
        outline,
        openings,
        joints: Vec::new(),
        slots: Vec::new(),
        cracks: Vec::new(),
        pieces,
        anchors,
        zones,
        mesh,
        beads,
        sill_ends: Vec::new(),
        dimensions,
    }
}

/// A half-bond layout that cuts boards where they fall; good enough to draw.
fn boards(width: i32, height: i32, gable: bool, openings: &[OpeningDrawing]) -> Vec<PieceDrawing> {
    let mut pieces = Vec::new();
    let mut number = 0;
    for course in 0..(height + BOARD.1 - 1) / BOARD.1 {
        let y = course * BOARD.1;
        let y1 = (y + BOARD.1).min(height);
        let mut x = if course % 2 == 0 { 0 } else { -BOARD.0 / 2 };
        while x < width {
            let (x0, x1) = (x.max(0), (x + BOARD.0).min(width));
            x += BOARD.0;
            for (shape, kind) in cut((x0, y, x1, y1), openings) {
                let shape = if gable { below_gable(&shape) } else { shape };
                if shape.len() < 3 {
                    continue;
                }
                let sloped = (0..shape.len()).any(|i| {
                    let (p, q) = (shape[i], shape[(i + 1) % shape.len()]);
                    p.x != q.x && p.y != q.y
                });
                number += 1;
                pieces.push(PieceDrawing {
                    number,
                    outline: shape,
                    kind: match kind {
                        _ if course == 0 => PieceKind::Plinth,
                        PieceKind::Whole if sloped => PieceKind::Cut,
                        other => other,
                    },
                });
            }
        }
    }
    pieces
}

type Box4 = (i32, i32, i32, i32);

/// A board without the openings it meets.
fn cut(board: Box4, openings: &[OpeningDrawing]) -> Vec<(Vec<Point>, PieceKind)> {
    let (x0, y0, x1, y1) = board;
    let whole = x1 - x0 == BOARD.0 && y1 - y0 == BOARD.1;
    let met = openings.iter().find_map(|o| {
        let r = &o.finished;
        let (a0, b0) = (r.x.0.max(x0), r.y.0.max(y0));
        let (a1, b1) = ((r.x.0 + r.width.0).min(x1), (r.y.0 + r.height.0).min(y1));
        (a0 < a1 && b0 < b1).then_some((a0, b0, a1, b1))
    });
    let rectangle = |b: Box4| {
        Rectangle::at(b.0, b.1, b.2 - b.0, b.3 - b.1)
            .corners()
            .to_vec()
    };
    let Some((a0, b0, a1, b1)) = met else {
        let kind = if whole {
            PieceKind::Whole
        } else {
            PieceKind::Cut
        };
        return vec![(rectangle(board), kind)];
    };
    let mut parts = Vec::new();
    if b0 == y0 && b1 == y1 {
        for part in [(x0, y0, a0, y1), (a1, y0, x1, y1)] {
            if part.0 < part.2 {
                for (shape, _) in cut(part, openings) {
                    parts.push((shape, PieceKind::Cut));
                }
            }
        }
        return parts;
    }
    if a0 == x0 && a1 == x1 {
        for part in [(x0, y0, x1, b0), (x0, b1, x1, y1)] {
            if part.1 < part.3 {
                parts.push((rectangle(part), PieceKind::Cut));
            }
        }
        return parts;
    }
    let points: Vec<(i32, i32)> = match (a0 == x0, a1 == x1, b0 == y0) {
        // The opening takes the lower left, the lower right, the upper left or the upper right corner.
        (true, _, true) => vec![(x0, b1), (a1, b1), (a1, y0), (x1, y0), (x1, y1), (x0, y1)],
        (_, true, true) => vec![(x0, y0), (a0, y0), (a0, b1), (x1, b1), (x1, y1), (x0, y1)],
        (true, _, false) => vec![(x0, y0), (x1, y0), (x1, y1), (a1, y1), (a1, b0), (x0, b0)],
        (_, true, false) => vec![(x0, y0), (x1, y0), (x1, b0), (a0, b0), (a0, y1), (x0, y1)],
        (false, false, true) => vec![
            (x0, y0),
            (a0, y0),
            (a0, b1),
            (a1, b1),
            (a1, y0),
            (x1, y0),
            (x1, y1),
            (x0, y1),
        ],
        (false, false, false) => vec![
            (x0, y0),
            (x1, y0),
            (x1, y1),
            (a1, y1),
            (a1, b0),
            (a0, b0),
            (a0, y1),
            (x0, y1),
        ],
    };
    let shape = points.into_iter().map(|(x, y)| Point::at(x, y)).collect();
    vec![(shape, PieceKind::Notched)]
}

/// What lies under the slopes from (0, 5500) over (5000, 8000) to (10000, 5500).
fn below_gable(shape: &[Point]) -> Vec<Point> {
    let mut kept = shape.to_vec();
    for right in [false, true] {
        let depth = |p: &Point| {
            let run = if right { 10_000 - p.x.0 } else { p.x.0 };
            f64::from(run) / 2.0 + 5500.0 - f64::from(p.y.0)
        };
        let mut next = Vec::new();
        for i in 0..kept.len() {
            let (a, b) = (kept[(i + kept.len() - 1) % kept.len()], kept[i]);
            let (da, db) = (depth(&a), depth(&b));
            if da * db < 0.0 {
                let share = da / (da - db);
                let at =
                    |p: Mm, q: Mm| (f64::from(p.0) + share * f64::from(q.0 - p.0)).round() as i32;
                next.push(Point::at(at(a.x, b.x), at(a.y, b.y)));
            }
            if db >= 0.0 {
                next.push(b);
            }
        }
        next.dedup();
        kept = next;
    }
    kept
}

fn zones(width: i32, height: i32) -> Vec<ZoneDrawing> {
    let edge = width / 8;
    let part =
        |name: &str, x: i32, y: i32, size: (i32, i32), n: f64, utilisation: f64| ZoneDrawing {
            name: name.into(),
            area: Rectangle::at(x, y, size.0, size.1),
            anchors_per_m2: n,
            utilisation,
            ..ZoneDrawing::default()
        };
    let (middle, right) = (width - 2 * edge, width - edge);
    if height <= 10_000 {
        return vec![
            part("A", 0, 0, (edge, height), 8.0, 0.91),
            part("B", edge, 0, (middle, height), 6.0, 0.78),
            part("A", right, 0, (edge, height), 8.0, 0.91),
        ];
    }
    // A tall wall has a strip of lower pressure at its foot.
    let foot = 10_000;
    let head = height - foot;
    vec![
        part("A foot", 0, 0, (edge, foot), 7.0, 0.84),
        part("B foot", edge, 0, (middle, foot), 5.5, 0.48),
        part("A foot", right, 0, (edge, foot), 7.0, 0.84),
        part("A head", 0, foot, (edge, head), 8.0, 0.97),
        part("B head", edge, foot, (middle, head), 6.0, 0.78),
        part("A head", right, foot, (edge, head), 8.0, 0.97),
    ]
}

fn anchors(pieces: &[PieceDrawing], zones: &[ZoneDrawing]) -> Vec<AnchorDrawing> {
    let mut anchors = Vec::new();
    for piece in pieces {
        if piece.outline.len() != 4 {
            continue;
        }
        let xs = piece.outline.iter().map(|p| p.x.0);
        let ys = piece.outline.iter().map(|p| p.y.0);
        let (x0, x1) = (xs.clone().min().unwrap_or(0), xs.max().unwrap_or(0));
        let (y0, y1) = (ys.clone().min().unwrap_or(0), ys.max().unwrap_or(0));
        if x1 - x0 < 250 || y1 - y0 < 250 {
            continue;
        }
        let places = [
            (i32::midpoint(x0, x1), i32::midpoint(y0, y1)),
            (x0 + 100, y0 + 100),
            (x1 - 100, y1 - 100),
        ];
        for (x, y) in places {
            let zone = zones.iter().position(|z| {
                (z.area.x.0..z.area.x.0 + z.area.width.0).contains(&x)
                    && (z.area.y.0..z.area.y.0 + z.area.height.0).contains(&y)
            });
            if let Some(zone) = zone {
                anchors.push(AnchorDrawing {
                    at: Point::at(x, y),
                    zone,
                    kind: if piece.kind == PieceKind::Plinth {
                        AnchorKind::WidePlate
                    } else {
                        AnchorKind::Recessed
                    },
                });
            }
        }
    }
    anchors
}

fn reinforcement(width: i32, openings: &[OpeningDrawing]) -> (Vec<MeshStrip>, Vec<BeadLine>) {
    let mut mesh = Vec::new();
    let mut beads = vec![BeadLine {
        from: Point::at(0, 0),
        to: Point::at(width, 0),
        kind: BeadKind::Base,
    }];
    for o in openings {
        let [a, b, c, d] = o.finished.corners();
        for (at, corner) in [
            (a, OpeningCorner::LowerLeft),
            (b, OpeningCorner::LowerRight),
            (c, OpeningCorner::UpperRight),
            (d, OpeningCorner::UpperLeft),
        ] {
            if at.y.0 > 0 {
                mesh.push(MeshStrip {
                    at,
                    corner,
                    length: Mm(400),
                    width: Mm(300),
                });
            }
        }
        for (from, to) in [(a, d), (b, c)] {
            beads.push(BeadLine {
                from,
                to,
                kind: BeadKind::Corner,
            });
            beads.push(BeadLine {
                from,
                to,
                kind: BeadKind::Frame,
            });
        }
        beads.push(BeadLine {
            from: d,
            to: c,
            kind: BeadKind::Drip,
        });
        beads.push(BeadLine {
            from: d,
            to: c,
            kind: BeadKind::Frame,
        });
        if a.y.0 > 0 {
            beads.push(BeadLine {
                from: a,
                to: b,
                kind: BeadKind::Sill,
            });
        }
    }
    (mesh, beads)
}
