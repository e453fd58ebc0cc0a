//! Leftovers in lists sorted by height, then by width: few enough that a list beats a tree, and looked up all the time.

use alloc::vec::Vec;

use crate::stock::Place;

/// Usable leftovers.
#[derive(Clone, Debug, Default)]
pub struct Leaves {
    classes: Vec<Class>,
}

/// Those of one height.
#[derive(Clone, Debug)]
pub struct Class {
    pub height: i32,
    pub widest: i32,
    /// Width and place, sorted.
    own: Vec<(i32, Place)>,
}

impl Class {
    /// The least widths that are at least `width` and at least `spare`, which is more; the widest where there is none.
    pub fn next_two(&self, width: i32, spare: i32) -> [i32; 2] {
        let from = self.own.partition_point(|l| l.0 < width);
        let rest = self.own.get(from..).unwrap_or(&[]);
        let at = |list: &[(i32, Place)], index: usize| list.get(index).map_or(self.widest, |l| l.0);
        let least = at(rest, 0);
        // Most lists are short, and what is roomy stands near to what just fits.
        let roomy = if least >= spare {
            least
        } else {
            at(rest, rest.partition_point(|l| l.0 < spare))
        };
        [least, roomy]
    }
    /// One of the widths from `least` to `most`.
    fn within(&self, [least, most]: [i32; 2], draw: usize) -> Option<i32> {
        let from = self.own.partition_point(|l| l.0 < least);
        let to = self.own.partition_point(|l| l.0 <= most);
        let count = to.checked_sub(from).filter(|n| *n > 0)?;
        self.own.get(from + draw % count).map(|l| l.0)
    }
    pub fn widths(&self) -> impl Iterator<Item = i32> + '_ {
        self.own.iter().map(|l| l.0)
    }
    pub fn count(&self) -> usize {
        self.own.len()
    }
}

impl Leaves {
    pub fn clear(&mut self) {
        self.classes.clear();
    }
    pub fn insert(&mut self, (width, height): (i32, i32), place: Place) {
        let at = self.classes.partition_point(|c| c.height < height);
        if self.classes.get(at).is_none_or(|c| c.height != height) {
            let (widest, own) = (width, Vec::new());
            let class = Class {
                height,
                widest,
                own,
            };
            self.classes.insert(at, class);
        }
        let class = &mut self.classes[at];
        class.widest = class.widest.max(width);
        let at = class.own.partition_point(|l| *l < (width, place));
        class.own.insert(at, (width, place));
    }
    /// Takes one out; says whether it was there.
    pub fn remove(&mut self, (width, height): (i32, i32), place: Place) -> bool {
        let at = self.classes.partition_point(|c| c.height < height);
        let Some(class) = self.classes.get_mut(at).filter(|c| c.height == height) else {
            return false;
        };
        let Ok(index) = class.own.binary_search(&(width, place)) else {
            return false;
        };
        class.own.remove(index);
        match class.own.last() {
            Some(last) => class.widest = last.0,
            None => drop(self.classes.remove(at)),
        }
        true
    }
    /// The classes of at least this height, the lowest first.
    pub fn from(&self, height: i32) -> &[Class] {
        let at = self.classes.partition_point(|c| c.height < height);
        self.classes.get(at..).unwrap_or(&[])
    }
    pub fn classes(&self) -> &[Class] {
        &self.classes
    }
    /// The first leftover of exactly this size.
    pub fn at(&self, (width, height): (i32, i32)) -> Option<Place> {
        let class = self.from(height).first().filter(|c| c.height == height)?;
        let index = class.own.partition_point(|l| l.0 < width);
        class.own.get(index).filter(|l| l.0 == width).map(|l| l.1)
    }
    /// One leftover, drawn from all.
    pub fn any(&self, draw: usize) -> Option<Place> {
        let count: usize = self.classes.iter().map(Class::count).sum();
        let mut wanted = draw % count.max(1);
        for class in &self.classes {
            match class.own.get(wanted) {
                Some(leaf) => return Some(leaf.1),
                None => wanted -= class.count(),
            }
        }
        None
    }
    /// The width, between two, of a leftover of at least this height, drawn from among them.
    pub fn width_within(&self, height: i32, limits: [i32; 2], draw: usize) -> Option<i32> {
        let classes = self.from(height);
        let first = draw % classes.len().max(1);
        let mut around = classes.iter().skip(first).chain(&classes[..first]);
        around.find_map(|class| class.within(limits, draw / classes.len().max(1)))
    }
    /// The height, between two, of a leftover at least so wide: what it gives when it is turned.
    pub fn height_within(&self, width: i32, [least, most]: [i32; 2], draw: usize) -> Option<i32> {
        let from = self.classes.partition_point(|c| c.height < least);
        let to = self.classes.partition_point(|c| c.height <= most);
        let classes = self.classes.get(from..to)?;
        let first = draw % classes.len().max(1);
        let mut around = classes.iter().skip(first).chain(&classes[..first]);
        around.find(|c| c.widest >= width).map(|c| c.height)
    }
}
