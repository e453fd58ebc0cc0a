//! Anchors, wider plates, plugs, and mounting elements.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::FixtureLoad;
use material::{Article, Attachment, LoadClass, MountingElement, Supply, Unit};
use quantity::Mm;
use working::{Figure, Origin, Severity};

use crate::formulas::ELEMENT_ADHESIVE;
use crate::job::{AnchorNeed, Fitting, Job, find};
use crate::line::Component;
use crate::order::{Order, Pile, Want, bare};

type Counts = Vec<(String, Figure<f64>)>;

/// Anchors by article and length, with those that heavy mounting elements take, then wider plates and plugs.
pub(crate) fn anchors(job: &Job, order: &mut Order) {
    order.sheet.section("Anchors");
    let anchored = job.parts.system.attachment != Attachment::Bonded;
    if anchored && job.anchors.iter().all(|n| n.count == 0) {
        order.find(
            "ANCHORS_NOT_DESIGNED",
            Severity::Caution,
            "anchors",
            "the system is held by anchors too, and no fixing design was given: no anchors are counted for the boards",
            "",
        );
    }
    let mut piles: BTreeMap<(String, Mm), Counts> = BTreeMap::new();
    for need in job.anchors.iter().filter(|n| n.count > 0) {
        let figure = fixed(order, need);
        let key = (need.anchor.clone(), need.length);
        piles
            .entry(key)
            .or_default()
            .push((need.zone.clone(), figure));
    }
    heavy_anchors(job, order, &mut piles);
    for ((key, length), counts) in piles {
        let anchor = find(&job.parts.assortment.anchors, &key);
        let stocked = anchor.and_then(|a| a.lengths.iter().find(|l| l.length == length));
        match (anchor, stocked) {
            (Some(anchor), Some(stocked)) => pieces(
                order,
                Component::Anchor,
                &anchor.article,
                &stocked.supply,
                Some(length),
                String::from("fixing"),
                counts,
            ),
            _ => order.unsupplied(
                Component::Anchor,
                &format!("anchor `{key}` of {length}, not stocked"),
                Unit::Piece,
                total(&counts),
            ),
        }
    }
    plates_and_plugs(job, order);
}

fn plates_and_plugs(job: &Job, order: &mut Order) {
    let fitted = |order: &mut Order, with: fn(&AnchorNeed) -> Fitting| -> Counts {
        let needs = job
            .anchors
            .iter()
            .filter(|n| n.count > 0 && with(n) == Fitting::With);
        needs.map(|n| (n.zone.clone(), fixed(order, n))).collect()
    };
    let plates = fitted(order, |n| n.plate);
    match job.parts.plate {
        Some(p) => pieces(
            order,
            Component::WiderPlate,
            &p.article,
            &p.supply,
            None,
            String::from("under anchors in soft boards"),
            plates,
        ),
        None => order.unsupplied(
            Component::WiderPlate,
            "wider plate: none in the system",
            Unit::Piece,
            total(&plates),
        ),
    }
    let plugs = fitted(order, |n| n.plug);
    match job.parts.plug {
        Some(p) => pieces(
            order,
            Component::Plug,
            &p.article,
            &p.supply,
            None,
            String::from("over anchors"),
            plugs,
        ),
        None => order.unsupplied(
            Component::Plug,
            "plug or cap: none in the system",
            Unit::Piece,
            total(&plugs),
        ),
    }
}

fn fixed(order: &mut Order, need: &AnchorNeed) -> Figure<f64> {
    let origin = Origin::Counted("fixing design".into());
    order
        .sheet
        .given(format!("anchors {}", need.zone), need.count as f64, origin)
}

fn total(counts: &Counts) -> f64 {
    counts.iter().map(|(_, f)| f.value).sum()
}

fn pieces(
    order: &mut Order,
    component: Component,
    article: &Article,
    supply: &Supply,
    size: Option<Mm>,
    purpose: String,
    counts: Counts,
) {
    let want = Want {
        component,
        article,
        purpose,
    };
    let pile = Pile {
        supply,
        content: supply.pack.content,
        unit: Unit::Piece,
        size,
        scale: 1.0,
    };
    order.count(&want, &pile, counts);
}

/// What the heavy mounting elements of a job are bonded with: the element, and how many there are.
pub(crate) fn bonded_elements<'a>(job: &Job<'a>) -> Option<(&'a MountingElement, u32)> {
    let heavy = element(job, LoadClass::Heavy)?;
    let count = points(job, FixtureLoad::Heavy).iter().map(|(_, n)| n).sum();
    (count > 0).then_some((heavy, count))
}

/// The mounting element for a load and the board thickness, where the system has one.
fn element<'a>(job: &Job<'a>, load: LoadClass) -> Option<&'a MountingElement> {
    job.parts.elements.iter().copied().find(|e| {
        e.load == load && e.thickness_min <= job.thickness && job.thickness <= e.thickness_max
    })
}

