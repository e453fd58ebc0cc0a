//! Articles and systems as lists.

use api::v1;
use catalogue::CatalogueFault;
use material::{Article, Assortment, Attachment, LinearStock, Supply, System};

use super::common::money;
use super::property;

/// All articles but systems, by kind and key.
pub fn listing(assortment: &Assortment, kind: &str) -> Vec<v1::Article> {
    let mut list = Vec::new();
    // One row a kind, in the order in which they go on the wall.
    macro_rules! one_size {
        ($field:ident, $kind:literal) => {
            if kind.is_empty() || kind == $kind {
                list.extend(
                    assortment
                        .$field
                        .values()
                        .map(|a| entry(&a.article, vec![size("", &a.supply)])),
                );
            }
        };
    }
    macro_rules! sized {
        ($field:ident, $kind:literal, |$a:ident| $sizes:expr) => {
            if kind.is_empty() || kind == $kind {
                list.extend(
                    assortment
                        .$field
                        .values()
                        .map(|$a| entry(&$a.article, $sizes)),
                );
            }
        };
    }
    sized!(boards, "board", |a| {
        let sizes = a.thicknesses.iter();
        sizes
            .map(|t| size(&t.thickness.to_string(), &t.supply))
            .collect()
    });
    one_size!(mortars, "mortar");
    one_size!(adhesives, "adhesive");
    sized!(anchors, "anchor", |a| {
        let sizes = a.lengths.iter();
        sizes
            .map(|l| size(&l.length.to_string(), &l.supply))
            .collect()
    });
    one_size!(plates, "plate");
    one_size!(plugs, "plug");
    one_size!(foams, "foam");
    sized!(base_profiles, "base-profile", |a| {
        let sizes = a.sizes.iter();
        sizes
            .flat_map(|(board, stock)| bars(&format!("for {board} boards, "), stock))
            .collect()
    });
    one_size!(accessories, "accessory");
    sized!(sealing_strips, "sealing-strip", |a| bars("", &a.stock));
    one_size!(waterproofings, "waterproofing");
    sized!(beads, "bead", |a| bars("", &a.stock));
    one_size!(meshes, "mesh");
    one_size!(primers, "primer");
    one_size!(finishes, "finish");
    one_size!(mounting_elements, "mounting-element");
    sized!(hygrics, "hygric", |a| Vec::new());
    list
}

/// One article, a system too, with its properties; nothing where there is none of that key.
pub fn article(assortment: &Assortment, key: &str) -> Option<v1::GetArticleResponse> {
    let heading = property::heading(assortment, key)?;
    let kind = key.split_once('.').map_or("", |(kind, _)| kind);
    let listed = listing(assortment, kind).into_iter().find(|a| a.key == key);
    Some(v1::GetArticleResponse {
        provenance: None,
        article: Some(listed.unwrap_or_else(|| entry(heading, Vec::new()))),
        properties: property::properties(assortment, key),
        metadata: heading
            .metadata
            .iter()
            .map(|(key, value)| v1::Metadatum {
                key: key.clone(),
                value: value.clone(),
            })
            .collect(),
    })
}

/// All systems, by key.
pub fn systems(assortment: &Assortment) -> Vec<v1::SystemSummary> {
    let systems = assortment.systems.iter();
    systems
        .map(|(key, system)| summary(assortment, key, system))
        .collect()
}

fn summary(assortment: &Assortment, key: &str, system: &System) -> v1::SystemSummary {
    let board = assortment.boards.get(&system.board);
    v1::SystemSummary {
        key: key.to_owned(),
        name: system.article.name.clone(),
        board: system.board.clone(),
        insulant: board.map(|b| b.insulant.clone()).unwrap_or_default(),
        thicknesses_mm: board.map_or_else(Vec::new, |b| {
            b.thicknesses.iter().map(|t| t.thickness.0).collect()
        }),
        finishes: system.finishes.clone(),
        attachment: attachment(system.attachment).to_owned(),
        reaction_to_fire: system.reaction_to_fire.clone(),
    }
}

pub(super) fn attachment(attachment: Attachment) -> &'static str {
    match attachment {
        Attachment::Bonded => "bonded",
        Attachment::BondedWithSupplementaryAnchors => "bonded, with supplementary anchors",
        Attachment::AnchoredWithSupplementaryMortar => "anchored, with supplementary mortar",
    }
}

/// The faults of a catalogue.
pub fn check(faults: &[CatalogueFault]) -> Vec<v1::CatalogueFault> {
    faults
        .iter()
        .map(|f| v1::CatalogueFault {
            file: f.file.clone(),
            line: f.line,
            column: f.column,
            message: f.message(),
            help: f.help.clone().unwrap_or_default(),
            rendered: f.to_string(),
        })
        .collect()
}

fn bars(prefix: &str, stock: &LinearStock) -> Vec<v1::ArticleSize> {
    let sizes = stock.sizes.iter();
    sizes
        .map(|s| {
            size(
                &format!("{prefix}{:.2} m", f64::from(s.length.0) / 1000.0),
                &s.supply,
            )
        })
        .collect()
}

fn entry(article: &Article, sizes: Vec<v1::ArticleSize>) -> v1::Article {
    v1::Article {
        key: article.key.clone(),
        name: article.name.clone(),
        source: article.source.clone(),
        sizes,
    }
}

fn size(size: &str, supply: &Supply) -> v1::ArticleSize {
    v1::ArticleSize {
        size: size.to_owned(),
        pack_name: supply.pack.name.clone(),
        pack_content: supply.pack.content,
        unit: supply.pack.unit.sign().to_owned(),
        unit_code: supply.pack.unit.code().to_owned(),
        price: money(supply.price),
        stock_packs: supply.stock_packs,
    }
}
