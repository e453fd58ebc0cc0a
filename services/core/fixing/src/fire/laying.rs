//! Where the strips of rule rows come to lie. What is told of a strip is what is laid: each names its levels, and one that has no place is
//! told with the reason.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt;

use facade::{Stretch, joined, less};
use quantity::Mm;
use working::{Finding, Severity};

use super::{
    FireBuilding, FireFacade, FireOpening, FireRule, FireTop, Proposal, StripPosition, StripRule,
};

/// How far a strip at a ceiling may lie from the level that the storeys give it, to come clear of sills and lintels: about the depth of a
/// ceiling with its floor; common practice, no source.
const CEILING_REACH: Mm = Mm(300);
/// The least height of a storey that is believed of eaves; below, the eaves are those of a part of the building, and its height is taken.
const LEAST_STOREY: Mm = Mm(2000);
/// How much worse than a narrow rest a strip is that lies out of line with the one beside it.
const OUT_OF_LINE: i64 = 3;
/// The most storeys that strips are counted over.
const MOST_STOREYS: u32 = 200;
/// The most places that one finding names.
const NAMED: usize = 6;

/// The strips of a building while they are laid.
pub(super) struct Laying<'a> {
    building: &'a FireBuilding,
    strips: Vec<Laid>,
    findings: Vec<Finding>,
    /// The axis of the highest strip of the row so far, by facade.
    below: Vec<Option<Mm>>,
}

/// A strip as it lies.
struct Laid {
    facade: usize,
    at: Stretch,
    y: Mm,
    height: Mm,
    /// Whether doors are expected to part it.
    parted_by_doors: bool,
    proposal: Proposal,
}

impl Laid {
    fn top(&self) -> Mm {
        self.y + self.height
    }
}

/// A strip of a row on its way to a level.
#[derive(Clone, Copy)]
struct Wanted<'a> {
    rule: &'a FireRule,
    strip: &'a StripRule,
}

impl Wanted<'_> {
    fn height(&self) -> Mm {
        self.strip.height_min
    }
}

/// The level of a ceiling, and what it rests on.
struct Ceiling {
    nominal: Mm,
    /// The highest level that the row allows.
    limit: Option<Mm>,
    text: String,
}

impl Ceiling {
    fn target(&self) -> Mm {
        self.limit.map_or(self.nominal, |l| self.nominal.min(l))
    }
}

/// What a strip does not keep clear of, with the distance or the depth.
enum Clash<'a> {
    Through(&'a FireOpening),
    SillIn(&'a FireOpening, Mm),
    LintelIn(&'a FireOpening, Mm),
    SillNear(&'a FireOpening, Mm),
    LintelNear(&'a FireOpening, Mm),
    BaseNear(Mm),
    TopNear(Mm),
    StripNear(Mm),
    StripIn,
}

impl Clash<'_> {
    /// How much worse than a narrow rest it is.
    fn weight(&self) -> i64 {
        match self {
            Self::StripIn => 100,
            Self::Through(_) => 4,
            Self::SillIn(..) | Self::LintelIn(..) => 2,
            _ => 1,
        }
    }
}

impl fmt::Display for Clash<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Through(o) => write!(f, "opening `{}` goes through it", o.id),
            Self::SillIn(o, by) => write!(f, "the sill of opening `{}` cuts {by} into it", o.id),
            Self::LintelIn(o, by) => {
                write!(f, "the lintel of opening `{}` cuts {by} into it", o.id)
            }
            Self::SillNear(o, gap) => {
                write!(f, "it ends {gap} below the sill of opening `{}`", o.id)
            }
            Self::LintelNear(o, gap) => {
                write!(f, "it begins {gap} above the lintel of opening `{}`", o.id)
            }
            Self::BaseNear(gap) => write!(f, "it begins {gap} above the lower edge"),
            Self::TopNear(gap) => write!(f, "it ends {gap} below the upper edge"),
            Self::StripNear(gap) => write!(f, "it lies {gap} from another strip"),
            Self::StripIn => write!(f, "another strip lies in it"),
        }
    }
}

