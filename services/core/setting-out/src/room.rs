//! What is left beside a piece on its board.

use alloc::vec::Vec;

use crate::geometry::Rect;
use crate::stock::{Axis, Kind, Place, Pose, Sheet, Stock};

impl Stock {
    /// How much wider a piece could be if it took all that is left beside it on its board. It changes places first with the pieces cut
    /// after it from the same strip, which costs nothing, so that it lies beside what is left of the strip.
    pub fn room_beside(&mut self, place: Place) -> Option<i32> {
        let kerf = self.sizes.kerf;
        let sheet = self.sheets.get_mut(place.board as usize)?.as_mut()?;
        sheet.pass_all(place.node, kerf, |_| false);
        let node = sheet.nodes.get(place.node as usize)?;
        let Kind::Item { pose, .. } = node.kind else {
            return None;
        };
        let (own, room) = (node.rect, sheet.room_around(place.node));
        let more = match pose {
            Pose::Upright => room.width() - own.width(),
            Pose::Turned => room.height() - own.height(),
        };
        (more > 0).then_some(more)
    }
}

impl Sheet {
    /// The rectangle of a node with the leftovers that were parted from it.
    fn room_around(&self, node: u32) -> Rect {
        let (mut index, mut rect) = (node, self.nodes[node as usize].rect);
        while let Some(parent) = self.nodes[index as usize].parent {
            let above = &self.nodes[parent as usize];
            let Kind::Split { first, second, .. } = above.kind else {
                break;
            };
            let beside = if first == index { second } else { first };
            if !matches!(self.nodes[beside as usize].kind, Kind::Free) {
                break;
            }
            (index, rect) = (parent, above.rect);
        }
        rect
    }

    /// Lets a node change places with all that was cut after it from the same strip, up to the first that `stays`.
    pub fn pass_all(&mut self, node: u32, kerf: i32, stays: impl Fn(u32) -> bool) {
        while let Some(next) = self.next_in_strip(node) {
            if stays(next.node) || stays(next.rest) {
                break;
            }
            self.exchange(node, next, kerf);
        }
    }

    /// Lets a leftover change places with the last thing that was cut from its strip, which fills it.
    pub fn turn_round(&mut self, parent: u32, kerf: i32) {
        let Kind::Split {
            axis,
            first,
            second,
        } = self.nodes[parent as usize].kind
        else {
            return;
        };
        if self.has_slant(second) {
            return;
        }
        self.change_places(axis, first, second, kerf);
        self.nodes[parent as usize].kind = Kind::Split {
            axis,
            first: second,
            second: first,
        };
    }

    /// The node cut from a strip right after this one, with the split that parted the strip before this one, the rest, and the axis.
    fn next_in_strip(&self, node: u32) -> Option<Next> {
        let kind = |index: u32| self.nodes[index as usize].kind;
        let parent = self.nodes[node as usize].parent?;
        let Kind::Split {
            axis,
            first,
            second: rest,
        } = kind(parent)
        else {
            return None;
        };
        let Kind::Split {
            axis: along,
            first: next,
            ..
        } = kind(rest)
        else {
            return None;
        };
        let movable = first == node && axis == along && !self.has_slant(node);
        (movable && !self.has_slant(next)).then_some(Next {
            parent,
            rest,
            node: next,
            axis,
        })
    }

    fn exchange(&mut self, node: u32, next: Next, kerf: i32) {
        let (dx, dy) = self.change_places(next.axis, node, next.node, kerf);
        let rest = &mut self.nodes[next.rest as usize].rect;
        rest.x0 += dx;
        rest.y0 += dy;
        for (parent, child) in [(next.parent, next.node), (next.rest, node)] {
            if let Kind::Split { first, .. } = &mut self.nodes[parent as usize].kind {
                *first = child;
            }
            self.nodes[child as usize].parent = Some(parent);
        }
    }

    /// Lets two parts of a strip that lie beside each other change places. Gives by how much the kerf between them moves.
    fn change_places(&mut self, axis: Axis, node: u32, next: u32, kerf: i32) -> (i32, i32) {
        let rect = |index: u32| self.nodes[index as usize].rect;
        let (own, other) = (rect(node), rect(next));
        let (own, other, along) = match axis {
            Axis::Upright => (own.width(), other.width(), (1, 0)),
            Axis::Level => (own.height(), other.height(), (0, 1)),
        };
        let by = |length: i32| (along.0 * length, along.1 * length);
        self.move_by(node, by(other + kerf));
        self.move_by(next, by(-own - kerf));
        by(other - own)
    }

    /// Whether a piece with a sloping end lies in a part of the board: another may lie against it.
    fn has_slant(&self, root: u32) -> bool {
        match self.nodes[root as usize].kind {
            Kind::Split { first, second, .. } => self.has_slant(first) || self.has_slant(second),
            Kind::Item { slant, twin, .. } => slant.is_some() || twin.is_some(),
            Kind::Free | Kind::Dead => false,
        }
    }

    /// Moves a part of the board with all that was cut from it.
    fn move_by(&mut self, root: u32, (dx, dy): (i32, i32)) {
        let rect = &mut self.nodes[root as usize].rect;
        *rect = Rect {
            x0: rect.x0 + dx,
            x1: rect.x1 + dx,
            y0: rect.y0 + dy,
            y1: rect.y1 + dy,
        };
        match self.nodes[root as usize].kind {
            Kind::Split { first, second, .. } => {
                self.move_by(first, (dx, dy));
                self.move_by(second, (dx, dy));
            }
            Kind::Item { notch_cuts, .. } if notch_cuts > 0 => {
                let inside: Vec<u32> = self.below(root).collect();
                for node in inside {
                    self.move_by(node, (dx, dy));
                }
            }
            Kind::Item { .. } | Kind::Free | Kind::Dead => {}
        }
    }
}

/// What was cut from a strip right after a node.
#[derive(Clone, Copy, Debug)]
struct Next {
    /// The split that parted the node from the rest of the strip.
    parent: u32,
    rest: u32,
    node: u32,
    axis: Axis,
}
