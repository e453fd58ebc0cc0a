//! What is cut besides the boards on the wall: strips for reveals, bars, and rolls of mesh.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use drawing::{ListSection, Lists, TitleBlock};
use material::Mesh;
use quantity::Mm;
use takeoff::cutting::Pattern;
use takeoff::mesh::Strips;
use takeoff::{Component, Line, RevealPlace, RevealStrip, reveal_strips};

use super::Drawn;

const REMARK: &str = "Cutting makes dust, and cut mesh and metal are sharp: masks, goggles, gloves, and the tool's own instructions.";

/// The title of the tables.
pub(super) const TITLE: &str = "Reveal strips, bars and rolls";

/// The tables of a job.
pub(super) fn tables(drawn: &Drawn<'_>) -> Lists {
    let mut sections = reveals(drawn);
    let lines = drawn.takeoff.lines.iter();
    sections.extend(lines.filter(|l| !l.cutting.is_empty()).map(cut_from));
    Lists {
        block: TitleBlock {
            project: drawn.reference.to_string(),
            title: String::from(TITLE),
            remark: String::from(REMARK),
            ..TitleBlock::default()
        },
        sections,
    }
}

/// Strips by thickness: for which opening, and together by size.
fn reveals(drawn: &Drawn<'_>) -> Vec<ListSection> {
    let mut by_thickness: BTreeMap<Mm, Vec<RevealStrip>> = BTreeMap::new();
    for strip in reveal_strips(drawn.building) {
        let list = by_thickness.entry(strip.thickness).or_default();
        list.push(strip);
    }
    let mut sections = Vec::new();
    for (thickness, strips) in by_thickness {
        let told = format!("reveals of {thickness}: ");
        let lines = drawn.takeoff.lines.iter();
        let bought = lines
            .filter(|line| line.component == Component::Board)
            .find_map(|line| Some((line, line.told.iter().find(|t| t.starts_with(&told))?)));
        let from = bought.map_or("no board of the system", |(line, _)| line.article.as_str());
        let mut sizes: BTreeMap<(Mm, Mm), u32> = BTreeMap::new();
        for strip in &strips {
            *sizes.entry((strip.width, strip.length)).or_default() += 1;
        }
        let mut together: Vec<String> = sizes
            .iter()
            .rev()
            .map(|((width, length), count)| format!("{}: {count}", size(*width, *length)))
            .collect();
        together.extend(bought.map(|(_, told)| format!("{told}.")));
        sections.push(ListSection {
            heading: format!("Reveal strips {thickness} from {from}: width × length, number"),
            lines: together,
        });
        sections.push(ListSection {
            heading: format!("Reveal strips {thickness} by opening"),
            lines: by_opening(&strips),
        });
    }
    sections
}

fn size(width: Mm, length: Mm) -> String {
    format!("{}\u{a0}×\u{a0}{}", width.0, length.0)
}

/// One line for each opening, in the order of the survey.
fn by_opening(strips: &[RevealStrip]) -> Vec<String> {
    let opening =
        |a: &RevealStrip, b: &RevealStrip| (&a.facade, &a.opening) == (&b.facade, &b.opening);
    strips
        .chunk_by(opening)
        .filter_map(|own| {
            let first = own.first()?;
            let mut sizes: BTreeMap<(RevealPlace, Mm, Mm), u32> = BTreeMap::new();
            for strip in own {
                let key = (strip.place, strip.width, strip.length);
                *sizes.entry(key).or_default() += 1;
            }
            let words: Vec<String> = sizes
                .into_iter()
                .map(|((place, width, length), count)| {
                    let size = size(width, length);
                    let name = match place {
                        RevealPlace::Jamb => "jamb",
                        RevealPlace::Head => "head",
                        RevealPlace::Sill => "sill",
                    };
                    match count {
                        1 => format!("{name} {size}"),
                        n => format!("{n} {name}s {size}"),
                    }
                })
                .collect();
            Some(format!(
                "{}, {}: {}",
                first.facade,
                first.opening,
                words.join(", ")
            ))
        })
        .collect()
}

/// How the bars or rolls of a line are cut.
fn cut_from(line: &Line) -> ListSection {
    let patterns = line.cutting.iter().flat_map(|c| &c.patterns);
    let mut lines: Vec<String> = patterns.map(pattern).collect();
    if line.component == Component::Mesh {
        lines.extend(line.told.iter().map(|told| format!("{told}.")));
    }
    ListSection {
        heading: format!(
            "{}: number × length, cut into; rest with saw cuts",
            line.name
        ),
        lines,
    }
}

fn pattern(pattern: &Pattern) -> String {
    let pieces = pattern.pieces.iter();
    let words: Vec<String> = pieces
        .clone()
        .map(|(length, count)| format!("{count}\u{a0}×\u{a0}{}", length.0))
        .collect();
    let used: Mm = pieces.map(|(length, count)| *length * *count as i32).sum();
    let rest = match pattern.bar - used {
        Mm(0) => String::new(),
        rest => format!("; rest\u{a0}{}", rest.0),
    };
    let bars = format!("{}\u{a0}×\u{a0}{}", pattern.times, pattern.bar.0);
    format!("{bars}: {}{rest}", words.join(", "))
}

/// Which way the mesh of a facade hangs.
pub(super) fn hanging(drawn: &Drawn<'_>, facade: usize, mesh: &Mesh) -> Option<String> {
    let way = drawn.takeoff.mesh_ways.get(facade)?;
    let from = match way {
        Strips::Drops => "from the top down",
        Strips::Bands => "along the wall",
    };
    Some(format!(
        "Mesh in {}, {from}: {}\u{a0}mm wide, overlapping by {}\u{a0}mm. How the rolls are cut stands on the sheet \"{TITLE}\".",
        way.name(),
        mesh.roll_width.0,
        mesh.overlap.0
    ))
}