fn overlap(a: Stretch, b: Stretch) -> bool {
    a.0 < b.1 && b.0 < a.1
}

impl FireFacade {
    /// The stretches over which a strip finds wall over its whole height.
    fn stretches(&self, y: Mm, height: Mm) -> Vec<Stretch> {
        let low = |step: &&super::FireStep| step.level > y;
        let buried: Vec<Stretch> = self
            .base
            .iter()
            .filter(low)
            .map(|s| (s.from, s.to))
            .collect();
        let above = |top: &&FireTop| top.low() < y + height;
        let open: Vec<Stretch> = self
            .top
            .iter()
            .filter(above)
            .map(|t| (t.from, t.to))
            .collect();
        let all = alloc::vec![(self.left, self.right)];
        joined(less(less(all, &buried), &open))
    }
    /// Where the wall begins and ends at its left or right edge.
    fn at_edge(&self, x: Mm) -> Option<(Mm, Mm)> {
        let base = self.base.iter().find(|s| s.from == x || s.to == x)?;
        let top = self.top.iter().find(|t| t.from == x || t.to == x)?;
        Some((base.level, if top.from == x { top.left } else { top.right }))
    }
}

impl<'a> Laying<'a> {
    pub(super) fn new(building: &'a FireBuilding) -> Self {
        Self {
            building,
            strips: Vec::new(),
            findings: Vec::new(),
            below: Vec::new(),
        }
    }

    /// The strips of one row: the edges first, between which those at ceilings find their levels.
    pub(super) fn lay(&mut self, rule: &FireRule, strips: &[StripRule]) {
        self.below = alloc::vec![None; self.building.facades.len()];
        let wanted = || strips.iter().map(|strip| Wanted { rule, strip });
        for want in wanted() {
            match want.strip.position {
                StripPosition::LowerEdge { not_above } => self.along_lower_edge(want, not_above),
                StripPosition::UpperEdge => self.along_upper_edge(want),
                _ => {}
            }
        }
        for want in wanted() {
            match want.strip.position {
                StripPosition::Ceiling { storey, from_below } => {
                    self.at_ceiling(want, storey, from_below);
                }
                StripPosition::EveryStoreys { storeys } => {
                    let step = storeys.max(1);
                    for number in
                        (step..self.building.storeys.min(MOST_STOREYS)).step_by(step as usize)
                    {
                        self.at_ceiling(want, number, Mm::ZERO);
                    }
                }
                _ => {}
            }
        }
        for want in wanted() {
            if let StripPosition::OverOpenings { past } = want.strip.position {
                self.over_openings(want, past);
            }
        }
    }

    /// The strips, and what is to be said of them.
    pub(super) fn laid(mut self) -> (Vec<Proposal>, Vec<Finding>) {
        let told = self
            .strips
            .iter()
            .enumerate()
            .filter_map(|(i, strip)| self.not_clear(i, strip));
        let told: Vec<Finding> = told.collect();
        self.findings.extend(told);
        let corners = self
            .building
            .joined
            .iter()
            .filter_map(|corner| self.broken_at(*corner));
        let corners: Vec<Finding> = corners.collect();
        self.findings.extend(corners);
        let proposals = self
            .strips
            .into_iter()
            .map(|strip| strip.proposal)
            .collect();
        (proposals, self.findings)
    }

    fn along_lower_edge(&mut self, want: Wanted<'_>, not_above: Mm) {
        let building = self.building;
        for (index, facade) in building.facades.iter().enumerate() {
            let levels: BTreeSet<Mm> = facade.base.iter().map(|step| step.level).collect();
            let told = if levels.len() > 1 {
                "; the row does not say how it is carried up a step"
            } else {
                ""
            };
            let text =
                format!("along the lower edge, not higher than {not_above} above ground{told}");
            for &level in &levels {
                let own = facade.base.iter().filter(|step| step.level == level);
                let own = joined(own.map(|step| (step.from, step.to)).collect());
                for stretch in own {
                    self.place_where_wall_is(want, index, stretch, level, &text);
                }
            }
            if let Some(below) = self.below.get_mut(index) {
                *below = Some(facade.bottom() + want.height() / 2);
            }
        }
    }

