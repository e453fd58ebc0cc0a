//! ASCE 7-16, wind on components and cladding of walls up to 60 ft.
//!
//! Formula forms and the constants of exposures B and C were read in open implementations; the constants of D and the clause numbers are from
//! memory. SI throughout: 0.613 is the document's own constant for metres and newtons.

use quantity::{Area, Length, WindPressure, WindSpeed};
use working::{AnyFormula, Clause, Formula, Standing, Symbol};

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[
    &EXPOSURE_COEFFICIENT,
    &ELEVATION_FACTOR,
    &VELOCITY_PRESSURE,
    &EDGE_STRIP,
    &WALL_COEFFICIENT,
    &NET_PRESSURE,
];

/// The document.
pub const DOCUMENT: &str = "ASCE 7-16";

const fn read(clause: &'static str) -> Clause {
    Clause {
        document: DOCUMENT,
        clause,
        standing: Standing::Published,
    }
}
const fn unverified(clause: &'static str) -> Clause {
    Clause {
        document: DOCUMENT,
        clause,
        standing: Standing::Unverified,
    }
}
const fn symbol(name: &'static str, meaning: &'static str, low: f64, high: f64) -> Symbol {
    Symbol {
        name,
        meaning,
        range: (low, high),
    }
}

/// The mean roof height up to which the wall coefficients hold: 60 ft.
pub const HEIGHT_MAX: Length = Length::from_m(18.288);
/// Where that limit stands.
pub const LOW_RISE: Clause = unverified("30.3, buildings with h up to 60 ft");
/// Where the coefficients of walls stand.
pub const WALLS: Clause = read("Figure 30.3-1, walls");
/// The least height of the profile for components: 15 ft, and 30 ft in exposure B.
pub const HEIGHT_MIN: Length = Length::from_m(4.572);
/// The least height in exposure B.
pub const HEIGHT_MIN_B: Length = Length::from_m(9.144);
/// Directionality factor of buildings.
pub const DIRECTIONALITY: f64 = 0.85;
/// Where the directionality factor stands.
pub const DIRECTIONALITY_TABLE: Clause = unverified("Table 26.6-1");

/// Surface roughness around the site.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exposure {
    /// Suburban and wooded.
    B,
    /// Open terrain.
    C,
    /// Flat, unobstructed, along water.
    D,
}

impl Exposure {
    /// The exposure of a letter.
    pub fn from_letter(letter: &str) -> Option<Self> {
        match letter {
            "B" => Some(Self::B),
            "C" => Some(Self::C),
            "D" => Some(Self::D),
            _ => None,
        }
    }
    /// The exponent α.
    pub const fn alpha(self) -> f64 {
        match self {
            Self::B => 7.0,
            Self::C => 9.5,
            Self::D => 11.5,
        }
    }
    /// The gradient height z_g: 1200, 900 and 700 ft.
    pub const fn gradient_height(self) -> Length {
        Length::from_m(match self {
            Self::B => 365.76,
            Self::C => 274.32,
            Self::D => 213.36,
        })
    }
    /// The least height at which components are read.
    pub const fn height_min(self) -> Length {
        match self {
            Self::B => HEIGHT_MIN_B,
            Self::C | Self::D => HEIGHT_MIN,
        }
    }
    /// Where the constants stand.
    pub const fn clause(self) -> Clause {
        match self {
            Self::B | Self::C => read("Table 26.11-1"),
            Self::D => unverified("Table 26.11-1"),
        }
    }
}

/// Zone of a wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WallZone {
    /// Zone 5: the edge strips.
    Five,
    /// Zone 4: between them.
    Four,
}

impl WallZone {
    /// The outward coefficient for 10 square feet; at 500 both are -0.8.
    pub const fn outward_small(self) -> f64 {
        match self {
            Self::Five => -1.4,
            Self::Four => -1.1,
        }
    }
}

/// The outward coefficient for 500 square feet.
pub const OUTWARD_LARGE: f64 = -0.8;
/// The inward coefficients for 10 and for 500 square feet.
pub const INWARD: (f64, f64) = (1.0, 0.7);

/// How open the building is to the wind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Enclosure {
    /// Enclosed: ±0.18.
    Enclosed,
    /// Partially enclosed: ±0.55.
    PartiallyEnclosed,
}

impl Enclosure {
    /// The internal coefficient.
    pub const fn coefficient(self) -> f64 {
        match self {
            Self::Enclosed => 0.18,
            Self::PartiallyEnclosed => 0.55,
        }
    }
}

/// Where the internal coefficients stand.
pub const INTERNAL: Clause = read("Table 26.13-1");

