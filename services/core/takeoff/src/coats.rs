//! Mortars, primer and finish, and the water they take.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use material::{Article, Board, BondingUse, Mortar, Unit};
use quantity::{Area, AreaMass, Length, Mass};
use working::{Figure, Origin, Severity};

use crate::edges::area_below;
use crate::fixings;
use crate::formulas::{BONDING, COURSE, ELEMENT_MORTAR, MIXING_WATER, SPREAD, WITH_SITE_WASTE};
use crate::job::{BoardRole, Bonding, Job, find};
use crate::line::{Component, Line, Share};
use crate::order::{Order, Want};
use crate::survey::{Measured, Survey};

type Parts = Vec<(String, Figure<Mass>)>;

/// The net masses that the mass check needs.
#[derive(Clone, Debug, Default)]
pub(crate) struct Coats {
    pub bonding: Parts,
    /// What heavy mounting elements are bonded with: points on the wall, and no layer of it.
    pub elements: Parts,
    pub base_coat: Parts,
    pub primer: Parts,
    pub finish: Parts,
}

/// Bonding mortar, base coat, primer, finish and water. One mortar for both jobs is bought together.
pub(crate) fn coats(job: &Job, survey: &Survey, order: &mut Order) -> Coats {
    let (bond, coat) = (job.parts.bonding_mortar, job.parts.base_coat_mortar);
    let is_one = bond.article.key == coat.article.key;
    let bonding = bonding(job, survey, order);
    let elements = elements(job, order);
    let bonded = [bonding.as_slice(), &elements].concat();
    let line = Component::BondingMortar;
    if !is_one {
        mortar_line(order, line, bond, "bonding", bonded.clone());
    }
    let base_coat = base_coat(job, survey, order);
    if is_one {
        let both = [bonded.as_slice(), &base_coat].concat();
        order.sheet.section("Bonding mortar and base coat");
        mortar_line(order, line, bond, "bonding and base coat", both);
    } else {
        let line = Component::BaseCoat;
        mortar_line(order, line, coat, "base coat", base_coat.clone());
    }
    let primer = spread(
        order,
        survey,
        "Primer",
        &job.parts.primer.article,
        job.parts.primer.per_area,
    );
    let want = Want {
        component: Component::Primer,
        article: &job.parts.primer.article,
        purpose: String::from("under the finish"),
    };
    order.mass(&want, &job.parts.primer.supply, primer.clone());
    let finish = spread(
        order,
        survey,
        "Finish",
        &job.parts.finish.article,
        job.parts.finish.per_area,
    );
    let want = Want {
        component: Component::Finish,
        article: &job.parts.finish.article,
        purpose: String::from("finish coat"),
    };
    order.mass(&want, &job.parts.finish.supply, finish.clone());
    let found = Coats {
        bonding,
        elements,
        base_coat,
        primer,
        finish,
    };
    water(job, order, &found);
    found
}

fn mortar_line(
    order: &mut Order,
    component: Component,
    mortar: &Mortar,
    purpose: &str,
    parts: Parts,
) {
    let want = Want {
        component,
        article: &mortar.article,
        purpose: String::from(purpose),
    };
    order.mass(&want, &mortar.supply, parts);
}

fn bonding(job: &Job, survey: &Survey, order: &mut Order) -> Parts {
    order.sheet.section("Bonding mortar");
    let mortar = job.parts.bonding_mortar;
    let Some(usage) = mortar.bonding else {
        order.find(
            "MORTAR_NOT_FOR_BONDING",
            Severity::Breach,
            "",
            format!("{} has no data for bonding boards", mortar.article.name),
            "",
        );
        return Vec::new();
    };
    let mut parts = Vec::new();
    for (i, measured) in survey.facades.iter().enumerate() {
        for bonded in bonded(job, i, measured) {
            let label = format!("{}, {}", measured.id, bonded.name());
            let mass = bonded_mass(job, order, usage, i, &bonded);
            parts.push((label, mass));
        }
        let reveals = measured.areas.insulated_reveals;
        if reveals.value.as_m2() > 0.0 {
            let from = Origin::catalogue(mortar.article.key.as_str(), "full-bed-kg-per-m2");
            let full = order.sheet.given("m full bed", usage.full_bed, from);
            let label = format!("M reveals {}", measured.id);
            let mass = order.sheet.derive(label, &SPREAD, (full, reveals));
            let label = format!("{}, reveal boards on a full bed", measured.id);
            parts.push((label, mass));
        }
    }
    parts
}

