//! Random sound walls and climates, from a fixed seed.
#![allow(dead_code)] // each check uses its part

use quantity::{
    Conductivity, Density, Duration, Length, SpecificHeat, Temperature, VapourPressure,
};
use thermal::{
    Body, BuildUp, Climate, Homogeneous, HumidityClass, Inside, InsideHumidity, Layer, MONTH_DAYS,
    Month, OutsideHumidity, Role, Section, Storage, Vapour,
};
use working::Standing;

/// A fixed-seed random source.
pub struct Draw(pub u64);

impl Draw {
    /// From 0 up to 1.
    pub fn unit(&mut self) -> f64 {
        tests::unit(&mut self.0)
    }
    /// Between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
}

/// A random material between light board and dense concrete.
pub fn material(draw: &mut Draw) -> Homogeneous {
    let lambda = 0.03 * 60.0_f64.powf(draw.unit());
    Homogeneous {
        conductivity: Conductivity::from_w_per_mk(lambda),
        vapour: Some(Vapour::Factor(300.0_f64.powf(draw.unit()))),
        storage: Some(Storage {
            density: Density::from_kg_per_m3(draw.between(20.0, 2400.0)),
            specific_heat: SpecificHeat::from_j_per_kgk(draw.between(800.0, 1600.0)),
        }),
    }
}

/// A homogeneous layer.
pub fn layer(name: &str, role: Role, mm: f64, material: Homogeneous) -> Layer {
    Layer::request(
        name,
        "",
        role,
        Length::from_mm(mm),
        Body::Homogeneous(material),
    )
}

/// A random wall of two to six plane layers, the last but one insulation.
pub fn plane_wall(draw: &mut Draw) -> BuildUp {
    let count = 2 + (draw.unit() * 5.0) as usize;
    let layers = (0..count)
        .map(|index| {
            let role = if index + 2 == count {
                Role::Insulation
            } else {
                Role::Wall
            };
            let (mm, material) = (draw.between(4.0, 250.0), material(draw));
            layer(&format!("layer {index}"), role, mm, material)
        })
        .collect();
    BuildUp::of("wall", layers)
}

/// A random wall with one or two layers of two sections.
pub fn section_wall(draw: &mut Draw) -> BuildUp {
    let mut wall = plane_wall(draw);
    for _ in 0..2 {
        let at = (draw.unit() * wall.layers.len() as f64) as usize;
        let share = draw.between(0.05, 0.95);
        let parts = vec![
            Section {
                share,
                material: material(draw),
            },
            Section {
                share: 1.0 - share,
                material: material(draw),
            },
        ];
        wall.layers[at].body = Body::Sections(parts);
    }
    wall
}

/// A random climate of twelve months with a winter.
pub fn climate(draw: &mut Draw) -> Climate {
    let (mean, swing) = (draw.between(2.0, 12.0), draw.between(4.0, 16.0));
    let months = MONTH_DAYS
        .iter()
        .enumerate()
        .map(|(index, days)| {
            let turn = core::f64::consts::TAU * (index as f64 - 0.5) / 12.0;
            Month {
                outside: Temperature::from_celsius(mean - swing * turn.cos()),
                humidity: OutsideHumidity::Relative(draw.between(0.6, 0.95)),
                length: Duration::from_days(*days),
            }
        })
        .collect();
    Climate {
        id: String::from("random"),
        name: String::from("random"),
        source: String::from("a random source"),
        standing: Standing::Project,
        path: String::from("climate"),
        months,
    }
}

/// Rooms at 20 degC of a humidity class with this excess.
pub fn rooms(excess_pa: f64) -> Inside {
    Inside {
        temperatures: vec![Temperature::from_celsius(20.0)],
        humidity: InsideHumidity::Class(HumidityClass {
            id: String::from("random"),
            rooms: String::new(),
            excess: VapourPressure::from_pa(excess_pa),
            none_from: Temperature::from_celsius(20.0),
            source: String::from("a random source"),
            standing: Standing::Project,
        }),
        path: String::from("inside"),
    }
}
