//! The job as drawings: elevations of boards, of anchors and of reinforcement, and the cutting sheets.

mod corners;
mod cutting;
mod drilling;
mod names;
mod reinforcement;
mod tables;

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use drawing::{
    AnchorDrawing, AnchorKind, BreachMark, ChainSide, CrackLine, DimensionChain, ElementLoad,
    ElevationDrawing, ElevationOptions, FixtureMark, JointDrawing, Layer, Lettering,
    OpeningDrawing, OpeningFoot, PieceDrawing, PieceKind, Point, Rectangle, TitleBlock,
    ZoneDrawing, chains_of, cutting_sheets, elevation, level, list_sheets, utilisation_picture,
};
use facade::{Building, Facade, FixtureLoad, OpeningKind};
use material::{Assortment, Mesh};
use quantity::Mm;
use setting_out::Form;
use takeoff::Component;
use takeoff::edges::{EdgeKind, Edges};
use working::{Fault, Finding, Severity};

use crate::answer::{AnchorPoint, ChosenAnchor, Drawing, DrillingLine, FixingZone, Part};
use crate::set_out::{part, rule_name};

/// What the drawings are made from.
pub(crate) struct Drawn<'a> {
    pub reference: &'a str,
    pub building: &'a Building,
    pub job: &'a setting_out::Job,
    pub layout: &'a setting_out::Layout,
    pub zones: &'a [FixingZone],
    pub anchors: &'a [AnchorPoint],
    /// The anchors chosen, and what is drilled for them by facade.
    pub chosen: &'a [ChosenAnchor],
    pub drilling: &'a [DrillingLine],
    /// What the boards are called for people, by what they are for.
    pub names: BTreeMap<Part, &'a str>,
    /// The catalogue.
    pub stock: &'a Assortment,
    /// How each of the chosen anchors sits.
    pub kinds: Vec<AnchorKind>,
    pub mesh: &'a Mesh,
    /// What the kit lays along edges, and along which.
    pub along: Vec<(Component, Vec<EdgeKind>)>,
    /// What is bought, and how it is cut.
    pub takeoff: &'a takeoff::Takeoff,
    /// Thickness of the facade boards.
    pub thickness: Mm,
}

const REMARK: &str = "Anchors, fire barriers and scaffold ties are to be confirmed by the person responsible under local rules.";

const INDEXED: &str = "The index at the end of the sheets \"Cutting sheet\" tells the board and the sheet of each cut piece.";

/// Whether any piece of a wall is cut.
fn is_cut(drawn: &Drawn<'_>, wall: usize) -> bool {
    let mut mine = drawn.layout.pieces.iter().filter(|p| p.wall == wall);
    mine.any(|p| p.form != Form::Whole)
}

/// All drawings of a job. What cannot be drawn becomes a finding, never a refusal.
pub(crate) fn draw(drawn: &Drawn<'_>) -> (Vec<Drawing>, Vec<Finding>) {
    let mut drawings = Vec::new();
    let mut findings = Vec::new();
    let mut numbering = Numbering::of(drawn);
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
    let ids = drawn.building.facades.iter().map(|f| f.id.as_str());
    let files = names::file_names(&ids.collect::<Vec<_>>());
    let named = drawn.building.facades.iter().zip(&files).enumerate();
    for (index, (facade, named)) in named {
        for (file, title, options) in &sets {
            let title = titled(&facade.id, title);
            let mut picture = picture(drawn, index, facade, &title);
            numbering.number(&mut picture.block);
            if options.layers.contains(&Layer::Numbers) && is_cut(drawn, index) {
                picture.notes.push(String::from(INDEXED));
            }
            if options.layers.contains(&Layer::Anchors) {
                picture.notes.extend(drilling::notes(drawn, index, facade));
            }
            if options.layers.contains(&Layer::Mesh) {
                let hanging = tables::hanging(drawn, index, drawn.mesh);
                picture.notes.extend(hanging);
                let own = drawn.takeoff.facades.get(index);
                picture
                    .notes
                    .extend(own.into_iter().flat_map(tables::clear_sizes));
            }
            let name = format!("elevation-{named}-{file}");
            gather(
                elevation(&picture, options),
                &name,
                &title,
                &mut drawings,
                &mut findings,
            );
        }
        if !drawn.zones.is_empty() {
            let title = titled(&facade.id, "used share of the anchors");
            let mut picture = picture(drawn, index, facade, &title);
            numbering.number(&mut picture.block);
            let name = format!("elevation-{named}-utilisation");
            gather(
                utilisation_picture(&picture),
                &name,
                &title,
                &mut drawings,
                &mut findings,
            );
        }
    }
    let mut sheet = cutting::cutting(drawn);
    if !sheet.boards.is_empty() {
        numbering.number(&mut sheet.block);
        gather(
            cutting_sheets(&sheet),
            "cutting",
            "Cutting sheet",
            &mut drawings,
            &mut findings,
        );
    }
    let mut lists = tables::tables(drawn);
    numbering.number(&mut lists.block);
    gather(
        list_sheets(&lists),
        "strips-and-bars",
        tables::TITLE,
        &mut drawings,
        &mut findings,
    );
    (drawings, findings)
}

