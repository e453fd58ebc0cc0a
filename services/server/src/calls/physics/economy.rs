//! The economic thickness of a system's board.

use api::v1;
use drawing::{CostPlot, CostPoint, cost_plot};
use material::{Anchor, Article, Assortment, Board, BoardThickness, Supply, System};
use quantity::{Length, Mm, PerArea, SpecificHeat, Transmittance};
use thermal::{
    Body, BuildUp, Homogeneous, Layer, LimitValue, PointBridges, Role, Source, Storage,
    ThermalLimit, Vapour,
};
use working::{Faults, Sheet};

use super::{Said, encode, parse};
use crate::refused::Refused;
use crate::snapshot::Snapshot;

/// Specific heat of mortars and renders, ISO 10456:2007 Table 4 (from memory, unverified).
pub(super) const MINERAL_HEAT: SpecificHeat = SpecificHeat::from_j_per_kgk(1000.0);

/// The most anchors on a square metre.
const MOST_ANCHORS: f64 = 40.0;

/// The economic thickness.
///
/// # Errors
/// Every fault of the request at once, a name that is not there among them; a board without any price.
pub fn economy(
    wire: &v1::EconomyRequest,
    snapshot: &Snapshot,
) -> Result<v1::EconomyResponse, Refused> {
    let (branch, unknown) = super::branch(snapshot, &wire.branch)?;
    let mut faults = Faults::new();
    let mut wall = own_wall(wire, &mut faults);
    // Without an offer the rest is still checked, against a board of no kind.
    let offered = unknown.map_or_else(|| offer(wire, branch), Err);
    let (offer, refusal) = match offered {
        Ok(offer) => (offer, None),
        Err(refused) => (Offer::stand_in(), Some(refused)),
    };
    let slot = wall.len();
    let stock: Vec<thermal::Board> = offer.sizes.iter().map(|s| s.board.clone()).collect();
    if let Some(first) = stock.first() {
        wall.push(layer(
            "board",
            &offer.board,
            Role::Insulation,
            first.thickness,
            first.material,
        ));
    }
    wall.extend(offer.coats.iter().cloned());
    let build_up = BuildUp::of("", wall);
    let limit = wire.u_at_most_w_per_m2k.map(|u| {
        ThermalLimit::stated(LimitValue::TransmittanceAtMost(
            Transmittance::from_w_per_m2k(u),
        ))
    });
    let terms = parse::terms(wire.terms.as_ref(), branch.currency);
    let asked = thermal::EconomyRequest {
        build_up: &build_up,
        slot,
        stock: &stock,
        terms: &terms,
        fixed_cost_per_m2: wire.fixed_cost_per_m2,
        limit: limit.as_ref(),
    };
    let mut sheet = Sheet::new();
    let found = match thermal::economic_thickness(&asked, &mut sheet) {
        Ok(found) if faults.is_empty() && refusal.is_none() => found,
        Ok(_) => return Err(super::join(refusal, faults)),
        Err(list) => {
            faults.extend(parse::in_wall_words(list));
            return Err(super::join(refusal, faults));
        }
    };
    let mut said = Said::without_catalogue(parse::include(wire.include.as_ref()), sheet, snapshot);
    said.provenance = encode::provenance(&said.sheet.documents(), Some(branch), snapshot.rules());
    offer.tell(wire, &mut said);
    let plot = || cost_plot(&plot(wire.fixed_cost_per_m2, &found, branch));
    said.draw("cost-over-thickness.svg", "Cost over thickness", plot);
    let anchors: Vec<(f64, i32)> = found
        .curve
        .iter()
        .map(|p| offer.sizes.get(p.board).map_or((0.0, 0), Size::anchors))
        .collect();
    let told = encode::Priced {
        board: &offer.board,
        currency: branch.currency,
        anchors: &anchors,
    };
    Ok(encode::economy(wire, &told, &found, said))
}

