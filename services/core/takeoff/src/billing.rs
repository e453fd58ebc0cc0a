//! The billed area of one facade by a measurement rule set.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{Facade, FinishedOpening, Meets, OpeningKind, Rectangle, Side, length};
use quantity::{Area, Length, Mm};
use working::{Figure, Origin, Sheet};

use crate::depths::in_plinth;
use crate::edges::{Edges, plinth_level, shared};
use crate::formulas::BILLED_AREA;
use crate::measurement::{
    Adjacent, MeasurementRules, OpeningBasis, OutlineRule, Plane, RevealBilling, RevealSides,
};

/// What a rule set makes of one opening.
#[derive(Clone, Debug, PartialEq)]
pub struct BilledOpening {
    /// Its id.
    pub opening: String,
    /// The size that decided.
    pub size: Area,
    /// The band, from 0.
    pub band: usize,
    /// What is deducted.
    pub deducted: Area,
    /// What is added for its reveals.
    pub added: Area,
    /// Reveals billed by the metre.
    pub reveal_length: Length,
}

/// The part of the billed area in one stage of height above the lowest finished ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stage {
    /// Where it begins.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// Its area.
    pub area: Area,
}

/// The billed area and how it came about: `billed = gross - deducted + added`, rounded only at the end.
#[derive(Clone, Debug, PartialEq)]
pub struct Billing {
    /// The area inside the outline.
    pub gross: Area,
    /// Everything deducted.
    pub deducted: Area,
    /// Everything added: reveals, corners, the rest of a bounding rectangle.
    pub added: Area,
    /// The billed area at its full value.
    pub billed: Area,
    /// What is billed: the same rounded as the set says; by stages, their sum.
    pub rounded: Area,
    /// Opening by opening, in the order of the survey.
    pub openings: Vec<BilledOpening>,
    /// Reveals billed by the metre, rounded as the set says.
    pub reveal_length: Length,
    /// Base line billed by the metre, rounded as the set says.
    pub base_length: Length,
    /// The length of a facade that is but a strip and billed by the metre instead of its area, rounded as the set says.
    pub strip_length: Length,
    /// Areas by stage of height, each rounded as the set says; empty where the set has none.
    pub stages: Vec<Stage>,
}

/// How far the boards' face stands before the bare wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Projection {
    /// Of the facade's boards.
    pub facade: Length,
    /// How far that of a thinner plinth stands back from it.
    pub plinth_back: Length,
}

/// The size of an opening that decides, by the set. On the finished surface an opening that ends with the facade at a corner reaches to the
/// outer line of the insulation there.
fn decisive(
    facade: &Facade,
    edges: &Edges,
    opening: &FinishedOpening,
    projection: Projection,
    rules: &MeasurementRules,
) -> Decisive {
    let (raw, finished) = (opening.opening.raw, opening.size);
    let rectangle = match rules.basis {
        OpeningBasis::Raw => raw,
        OpeningBasis::Finished => finished,
        OpeningBasis::Smallest => Rectangle {
            width: raw.width.min(finished.width),
            height: raw.height.min(finished.height),
            ..finished
        },
    };
    let (low, high) = facade.bounds();
    let mut round = Length::ZERO;
    if rules.plane == Plane::FinishedSurface {
        let height = (finished.y, finished.top());
        let beside = |side: Side| {
            let top = plinth_level(facade, side, |step| step.level).min(finished.top());
            let low = (top - finished.y).max(Mm::ZERO).to_length();
            let share = low / finished.height.to_length();
            let face = projection.facade - projection.plinth_back * share;
            match facade.meets(side) {
                Meets::SalientCorner { .. } => face,
                Meets::ReEntrantCorner { .. } if edges.is_before(side, height) => -face,
                _ => Length::ZERO,
            }
        };
        if finished.x == low.x {
            round += beside(Side::Left);
        }
        if finished.right() == high.x {
            round += beside(Side::Right);
        }
    }
    let width = rectangle.width.to_length() + round;
    let area = rectangle.height.to_length() * width;
    Decisive { rectangle, area }
}