    /// Along level pieces of the upper edge; where it slopes, at the height of the eaves, and the slope is told.
    fn along_upper_edge(&mut self, want: Wanted<'_>) {
        let building = self.building;
        let height = want.height();
        for (index, facade) in building.facades.iter().enumerate() {
            let mut places: BTreeMap<Mm, Vec<Stretch>> = BTreeMap::new();
            let mut eaves: BTreeSet<Mm> = BTreeSet::new();
            for run in runs(&facade.top) {
                let (Some(first), Some(last)) = (run.first(), run.last()) else {
                    continue;
                };
                let own = (first.from, last.to);
                let y = run.iter().map(FireTop::low).min().unwrap_or(facade.left) - height;
                if first.is_level() {
                    places.entry(y).or_default().push(own);
                    continue;
                }
                let peak = run.iter().map(FireTop::high).max().unwrap_or(y);
                let why = format!(
                    "from {} to {} the upper edge slopes up to {peak}: no strip is laid along the slope",
                    own.0, own.1
                );
                self.tell_not_laid(want, index, &why);
                eaves.insert(y);
                let wall = facade.stretches(y, height).into_iter();
                let wall = wall.filter(|stretch| overlap(*stretch, own));
                places.entry(y).or_default().extend(wall);
            }
            for (y, stretches) in places {
                let text = if eaves.contains(&y) {
                    "along the eaves, above which the upper edge slopes"
                } else {
                    "along the upper edge"
                };
                for stretch in joined(stretches) {
                    self.place_where_wall_is(want, index, stretch, y, text);
                }
            }
        }
    }

    /// A strip that must find wall over all of its stretch.
    fn place_where_wall_is(
        &mut self,
        want: Wanted<'_>,
        index: usize,
        at: Stretch,
        y: Mm,
        text: &str,
    ) {
        let Some(facade) = self.building.facades.get(index) else {
            return;
        };
        let wall = facade.stretches(y, want.height());
        for stretch in less(alloc::vec![at], &wall) {
            let why = format!("from {} to {} the wall is too low", stretch.0, stretch.1);
            self.not_laid(want, index, text, y, &why);
        }
        for stretch in wall {
            let part = (stretch.0.max(at.0), stretch.1.min(at.1));
            if part.0 < part.1 {
                self.place(want, index, part, y, text);
            }
        }
    }

    fn over_openings(&mut self, want: Wanted<'_>, past: Mm) {
        let building = self.building;
        for (index, facade) in building.facades.iter().enumerate() {
            for opening in &facade.openings {
                let stretch = (
                    (opening.left - past).max(facade.left),
                    (opening.right + past).min(facade.right),
                );
                let text = format!("over opening `{}`, {past} past it", opening.id);
                self.place(want, index, stretch, opening.top, &text);
            }
        }
    }

    /// At the ceiling of a storey, on one level over all facades that corners join.
    fn at_ceiling(&mut self, want: Wanted<'_>, number: u32, from_below: Mm) {
        if number > self.building.storeys {
            return;
        }
        for group in self.groups() {
            let ceiling = self.ceiling(want, &group, number, from_below);
            let y = ceiling.target();
            let taken: Vec<(usize, Vec<Stretch>)> = group
                .iter()
                .map(|&facade| (facade, self.taken(facade, y, want.height())))
                .collect();
            let level = self.clearest(want, &ceiling, &taken);
            for (index, holes) in &taken {
                self.ceiling_on(want, (*index, holes), &ceiling, level);
            }
        }
    }