/// The existing wall, with the faults that its engine does not find.
fn own_wall(wire: &v1::EconomyRequest, faults: &mut Faults) -> Vec<Layer> {
    let wall = parse::layers(&wire.layers, faults);
    if wall.is_empty() {
        faults.add("layers", "MISSING", "no layers", "the existing wall");
    }
    let mut within = |path: &str, told: Option<f64>, (low, high): (f64, f64), unit: &str| {
        if let Some(value) = told
            && !(low..=high).contains(&value)
        {
            let expected = format!("{low} to {high} {unit}");
            faults.add(path, "OUT_OF_RANGE", format!("{value}"), expected);
        }
    };
    let (u, anchors) = (wire.u_at_most_w_per_m2k, wire.anchors_per_m2);
    within("u_at_most_w_per_m2k", u, (0.01, 20.0), "W/(m2.K)");
    within(
        "anchors_per_m2",
        anchors,
        (0.0, MOST_ANCHORS),
        "anchors a square metre",
    );
    let render = wire.old_render_mm.map(f64::from);
    within("old_render_mm", render, (0.0, 200.0), "mm");
    wall
}

/// What a system offers: its board in the thicknesses that have a price, and its coats.
struct Offer {
    /// Key of the board.
    board: String,
    sizes: Vec<Size>,
    coats: Vec<Layer>,
    /// Stocked thicknesses that are left out, with why.
    left_out: Vec<String>,
    /// Key of the anchors that are priced, one for every kind.
    anchors: Vec<String>,
    /// The share of the boards added for waste on site.
    waste: f64,
}

/// One thickness with its price; that of the anchors is in it.
struct Size {
    board: thermal::Board,
    anchor: Option<Anchored>,
}

/// The anchors of one thickness.
struct Anchored {
    key: String,
    cost_per_m2: f64,
    length: Mm,
}

impl Size {
    fn anchors(&self) -> (f64, i32) {
        self.anchor
            .as_ref()
            .map_or((0.0, 0), |a| (a.cost_per_m2, a.length.0))
    }
}

impl Offer {
    /// A board of no kind, so that a request whose system is not there is checked all the same.
    fn stand_in() -> Self {
        let board = thermal::Board {
            name: "board".to_owned(),
            article: "board".to_owned(),
            thickness: Length::from_mm(100.0),
            material: Homogeneous::of_conductivity(quantity::Conductivity::from_w_per_mk(0.04)),
            price_per_m2: Some(10.0),
            anchors: None,
        };
        Self {
            board: "board".to_owned(),
            sizes: vec![Size {
                board,
                anchor: None,
            }],
            coats: Vec::new(),
            left_out: Vec::new(),
            anchors: Vec::new(),
            waste: 0.0,
        }
    }

    fn tell(&self, wire: &v1::EconomyRequest, said: &mut Said) {
        if !self.left_out.is_empty() {
            let text = format!("Left out: {}.", self.left_out.join("; "));
            said.note("THICKNESS_LEFT_OUT", "system", text);
        }
        let counted = format!(
            "boards at the catalogue's prices with {} % for waste on site",
            (self.waste * 1000.0).round() / 10.0
        );
        if wire.anchors_per_m2.is_some() {
            let text = format!(
                "Counted: {counted}, and {} with plate and plug where the system has them, in the shortest stocked length that serves the base material with the deepest embedment. Not counted: base profiles, beads, mortar, coats, work and scaffold, beyond what `fixed_cost_per_m2` holds. Costs compare thicknesses and are no offer; how many anchors are needed is for the fixing design.",
                self.anchors.join(", ")
            );
            said.note("COSTS_COUNTED", "", text);
        } else {
            let text = format!(
                "Counted: {counted}. Not counted: anchors (tell `anchors_per_m2`), base profiles, beads, mortar, coats, work and scaffold, beyond what `fixed_cost_per_m2` holds. Costs compare thicknesses and are no offer."
            );
            said.note("ANCHORS_NOT_COUNTED", "", text);
        }
    }
}

