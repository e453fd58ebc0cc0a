//! A small assortment with round numbers, so that what a line should be can be worked out by hand. Values for the checks only.

use material::{
    Accessory, Adhesive, Anchor, AnchorLength, Article, Assortment, Attachment, BaseCoatUse,
    BaseProfile, Bead, BeadUse, Board, BoardThickness, BondingUse, Exposure, Finish, Foam,
    LinearStock, LoadClass, Mesh, Mortar, MountingElement, Pack, Plate, Plug, Primer, ProfileSize,
    Rotation, SealingStrip, Setting, Supply, System, Unit, Waterproofing,
};
use quantity::{
    AreaMass, Conductivity, Currency, Density, Duration, Length, Mm, Money, PointTransmittance,
    SpecificHeat,
};

fn article(key: &str) -> Article {
    Article {
        key: key.into(),
        name: key.into(),
        source: "value for the checks".into(),
        ..Article::default()
    }
}

fn supply(name: &str, content: f64, unit: Unit, price: &str) -> Supply {
    Supply {
        pack: Pack::new(name, content, unit),
        price: Some(Money::price(price, Currency::EUR).unwrap()),
        stock_packs: None,
    }
}

fn bars(lengths: &[(i32, u32, &str)]) -> LinearStock {
    LinearStock {
        sizes: lengths
            .iter()
            .map(|(length, pieces, price)| ProfileSize {
                length: Mm(*length),
                pieces: *pieces,
                supply: supply(
                    "bundle",
                    f64::from(*length) / 1000.0 * f64::from(*pieces),
                    Unit::Metre,
                    price,
                ),
            })
            .collect(),
    }
}

const fn kg(mass: f64) -> AreaMass {
    AreaMass::from_kg_per_m2(mass)
}

fn board(key: &str, exposure: Exposure) -> Board {
    let thickness = |mm: i32, boards: u32, price: &str| BoardThickness {
        thickness: Mm(mm),
        boards_per_pack: boards,
        supply: supply("pack", f64::from(boards), Unit::Piece, price),
    };
    Board {
        article: article(key),
        insulant: "expanded polystyrene".into(),
        length: Mm(1000),
        height: Mm(500),
        conductivity: Conductivity::from_w_per_mk(0.032),
        density: Density::from_kg_per_m3(18.0),
        specific_heat: SpecificHeat::from_j_per_kgk(1450.0),
        vapour_resistance_factor: 40.0,
        hygric: None,
        reaction_to_fire: "E".into(),
        rotation: Rotation::Allowed,
        exposure,
        kerf: Mm(0),
        bonded_share_min: 0.4,
        wider_plate: false,
        thicknesses: vec![thickness(30, 16, "20.00"), thickness(140, 3, "21.00")],
    }
}

fn mortar(key: &str) -> Mortar {
    Mortar {
        article: article(key),
        bonding: Some(BondingUse {
            bead_and_dab: kg(4.0),
            per_mm_unevenness: kg(1.5),
            full_bed: kg(5.0),
            bed: Length::from_mm(10.0),
            strength_to_insulant: None,
            before_anchors: Duration::from_days(2.0),
        }),
        base_coat: Some(BaseCoatUse {
            per_mm: kg(1.4),
            thickness_min: Length::from_mm(3.0),
            thickness_max: Length::from_mm(7.0),
            thickness: Length::from_mm(4.0),
            drying: Duration::from_days(5.0),
        }),
        water_l_per_kg: 0.24,
        density: Density::from_kg_per_m3(1400.0),
        conductivity: Conductivity::from_w_per_mk(0.7),
        vapour_resistance_factor: 20.0,
        hygric: None,
        supply: supply("bag", 25.0, Unit::Kilogram, "10.00"),
    }
}

fn small(key: &str, pieces: f64, price: &str) -> Accessory {
    Accessory {
        article: article(key),
        supply: supply("box", pieces, Unit::Piece, price),
    }
}

fn bead(key: &str, usage: BeadUse, stock: LinearStock) -> Bead {
    Bead {
        article: article(key),
        usage,
        stock,
    }
}

fn element(key: &str, load: LoadClass, anchors: u32) -> MountingElement {
    MountingElement {
        article: article(key),
        load,
        anchors,
        mortar: None,
        thickness_min: Mm(60),
        thickness_max: Mm(300),
        supply: supply("piece", 1.0, Unit::Piece, "6.00"),
    }
}

fn system() -> System {
    let some = |key: &str| Some(key.to_owned());
    System {
        article: article("system.eps"),
        attachment: Attachment::BondedWithSupplementaryAnchors,
        board: "eps".into(),
        plinth_board: some("plinth"),
        barrier_board: None,
        bonding_mortar: "bonding".into(),
        base_coat_mortar: "levelling".into(),
        base_coat_thickness: Length::from_mm(4.0),
        mesh: "mesh".into(),
        beads: ["corner", "drip", "joint", "sill", "frame"]
            .map(str::to_owned)
            .to_vec(),
        base_profile: some("profile"),
        profile_fixing: some("fixing"),
        profile_joiner: some("joiner"),
        profile_packer: some("packer"),
        anchors: vec!["anchor".into()],
        plate: some("plate"),
        plug: some("plug"),
        foam: some("foam"),
        sealing_strip: some("strip"),
        waterproofing: some("waterproofing"),
        mounting_elements: vec!["light".into(), "heavy".into()],
        mounting_adhesive: some("adhesive"),
        primer: "primer".into(),
        finishes: vec!["finish".into()],
        plate_resistances: Vec::new(),
        anchors_per_m2_min: 4.0,
        anchors_per_m2_max: 12.0,
        reaction_to_fire: "B-s1,d0".into(),
    }
}

