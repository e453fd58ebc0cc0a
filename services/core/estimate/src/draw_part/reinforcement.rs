//! Mesh at openings, and what the kit lays along edges: drawn where the order list measures it.

use alloc::vec::Vec;

use drawing::{BeadKind, BeadLine, MeshStrip, OpeningCorner, SillEnd, SillSide};
use facade::{Facade, Meets, Side};
use material::Mesh;
use takeoff::Component;
use takeoff::edges::{EdgeKind, Edges, corners_in_wall};

use super::{Drawn, at};

/// The diagonal pieces: one at each corner of an opening that lies in coated wall.
pub(super) fn mesh(facade: &Facade, mesh: &Mesh) -> Vec<MeshStrip> {
    let strips = |opening: facade::FinishedOpening| {
        let corners = [
            OpeningCorner::LowerLeft,
            OpeningCorner::LowerRight,
            OpeningCorner::UpperRight,
            OpeningCorner::UpperLeft,
        ];
        let places = opening.size.corners().into_iter().zip(corners);
        places
            .zip(corners_in_wall(facade, &opening))
            .filter(|(_, wanted)| *wanted)
            .map(|((p, corner), _)| MeshStrip {
                at: at(p),
                corner,
                length: mesh.diagonal_length,
                width: mesh.diagonal_width,
            })
    };
    facade.finished_openings().flat_map(strips).collect()
}

const fn kind_of(component: Component) -> Option<BeadKind> {
    match component {
        Component::BaseProfile => Some(BeadKind::Base),
        Component::CornerBead => Some(BeadKind::Corner),
        Component::DripBead => Some(BeadKind::Drip),
        Component::JointBead => Some(BeadKind::Joint),
        Component::SillBead => Some(BeadKind::Sill),
        Component::FrameBead => Some(BeadKind::Frame),
        Component::SealingStrip => Some(BeadKind::Sealing),
        _ => None,
    }
}

/// Every bead, strip and profile that is bought, along the edges that it was measured on.
pub(super) fn beads(drawn: &Drawn<'_>, edges: &Edges, facade: &Facade) -> Vec<BeadLine> {
    let mut beads = Vec::new();
    for (component, kinds) in &drawn.along {
        let Some(kind) = kind_of(*component) else {
            continue;
        };
        for edge in edges.list.iter().filter(|e| kinds.contains(&e.kind)) {
            beads.extend(edge.lines.iter().map(|(from, to)| BeadLine {
                from: at(*from),
                to: at(*to),
                kind,
            }));
        }
    }
    beads.extend(shared_left(drawn, edges, facade));
    beads
}

/// The ends of sills, where strips that seal them are bought.
pub(super) fn sill_ends(drawn: &Drawn<'_>, index: usize) -> Vec<SillEnd> {
    let sealed = |(component, kinds): &(Component, Vec<EdgeKind>)| {
        *component == Component::SealingStrip && kinds.contains(&EdgeKind::Sill)
    };
    let own = drawn.takeoff.facades.get(index);
    let Some(own) = own.filter(|_| drawn.along.iter().any(sealed)) else {
        return Vec::new();
    };
    let end = |end: &takeoff::SillEnd| SillEnd {
        opening: end.opening,
        side: match end.side {
            Side::Left => SillSide::Left,
            Side::Right => SillSide::Right,
        },
        length: end.length,
    };
    own.sill_ends.iter().map(end).collect()
}

/// The bead that the left end shares with another facade: it is bought, and drawn in full, with the one whose right end meets it.
fn shared_left(drawn: &Drawn<'_>, edges: &Edges, facade: &Facade) -> Vec<BeadLine> {
    let (kind, component) = match &facade.left {
        Meets::SalientCorner { .. } | Meets::ReEntrantCorner { .. } => {
            (BeadKind::CornerElsewhere, Component::CornerBead)
        }
        _ => (BeadKind::JointElsewhere, Component::JointBead),
    };
    if !drawn.along.iter().any(|along| along.0 == component) {
        return Vec::new();
    }
    let lines = edges.shared_left.iter();
    lines
        .map(|(from, to)| BeadLine {
            from: at(*from),
            to: at(*to),
            kind,
        })
        .collect()
}
