//! What the surveyed walls ask of a system, told beside every answer: ends that do not meet, inner corners without room, base lines beside
//! sills. Boards are laid all the same.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{Building, Facade, FinishedOpening, Meets, Side};
use quantity::Mm;
use setting_out::Rules;
use working::{Finding, Severity};

/// What the boards take at a wall.
#[derive(Clone, Copy, Debug)]
pub(crate) struct BoardsAtWall<'a> {
    pub thickness: Mm,
    pub bed: Mm,
    pub rules: &'a Rules,
}

impl BoardsAtWall<'_> {
    /// How far the boards stand before the bare wall.
    fn depth(&self) -> Mm {
        self.thickness + self.bed
    }
}

/// All of them, facade by facade.
pub(crate) fn findings(building: &Building, boards: BoardsAtWall<'_>) -> Vec<Finding> {
    let facades = building.facades.iter().enumerate();
    let of = |(i, facade): (usize, &Facade)| {
        let path = format!("building.facades[{i}]");
        let mut list = Vec::new();
        list.extend(ends_apart(building, facade, &path));
        list.extend(narrow(building, facade, &path, boards));
        list.extend(covered(building, facade, &path, boards));
        list.extend(base_line_near(facade, &path, boards.rules));
        list
    };
    facades.flat_map(of).collect()
}

/// Ends that a corner or a joint joins and that share no height: heights are measured from one level, or there is nothing to tooth.
fn ends_apart(building: &Building, facade: &Facade, path: &str) -> Option<Finding> {
    let (kind, with) = match facade.meets(Side::Right) {
        Meets::SalientCorner { with } => ("salient corner", with),
        Meets::ReEntrantCorner { with } => ("re-entrant corner", with),
        Meets::StructuralJoint {
            with: Some(with), ..
        } => ("structural joint", with),
        _ => return None,
    };
    let other = building.facades.get(building.facade_index(with)?)?;
    let (own, theirs) = (facade.end(Side::Right), other.end(Side::Left));
    let shared = own.1.min(theirs.1) - own.0.max(theirs.0);
    (shared <= Mm::ZERO).then(|| Finding {
        code: "JOINED_ENDS_APART",
        severity: Severity::Caution,
        path: format!("{path}.right"),
        text: format!(
            "The {kind} of {} and {} joins ends that share no height: that of {} stands from {} to {}, that of {} from {} to {}. Nothing runs on round it. Heights of facades that are joined are measured from one level: check them.",
            facade.id, other.id, facade.id, own.0, own.1, other.id, theirs.0, theirs.1
        ),
        source: "",
    })
}

/// A facade that the boards of its neighbours at inner corners leave no width, or less than the least piece.
fn narrow(
    building: &Building,
    facade: &Facade,
    path: &str,
    boards: BoardsAtWall<'_>,
) -> Option<Finding> {
    let neighbours: Vec<&str> = [Side::Left, Side::Right]
        .into_iter()
        .filter_map(|side| building.before(facade, side))
        .map(|(other, ..)| other.id.as_str())
        .collect();
    if neighbours.is_empty() {
        return None;
    }
    // A course of a wall no wider than a board runs past at one of its corners and stops at the other, so that only one neighbour's board
    // and bed narrow its pieces.
    let taken = boards.depth();
    let left = facade.width() - taken;
    let (code, severity, how) = if left <= Mm::ZERO {
        let how = format!("{} too little: no board of its own fits", left.abs());
        ("INNER_CORNER_TOO_NARROW", Severity::Breach, how)
    } else if left < boards.rules.min_piece_width {
        let least = boards.rules.min_piece_width;
        let how = format!("{left} are left, less than the least piece of {least}");
        ("INNER_CORNER_NARROW", Severity::Caution, how)
    } else {
        return None;
    };
    Some(Finding {
        code,
        severity,
        path: path.into(),
        text: format!(
            "{} is {} wide, and the board and bed of {} before it take {taken}: {how}. A thinner board there, or another detail, is to be decided.",
            facade.id,
            facade.width(),
            neighbours.join(" or ")
        ),
        source: "",
    })
}

/// Openings that the boards of the facade across an inner corner stand before.
fn covered(
    building: &Building,
    facade: &Facade,
    path: &str,
    boards: BoardsAtWall<'_>,
) -> Vec<Finding> {
    let (low, high) = facade.bounds();
    let mut list = Vec::new();
    for side in [Side::Left, Side::Right] {
        let Some((other, (from, to))) = building.before(facade, side) else {
            continue;
        };
        for (i, FinishedOpening { opening, size, .. }) in facade.finished_openings().enumerate() {
            let by = match side {
                Side::Left => low.x + boards.depth() - size.x,
                Side::Right => size.right() - (high.x - boards.depth()),
            };
            if by <= Mm::ZERO || size.top() <= from || size.y >= to {
                continue;
            }
            list.push(Finding {
                code: "INNER_CORNER_COVERS_OPENING",
                severity: Severity::Breach,
                path: format!("{path}.openings[{i}]"),
                text: format!(
                    "{}: opening `{}` reaches {} into the depth of {} ({} board and bed) that {} takes at the inner corner: its boards cover that width of it. A thinner board there, or another detail, is to be decided.",
                    facade.id,
                    opening.id,
                    by.min(size.width),
                    boards.depth(),
                    boards.thickness,
                    other.id
                ),
                source: "",
            });
        }
    }
    list
}

/// Base lines that lie beside a sill or a lintel and not on it. They are given, so that no better line can be chosen.
fn base_line_near(facade: &Facade, path: &str, rules: &Rules) -> Vec<Finding> {
    let clear = rules.course_line_clear.max(rules.min_piece_height);
    let openings: Vec<FinishedOpening> = facade.finished_openings().collect();
    let mut list = Vec::new();
    for (i, step) in facade.base.iter().enumerate() {
        let over = |o: &&FinishedOpening| o.size.x < step.to && step.from < o.size.right();
        let places: Vec<String> = openings
            .iter()
            .filter(over)
            .flat_map(|FinishedOpening { opening, size, .. }| {
                [("sill", size.y), ("lintel", size.top())].map(|(name, y)| {
                    let gap = step.level - y;
                    let way = if gap > Mm::ZERO { "above" } else { "below" };
                    let near = gap != Mm::ZERO && gap.abs() < clear;
                    near.then(|| {
                        format!("{} {way} the {name} of opening `{}`", gap.abs(), opening.id)
                    })
                })
            })
            .flatten()
            .collect();
        if places.is_empty() {
            continue;
        }
        list.push(Finding {
            code: "BASE_LINE_NEAR_OPENING",
            severity: Severity::Caution,
            path: format!("{path}.base[{i}].level_mm"),
            text: format!(
                "{}: the base line at {} lies {}, nearer than {clear} and not on it: boards there are notched or low. Put it on the edge or further off where the site allows.",
                facade.id,
                step.level,
                places.join("; ")
            ),
            source: "setting-out rule set",
        });
    }
    list
}
