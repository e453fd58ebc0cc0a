//! The batch against the sheet: the same wall asked both ways.

use alloc::string::String;
use alloc::vec;
use alloc::vec::Vec;

use quantity::{
    Conductivity, Density, Duration, Length, SpecificHeat, Temperature, VapourPressure,
};
use standards::iso_13786::DAY;
use working::{Sheet, Standing};

use crate::{
    Batch, Body, BuildUp, Climate, Homogeneous, HumidityClass, Inside, InsideHumidity, Layer,
    MONTH_DAYS, MoistureRequest, Month, MouldCriteria, Outcome, OutsideHumidity, Role, Storage,
    Vapour, dynamics, moisture,
};

struct Draw(u64);

impl Draw {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 33) as f64 / f64::from(1_u32 << 31))
    }
    fn spread(&mut self, low: f64, high: f64) -> f64 {
        libm::exp(self.between(libm::log(low), libm::log(high)))
    }
}

fn climate(draw: &mut Draw, mean: f64, swing: f64) -> Climate {
    let months = (0..12)
        .map(|m| Month {
            outside: Temperature::from_celsius(
                mean - swing * libm::cos(f64::from(m) * core::f64::consts::TAU / 12.0)
                    + draw.between(-1.0, 1.0),
            ),
            humidity: OutsideHumidity::Relative(draw.between(0.55, 0.95)),
            length: Duration::from_days(MONTH_DAYS[m as usize]),
        })
        .collect();
    Climate {
        id: String::from("drawn"),
        name: String::from("drawn"),
        source: String::from("drawn"),
        standing: Standing::Unverified,
        path: String::from("climate"),
        months,
    }
}

fn rooms(draw: &mut Draw) -> Inside {
    let class = HumidityClass {
        id: String::from("drawn"),
        rooms: String::from("drawn"),
        excess: VapourPressure::from_pa(draw.between(100.0, 1400.0)),
        none_from: Temperature::from_celsius(20.0),
        source: String::from("drawn"),
        standing: Standing::Unverified,
    };
    Inside {
        temperatures: vec![Temperature::from_celsius(draw.between(18.0, 24.0))],
        humidity: InsideHumidity::Class(class),
        path: String::from("inside"),
    }
}

/// Walls of one to seven layers of anything, so that moisture gathers at faces, within layers, at several planes, or nowhere.
fn wall(draw: &mut Draw) -> BuildUp {
    let count = draw.between(1.0, 8.0) as usize;
    let layers = (0..count)
        .map(|_| {
            let material = Homogeneous {
                conductivity: Conductivity::from_w_per_mk(draw.spread(0.025, 2.5)),
                vapour: Some(Vapour::Factor(draw.spread(1.0, 500.0))),
                storage: Some(Storage {
                    density: Density::from_kg_per_m3(draw.spread(15.0, 2400.0)),
                    specific_heat: SpecificHeat::from_j_per_kgk(draw.between(800.0, 2000.0)),
                }),
            };
            let thickness = Length::from_m(draw.spread(0.005, 0.3));
            Layer::request(
                "layer",
                "",
                Role::Wall,
                thickness,
                Body::Homogeneous(material),
            )
        })
        .collect();
    BuildUp::of("wall", layers)
}

fn near(fast: f64, slow: f64, digits: f64) -> bool {
    (fast - slow).abs() <= digits * slow.abs()
}

