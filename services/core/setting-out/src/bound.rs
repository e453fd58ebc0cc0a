//! How few boards any layout on these course lines can do with.

use crate::geometry::Segment;
use crate::plan::Plan;
use crate::stock::{Sizes, Turning};

/// Lower bounds for one product.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Bounds {
    pub area: u32,
    pub eff: u32,
    /// The larger of those that hold strictly.
    pub strict: u32,
}

/// The bounds for one product. A strip is rounded up to a whole course when no piece is low enough to lie beside it.
pub fn bounds(plan: &Plan, product: usize, sizes: &Sizes) -> Bounds {
    let segments = || {
        plan.courses
            .iter()
            .filter(move |c| c.product == product)
            .flat_map(|c| &c.runs)
            .flat_map(|r| &r.columns)
            .flat_map(|c| &c.segments)
    };
    let lowest = |s: &Segment| (s.hi[0] - s.lo[0]).min(s.hi[1] - s.lo[1]);
    let mut smallest = segments().map(lowest).min().unwrap_or(sizes.height);
    if sizes.turning == Turning::Free {
        smallest = smallest.min(sizes.min_width);
    }
    let (mut area2, mut eff2) = (0_i64, 0_i64);
    for segment in segments() {
        area2 += segment.area2();
        let high = segment.is_level() && segment.hi[0] - segment.lo[0] > sizes.height - smallest;
        eff2 += if high {
            2 * i64::from(sizes.height) * i64::from(segment.x1 - segment.x0)
        } else {
            segment.area2()
        };
    }
    let board2 = 2 * sizes.board_area().max(1);
    let boards = |twice: i64| (twice + board2 - 1).div_euclid(board2) as u32;
    let (area, eff) = (boards(area2), boards(eff2));
    let strict = if sizes.turning == Turning::Free {
        area
    } else {
        area.max(eff)
    };
    Bounds { area, eff, strict }
}