/// The mortar of heavy mounting elements, where the catalogue says how much one takes.
fn elements(job: &Job, order: &mut Order) -> Parts {
    let Some((element, count)) = fixings::bonded_elements(job) else {
        return Vec::new();
    };
    let Some(mortar) = element.mortar else {
        return Vec::new();
    };
    let counted = Origin::Counted("fixing points of the survey".into());
    let n = order
        .sheet
        .given("heavy elements", f64::from(count), counted);
    let origin = Origin::catalogue(element.article.key.as_str(), "mortar-kg-per-element");
    let m = order.sheet.given("m", mortar, origin);
    let mass = order.sheet.derive("M elements", &ELEMENT_MORTAR, (n, m));
    alloc::vec![(String::from("heavy mounting elements"), mass)]
}

/// The part of one facade that boards of one role are bonded to.
struct Bonded<'a> {
    role: BoardRole,
    board: &'a Board,
    area: Part,
    /// Bonded over the whole face, because it has no room for its anchors.
    unanchored: bool,
}

impl Bonded<'_> {
    fn name(&self) -> String {
        let without = if self.unanchored {
            ", boards without room for anchors"
        } else {
            ""
        };
        format!("{}{without}", self.role.name())
    }
}

/// The whole net area of a facade, or a share of it.
enum Part {
    Net(Figure<Area>),
    Own(Area),
}

/// What the plinth boards, the fire-barrier strips and the facade boards of a facade are bonded to.
fn bonded<'a>(job: &Job<'a>, index: usize, measured: &Measured) -> Vec<Bonded<'a>> {
    let mut list = Vec::new();
    let mut rest = measured.areas.net.value;
    let mut add = |role: BoardRole, board: Option<&'a Board>, area: Area| {
        if let Some(board) = board.filter(|_| area.as_m2() > 0.0) {
            let area = Area::from_m2(libm::fmin(area.as_m2(), rest.as_m2()));
            rest += -area;
            list.extend(parted(job, &measured.id, (role, board), area));
        }
    };
    let plinth = job
        .building
        .facades
        .get(index)
        .map_or(Area::ZERO, |facade| area_below(facade, |step| step.level));
    let own = |board: &&Board| board.article.key != job.parts.board.article.key;
    add(
        BoardRole::Plinth,
        job.parts.plinth_board.filter(own),
        plinth,
    );
    for need in &job.laid.boards {
        if need.role == BoardRole::Barrier {
            let of = need.by_facade.iter().filter(|f| f.0 == measured.id);
            let board = find(&job.parts.assortment.boards, &need.board);
            add(need.role, board, of.map(|f| f.1).sum());
        }
    }
    let main = (BoardRole::Facade, job.parts.board);
    let mut own = parted(job, &measured.id, main, rest);
    if let ([only], true) = (own.as_mut_slice(), list.is_empty()) {
        only.area = Part::Net(measured.areas.net);
    }
    list.extend(own);
    list
}

/// An area of one role: the boards with anchors, and those that find no room for any.
fn parted<'a>(
    job: &Job,
    facade: &str,
    (role, board): (BoardRole, &'a Board),
    area: Area,
) -> Vec<Bonded<'a>> {
    let needs = job.laid.boards.iter().filter(|need| need.role == role);
    let without = needs.flat_map(|need| &need.unanchored);
    let without: Area = without.filter(|f| f.0 == facade).map(|f| f.1).sum();
    let without = Area::from_m2(libm::fmin(without.as_m2(), area.as_m2()));
    let parts = [(area + -without, false), (without, true)];
    let parts = parts.into_iter().filter(|part| part.0.as_m2() > 0.0);
    parts
        .map(|(area, unanchored)| Bonded {
            role,
            board,
            area: Part::Own(area),
            unanchored,
        })
        .collect()
}

