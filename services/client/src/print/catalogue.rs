//! Articles, systems, faults of catalogues.

use std::fmt::Write as _;

use api::v1;

use super::said::{amount, provenance, section};
use super::table::{Align, Table};

pub(crate) fn listing(
    systems: &v1::ListSystemsResponse,
    articles: &v1::ListArticlesResponse,
) -> String {
    let mut out = String::new();
    if !systems.systems.is_empty() {
        out.push_str("SYSTEMS\n-------\n");
        let mut table = Table::new([
            ("Key", Align::Left),
            ("Name", Align::Wrap),
            ("Board", Align::Left),
            ("Thicknesses mm", Align::Left),
            ("Fire", Align::Left),
        ]);
        for system in &systems.systems {
            let least = system.thicknesses_mm.first();
            let most = system.thicknesses_mm.last();
            let range = least
                .zip(most)
                .map(|(l, m)| format!("{l} to {m}"))
                .unwrap_or_default();
            table.row([
                system.key.clone(),
                system.name.clone(),
                system.board.clone(),
                range,
                system.reaction_to_fire.clone(),
            ]);
        }
        table.print(&mut out);
    }
    section(&mut out, "ARTICLES");
    let mut table = Table::new([
        ("Key", Align::Left),
        ("Name", Align::Wrap),
        ("Sizes", Align::Right),
        ("Price of a pack, from", Align::Right),
        ("", Align::Left),
    ]);
    for article in &articles.articles {
        let priced = article.sizes.iter().find_map(|s| s.price.as_ref());
        table.row([
            article.key.clone(),
            article.name.clone(),
            article.sizes.len().to_string(),
            amount(priced),
            priced.map(|p| p.currency.clone()).unwrap_or_default(),
        ]);
    }
    table.print(&mut out);
    let _ = writeln!(out, "\nBranches: {}", articles.branches.join(", "));
    provenance(&mut out, articles.provenance.as_ref());
    out
}

pub(crate) fn article(answer: &v1::GetArticleResponse) -> String {
    let mut out = String::new();
    let Some(article) = &answer.article else {
        return out;
    };
    let _ = writeln!(
        out,
        "{}\n{}",
        article.key,
        "=".repeat(article.key.chars().count())
    );
    let mut table = Table::new([("", Align::Left), ("", Align::Wrap), ("", Align::Left)]);
    table.row(["Name".to_owned(), article.name.clone(), String::new()]);
    table.row(["Source".to_owned(), article.source.clone(), String::new()]);
    for property in &answer.properties {
        table.row([
            property.name.clone(),
            property.value.clone(),
            property.source.clone(),
        ]);
    }
    for datum in &answer.metadata {
        table.row([datum.key.clone(), datum.value.clone(), String::new()]);
    }
    table.print(&mut out);
    if !article.sizes.is_empty() {
        section(&mut out, "PACKS");
        let mut table = Table::new([
            ("Size", Align::Left),
            ("Pack", Align::Left),
            ("holds", Align::Right),
            ("", Align::Left),
            ("Price", Align::Right),
            ("", Align::Left),
            ("In stock", Align::Right),
        ]);
        for size in &article.sizes {
            table.row([
                size.size.clone(),
                size.pack_name.clone(),
                format!("{}", size.pack_content),
                size.unit.clone(),
                amount(size.price.as_ref()),
                size.price
                    .as_ref()
                    .map(|p| p.currency.clone())
                    .unwrap_or_default(),
                size.stock_packs.map(|n| n.to_string()).unwrap_or_default(),
            ]);
        }
        table.print(&mut out);
    }
    provenance(&mut out, answer.provenance.as_ref());
    out
}

pub(crate) fn check(answer: &v1::CheckResponse) -> String {
    let mut out = String::new();
    for fault in &answer.faults {
        let _ = writeln!(out, "{}", fault.rendered);
    }
    let count = answer.faults.len();
    let sound = answer.sound_catalogues.join(", ");
    let _ = match count {
        0 => writeln!(out, "No faults. Catalogues: {sound}"),
        1 => writeln!(out, "1 fault. Sound catalogues: {sound}"),
        _ => writeln!(out, "{count} faults. Sound catalogues: {sound}"),
    };
    out
}