/// What ties the sheets of one answer together: a running number for each set of sheets, and a state that is the same on all of them.
struct Numbering {
    last: u32,
    state: String,
}

impl Numbering {
    /// The state: the catalogue's revision, as the answer has it, and a fingerprint of the boards, the cuts and the anchors.
    fn of(drawn: &Drawn<'_>) -> Self {
        let mut print = names::Fingerprint::new();
        print.add(drawn.reference.as_bytes());
        for piece in &drawn.layout.pieces {
            print.add(&piece.number.to_le_bytes());
            for p in &piece.outline {
                print.add(&p.x.0.to_le_bytes());
                print.add(&p.y.0.to_le_bytes());
            }
        }
        for cut in drawn.layout.boards.iter().flat_map(|board| &board.cuts) {
            for p in [cut.from, cut.to] {
                print.add(&p.x.0.to_le_bytes());
                print.add(&p.y.0.to_le_bytes());
            }
        }
        for anchor in drawn.anchors {
            print.add(anchor.facade.as_bytes());
            print.add(&anchor.x.0.to_le_bytes());
            print.add(&anchor.y.0.to_le_bytes());
        }
        let catalogue: String = drawn.stock.revision.chars().take(8).collect();
        Self {
            last: 0,
            state: format!("{catalogue}/{:08x}", print.value()),
        }
    }

    fn number(&mut self, block: &mut TitleBlock) {
        self.last += 1;
        block.number = self.last.to_string();
        block.revision.clone_from(&self.state);
    }
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

/// The title of a facade's drawing; a facade that calls itself an elevation is not called one twice.
fn titled(id: &str, what: &str) -> String {
    let elevation = id.to_lowercase().contains("elevation");
    let whole = |id: &str| {
        if elevation {
            format!("{id}: {what}")
        } else {
            format!("Elevation {id}: {what}")
        }
    };
    // A word so long that it takes a line of its own leaves one line for the whole.
    let words = id.split(|c: char| c.is_whitespace() && c != '\u{a0}');
    let longest = words
        .map(|word| Lettering::Small.width_mm(word))
        .fold(0.0, f64::max);
    let room = if longest > LONG_WORD {
        TITLE_LINE
    } else {
        TITLE_ROOM
    };
    // A very long name is shortened rather than what the drawing shows.
    let mut kept: Vec<char> = id.chars().collect();
    let mut title = whole(id);
    while Lettering::Small.width_mm(&title) > room && kept.pop().is_some() {
        title = whole(&format!("{}…", kept.iter().collect::<String>()));
    }
    title
}

/// Less than two lines of the title block hold, so that the number of boards or the word for a list may follow.
const TITLE_ROOM: f64 = 220.0;
/// The same of one line.
const TITLE_LINE: f64 = 120.0;
/// Words no longer than this leave two lines as much room as that.
const LONG_WORD: f64 = 55.0;

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
    let openings: Vec<OpeningDrawing> = facade
        .finished_openings()
        .map(|o| OpeningDrawing {
            id: o.opening.id.clone(),
            raw: rectangle(&o.opening.raw),
            finished: rectangle(&o.size),
            foot: match o.opening.kind {
                OpeningKind::Window => OpeningFoot::Sill,
                OpeningKind::Door => OpeningFoot::Floor,
            },
        })
        .collect();
    let outline: Vec<Point> = facade.outline.iter().map(|p| at(*p)).collect();
    let edges = takeoff::edges::edges(drawn.building, index, drawn.thickness);
    let mut drawing = ElevationDrawing {
        block: TitleBlock {
            project: drawn.reference.to_string(),
            title: title.to_string(),
            remark: REMARK.to_string(),
            ..TitleBlock::default()
        },
        base_line: steps(facade, |step| step.level),
        ground_line: steps(facade, |step| step.ground),
        joints: joints(&edges, facade),
        cracks: facade
            .cracks
            .iter()
            .map(|crack| CrackLine {
                from: at(crack.from),
                to: at(crack.to),
            })
            .collect(),
        pieces: pieces(drawn, index),
        slots: corners::slots(drawn, index, facade),
        mesh: reinforcement::mesh(facade, drawn.mesh),
        beads: reinforcement::beads(drawn, &edges, facade),
        sill_ends: reinforcement::sill_ends(drawn, index),
        fixtures: facade
            .fixtures
            .iter()
            .flat_map(|fixture| {
                fixture.points.iter().map(|p| FixtureMark {
                    at: at(*p),
                    text: fixture.name.clone(),
                    load: match fixture.load {
                        FixtureLoad::Light => ElementLoad::Light,
                        FixtureLoad::Heavy => ElementLoad::Heavy,
                    },
                })
            })
            .collect(),
        breaches: breaches(drawn, index),
        notes: notes(drawn, index, facade),
        outline,
        openings,
        ..ElevationDrawing::default()
    };
    zones_and_anchors(drawn, facade, &mut drawing);
    drawing.dimensions = chains_of(&drawing.outline, &drawing.openings, &drawing.joints);
    for chain in more_chains(drawn, index, facade) {
        if !drawing.dimensions.contains(&chain) {
            drawing.dimensions.push(chain);
        }
    }
    drawing
}

