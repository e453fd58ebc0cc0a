//! Exchange of pieces between bars: whether all of them fit into given bars.
//!
//! All pieces lie in the bars from the start, the longest first, and some bars are overfull. Pieces are moved and exchanged by chance, and
//! what makes bars more overfull is allowed less and less. Where nothing is overfull any more, the pieces fit; where the steps run out,
//! nothing is known. The chance is a sequence of numbers that is the same on every run.

use alloc::vec::Vec;

use crate::cutting::Fill;

/// The most pieces that are exchanged: among more, the steps reach too few of them.
pub(crate) const PIECES_MAX: usize = 1000;
/// The share of a piece's mean length that a bar may grow overfull by at first, and the millimetres in the end.
const WARM: f64 = 0.1;
const COLD: f64 = 0.5;

/// What fills each of the bars `capacities`, kerf included in them and in `sizes`; nothing where no such filling was found within `steps`,
/// from which the steps taken are subtracted.
pub(crate) fn filled(
    sizes: &[i64],
    counts: &[u32],
    capacities: &[i64],
    steps: &mut u32,
) -> Option<Vec<Fill>> {
    let pieces: Vec<Piece> = sizes
        .iter()
        .zip(counts)
        .enumerate()
        .flat_map(|(kind, (size, n))| {
            (0..*n).map(move |_| Piece {
                kind,
                size: *size,
                bar: 0,
            })
        })
        .collect();
    let held: i64 = capacities.iter().sum();
    let need: i64 = pieces.iter().map(|p| p.size).sum();
    if pieces.len() > PIECES_MAX || pieces.is_empty() || need > held {
        return None;
    }
    let mut laying = Laying::new(pieces, capacities);
    laying.anneal(steps).then(|| laying.fills(sizes.len()))
}

struct Piece {
    kind: usize,
    size: i64,
    bar: usize,
}

struct Bar {
    capacity: i64,
    load: i64,
}

impl Bar {
    /// By how much it is overfull with `more` in it.
    fn over(&self, more: i64) -> i64 {
        (self.load + more - self.capacity).max(0)
    }
}

struct Laying {
    pieces: Vec<Piece>,
    bars: Vec<Bar>,
    over: i64,
    chance: Chance,
}

impl Laying {
    /// Lays the longest first, each into the bar that it fills best, or where it fits into none into the emptiest.
    fn new(mut pieces: Vec<Piece>, capacities: &[i64]) -> Self {
        let bar = |capacity: &i64| Bar {
            capacity: *capacity,
            load: 0,
        };
        let mut bars: Vec<Bar> = capacities.iter().map(bar).collect();
        pieces.sort_by_key(|piece| core::cmp::Reverse(piece.size));
        for piece in &mut pieces {
            let rooms = bars.iter().map(|bar| bar.capacity - bar.load).enumerate();
            let best = rooms.clone().filter(|(_, room)| *room >= piece.size);
            let best = best.min_by_key(|(_, room)| *room);
            let best = best.or_else(|| rooms.max_by_key(|(_, room)| *room));
            piece.bar = best.map_or(0, |(at, _)| at);
            if let Some(bar) = bars.get_mut(piece.bar) {
                bar.load += piece.size;
            }
        }
        let over = bars.iter().map(|bar| bar.over(0)).sum();
        Self {
            pieces,
            bars,
            over,
            chance: Chance::new(),
        }
    }

    /// Whether nothing is overfull in the end.
    fn anneal(&mut self, steps: &mut u32) -> bool {
        let total: i64 = self.pieces.iter().map(|p| p.size).sum();
        let mut heat = (WARM * total as f64 / self.pieces.len() as f64).max(COLD);
        let cooling = libm::pow(COLD / heat, 1.0 / f64::from((*steps).max(1)));
        while self.over > 0 && *steps > 0 {
            *steps -= 1;
            heat *= cooling;
            self.exchange(heat);
        }
        self.over == 0
    }

    /// Exchanges a piece for one of another bar, or moves it there.
    fn exchange(&mut self, heat: f64) -> Option<()> {
        let count = self.pieces.len();
        let one = self.chance.below(count);
        let other = self.chance.below(count + self.bars.len() / 2);
        let Piece {
            size, bar: from, ..
        } = *self.pieces.get(one)?;
        let (to, back) = match self.pieces.get(other) {
            Some(piece) => (piece.bar, piece.size),
            None => (self.chance.below(self.bars.len()), 0),
        };
        let more = size - back;
        if from == to || more == 0 {
            return None;
        }
        let (a, b) = (self.bars.get(from)?, self.bars.get(to)?);
        let change = a.over(-more) + b.over(more) - a.over(0) - b.over(0);
        if change > 0 && self.chance.share() >= libm::exp(-(change as f64) / heat) {
            return None;
        }
        self.over += change;
        self.bars.get_mut(from)?.load -= more;
        self.bars.get_mut(to)?.load += more;
        self.pieces.get_mut(one)?.bar = to;
        if let Some(piece) = self.pieces.get_mut(other) {
            piece.bar = from;
        }
        Some(())
    }

    fn fills(&self, kinds: usize) -> Vec<Fill> {
        let mut fills = alloc::vec![alloc::vec![0; kinds]; self.bars.len()];
        for piece in &self.pieces {
            let fill = fills.get_mut(piece.bar);
            if let Some(n) = fill.and_then(|fill| fill.get_mut(piece.kind)) {
                *n += 1;
            }
        }
        fills
    }
}

/// Numbers by a linear congruence, its high bits stirred.
pub(crate) struct Chance(u64);

impl Chance {
    pub const fn new() -> Self {
        Self(1)
    }
    fn next(&mut self) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 ^ (self.0 >> 33)).wrapping_mul(0xff51_afd7_ed55_8ccd) >> 32
    }
    /// A place among `count`; 0 where there is none.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.next() * count as u64) >> 32) as usize
    }
    /// From 0 to less than 1.
    fn share(&mut self) -> f64 {
        self.next() as f64 / 4_294_967_296.0
    }
}