fn points(job: &Job, load: FixtureLoad) -> Vec<(String, u32)> {
    job.building
        .facades
        .iter()
        .flat_map(|f| f.fixtures.iter().map(move |x| (f, x)))
        .filter(|(_, x)| x.load == load && !x.points.is_empty())
        .map(|(f, x)| (format!("{}, {}", f.id, x.name), x.points.len() as u32))
        .collect()
}

/// The anchors of heavy mounting elements are bought with the job's most used anchor.
fn heavy_anchors(job: &Job, order: &mut Order, piles: &mut BTreeMap<(String, Mm), Counts>) {
    let Some((heavy, count)) = bonded_elements(job).filter(|(heavy, _)| heavy.anchors > 0) else {
        return;
    };
    let number = f64::from(count) * f64::from(heavy.anchors);
    // Most used first; of equals the first by key and length.
    let most = piles
        .iter()
        .map(|(key, counts)| (total(counts), key.clone()))
        .reduce(|best, next| if next.0 > best.0 { next } else { best });
    let Some((_, key)) = most else {
        order.unsupplied(
            Component::Anchor,
            "anchors for heavy mounting elements",
            Unit::Piece,
            number,
        );
        return;
    };
    let origin = Origin::Counted("heavy mounting elements times the anchors each takes".into());
    let figure = order
        .sheet
        .given("anchors of heavy elements", number, origin);
    let mortar = match heavy.mortar {
        Some(_) => "",
        None => ", and the mortar that the elements are bonded with is not counted",
    };
    order.find(
        "HEAVY_ELEMENT_ANCHORS",
        Severity::Caution,
        "",
        format!("{number:.0} anchors for heavy mounting elements are bought as `{}` of {}; their resistance must be shown for each fixture by a competent person{mortar}", key.0, key.1),
        "common practice, no source",
    );
    let part = (String::from("heavy mounting elements"), figure);
    piles.entry(key).or_default().push(part);
}

/// Mounting elements for what the survey lists, and the adhesive that sets the light ones.
pub(crate) fn mounting(job: &Job, order: &mut Order) {
    order.sheet.section("Mounting elements");
    for (class, load, name) in [
        (LoadClass::Light, FixtureLoad::Light, "light"),
        (LoadClass::Heavy, FixtureLoad::Heavy, "heavy"),
    ] {
        let points = points(job, load);
        let number: f64 = points.iter().map(|(_, n)| f64::from(*n)).sum();
        if number == 0.0 {
            continue;
        }
        let Some(element) = element(job, class) else {
            let missing = format!(
                "{name} mounting element for boards of {}: none in the system",
                job.thickness
            );
            order.unsupplied(Component::MountingElement, &missing, Unit::Piece, number);
            continue;
        };
        let counts: Counts = points
            .into_iter()
            .map(|(place, n)| {
                let origin = Origin::Counted("fixing points of the survey".into());
                let figure = order.sheet.given(place.clone(), f64::from(n), origin);
                (place, figure)
            })
            .collect();
        let figures: Vec<Figure<f64>> = counts.iter().map(|(_, f)| *f).collect();
        let purpose = format!("{name} fixtures");
        pieces(
            order,
            Component::MountingElement,
            &element.article,
            &element.supply,
            None,
            purpose,
            counts,
        );
        if class == LoadClass::Light {
            adhesive(job, order, &figures);
        }
    }
}

fn adhesive(job: &Job, order: &mut Order, elements: &[Figure<f64>]) {
    let Some(adhesive) = job.parts.adhesive else {
        let number: f64 = elements.iter().map(|f| f.value).sum();
        order.find(
            "MOUNTING_ADHESIVE_ABSENT",
            Severity::Caution,
            "",
            format!(
                "{number:.0} light mounting elements, and no adhesive in the system to set them"
            ),
            "",
        );
        return;
    };
    let n = order
        .sheet
        .derive("elements", &crate::formulas::COUNT_SUM, (elements,));
    let origin = Origin::catalogue(adhesive.article.key.as_str(), "per-element-litres");
    let v = order.sheet.given("v", adhesive.litres_per_element, origin);
    let volume = order.sheet.derive("V_a", &ELEMENT_ADHESIVE, (n, v));
    let want = Want {
        component: Component::MountingAdhesive,
        article: &adhesive.article,
        purpose: String::from("sets milled-in mounting elements"),
    };
    let pile = Pile {
        supply: &adhesive.supply,
        content: adhesive.supply.pack.content / 1000.0,
        unit: Unit::Litre,
        size: None,
        scale: 1000.0,
    };
    order.count(
        &want,
        &pile,
        alloc::vec![(String::from("light elements"), bare(volume))],
    );
}
