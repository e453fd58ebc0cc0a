//! Boards as guillotine trees: what is cut from each, what is left, and what a further piece would cost.
//!
//! Costs are in mm² of board. A leftover that can still become a piece keeps nine tenths of its area as its value, so
//! that a piece is rather cut from a leftover than from a new board, and rather from one it fills.

use alloc::collections::BTreeSet;
use alloc::vec::Vec;

use crate::geometry::Rect;

/// The sizes that matter when a board is cut.
#[derive(Clone, Copy, Debug)]
pub struct Sizes {
    pub length: i32,
    pub height: i32,
    pub kerf: i32,
    pub min_width: i32,
    pub min_height: i32,
    pub turning: Turning,
}

/// Whether a piece may lie across the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turning {
    Free,
    Fixed,
}

impl Sizes {
    pub fn board_area(&self) -> i64 {
        i64::from(self.length) * i64::from(self.height)
    }
    /// What one cut weighs against board area: boards come first, cuts decide between equals.
    pub fn cut_cost(&self) -> i64 {
        self.board_area() / 30
    }
    /// Whether a rectangle can still become a piece.
    pub fn usable(&self, width: i32, height: i32) -> bool {
        (width >= self.min_width && height >= self.min_height)
            || (self.turning == Turning::Free
                && height >= self.min_width
                && width >= self.min_height)
    }
    fn value(&self, width: i32, height: i32) -> i64 {
        if self.usable(width, height) {
            i64::from(width) * i64::from(height) * 9 / 10
        } else {
            0
        }
    }
    /// The best way to take a piece from the corner of a rectangle: the value of what is left, and the first cut.
    fn leave(&self, from: (i32, i32), piece: (i32, i32)) -> (i64, Axis) {
        let (right, above) = (from.0 - piece.0 - self.kerf, from.1 - piece.1 - self.kerf);
        let upright = self.value(right, from.1) + self.value(piece.0, above);
        let level = self.value(from.0, above) + self.value(right, piece.1);
        if upright >= level {
            (upright, Axis::Upright)
        } else {
            (level, Axis::Level)
        }
    }
    /// What it costs to take a piece from a rectangle that is worth `worth`; nothing if it does not fit.
    fn cost(&self, worth: i64, from: (i32, i32), piece: (i32, i32)) -> Option<i64> {
        if piece.0 > from.0 || piece.1 > from.1 {
            return None;
        }
        let cuts = i64::from(piece.0 < from.0) + i64::from(piece.1 < from.1);
        Some(worth - self.leave(from, piece).0 + cuts * self.cut_cost())
    }
}

/// The direction of a cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    Upright,
    Level,
}

/// A rectangle of a board and what became of it.
#[derive(Clone, Debug)]
pub struct Node {
    pub rect: Rect,
    pub parent: Option<u32>,
    pub kind: Kind,
}

/// What became of a rectangle of a board.
#[derive(Clone, Debug)]
pub enum Kind {
    /// Not in use any more.
    Dead,
    /// Left over.
    Free,
    /// Parted by a cut from edge to edge.
    Split { axis: Axis, first: u32, second: u32 },
    /// A piece, and what falls out of its notches.
    Item {
        piece: u32,
        pose: Pose,
        notch_cuts: u32,
        notches: Vec<u32>,
    },
}

/// How a piece lies on the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pose {
    Upright,
    Turned,
}

/// One board in use.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    pub nodes: Vec<Node>,
    cuts: u32,
    /// The area left over, in mm².
    free: i64,
}