/// What decides about an opening.
struct Decisive {
    /// Where it lies on the bare wall.
    rectangle: Rectangle,
    /// Its area in the plane of measurement.
    area: Area,
}

/// The length of the reveals of an opening that the set counts: of the decisive size, less what has no wall beside it.
fn reveals(opening: &FinishedOpening, decisive: &Rectangle, sides: RevealSides) -> Length {
    let f = &opening.size;
    let in_wall = |whole: Mm, finished: Mm, wall: Mm| (whole - (finished - wall)).max(Mm::ZERO);
    let jamb = |wall: &[facade::Stretch]| in_wall(decisive.height, f.height, length(wall));
    let level = |wall: &[facade::Stretch]| in_wall(decisive.width, f.width, length(wall));
    let sill = match (sides, opening.opening.kind) {
        (RevealSides::AllSides, OpeningKind::Window) => level(&opening.foot),
        // A door has a threshold, and nothing is coated under it.
        (RevealSides::AllSides, OpeningKind::Door) | (RevealSides::JambsAndHead, _) => Mm::ZERO,
    };
    (jamb(&opening.left) + jamb(&opening.right) + level(&opening.head) + sill).to_length()
}

/// The area by which the band of each opening is sought.
fn sizes(openings: &[Decisive], adjacent: Adjacent) -> Vec<Area> {
    if adjacent == Adjacent::Apart {
        return openings.iter().map(|o| o.area).collect();
    }
    let touch = |a: &Rectangle, b: &Rectangle| {
        let across = a.right().min(b.right()) - a.x.max(b.x);
        let up = a.top().min(b.top()) - a.y.max(b.y);
        across >= Mm::ZERO && up >= Mm::ZERO && (across > Mm::ZERO || up > Mm::ZERO)
    };
    // Every opening takes the least number of the group it touches, until nothing changes; at most one round for each opening.
    let mut group: Vec<usize> = (0..openings.len()).collect();
    for _ in 0..openings.len() {
        let before = group.clone();
        for (i, a) in openings.iter().enumerate() {
            let least = openings
                .iter()
                .zip(&before)
                .filter(|(b, _)| touch(&a.rectangle, &b.rectangle))
                .map(|(_, g)| *g)
                .min();
            if let (Some(own), Some(least)) = (group.get_mut(i), least) {
                *own = least.min(*own);
            }
        }
        if group == before {
            break;
        }
    }
    group
        .iter()
        .map(|g| {
            openings
                .iter()
                .zip(&group)
                .filter(|(_, other)| *other == g)
                .map(|(o, _)| o.area)
                .sum()
        })
        .collect()
}

/// What is measured, without openings and reveals, inside a window: the outline or its rectangle, and the growth round the corners.
#[derive(Default)]
struct Measured {
    outline: Area,
    surplus: Area,
    growth: Area,
    interruptions: Area,
}

