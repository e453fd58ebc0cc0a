//! The wall cut into slices: small beside every face and interface, larger in between.

use alloc::vec::Vec;

use crate::wall::Wall;

/// The slices of a wall, from inside to outside.
#[derive(Clone, Debug)]
pub(crate) struct Cells {
    /// Their thicknesses, in metres.
    pub sizes: Vec<f64>,
    /// The distances of their centres from the inner face, in metres.
    pub centres: Vec<f64>,
    /// The layer that each lies in.
    pub layers: Vec<usize>,
}

/// How a layer is cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slicing {
    /// The slice beside a face or interface, in metres.
    pub smallest_m: f64,
    /// How much thicker each slice is than its neighbour nearer to a face.
    pub growth: f64,
    /// The least number of slices in a layer.
    pub least: usize,
}

/// The most slices of one layer.
const MOST_IN_A_LAYER: usize = 400;

impl Cells {
    pub fn new(wall: &Wall, slicing: &Slicing) -> Self {
        let mut cells = Self {
            sizes: Vec::new(),
            centres: Vec::new(),
            layers: Vec::new(),
        };
        let mut face = 0.0;
        for (index, layer) in wall.layers.iter().enumerate() {
            let thickness = layer.thickness.as_m();
            let mut place = face;
            for size in slices(thickness, slicing) {
                cells.sizes.push(size);
                cells.centres.push(place + 0.5 * size);
                cells.layers.push(index);
                place += size;
            }
            face += thickness;
        }
        cells
    }
    pub fn len(&self) -> usize {
        self.sizes.len()
    }
}

/// Slices that grow from both faces of a layer towards its middle and fill it exactly.
fn slices(thickness: f64, slicing: &Slicing) -> Vec<f64> {
    let growth = slicing.growth.clamp(1.0, 4.0);
    let least = slicing.least.clamp(2, MOST_IN_A_LAYER);
    let first = libm::fmin(
        libm::fmax(slicing.smallest_m, 1e-6),
        thickness / least as f64,
    );
    let mut half: Vec<f64> = Vec::new();
    let (mut filled, mut next) = (0.0, first);
    while filled < 0.5 * thickness * (1.0 - 1e-9) && half.len() < MOST_IN_A_LAYER / 2 {
        half.push(next);
        filled += next;
        next *= growth;
    }
    let scale = 0.5 * thickness / filled;
    let rising = half.iter().map(|size| size * scale);
    rising.clone().chain(rising.rev()).collect()
}