/// The line of the base steps at the height that each gives.
fn steps(facade: &Facade, height: impl Fn(&facade::BaseStep) -> Mm) -> Vec<Point> {
    let ends = |step: &facade::BaseStep| {
        let y = height(step);
        [Point { x: step.from, y }, Point { x: step.to, y }]
    };
    facade.base.iter().flat_map(ends).collect()
}

/// The structural joints, where they run over the wall.
fn joints(edges: &Edges, facade: &Facade) -> Vec<JointDrawing> {
    let lines: Vec<takeoff::edges::EdgeLine> = edges
        .list
        .iter()
        .filter(|edge| edge.kind == EdgeKind::Joint)
        .flat_map(|edge| edge.lines.iter().copied())
        .collect();
    let mut joints = Vec::new();
    for (i, joint) in facade.joints.iter().enumerate() {
        let name = format!(
            "structural joint {}, gap {}, at x\u{a0}{}",
            i + 1,
            joint.gap,
            (joint.x - facade.bounds().0.x).0
        );
        let here = lines.iter().filter(|(from, _)| from.x == joint.x);
        joints.extend(here.map(|(from, to)| JointDrawing {
            name: name.clone(),
            from: at(*from),
            to: at(*to),
        }));
    }
    joints
}

/// A board's key with its thickness kept beside its unit.
fn in_one(key: &str) -> String {
    key.replace(" mm", "\u{a0}mm")
}

/// The boards on a wall by what they are for, and the levels of its base line.
fn notes(drawn: &Drawn<'_>, index: usize, facade: &Facade) -> Vec<String> {
    let mut notes = Vec::new();
    for piece in drawn.layout.pieces.iter().filter(|p| p.wall == index) {
        let Some(stock) = drawn.job.boards.get(piece.product) else {
            continue;
        };
        let part = part(drawn.job, piece);
        let note = format!(
            "Boards, {part}: {}{}, {}\u{a0}×\u{a0}{}\u{a0}×\u{a0}{}\u{a0}mm.",
            drawn
                .names
                .get(&part)
                .map_or(String::new(), |name| format!("{name}, ")),
            in_one(&stock.key),
            stock.length.0,
            stock.height.0,
            stock.thickness.0
        );
        if !notes.contains(&note) {
            notes.push(note);
        }
    }
    notes.extend(corners::notes(drawn, index, facade));
    let left = facade.bounds().0.x;
    notes.extend(facade.base.iter().map(|step| {
        format!(
            "Base line from x {} to {}: {}, ground {}.",
            (step.from - left).0,
            (step.to - left).0,
            level(step.level),
            level(step.ground)
        )
    }));
    notes
}

