//! The survey measured once: areas and edges of every facade, as the lines need them.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{Facade, FinishedOpening};
use quantity::{Area, Length, Mm};
use working::{Figure, Origin, Sheet};

use crate::areas::{AreaFigures, Faces, areas};
use crate::depths::sill_ends;
use crate::edges::{EdgeKind, Edges, area_below, buried_heights, edges};
use crate::job::Job;
use crate::mesh::up_to_mm;
use crate::openings::{ClearOpening, Coats, SillEnd, clear};

/// One facade, measured.
pub(crate) struct Measured {
    pub id: String,
    pub areas: AreaFigures,
    pub edges: Edges,
    /// Coated area less what lies below finished ground.
    pub finished: Figure<Area>,
    /// The ends of window sills that meet the wall.
    pub sill_ends: Vec<SillEnd>,
}

/// The ends of all sills of a facade, opening by opening.
fn ends_of_sills(facade: &Facade, faces: &Faces) -> Vec<SillEnd> {
    let openings = facade.finished_openings().enumerate();
    let of = |(opening, finished): (usize, FinishedOpening)| {
        let ends = sill_ends(facade, &finished, faces).into_iter();
        ends.map(move |(side, length)| SillEnd {
            opening,
            side,
            length: up_to_mm(length),
        })
        .collect::<Vec<_>>()
    };
    openings.flat_map(of).collect()
}

/// All facades, measured.
pub(crate) struct Survey {
    pub faces: Faces,
    pub facades: Vec<Measured>,
    /// By facade, its openings as they are left.
    pub clear: Vec<Vec<ClearOpening>>,
}

impl Survey {
    pub fn new(job: &Job, sheet: &mut Sheet) -> Self {
        sheet.section("Areas");
        let bed = job
            .parts
            .bonding_mortar
            .bonding
            .map_or(Length::ZERO, |b| b.bed);
        let projection = sheet.given(
            "p",
            job.thickness.to_length() + bed,
            Origin::Counted("board thickness and bed of mortar".into()),
        );
        let faces = Faces {
            projection,
            back: job.plinth_back().to_length(),
            open_base: job.parts.base_profile.is_none(),
        };
        let facades = job
            .building
            .facades
            .iter()
            .enumerate()
            .map(|(i, facade)| {
                let path = format!("building.facades[{i}]");
                let edges = edges(job.building, i, job.thickness);
                let areas = areas(job.building, (facade, &edges), &path, &faces, sheet);
                // The faces of ends and the growth round corners go into the ground with the wall.
                let (salient, re_entrant, free) = buried_heights(job.building, facade);
                let round = (projection.value - faces.back) * (salient - re_entrant + free);
                let buried = area_below(facade, |s| s.ground.min(s.level)) + round;
                let finished = sheet.given(
                    format!("primed and finished {}", facade.id),
                    areas.coated.value - buried,
                    Origin::Counted("net area with reveals less what lies below ground".into()),
                );
                Measured {
                    sill_ends: ends_of_sills(facade, &faces),
                    id: facade.id.clone(),
                    areas,
                    edges,
                    finished,
                }
            })
            .collect();
        sheet.section("Clear sizes of openings");
        let coats = Coats::of(job, bed, sheet);
        let all = job.building.facades.iter();
        let clear = all.map(|facade| clear(facade, &coats, sheet)).collect();
        Self {
            faces,
            facades,
            clear,
        }
    }

    /// The edges of some kinds over all facades, each with its facade and kind.
    pub fn runs(&self, kinds: &[EdgeKind]) -> Vec<(String, Mm)> {
        let mut list = Vec::new();
        for kind in kinds {
            for facade in &self.facades {
                for length in facade.edges.of(*kind) {
                    list.push((format!("{}, {}", facade.id, kind.name()), length));
                }
            }
        }
        list
    }
}
