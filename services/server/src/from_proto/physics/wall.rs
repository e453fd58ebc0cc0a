//! A wall of the caller's own.

use api::v1;
use quantity::{
    Area, Conductivity, Length, LinearTransmittance, PerArea, PointTransmittance, Temperature,
    ThermalResistance,
};
use thermal::{Body, BuildUp, Homogeneous, Layer, Role, Section, Source, Vapour};
use working::{Fault, Faults};

use super::weather::{self, Moisture};
use super::{MOST_LAYERS, reworded, text};
use crate::from_proto::field::choice;

/// The climate outside.
pub enum Outside {
    /// Of the rule data.
    Key(String),
    /// The caller's own.
    Own(thermal::Climate),
}

/// The moisture of the rooms.
pub enum Rooms {
    /// By a humidity class of the rule data.
    Class(String),
    /// A relative humidity.
    Relative(f64),
}

/// The air on both sides.
pub struct WallAir {
    pub outside: Option<Outside>,
    pub indoor: Temperature,
    pub rooms: Option<Rooms>,
}

/// A wall and what is asked of it.
pub struct WallJob {
    pub build_up: BuildUp,
    pub air: Option<WallAir>,
}

/// The wall, with the faults that its engine does not find.
pub fn wall(wire: &v1::WallRequest, faults: &mut Faults) -> WallJob {
    text("reference", &wire.reference, faults);
    let mut build_up = BuildUp::of("", layers(&wire.layers, faults));
    if let Some(given) = &wire.surfaces {
        build_up.surfaces = super::given_surfaces(*given);
    }
    build_up.direction = match choice("direction", wire.direction, faults) {
        Some(v1::HeatDirection::Up) => thermal::HeatFlow::Up,
        Some(v1::HeatDirection::Down) => thermal::HeatFlow::Down,
        _ => thermal::HeatFlow::Horizontal,
    };
    build_up.voids = match choice("voids", wire.voids, faults) {
        Some(v1::AirVoids::Bridging) => thermal::VoidLevel::Bridging,
        Some(v1::AirVoids::Circulating) => thermal::VoidLevel::Circulating,
        _ => thermal::VoidLevel::None,
    };
    build_up.anchors = wire.anchors.as_ref().map(|a| thermal::PointBridges {
        per_area: PerArea::from_per_m2(a.per_m2),
        chi: PointTransmittance::from_w_per_k(a.chi_w_per_k),
        from: Source::Request("anchors".to_owned()),
    });
    build_up.fasteners = wire.fasteners.as_ref().map(|f| thermal::Fasteners {
        per_area: PerArea::from_per_m2(f.per_m2),
        conductivity: Conductivity::from_w_per_mk(f.conductivity_w_per_mk),
        cross_section: Area::from_mm2(f.cross_section_mm2),
        recessed_length: f.recessed_length_mm.map(Length::from_mm),
        reading: thermal::RecessReading::WholeLayer,
        from: Source::Request("fasteners".to_owned()),
    });
    if wire.keep_small_corrections {
        build_up.small_corrections = thermal::SmallCorrections::Kept;
    }
    build_up.linear = bridges(&wire.bridges, faults);
    let air = wire.climate.as_ref().map(|climate| air(climate, faults));
    WallJob { build_up, air }
}

/// The faults of the engine in the wire's words.
pub fn in_wire_words(list: Vec<Fault>) -> Vec<Fault> {
    let renamed = |mut fault: Fault| {
        for (engine, wire) in [
            (".vapour_factor", ".vapour_resistance_factor"),
            ("].share", "].area_share"),
            ("linear[", "bridges["),
            ("climate.temperatures[0]", "climate.indoor_celsius"),
        ] {
            fault.path = fault.path.replace(engine, wire);
        }
        if fault.path == "climate.relative_humidity" {
            "climate.indoor_humidity_share".clone_into(&mut fault.path);
        }
        fault
    };
    let list = list.into_iter().map(renamed).collect();
    reworded(weather::in_wire_words(list), "")
}

fn vapour(factor: f64) -> Option<Vapour> {
    (factor != 0.0).then_some(Vapour::Factor(factor))
}

fn layers(wire: &[v1::BuildUpLayer], faults: &mut Faults) -> Vec<Layer> {
    if wire.len() > MOST_LAYERS {
        let expected = format!("at most {MOST_LAYERS}");
        let found = format!("{}", wire.len());
        faults.add("layers", "LIMIT_EXCEEDED", found, expected);
    }
    let mut list = Vec::new();
    for (i, layer) in wire.iter().take(MOST_LAYERS).enumerate() {
        let path = format!("layers[{i}]");
        let name = text(&format!("{path}.name"), &layer.name, faults);
        let role = match choice(&format!("{path}.role"), layer.role, faults) {
            Some(v1::LayerRole::Insulation) => Role::Insulation,
            Some(v1::LayerRole::Coat) => Role::Coat,
            _ => Role::Wall,
        };
        let thickness = Length::from_mm(layer.thickness_mm);
        let body = body(&path, layer, faults);
        list.push(Layer::request(name, path, role, thickness, body));
    }
    list
}