    /// The ceiling's strip on one facade, where other strips do not serve already.
    fn ceiling_on(
        &mut self,
        want: Wanted<'_>,
        (index, holes): (usize, &[Stretch]),
        ceiling: &Ceiling,
        level: Mm,
    ) {
        let Some(facade) = self.building.facades.get(index) else {
            return;
        };
        for hole in holes {
            let why = format!(
                "from {} to {} a strip that serves lies at this level or next to it",
                hole.0, hole.1
            );
            self.not_laid(want, index, &ceiling.text, ceiling.target(), &why);
        }
        let wall = facade.stretches(level, want.height());
        let all = alloc::vec![(facade.left, facade.right)];
        for beyond in less(less(all, &wall), holes) {
            let why = format!(
                "from {} to {} the wall begins above it, or ends or slopes below its upper edge",
                beyond.0, beyond.1
            );
            self.not_laid(want, index, &ceiling.text, level, &why);
        }
        let moved = level - ceiling.target();
        let how = if moved == Mm::ZERO {
            String::new()
        } else {
            let way = if moved > Mm::ZERO { "higher" } else { "lower" };
            format!(
                "; laid {} {way} than that, off sills, lintels and edges as far as there is room",
                moved.abs()
            )
        };
        let text = format!("{}{how}", ceiling.text);
        for stretch in less(wall, holes) {
            self.place(want, index, stretch, level, &text);
            if let Some(below) = self.below.get_mut(index) {
                *below = Some(level + want.height() / 2);
            }
        }
    }

    /// Facades that corners and joints join, each by itself where none does.
    fn groups(&self) -> Vec<Vec<usize>> {
        let mut group: Vec<usize> = (0..self.building.facades.len()).collect();
        for &(a, b) in &self.building.joined {
            let (Some(&one), Some(&other)) = (group.get(a), group.get(b)) else {
                continue;
            };
            for of in &mut group {
                if *of == other {
                    *of = one;
                }
            }
        }
        let names: BTreeSet<usize> = group.iter().copied().collect();
        let members = |name: usize| {
            let of = group.iter().enumerate().filter(move |(_, of)| **of == name);
            of.map(|(facade, _)| facade).collect()
        };
        names.into_iter().map(members).collect()
    }

    fn ceiling(&self, want: Wanted<'_>, group: &[usize], number: u32, from_below: Mm) -> Ceiling {
        let facades = || group.iter().filter_map(|f| self.building.facades.get(*f));
        let ground = facades().map(|f| f.ground).min().unwrap_or(Mm::ZERO);
        let highest_ground = facades().map(|f| f.ground).max().unwrap_or(ground);
        let eaves = facades().map(FireFacade::eaves).max().unwrap_or(ground) - ground;
        let storeys = i32::try_from(self.building.storeys.clamp(1, MOST_STOREYS)).unwrap_or(1);
        let (storey, rests_on) = if eaves / storeys >= LEAST_STOREY {
            (eaves / storeys, format!("eaves {eaves} above ground"))
        } else {
            let height = libm::floor(self.building.height.as_mm());
            let height = Mm(height.clamp(1.0, f64::from(Mm::LIMIT.0)) as i32);
            (height / storeys, format!("a height of {height}"))
        };
        let nominal = ground + storey * i32::try_from(number).unwrap_or(i32::MAX);
        let axes = group
            .iter()
            .filter_map(|f| self.below.get(*f).copied().flatten());
        let limit = axes.map(|axis| axis + from_below - want.height() / 2).min();
        let limit = limit.filter(|_| from_below > Mm::ZERO);
        let counted = if highest_ground > ground {
            ", counted from the lowest ground of the facades that corners join"
        } else {
            ""
        };
        let lowered = limit.filter(|limit| *limit < nominal).map_or_else(String::new, |limit| {
            format!("; lowered to {limit}, for its axis must not lie more than {from_below} above that of the strip below")
        });
        let text = format!(
            "at the ceiling of storey {number} at {nominal}, storeys taken as {storey} high by {rests_on} and {storeys} storeys{counted}{lowered}"
        );
        Ceiling {
            nominal,
            limit,
            text,
        }
    }

    /// The stretches of a facade where a strip lies at a level already, or so near that no board fits between.
    fn taken(&self, facade: usize, y: Mm, height: Mm) -> Vec<Stretch> {
        let near = self.strips.iter().filter(|strip| {
            let gap = (y - strip.top()).max(strip.y - (y + height));
            strip.facade == facade && (gap <= Mm::ZERO || gap < self.building.clear)
        });
        joined(near.map(|strip| strip.at).collect())
    }

