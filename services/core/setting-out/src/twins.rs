//! Pieces with one sloping end, cut in pairs: two of one hand lie against each other when one of them is turned by a half,
//! and one cut parts them.

use alloc::vec::Vec;

use crate::geometry::{Rect, Segment};
use crate::stock::{Axis, Kind, Place, Sheet, Sizes, Values};

/// The sloping end of a piece that is otherwise a rectangle, where it falls from edge to edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Slant {
    pub hand: Hand,
    /// How far the upper edge is shorter than the lower one.
    pub run: i32,
}

/// The end at which a piece slopes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hand {
    Left,
    Right,
}

/// So many thousandths of what a twin would save are hoped for: where joints are chosen, so that one of two like pieces is
/// laid first, and while a layout is judged.
pub const HOPE_LAYING: i64 = 800;
const HOPE_JUDGING: i64 = 400;

/// So many lone pieces are looked at for one that could lie against them.
const TWINS: usize = 32;

impl Slant {
    /// The slant of a piece, if it has one and is otherwise a rectangle.
    pub fn of(around: Rect, segments: &[Segment]) -> Option<Self> {
        let full = |s: &Segment| s.lo == [around.y0; 2] && s.hi == [around.y1; 2];
        let falls = |s: &Segment, hi: [i32; 2]| s.lo == [around.y0; 2] && s.hi == hi;
        let (first, last) = (segments.first()?, segments.last()?);
        let (hand, end, rest) = if falls(last, [around.y1, around.y0]) {
            (Hand::Right, last, &segments[..segments.len() - 1])
        } else if falls(first, [around.y0, around.y1]) {
            (Hand::Left, first, &segments[1..])
        } else {
            return None;
        };
        let run = end.x1 - end.x0;
        rest.iter().all(full).then_some(Self { hand, run })
    }
    /// The kerf along the level, rounded up.
    fn level_kerf(self, height: i32, kerf: i32) -> i32 {
        let square = |a: i32| i64::from(a) * i64::from(a);
        let slit = square(kerf) * (square(height) + square(self.run));
        let root = slit.isqrt();
        let root = root + i64::from(root * root < slit);
        ((root + i64::from(height) - 1) / i64::from(height.max(1))) as i32
    }
    /// By how much a rectangle that holds a piece of this slant grows when a like one of a width lies against it;
    /// nothing if their slopes differ by more than the grid.
    fn growth(self, other: Self, (width, height): (i32, i32), kerf: i32) -> Option<i32> {
        let alike = self.hand == other.hand && (self.run - other.run).abs() <= 1;
        let steeper = if self.run < other.run { other } else { self };
        let run = self.run.min(other.run);
        alike.then(|| width - run + steeper.level_kerf(height, kerf))
    }
    /// What a twin would save beside a leftover, on top of the worth of that.
    pub fn saving(self, values: &Values, (left, height): (i32, i32)) -> i64 {
        let sizes = &values.sizes;
        let with = (left + self.run).min(sizes.length);
        if with < sizes.min_width.max(self.run) {
            return 0;
        }
        let full = values.upright(with) * i64::from(height) / i64::from(sizes.height);
        (full - values.value(left, height)).max(0)
    }
    /// The width at which two like pieces fill a board.
    pub fn half_width(self, height: i32, sizes: &Sizes) -> i32 {
        (sizes.length + self.run - self.level_kerf(height, sizes.kerf)) / 2
    }
}

/// A lone piece with a slant, and the room beside it.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    pub place: Place,
    slant: Slant,
    height: i32,
    /// How far its rectangle can grow, or, once another piece lies against it, what is left of that.
    pub free: i32,
    /// The leftover beside it, and its width.
    pub beside: u32,
    left: i32,
}

impl Room {
    /// What lone pieces are sorted by.
    fn key(&self) -> (Hand, i32, i32, Place) {
        (self.slant.hand, self.height, self.free, self.place)
    }
    fn hope(&self, values: &Values) -> i64 {
        self.slant.saving(values, (self.left, self.height)) * HOPE_JUDGING / 1000
    }
}

