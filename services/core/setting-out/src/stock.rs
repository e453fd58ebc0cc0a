//! Boards as guillotine trees: what is cut from each, what is left, and what a further piece would cost.
//!
//! Costs are in mm² of board. A leftover that can still become a piece keeps nine tenths of its area as its value, so
//! that a piece is rather cut from a leftover than from a new board, and rather from one it fills.

use alloc::collections::BTreeSet;
use alloc::vec::Vec;

use crate::geometry::{Notches, Rect};
use crate::leaves::Leaves;
use crate::twins::{Lone, Room, Slant};

/// The sizes that matter when a board is cut.
#[derive(Clone, Copy, Debug)]
pub struct Sizes {
    pub length: i32,
    pub height: i32,
    pub kerf: i32,
    pub min_width: i32,
    pub min_height: i32,
    pub turning: Turning,
    pub style: Style,
}

/// Whether a piece may lie across the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turning {
    Free,
    Fixed,
}

impl Sizes {
    /// How many pieces of a low course, as wide as a board is high, are cut across one board, if that gives more of the
    /// course than pieces along it.
    pub fn across(&self, height: i32) -> Option<i32> {
        let fit = |side: i32| (side + self.kerf) / (height + self.kerf).max(1);
        let (across, along) = (fit(self.length), fit(self.height));
        let more = across * self.height > along * self.length;
        (self.turning == Turning::Free && height < self.height && more).then_some(across)
    }
    pub fn board_area(&self) -> i64 {
        i64::from(self.length) * i64::from(self.height)
    }
    /// What one cut weighs against board area: boards come first, cuts decide between equals.
    pub fn cut_cost(&self) -> i64 {
        self.board_area() * self.style.cut / 1000
    }
    /// What one more piece weighs.
    pub fn joint_cost(&self) -> i64 {
        self.board_area() * self.style.piece / 1000
    }
    /// Whether a rectangle can still become a piece.
    pub fn usable(&self, width: i32, height: i32) -> bool {
        (width >= self.min_width && height >= self.min_height)
            || (self.turning == Turning::Free
                && height >= self.min_width
                && width >= self.min_height)
    }
}

/// What the search weighs, in thousandths of a board or of an area unless it says otherwise.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Style {
    /// Worth of a leftover of full height, for hardly any width and for a whole board.
    pub full: [i64; 2],
    /// The same for a low leftover.
    pub low: [i64; 2],
    /// When low leftovers worth so much, against all boards, lie about, one more is worth nothing.
    pub cap: i64,
    /// One cut, and one more piece.
    pub cut: i64,
    pub piece: i64,
    /// What joints push into an opening's sill, of its area.
    pub wish: i64,
    /// A rule that is broken.
    pub breach: i64,
}

impl Style {
    /// The same with cuts and pieces at a price, in thousandths of what they weigh.
    pub fn with_cuts_at(self, price: i64) -> Self {
        Self {
            cut: self.cut * price / 1000,
            piece: self.piece * price / 1000,
            ..self
        }
    }
}

/// What leftovers are worth. Those of full course height find a use nearly always; lower ones serve only beside
/// openings. A large leftover is worth more than two small ones of the same area.
#[derive(Clone, Debug)]
pub struct Values {
    pub sizes: Sizes,
    /// What leftovers of full height that lie about are worth.
    lying: i64,
    /// What lower leftovers that lie about would be worth if each found a use.
    glut: i64,
    /// From so much on a further low leftover is worth next to nothing.
    pub cap: i64,
    /// The share of its value that one more low leftover is worth now, in thousandths.
    share: i64,
    /// Whether a piece of full height is never cut turned from a whole board: low leftovers are worth no more than what is left
    /// beside it, of which there is no less, and turned it takes a cut more.
    full_lies_upright: bool,
    /// Worth of a leftover of full height by width, and of a low one by its longer side, in thousandths of its area.
    upright: Vec<i64>,
    low: Vec<i64>,
}