    /// The level nearest to the ceiling at which the strip leaves out least wall and keeps clear of most sills, lintels and edges.
    fn clearest(&self, want: Wanted<'_>, ceiling: &Ceiling, taken: &[(usize, Vec<Stretch>)]) -> Mm {
        let (target, height) = (ceiling.target(), want.height());
        let high = target + CEILING_REACH;
        let high = ceiling.limit.map_or(high, |limit| high.min(limit));
        let mut levels: BTreeSet<Mm> = BTreeSet::new();
        levels.insert(target);
        for (facade, _) in taken {
            for edge in self.edges(*facade) {
                let clear = self.building.clear;
                let beside = [edge, edge + clear, edge - height, edge - height - clear];
                levels.extend(
                    beside
                        .into_iter()
                        .filter(|y| *y >= target - CEILING_REACH && *y <= high),
                );
            }
        }
        let cost = |y: Mm| {
            let each = taken
                .iter()
                .map(|(facade, holes)| self.cost(*facade, holes, y, height));
            let (left_out, weight) = each.fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
            (left_out, weight, (y - target).abs(), y)
        };
        levels
            .into_iter()
            .min_by_key(|y| cost(*y))
            .unwrap_or(target)
    }

    /// All heights that a strip on a facade should lie on or keep clear of.
    fn edges(&self, index: usize) -> Vec<Mm> {
        let Some(facade) = self.building.facades.get(index) else {
            return Vec::new();
        };
        let openings = facade.openings.iter().flat_map(|o| [o.bottom, o.top]);
        let base = facade.base.iter().map(|step| step.level);
        let top = facade.top.iter().flat_map(|top| [top.left, top.right]);
        let strips = self.strips.iter().filter(|strip| strip.facade == index);
        let strips = strips.flat_map(|strip| [strip.y, strip.top()]);
        openings.chain(base).chain(top).chain(strips).collect()
    }

    /// The width of wall that a strip at this level leaves out, and the weight of what it does not keep clear of.
    fn cost(&self, index: usize, holes: &[Stretch], y: Mm, height: Mm) -> (i64, i64) {
        let Some(facade) = self.building.facades.get(index) else {
            return (0, 0);
        };
        let stretches = less(facade.stretches(y, height), holes);
        let width = |stretches: &[Stretch]| -> i64 {
            stretches.iter().map(|s| i64::from((s.1 - s.0).0)).sum()
        };
        let weights = stretches.iter().flat_map(|stretch| {
            let clashes = self.clashes(index, *stretch, (y, y + height), None);
            clashes.into_iter().map(|clash| clash.weight())
        });
        // Beside a strip that serves already, the barrier should run on at its level.
        let beside = self.strips.iter().filter(|strip| {
            strip.facade == index
                && strip.y != y
                && holes.iter().any(|hole| overlap(*hole, strip.at))
                && strip.y < y + height
                && y < strip.top()
        });
        let weight = weights.sum::<i64>() + OUT_OF_LINE * beside.count() as i64;
        let left_out = i64::from((facade.right - facade.left).0) - width(&stretches);
        (left_out, weight)
    }