/// The mortar of one role on one facade.
fn bonded_mass(
    job: &Job,
    order: &mut Order,
    usage: BondingUse,
    index: usize,
    bonded: &Bonded,
) -> Figure<Mass> {
    let mortar = job.parts.bonding_mortar.article.key.as_str();
    let from = |key| Origin::catalogue(mortar, key);
    let facade = job.building.facades.get(index);
    let flatness = facade.and_then(|f| job.building.substrate_of(f).flatness);
    let id = facade.map_or("", |f| f.id.as_str());
    let sheet = &mut *order.sheet;
    let designed = job.bonds.iter().find(|need| need.role == bonded.role);
    let is_full = designed.is_some_and(|need| need.method == Bonding::FullBed);
    let asked = if bonded.unanchored || is_full {
        Some(Bonding::FullBed)
    } else {
        job.bonding
    };
    let designed = designed.map_or(0.0, |need| need.share);
    let (m0, s) = match Bonding::of(bonded.board, asked, flatness, &job.practice) {
        Bonding::BeadAndDab => {
            let (least, usual) = (
                bonded.board.bonded_share_min,
                job.practice.bead_and_dab_share,
            );
            let origin = if designed > libm::fmax(least, usual) {
                Origin::Counted("share that the design of the bond asks for".into())
            } else if least > usual {
                Origin::catalogue(bonded.board.article.key.as_str(), "bonded-share-min")
            } else {
                let rule = "share covered by bead and dabs";
                Origin::Rule(format!("{}: {rule}", job.practice.source))
            };
            (
                sheet.given("m_0", usage.bead_and_dab, from("bead-and-dab-kg-per-m2")),
                sheet.given("s", libm::fmax(designed, libm::fmax(least, usual)), origin),
            )
        }
        Bonding::FullBed => (
            sheet.given("m_0", usage.full_bed, from("full-bed-kg-per-m2")),
            sheet.given("s", 1.0, Origin::Assumed("full bed".into())),
        ),
    };
    let key = from("per-mm-unevenness-kg-per-m2");
    let m1 = sheet.given("m_1", usage.per_mm_unevenness, key);
    let (gap, origin) = match flatness {
        Some(f) => (
            f.gap.to_length(),
            Origin::request(format!(
                "building.facades[{index}].substrate.flatness.gap_mm"
            )),
        ),
        None => (
            Length::ZERO,
            Origin::Assumed("flatness was not measured; a flat wall is assumed".into()),
        ),
    };
    let g = sheet.given(format!("g {id}"), gap, origin);
    let a = match bonded.area {
        Part::Net(area) => area,
        Part::Own(area) => sheet.given(
            format!("A {id}, {}", bonded.name()),
            area,
            Origin::Counted("net area by kind of board".into()),
        ),
    };
    let label = format!("M_b {id}, {}", bonded.name());
    sheet.derive(label, &BONDING, (m0, m1, s, g, a))
}

/// The thickness of each course of the base coat.
pub(crate) fn courses(job: &Job) -> Vec<Length> {
    if job.courses.is_empty() {
        alloc::vec![job.parts.system.base_coat_thickness]
    } else {
        job.courses.to_vec()
    }
}

fn base_coat(job: &Job, survey: &Survey, order: &mut Order) -> Parts {
    order.sheet.section("Base coat");
    let mortar = job.parts.base_coat_mortar;
    let Some(usage) = mortar.base_coat else {
        order.find(
            "MORTAR_NOT_FOR_BASE_COAT",
            Severity::Breach,
            "",
            format!("{} has no data for a base coat", mortar.article.name),
            "",
        );
        return Vec::new();
    };
    let courses = courses(job);
    let total: Length = courses.iter().copied().sum();
    let dust = Length::from_mm(1e-6);
    if total + dust < usage.thickness_min || usage.thickness_max + dust < total {
        order.find(
            "BASE_COAT_THICKNESS_OUT_OF_RANGE",
            Severity::Breach,
            "courses",
            format!(
                "a base coat of {:.1} mm, where {} takes {:.1} to {:.1} mm",
                total.as_mm(),
                mortar.article.name,
                usage.thickness_min.as_mm(),
                usage.thickness_max.as_mm()
            ),
            "catalogue",
        );
    }
    let from = Origin::catalogue(mortar.article.key.as_str(), "per-mm-kg-per-m2");
    let m1 = order.sheet.given("m_1", usage.per_mm, from);
    let mut parts = Vec::new();
    for (i, course) in courses.iter().enumerate() {
        let origin = if job.courses.is_empty() {
            let system = job.parts.system.article.key.as_str();
            Origin::catalogue(system, "base-coat-thickness-mm")
        } else {
            Origin::request(format!("courses[{i}]"))
        };
        let d = order
            .sheet
            .given(format!("d course {}", i + 1), *course, origin);
        for facade in &survey.facades {
            let name = format!("{}, course {}", facade.id, i + 1);
            let mass =
                order
                    .sheet
                    .derive(format!("M_c {name}"), &COURSE, (m1, d, facade.areas.coated));
            parts.push((name, mass));
        }
    }
    parts
}