/// The pieces of a board with a slant that no other lies against, where there is room for one.
fn rooms(sheet: &Sheet, board: u32) -> impl Iterator<Item = Room> + '_ {
    let nodes = sheet.nodes.iter().enumerate();
    nodes.filter_map(move |(index, node)| {
        let Kind::Item {
            slant: Some(slant),
            twin: None,
            ..
        } = node.kind
        else {
            return None;
        };
        let parent = sheet.nodes.get(node.parent? as usize)?;
        let Kind::Split {
            axis: Axis::Upright,
            first,
            second,
        } = parent.kind
        else {
            return None;
        };
        let beside = sheet.nodes.get(second as usize)?;
        let own = first as usize == index && matches!(beside.kind, Kind::Free);
        own.then_some(Room {
            place: Place { board, node: first },
            slant,
            height: node.rect.height(),
            free: parent.rect.x1 - node.rect.x1,
            beside: second,
            left: beside.rect.width(),
        })
    })
}

/// All lone pieces of one product.
#[derive(Clone, Debug, Default)]
pub struct Lone {
    /// Sorted by [`Room::key`].
    rooms: Vec<Room>,
    /// What twins are hoped to save.
    pub hope: i64,
    /// Whether any piece has had a slant: most buildings have none, and their boards need not be looked through.
    pub slopes: bool,
}

impl Lone {
    pub fn clear(&mut self) {
        self.rooms.clear();
        self.hope = 0;
    }
    /// Enters those of a board, after it has changed.
    pub fn enter(&mut self, sheet: &Sheet, board: u32, values: &Values) {
        if !self.slopes {
            return;
        }
        for room in rooms(sheet, board) {
            let at = self.rooms.partition_point(|l| l.key() < room.key());
            self.rooms.insert(at, room);
            self.hope += room.hope(values);
        }
    }
    /// Takes those of a board out, before it changes.
    pub fn take_out(&mut self, sheet: &Sheet, board: u32, values: &Values) {
        if !self.slopes {
            return;
        }
        for room in rooms(sheet, board) {
            if let Ok(at) = self.rooms.binary_search_by_key(&room.key(), Room::key) {
                self.rooms.remove(at);
                self.hope -= room.hope(values);
            }
        }
    }
    /// Weighs them anew.
    pub fn weigh(&mut self, values: &Values) {
        self.hope = self.rooms.iter().map(|room| room.hope(values)).sum();
    }
    /// The lone piece that it costs least to lie against, among those with the least room that will do, and that cost.
    /// It is set against that of a lone piece, whose slope is cut for it alone.
    pub fn best(&self, values: &Values, size: (i32, i32), slant: Slant) -> Option<(i64, Room)> {
        let kerf = values.sizes.kerf;
        // Slopes that differ by the grid take that much less.
        let least = slant.growth(slant, size, kerf)? - 1;
        let first = (slant.hand, size.1, least, Place::default());
        let from = self.rooms.partition_point(|l| l.key() < first);
        let costs = self.rooms[from..].iter().take(TWINS).filter_map(|room| {
            let rest = room.free - room.slant.growth(slant, size, kerf)?;
            if room.height != size.1 || rest < 0 {
                return None;
            }
            let worth = |width: i32| values.value(width, room.height);
            let lost = worth(room.left) - worth(rest - kerf);
            // The slope is cut once for both; the cut beside them falls away where they fill the rectangle.
            let saved = 1 + i64::from(rest == 0);
            let cost = lost - saved * values.sizes.cut_cost();
            let free = rest;
            Some((cost, Room { free, ..*room }))
        });
        costs.min_by_key(|(cost, room)| (*cost, room.place))
    }
    /// Widths with which a piece of a slant would fill the room beside a lone one, beginning with one that is drawn.
    pub fn widths(
        &self,
        slant: Slant,
        height: i32,
        kerf: i32,
        draw: usize,
    ) -> impl Iterator<Item = i32> + '_ {
        let like = |l: &Room| (l.slant.hand, l.height);
        let kind = (slant.hand, height);
        let from = self.rooms.partition_point(|l| like(l) < kind);
        let to = self.rooms.partition_point(|l| like(l) <= kind);
        let own = self.rooms.get(from..to).unwrap_or(&[]);
        let (before, after) = own.split_at(draw % own.len().max(1));
        let rooms = after.iter().chain(before).take(TWINS);
        rooms.filter_map(move |room| {
            let over = room.slant.growth(slant, (0, height), kerf)?;
            Some(room.free - over)
        })
    }
}
