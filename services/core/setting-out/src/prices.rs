//! What rectangles and sloped pieces cost at one moment, looked up often while a run is laid.

use alloc::vec::Vec;

use crate::stock::{Plain, Stock, Turning, Values};
use crate::twins::{HOPE_LAYING, Lone, Slant};

/// The leftovers of one height, as a stretch of [`Prices::widths`].
#[derive(Clone, Copy, Debug)]
struct Class {
    height: i32,
    widest: i32,
    from: usize,
    to: usize,
}

/// Classes of height that are looked at for one piece, the nearest first.
const CLASSES: usize = 4;

/// The price of rectangles at one moment, looked up often while a run is laid.
pub struct Prices<'a> {
    values: &'a Values,
    lone: &'a Lone,
    classes: Vec<Class>,
    widths: Vec<i32>,
    tables: Vec<(i32, Vec<i64>)>,
}

impl<'a> Prices<'a> {
    pub fn new(stock: &'a Stock) -> Self {
        let mut classes = Vec::with_capacity(stock.leaves().classes().len());
        let mut widths: Vec<i32> = Vec::new();
        for class in stock.leaves().classes() {
            let from = widths.len();
            for width in class.widths() {
                if widths.len() == from || widths.last() != Some(&width) {
                    widths.push(width);
                }
            }
            classes.push(Class {
                height: class.height,
                widest: class.widest,
                from,
                to: widths.len(),
            });
        }
        Self {
            values: stock.values(),
            lone: stock.lone(),
            classes,
            widths,
            tables: Vec::new(),
        }
    }
    /// Widths of the leftovers that are at least so high.
    pub fn widths(&self, height: i32) -> impl Iterator<Item = i32> + '_ {
        let first = self.classes.partition_point(|c| c.height < height);
        let from = self
            .classes
            .get(first)
            .map_or(self.widths.len(), |c| c.from);
        let turn = self.values.sizes.turning == Turning::Free;
        let across = self
            .classes
            .iter()
            .filter(move |c| turn && c.widest >= height);
        self.widths[from..]
            .iter()
            .copied()
            .chain(across.map(|c| c.height))
    }
    /// Lengths of low leftovers from which a strip of this height can be cut, up to a limit.
    pub fn strips(&self, height: i32, limit: i32) -> impl Iterator<Item = i32> + '_ {
        let turn = self.values.sizes.turning == Turning::Free;
        let full = self.values.sizes.height;
        self.classes
            .iter()
            .filter(move |c| c.height < full)
            .flat_map(move |class| {
                let widths = &self.widths[class.from..class.to];
                let upright = widths
                    .iter()
                    .copied()
                    .filter(move |w| class.height >= height && *w <= limit);
                let across = class.widest >= height && turn && class.height <= limit;
                upright.chain(across.then_some(class.height))
            })
    }
    /// What a leftover is worth now.
    pub fn worth(&self, width: i32, height: i32) -> i64 {
        if width > 0 && height > 0 {
            self.values.value(width, height)
        } else {
            0
        }
    }
    /// What a piece with a slant costs against a lone one, with all its cuts.
    pub fn twin(&self, size: (i32, i32), slant: Slant) -> Option<i64> {
        let best = self.lone.best(self.values, size, slant);
        best.map(|(cost, _)| cost + self.values.sizes.cut_cost())
    }
    /// What is hoped that a piece with a slant, cut from a new board, will save a twin.
    pub fn hope(&self, (width, height): (i32, i32), slant: Slant) -> i64 {
        let sizes = &self.values.sizes;
        let left = sizes.length - sizes.kerf - width;
        slant.saving(self.values, (left, height)) * HOPE_LAYING / 1000
    }
    /// Widths with which a piece of a slant would find a twin that is there, or one like itself.
    pub fn twin_widths(
        &self,
        slant: Slant,
        height: i32,
        draw: usize,
    ) -> impl Iterator<Item = i32> + '_ {
        let sizes = &self.values.sizes;
        let there = self.lone.widths(slant, height, sizes.kerf, draw);
        core::iter::once(slant.half_width(height, sizes)).chain(there)
    }
    /// What a rectangle of this size costs now. It must fit on a board.
    pub fn of(&mut self, width: i32, height: i32) -> i64 {
        let found = self.tables.iter().position(|t| t.0 == height);
        let index = found.unwrap_or_else(|| {
            let length = self.values.sizes.length as usize;
            self.tables.push((height, alloc::vec![-1; length + 1]));
            self.tables.len() - 1
        });
        let known = self.tables[index]
            .1
            .get(width as usize)
            .copied()
            .unwrap_or(-1);
        if known >= 0 {
            return known;
        }
        let price = self.compute((width, height));
        if let Some(slot) = self.tables[index].1.get_mut(width as usize) {
            *slot = price;
        }
        price
    }
    fn compute(&self, piece: (i32, i32)) -> i64 {
        let (mut best, _) = self.values.new_board(piece, Plain::Rectangle);
        let sizes = &self.values.sizes;
        if piece == (sizes.length, sizes.height) {
            return best.max(0);
        }
        if let Some(pieces) = sizes.across(piece.1).filter(|_| piece.0 <= sizes.height) {
            best = best.min(sizes.board_area() / i64::from(pieces) + sizes.cut_cost());
        }
        for (_, size) in self.values.poses(piece, Plain::Rectangle) {
            let first = self.classes.partition_point(|c| c.height < size.1);
            let near = self.classes.iter().skip(first).take(CLASSES);
            for class in near.filter(|c| c.widest >= size.0) {
                let widths = &self.widths[class.from..class.to];
                let fits = widths.partition_point(|w| *w < size.0);
                let spare = size.0 + sizes.kerf + sizes.min_width;
                let roomy = fits + widths[fits..].partition_point(|w| *w < spare);
                for (at, again) in [(fits, false), (roomy, roomy == fits)] {
                    if let Some(&width) = widths.get(at).filter(|_| !again) {
                        let worth = self.values.value(width, class.height);
                        if let Some(cost) = self.values.cost(worth, (width, class.height), size) {
                            best = best.min(cost);
                        }
                    }
                }
            }
        }
        best.max(0)
    }
}
