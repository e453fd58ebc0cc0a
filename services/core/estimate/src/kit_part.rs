//! What the layout and the anchors ask of the takeoff, and the takeoff as the answer's order list.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt::Write as _;

use facade::Building;
use material::{Assortment, Unit};
use quantity::{Area, Decimal, Length, Mass, Mm, Money};
use takeoff::{
    AnchorNeed, Billing, BoardNeed, BondNeed, Component, Laid, Leftover, Line, MeasurementRules,
    Practice, Purchase, Share, Site, Takeoff, edges::EdgeKind,
};
use working::{Fault, Finding, Severity, Sheet, numbered};

use crate::answer::{Areas, Kit, KitLine, Part, WaterLine};
use crate::fix_part::Fixed;
use crate::parts::Parts;
use crate::request::Request;
use crate::seams;
use crate::set_out::{self, Product, Products};

/// What the takeoff is made from.
pub(crate) struct Ordered<'a> {
    pub request: &'a Request,
    pub building: &'a Building,
    pub stock: &'a Assortment,
    pub parts: &'a Parts<'a>,
    pub thickness: Mm,
    pub plinth_thickness: Option<Mm>,
    pub laid: Laid,
    pub anchors: Vec<AnchorNeed>,
    pub bonds: Vec<BondNeed>,
    pub measurement: &'a MeasurementRules,
}