/// What the system of a request offers.
fn offer(wire: &v1::EconomyRequest, branch: &Assortment) -> Result<Offer, Refused> {
    let system = system(branch, "system", &wire.system)?;
    let board = board(branch, system)?;
    let mut offer = Offer {
        board: board.article.key.clone(),
        sizes: Vec::new(),
        coats: coats(branch, system),
        left_out: Vec::new(),
        anchors: Vec::new(),
        waste: board.article.waste_share,
    };
    for stocked in &board.thicknesses {
        let thickness = stocked.thickness;
        let Some(price) = board_price(board, stocked) else {
            offer.left_out.push(format!("{thickness} has no price"));
            continue;
        };
        let anchor = match wire.anchors_per_m2 {
            None => None,
            Some(told) => {
                // What is out of range is told as a fault of its own and must not be told again.
                let per_m2 = if (0.0..=MOST_ANCHORS).contains(&told) {
                    told
                } else {
                    0.0
                };
                let asked = Asked {
                    branch,
                    system,
                    board,
                    thickness,
                    per_m2,
                    old_render: Mm(wire.old_render_mm.unwrap_or(0)),
                };
                match asked.anchored() {
                    Ok(anchor) => Some(anchor),
                    Err(why) => {
                        offer.left_out.push(why);
                        continue;
                    }
                }
            }
        };
        if let Some((anchored, _)) = &anchor
            && !offer.anchors.contains(&anchored.key)
        {
            offer.anchors.push(anchored.key.clone());
        }
        let cost = anchor.as_ref().map_or(0.0, |(a, _)| a.cost_per_m2);
        let (anchor, bridges) = anchor.unzip();
        offer.sizes.push(Size {
            board: thermal::Board {
                name: board.article.name.clone(),
                article: board.article.key.clone(),
                thickness: thickness.to_length(),
                material: material(board),
                price_per_m2: Some(price + cost),
                anchors: bridges,
            },
            anchor,
        });
    }
    if offer.sizes.is_empty() {
        return Err(no_price(&board.article.key, &offer.left_out));
    }
    Ok(offer)
}

/// The price of a square metre of board, with waste on site.
fn board_price(board: &Board, stocked: &BoardThickness) -> Option<f64> {
    let one = board.length.to_length().as_m() * board.height.to_length().as_m();
    let price = amount(&stocked.supply)?;
    let area = f64::from(stocked.boards_per_pack) * one;
    Some(price / area * (1.0 + board.article.waste_share))
}

/// The price of a pack as a number: costs over the years are estimates.
fn amount(supply: &Supply) -> Option<f64> {
    supply.price?.amount_text().parse().ok()
}

/// The anchors that are asked for in one thickness.
struct Asked<'a> {
    branch: &'a Assortment,
    system: &'a System,
    board: &'a Board,
    thickness: Mm,
    per_m2: f64,
    old_render: Mm,
}

impl Asked<'_> {
    /// The first anchor of the system that serves, with its price and what it lets through; or why there is none.
    fn anchored(&self) -> Result<(Anchored, PointBridges), String> {
        let mut why = format!("{} has no anchor", self.thickness);
        for key in &self.system.anchors {
            let Some(anchor) = self.branch.anchors.get(bare(key)) else {
                continue;
            };
            match self.with(anchor) {
                Ok(anchored) => {
                    let bridges = PointBridges {
                        per_area: PerArea::from_per_m2(self.per_m2),
                        chi: anchor.point_transmittance,
                        from: Source::Catalogue(anchor.article.key.clone()),
                    };
                    return Ok((anchored, bridges));
                }
                Err(fault) => why = format!("{}: {fault}", self.thickness),
            }
        }
        Err(why)
    }

    fn with(&self, anchor: &Anchor) -> Result<Anchored, String> {
        let (branch, system) = (self.branch, self.system);
        let named = |key: &Option<String>| key.as_deref().map(bare).map(str::to_owned);
        let plate = named(&system.plate).and_then(|key| branch.plates.get(&key));
        let plug = named(&system.plug).and_then(|key| branch.plugs.get(&key));
        let deepest = anchor.base.iter().max_by_key(|b| b.embedment);
        let base = deepest.ok_or("an anchor without a base material")?;
        if self.thickness < anchor.board_thickness_min {
            let least = anchor.board_thickness_min;
            return Err(format!("{} is for {least} and more", anchor.article.key));
        }
        let bonding = branch.mortars.get(bare(&system.bonding_mortar));
        let bed = bonding
            .and_then(|m| m.bonding)
            .map_or(10.0, |b| b.bed.as_mm());
        let layers = fixing::length::Layers {
            path: "anchors_per_m2",
            anchor,
            base,
            old_render: self.old_render,
            bed: Mm::from_whole(bed.ceil()).unwrap_or(Mm(10)),
            board: self.board,
            thickness: self.thickness,
            plate,
            plug,
        };
        let chosen = fixing::length::choose(&layers, &mut Sheet::new());
        let chosen = chosen.map_err(|f| f.first().map(ToString::to_string).unwrap_or_default())?;
        let stocked = anchor.lengths.iter().find(|l| l.length == chosen.length);
        let piece = |article: &Article, supply: &Supply| {
            let price = amount(supply).filter(|_| supply.pack.content > 0.0);
            let price = price.ok_or_else(|| format!("{} has no price", article.key))?;
            Ok::<f64, String>(price / supply.pack.content * (1.0 + article.waste_share))
        };
        let stocked = stocked.ok_or_else(|| format!("{} in no length", anchor.article.key))?;
        let mut cost = piece(&anchor.article, &stocked.supply)?;
        if let Some(plate) = plate.filter(|_| chosen.wider_plate) {
            cost += piece(&plate.article, &plate.supply)?;
        }
        if let Some(plug) = plug.filter(|_| chosen.plugged) {
            cost += piece(&plug.article, &plug.supply)?;
        }
        Ok(Anchored {
            key: anchor.article.key.clone(),
            cost_per_m2: cost * self.per_m2,
            length: chosen.length,
        })
    }
}