impl Values {
    fn new(sizes: Sizes) -> Self {
        Self {
            sizes,
            lying: 0,
            glut: 0,
            cap: 0,
            share: 1000,
            full_lies_upright: false,
            upright: Vec::new(),
            low: Vec::new(),
        }
    }
    /// Weighs by another style; nothing lies about.
    fn weigh_by(&mut self, sizes: Sizes, cap: i64) {
        let (style, l) = (sizes.style, i64::from(sizes.length));
        let by_length = |[none, whole]: [i64; 2], w: i64| none + (whole - none) * w / l;
        let longest = i64::from(sizes.length.max(sizes.height));
        let upright = |w: i64| w * i64::from(sizes.height) * by_length(style.full, w) / 1000;
        self.upright = (0..=longest).map(upright).collect();
        self.low = (0..=longest).map(|w| by_length(style.low, w)).collect();
        let beside = i64::from(sizes.length - sizes.height - sizes.kerf);
        self.full_lies_upright = sizes.cut_cost() > 1
            && sizes.length >= sizes.height
            && style.full[0] <= style.full[1]
            && style
                .low
                .iter()
                .all(|low| *low <= by_length(style.full, beside.max(0)));
        (self.sizes, self.cap) = (sizes, cap);
        self.clear();
    }
    /// Notes that nothing lies about.
    fn clear(&mut self) {
        (self.lying, self.glut) = (0, 0);
        self.notice();
    }
    /// Works out what one more low leftover is worth.
    fn notice(&mut self) {
        self.share = (1000 - 1000 * self.glut / self.cap.max(1)).max(LEAST);
    }
    /// What all that lies about is worth.
    fn all(&self) -> i64 {
        let least = LEAST;
        let knee = self.cap * (1000 - least) / 1000;
        let (low, rest) = (self.glut.min(knee), (self.glut - knee).max(0));
        let falling = (i128::from(low)
            - i128::from(low) * i128::from(low) / (2 * i128::from(self.cap.max(1))))
            as i64;
        self.lying + falling + rest * least / 1000
    }
    /// Whether a piece of full course height can still be cut from a rectangle, upright or turned.
    fn is_full(&self, width: i32, height: i32) -> bool {
        let s = &self.sizes;
        height >= s.height
            || (s.turning == Turning::Free && width >= s.height && height >= s.min_width)
    }
    /// Notes that leftovers of these sizes lie about, or do no more.
    fn lie(&mut self, sizes: impl Iterator<Item = (i32, i32)>, times: i64) {
        let before = self.glut;
        for (width, height) in sizes {
            if height >= self.sizes.height {
                self.lying += times * self.upright(width);
            } else {
                self.glut += times * self.low_value(width, height);
            }
        }
        if self.glut != before {
            self.notice();
        }
    }
    fn strip(&self, width: i32, height: i32) -> i64 {
        let longer = width.max(height).max(0) as usize;
        let share = self.low.get(longer).copied().unwrap_or(0);
        i64::from(width) * i64::from(height) * share / 1000
    }
    pub fn upright(&self, width: i32) -> i64 {
        let width = width.max(0) as usize;
        self.upright.get(width).copied().unwrap_or(0)
    }
    /// What a leftover is worth.
    pub fn value(&self, width: i32, height: i32) -> i64 {
        if !self.sizes.usable(width, height) {
            return 0;
        }
        if height >= self.sizes.height {
            return self.upright(width);
        }
        self.low_value(width, height) * self.share / 1000
    }
    /// What a low leftover is worth if it finds a use.
    fn low_value(&self, width: i32, height: i32) -> i64 {
        let strip = self.strip(width, height);
        if !self.is_full(width, height) {
            return strip;
        }
        // Turned, it gives one piece of course height and a low rest.
        strip.max(self.upright(height) + self.strip(width - self.sizes.height, height))
    }
    /// The best way to take a piece from the corner of a rectangle: the value of what is left, and the first cut.
    fn leave(&self, from: (i32, i32), piece: (i32, i32)) -> (i64, Axis) {
        let kerf = self.sizes.kerf;
        let (right, above) = (from.0 - piece.0 - kerf, from.1 - piece.1 - kerf);
        let worth = |w: i32, h: i32| if w > 0 && h > 0 { self.value(w, h) } else { 0 };
        // Where the piece fills the rectangle one way, there is one cut at most.
        if piece.1 == from.1 {
            return (worth(right, from.1), Axis::Upright);
        }
        if piece.0 == from.0 {
            return (worth(piece.0, above), Axis::Upright);
        }
        let upright = worth(right, from.1) + worth(piece.0, above);
        let level = worth(from.0, above) + worth(right, piece.1);
        if upright >= level {
            (upright, Axis::Upright)
        } else {
            (level, Axis::Level)
        }
    }
    /// What it costs to take a piece from a rectangle that is worth `worth`; nothing if it does not fit.
    pub fn cost(&self, worth: i64, from: (i32, i32), piece: (i32, i32)) -> Option<i64> {
        if piece.0 > from.0 || piece.1 > from.1 {
            return None;
        }
        let cuts = i64::from(piece.0 < from.0) + i64::from(piece.1 < from.1);
        Some(worth - self.leave(from, piece).0 + cuts * self.sizes.cut_cost())
    }
    /// The cheapest of the leftovers for a piece: candidates from each class of height.
    fn best_leaf(
        &self,
        leaves: &Leaves,
        piece: (i32, i32),
        plain: Plain,
    ) -> Option<(i64, (i32, i32), Pose)> {
        let mut best: Option<(i64, (i32, i32), Pose)> = None;
        for (pose, size) in self.poses(piece, plain) {
            let spare = size.0 + self.sizes.kerf + self.sizes.min_width;
            let wide = leaves.from(size.1).iter().filter(|c| c.widest >= size.0);
            for class in wide {
                let mut last = 0;
                let [least, roomy] = class.next_two(size.0, spare);
                for width in [least, roomy, class.widest] {
                    if width == last {
                        continue;
                    }
                    last = width;
                    let leaf = (width, class.height);
                    if let Some(cost) = self.cost(self.value(width, class.height), leaf, size)
                        && best.is_none_or(|b| cost < b.0)
                    {
                        best = Some((cost, leaf, pose));
                    }
                }
            }
        }
        best
    }
    pub fn poses(
        &self,
        piece: (i32, i32),
        plain: Plain,
    ) -> impl Iterator<Item = (Pose, (i32, i32))> + use<> {
        let turn = self.sizes.turning == Turning::Free && plain == Plain::Rectangle;
        [(Pose::Upright, piece), (Pose::Turned, (piece.1, piece.0))]
            .into_iter()
            .take(if turn { 2 } else { 1 })
    }
    /// What a piece costs from a new board, and how it lies best.
    pub fn new_board(&self, piece: (i32, i32), plain: Plain) -> (i64, Pose) {
        let board = (self.sizes.length, self.sizes.height);
        // Between equals a leftover is used before a new board.
        let area = self.sizes.board_area() + self.sizes.board_area() / 400;
        let upright = self.cost(area, board, piece).map(|c| (c, Pose::Upright));
        let upright_only = piece.1 == self.sizes.height && self.full_lies_upright;
        let turns = self.sizes.turning == Turning::Free && !upright_only;
        let turned = if turns && plain == Plain::Rectangle {
            self.cost(area, board, (piece.1, piece.0))
                .map(|c| (c, Pose::Turned))
        } else {
            None
        };
        match (upright, turned) {
            (Some(a), Some(b)) if b.0 < a.0 => b,
            (Some(a), _) => a,
            (None, Some(b)) => b,
            (None, None) => (area * 4, Pose::Upright),
        }
    }
}

