//! A building, its boards and its materials for the checks of the fixing design. All values are demo data.

#![allow(dead_code)] // each test file uses its part

use facade::{Point, Rectangle, Substrate, Surface};
use fixing::anchors::{Pattern, WallResistance};
use fixing::placement::BoardOnWall;
use fixing::wind::{EnWind, Plan, PlanShape, Runs, Site};
use fixing::{FacadeToFix, FixingAnswer, FixingJob, Situation, fix};
use material::{
    Anchor, AnchorLength, Article, Attachment, BaseCategory, BaseResistance, Board, Exposure, Pack,
    PlateResistance, Plug, Rotation, Setting, Supply, System, Unit,
};
use quantity::{
    Area, Conductivity, Density, Force, Length, Mm, PointTransmittance, SpecificHeat, WindSpeed,
};
use standards::en_1991_1_4::NationalWind;
use standards::eota::FixingRules;
use working::{Fault, Sheet};

/// A fixed-seed random source (SplitMix64).
pub struct Draw(pub u64);

impl Draw {
    /// From 0 to 1.
    pub fn unit(&mut self) -> f64 {
        tests::unit(&mut self.0)
    }
    /// From `low` to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
    /// A whole number from `low` to `high`, both counted.
    pub fn whole(&mut self, low: i32, high: i32) -> i32 {
        low + (self.unit() * f64::from(high - low + 1)) as i32
    }
}

pub fn article(key: &str) -> Article {
    Article {
        key: key.into(),
        name: key.into(),
        source: "demo value".into(),
        ..Article::default()
    }
}

fn supply() -> Supply {
    Supply {
        pack: Pack::new("box", 100.0, Unit::Piece),
        price: None,
        stock_packs: None,
    }
}

pub fn board() -> Board {
    Board {
        article: article("board.eps"),
        insulant: "expanded polystyrene".into(),
        length: Mm(1000),
        height: Mm(500),
        conductivity: Conductivity::from_w_per_mk(0.035),
        density: Density::from_kg_per_m3(16.0),
        specific_heat: SpecificHeat::from_j_per_kgk(1450.0),
        vapour_resistance_factor: 40.0,
        hygric: None,
        reaction_to_fire: "E".into(),
        rotation: Rotation::Allowed,
        exposure: Exposure {
            facade: true,
            plinth: false,
            ground: false,
        },
        kerf: Mm(2),
        bonded_share_min: 0.4,
        wider_plate: false,
        thicknesses: vec![],
    }
}

pub fn anchor() -> Anchor {
    let base = |category, kn, embedment| BaseResistance {
        category,
        resistance: Force::from_kn(kn),
        embedment: Mm(embedment),
        extra_drill_depth: Mm(10),
    };
    Anchor {
        article: article("anchor.screw"),
        base: vec![
            base(BaseCategory::Concrete, 1.5, 25),
            base(BaseCategory::SolidMasonry, 0.9, 25),
            base(BaseCategory::HollowMasonry, 0.6, 25),
        ],
        plate_diameter: Mm(60),
        plate_stiffness_kn_per_mm: Some(0.6),
        drill_diameter: Mm(8),
        point_transmittance: PointTransmittance::from_w_per_k(0.002),
        setting: Setting::Flush,
        board_thickness_min: Mm(80),
        spacing_min: Mm(100),
        edge_distance_min: Mm(100),
        member_thickness_min: Length::from_mm(100.0),
        lengths: [155, 175, 195, 215, 235]
            .into_iter()
            .map(|mm| AnchorLength {
                length: Mm(mm),
                supply: supply(),
            })
            .collect(),
    }
}

pub fn plug() -> Plug {
    Plug {
        article: article("plug.eps"),
        supply: supply(),
    }
}

pub fn system() -> System {
    System {
        article: article("system.eps"),
        attachment: Attachment::AnchoredWithSupplementaryMortar,
        board: "board.eps".into(),
        plinth_board: None,
        barrier_board: None,
        bonding_mortar: String::new(),
        base_coat_mortar: String::new(),
        base_coat_thickness: Length::from_mm(5.0),
        mesh: String::new(),
        beads: vec![],
        base_profile: None,
        profile_fixing: None,
        profile_joiner: None,
        profile_packer: None,
        anchors: vec!["anchor.screw".into()],
        plate: None,
        plug: None,
        foam: None,
        sealing_strip: None,
        waterproofing: None,
        mounting_elements: vec![],
        mounting_adhesive: None,
        primer: String::new(),
        finishes: vec![],
        plate_resistances: vec![PlateResistance {
            board: "board.eps".into(),
            thickness_min: Mm(80),
            plate_diameter_min: Mm(60),
            panel: Force::from_kn(0.52),
            joint: Force::from_kn(0.42),
        }],
        anchors_per_m2_min: 4.0,
        anchors_per_m2_max: 16.0,
        reaction_to_fire: "B-s2,d0".into(),
    }
}

pub fn substrate() -> Substrate {
    Substrate {
        layers: vec![],
        surface: Surface::Render,
        old_render: Mm(20),
        flatness: None,
        conditions: vec![],
        category: Some(BaseCategory::SolidMasonry),
        pull_off: None,
        pull_out_tests: vec![],
    }
}

pub fn rectangle(x: i32, y: i32, width: i32, height: i32) -> Rectangle {
    Rectangle {
        x: Mm(x),
        y: Mm(y),
        width: Mm(width),
        height: Mm(height),
    }
}

