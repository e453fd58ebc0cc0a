//! The wall as the calculation sees it: plain layers from inside to outside, and what pierces or interrupts them.

use alloc::borrow::Cow;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::{
    Area, Conductivity, Density, Length, LinearTransmittance, PerArea, PointTransmittance,
    SpecificHeat, Temperature, ThermalResistance,
};
pub use standards::iso_6946::{HeatFlow, VoidLevel};
use working::Origin;

/// Where the values of a layer were given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// The request; the text is the field's path, such as `build_up.layers[2]`.
    Request(String),
    /// The catalogue; the text is the article, such as `board.eps`.
    Catalogue(String),
    /// A table of a standard or a rule file; the text names it.
    Rule(String),
    /// The engine or its caller assumed it; the text says why.
    Assumed(String),
}

impl Source {
    /// The origin of one value of this source. `key` is the catalogue's key, such as `conductivity-w-per-mk`; a request has the same
    /// word with underscores.
    pub fn origin(&self, key: &'static str) -> Origin {
        match self {
            Self::Request(path) => {
                Origin::request(alloc::format!("{path}.{}", key.replace('-', "_")))
            }
            Self::Catalogue(article) => Origin::catalogue(article.clone(), key),
            Self::Rule(rule) => Origin::Rule(alloc::format!("{rule}, {key}")),
            Self::Assumed(why) => Origin::Assumed(Cow::Owned(why.clone())),
        }
    }
}

/// How a layer resists water vapour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Vapour {
    /// The vapour resistance factor mu, at least 1; the layer's equivalent air layer is mu times its thickness.
    Factor(f64),
    /// The water vapour diffusion-equivalent air layer thickness itself.
    EquivalentAir(Length),
}

/// How a material stores heat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Storage {
    /// The dry density.
    pub density: Density,
    /// The specific heat capacity.
    pub specific_heat: SpecificHeat,
}

/// One homogeneous material with its design values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Homogeneous {
    /// The design thermal conductivity.
    pub conductivity: Conductivity,
    /// Resistance to vapour; needed only for moisture.
    pub vapour: Option<Vapour>,
    /// Storage of heat; needed only for dynamics.
    pub storage: Option<Storage>,
}

impl Homogeneous {
    /// A material of which only the conductivity is known.
    pub const fn of_conductivity(conductivity: Conductivity) -> Self {
        Self {
            conductivity,
            vapour: None,
            storage: None,
        }
    }
}

/// One section of an inhomogeneous layer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Its share of the area, above 0; the shares of a layer add to 1.
    pub share: f64,
    /// What it is of.
    pub material: Homogeneous,
}

/// What a layer is.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// One material.
    Homogeneous(Homogeneous),
    /// Several materials side by side, such as wool between timbers.
    Sections(Vec<Section>),
    /// An air layer, by its openings to the outside in square millimetres per metre of length (0 for none):
    /// up to 500 unventilated, up to 1500 slightly ventilated, above well ventilated.
    Air {
        /// The openings, mm2 per m.
        openings_mm2_per_m: f64,
    },
    /// A part of which only the resistance is known.
    Resistance {
        /// Its thermal resistance.
        resistance: ThermalResistance,
        /// Its diffusion-equivalent air layer thickness, where moisture is asked.
        equivalent_air: Option<Length>,
    },
}

/// What part a layer plays.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// The wall that is or was there, with any insulation of its own.
    #[default]
    Wall,
    /// The insulation that is put on; voids and fasteners are counted through all layers of this role together.
    Insulation,
    /// Bonding mortar, base coat, finish.
    Coat,
}

/// One layer.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// What the reader calls it.
    pub name: String,
    /// Its part in the wall.
    pub role: Role,
    /// The field of the request that it stands for, such as `build_up.layers[2]`; faults are told by it.
    pub path: String,
    /// Where its thickness was given.
    pub thickness_from: Source,
    /// Where its material was given.
    pub material_from: Source,
    /// Its thickness.
    pub thickness: Length,
    /// What it is.
    pub body: Body,
}

impl Layer {
    /// A layer of which everything stands in the request at `path`.
    pub fn request(
        name: impl Into<String>,
        path: impl Into<String>,
        role: Role,
        thickness: Length,
        body: Body,
    ) -> Self {
        let path = path.into();
        Self {
            name: name.into(),
            role,
            thickness_from: Source::Request(path.clone()),
            material_from: Source::Request(path.clone()),
            path,
            thickness,
            body,
        }
    }
    /// The diffusion-equivalent air layer thickness, if known. An air layer counts 0.01 m whatever its thickness.
    pub fn equivalent_air(&self) -> Option<Length> {
        let of = |vapour: Vapour| match vapour {
            Vapour::Factor(mu) => self.thickness * mu,
            Vapour::EquivalentAir(s_d) => s_d,
        };
        match &self.body {
            Body::Homogeneous(material) => material.vapour.map(of),
            // One-dimensional: the section with the largest share stands for the layer, the first of equals.
            Body::Sections(sections) => sections
                .iter()
                .reduce(|best, next| if next.share > best.share { next } else { best })
                .and_then(|section| section.material.vapour.map(of)),
            Body::Air { .. } => Some(Length::from_m(0.01)),
            Body::Resistance { equivalent_air, .. } => *equivalent_air,
        }
    }
}

