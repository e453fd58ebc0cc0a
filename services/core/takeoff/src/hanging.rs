//! Which way the mesh hangs on each facade: the ways together that buy the fewest rolls.
//!
//! All in drops, all in bands and the shorter way of each facade are cut first. Where these do not reach the bound by length, the ways
//! of the facades are searched together, those that differ most first; a branch whose length alone, with its waste on site, needs as many
//! rolls as are known is left out. The search ends after [`PLANS_MAX`] plans or [`NODES_MAX`] branches and says so.

use alloc::vec::Vec;
use core::cmp::Reverse;

use material::Mesh;
use quantity::Mm;

use crate::cutting::{CutFault, Cutting, Stock, cut, split};
use crate::mesh::{StripPlan, Strips};

/// Whether a strip may go on from the next roll.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Ends {
    /// Every strip that a roll holds is cut in one piece.
    Whole,
    /// A strip goes on from the next roll with an overlap.
    Joined,
}

impl Ends {
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Whole => "strips in one piece",
            Self::Joined => "strips going on from the next roll with an overlap",
        }
    }
}

/// The shortest part of a joined strip, common practice, no source.
const PART_MIN: Mm = Mm(1000);
/// The most plans of mixed ways that are cut.
const PLANS_MAX: u32 = 32;
/// The most branches that are looked at.
const NODES_MAX: u32 = 10_000;

/// The ways of one facade.
pub(crate) struct Face {
    pub drops: StripPlan,
    pub bands: StripPlan,
}

impl Face {
    pub(crate) const fn plan(&self, way: Strips) -> &StripPlan {
        match way {
            Strips::Drops => &self.drops,
            Strips::Bands => &self.bands,
        }
    }
}

/// One way of hanging the mesh.
pub(crate) struct Hung {
    /// The way of each facade.
    pub ways: Vec<Strips>,
    pub ends: Ends,
    pub cutting: Cutting,
    /// Rolls that hold what is cut and what site work wastes of it.
    pub bought: u64,
    /// Length of all strips, with the overlaps where one goes on.
    pub strip_length: i64,
    /// No plan of these ends can be bought with fewer rolls, whichever way each facade takes.
    pub least: u64,
    /// Rolls bought with all facades in drops and with all in bands.
    pub uniform: [u64; 2],
}

impl Hung {
    /// The one way of all facades; nothing where they differ.
    pub(crate) fn one_way(&self) -> Option<Strips> {
        let first = self.ways.first().copied().unwrap_or(Strips::Drops);
        self.ways.iter().all(|w| *w == first).then_some(first)
    }

    /// Fewest rolls bought, then fewest cut, then one way for all, then least mesh.
    fn rank(&self) -> (u64, u64, bool, i64) {
        (
            self.bought,
            self.cutting.bars,
            self.one_way().is_none(),
            self.strip_length,
        )
    }
}

/// What is hung, and from what.
pub(crate) struct Hanging<'a> {
    pub mesh: &'a Mesh,
    pub faces: &'a [Face],
    /// Reveals and diagonal pieces, the same whichever way the strips run.
    pub small: &'a [Mm],
    /// Steps of the search for each cutting plan.
    pub budget: u32,
}