/// What a layer is: exactly one of the four.
fn body(path: &str, layer: &v1::BuildUpLayer, faults: &mut Faults) -> Body {
    let told = [
        (layer.conductivity_w_per_mk != 0.0, "conductivity_w_per_mk"),
        (!layer.sections.is_empty(), "sections"),
        (layer.openings_mm2_per_m.is_some(), "openings_mm2_per_m"),
        (layer.resistance_m2k_per_w.is_some(), "resistance_m2k_per_w"),
    ];
    let told: Vec<&str> = told.iter().filter(|t| t.0).map(|t| t.1).collect();
    if told.len() > 1 {
        let found = format!("`{}` together", told.join("` and `"));
        faults.add(path, "DUPLICATE", found, "only one of them in a layer");
    }
    if let Some(resistance) = layer.resistance_m2k_per_w {
        return Body::Resistance {
            resistance: ThermalResistance::from_m2k_per_w(resistance),
            equivalent_air: layer.equivalent_air_m.map(Length::from_m),
        };
    }
    if let Some(openings_mm2_per_m) = layer.openings_mm2_per_m {
        return Body::Air { openings_mm2_per_m };
    }
    let of = |conductivity: f64, factor: f64| Homogeneous {
        vapour: vapour(factor),
        ..Homogeneous::of_conductivity(Conductivity::from_w_per_mk(conductivity))
    };
    if layer.sections.is_empty() {
        return Body::Homogeneous(of(
            layer.conductivity_w_per_mk,
            layer.vapour_resistance_factor,
        ));
    }
    let section = |s: &v1::LayerSection| Section {
        share: s.area_share,
        material: of(s.conductivity_w_per_mk, s.vapour_resistance_factor),
    };
    if layer.sections.len() > MOST_LAYERS {
        let path = format!("{path}.sections");
        let found = format!("{}", layer.sections.len());
        let expected = format!("at most {MOST_LAYERS}");
        faults.add(path, "LIMIT_EXCEEDED", found, expected);
    }
    Body::Sections(
        layer
            .sections
            .iter()
            .take(MOST_LAYERS)
            .map(section)
            .collect(),
    )
}

fn bridges(wire: &[v1::WallBridge], faults: &mut Faults) -> Vec<thermal::LinearBridge> {
    if wire.len() > MOST_LAYERS {
        let found = format!("{}", wire.len());
        let expected = format!("at most {MOST_LAYERS}");
        faults.add("bridges", "LIMIT_EXCEEDED", found, expected);
    }
    let bridge = |(i, b): (usize, &v1::WallBridge)| {
        let path = format!("bridges[{i}]");
        thermal::LinearBridge {
            name: text(&format!("{path}.name"), &b.name, faults),
            psi: LinearTransmittance::from_w_per_mk(b.psi_w_per_mk),
            length: Length::from_m(b.length_m),
            wall_area: Area::from_m2(b.wall_area_m2),
            from: Source::Request(path.clone()),
            path,
        }
    };
    let list = wire.iter().take(MOST_LAYERS).enumerate();
    list.map(bridge).collect()
}

fn air(wire: &v1::WallClimate, faults: &mut Faults) -> WallAir {
    use v1::wall_climate as on;
    let outside = match &wire.outside {
        Some(on::Outside::Key(key)) => Some(Outside::Key(text("climate.key", key, faults))),
        Some(on::Outside::Months(months)) => Some(Outside::Own(weather::months(
            "climate.months",
            months,
            Moisture::Needed,
            faults,
        ))),
        Some(on::Outside::EpwText(epw)) => weather::epw("climate.epw_text", epw, faults)
            .map(|w| Outside::Own(thermal::monthly(&w, "own"))),
        None => {
            let expected = "`key`, `months` or `epw_text`";
            faults.add("climate.key", "MISSING", "nothing", expected);
            None
        }
    };
    let rooms = match &wire.rooms {
        Some(on::Rooms::HumidityClass(key)) => {
            Some(Rooms::Class(text("climate.humidity_class", key, faults)))
        }
        Some(on::Rooms::IndoorHumidityShare(share)) => Some(Rooms::Relative(*share)),
        None => {
            let expected = "`humidity_class` or `indoor_humidity_share`";
            faults.add("climate.humidity_class", "MISSING", "nothing", expected);
            None
        }
    };
    WallAir {
        outside,
        indoor: Temperature::from_celsius(wire.indoor_celsius.unwrap_or(20.0)),
        rooms,
    }
}