/// The exposure coefficient.
pub static EXPOSURE_COEFFICIENT: Formula<(Length, Length, Length, f64), f64> = Formula {
    clause: read("26.10-1, Table 26.10-1"),
    name: "velocity pressure exposure coefficient",
    symbol: "K_z",
    inputs: &[
        symbol("z", "height above ground", 1.0, 18.0),
        symbol("z_min", "least height", 4.0, 10.0),
        symbol("z_g", "gradient height", 200.0, 366.0),
        symbol("alpha", "exponent", 7.0, 11.5),
    ],
    expression: "2.01 * (max(z, z_min) / z_g)^(2 / alpha)",
    function: |(z, z_min, zg, alpha)| 2.01 * libm::pow(z.max(z_min) / zg, 2.0 / alpha),
};

/// The ground elevation factor.
pub static ELEVATION_FACTOR: Formula<(Length,), f64> = Formula {
    clause: read("26.9, Table 26.9-1 note 2"),
    name: "ground elevation factor",
    symbol: "K_e",
    inputs: &[symbol(
        "z_e",
        "ground elevation above sea level",
        0.0,
        3000.0,
    )],
    expression: "exp(-0.000119 * z_e)",
    function: |(z,)| libm::exp(-0.000_119 * z.as_m()),
};

/// The velocity pressure.
pub static VELOCITY_PRESSURE: Formula<(f64, f64, f64, f64, WindSpeed), WindPressure> = Formula {
    clause: read("26.10.2, (26.10-1.si)"),
    name: "velocity pressure",
    symbol: "q_h",
    inputs: &[
        symbol("K_z", "exposure coefficient", 0.5, 1.3),
        symbol("K_zt", "topographic factor", 1.0, 1.5),
        symbol("K_d", "directionality factor", 0.8, 0.9),
        symbol("K_e", "ground elevation factor", 0.8, 1.0),
        symbol("V", "basic wind speed, 3 s gust", 38.0, 90.0),
    ],
    expression: "0.613 * K_z * K_zt * K_d * K_e * V^2",
    function: |(kz, kzt, kd, ke, v)| {
        let v = v.as_m_per_s();
        WindPressure::from_pa(0.613 * kz * kzt * kd * ke * (v * v))
    },
};

/// The width of the edge strip.
pub static EDGE_STRIP: Formula<(Length, Length), Length> = Formula {
    clause: read("Figure 30.3-1, notation a"),
    name: "width of the edge strip",
    symbol: "a",
    inputs: &[
        symbol("w", "least horizontal dimension", 5.0, 60.0),
        symbol("h", "mean roof height", 3.0, 18.0),
    ],
    expression: "max(min(0.1 * w, 0.4 * h), max(0.04 * w, 0.9144))",
    function: |(w, h)| {
        let least = (0.04 * w).max(Length::from_m(0.9144));
        (0.1 * w).min(0.4 * h).max(least)
    },
};

/// The external coefficient of a wall for an effective area between 10 and 500 square feet.
///
/// ```
/// use quantity::Area;
/// use standards::asce_7::WALL_COEFFICIENT;
/// let at = |feet: f64| (WALL_COEFFICIENT.function)((Area::from_m2(feet * 0.092_903_04), -1.4, -0.8));
/// assert!((at(10.0) - -1.4).abs() < 1e-12 && (at(500.0) - -0.8).abs() < 1e-12);
/// ```
pub static WALL_COEFFICIENT: Formula<(Area, f64, f64), f64> = Formula {
    clause: WALLS,
    name: "external pressure coefficient",
    symbol: "GC_p",
    inputs: &[
        symbol("A", "effective area in square metres", 0.5, 60.0),
        symbol("G_10", "coefficient for 10 square feet", -1.4, 1.0),
        symbol("G_500", "coefficient for 500 square feet", -0.8, 0.7),
    ],
    expression: "G_10 + (G_500 - G_10) * min(max(log10(A / 0.9290304) / log10(50), 0), 1)",
    function: |(area, small, large)| {
        let step = libm::log10(area.as_m2() / 0.929_030_4) / libm::log10(50.0);
        small + (large - small) * libm::fmin(libm::fmax(step, 0.0), 1.0)
    },
};

/// The net pressure; negative outwards.
pub static NET_PRESSURE: Formula<(WindPressure, f64, f64), WindPressure> = Formula {
    clause: read("30.3.2, (30.3-1)"),
    name: "net design pressure",
    symbol: "p",
    inputs: &[
        symbol("q_h", "velocity pressure", 300.0, 4000.0),
        symbol("GC_p", "external coefficient", -1.4, 1.0),
        symbol("GC_pi", "internal coefficient", -0.55, 0.55),
    ],
    expression: "q_h * (GC_p - GC_pi)",
    function: |(q, external, internal)| q * (external - internal),
};