/// Anchors of one kind as point bridges.
#[derive(Clone, Debug, PartialEq)]
pub struct PointBridges {
    /// Anchors per area.
    pub per_area: PerArea,
    /// The point thermal transmittance of one.
    pub chi: PointTransmittance,
    /// Where both were given.
    pub from: Source,
}

/// A base profile, rail, joint or similar as a linear bridge.
#[derive(Clone, Debug, PartialEq)]
pub struct LinearBridge {
    /// What it is.
    pub name: String,
    /// The field of the request, for faults.
    pub path: String,
    /// The linear thermal transmittance; it may be negative with outer dimensions.
    pub psi: LinearTransmittance,
    /// The length of it on the wall.
    pub length: Length,
    /// The area of the wall that carries it.
    pub wall_area: Area,
    /// Where these were given.
    pub from: Source,
}

/// What stands for R1 of a recessed fastener. The bought text has to settle it; the whole layer is on the safe side.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum RecessReading {
    /// The resistance of the whole insulation layer.
    #[default]
    WholeLayer,
    /// The resistance of the penetrated part only.
    PenetratedPart,
}

/// Mechanical fasteners by the approximate procedure of ISO 6946. Do not give the same anchors as point bridges too.
#[derive(Clone, Debug, PartialEq)]
pub struct Fasteners {
    /// Fasteners per area.
    pub per_area: PerArea,
    /// The conductivity of a fastener; below 1 W/(m K) no correction is made.
    pub conductivity: Conductivity,
    /// The cross-section of one.
    pub cross_section: Area,
    /// How far it reaches into the insulation; nothing for right through.
    pub recessed_length: Option<Length>,
    /// What stands for R1 of a recessed fastener.
    pub reading: RecessReading,
    /// Where these were given.
    pub from: Source,
}

/// The surface resistances to use.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Surfaces {
    /// The conventional ones of ISO 6946 by the direction of heat flow.
    #[default]
    Conventional,
    /// Others.
    Given {
        /// Internal.
        inside: ThermalResistance,
        /// External.
        outside: ThermalResistance,
        /// Where they were given.
        from: Source,
    },
}

/// Which text governs a slightly ventilated air layer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SlightVentilation {
    /// Editions of 2007 and 2017: between the unventilated and the well ventilated total.
    #[default]
    Interpolated,
    /// Edition of 1996: half of the table value, at most 0.15 m2K/W counted outside it.
    Halved,
}

/// Whether corrections below 3 % of U are made all the same.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SmallCorrections {
    /// Left out, as the standard allows.
    #[default]
    Dropped,
    /// Made.
    Kept,
}

/// A wall: layers from inside to outside, and what pierces or interrupts them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BuildUp {
    /// The field of the request that it stands for, such as `build_up`.
    pub path: String,
    /// Layers from inside to outside.
    pub layers: Vec<Layer>,
    /// The direction of heat flow.
    pub direction: HeatFlow,
    /// The surface resistances.
    pub surfaces: Surfaces,
    /// Anchors as point bridges.
    pub anchors: Option<PointBridges>,
    /// Linear bridges counted into this wall.
    pub linear: Vec<LinearBridge>,
    /// Voids through the insulation that is put on.
    pub voids: VoidLevel,
    /// Fasteners by the approximate procedure.
    pub fasteners: Option<Fasteners>,
    /// The rule for a slightly ventilated air layer.
    pub slight_ventilation: SlightVentilation,
    /// What is done with corrections below 3 %.
    pub small_corrections: SmallCorrections,
}

impl BuildUp {
    /// A wall of these layers with everything else as usual: horizontal flow, conventional surfaces, no bridges.
    pub fn of(path: impl Into<String>, layers: Vec<Layer>) -> Self {
        Self {
            path: path.into(),
            layers,
            ..Self::default()
        }
    }
}

/// The temperatures on both sides in the steady state.
#[derive(Clone, Debug, PartialEq)]
pub struct Boundary {
    /// Inside.
    pub inside: Temperature,
    /// Outside.
    pub outside: Temperature,
    /// Where both were given.
    pub from: Source,
}