/// A wall with windows, and boards in half bond; boards at openings are cut to the pieces left and right, above and below.
pub struct Wall {
    pub width: i32,
    pub height: i32,
    pub outline: Vec<Point>,
    pub openings: Vec<Rectangle>,
    pub boards: Vec<BoardOnWall>,
}

/// Boards of 1000 by 500 in half bond from the lower left corner, cut at the edges and around openings.
pub fn wall(width: i32, height: i32, openings: Vec<Rectangle>) -> Wall {
    let mut boards: Vec<BoardOnWall> = Vec::new();
    let mut course = 0;
    let mut y = 0;
    while y < height {
        let top = (y + 500).min(height);
        let mut x = if course % 2 == 0 { 0 } else { -500 };
        while x < width {
            let piece = rectangle(x.max(0), y, (x + 1000).min(width) - x.max(0), top - y);
            for part in without(piece, &openings) {
                let number = boards.len() as u32 + 1;
                boards.push(BoardOnWall {
                    number,
                    outline: part.corners().to_vec(),
                    holes: vec![],
                    situation: 0,
                });
            }
            x += 1000;
        }
        y += 500;
        course += 1;
    }
    Wall {
        width,
        height,
        outline: rectangle(0, 0, width, height).corners().to_vec(),
        openings,
        boards,
    }
}

/// A rectangle less openings: parts beside, below and above each opening.
fn without(piece: Rectangle, openings: &[Rectangle]) -> Vec<Rectangle> {
    let mut parts = vec![piece];
    for hole in openings {
        parts = parts
            .into_iter()
            .flat_map(|p| {
                if !p.overlaps(hole) {
                    return vec![p];
                }
                let (left, right) = (p.x.max(hole.x), p.right().min(hole.right()));
                let mut rest = Vec::new();
                let mut add = |x0: Mm, y0: Mm, x1: Mm, y1: Mm| {
                    if x1 > x0 && y1 > y0 {
                        rest.push(Rectangle {
                            x: x0,
                            y: y0,
                            width: x1 - x0,
                            height: y1 - y0,
                        });
                    }
                };
                add(p.x, p.y, left, p.top());
                add(right, p.y, p.right(), p.top());
                add(left, p.y, right, hole.y.min(p.top()).max(p.y));
                add(left, hole.top().max(p.y).min(p.top()), right, p.top());
                rest
            })
            .collect();
    }
    parts
}

/// Windows of 1.2 by 1.4 m every 3 m and every 2.8 m up.
pub fn windows(width: i32, height: i32) -> Vec<Rectangle> {
    let mut list = Vec::new();
    let mut y = 900;
    while y + 1400 + 600 < height {
        let mut x = 1200;
        while x + 1200 + 900 < width {
            list.push(rectangle(x, y, 1200, 1400));
            x += 3000;
        }
        y += 2800;
    }
    list
}

/// Everything that a job leans on.
pub struct Scene {
    pub national: NationalWind,
    pub site: Site,
    pub rules: FixingRules,
    pub system: System,
    pub board: Board,
    pub anchor: Anchor,
    pub substrate: Substrate,
    pub wall_resistance: WallResistance,
    pub thickness: Mm,
    pub member: Option<Length>,
    pub plan: Plan,
    pub walls: Vec<(Runs, Wall)>,
    pub pattern: Pattern,
}

pub fn scene() -> Scene {
    let wall_of = |w: i32| wall(w, 9_000, windows(w, 9_000));
    Scene {
        national: NationalWind::recommended(),
        site: Site {
            velocity: Some(WindSpeed::from_m_per_s(26.0)),
            terrain: "II".into(),
            ..Site::default()
        },
        rules: fixing::rules::defaults(),
        system: system(),
        board: board(),
        anchor: anchor(),
        substrate: substrate(),
        wall_resistance: WallResistance::Assessed,
        thickness: Mm(140),
        member: Some(Length::from_mm(240.0)),
        plan: Plan {
            length: Mm(20_000),
            width: Mm(11_000),
            height: Length::from_m(9.0),
            shape: PlanShape::Rectangular,
        },
        walls: vec![
            (Runs::AlongLength, wall_of(20_000)),
            (Runs::AlongWidth, wall_of(11_000)),
        ],
        pattern: Pattern::JointsAndField,
    }
}

impl Scene {
    /// The fixing design of the scene.
    pub fn fix(&self, sheet: &mut Sheet) -> Result<FixingAnswer, Vec<Fault>> {
        let code = EnWind {
            national: &self.national,
            site: &self.site,
            path: "wind",
        };
        let anchors = [&self.anchor];
        let situations = [Situation {
            path: "situations[0]",
            name: "facade boards",
            board: &self.board,
            thickness: self.thickness,
            anchors: &anchors,
            plate: None,
            plug: None,
            substrate: &self.substrate,
            member_thickness: self.member,
            bed: Mm(10),
            wall: self.wall_resistance.clone(),
        }];
        let names: Vec<(String, String)> = (0..self.walls.len())
            .map(|i| (format!("facades[{i}]"), format!("facade {i}")))
            .collect();
        let facades: Vec<FacadeToFix<'_>> = self
            .walls
            .iter()
            .zip(&names)
            .map(|((runs, wall), (path, id))| FacadeToFix {
                path,
                id,
                runs: *runs,
                ground: Mm(0),
                outline: &wall.outline,
                openings: &wall.openings,
                boards: &wall.boards,
            })
            .collect();
        let job = FixingJob {
            code: &code,
            plan: self.plan,
            loaded_area: Area::from_m2(1.0),
            rules: &self.rules,
            system: &self.system,
            situations: &situations,
            facades: &facades,
            pattern: self.pattern,
        };
        fix(&job, sheet)
    }
}
