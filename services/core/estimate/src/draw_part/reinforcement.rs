//! Mesh at openings, and what the kit lays along edges: drawn where the order list measures it.

use alloc::vec::Vec;

use drawing::{BeadKind, BeadLine, MeshStrip, OpeningCorner, Point};
use facade::{Facade, Meets};
use material::Mesh;
use takeoff::Component;
use takeoff::edges::{Edges, has_lower_corners};

use super::{Drawn, at};

/// The diagonal pieces: two at an opening whose lower corners lie in no coated wall, else four.
pub(super) fn mesh(facade: &Facade, mesh: &Mesh) -> Vec<MeshStrip> {
    let strips = |opening: &facade::Opening| {
        let [a, b, c, d] = opening.finished().corners();
        let lower = has_lower_corners(facade, opening);
        [
            (a, OpeningCorner::LowerLeft, lower),
            (b, OpeningCorner::LowerRight, lower),
            (c, OpeningCorner::UpperRight, true),
            (d, OpeningCorner::UpperLeft, true),
        ]
        .into_iter()
        .filter(|(_, _, wanted)| *wanted)
        .map(|(p, corner, _)| MeshStrip {
            at: at(p),
            corner,
            length: mesh.diagonal_length,
            width: mesh.diagonal_width,
        })
    };
    facade.openings.iter().flat_map(strips).collect()
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
    beads.extend(shared_left(drawn, facade));
    beads
}

/// The bead that the left end shares with another facade: it is bought, and drawn in full, with the one whose right end meets it.
fn shared_left(drawn: &Drawn<'_>, facade: &Facade) -> Option<BeadLine> {
    let (kind, component) = match &facade.left {
        Meets::SalientCorner { .. } | Meets::ReEntrantCorner { .. } => {
            (BeadKind::CornerElsewhere, Component::CornerBead)
        }
        Meets::StructuralJoint { with: Some(_), .. } => {
            (BeadKind::JointElsewhere, Component::JointBead)
        }
        _ => return None,
    };
    drawn.along.iter().find(|along| along.0 == component)?;
    let (low, _) = facade.bounds();
    let ys = || facade.outline.iter().filter(|p| p.x == low.x).map(|p| p.y);
    let end = |y| Point { x: low.x, y };
    Some(BeadLine {
        from: end(ys().min()?),
        to: end(ys().max()?),
        kind,
    })
}