/// Asks one wall both ways; gives whether moisture gathers within a layer.
fn check(batch: &mut Batch, wall: &BuildUp, climate: &Climate, inside: &Inside) -> Outcome {
    let fast = batch.answer(wall).expect("a sound wall");
    let request = MoistureRequest {
        build_up: wall,
        climate,
        inside,
        mould: &MouldCriteria::default(),
        limits: &[],
    };
    let slow = moisture(&request, &mut Sheet::new()).expect("a sound wall");
    let of = &slow.transmittances;
    assert!(near(
        fast.total.as_m2k_per_w(),
        of.total.value.as_m2k_per_w(),
        1e-12
    ));
    assert!(near(
        fast.u_corrected.as_w_per_m2k(),
        of.u_corrected.value.as_w_per_m2k(),
        1e-12
    ));
    assert!(near(fast.factor, slow.mould.factor.value, 1e-12));
    assert_eq!(fast.critical_month, slow.mould.critical);
    assert_eq!(fast.outcome, slow.interstitial.outcome);
    let scale = slow.interstitial.most.value.as_kg_per_m2() + 1e-3;
    let masses = [
        (fast.most, slow.interstitial.most.value),
        (fast.left, slow.interstitial.left.value),
    ];
    for (fast, slow) in masses {
        // A plane that gathers next to nothing in a month is counted or not by the last digit.
        let apart = (fast.as_kg_per_m2() - slow.as_kg_per_m2()).abs();
        assert!(apart <= 1e-12 * scale + 1e-12, "{fast:?} {slow:?}");
    }
    fast.outcome
}

fn check_swing(batch: &mut Batch, wall: &BuildUp) {
    let fast = batch.answer(wall).expect("a sound wall");
    let (Some(fast), Ok(slow)) = (fast.swing, dynamics(wall, DAY, &mut Sheet::new())) else {
        assert!(
            fast.swing.is_none(),
            "the sheet refuses what the batch answers"
        );
        return;
    };
    let flows = [
        (fast.periodic, slow.periodic),
        (fast.admittance_inside, slow.admittance_inside),
        (fast.admittance_outside, slow.admittance_outside),
    ];
    for (fast, slow) in flows {
        assert!(
            near(fast.as_w_per_m2k(), slow.value.as_w_per_m2k(), 1e-12),
            "{fast:?} {slow:?}"
        );
    }
    assert!(near(fast.decrement, slow.decrement.value, 1e-12));
    let shifts = [
        (fast.shift, slow.shift),
        (fast.shift_inside, slow.shift_inside),
        (fast.shift_outside, slow.shift_outside),
    ];
    for (fast, slow) in shifts {
        assert!((fast.as_hours() - slow.value.as_hours()).abs() <= 24.0 * 1e-12);
    }
    let capacities = [
        (fast.capacity_inside, slow.capacity_inside),
        (fast.capacity_outside, slow.capacity_outside),
    ];
    for (fast, slow) in capacities {
        assert!(near(fast.as_j_per_m2k(), slow.value.as_j_per_m2k(), 1e-12));
    }
}

#[test]
fn the_batch_agrees_with_the_sheet_to_twelve_digits() {
    let mut draw = Draw(21);
    let mut outcomes: Vec<Outcome> = Vec::new();
    // Mild, frosty and hot years; in the hot one heat and vapour come from outside.
    for (mean, swing) in [(9.0, 10.0), (-4.0, 18.0), (24.0, 8.0)] {
        for _ in 0..6 {
            let (climate, inside) = (climate(&mut draw, mean, swing), rooms(&mut draw));
            let mut batch = Batch::new(&climate, &inside, DAY).expect("a sound climate");
            for _ in 0..60 {
                let wall = wall(&mut draw);
                outcomes.push(check(&mut batch, &wall, &climate, &inside));
                check_swing(&mut batch, &wall);
            }
        }
    }
    for outcome in [
        Outcome::NoCondensation,
        Outcome::DriesOut,
        Outcome::Accumulates,
    ] {
        let met = outcomes.iter().filter(|o| **o == outcome).count();
        assert!(met > 50, "{outcome:?} {met}");
    }
}

#[test]
fn a_layer_that_does_not_say_what_it_stores_has_no_swing() {
    let mut draw = Draw(22);
    let (climate, inside) = (climate(&mut draw, 9.0, 10.0), rooms(&mut draw));
    let mut batch = Batch::new(&climate, &inside, DAY).expect("a sound climate");
    let mut silent = wall(&mut draw);
    if let Some(Layer {
        body: Body::Homogeneous(material),
        ..
    }) = silent.layers.first_mut()
    {
        material.storage = None;
    }
    assert_eq!(batch.answer(&silent).expect("a sound wall").swing, None);
}