fn measured(
    facade: &Facade,
    edges: &Edges,
    projection: Projection,
    rules: &MeasurementRules,
    window: &Rectangle,
) -> Measured {
    let (low, high) = facade.bounds();
    let outline = facade::area_within(&facade.outline, window);
    let whole = Rectangle {
        x: low.x,
        y: low.y,
        width: high.x - low.x,
        height: high.y - low.y,
    };
    let surplus = match rules.outline {
        OutlineRule::AsBuilt => Area::ZERO,
        OutlineRule::BoundingRectangle => shared(&whole, window) - outline,
    };
    let round = match rules.plane {
        Plane::BareWall => Area::ZERO,
        Plane::FinishedSurface => [Side::Left, Side::Right]
            .map(|side| {
                let all = growing(facade, edges, side, rules.outline, window);
                let low = Rectangle {
                    height: (plinth_level(facade, side, |step| step.level).min(window.top())
                        - window.y)
                        .max(Mm::ZERO),
                    ..*window
                };
                // A rectangle round the finished surface is as wide as the surface is anywhere.
                let back = match rules.outline {
                    OutlineRule::AsBuilt => growing(facade, edges, side, rules.outline, &low),
                    OutlineRule::BoundingRectangle => Length::ZERO,
                };
                projection.facade * all - projection.plinth_back * back
            })
            .into_iter()
            .sum(),
    };
    let interruptions = facade
        .joints
        .iter()
        .filter(|j| {
            rules
                .interruption_over
                .is_some_and(|over| j.gap.to_length() > over)
        })
        .map(|j| {
            let strip = Rectangle {
                x: j.x - j.gap / 2,
                y: window.y,
                width: j.gap,
                height: window.height,
            };
            facade::area_within(&facade.outline, &strip)
        })
        .sum();
    Measured {
        outline,
        surplus,
        growth: round,
        interruptions,
    }
}

/// The height inside a window over which the finished surface reaches past an end of the bare wall: round a salient corner; less than
/// nothing where it ends before the other wall of a re-entrant one.
fn growing(
    facade: &Facade,
    edges: &Edges,
    side: Side,
    outline: OutlineRule,
    window: &Rectangle,
) -> Length {
    let within = |from: Mm, to: Mm| {
        let (from, to) = (from.max(window.y), to.min(window.top()));
        (to - from).max(Mm::ZERO).to_length()
    };
    let (low, high) = facade.bounds();
    let x = if side == Side::Left { low.x } else { high.x };
    let upright = |bottom: Mm, top: Mm| -> Length {
        let ends = facade.outline.iter();
        ends.zip(facade.outline.iter().cycle().skip(1))
            .filter(|(a, b)| a.x == x && b.x == x)
            .map(|(a, b)| within(a.y.min(b.y).max(bottom), a.y.max(b.y).min(top)))
            .sum()
    };
    // A rectangle round the finished surface is as high at its ends as everywhere, and as wide as the surface is anywhere.
    let of_rectangle = within(low.y, high.y);
    match (facade.meets(side), outline) {
        (Meets::SalientCorner { .. }, OutlineRule::AsBuilt) => upright(low.y, high.y),
        (Meets::SalientCorner { .. }, OutlineRule::BoundingRectangle) => of_rectangle,
        (Meets::ReEntrantCorner { .. }, OutlineRule::AsBuilt) => {
            let other = edges.before(side);
            -other.map_or(Length::ZERO, |(bottom, top)| upright(bottom, top))
        }
        (Meets::ReEntrantCorner { .. }, OutlineRule::BoundingRectangle)
            if edges.is_before(side, facade.end(side)) =>
        {
            -of_rectangle
        }
        _ => Length::ZERO,
    }
}

fn bill_openings(
    facade: &Facade,
    edges: &Edges,
    projection: Projection,
    rules: &MeasurementRules,
) -> Vec<(BilledOpening, Rectangle)> {
    let finished: Vec<FinishedOpening> = facade.finished_openings().collect();
    let decisive: Vec<Decisive> = finished
        .iter()
        .map(|opening| decisive(facade, edges, opening, projection, rules))
        .collect();
    let sizes = sizes(&decisive, rules.adjacent);
    finished
        .iter()
        .zip(decisive)
        .zip(sizes)
        .filter_map(|((finished, Decisive { rectangle, area }), size)| {
            let opening = finished.opening;
            let (band, rule) = rules.band(size)?;
            let length = reveals(finished, &rectangle, rules.reveal_sides);
            let frame = opening.reveal_depth.to_length();
            let (depth, narrower) = match rules.plane {
                Plane::BareWall => (frame, Area::ZERO),
                Plane::FinishedSurface => {
                    let low = in_plinth(facade, finished, |step| step.level);
                    let foot = match rules.reveal_sides {
                        RevealSides::AllSides => low.foot,
                        RevealSides::JambsAndHead => Length::ZERO,
                    };
                    let back = projection.plinth_back * (low.jambs + low.head + foot);
                    (frame + projection.facade, back)
                }
            };
            let by_length = match rule.reveals {
                RevealBilling::None => None,
                RevealBilling::Area => Some(
                    rules
                        .reveal_length_up_to
                        .is_some_and(|limit| depth <= limit),
                ),
                RevealBilling::Length => Some(true),
            };
            let billed = BilledOpening {
                opening: opening.id.clone(),
                size,
                band,
                deducted: area * rule.deduct_share,
                added: if by_length == Some(false) {
                    length * depth - narrower
                } else {
                    Area::ZERO
                },
                reveal_length: if by_length == Some(true) {
                    length
                } else {
                    Length::ZERO
                },
            };
            Some((billed, rectangle))
        })
        .collect()
}