impl Sheet {
    fn new(rect: Rect) -> Self {
        Self {
            nodes: alloc::vec![Node {
                rect,
                parent: None,
                kind: Kind::Free
            }],
            cuts: 0,
            free: rect.area(),
        }
    }
    fn add(&mut self, node: Node) -> u32 {
        if let Some(index) = self
            .nodes
            .iter()
            .skip(1)
            .position(|n| matches!(n.kind, Kind::Dead))
        {
            self.nodes[index + 1] = node;
            return index as u32 + 1;
        }
        self.nodes.push(node);
        self.nodes.len() as u32 - 1
    }
    fn is_empty(&self) -> bool {
        self.nodes
            .first()
            .is_none_or(|n| matches!(n.kind, Kind::Free))
    }
    fn weigh(&mut self) {
        self.cuts = 0;
        self.free = 0;
        for node in &self.nodes {
            match &node.kind {
                Kind::Dead => {}
                Kind::Free => self.free += node.rect.area(),
                Kind::Split { .. } => self.cuts += 1,
                Kind::Item { notch_cuts, .. } => self.cuts += notch_cuts,
            }
        }
    }
    fn split(&mut self, leaf: u32, axis: Axis, at: i32, kerf: i32) -> u32 {
        let whole = self.nodes[leaf as usize].rect;
        let (first, second) = match axis {
            Axis::Upright => (
                Rect { x1: at, ..whole },
                Rect {
                    x0: (at + kerf).min(whole.x1),
                    ..whole
                },
            ),
            Axis::Level => (
                Rect { y1: at, ..whole },
                Rect {
                    y0: (at + kerf).min(whole.y1),
                    ..whole
                },
            ),
        };
        let first = self.add(Node {
            rect: first,
            parent: Some(leaf),
            kind: Kind::Free,
        });
        let second = self.add(Node {
            rect: second,
            parent: Some(leaf),
            kind: Kind::Free,
        });
        self.nodes[leaf as usize].kind = Kind::Split {
            axis,
            first,
            second,
        };
        first
    }
    /// Frees a subtree and lists the pieces that were in it.
    fn clear(&mut self, root: u32, evicted: &mut Vec<u32>) {
        let mut stack = alloc::vec![root];
        while let Some(index) = stack.pop() {
            let kind = core::mem::replace(&mut self.nodes[index as usize].kind, Kind::Dead);
            match kind {
                Kind::Split { first, second, .. } => stack.extend([first, second]),
                Kind::Item { piece, notches, .. } => {
                    evicted.push(piece);
                    stack.extend(notches);
                }
                Kind::Free | Kind::Dead => {}
            }
        }
        self.nodes[root as usize].kind = Kind::Free;
    }
    /// Joins leftovers that lie side by side in one parent.
    fn merge_up(&mut self, leaf: u32) {
        let mut index = leaf;
        while let Some(parent) = self.nodes[index as usize].parent {
            let Kind::Split { first, second, .. } = self.nodes[parent as usize].kind else {
                return;
            };
            let free = |n: u32| matches!(self.nodes[n as usize].kind, Kind::Free);
            if !(free(first) && free(second)) {
                return;
            }
            self.nodes[first as usize].kind = Kind::Dead;
            self.nodes[second as usize].kind = Kind::Dead;
            self.nodes[parent as usize].kind = Kind::Free;
            index = parent;
        }
    }
}

/// A piece to be cut.
#[derive(Clone, Debug, Default)]
pub struct Blank {
    pub piece: u32,
    pub width: i32,
    pub height: i32,
    /// What falls out of it, from its own lower left corner.
    pub notches: Vec<Rect>,
    /// Cuts besides those that free its rectangle.
    pub notch_cuts: u32,
    /// Whether it is a plain rectangle, and so may be turned.
    pub plain: Plain,
}

/// Whether a piece is a plain rectangle.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Plain {
    #[default]
    Rectangle,
    Shaped,
}

/// Where a piece was cut.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Place {
    pub board: u32,
    pub node: u32,
}

/// What the boards of one product come to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    pub boards: u32,
    pub cuts: u32,
    /// Sum over the boards of (area left over)² / board area: rewards leaving much on few boards.
    pub gathered: i64,
}