/// The boards of a layout by product and part of the wall.
pub(crate) fn laid(
    job: &setting_out::Job,
    layout: &setting_out::Layout,
    products: &Products<'_>,
    fixed: Option<&Fixed>,
) -> Laid {
    // A product that serves two parts is bought once: the part that comes first carries the boards.
    let mut carried: Vec<usize> = Vec::new();
    let joints = seams::lengths(layout, job.boards.len());
    let mut boards = Vec::new();
    for (part, product) in products.by_part() {
        let key = set_out::key(product);
        let Some(index) = job.boards.iter().position(|b| b.key == key) else {
            continue;
        };
        let Some(sum) = layout.products.iter().find(|sum| sum.product == index) else {
            continue;
        };
        let present = layout
            .pieces
            .iter()
            .any(|piece| piece.product == index && set_out::part(job, piece) == part);
        if !present || carried.contains(&index) {
            continue;
        }
        carried.push(index);
        let area = |mm2: i64| Area::from_mm2(mm2 as f64);
        boards.push(BoardNeed {
            board: product.board.article.key.clone(),
            role: part.role(),
            thickness: product.size.thickness,
            boards: u64::from(sum.boards),
            bound: u64::from(sum.bound),
            net_area: area(sum.piece_area_mm2),
            by_facade: by_facade(job, layout, index),
            unanchored: fixed.map_or_else(Vec::new, |fixed| {
                let alike = |(_, other): &(Part, Product<'_>)| set_out::key(*other) == key;
                let parts = products.by_part().filter(alike);
                parts
                    .flat_map(|(part, _)| fixed.unanchored(job, part))
                    .collect()
            }),
            offcut_area: area(sum.offcut_area_mm2),
            scrap_area: area(sum.scrap_area_mm2),
            cuts: u64::from(sum.cuts),
            joint_length: joints[index],
            leftovers: leftovers(layout, index),
        });
    }
    Laid { boards }
}

/// The area of the pieces of a product on each wall.
fn by_facade(
    job: &setting_out::Job,
    layout: &setting_out::Layout,
    product: usize,
) -> Vec<(String, Area)> {
    let walls = job.walls.iter().enumerate();
    walls
        .map(|(index, wall)| {
            let area = area_on(layout, index, Some(product));
            (wall.id.clone(), Area::from_mm2(area))
        })
        .collect()
}

/// The area of the pieces on a wall, of one product or of all, in mm².
fn area_on(layout: &setting_out::Layout, wall: usize, product: Option<usize>) -> f64 {
    let pieces = layout.pieces.iter();
    let own = pieces.filter(|p| p.wall == wall && product.is_none_or(|own| p.product == own));
    own.map(piece_area).sum()
}

/// What the layout leaves of a product, large enough to use.
fn leftovers(layout: &setting_out::Layout, product: usize) -> Vec<Leftover> {
    layout
        .offcuts
        .iter()
        .filter(|offcut| offcut.product == product)
        .map(|offcut| Leftover {
            width: offcut.width,
            height: offcut.height,
        })
        .collect()
}

/// The area of a piece less its holes, in mm².
fn piece_area(piece: &setting_out::Piece) -> f64 {
    let ring = |points: &[setting_out::Point]| -> f64 {
        let doubled: i64 = points
            .iter()
            .zip(points.iter().cycle().skip(1))
            .map(|(a, b)| i64::from(a.x.0) * i64::from(b.y.0) - i64::from(b.x.0) * i64::from(a.y.0))
            .sum();
        doubled.abs() as f64 / 2.0
    };
    ring(&piece.outline) - piece.holes.iter().map(|hole| ring(hole)).sum::<f64>()
}

/// Takes the job off.
///
/// # Errors
/// What [`takeoff::check`] finds.
pub(crate) fn take_off(ordered: &Ordered<'_>, sheet: &mut Sheet) -> Result<Takeoff, Vec<Fault>> {
    takeoff::take_off(&job(ordered), sheet)
}

/// What the kit lays along edges, as far as the system has an article for it, with the kinds of edge that each follows.
pub(crate) fn laid_along(
    ordered: &Ordered<'_>,
    takeoff: &Takeoff,
) -> Vec<(Component, Vec<EdgeKind>)> {
    let bought = |component: Component| {
        let mut lines = takeoff.lines.iter();
        lines.any(|line| line.component == component && !line.article.is_empty())
    };
    takeoff::edges::followed(&job(ordered))
        .into_iter()
        .filter(|(component, _)| bought(*component))
        .collect()
}

fn job<'a>(ordered: &'a Ordered<'_>) -> takeoff::Job<'a> {
    let parts = ordered.parts;
    let site = ordered.request.site_temperature;
    takeoff::Job {
        building: ordered.building,
        parts: takeoff::Parts {
            assortment: ordered.stock,
            system: parts.system,
            board: parts.board,
            plinth_board: parts.plinth_board,
            bonding_mortar: parts.bonding_mortar,
            base_coat_mortar: parts.base_coat_mortar,
            mesh: parts.mesh,
            beads: parts.beads.clone(),
            base_profile: parts.base_profile,
            profile_fixing: parts.profile_fixing,
            profile_joiner: parts.profile_joiner,
            profile_packer: parts.profile_packer,
            anchors: parts.anchors.clone(),
            plate: parts.plate,
            plug: parts.plug,
            foam: parts.foam,
            sealing_strip: parts.sealing_strip,
            waterproofing: parts.waterproofing,
            elements: parts.mounting_elements.clone(),
            adhesive: parts.mounting_adhesive,
            primer: parts.primer,
            finish: parts.finish,
        },
        thickness: ordered.thickness,
        plinth_thickness: ordered.plinth_thickness,
        bonding: ordered.request.bonding,
        bonds: &ordered.bonds,
        courses: &ordered.request.base_coat_courses,
        laid: &ordered.laid,
        anchors: &ordered.anchors,
        measurement: ordered.measurement,
        site: Site {
            reflection_index: ordered.request.reflection_index,
            solar_reflectance: None,
            coldest: site.map(|(least, _)| least),
            warmest: site.map(|(_, greatest)| greatest),
        },
        practice: Practice::default(),
    }
}

/// The takeoff as the answer gives it.
pub(crate) fn told(takeoff: &Takeoff, request: &Request, stock: &Assortment) -> Kit {
    let mut areas: Vec<Areas> = takeoff
        .facades
        .iter()
        .map(|f| {
            let billing = f.billing.as_ref();
            let length = |of: fn(&Billing) -> Length| billing.map_or(Length::ZERO, of);
            Areas {
                billed_reveals: length(|b| b.reveal_length),
                billed_base: length(|b| b.base_length),
                billed_strips: length(|b| b.strip_length),
                billed_stages: billing.map_or_else(Vec::new, |b| b.stages.clone()),
                clear_openings: f.clear.clone(),
                ..five(&f.id, &f.areas)
            }
        })
        .collect();
    areas.push(Areas {
        billed_reveals: areas.iter().map(|a| a.billed_reveals).sum(),
        billed_base: areas.iter().map(|a| a.billed_base).sum(),
        billed_strips: areas.iter().map(|a| a.billed_strips).sum(),
        ..five("", &takeoff.areas)
    });
    let water: Vec<WaterLine> = takeoff
        .lines
        .iter()
        .filter(|line| is_water(line))
        .map(|line| WaterLine {
            purpose: line.purpose_of_water(),
            litres: line.need,
        })
        .collect();
    let lines: Vec<KitLine> = takeoff
        .lines
        .iter()
        .filter(|line| !is_water(line))
        .flat_map(|line| kit_lines(line, stock))
        .collect();
    let unpriced = lines.iter().filter(|line| line.total.is_none()).count() as u32;
    let net = sum_of(&lines, stock).map(Money::rounded);
    let tax = net.map(|net| net.share(request.tax_share));
    Kit {
        areas,
        measurement: request.measurement.clone(),
        lines,
        water,
        net_price: net,
        tax_share: request.tax_share,
        tax,
        gross_price: net.zip(tax).and_then(|(net, tax)| net.plus(tax)),
        unpriced,
        mass_per_area: takeoff.mass.total,
        mass: ordered_mass(takeoff, stock),
    }
}

/// The prices of all lines together, to the last digit that the catalogue has.
fn sum_of(lines: &[KitLine], stock: &Assortment) -> Option<Money> {
    lines
        .iter()
        .filter_map(|line| line.total)
        .try_fold(Money::nothing(stock.currency), Money::plus)
}

/// Where prices go below the smallest unit of the currency: that the sum is rounded, once and where.
pub(crate) fn rounded_to_pay(kit: &Kit, stock: &Assortment) -> Option<Finding> {
    let exact = sum_of(&kit.lines, stock)?;
    let net = kit.net_price?;
    (exact.amount != net.amount).then(|| Finding {
        code: "PRICE_ROUNDED",
        severity: Severity::Note,
        path: String::from("branch"),
        text: format!(
            "The lines come to {exact}. The net price is that sum rounded once to the smallest unit of the currency, half up; tax is rounded the same way, and the gross price is both together.",
        ),
        source: "",
    })
}

/// Lines whose price is nothing, told: it may be meant, for what the client supplies, or be a slip of the catalogue.
pub(crate) fn priced_at_nothing(kit: &Kit, stock: &Assortment) -> Option<Finding> {
    let nothing = |price: &Money| *price == Money::nothing(stock.currency);
    let lines = kit.lines.iter();
    let free: BTreeSet<&str> = lines
        .filter(|line| line.price.as_ref().is_some_and(nothing))
        .map(|line| line.article.as_str())
        .collect();
    if free.is_empty() {
        return None;
    }
    let names: Vec<&str> = free.into_iter().collect();
    Some(Finding {
        code: "PRICE_OF_NOTHING",
        severity: Severity::Caution,
        path: String::from("branch"),
        text: format!(
            "The catalogue prices {} at 0, which adds nothing to the sum. Where the client does not supply them, the price is a slip: mend the catalogue.",
            names.join(", ")
        ),
        source: "",
    })
}

/// What a line of water is for.
trait Watered {
    fn purpose_of_water(&self) -> String;
}

impl Watered for Line {
    fn purpose_of_water(&self) -> String {
        format!("{}: {}", self.name, self.purpose)
    }
}

fn is_water(line: &Line) -> bool {
    matches!(
        line.component,
        Component::MixingWater | Component::DilutionWater
    )
}

fn five(facade: &str, areas: &takeoff::FiveAreas) -> Areas {
    Areas {
        facade: facade.to_string(),
        gross: areas.gross,
        net: areas.net,
        with_reveals: areas.with_reveals,
        developed: areas.developed,
        billed: areas.billed.unwrap_or_default(),
        ..Areas::default()
    }
}

/// The mass of the boards, the mesh and everything in kilograms that is ordered. What other parts weigh, the catalogue does not say.
fn ordered_mass(takeoff: &Takeoff, stock: &Assortment) -> Mass {
    let of = |line: &Line| match line.component {
        Component::Board => boards_mass(line, stock),
        Component::Mesh => {
            let mut meshes = stock.meshes.values();
            let mesh = meshes.find(|m| m.article.key == line.article);
            mesh.map_or(Mass::ZERO, |m| m.per_area * Area::from_m2(line.bought()))
        }
        _ if line.unit == Unit::Kilogram => Mass::from_kg(line.bought()),
        _ => Mass::ZERO,
    };
    takeoff.lines.iter().map(of).sum()
}

fn boards_mass(line: &Line, stock: &Assortment) -> Mass {
    let mut boards = stock.boards.values();
    let Some(board) = boards.find(|b| b.article.key == line.article) else {
        return Mass::ZERO;
    };
    let face = board.length.to_length() * board.height.to_length();
    let of = |bought: &Purchase| {
        let pieces = bought.content * bought.packs as f64;
        let thickness = bought.size.map_or(Length::ZERO, Mm::to_length);
        board.density * thickness * face * pieces
    };
    line.purchases.iter().map(of).sum()
}

/// One order line for each size bought; a part that no article serves keeps its line, without packs.
fn kit_lines(line: &Line, stock: &Assortment) -> Vec<KitLine> {
    let waste: f64 = line.losses.iter().map(|loss| loss.amount).sum();
    let origins: Vec<&str> = line
        .losses
        .iter()
        .map(|loss| loss.origin.as_str())
        .collect();
    let base = KitLine {
        article: line.article.clone(),
        name: line.name.clone(),
        purpose: line.purpose.clone(),
        net: line.net_need,
        waste,
        waste_origin: origins.join("; "),
        unit: line.unit.sign().to_string(),
        unit_code: line.unit.code().to_string(),
        leftover: line.leftover,
        metadata: metadata(stock, &line.article).into_iter().collect(),
        sheet_line: line.sheet_lines.last().copied().unwrap_or_default(),
        derivation: derivation(line),
        ..KitLine::default()
    };
    if line.purchases.is_empty() {
        return alloc::vec![base];
    }
    // Each size carries what it supplies, so that net, waste and leftover of a line are what it buys.
    line.purchases
        .iter()
        .enumerate()
        .map(|(index, bought)| {
            let mut mine = base.clone();
            // A line in several sizes ends with the packs of each, in their order.
            let back = line.purchases.len() - index;
            let own = line.sheet_lines.len().checked_sub(back);
            let own = own.and_then(|at| line.sheet_lines.get(at)).copied();
            mine.sheet_line = own.unwrap_or(mine.sheet_line);
            if index > 0 {
                mine.derivation = format!("with the line above: {}", mine.derivation);
            }
            purchased(mine, bought)
        })
        .collect()
}

fn purchased(line: KitLine, bought: &Purchase) -> KitLine {
    KitLine {
        net: bought.net_need,
        waste: bought.need - bought.net_need,
        leftover: bought.content * bought.packs as f64 - bought.need,
        size: bought
            .size
            .map(|size| format!("{size}"))
            .unwrap_or_default(),
        packs: bought.packs,
        pack_name: bought.pack.clone(),
        pack_content: bought.content,
        price: bought.price_per_pack,
        total: bought.price,
        short_packs: bought.short_of_stock,
        pallets: bought.pallets,
        ..line
    }
}

/// The most shares of a line that its derivation names; the others stand there as one sum.
const SHARES_NAMED: usize = 6;

fn derivation(line: &Line) -> String {
    let shares: Vec<&Share> = line.shares.iter().filter(|s| s.amount != 0.0).collect();
    let (named, rest) = shares.split_at(shares.len().min(SHARES_NAMED));
    let named = named.iter().map(|s| format!("{} {:.2}", s.name, s.amount));
    let others: f64 = rest.iter().map(|share| share.amount).sum();
    let rest = (!rest.is_empty()).then(|| {
        format!(
            "{} {others:.2}",
            numbered(rest.len() as u64, "other", "others")
        )
    });
    let mut text = named.chain(rest).collect::<Vec<_>>().join(" + ");
    for bound in &line.bounds {
        let proof = if bound.is_proven() {
            "proven least"
        } else {
            "bound"
        };
        let _ = write!(
            text,
            "{}{} ({proof} {})",
            if text.is_empty() { "" } else { "; " },
            bound.counted(),
            bound.least
        );
    }
    for told in &line.told {
        let _ = write!(text, "{}{told}", if text.is_empty() { "" } else { "; " });
    }
    text
}

/// The free table of an article, by its key with the kind.
fn metadata(stock: &Assortment, key: &str) -> BTreeMap<String, String> {
    let article = crate::parts::article(stock, key);
    article
        .map(|article| article.metadata.clone())
        .unwrap_or_default()
}

/// A tax share as a decimal that a price can be multiplied by.
pub(crate) fn sound_tax(share: Decimal) -> bool {
    !share.is_sign_negative() && share <= Decimal::ONE
}