impl Hanging<'_> {
    /// The best way with whole or joined strips; of equals whole before joined and drops before bands.
    ///
    /// # Errors
    /// What [`cut`] refuses.
    pub(crate) fn best(&self) -> Result<Hung, CutFault> {
        let whole = self.with_ends(Ends::Whole)?;
        let joined = self.with_ends(Ends::Joined)?;
        Ok(if joined.rank() < whole.rank() {
            joined
        } else {
            whole
        })
    }

    fn with_ends(&self, ends: Ends) -> Result<Hung, CutFault> {
        let all = |way| alloc::vec![way; self.faces.len()];
        let drops = self.hang(all(Strips::Drops), ends, self.budget)?;
        let bands = self.hang(all(Strips::Bands), ends, self.budget)?;
        let shorter = self.faces.iter().map(|face| self.shorter(face)).collect();
        let uniform = [drops.bought, bands.bought];
        let mut search = Search {
            hanging: self,
            ends,
            order: self.by_difference(),
            ways: shorter,
            best: if bands.rank() < drops.rank() {
                bands
            } else {
                drops
            },
            lowest: u64::MAX,
            plans: 0,
            nodes: 0,
            whole: true,
        };
        let shortest = search.ways.iter().zip(self.faces);
        let shortest = shortest.map(|(way, face)| self.length(face, *way)).sum();
        let by_length = self.rolls(shortest);
        if by_length < search.best.bought {
            let tried = self.hang(search.ways.clone(), ends, self.budget)?;
            search.keep(tried);
            search.descend(0, shortest)?;
        }
        let mut best = search.best;
        best.uniform = uniform;
        // A plan that was left out needs as many rolls as the best by its length alone; one that was cut, as many as its own bound.
        best.least = if search.whole {
            best.bought.min(search.lowest).max(by_length)
        } else {
            by_length
        };
        Ok(best)
    }

    /// Facades with how much their ways differ in length, most first; of equals in the order of the survey.
    fn by_difference(&self) -> Vec<(usize, i64)> {
        let differ = |face| self.length(face, Strips::Drops) - self.length(face, Strips::Bands);
        let mut order: Vec<(usize, i64)> = self
            .faces
            .iter()
            .map(|face| differ(face).abs())
            .enumerate()
            .collect();
        order.sort_by_key(|(_, more)| Reverse(*more));
        order
    }

    fn shorter(&self, face: &Face) -> Strips {
        if self.length(face, Strips::Bands) < self.length(face, Strips::Drops) {
            Strips::Bands
        } else {
            Strips::Drops
        }
    }

    /// Strips no longer than a roll.
    fn strips<'a>(&'a self, face: &'a Face, way: Strips) -> impl Iterator<Item = Mm> + 'a {
        let mesh = self.mesh;
        let lengths = face.plan(way).lengths.iter();
        lengths.flat_map(|l| split(*l, mesh.roll_length, -mesh.overlap, Mm::ZERO))
    }

    fn length(&self, face: &Face, way: Strips) -> i64 {
        self.strips(face, way).map(|l| i64::from(l.0)).sum()
    }

    /// Rolls that strips of this length need by length alone, with the small pieces and the waste on site.
    fn rolls(&self, strips: i64) -> u64 {
        let length = (strips + sum(self.small)) as f64 * (1.0 + self.mesh.article.waste_share);
        let roll = f64::from(self.mesh.roll_length.0.max(1));
        quantity::whole_packs(length, roll).unwrap_or(0)
    }

    fn hang(&self, ways: Vec<Strips>, ends: Ends, budget: u32) -> Result<Hung, CutFault> {
        let mut whole: Vec<Mm> = self
            .faces
            .iter()
            .zip(&ways)
            .flat_map(|(face, way)| self.strips(face, *way))
            .collect();
        // The longest first, so that a building and its mirror image go on from roll to roll alike.
        whole.sort_unstable_by_key(|strip| Reverse(*strip));
        let by_length = self.rolls(sum(&whole));
        let lengths = match ends {
            Ends::Whole => whole,
            Ends::Joined => joined(&whole, self.mesh),
        };
        let strip_length = sum(&lengths);
        let all: Vec<Mm> = lengths.iter().chain(self.small).copied().collect();
        let roll = Stock {
            length: self.mesh.roll_length,
            kerf: Mm::ZERO,
        };
        let cutting = cut(&all, roll, budget)?;
        Ok(Hung {
            ways,
            ends,
            bought: cutting.bars.max(self.rolls(strip_length)),
            strip_length,
            least: match ends {
                Ends::Whole => cutting.bound.max(by_length),
                Ends::Joined => by_length,
            },
            cutting,
            uniform: [0; 2],
        })
    }
}

/// The search over the ways of the facades.
struct Search<'a, 'b> {
    hanging: &'a Hanging<'b>,
    ends: Ends,
    /// Facades in the order in which their ways are chosen, with what the longer way takes more.
    order: Vec<(usize, i64)>,
    /// The shorter way of every facade that is not chosen yet.
    ways: Vec<Strips>,
    best: Hung,
    /// The least bound of a plan that was cut.
    lowest: u64,
    plans: u32,
    nodes: u32,
    /// Whether nothing was left out.
    whole: bool,
}

impl Search<'_, '_> {
    fn keep(&mut self, hung: Hung) {
        self.lowest = self.lowest.min(hung.least);
        if hung.rank() < self.best.rank() {
            self.best = hung;
        }
    }

    /// Chooses the ways from the facade at `depth` of the order on; as deep as there are facades. `strips` is the length of all strips
    /// by the ways chosen and the shorter ones of the others.
    fn descend(&mut self, depth: usize, strips: i64) -> Result<(), CutFault> {
        if self.hanging.rolls(strips) >= self.best.bought {
            return Ok(());
        }
        if self.plans >= PLANS_MAX || self.nodes >= NODES_MAX {
            self.whole = false;
            return Ok(());
        }
        self.nodes += 1;
        let Some((index, more)) = self.order.get(depth).copied() else {
            self.plans += 1;
            // Many plans share the budget of two.
            let budget = self.hanging.budget / (PLANS_MAX / 2);
            let hung = self.hanging.hang(self.ways.clone(), self.ends, budget)?;
            self.keep(hung);
            return Ok(());
        };
        let Some(shorter) = self.ways.get(index).copied() else {
            return Ok(());
        };
        let longer = match shorter {
            Strips::Drops => Strips::Bands,
            Strips::Bands => Strips::Drops,
        };
        for (way, strips) in [(shorter, strips), (longer, strips + more)] {
            self.choose(index, way);
            self.descend(depth + 1, strips)?;
        }
        self.choose(index, shorter);
        Ok(())
    }

    fn choose(&mut self, index: usize, way: Strips) {
        if let Some(chosen) = self.ways.get_mut(index) {
            *chosen = way;
        }
    }
}

/// Strips cut one after the other, going on from roll to roll; each is no longer than a roll.
fn joined(strips: &[Mm], mesh: &Mesh) -> Vec<Mm> {
    let mut parts = Vec::new();
    let mut room = mesh.roll_length;
    for strip in strips {
        let beyond = *strip - room + mesh.overlap;
        if *strip <= room {
            parts.push(*strip);
            room -= *strip;
        } else if room >= PART_MIN && beyond >= PART_MIN && beyond <= mesh.roll_length {
            parts.extend([room, beyond]);
            room = mesh.roll_length - beyond;
        } else {
            parts.push(*strip);
            room = mesh.roll_length - *strip;
        }
    }
    parts
}

/// Lengths together, in millimetres.
pub(crate) fn sum(lengths: &[Mm]) -> i64 {
    lengths.iter().map(|l| i64::from(l.0)).sum()
}