fn plot(fixed: f64, found: &thermal::Economy, branch: &Assortment) -> CostPlot {
    let points = found.curve.iter().map(|p| CostPoint {
        thickness_mm: p.thickness.as_mm(),
        system: p.boards + fixed,
        heat: p.energy,
    });
    CostPlot {
        title: "Cost over thickness".to_owned(),
        unit: format!("{}/m²", branch.currency.code()),
        points: points.collect(),
        optimum: found.best,
    }
}

fn no_price(board: &str, why: &[String]) -> Refused {
    Refused::PartsDoNotFit(vec![working::Fault {
        path: "system".to_owned(),
        reason: "MISSING",
        found: format!("`{board}`: {}", why.join("; ")),
        expected: "a board of which at least one thickness has a price, with its anchors where they are asked for".to_owned(),
    }])
}

/// A system by its key, with or without its kind.
pub(super) fn system<'a>(
    branch: &'a Assortment,
    path: &str,
    key: &str,
) -> Result<&'a System, Refused> {
    let found = branch
        .systems
        .get(key.strip_prefix("system.").unwrap_or(key));
    found.ok_or_else(|| Refused::unknown(path, key, branch.systems.keys().map(String::as_str)))
}

/// The facade board of a system.
pub(super) fn board<'a>(branch: &'a Assortment, system: &System) -> Result<&'a Board, Refused> {
    let key = bare(&system.board);
    let found = branch.boards.get(key);
    found.ok_or_else(|| Refused::Internal(format!("{} has no board {key}", system.article.key)))
}

/// A key without its kind.
pub(super) fn bare(key: &str) -> &str {
    key.split_once('.').map_or(key, |(_, bare)| bare)
}

/// The material of a board.
fn material(board: &Board) -> Homogeneous {
    Homogeneous {
        conductivity: board.conductivity,
        vapour: Some(Vapour::Factor(board.vapour_resistance_factor)),
        storage: Some(Storage {
            density: board.density,
            specific_heat: board.specific_heat,
        }),
    }
}

fn layer(name: &str, article: &str, role: Role, thickness: Length, material: Homogeneous) -> Layer {
    Layer {
        name: name.to_owned(),
        role,
        path: "system".to_owned(),
        thickness_from: Source::Catalogue(article.to_owned()),
        material_from: Source::Catalogue(article.to_owned()),
        thickness,
        body: Body::Homogeneous(material),
    }
}

/// Base coat and finish of a system.
fn coats(branch: &Assortment, system: &System) -> Vec<Layer> {
    let mut coats = Vec::new();
    if let Some(mortar) = branch.mortars.get(bare(&system.base_coat_mortar)) {
        let material = Homogeneous {
            conductivity: mortar.conductivity,
            vapour: Some(Vapour::Factor(mortar.vapour_resistance_factor)),
            storage: Some(Storage {
                density: mortar.density,
                specific_heat: MINERAL_HEAT,
            }),
        };
        let key = &mortar.article.key;
        coats.push(layer(
            "base coat",
            key,
            Role::Coat,
            system.base_coat_thickness,
            material,
        ));
    }
    let finish = system
        .finishes
        .first()
        .and_then(|key| branch.finishes.get(bare(key)));
    if let Some(finish) = finish {
        let material = Homogeneous {
            conductivity: finish.conductivity,
            vapour: Some(Vapour::Factor(finish.vapour_resistance_factor)),
            storage: Some(Storage {
                density: finish.density,
                specific_heat: MINERAL_HEAT,
            }),
        };
        let key = &finish.article.key;
        coats.push(layer("finish", key, Role::Coat, finish.thickness, material));
    }
    coats
}
