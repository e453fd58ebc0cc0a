//! How deep reveals are from the frame to the boards' face: beside a thinner plinth they are narrower.

use alloc::vec::Vec;

use facade::{
    BaseStep, Below, Facade, FinishedOpening, OpeningKind, Side, Stretch, common, length, less,
};
use quantity::{Length, Mm};

use crate::areas::Faces;

/// Jambs and head of an opening as far as the boards beside them are of one thickness.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Reveal {
    /// From the frame to the boards' face.
    pub depth: Length,
    /// What lies in the wall of both jambs.
    pub jambs: Vec<Mm>,
    /// What lies in the wall of the head.
    pub head: Vec<Mm>,
}

impl Reveal {
    pub fn lengths(&self) -> impl Iterator<Item = Mm> + '_ {
        self.jambs.iter().chain(&self.head).copied()
    }
}

/// The reveal of an opening: beside the facade's boards, and beside those of a thinner plinth where it reaches so far down.
pub(crate) fn reveals(facade: &Facade, opening: &FinishedOpening, faces: &Faces) -> Vec<Reveal> {
    let depth = opening.opening.reveal_depth.to_length() + faces.projection.value;
    let size = opening.size;
    let mut upper = Reveal {
        depth,
        ..Reveal::default()
    };
    let mut lower = Reveal {
        depth: depth - faces.back,
        ..Reveal::default()
    };
    let lengths = |stretches: Vec<Stretch>| stretches.into_iter().map(|(from, to)| to - from);
    for (jamb, beside) in [
        (&opening.left, size.x - Mm(1)),
        (&opening.right, size.right()),
    ] {
        let below = plinth_at(facade, beside, faces).map(|top| (-Mm::LIMIT, top));
        let below = common(jamb.clone(), below.as_slice());
        upper.jambs.extend(lengths(less(jamb.clone(), &below)));
        lower.jambs.extend(lengths(below));
    }
    // The boards over a head that lies in the plinth are the plinth's.
    let steps = facade.base.iter().filter(|step| {
        let top = plinth_at(facade, step.from, faces);
        top.is_some_and(|top| top > size.top())
    });
    let over: Vec<Stretch> = steps.map(|step| (step.from, step.to)).collect();
    let below = common(opening.head.clone(), &over);
    upper
        .head
        .extend(lengths(less(opening.head.clone(), &below)));
    lower.head.extend(lengths(below));
    let parts = [upper, lower].into_iter();
    parts.filter(|part| part.lengths().count() > 0).collect()
}

/// The ends of a window's sill that meet the wall, each as long as the reveal is deep there.
pub(crate) fn sill_ends(
    facade: &Facade,
    opening: &FinishedOpening,
    faces: &Faces,
) -> Vec<(Side, Length)> {
    let size = opening.size;
    let depth = opening.opening.reveal_depth.to_length() + faces.projection.value;
    if opening.opening.kind == OpeningKind::Door {
        return Vec::new();
    }
    let has_end =
        |jamb: &[Stretch], reaches: bool| reaches && jamb.iter().any(|(from, _)| *from == size.y);
    let foot = &opening.foot;
    let ends = [
        (
            Side::Left,
            has_end(&opening.left, foot.iter().any(|f| f.0 == size.x)),
            size.x - Mm(1),
        ),
        (
            Side::Right,
            has_end(&opening.right, foot.iter().any(|f| f.1 == size.right())),
            size.right(),
        ),
    ];
    let ends = ends.into_iter().filter(|(_, is_there, _)| *is_there);
    ends.map(|(side, _, beside)| match plinth_at(facade, beside, faces) {
        Some(top) if top > size.y => (side, depth - faces.back),
        _ => (side, depth),
    })
    .collect()
}

/// Edges of an opening that lie in an insulated plinth below a line over it, as far as there is wall at them.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct InPlinth {
    pub jambs: Length,
    pub head: Length,
    /// Of a window; under a door there is a threshold.
    pub foot: Length,
}

/// What of an opening's edges lies in an insulated plinth below the line that `line` gives for each step of the base.
pub(crate) fn in_plinth(
    facade: &Facade,
    opening: &FinishedOpening,
    line: impl Fn(&BaseStep) -> Mm,
) -> InPlinth {
    let size = opening.size;
    let insulated = |step: &&BaseStep| step.below == Below::InsulatedPlinth;
    let jamb = |stretches: &[Stretch], beside: Mm| {
        let step = facade.base_step_at(beside).filter(insulated);
        let below = step.map(|step| (-Mm::LIMIT, line(step)));
        length(&common(stretches.to_vec(), below.as_slice()))
    };
    let level = |stretches: &[Stretch], y: Mm| {
        let steps = facade.base.iter().filter(insulated);
        let over = steps.filter(|step| line(step) > y);
        let over: Vec<Stretch> = over.map(|step| (step.from, step.to)).collect();
        length(&common(stretches.to_vec(), &over)).to_length()
    };
    let foot = match opening.opening.kind {
        OpeningKind::Window => level(&opening.foot, size.y),
        OpeningKind::Door => Length::ZERO,
    };
    let jambs = jamb(&opening.left, size.x - Mm(1)) + jamb(&opening.right, size.right());
    InPlinth {
        jambs: jambs.to_length(),
        head: level(&opening.head, size.top()),
        foot,
    }
}

/// The top of a thinner plinth at a place along the facade.
fn plinth_at(facade: &Facade, x: Mm, faces: &Faces) -> Option<Mm> {
    let step = facade.base_step_at(x)?;
    let is_thinner = step.below == Below::InsulatedPlinth && faces.back > Length::ZERO;
    is_thinner.then_some(step.level)
}

/// Lengths together.
pub(crate) fn together(lengths: &[Mm]) -> Length {
    lengths.iter().copied().sum::<Mm>().to_length()
}
