//! Times the setting-out at its default budget on buildings of about 250 to 4,000 boards, and gives small facades to the comparison with a
//! general solver in `tests/speed/setting-out`.
//!
//! `cargo run --release -p tests --example setting_out_speed [-- --export FILE]`
//!
//! Times are processor time, best of three. Nothing is asserted: a time says something about one machine only.

#[path = "../properties/setting_out/block.rs"]
mod block;
mod processor;

use block::Block;
use processor::processor_seconds;
use std::fmt::Write as _;
use std::process::ExitCode;

use quantity::Mm;
use setting_out::{
    BoardStock, Job, Layout, Opening, Point, ProductSum, Rotation, Wall, Zone, ZoneExtent, set_out,
};

const RUNS: usize = 3;

/// Seconds: far above the step of 4 ms in which some systems count processor time.
const FILL: f64 = 0.2;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let said = match arguments.as_slice() {
        [] => table(),
        [option, path] if option == "--export" => {
            export().and_then(|text| std::fs::write(path, text).map_err(|e| format!("{path}: {e}")))
        }
        _ => Err("usage: setting_out_speed [--export FILE]".into()),
    };
    match said {
        Ok(()) => ExitCode::SUCCESS,
        Err(what) => {
            eprintln!("{what}");
            ExitCode::FAILURE
        }
    }
}

/// About 250, 500, 1,000, 2,000 and 4,000 boards; the last is about 2,000 m².
const BLOCKS: [Block; 5] = [
    block(2, 1, 2),
    block(3, 1, 3),
    block(5, 2, 4),
    block(8, 3, 5),
    block(12, 5, 7),
];

const fn block(long: i32, short: i32, storeys: i32) -> Block {
    Block {
        long,
        short,
        storeys,
    }
}

fn table() -> Result<(), String> {
    println!(
        "| m² | LB_area | boards | cuts | breaches | ms | µs a board | times the boards | times the time |"
    );
    println!("|---|---|---|---|---|---|---|---|---|");
    let mut before: Option<(f64, f64)> = None;
    for block in BLOCKS {
        let job = block.job();
        let (layout, seconds) = timed(&job)?;
        let net: i64 = layout.walls.iter().map(|w| w.net_area_mm2).sum();
        let boards = f64::from(sum(&layout, |p| p.boards));
        let growth = before.map_or("– | –".to_string(), |(b, s)| {
            format!("{:.2} | {:.2}", boards / b, seconds / s)
        });
        println!(
            "| {:.0} | {} | {boards} | {} | {} | {:.1} | {:.1} | {growth} |",
            net as f64 / 1e6,
            sum(&layout, |p| p.lb_area),
            sum(&layout, |p| p.cuts),
            layout.breaches.len(),
            seconds * 1e3,
            seconds * 1e6 / boards,
        );
        before = Some((boards, seconds));
    }
    Ok(())
}

/// A layout, and the seconds of processor time that it took: the best of [`RUNS`], each a mean over as many as fill [`FILL`].
fn timed(job: &Job) -> Result<(Layout, f64), String> {
    let answer = || {
        set_out(job).map_err(|faults| {
            let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
            said.join("\n")
        })
    };
    let mut layout = answer()?;
    let mut best = f64::INFINITY;
    for _ in 0..RUNS {
        let (begin, mut count, mut spent) = (processor_seconds(), 0.0, 0.0);
        while spent < FILL {
            layout = answer()?;
            count += 1.0;
            spent = processor_seconds() - begin;
        }
        best = best.min(spent / count);
    }
    Ok((layout, best))
}

fn sum(layout: &Layout, pick: fn(&ProductSum) -> u32) -> u32 {
    layout.products.iter().map(pick).sum()
}

/// Like windows in a row and in storeys; with `across` and `up` a count and a spacing.
struct Windows {
    at: [i32; 2],
    size: [i32; 2],
    across: [i32; 2],
    up: [i32; 2],
}

impl Windows {
    fn openings(&self) -> Vec<Rectangle> {
        let storey = |j| (0..self.across[0]).map(move |i| (i, j));
        (0..self.up[0])
            .flat_map(storey)
            .map(|(i, j)| Rectangle {
                at: [self.at[0] + i * self.across[1], self.at[1] + j * self.up[1]],
                size: self.size,
            })
            .collect()
    }
}

/// An opening: its lower left corner, its width and height.
#[derive(Clone, Copy)]
struct Rectangle {
    at: [i32; 2],
    size: [i32; 2],
}

