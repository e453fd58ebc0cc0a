//! How large each opening is when all is done, and what seals the ends of its sill.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{Facade, FinishedOpening, OpeningKind, Side};
use quantity::{Length, Mm};
use working::{Figure, Origin, Sheet};

use crate::coats::courses;
use crate::formulas::CLEAR_SIZE;
use crate::job::Job;

/// An opening as it is left: the boards end at [`FinishedOpening::size`], and beyond it stand the bed under its reveal boards and the coats.
#[derive(Clone, Debug, PartialEq)]
pub struct ClearOpening {
    /// Its id.
    pub opening: String,
    /// From coat to coat; nothing where they meet.
    pub width: Length,
    /// From what the sill lies on, or from the floor, to the coat of the head. The sill itself is not taken off.
    pub height: Length,
}

/// The end of a window's sill that meets the wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SillEnd {
    /// The opening, by its place on the facade.
    pub opening: usize,
    /// Which end.
    pub side: Side,
    /// From the frame to the boards' face, to the millimetre above.
    pub length: Mm,
}

/// What narrows every opening alike.
pub(crate) struct Coats {
    bed: Figure<Length>,
    coats: Figure<Length>,
}

impl Coats {
    /// The bed of reveal boards, and the courses of the base coat with the finish on them.
    pub fn of(job: &Job, bed: Length, sheet: &mut Sheet) -> Self {
        let mortar = job.parts.bonding_mortar.article.key.as_str();
        let base_coat: Length = courses(job).into_iter().sum();
        Self {
            bed: sheet.given("b", bed, Origin::catalogue(mortar, "bed-mm")),
            coats: sheet.given(
                "c",
                base_coat + job.parts.finish.thickness,
                Origin::Counted("courses of the base coat and the finish".into()),
            ),
        }
    }
}

/// Every opening of a facade as it is left, in the order of the survey.
pub(crate) fn clear(facade: &Facade, coats: &Coats, sheet: &mut Sheet) -> Vec<ClearOpening> {
    let mut found = Vec::new();
    for finished in facade.finished_openings() {
        let id = &finished.opening.id;
        let [left, right, head, foot] = narrowed(&finished);
        let mut across = |name: &str, between: Mm, sides: [Narrowed; 2]| {
            let counted = |what: &'static str| Origin::Counted(what.into());
            let beds = sides.iter().filter(|side| side.on_bed).count();
            let coated = sides.iter().filter(|side| side.coated).count();
            let size = (
                sheet.given(
                    format!("between boards, {name} {id}"),
                    between.to_length(),
                    counted("as surveyed, less insulation"),
                ),
                sheet.given("n_b", beds as f64, counted("sides with reveal boards")),
                coats.bed,
                sheet.given("n_c", coated as f64, counted("coated sides")),
                coats.coats,
            );
            let left = sheet.derive(format!("{name} {id}"), &CLEAR_SIZE, size);
            left.value.max(Length::ZERO)
        };
        found.push(ClearOpening {
            opening: id.clone(),
            width: across("clear width", finished.size.width, [left, right]),
            height: across("clear height", finished.size.height, [head, foot]),
        });
    }
    found
}

/// What stands on the edge of the boards at one side of an opening.
#[derive(Clone, Copy)]
struct Narrowed {
    /// The bed of its reveal boards.
    on_bed: bool,
    coated: bool,
}

/// Left, right, head and foot. A jamb or head is coated wherever there is wall; what lies under a sill or a threshold is not.
fn narrowed(finished: &FinishedOpening) -> [Narrowed; 4] {
    let (opening, size) = (finished.opening, finished.size);
    let raw = &opening.raw;
    let has_boards = opening.reveal_depth > Mm::ZERO;
    let side = |is_insulated: bool, wall: &[facade::Stretch]| Narrowed {
        on_bed: has_boards && is_insulated,
        coated: !wall.is_empty(),
    };
    let on_sill_board = opening.kind == OpeningKind::Window && size.y > raw.y;
    [
        side(size.x > raw.x, &finished.left),
        side(size.right() < raw.right(), &finished.right),
        side(size.top() < raw.top(), &finished.head),
        side(on_sill_board, &[]),
    ]
}
