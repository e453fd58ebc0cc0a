//! Whether anchors stand so near each other on paper that a driller could not tell them apart.

use alloc::collections::BTreeMap;
use alloc::vec::Vec;

use crate::elevation::overlay::anchor_symbol;
use crate::elevation::{AnchorDrawing, ElevationDrawing};
use crate::sheet::reach;

/// The least white between two marks on paper: ISO 128-2 has no less between parallel lines (from memory).
const WHITE: f64 = 0.7;

/// From the middle of an anchor to the end of the white around its mark, half of it counted, in facade millimetres.
fn room(anchor: &AnchorDrawing, scale: u32) -> f64 {
    (reach(anchor_symbol(anchor.kind).0) + WHITE / 2.0) * f64::from(scale)
}

/// How many anchors stand nearer to another than the white between marks asks at that scale.
pub(super) fn crowded(drawing: &ElevationDrawing, scale: u32) -> usize {
    let anchors = &drawing.anchors;
    let most = anchors.iter().map(|a| room(a, scale)).fold(1.0, f64::max);
    // In squares as wide as two marks are apart at most, whatever is too near stands in the same or the next.
    let square = |v: i32| libm::floor(f64::from(v) / (2.0 * most)) as i32;
    let mut squares: BTreeMap<(i32, i32), Vec<&AnchorDrawing>> = BTreeMap::new();
    for anchor in anchors {
        let key = (square(anchor.at.x.0), square(anchor.at.y.0));
        squares.entry(key).or_default().push(anchor);
    }
    let is_crowded = |anchor: &&AnchorDrawing| {
        let (x, y) = (square(anchor.at.x.0), square(anchor.at.y.0));
        let around = (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y)));
        let mut near = around.filter_map(|key| squares.get(&key)).flatten();
        near.any(|other| {
            let (dx, dy) = (anchor.at.x - other.at.x, anchor.at.y - other.at.y);
            let apart = libm::hypot(f64::from(dx.0), f64::from(dy.0));
            !core::ptr::eq(*other, *anchor) && apart < room(anchor, scale) + room(other, scale)
        })
    };
    anchors.iter().filter(is_crowded).count()
}