fn spread(
    order: &mut Order,
    survey: &Survey,
    section: &'static str,
    article: &Article,
    per_area: AreaMass,
) -> Parts {
    order.sheet.section(section);
    let origin = Origin::catalogue(article.key.as_str(), "use-kg-per-m2");
    let m = order.sheet.given("m", per_area, origin);
    survey
        .facades
        .iter()
        .map(|facade| {
            let label = format!("M {}", facade.id);
            let mass = order.sheet.derive(label, &SPREAD, (m, facade.finished));
            (facade.id.clone(), mass)
        })
        .collect()
}

/// Mixing water of the mortars and dilution water of the primer. Water is not bought; the lines say how much to have on site.
fn water(job: &Job, order: &mut Order, coats: &Coats) {
    order.sheet.section("Water");
    let mut mixed: Vec<Share> = Vec::new();
    let mut sheet_lines = Vec::new();
    let bonded = [coats.bonding.as_slice(), &coats.elements].concat();
    for (mortar, parts, name) in [
        (job.parts.bonding_mortar, &bonded, "bonding mortar"),
        (job.parts.base_coat_mortar, &coats.base_coat, "base coat"),
    ] {
        let figures: Vec<Figure<Mass>> = parts.iter().map(|(_, f)| *f).collect();
        let mass = order.sheet.derive(
            format!("M {name}"),
            &crate::formulas::MASS_SUM,
            (figures.as_slice(),),
        );
        let mass = mixed_mass(order, &mortar.article, mass);
        let origin = Origin::catalogue(mortar.article.key.as_str(), "water-l-per-kg");
        let w = order.sheet.given("w", mortar.water_l_per_kg, origin);
        let volume = order
            .sheet
            .derive(format!("V_w {name}"), &MIXING_WATER, (mass, w));
        sheet_lines.push(volume.line);
        mixed.push(Share {
            name: String::from(name),
            amount: volume.value.as_litres(),
        });
    }
    order.lines.extend(water_line(
        Component::MixingWater,
        ("mixing water", "clean water on site, not bought"),
        mixed,
        sheet_lines,
    ));
    let primer = job.parts.primer;
    let figures: Vec<Figure<Mass>> = coats.primer.iter().map(|(_, f)| *f).collect();
    let mass = order.sheet.derive(
        "M primer",
        &crate::formulas::MASS_SUM,
        (figures.as_slice(),),
    );
    let mass = mixed_mass(order, &primer.article, mass);
    let origin = |key| Origin::catalogue(primer.article.key.as_str(), key);
    let least = order
        .sheet
        .given("w least", primer.water_share_min, origin("water-share-min"));
    let most = order
        .sheet
        .given("w most", primer.water_share_max, origin("water-share-max"));
    let least = order
        .sheet
        .derive("V_w least", &MIXING_WATER, (mass, least));
    let most = order.sheet.derive("V_w most", &MIXING_WATER, (mass, most));
    let shares = alloc::vec![Share {
        name: format!(
            "{:.2} to {:.2} l as the primer is diluted",
            least.value.as_litres(),
            most.value.as_litres()
        ),
        amount: most.value.as_litres(),
    }];
    let lines = alloc::vec![least.line, most.line];
    order.lines.extend(water_line(
        Component::DilutionWater,
        (
            "dilution water of the primer",
            "clean water on site at its greatest dilution, not bought",
        ),
        shares,
        lines,
    ));
}

/// What is mixed is also what site work wastes.
fn mixed_mass(order: &mut Order, article: &Article, net: Figure<Mass>) -> Figure<Mass> {
    let waste = order.waste(article);
    order
        .sheet
        .derive("M with waste", &WITH_SITE_WASTE, (net, waste))
}

fn water_line(
    component: Component,
    (name, purpose): (&str, &str),
    shares: Vec<Share>,
    sheet_lines: Vec<u32>,
) -> Option<Line> {
    let need: f64 = shares.iter().map(|s| s.amount).sum();
    (need > 0.0).then(|| Line {
        component,
        article: String::new(),
        name: String::from(name),
        purpose: String::from(purpose),
        unit: Unit::Litre,
        net_need: need,
        shares,
        losses: Vec::new(),
        need,
        purchases: Vec::new(),
        leftover: 0.0,
        bounds: Vec::new(),
        told: Vec::new(),
        cutting: Vec::new(),
        sheet_lines,
    })
}
