//! What is told of a wall's ends: how far boards run past, and which boards of the other wall lie there.

use alloc::collections::BTreeSet;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use drawing::{Rectangle, SlotDrawing};
use facade::{Facade, Meets, Side};
use quantity::Mm;
use setting_out::Course;

use super::Drawn;

/// An end of a wall, and how far its courses go beyond the outline there.
struct End<'a> {
    side: Side,
    name: &'static str,
    meets: &'a Meets,
    beyond: fn(&Course) -> Mm,
}

fn ends(facade: &Facade) -> [End<'_>; 2] {
    [
        End {
            side: Side::Left,
            name: "Left",
            meets: &facade.left,
            beyond: |course| course.left_extension,
        },
        End {
            side: Side::Right,
            name: "Right",
            meets: &facade.right,
            beyond: |course| course.right_extension,
        },
    ]
}

fn courses<'a>(drawn: &'a Drawn<'_>, index: usize) -> impl Iterator<Item = &'a Course> {
    drawn.layout.courses.iter().filter(move |c| c.wall == index)
}

/// One line for each end at a corner.
pub(super) fn notes(drawn: &Drawn<'_>, index: usize, facade: &Facade) -> Vec<String> {
    let told = ends(facade).into_iter().filter_map(|end| {
        let (Meets::SalientCorner { with } | Meets::ReEntrantCorner { with }) = end.meets else {
            return None;
        };
        let beyond: BTreeSet<Mm> = courses(drawn, index).map(end.beyond).collect();
        let (least, most) = (*beyond.first()?, *beyond.last()?);
        let (name, least, most) = (end.name, least.0, most.0);
        let corner = format!("{name} end, corner with {with}");
        Some(match end.meets {
            _ if least == most && most > 0 => {
                format!("{corner}: boards run {most}\u{a0}mm past the outline.")
            }
            Meets::SalientCorner { .. } if most > 0 => format!(
                "{corner}: boards run {most}\u{a0}mm past the outline (thickness and bed) in courses that run past {with}, {least}\u{a0}mm where {with} runs past."
            ),
            Meets::ReEntrantCorner { .. } if least == most && least < 0 => format!(
                "{corner}: boards stop {}\u{a0}mm before the edge, where boards of {with} run past (thickness and bed).",
                -least
            ),
            Meets::ReEntrantCorner { .. } if least < 0 => format!(
                "{corner}: boards run to the edge in courses that run past {with}, and stop {}\u{a0}mm before it where boards of {with} run past (thickness and bed).",
                -least
            ),
            _ => return None,
        })
    });
    told.collect()
}

/// What boards of the other wall take at corners that point inwards, as far as both walls stand: above a lower one the courses go to the
/// corner, though the turns they take go on.
pub(super) fn slots(drawn: &Drawn<'_>, index: usize, facade: &Facade) -> Vec<SlotDrawing> {
    let (low, high) = facade.bounds();
    let mut slots = Vec::new();
    for (end, x) in ends(facade).into_iter().zip([low.x, high.x]) {
        let Some((other, (from, to))) = drawn.building.before(facade, end.side) else {
            continue;
        };
        let (bottom, top) = facade.end(end.side);
        for course in courses(drawn, index) {
            let short = Mm::ZERO - (end.beyond)(course);
            let y0 = course.bottom.max(bottom).max(from);
            let y1 = course.top.min(top).min(to);
            if short <= Mm::ZERO || y0 >= y1 {
                continue;
            }
            slots.push(SlotDrawing {
                area: Rectangle {
                    x: if x == low.x { x } else { x - short },
                    y: y0,
                    width: short,
                    height: y1 - y0,
                },
                wall: other.id.clone(),
            });
        }
    }
    slots
}
