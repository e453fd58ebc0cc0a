//! What taking pieces off their boards and cutting others would cost, worked out without doing it.
//!
//! A forecast knows the leftovers as they lie now. It is exact but for the few cases in which two pieces want the same
//! leftover, or in which so much comes free that all leftovers are worth less.

use smallvec::SmallVec;

use crate::geometry::Rect;
use crate::stock::{Blank, Kind, Place, Plain, Sheet, Stock, notch_leaf};

/// A forecast that grows with each piece.
#[derive(Clone, Debug, Default)]
pub struct Forecast {
    /// What the boards and cuts would weigh more, less what leftovers would be worth more.
    pub cost: i64,
    /// Leftovers where pieces would have been.
    rests: SmallVec<[Rest; 6]>,
    /// Pieces that would come off with others, because they lie in their notches.
    pub evicted: SmallVec<[u32; 8]>,
}

/// A leftover where pieces would have been.
#[derive(Clone, Copy, Debug)]
struct Rest {
    board: u32,
    node: u32,
    rect: Rect,
}

impl Stock {
    /// Takes a piece off its board in a forecast. Says whether that can be foretold: not for one with a sloping end, nor
    /// where a notched or a sloped one lies in its notches. What is cut after it from the same strip changes places with it, which
    /// costs nothing and will be done when it comes off.
    #[must_use]
    pub fn foresee_lift(&mut self, place: Place, forecast: &mut Forecast) -> bool {
        let Some(mut saved) = self.foresee_clearing(place, &mut forecast.evicted) else {
            return false;
        };
        let (kerf, cut, board) = (
            self.sizes.kerf,
            self.sizes.cut_cost(),
            self.sizes.board_area(),
        );
        let Some((sheet, values)) = self.sheet_and_values(place.board) else {
            return false;
        };
        let worth_of = |rect: Rect| values.value(rect.width(), rect.height());
        let rests = &mut forecast.rests;
        // Free neighbours join what comes free.
        let mut index = place.node;
        loop {
            let comes_free = |node| {
                rests
                    .iter()
                    .any(|r| (r.board, r.node) == (place.board, node))
            };
            sheet.pass_all(index, kerf, comes_free);
            let Some(parent) = sheet.nodes[index as usize].parent else {
                break;
            };
            let above = &sheet.nodes[parent as usize];
            let Kind::Split { first, second, .. } = above.kind else {
                break;
            };
            let other = if first == index { second } else { first };
            let beside = &sheet.nodes[other as usize];
            let taken = |r: &Rest| (r.board, r.node) == (place.board, other);
            if let Some(rest) = rests.iter().position(taken) {
                rests.swap_remove(rest);
            } else if !matches!(beside.kind, Kind::Free) {
                break;
            }
            saved -= worth_of(beside.rect);
            if sheet.nodes[first as usize].rect != above.rect {
                saved += cut;
            }
            index = parent;
        }
        if index == 0 {
            saved += board;
        } else {
            let rect = sheet.nodes[index as usize].rect;
            saved += worth_of(rect);
            rests.push(Rest {
                board: place.board,
                node: index,
                rect,
            });
        }
        forecast.cost -= saved;
        true
    }

    /// What is saved with the notches of a piece; nothing where that can't be foretold.
    fn foresee_clearing(&self, place: Place, evicted: &mut SmallVec<[u32; 8]>) -> Option<i64> {
        let sheet = self.sheets.get(place.board as usize)?.as_ref()?;
        let Kind::Item {
            notch_cuts,
            twin: None,
            slant: None,
            ..
        } = sheet.nodes[place.node as usize].kind
        else {
            return None;
        };
        if notch_cuts == 0 {
            return Some(0);
        }
        let mut saved = i64::from(notch_cuts) * self.sizes.cut_cost();
        for below in sheet.below(place.node) {
            saved += self.clearing(sheet, below, evicted)?;
        }
        Some(saved)
    }

    /// Cuts a piece in a forecast, where it costs least.
    pub fn foresee_cut(&self, blank: &Blank, forecast: &mut Forecast) {
        let piece = (blank.width, blank.height);
        let (mut cost, ..) = self.cheapest(blank);
        if !blank.is_whole(&self.sizes) {
            let mut taken = None;
            for (index, rest) in forecast.rests.iter().enumerate() {
                let rest = (rest.rect.width(), rest.rect.height());
                let worth = self.values().value(rest.0, rest.1);
                for (_, size) in self.values().poses(piece, blank.plain) {
                    if let Some(used) = self.values().cost(worth, rest, size)
                        && used < cost
                    {
                        (cost, taken) = (used, Some(index));
                    }
                }
            }
            if let Some(index) = taken {
                forecast.rests.swap_remove(index);
            }
            if blank.plain == Plain::Shaped {
                cost += i64::from(blank.notch_cuts) * self.sizes.cut_cost();
                let kerf = self.sizes.kerf;
                let out = blank.notches.iter();
                cost -= out
                    .filter_map(|n| notch_leaf(*n, piece, kerf))
                    .map(|leaf| self.worth_of(leaf))
                    .sum::<i64>();
            }
        }
        forecast.cost += cost;
    }

    fn worth_of(&self, rect: Rect) -> i64 {
        self.values().value(rect.width(), rect.height())
    }

    /// What clearing a part of a board saves; the pieces on it are evicted.
    fn clearing(&self, sheet: &Sheet, index: u32, evicted: &mut SmallVec<[u32; 8]>) -> Option<i64> {
        let node = &sheet.nodes[index as usize];
        match node.kind {
            Kind::Free | Kind::Dead => Some(-self.worth_of(node.rect)),
            Kind::Split { first, second, .. } => {
                let cuts = i64::from(sheet.nodes[first as usize].rect != node.rect);
                let below = self.clearing(sheet, first, evicted)?
                    + self.clearing(sheet, second, evicted)?;
                Some(cuts * self.sizes.cut_cost() + below)
            }
            Kind::Item {
                piece,
                notch_cuts: 0,
                slant: None,
                twin: None,
                ..
            } => {
                evicted.push(piece);
                Some(0)
            }
            Kind::Item { .. } => None,
        }
    }
}