fn coats(a: &mut Assortment) {
    a.mortars.insert("bonding".into(), mortar("mortar.bonding"));
    a.mortars
        .insert("levelling".into(), mortar("mortar.levelling"));
    a.primers.insert(
        "primer".into(),
        Primer {
            article: article("primer.primer"),
            per_area: kg(0.25),
            water_share_min: 0.05,
            water_share_max: 0.10,
            drying: Duration::from_hours(24.0),
            supply: supply("bucket", 20.0, Unit::Kilogram, "40.00"),
        },
    );
    a.finishes.insert(
        "finish".into(),
        Finish {
            article: article("finish.finish"),
            grain: Length::from_mm(1.5),
            per_area: kg(2.5),
            thickness: Length::from_mm(1.5),
            density: Density::from_kg_per_m3(1700.0),
            conductivity: Conductivity::from_w_per_mk(0.7),
            vapour_resistance_factor: 60.0,
            hygric: None,
            supply: supply("bucket", 25.0, Unit::Kilogram, "55.00"),
        },
    );
    a.waterproofings.insert(
        "waterproofing".into(),
        Waterproofing {
            article: article("waterproofing.waterproofing"),
            per_area: kg(3.0),
            supply: supply("bucket", 20.0, Unit::Kilogram, "70.00"),
        },
    );
}

fn lines(a: &mut Assortment) {
    a.meshes.insert(
        "mesh".into(),
        Mesh {
            article: article("mesh.mesh"),
            roll_width: Mm(1000),
            roll_length: Mm(50_000),
            overlap: Mm(100),
            per_area: kg(0.16),
            diagonal_width: Mm(200),
            diagonal_length: Mm(300),
            supply: supply("roll", 50.0, Unit::SquareMetre, "45.00"),
        },
    );
    for (key, usage) in [
        ("corner", BeadUse::Corner),
        ("drip", BeadUse::Drip),
        ("joint", BeadUse::Joint),
        ("sill", BeadUse::Sill),
        ("frame", BeadUse::Frame),
    ] {
        let stock = bars(&[(2500, 10, "30.00")]);
        a.beads
            .insert(key.into(), bead(&format!("bead.{key}"), usage, stock));
    }
    a.base_profiles.insert(
        "profile".into(),
        BaseProfile {
            article: article("base-profile.profile"),
            sizes: vec![(Mm(140), bars(&[(2500, 1, "12.50")]))],
            fixing_spacing: Mm(300),
            joint_gap: Mm(3),
            linear_transmittance: None,
        },
    );
    a.sealing_strips.insert(
        "strip".into(),
        SealingStrip {
            article: article("sealing-strip.strip"),
            stock: bars(&[(8000, 1, "9.00")]),
        },
    );
}

fn pieces(a: &mut Assortment) {
    for (key, content, price) in [
        ("fixing", 100.0, "8.00"),
        ("joiner", 10.0, "4.00"),
        ("packer", 50.0, "3.00"),
    ] {
        let accessory = small(&format!("accessory.{key}"), content, price);
        a.accessories.insert(key.into(), accessory);
    }
    a.anchors.insert(
        "anchor".into(),
        Anchor {
            article: article("anchor.anchor"),
            base: Vec::new(),
            plate_diameter: Mm(60),
            plate_stiffness_kn_per_mm: None,
            drill_diameter: Mm(8),
            point_transmittance: PointTransmittance::from_w_per_k(0.002),
            setting: Setting::Recessed { depth: Mm(20) },
            board_thickness_min: Mm(60),
            spacing_min: Mm(100),
            edge_distance_min: Mm(100),
            member_thickness_min: Length::from_mm(100.0),
            lengths: [195, 215]
                .map(|length| AnchorLength {
                    length: Mm(length),
                    supply: supply("box", 100.0, Unit::Piece, "60.00"),
                })
                .to_vec(),
        },
    );
    a.plates.insert(
        "plate".into(),
        Plate {
            article: article("plate.plate"),
            diameter: Mm(140),
            supply: supply("box", 100.0, Unit::Piece, "20.00"),
        },
    );
    a.plugs.insert(
        "plug".into(),
        Plug {
            article: article("plug.plug"),
            supply: supply("box", 100.0, Unit::Piece, "10.00"),
        },
    );
    a.foams.insert(
        "foam".into(),
        Foam {
            article: article("foam.foam"),
            yield_l_per_l: 40.0,
            supply: supply("can", 0.75, Unit::Litre, "7.00"),
        },
    );
    a.adhesives.insert(
        "adhesive".into(),
        Adhesive {
            article: article("adhesive.adhesive"),
            litres_per_element: 0.1,
            supply: supply("cartridge", 0.3, Unit::Litre, "8.00"),
        },
    );
    for (key, load, anchors) in [
        ("light", LoadClass::Light, 0),
        ("heavy", LoadClass::Heavy, 4),
    ] {
        let element = element(&format!("mounting-element.{key}"), load, anchors);
        a.mounting_elements.insert(key.into(), element);
    }
}

/// The assortment with one system, `eps`.
pub fn assortment() -> Assortment {
    let mut a = Assortment::empty("checks", Currency::EUR);
    let facade = Exposure {
        facade: true,
        plinth: false,
        ground: false,
    };
    let plinth = Exposure {
        facade: false,
        plinth: true,
        ground: true,
    };
    a.boards.insert("eps".into(), board("board.eps", facade));
    a.boards
        .insert("plinth".into(), board("board.plinth", plinth));
    coats(&mut a);
    lines(&mut a);
    pieces(&mut a);
    a.systems.insert("eps".into(), system());
    a
}