/// All boards of one product that are in use.
#[derive(Clone, Debug)]
pub struct Stock {
    pub sizes: Sizes,
    pub sheets: Vec<Option<Sheet>>,
    open: BTreeSet<u32>,
    vacant: BTreeSet<u32>,
    tally: Tally,
    journal: Option<Journal>,
}

#[derive(Clone, Debug, Default)]
struct Journal {
    before: Vec<(u32, Option<Sheet>)>,
    tally: Tally,
    touched: BTreeSet<u32>,
}

impl Stock {
    pub fn new(sizes: Sizes) -> Self {
        Self {
            sizes,
            sheets: Vec::new(),
            open: BTreeSet::new(),
            vacant: BTreeSet::new(),
            tally: Tally::default(),
            journal: None,
        }
    }
    pub fn tally(&self) -> Tally {
        self.tally
    }
    /// Begins to note changes, so that they can be taken back.
    pub fn begin(&mut self) {
        self.journal = Some(Journal {
            tally: self.tally,
            ..Journal::default()
        });
    }
    pub fn keep(&mut self) {
        self.journal = None;
    }
    /// Takes back all changes since [`Stock::begin`].
    pub fn take_back(&mut self) {
        let Some(journal) = self.journal.take() else {
            return;
        };
        for (board, sheet) in journal.before {
            self.sheets[board as usize] = sheet;
            self.index(board);
        }
        self.tally = journal.tally;
    }
    fn touch(&mut self, board: u32) {
        if let Some(journal) = &mut self.journal
            && journal.touched.insert(board)
        {
            journal
                .before
                .push((board, self.sheets[board as usize].clone()));
        }
        if let Some(sheet) = &self.sheets[board as usize] {
            self.tally.boards -= 1;
            self.tally.cuts -= sheet.cuts;
            self.tally.gathered -= gathered(sheet.free, &self.sizes);
        }
    }
    fn settle(&mut self, board: u32) {
        if self.sheets[board as usize]
            .as_ref()
            .is_some_and(Sheet::is_empty)
        {
            self.sheets[board as usize] = None;
        }
        if let Some(sheet) = &mut self.sheets[board as usize] {
            sheet.weigh();
            self.tally.boards += 1;
            self.tally.cuts += sheet.cuts;
            self.tally.gathered += gathered(sheet.free, &self.sizes);
        }
        self.index(board);
    }
    fn index(&mut self, board: u32) {
        self.open.remove(&board);
        self.vacant.remove(&board);
        match &self.sheets[board as usize] {
            None => {
                self.vacant.insert(board);
            }
            Some(sheet) => {
                let usable = |n: &Node| {
                    matches!(n.kind, Kind::Free)
                        && self.sizes.usable(n.rect.width(), n.rect.height())
                };
                if sheet.nodes.iter().any(usable) {
                    self.open.insert(board);
                }
            }
        }
    }
    /// Every usable leftover.
    pub fn leaves(&self) -> impl Iterator<Item = (Place, Rect)> + '_ {
        self.open.iter().flat_map(move |&board| {
            let nodes = self.sheets[board as usize]
                .as_ref()
                .map_or(&[][..], |s| &s.nodes[..]);
            nodes.iter().enumerate().filter_map(move |(index, node)| {
                (matches!(node.kind, Kind::Free)
                    && self.sizes.usable(node.rect.width(), node.rect.height()))
                .then_some((
                    Place {
                        board,
                        node: index as u32,
                    },
                    node.rect,
                ))
            })
        })
    }
    /// Boards with something left over, those with most first.
    pub fn slack_boards(&self) -> Vec<u32> {
        let mut boards: Vec<(i64, u32)> = self
            .sheets
            .iter()
            .enumerate()
            .filter_map(|(i, s)| {
                s.as_ref()
                    .filter(|s| s.free > 0)
                    .map(|s| (-s.free, i as u32))
            })
            .collect();
        boards.sort_unstable();
        boards.into_iter().map(|(_, board)| board).collect()
    }
    /// The pieces cut from a board.
    pub fn pieces_on(&self, board: u32) -> Vec<u32> {
        self.sheets[board as usize]
            .as_ref()
            .map_or_else(Vec::new, |s| {
                s.nodes
                    .iter()
                    .filter_map(|n| {
                        if let Kind::Item { piece, .. } = n.kind {
                            Some(piece)
                        } else {
                            None
                        }
                    })
                    .collect()
            })
    }
    /// Cuts a piece where it costs least; from a new board if no leftover serves better.
    pub fn place(&mut self, blank: &Blank) -> Place {
        let piece = (blank.width, blank.height);
        let board_area = self.sizes.board_area();
        let whole = (self.sizes.length, self.sizes.height);
        let poses: &[(Pose, (i32, i32))] =
            &[(Pose::Upright, piece), (Pose::Turned, (piece.1, piece.0))];
        let may_turn = self.sizes.turning == Turning::Free && blank.plain == Plain::Rectangle;
        let poses = if may_turn { poses } else { &poses[..1] };
        let mut best: Option<(i64, Option<Place>, Pose)> = None;
        for &(pose, size) in poses {
            if let Some(cost) = self.sizes.cost(board_area, whole, size)
                && best.is_none_or(|b| cost < b.0)
            {
                best = Some((cost, None, pose));
            }
        }
        if piece != whole {
            for (place, rect) in self.leaves() {
                let worth = self.sizes.value(rect.width(), rect.height());
                for &(pose, size) in poses {
                    if let Some(cost) = self.sizes.cost(worth, (rect.width(), rect.height()), size)
                        && best.is_none_or(|b| cost < b.0)
                    {
                        best = Some((cost, Some(place), pose));
                    }
                }
            }
        }
        let (at, pose) = best.map_or((None, Pose::Upright), |b| (b.1, b.2));
        self.cut(blank, at, pose)
    }
    fn cut(&mut self, blank: &Blank, at: Option<Place>, pose: Pose) -> Place {
        let (board, leaf) = match at {
            Some(place) => (place.board, place.node),
            None => (
                self.vacant
                    .first()
                    .copied()
                    .unwrap_or(self.sheets.len() as u32),
                0,
            ),
        };
        if board as usize == self.sheets.len() {
            self.sheets.push(None);
        }
        self.touch(board);
        let sizes = self.sizes;
        let blank_sheet = || {
            Sheet::new(Rect {
                x0: 0,
                y0: 0,
                x1: sizes.length,
                y1: sizes.height,
            })
        };
        let sheet = self.sheets[board as usize].get_or_insert_with(blank_sheet);
        let (width, height) = match pose {
            Pose::Upright => (blank.width, blank.height),
            Pose::Turned => (blank.height, blank.width),
        };
        let node = carve(sheet, leaf, (width, height), &sizes);
        let rect = sheet.nodes[node as usize].rect;
        let notches = blank
            .notches
            .iter()
            .filter_map(|n| notch_leaf(*n, (width, height), sizes.kerf))
            .map(|n| {
                let moved = Rect {
                    x0: n.x0 + rect.x0,
                    x1: n.x1 + rect.x0,
                    y0: n.y0 + rect.y0,
                    y1: n.y1 + rect.y0,
                };
                sheet.add(Node {
                    rect: moved,
                    parent: Some(node),
                    kind: Kind::Free,
                })
            })
            .collect();
        sheet.nodes[node as usize].kind = Kind::Item {
            piece: blank.piece,
            pose,
            notch_cuts: blank.notch_cuts,
            notches,
        };
        self.settle(board);
        Place { board, node }
    }
    /// Takes a piece off its board; pieces that were cut from its notches come off too and are listed.
    pub fn remove(&mut self, place: Place) -> Vec<u32> {
        self.touch(place.board);
        let mut evicted = Vec::new();
        if let Some(sheet) = &mut self.sheets[place.board as usize] {
            sheet.clear(place.node, &mut evicted);
            sheet.merge_up(place.node);
        }
        self.settle(place.board);
        evicted
    }
}

