//! Small walls for the tests of the setting-out.

use quantity::Mm;
use setting_out::{BoardStock, Opening, Point, Rotation, Wall, Zone, ZoneExtent};

/// A wall of one zone, in boards of the key `board`.
pub fn wall(id: &str, outline: &[(i32, i32)], openings: Vec<Opening>) -> Wall {
    let point = |&(x, y): &(i32, i32)| Point { x: Mm(x), y: Mm(y) };
    Wall {
        id: id.into(),
        outline: outline.iter().map(point).collect(),
        openings,
        zones: vec![Zone {
            id: "main".into(),
            extent: ZoneExtent::Main,
            board: "board".into(),
        }],
        ..Wall::default()
    }
}

/// A board of 1 by 0.5 m that may be turned, sawn with 2 mm.
pub fn board() -> BoardStock {
    BoardStock {
        key: "board".into(),
        length: Mm(1000),
        height: Mm(500),
        thickness: Mm(100),
        boards_per_pack: 1,
        waste_ppm: 0,
        rotation: Rotation::Allowed,
        kerf: Mm(2),
    }
}