fn wall(id: &str, [width, height]: [i32; 2], openings: &[Rectangle]) -> Wall {
    let point = |x, y| Point { x: Mm(x), y: Mm(y) };
    Wall {
        id: id.into(),
        outline: vec![
            point(0, 0),
            point(width, 0),
            point(width, height),
            point(0, height),
        ],
        openings: openings
            .iter()
            .enumerate()
            .map(|(i, o)| Opening {
                id: format!("O{}", i + 1),
                corner: point(o.at[0], o.at[1]),
                width: Mm(o.size[0]),
                height: Mm(o.size[1]),
            })
            .collect(),
        zones: vec![Zone {
            id: "main".into(),
            extent: ZoneExtent::Main,
            board: "foam".into(),
        }],
        thickness: Mm(160),
        bed: Mm(10),
        ..Wall::default()
    }
}

fn board([length, height]: [i32; 2], rotation: Rotation, kerf: i32) -> BoardStock {
    BoardStock {
        key: "foam".into(),
        length: Mm(length),
        height: Mm(height),
        thickness: Mm(160),
        boards_per_pack: 3,
        waste_ppm: 0,
        rotation,
        kerf: Mm(kerf),
    }
}

/// A single facade with free ends that a general solver can take in whole: everything lies on a grid of 50 mm.
struct Facade {
    name: &'static str,
    size: [i32; 2],
    board: [i32; 2],
    rotation: Rotation,
    openings: Vec<Rectangle>,
}

fn facades() -> Vec<Facade> {
    let windows = |at, size, across, up| {
        Windows {
            at,
            size,
            across,
            up,
        }
        .openings()
    };
    let one = |at, size| vec![Rectangle { at, size }];
    let foam = |name, size, openings| Facade {
        name,
        size,
        board: [1_000, 500],
        rotation: Rotation::Allowed,
        openings,
    };
    vec![
        foam(
            "annexe",
            [8_000, 3_000],
            windows([1_400, 850], [1_200, 1_250], [2, 3_800], [1, 0]),
        ),
        foam(
            "shop front",
            [8_400, 4_000],
            [
                one([900, 0], [2_400, 2_350]),
                one([4_600, 800], [2_500, 1_550]),
            ]
            .concat(),
        ),
        foam(
            "house, storeys aligned",
            [8_000, 6_500],
            windows([1_200, 1_150], [1_400, 1_250], [2, 3_400], [2, 3_000]),
        ),
        foam(
            "house, storeys not aligned",
            [9_400, 5_800],
            windows([1_400, 900], [1_300, 1_250], [2, 4_600], [2, 2_750]),
        ),
        Facade {
            name: "lamella wall, storeys aligned",
            size: [11_000, 6_000],
            board: [1_200, 600],
            rotation: Rotation::Forbidden,
            openings: windows([1_300, 900], [1_200, 1_350], [3, 3_400], [2, 3_000]),
        },
        foam(
            "block side, storeys aligned",
            [11_000, 7_000],
            windows([1_200, 1_150], [1_400, 1_250], [3, 3_300], [2, 3_000]),
        ),
    ]
}

/// The facades with our answers as JSON; every name in it is our own and needs no escape.
fn export() -> Result<String, String> {
    let mut text = String::from("[");
    for facade in facades() {
        let job = Job {
            walls: vec![wall("facade", facade.size, &facade.openings)],
            // A kerf would cost a general solver a whole step of its grid; so both work with the hot wire's none.
            boards: vec![board(facade.board, facade.rotation, 0)],
            ..Job::default()
        };
        let (layout, seconds) = timed(&job)?;
        if text.len() > 1 {
            text.push(',');
        }
        write_facade(&mut text, &facade, &job, &layout, seconds);
    }
    text.push_str("\n]\n");
    Ok(text)
}

fn write_facade(text: &mut String, facade: &Facade, job: &Job, layout: &Layout, seconds: f64) {
    let openings: Vec<_> = facade
        .openings
        .iter()
        .map(|o| [o.at[0], o.at[1], o.size[0], o.size[1]])
        .collect();
    let rules = &job.rules;
    let _ = write!(
        text,
        r#"
{{"name": "{}", "size_mm": {:?}, "board_mm": {:?}, "rotation": {}, "kerf_mm": {},
 "stagger_mm": {}, "min_piece_width_mm": {}, "opening_keep_out_mm": {}, "course_line_clear_mm": {},
 "openings_mm": {openings:?},
 "lb_area": {}, "boards": {}, "bound": {}, "cuts": {}, "breaches": {}, "seconds": {seconds:.6}}}"#,
        facade.name,
        facade.size,
        facade.board,
        facade.rotation == Rotation::Allowed,
        job.boards.iter().map(|b| b.kerf.0).max().unwrap_or(0),
        rules.stagger.0,
        rules.min_piece_width.0,
        rules.opening_keep_out.0,
        rules.course_line_clear.0,
        sum(layout, |p| p.lb_area),
        sum(layout, |p| p.boards),
        sum(layout, |p| p.bound),
        sum(layout, |p| p.cuts),
        layout.breaches.len(),
    );
}