fn gathered(free: i64, sizes: &Sizes) -> i64 {
    let share = free as f64 / sizes.board_area() as f64;
    (share * share * sizes.board_area() as f64) as i64
}

fn carve(sheet: &mut Sheet, leaf: u32, piece: (i32, i32), sizes: &Sizes) -> u32 {
    let rect = sheet.nodes[leaf as usize].rect;
    let (_, axis) = sizes.leave((rect.width(), rect.height()), piece);
    let order = match axis {
        Axis::Upright => [Axis::Upright, Axis::Level],
        Axis::Level => [Axis::Level, Axis::Upright],
    };
    let mut node = leaf;
    for axis in order {
        let rect = sheet.nodes[node as usize].rect;
        let at = match axis {
            Axis::Upright => rect.x0 + piece.0,
            Axis::Level => rect.y0 + piece.1,
        };
        if (axis == Axis::Upright && at < rect.x1) || (axis == Axis::Level && at < rect.y1) {
            node = sheet.split(node, axis, at, sizes.kerf);
        }
    }
    node
}

/// What falls out of a notch: the notch less the kerf along each side that is cut.
fn notch_leaf(notch: Rect, piece: (i32, i32), kerf: i32) -> Option<Rect> {
    let rect = Rect {
        x0: if notch.x0 > 0 {
            notch.x0 + kerf
        } else {
            notch.x0
        },
        x1: if notch.x1 < piece.0 {
            notch.x1 - kerf
        } else {
            notch.x1
        },
        y0: if notch.y0 > 0 {
            notch.y0 + kerf
        } else {
            notch.y0
        },
        y1: if notch.y1 < piece.1 {
            notch.y1 - kerf
        } else {
            notch.y1
        },
    };
    (rect.width() > 0 && rect.height() > 0).then_some(rect)
}

