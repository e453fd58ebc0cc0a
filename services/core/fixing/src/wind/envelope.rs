//! The worst suction at every place of a facade, from patches that several wind directions lay over it.

use alloc::vec::Vec;

use quantity::{Mm, WindPressure};
use working::Figure;

use super::{FacadeOnPlan, Zone, ZoneStrip};

/// One rectangle of one wind direction.
#[derive(Clone, Copy, Debug)]
pub(super) struct Patch {
    pub zone: Zone,
    pub x: (Mm, Mm),
    pub y: (Mm, Mm),
    pub coefficient: Figure<f64>,
    pub suction: Figure<WindPressure>,
}

/// The distinct cuts of the patches within a range, its ends among them, in ascending order.
fn cuts(range: (Mm, Mm), ends: impl Iterator<Item = Mm>) -> Vec<Mm> {
    let mut cuts: Vec<Mm> = ends.filter(|&c| c > range.0 && c < range.1).collect();
    cuts.push(range.0);
    cuts.push(range.1);
    cuts.sort_unstable();
    cuts.dedup();
    cuts
}

/// Strips that cover the facade, each with the greatest suction of any patch there; of equal ones the first zone in the code's order.
pub(super) fn envelope(facade: &FacadeOnPlan, patches: &[Patch]) -> Vec<ZoneStrip> {
    let xs = cuts(
        (facade.left, facade.right),
        patches.iter().flat_map(|p| [p.x.0, p.x.1]),
    );
    let ys = cuts(
        (facade.bottom, facade.top),
        patches.iter().flat_map(|p| [p.y.0, p.y.1]),
    );
    let mut rows: Vec<Vec<ZoneStrip>> = Vec::new();
    for (y_from, y_to) in pairs(&ys) {
        let mut row: Vec<ZoneStrip> = Vec::new();
        for (x_from, x_to) in pairs(&xs) {
            let Some(worst) = worst_at(patches, x_from, y_from) else {
                continue;
            };
            let strip = ZoneStrip {
                zone: worst.zone,
                x_from,
                x_to,
                y_from,
                y_to,
                coefficient: worst.coefficient,
                suction: worst.suction,
            };
            match row.last_mut() {
                Some(last) if alike(last, &strip) && last.x_to == x_from => last.x_to = x_to,
                _ => row.push(strip),
            }
        }
        match rows.last_mut() {
            Some(last) if same_row(last, &row) => {
                for strip in last {
                    strip.y_to = y_to;
                }
            }
            _ => rows.push(row),
        }
    }
    rows.into_iter().flatten().collect()
}

fn pairs(cuts: &[Mm]) -> impl Iterator<Item = (Mm, Mm)> {
    cuts.iter().copied().zip(cuts.iter().copied().skip(1))
}

fn alike(a: &ZoneStrip, b: &ZoneStrip) -> bool {
    a.zone == b.zone && a.suction.line == b.suction.line
}

fn same_row(a: &[ZoneStrip], b: &[ZoneStrip]) -> bool {
    a.len() == b.len()
        && a.iter()
            .zip(b)
            .all(|(a, b)| alike(a, b) && a.x_from == b.x_from && a.x_to == b.x_to)
}

/// The patch with the greatest suction on the cell whose lower left corner is given.
fn worst_at(patches: &[Patch], x: Mm, y: Mm) -> Option<&Patch> {
    let covers = |p: &&Patch| p.x.0 <= x && x < p.x.1 && p.y.0 <= y && y < p.y.1;
    patches.iter().filter(covers).reduce(|best, next| {
        let more = next.suction.value > best.suction.value;
        let same = next.suction.value == best.suction.value && next.zone < best.zone;
        if more || same { next } else { best }
    })
}