/// Where the base line steps, and the course lines at the right.
fn more_chains(drawn: &Drawn<'_>, index: usize, facade: &Facade) -> Vec<DimensionChain> {
    let mut chains = Vec::new();
    let (low, high) = facade.bounds();
    if facade.base.len() > 1 {
        let steps = facade.base.iter().map(|step| step.from);
        chains.push(chain(ChainSide::Below, steps.chain([low.x, high.x])));
    }
    let strips = |zone: usize| {
        let zone = drawn.job.walls.get(index).and_then(|w| w.zones.get(zone));
        zone.is_some_and(|z| matches!(z.extent, setting_out::ZoneExtent::FireBarrier(_)))
    };
    let mut courses = drawn
        .layout
        .courses
        .iter()
        .filter(|course| course.wall == index && !strips(course.zone))
        .peekable();
    if courses.peek().is_some() {
        let lines = courses.flat_map(|course| [course.bottom, course.top]);
        chains.push(chain(ChainSide::Right, lines.chain([low.y, high.y])));
    }
    chains
}

/// A chain with its stations in order, each once.
fn chain(side: ChainSide, stations: impl Iterator<Item = Mm>) -> DimensionChain {
    let mut stations: Vec<Mm> = stations.collect();
    stations.sort_unstable();
    stations.dedup();
    DimensionChain {
        side,
        stations,
        rows: None,
    }
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
            kind: match (part(drawn.job, piece), piece.form) {
                (Part::Plinth, Form::Whole) => PieceKind::Plinth,
                (Part::Plinth, Form::Notched) => PieceKind::PlinthNotched,
                (Part::Plinth, Form::Cut | Form::Sloped) => PieceKind::PlinthCut,
                (Part::Barrier, Form::Whole) => PieceKind::Barrier,
                (Part::Barrier, Form::Notched) => PieceKind::BarrierNotched,
                (Part::Barrier, Form::Cut | Form::Sloped) => PieceKind::BarrierCut,
                (Part::Facade, Form::Whole) => PieceKind::Whole,
                (Part::Facade, Form::Notched) => PieceKind::Notched,
                (Part::Facade, Form::Cut | Form::Sloped) => PieceKind::Cut,
            },
        })
        .collect()
}

/// A breach as its mark tells it.
fn breach_text(breach: &setting_out::Breach) -> String {
    let (rule, found) = (rule_name(breach.rule), breach.found);
    match breach.or {
        Some(or) => format!("{rule}: {found}, not {} or {or}", breach.required),
        None if breach.rule == setting_out::Rule::CornerCourses => {
            format!("{rule}: not over {found}")
        }
        None => format!("{rule}: {found} of {}", breach.required),
    }
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
            text: breach_text(breach),
        })
        .collect()
}

/// The zones by their boards, and the anchors, each with the zone that the fixing design counted it to.
fn zones_and_anchors(drawn: &Drawn<'_>, facade: &Facade, drawing: &mut ElevationDrawing) {
    let zones = drawn.zones.iter().enumerate();
    let mine: Vec<(usize, &FixingZone)> =
        zones.filter(|(_, zone)| zone.facade == facade.id).collect();
    drawing.zones = mine.iter().map(|(_, zone)| zone_drawing(zone)).collect();
    drawing.anchors = drawn
        .anchors
        .iter()
        .filter(|p| p.facade == facade.id)
        .filter_map(|p| {
            Some(AnchorDrawing {
                at: Point { x: p.x, y: p.y },
                zone: mine.iter().position(|(index, _)| *index == p.zone_index)?,
                kind: *drawn.kinds.get(p.anchor)?,
            })
        })
        .collect();
}

fn zone_drawing(zone: &FixingZone) -> ZoneDrawing {
    let others = zone.boards != Part::Facade;
    ZoneDrawing {
        name: zone.zone.clone(),
        other_boards: others.then(|| format!("{} boards", zone.boards)),
        area: Rectangle {
            x: zone.x_from,
            y: zone.y_from,
            width: zone.x_to - zone.x_from,
            height: zone.y_to - zone.y_from,
        },
        anchors_per_m2: zone.provided_per_m2,
        utilisation: zone.utilisation,
        too_few: zone.too_few,
    }
}