/// What of a facade is billed by area.
#[derive(Default)]
struct Surface {
    measured: Measured,
    openings: Vec<(BilledOpening, Rectangle)>,
    /// Areas by stage of height, each rounded as the set says.
    stages: Vec<Stage>,
}

fn surface(
    facade: &Facade,
    edges: &Edges,
    projection: Projection,
    rules: &MeasurementRules,
) -> Surface {
    let (low, high) = facade.bounds();
    let all = Rectangle {
        x: low.x,
        y: low.y,
        width: high.x - low.x,
        height: high.y - low.y,
    };
    let openings = bill_openings(facade, edges, projection, rules);
    let stages = stages(facade, edges, projection, rules, &openings).into_iter();
    let rounded = |stage: Stage| Stage {
        area: rules.rounding.round_area(stage.area),
        ..stage
    };
    Surface {
        measured: measured(facade, edges, projection, rules, &all),
        stages: stages.map(rounded).collect(),
        openings,
    }
}

/// The length of a facade that the set bills by the metre, because it is but a strip: upright or level.
pub(crate) fn strip_length(facade: &Facade, rules: &MeasurementRules) -> Option<Length> {
    let limit = rules.narrow_strip_up_to?;
    let (low, high) = facade.bounds();
    let (width, height) = (high.x - low.x, high.y - low.y);
    (width.min(height).to_length() <= limit).then(|| width.max(height).to_length())
}