/// The price of rectangles at one moment, looked up often while a run is laid.
pub struct Prices {
    sizes: Sizes,
    leaves: Vec<(i32, i32)>,
    tables: Vec<(i32, Vec<i64>)>,
}

impl Prices {
    pub fn new(stock: &Stock) -> Self {
        let mut leaves: Vec<(i32, i32)> = stock
            .leaves()
            .map(|(_, r)| (r.width(), r.height()))
            .collect();
        leaves.sort_unstable();
        leaves.dedup();
        Self {
            sizes: stock.sizes,
            leaves,
            tables: Vec::new(),
        }
    }
    /// Widths of the leftovers that are at least so high.
    pub fn widths(&self, height: i32) -> impl Iterator<Item = i32> + '_ {
        self.leaves
            .iter()
            .filter(move |l| l.1 >= height)
            .map(|l| l.0)
    }
    /// What a rectangle of this size costs now. It must fit on a board.
    pub fn of(&mut self, width: i32, height: i32) -> i64 {
        let found = self.tables.iter().position(|t| t.0 == height);
        let index = found.unwrap_or_else(|| {
            self.tables
                .push((height, alloc::vec![-1; self.sizes.length as usize + 1]));
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
        let board = (self.sizes.length, self.sizes.height);
        let area = self.sizes.board_area();
        let turned = (piece.1, piece.0);
        let turn = self.sizes.turning == Turning::Free;
        let mut best = self.sizes.cost(area, board, piece).unwrap_or(area * 4);
        if turn && let Some(cost) = self.sizes.cost(area, board, turned) {
            best = best.min(cost);
        }
        if piece == board {
            return best.max(0);
        }
        for &leaf in &self.leaves {
            let worth = self.sizes.value(leaf.0, leaf.1);
            if let Some(cost) = self.sizes.cost(worth, leaf, piece) {
                best = best.min(cost);
            }
            if turn && let Some(cost) = self.sizes.cost(worth, leaf, turned) {
                best = best.min(cost);
            }
        }
        best.max(0)
    }
}