    /// What a strip does not keep clear of; `own` is its place among the strips where it is laid already.
    fn clashes(
        &self,
        index: usize,
        at: Stretch,
        (low, high): (Mm, Mm),
        own: Option<usize>,
    ) -> Vec<Clash<'a>> {
        let building = self.building;
        let Some(facade) = building.facades.get(index) else {
            return Vec::new();
        };
        let near = |gap: Mm| gap > Mm::ZERO && gap < building.clear;
        let mut found = Vec::new();
        for o in &facade.openings {
            if !overlap(at, (o.left, o.right)) {
                continue;
            }
            if o.bottom >= high {
                found.extend(near(o.bottom - high).then(|| Clash::SillNear(o, o.bottom - high)));
            } else if o.top <= low {
                found.extend(near(low - o.top).then(|| Clash::LintelNear(o, low - o.top)));
            } else if o.bottom <= low && o.top >= high {
                found.push(Clash::Through(o));
            } else {
                found.extend((o.bottom > low).then(|| Clash::SillIn(o, high - o.bottom)));
                found.extend((o.top < high).then(|| Clash::LintelIn(o, o.top - low)));
            }
        }
        let base = facade.base.iter().filter(|s| overlap(at, (s.from, s.to)));
        let base = base.map(|s| low - s.level).filter(|gap| near(*gap)).min();
        found.extend(base.map(Clash::BaseNear));
        let top = facade
            .top
            .iter()
            .filter(|t| t.is_level() && overlap(at, (t.from, t.to)));
        let top = top.map(|t| t.low() - high).filter(|gap| near(*gap)).min();
        found.extend(top.map(Clash::TopNear));
        let others = self.strips.iter().enumerate();
        for (i, other) in others.filter(|(_, o)| o.facade == index && overlap(at, o.at)) {
            let gap = (low - other.top()).max(other.y - high);
            if own != Some(i) && gap < Mm::ZERO {
                found.push(Clash::StripIn);
            } else if own != Some(i) && near(gap) {
                found.push(Clash::StripNear(gap));
            }
        }
        found
    }

    fn place(&mut self, want: Wanted<'_>, index: usize, at: Stretch, y: Mm, text: &str) {
        let Some(facade) = self.building.facades.get(index) else {
            return;
        };
        let height = want.height();
        let over = |strip: &&Laid| {
            strip.facade == index
                && overlap(strip.at, at)
                && strip.y < y + height
                && y < strip.top()
        };
        let others: Vec<(Stretch, String)> = self
            .strips
            .iter()
            .filter(over)
            .map(|other| {
                let why = format!(
                    "from {} to {} the strip of row {} from {} to {} lies there",
                    at.0.max(other.at.0),
                    at.1.min(other.at.1),
                    other.proposal.rule,
                    other.y,
                    other.top()
                );
                (other.at, why)
            })
            .collect();
        for (_, why) in &others {
            self.not_laid(want, index, text, y, why);
        }
        let holes: Vec<Stretch> = others.iter().map(|(stretch, _)| *stretch).collect();
        let through = facade.openings.iter();
        let through = through.filter(|o| o.bottom <= y && o.top >= y + height);
        let through: Vec<Stretch> = through.map(|o| (o.left, o.right)).collect();
        for stretch in less(alloc::vec![at], &holes) {
            if less(alloc::vec![stretch], &through).is_empty() {
                self.not_laid(want, index, text, y, "openings take its whole width");
                continue;
            }
            let strip = laid(want, index, facade, stretch, y, text);
            self.strips.push(strip);
        }
    }
    fn not_laid(&mut self, want: Wanted<'_>, index: usize, text: &str, y: Mm, why: &str) {
        let why = format!("a strip from {y} to {} {text}: {why}", y + want.height());
        self.tell_not_laid(want, index, &why);
    }

    fn tell_not_laid(&mut self, want: Wanted<'_>, index: usize, why: &str) {
        let Some(facade) = self.building.facades.get(index) else {
            return;
        };
        self.findings.push(of_facade(
            "FIRE_STRIP_NOT_LAID",
            facade,
            format!("{}: not laid of row {}: {why}.", facade.id, want.rule.id),
        ));
    }

    /// Sills, lintels and edges that a strip as laid does not keep clear of.
    fn not_clear(&self, own: usize, strip: &Laid) -> Option<Finding> {
        let facade = self.building.facades.get(strip.facade)?;
        let clashes = self.clashes(strip.facade, strip.at, (strip.y, strip.top()), Some(own));
        let expected =
            |clash: &&Clash<'_>| strip.parted_by_doors && matches!(clash, Clash::Through(_));
        let named: Vec<String> = clashes
            .iter()
            .filter(|c| !expected(c))
            .map(ToString::to_string)
            .collect();
        if named.is_empty() {
            return None;
        }
        let more = match named.len().saturating_sub(NAMED) {
            0 => String::new(),
            more => format!("; and {more} more"),
        };
        let told = named
            .get(..NAMED.min(named.len()))
            .unwrap_or_default()
            .join("; ");
        Some(of_facade(
            "FIRE_STRIP_NOT_CLEAR",
            facade,
            format!(
                "{}: the fire-barrier strip from {} to {} keeps less than {} clear: {told}{more}. Boards there are notched or low: settle the level on site.",
                facade.id,
                strip.y,
                strip.top(),
                self.building.clear
            ),
        ))
    }

    /// Strips that end at a corner although the wall beyond it has the same height.
    fn broken_at(&self, (a, b): (usize, usize)) -> Option<Finding> {
        let (one, other) = (self.building.facades.get(a)?, self.building.facades.get(b)?);
        let mut ends = self.ends_at(a, one.right, (b, other.left));
        ends.extend(self.ends_at(b, other.left, (a, one.right)));
        if ends.is_empty() {
            return None;
        }
        Some(of_facade(
            "FIRE_STRIP_ENDS_AT_CORNER",
            one,
            format!(
                "At the corner of {} and {} strips do not run on at one level: {}. Have the barrier closed there.",
                one.id,
                other.id,
                ends.join("; ")
            ),
        ))
    }

    /// Strips of a facade at one of its ends that none of the facade beyond takes up, where that has wall.
    fn ends_at(&self, own: usize, x: Mm, (beyond, x_beyond): (usize, Mm)) -> Vec<String> {
        let wall = self
            .building
            .facades
            .get(beyond)
            .and_then(|f| f.at_edge(x_beyond));
        let Some((base, top)) = wall else {
            return Vec::new();
        };
        let reaches = |strip: &Laid, x: Mm| strip.at.0 == x || strip.at.1 == x;
        let ends = self.strips.iter().filter(|strip| {
            let taken_up = |other: &Laid| {
                other.facade == beyond
                    && reaches(other, x_beyond)
                    && (other.y, other.height) == (strip.y, strip.height)
            };
            strip.facade == own
                && reaches(strip, x)
                && strip.y < top
                && base < strip.top()
                && !self.strips.iter().any(taken_up)
        });
        let told = |strip: &Laid| {
            format!(
                "that of {} from {} to {}",
                strip.proposal.facade,
                strip.y,
                strip.top()
            )
        };
        ends.map(told).collect()
    }
}