/// Bills one facade of a checked building; nothing where the set has no bands. A strip that the set bills by the metre has no billed area.
///
/// On the finished surface the plinth is measured in its own plane: round corners and in reveals it counts as far as it stands out itself.
pub fn bill(
    facade: &Facade,
    edges: &Edges,
    projection: Projection,
    rules: &MeasurementRules,
    sheet: &mut Sheet,
) -> Option<Billing> {
    if rules.bands.is_empty() {
        return None;
    }
    let rule = |what: &str| Origin::Rule(format!("measurement set {}, {what}", rules.key));
    let strip = strip_length(facade, rules);
    let Surface {
        measured: parts,
        openings,
        stages,
    } = match strip {
        Some(_) => Surface::default(),
        None => surface(facade, edges, projection, rules),
    };
    let gross = sheet.given(
        format!("A_gross {}", facade.id),
        facade.gross_area(),
        Origin::Counted("outline by the surveyor's formula".into()),
    );
    let mut deducted: Vec<Figure<Area>> = Vec::new();
    let mut added: Vec<Figure<Area>> = Vec::new();
    if strip.is_some() {
        let by_the_metre = rule("strips by the metre instead");
        deducted.push(sheet.given("strip", gross.value, by_the_metre));
    }
    for (o, _) in &openings {
        let origin = || rule(&format!("band {}", o.band + 1));
        if o.deducted > Area::ZERO {
            deducted.push(sheet.given(format!("deducted {}", o.opening), o.deducted, origin()));
        }
        if o.added > Area::ZERO {
            added.push(sheet.given(format!("reveals {}", o.opening), o.added, origin()));
        }
    }
    if parts.interruptions > Area::ZERO {
        deducted.push(sheet.given("interruptions", parts.interruptions, rule("interruption")));
    }
    if parts.growth != Area::ZERO {
        added.push(sheet.given("round the corners", parts.growth, rule("plane")));
    }
    if parts.surplus > Area::ZERO {
        added.push(sheet.given("rest of the rectangle", parts.surplus, rule("outline")));
    }
    let billed = sheet.derive(
        format!("A_bill {}", facade.id),
        &BILLED_AREA,
        (gross, deducted.as_slice(), added.as_slice()),
    );
    let rounded = match stages.as_slice() {
        [] => rules.rounding.round_area(billed.value),
        stages => {
            let sum = stages.iter().map(|stage| stage.area).sum();
            rules.rounding.round_area(sum)
        }
    };
    sheet.given(
        format!("billed {}", facade.id),
        rounded,
        rule(if stages.is_empty() {
            "rounding"
        } else {
            "rounding, the sum of its stages"
        }),
    );
    let mut by_length = |what: &str, length: Length| {
        let length = rules.rounding.round_length(length);
        if length > Length::ZERO {
            let name = format!("billed {what} {}", facade.id);
            sheet.given(name, length, rule("lengths, rounded"));
        }
        length
    };
    Some(Billing {
        gross: gross.value,
        deducted: deducted.iter().map(|f| f.value).sum(),
        added: added.iter().map(|f| f.value).sum(),
        billed: billed.value,
        rounded,
        reveal_length: by_length(
            "reveals",
            openings.iter().map(|(o, _)| o.reveal_length).sum(),
        ),
        base_length: by_length("base line", base_length(edges, rules)),
        strip_length: by_length("strip", strip.unwrap_or(Length::ZERO)),
        stages,
        openings: openings.into_iter().map(|(o, _)| o).collect(),
    })
}

fn base_length(edges: &Edges, rules: &MeasurementRules) -> Length {
    let runs: Length = edges
        .of(crate::edges::EdgeKind::BaseLine)
        .map(Mm::to_length)
        .sum();
    let over_measured: Length = edges
        .base_gaps
        .iter()
        .map(|g| g.to_length())
        .filter(|g| rules.linear_gap_over.is_some_and(|over| *g <= over))
        .sum();
    runs + over_measured
}

fn stages(
    facade: &Facade,
    edges: &Edges,
    projection: Projection,
    rules: &MeasurementRules,
    openings: &[(BilledOpening, Rectangle)],
) -> Vec<Stage> {
    let Some(stages) = rules.height_stages else {
        return Vec::new();
    };
    let (low, high) = facade.bounds();
    let ground = facade.base.iter().map(|s| s.ground).min().unwrap_or(low.y);
    let (first, step) = (
        Mm(stages.first.as_mm() as i32),
        Mm(stages.step.as_mm() as i32),
    );
    let mut list = Vec::new();
    let (mut from, mut to) = (ground.min(low.y), ground + first.max(Mm(1)));
    // The survey's height is limited and the rule check keeps a step at 100 mm or more, so this ends.
    while from < high.y {
        let window = Rectangle {
            x: low.x,
            y: from,
            width: high.x - low.x,
            height: to - from,
        };
        let parts = measured(facade, edges, projection, rules, &window);
        let mut area = parts.outline + parts.surplus + parts.growth - parts.interruptions;
        for (o, r) in openings {
            if r.area() > Area::ZERO {
                area += -(o.deducted * (shared(r, &window) / r.area()));
            }
            let middle = r.y + r.height / 2;
            if from <= middle && middle < to {
                area += o.added;
            }
        }
        list.push(Stage {
            from: (from - ground).to_length(),
            to: (to - ground).to_length(),
            area,
        });
        from = to;
        to += step.max(Mm(100));
    }
    list
}
