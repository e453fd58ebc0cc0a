//! The five areas of a facade, never mixed up.

use alloc::format;
use alloc::vec::Vec;

use facade::{Building, Facade};
use quantity::{Area, Length, Mm};
use working::{Figure, Origin, Sheet};

use crate::boards::{RevealPlace, strips_of};
use crate::depths::{reveals, together};
use crate::edges::{
    EdgeKind, Edges, OVER_PLINTH, end_heights, offsets, plinth_heights, undersides,
};
use crate::formulas::{AREA_SUM, COATED_AREA, DEVELOPED_AREA, NET_AREA, REVEAL_AREA};

/// The five areas of a facade or of a building.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FiveAreas {
    /// Inside the outline of the bare wall, openings not deducted.
    pub gross: Area,
    /// Gross less all openings at their finished size: what the boards are bonded to.
    pub net: Area,
    /// What is coated: the developed area with jambs, heads, the faces of free ends and steps, and the undersides of what overhangs.
    pub with_reveals: Area,
    /// The outer plane of the boards, round the corners, without reveals: what is anchored.
    pub developed: Area,
    /// What is billed by the measurement rule set, rounded as it says; nothing where it could not be told. Never used to buy.
    pub billed: Option<Area>,
}

/// The areas of one facade as figures of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct AreaFigures {
    pub gross: Figure<Area>,
    pub net: Figure<Area>,
    pub developed: Figure<Area>,
    pub coated: Figure<Area>,
    pub insulated_reveals: Figure<Area>,
}

/// How far boards stand before the bare wall, and which of their edges are open.
pub(crate) struct Faces {
    /// The distance of the boards' face from the bare wall.
    pub projection: Figure<Length>,
    /// How far the face of a thinner plinth stands back; nothing where the plinth is as thick.
    pub back: Length,
    /// Whether no profile closes the base line, so that the undersides of the boards there are seen.
    pub open_base: bool,
}

impl Faces {
    /// The faces of free ends, of steps and undersides of the outline, and those of boards over and beside a thinner plinth.
    fn of_ends(&self, facade: &Facade, edges: &Edges, free: Length, free_plinth: Length) -> Area {
        let along = |kind: EdgeKind| -> Length { edges.of(kind).map(Mm::to_length).sum() };
        let base = if self.open_base {
            along(EdgeKind::BaseLine)
        } else {
            Length::ZERO
        };
        let over_plinth: Length = OVER_PLINTH.into_iter().map(along).sum();
        self.projection.value * (free + offsets(facade) + undersides(facade) + base)
            + self.back * (over_plinth - free_plinth)
    }
}

/// Records the areas of one facade.
pub(crate) fn areas(
    building: &Building,
    (facade, edges): (&Facade, &Edges),
    path: &str,
    faces: &Faces,
    sheet: &mut Sheet,
) -> AreaFigures {
    let projection = faces.projection;
    let gross = sheet.given(
        format!("A_gross {}", facade.id),
        facade.gross_area(),
        Origin::Counted("outline by the surveyor's formula".into()),
    );
    let found = openings(facade, path, faces, sheet);
    let net = sheet.derive(
        format!("A_net {}", facade.id),
        &NET_AREA,
        (gross, found.taken.as_slice()),
    );
    let (salient, re_entrant, free) = end_heights(building, facade);
    let counted = || Origin::Counted("vertical edges of the outline".into());
    let h_s = sheet.given("h_s", salient, counted());
    let h_r = sheet.given("h_r", re_entrant, counted());
    let (salient, re_entrant, free_plinth) = plinth_heights(building, facade);
    let back = sheet.given(
        "A_b",
        faces.back * (salient - re_entrant),
        Origin::Counted(
            "corners below the base line times how far a thinner plinth stands back".into(),
        ),
    );
    let developed = sheet.derive(
        format!("A_dev {}", facade.id),
        &DEVELOPED_AREA,
        (net, projection, h_s, h_r, back),
    );
    let ends = sheet.given(
        "A_e",
        faces.of_ends(facade, edges, free, free_plinth),
        Origin::Counted("projection times the height of free ends and steps of the outline and the length of undersides; over and beside a thinner plinth, as far as it stands back".into()),
    );
    let coated = sheet.derive(
        format!("A_c {}", facade.id),
        &COATED_AREA,
        (developed, found.reveals.as_slice(), ends),
    );
    let insulated_reveals = sheet.derive(
        format!("insulated reveals {}", facade.id),
        &AREA_SUM,
        (found.insulated.as_slice(),),
    );
    AreaFigures {
        gross,
        net,
        developed,
        coated,
        insulated_reveals,
    }
}

/// The openings of a facade with their reveals.
#[derive(Default)]
struct Openings {
    taken: Vec<Figure<Area>>,
    reveals: Vec<Figure<Area>>,
    insulated: Vec<Figure<Area>>,
}

fn openings(facade: &Facade, path: &str, faces: &Faces, sheet: &mut Sheet) -> Openings {
    let mut found = Openings::default();
    for (i, finished) in facade.finished_openings().enumerate() {
        let (f, opening) = (finished.size, finished.opening);
        let id = &opening.id;
        let request = || Origin::request(format!("{path}.openings[{i}]"));
        found
            .taken
            .push(sheet.given(format!("A_o {id}"), f.area(), request()));
        let counted = |what: &'static str| Origin::Counted(what.into());
        for (n, reveal) in reveals(facade, &finished, faces).iter().enumerate() {
            let beside = if n == 0 { "" } else { ", narrower part" };
            let jambs = sheet.given(
                format!("j {id}{beside}"),
                together(&reveal.jambs),
                counted("finished jambs that lie in the wall"),
            );
            let head = sheet.given(
                format!("w {id}{beside}"),
                together(&reveal.head),
                counted("finished head that lies in the wall"),
            );
            let t = sheet.given(
                format!("t {id}{beside}"),
                reveal.depth,
                counted("reveal depth and how far the boards beside it stand out"),
            );
            let label = format!("A_r {id}{beside}");
            let area = sheet.derive(label, &REVEAL_AREA, (jambs, head, t));
            found.reveals.push(area);
        }
        // Boards take mortar where they are bonded: the head's runs over those on the jambs.
        let boards = strips_of(&finished);
        let along = |place: RevealPlace| {
            let strips = boards.iter().filter(|strip| strip.0 == place);
            strips.map(|strip| strip.2.to_length()).sum::<Length>()
        };
        let [jambs, head, sill] =
            [RevealPlace::Jamb, RevealPlace::Head, RevealPlace::Sill].map(along);
        let depth = opening.reveal_depth.to_length();
        if sill > Length::ZERO {
            let origin = counted("board under the sill times the reveal's depth");
            let label = format!("insulated sill {id}");
            found
                .insulated
                .push(sheet.given(label, sill * depth, origin));
        }
        if jambs + head > Length::ZERO {
            let bonded = || counted("reveal boards, the head's over those on the jambs");
            let jambs = sheet.given(format!("j boards {id}"), jambs, bonded());
            let head = sheet.given(format!("w boards {id}"), head, bonded());
            let t = sheet.given(format!("depth {id}"), depth, request());
            let label = format!("insulated reveals {id}");
            found
                .insulated
                .push(sheet.derive(label, &REVEAL_AREA, (jambs, head, t)));
        }
    }
    found
}