/// A low leftover keeps so many thousandths of its value, however many lie about.
const LEAST: i64 = 20;

/// The direction of a cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    Upright,
    Level,
}

/// A rectangle of a board and what became of it.
#[derive(Clone, Copy, Debug)]
pub struct Node {
    pub rect: Rect,
    pub parent: Option<u32>,
    pub kind: Kind,
}

/// What became of a rectangle of a board.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// Not in use any more.
    Dead,
    /// Left over.
    Free,
    /// Parted by a cut from edge to edge.
    Split { axis: Axis, first: u32, second: u32 },
    /// A piece; what falls out of its notches are the nodes below it.
    Item {
        piece: u32,
        pose: Pose,
        notch_cuts: u32,
        /// Its sloping end, if a like piece could lie against it.
        slant: Option<Slant>,
        /// The piece that lies against it, turned by a half.
        twin: Option<u32>,
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
}

impl Sheet {
    /// Makes it a whole board.
    fn begin(&mut self, rect: Rect) {
        self.nodes.clear();
        self.nodes.push(Node {
            rect,
            parent: None,
            kind: Kind::Free,
        });
        self.cuts = 0;
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
        for node in &self.nodes {
            match &node.kind {
                Kind::Dead | Kind::Free => {}
                // A pair may fill what was parted from edge to edge.
                Kind::Split { first, .. } => {
                    self.cuts += u32::from(self.nodes[*first as usize].rect != node.rect);
                }
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
    /// The pieces cut from it.
    pub fn pieces(&self) -> impl Iterator<Item = u32> + '_ {
        let own = |n: &Node| match n.kind {
            Kind::Item { piece, twin, .. } => [Some(piece), twin],
            _ => [None; 2],
        };
        self.nodes.iter().flat_map(own).flatten()
    }
    /// The nodes right below one.
    pub fn below(&self, index: u32) -> impl Iterator<Item = u32> + '_ {
        let own = move |n: &Node| n.parent == Some(index) && !matches!(n.kind, Kind::Dead);
        let nodes = self.nodes.iter().enumerate();
        nodes.filter_map(move |(below, node)| own(node).then_some(below as u32))
    }
    /// Frees a subtree and lists the pieces that were in it.
    fn clear(&mut self, root: u32, evicted: &mut Vec<u32>) {
        let mut stack = alloc::vec![root];
        while let Some(index) = stack.pop() {
            let kind = core::mem::replace(&mut self.nodes[index as usize].kind, Kind::Dead);
            match kind {
                Kind::Split { first, second, .. } => stack.extend([first, second]),
                Kind::Item { piece, twin, .. } => {
                    evicted.push(piece);
                    evicted.extend(twin);
                    stack.extend(self.below(index));
                }
                Kind::Free | Kind::Dead => {}
            }
        }
        self.nodes[root as usize].kind = Kind::Free;
    }
    /// Joins a leftover with what is left of its strip, and with what lies beside that.
    fn merge_up(&mut self, leaf: u32, kerf: i32) {
        let mut index = leaf;
        loop {
            self.pass_all(index, kerf, |_| false);
            let Some(parent) = self.nodes[index as usize].parent else {
                return;
            };
            let Kind::Split { first, second, .. } = self.nodes[parent as usize].kind else {
                return;
            };
            let free = |n: u32| matches!(self.nodes[n as usize].kind, Kind::Free);
            if !(free(first) && free(second)) {
                if first == index {
                    self.turn_round(parent, kerf);
                }
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
    pub notches: Notches,
    /// Cuts besides those that free its rectangle.
    pub notch_cuts: u32,
    /// Whether it is a plain rectangle, and so may be turned.
    pub plain: Plain,
    /// Its sloping end, if a like piece could lie against it.
    pub slant: Option<Slant>,
}

/// Whether a piece is a plain rectangle.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Plain {
    #[default]
    Rectangle,
    Shaped,
}

impl Blank {
    /// Whether it is a board as it is bought.
    pub fn is_whole(&self, sizes: &Sizes) -> bool {
        self.plain == Plain::Rectangle && (self.width, self.height) == (sizes.length, sizes.height)
    }
}

/// Where a piece was cut.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    pub board: u32,
    pub node: u32,
}

/// What the boards of one product come to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    pub boards: u32,
    pub cuts: u32,
}

/// All boards of one product that are in use.
#[derive(Clone, Debug)]
pub struct Stock {
    pub sizes: Sizes,
    pub sheets: Vec<Option<Sheet>>,
    values: Values,
    leaves: Leaves,
    /// Pieces with a slant that another could lie against.
    lone: Lone,
    vacant: BTreeSet<u32>,
    tally: Tally,
    journal: Journal,
}

/// How boards were before a change that may be taken back.
#[derive(Clone, Debug, Default)]
struct Journal {
    /// Whether changes are noted now.
    open: bool,
    before: Vec<(u32, Option<Sheet>)>,
    tally: Tally,
    /// Sheets of no board, kept for the room they have.
    spare: Vec<Sheet>,
}

impl Journal {
    fn note(&mut self, board: u32, sheet: Option<&Sheet>) {
        if self.open && self.before.iter().all(|b| b.0 != board) {
            let copy = sheet.map(|sheet| {
                let mut copy = self.spare.pop().unwrap_or_default();
                copy.nodes.clone_from(&sheet.nodes);
                copy.cuts = sheet.cuts;
                copy
            });
            self.before.push((board, copy));
        }
    }
}

impl Stock {
    pub fn new(sizes: Sizes) -> Self {
        Self {
            sizes,
            sheets: Vec::new(),
            values: Values::new(sizes),
            leaves: Leaves::default(),
            lone: Lone::default(),
            vacant: BTreeSet::new(),
            tally: Tally::default(),
            journal: Journal::default(),
        }
    }
    /// Takes everything off all boards.
    pub fn empty(&mut self) {
        self.sheets.clear();
        self.leaves.clear();
        self.lone.clear();
        self.vacant.clear();
        self.tally = Tally::default();
        self.values.clear();
    }
    /// Weighs everything anew; there will be about so many boards.
    pub fn weigh_by(&mut self, style: Style, boards: u32) {
        self.sizes.style = style;
        let cap = self.sizes.board_area() * i64::from(boards.max(40)) * style.cap / 1000;
        self.values.weigh_by(self.sizes, cap);
        for class in self.leaves.classes() {
            let sizes = class.widths().map(|width| (width, class.height));
            self.values.lie(sizes, 1);
        }
        self.lone.weigh(&self.values);
    }
    /// What all leftovers are worth.
    pub fn worth(&self) -> i64 {
        self.values.all() + self.lone.hope
    }
    pub fn tally(&self) -> Tally {
        self.tally
    }
    /// Begins to note changes, so that they can be taken back.
    pub fn begin(&mut self) {
        self.keep();
        self.journal.open = true;
        self.journal.tally = self.tally;
    }
    /// Keeps all changes since then.
    pub fn keep(&mut self) {
        let journal = &mut self.journal;
        journal.open = false;
        let sheets = journal.before.drain(..).filter_map(|before| before.1);
        journal.spare.extend(sheets);
    }
    /// Takes back all changes since [`Stock::begin`].
    pub fn take_back(&mut self) {
        if !self.journal.open {
            return;
        }
        let mut before = core::mem::take(&mut self.journal.before);
        for (board, sheet) in before.drain(..) {
            self.forget(board);
            let now = core::mem::replace(&mut self.sheets[board as usize], sheet);
            self.journal.spare.extend(now);
            self.index(board);
        }
        self.tally = self.journal.tally;
        self.journal.open = false;
        self.journal.before = before;
    }
    fn touch(&mut self, board: u32) {
        self.forget(board);
        let sheet = self.sheets[board as usize].as_ref();
        self.journal.note(board, sheet);
        if let Some(sheet) = &self.sheets[board as usize] {
            self.tally.boards -= 1;
            self.tally.cuts -= sheet.cuts;
        }
    }
    fn settle(&mut self, board: u32) {
        let sheet = &mut self.sheets[board as usize];
        if sheet.as_ref().is_some_and(Sheet::is_empty) {
            self.journal.spare.extend(sheet.take());
        }
        if let Some(sheet) = &mut self.sheets[board as usize] {
            sheet.weigh();
            self.tally.boards += 1;
            self.tally.cuts += sheet.cuts;
        }
        self.index(board);
    }
    /// Takes the leftovers of a board out of the list, before the board changes.
    fn forget(&mut self, board: u32) {
        self.vacant.remove(&board);
        let Some(sheet) = &self.sheets[board as usize] else {
            return;
        };
        let leaves = &mut self.leaves;
        let gone = usable_leaves(sheet, &self.sizes).filter_map(|(node, rect)| {
            let size = (rect.width(), rect.height());
            leaves.remove(size, Place { board, node }).then_some(size)
        });
        self.values.lie(gone, -1);
        self.lone.take_out(sheet, board, &self.values);
    }
    /// Enters the leftovers of a board, after it has changed.
    fn index(&mut self, board: u32) {
        let Some(sheet) = &self.sheets[board as usize] else {
            self.vacant.insert(board);
            return;
        };
        let leaves = &mut self.leaves;
        let come = usable_leaves(sheet, &self.sizes).map(|(node, rect)| {
            let size = (rect.width(), rect.height());
            leaves.insert(size, Place { board, node });
            size
        });
        self.values.lie(come, 1);
        self.lone.enter(sheet, board, &self.values);
    }
    /// A board with a usable leftover, drawn from among them.
    pub fn slack_board(&self, draw: usize) -> Option<u32> {
        self.leaves.any(draw).map(|p| p.board)
    }
    pub fn leaves(&self) -> &Leaves {
        &self.leaves
    }
    pub fn lone(&self) -> &Lone {
        &self.lone
    }
    pub fn values(&self) -> &Values {
        &self.values
    }
    /// A board, and what leftovers are worth.
    pub fn sheet_and_values(&mut self, board: u32) -> Option<(&mut Sheet, &Values)> {
        let sheet = self.sheets.get_mut(board as usize)?.as_mut()?;
        Some((sheet, &self.values))
    }
    /// The pieces cut from a board.
    pub fn pieces_on(&self, board: u32) -> Vec<u32> {
        let sheet = self.sheets[board as usize].as_ref();
        sheet.map_or_else(Vec::new, |s| s.pieces().collect())
    }
    /// What a piece costs where it costs least, how it lies there, and the leftover; none for a new board.
    pub fn cheapest(&self, blank: &Blank) -> (i64, Pose, Option<(i32, i32)>) {
        let piece = (blank.width, blank.height);
        let (cost, pose) = self.values.new_board(piece, blank.plain);
        if piece != (self.sizes.length, self.sizes.height)
            && let Some((used, leaf, how)) = self.values.best_leaf(&self.leaves, piece, blank.plain)
            && used < cost
        {
            return (used, how, Some(leaf));
        }
        (cost, pose, None)
    }
    /// Cuts a piece where it costs least; from a new board if no leftover serves better.
    pub fn place(&mut self, blank: &Blank) -> Place {
        let piece = (blank.width, blank.height);
        let (cost, pose, leaf) = self.cheapest(blank);
        let at = leaf.and_then(|leaf| self.leaves.at(leaf));
        let twin = |slant: Slant| self.lone.best(&self.values, piece, slant);
        match blank.slant.and_then(twin) {
            Some((used, room)) if used < cost => self.join(blank, room),
            _ => self.cut(blank, at, pose),
        }
    }
    /// Lays a piece against a lone one, `room.free` of whose rectangle's room is left after it.
    fn join(&mut self, blank: &Blank, room: Room) -> Place {
        let kerf = self.sizes.kerf;
        self.touch(room.place.board);
        if let Some(sheet) = &mut self.sheets[room.place.board as usize] {
            let beside = &mut sheet.nodes[room.beside as usize].rect;
            let end = beside.x1 - room.free;
            beside.x0 = (end + kerf).min(beside.x1);
            let node = &mut sheet.nodes[room.place.node as usize];
            node.rect.x1 = end;
            if let Kind::Item { twin, .. } = &mut node.kind {
                *twin = Some(blank.piece);
            }
        }
        self.settle(room.place.board);
        room.place
    }
    /// The width with which a piece of a slant would fill the room beside a lone one, drawn from among those.
    pub fn twin_width(&self, blank: &Blank, limits: [i32; 2], draw: usize) -> Option<i32> {
        let (height, kerf) = (blank.height, self.sizes.kerf);
        let mut widths = self.lone.widths(blank.slant?, height, kerf, draw);
        widths.find(|w| limits[0] <= *w && *w <= limits[1])
    }
    fn cut(&mut self, blank: &Blank, at: Option<Place>, pose: Pose) -> Place {
        self.lone.slopes |= blank.slant.is_some();
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
        let spare = &mut self.journal.spare;
        let blank_sheet = || {
            let mut sheet = spare.pop().unwrap_or_default();
            sheet.begin(Rect {
                x0: 0,
                y0: 0,
                x1: sizes.length,
                y1: sizes.height,
            });
            sheet
        };
        let sheet = self.sheets[board as usize].get_or_insert_with(blank_sheet);
        let (width, height) = match pose {
            Pose::Upright => (blank.width, blank.height),
            Pose::Turned => (blank.height, blank.width),
        };
        let node = carve(sheet, leaf, (width, height), &self.values);
        let rect = sheet.nodes[node as usize].rect;
        let notches = blank.notches.iter();
        for n in notches.filter_map(|n| notch_leaf(*n, (width, height), sizes.kerf)) {
            sheet.add(Node {
                rect: Rect {
                    x0: n.x0 + rect.x0,
                    x1: n.x1 + rect.x0,
                    y0: n.y0 + rect.y0,
                    y1: n.y1 + rect.y0,
                },
                parent: Some(node),
                kind: Kind::Free,
            });
        }
        sheet.nodes[node as usize].kind = Kind::Item {
            piece: blank.piece,
            pose,
            notch_cuts: blank.notch_cuts,
            slant: blank.slant,
            twin: None,
        };
        self.settle(board);
        Place { board, node }
    }
    /// Takes everything off a board.
    pub fn clear(&mut self, board: u32) {
        self.touch(board);
        let sheet = self.sheets[board as usize].take();
        self.journal.spare.extend(sheet);
        self.settle(board);
    }
    /// Takes a piece off its board; pieces that were cut from its notches come off too and are listed.
    pub fn remove(&mut self, place: Place) -> Vec<u32> {
        self.touch(place.board);
        let mut evicted = Vec::new();
        if let Some(sheet) = &mut self.sheets[place.board as usize] {
            sheet.clear(place.node, &mut evicted);
            sheet.merge_up(place.node, self.sizes.kerf);
        }
        self.settle(place.board);
        evicted
    }
}

fn carve(sheet: &mut Sheet, leaf: u32, piece: (i32, i32), values: &Values) -> u32 {
    let rect = sheet.nodes[leaf as usize].rect;
    let (_, axis) = values.leave((rect.width(), rect.height()), piece);
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
            node = sheet.split(node, axis, at, values.sizes.kerf);
        }
    }
    node
}

/// What falls out of a notch: the notch less the kerf along each side that is cut.
pub fn notch_leaf(notch: Rect, piece: (i32, i32), kerf: i32) -> Option<Rect> {
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

/// The leftovers of a board that can still become a piece.
fn usable_leaves<'a>(sheet: &'a Sheet, sizes: &'a Sizes) -> impl Iterator<Item = (u32, Rect)> + 'a {
    sheet.nodes.iter().enumerate().filter_map(|(index, node)| {
        let free =
            matches!(node.kind, Kind::Free) && sizes.usable(node.rect.width(), node.rect.height());
        free.then_some((index as u32, node.rect))
    })
}
