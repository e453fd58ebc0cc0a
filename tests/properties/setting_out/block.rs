//! Buildings of any size that are alike: four walls with toothed corners, a window in each bay of each storey, storeys of six courses.

use quantity::Mm;
use setting_out::{
    BoardStock, Corner, CornerKind, Job, Opening, Point, Rotation, Runner, Wall, Zone, ZoneExtent,
};

/// Bays along the two sides of a building, and storeys.
#[derive(Clone, Copy, Debug)]
pub struct Block {
    pub long: i32,
    pub short: i32,
    pub storeys: i32,
}

const BAY: i32 = 3_200;
const STOREY: i32 = 3_000;
const THICKNESS: Mm = Mm(160);

impl Block {
    pub fn job(self) -> Job {
        let sides = [self.long, self.short, self.long, self.short];
        let corner = |index: usize| Corner {
            id: format!("C{index}"),
            right_end_of: format!("W{index}"),
            left_end_of: format!("W{}", (index + 1) % 4),
            kind: CornerKind::Salient,
            first_to_run: Runner::RightEnd,
        };
        Job {
            walls: (0..4).map(|i| self.wall(i, sides[i])).collect(),
            corners: (0..4).map(corner).collect(),
            boards: vec![BoardStock {
                key: "foam".into(),
                length: Mm(1_000),
                height: Mm(500),
                thickness: THICKNESS,
                boards_per_pack: 3,
                waste_ppm: 0,
                rotation: Rotation::Allowed,
                kerf: Mm(2),
            }],
            ..Job::default()
        }
    }

    fn wall(self, index: usize, bays: i32) -> Wall {
        let point = |x, y| Point { x: Mm(x), y: Mm(y) };
        let (width, height) = (bays * BAY + 800, self.storeys * STOREY + 500);
        let window = |at: i32| Opening {
            id: format!("O{at}"),
            corner: point(1_200 + at % bays * BAY, 1_150 + at / bays * STOREY),
            width: Mm(1_400),
            height: Mm(1_250),
        };
        Wall {
            id: format!("W{index}"),
            outline: vec![
                point(0, 0),
                point(width, 0),
                point(width, height),
                point(0, height),
            ],
            openings: (0..bays * self.storeys).map(window).collect(),
            zones: vec![Zone {
                id: "main".into(),
                extent: ZoneExtent::Main,
                board: "foam".into(),
            }],
            thickness: THICKNESS,
            bed: Mm(10),
            ..Wall::default()
        }
    }
}