fn laid(
    want: Wanted<'_>,
    index: usize,
    facade: &FireFacade,
    at: Stretch,
    y: Mm,
    text: &str,
) -> Laid {
    let height = want.height();
    let metres = (at.1 - at.0).to_length().as_m().max(0.0);
    let extra = libm::ceil(metres * want.strip.extra_anchors_per_m * (1.0 - 1e-9));
    let over = if at == (facade.left, facade.right) {
        String::new()
    } else {
        format!(", x from {} to {},", at.0, at.1)
    };
    let mut text = format!("from {y} to {}{over} {text}", y + height);
    if !want.strip.note.is_empty() {
        text = format!("{text}; {}", want.strip.note);
    }
    Laid {
        facade: index,
        at,
        y,
        height,
        parted_by_doors: matches!(want.strip.position, StripPosition::LowerEdge { .. }),
        proposal: Proposal {
            rule: want.rule.id.clone(),
            facade: facade.id.clone(),
            x_from: at.0,
            x_to: at.1,
            y_from: y,
            y_to: y + height,
            material: want.strip.material,
            extra_anchors: extra.clamp(0.0, 1e6) as u32,
            text,
        },
    }
}

/// The upper edge in level pieces, each by itself, and runs of slopes.
fn runs(top: &[FireTop]) -> Vec<Vec<FireTop>> {
    let mut found: Vec<Vec<FireTop>> = Vec::new();
    for piece in top {
        let slope_goes_on = |run: &Vec<FireTop>| {
            run.last().is_some_and(|last| {
                !last.is_level()
                    && !piece.is_level()
                    && last.to == piece.from
                    && last.right == piece.left
            })
        };
        match found.last_mut() {
            Some(run) if slope_goes_on(run) => run.push(*piece),
            _ => found.push(alloc::vec![*piece]),
        }
    }
    found
}

fn of_facade(code: &'static str, facade: &FireFacade, text: String) -> Finding {
    Finding {
        code,
        severity: Severity::Caution,
        path: facade.path.clone(),
        text,
        source: "",
    }
}
