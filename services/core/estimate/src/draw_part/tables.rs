//! What is cut besides the boards on the wall: strips for reveals, bars, and rolls of mesh.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use drawing::{ListSection, Lists, TitleBlock};
use facade::Building;
use material::Mesh;
use quantity::Mm;
use takeoff::cutting::{Pattern, counted};
use takeoff::mesh::Strips;
use takeoff::{
    Along, Component, FacadeTakeoff, Line, RevealCutting, RevealPlace, RevealStrip, Rip,
    reveal_strips,
};
use working::numbered;

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
        let mut cuttings = drawn.takeoff.reveal_cuttings.iter();
        let cutting = cuttings.find(|c| c.thickness == thickness);
        let from = cutting.map_or("no board of the system", |c| c.board.as_str());
        let mut sizes: BTreeMap<(Mm, Mm), u32> = BTreeMap::new();
        for strip in &strips {
            *sizes.entry((strip.width, strip.length)).or_default() += 1;
        }
        let mut together: Vec<String> = sizes
            .iter()
            .rev()
            .map(|((width, length), count)| format!("{}: {count}", size(*width, *length)))
            .collect();
        together.extend(cutting.map(|c| format!("{}.", c.told)));
        sections.push(ListSection {
            heading: format!("Reveal strips {thickness} from {from}: width × length, number"),
            lines: together,
        });
        sections.push(ListSection {
            heading: format!("Reveal strips {thickness} by opening"),
            lines: by_opening(drawn.building, &strips),
        });
        sections.extend(cutting.into_iter().flat_map(ripped));
    }
    sections
}

/// How strips of one thickness are cut: from leftovers, from whole boards, to length, and from parts.
fn ripped(cutting: &RevealCutting) -> Vec<ListSection> {
    let plan = &cutting.plan;
    let mut sections = Vec::new();
    let mut list = |what: &str, lines: Vec<String>| {
        if !lines.is_empty() {
            let heading = format!("Reveal strips {}: {what}", cutting.thickness);
            sections.push(ListSection { heading, lines });
        }
    };
    let leftovers = alike(plan.leftovers.iter().map(|leftover| {
        let rips: Vec<String> = leftover.rips.iter().map(rip).collect();
        let of = size(leftover.of.width, leftover.of.height);
        format!("{of}: {}", rips.join("; then "))
    }));
    list("leftovers of the facade, ripped", leftovers);
    for boards in &plan.boards {
        let side = match boards.along {
            Along::Length => "along the board",
            Along::Height => "across the board",
        };
        let width = |pattern: &Pattern| {
            let each = numbered(pattern.times, "board", "boards");
            format!("{each}: {}", cut_into(pattern))
        };
        list(
            &format!("whole boards, ripped {side}; widths"),
            boards.boards.iter().map(width).collect(),
        );
        let lengths = boards.rips.iter().flat_map(|(width, patterns)| {
            let of = move |pattern: &Pattern| {
                let rips = numbered(pattern.times, "rip", "rips");
                let rip = size(*width, pattern.bar);
                format!("{rips} {rip}: {}", cut_into(pattern))
            };
            patterns.iter().map(of)
        });
        list(
            &format!("rips {side}, width × length, cut to length"),
            lengths.collect(),
        );
    }
    let joints = plan.joints.iter().map(|(joint, times)| {
        let parts: Vec<String> = joint.parts.iter().map(|p| p.0.to_string()).collect();
        let strip = size(joint.width, joint.length);
        format!("{strip}: {times}, of {}", parts.join(" + "))
    });
    list("strips jointed from parts, number", joints.collect());
    sections
}

/// Neighbouring lines that are alike, once with their number.
fn alike(lines: impl Iterator<Item = String>) -> Vec<String> {
    let mut numbers: Vec<(String, u32)> = Vec::new();
    for line in lines {
        match numbers.last_mut() {
            Some((last, times)) if *last == line => *times += 1,
            _ => numbers.push((line, 1)),
        }
    }
    numbers
        .into_iter()
        .map(|(line, times)| format!("{times}\u{a0}of {line}"))
        .collect()
}

fn rip(rip: &Rip) -> String {
    let side = match rip.along {
        Along::Length => "along",
        Along::Height => "across",
    };
    let pieces = lengths(&counted(&rip.pieces));
    format!("{}\u{a0}{side}, cut into {pieces}", rip.width.0)
}

fn size(width: Mm, length: Mm) -> String {
    format!("{}\u{a0}×\u{a0}{}", width.0, length.0)
}

/// The strips of one opening by place and size, each with its number.
type OpeningStrips = BTreeMap<(RevealPlace, Mm, Mm), u32>;

/// Openings of one wall that take the same strips.
struct Alike<'a> {
    facade: &'a str,
    openings: Vec<&'a str>,
    strips: OpeningStrips,
}

/// One line for all openings of a wall that take the same strips, in the order of the survey.
fn by_opening(building: &Building, strips: &[RevealStrip]) -> Vec<String> {
    let opening =
        |a: &RevealStrip, b: &RevealStrip| (&a.facade, &a.opening) == (&b.facade, &b.opening);
    let mut groups: Vec<Alike<'_>> = Vec::new();
    let mut known: BTreeMap<(&str, OpeningStrips), usize> = BTreeMap::new();
    for own in strips.chunk_by(opening) {
        let Some(first) = own.first() else { continue };
        let mut sizes = OpeningStrips::new();
        for strip in own {
            let key = (strip.place, strip.width, strip.length);
            *sizes.entry(key).or_default() += 1;
        }
        let (facade, opening) = (first.facade.as_str(), first.opening.as_str());
        let place = *known.entry((facade, sizes.clone())).or_insert(groups.len());
        match groups.get_mut(place) {
            Some(group) => group.openings.push(opening),
            None => groups.push(Alike {
                facade,
                openings: alloc::vec![opening],
                strips: sizes,
            }),
        }
    }
    let line = |group: Alike<'_>| {
        let mut facades = building.facades.iter();
        let own = facades.find(|f| f.id == group.facade);
        let which = which(own.map_or(0, |f| f.openings.len()), &group.openings);
        format!("{}, {which}: {}", group.facade, strip_words(&group.strips))
    };
    groups.into_iter().map(line).collect()
}

/// How many openings of a wall with so many in `all`, and which; where all are alike, no names.
fn which(all: usize, openings: &[&str]) -> String {
    match openings {
        [one] => String::from(*one),
        many if many.len() == all => format!("each of all {all} openings"),
        many => format!("each of {} openings ({})", many.len(), many.join(", ")),
    }
}

/// So many openings of one size are named.
const NAMED: usize = 6;

/// The openings of a wall as they are left when they are coated, those of one size together.
pub(super) fn clear_sizes(facade: &FacadeTakeoff) -> Vec<String> {
    let mut sizes: Vec<(String, Vec<&str>)> = Vec::new();
    for opening in &facade.clear {
        let (width, height) = (opening.width.as_mm(), opening.height.as_mm());
        let size = format!("{width:.0}\u{a0}×\u{a0}{height:.0}");
        match sizes.iter_mut().find(|(other, _)| *other == size) {
            Some((_, openings)) => openings.push(&opening.opening),
            None => sizes.push((size, alloc::vec![&opening.opening])),
        }
    }
    // Where most are of one size among others, they come last and are not named.
    let most = sizes.iter().map(|size| size.1.len()).max().unwrap_or(0);
    sizes.sort_by_key(|size| size.1.len() == most);
    let last = sizes.len().saturating_sub(1);
    let line = |(i, (size, openings)): (usize, (String, Vec<&str>))| {
        let which = if i > 0 && i == last && openings.len() > NAMED {
            format!("each of the other {} openings", openings.len())
        } else {
            which(facade.clear.len(), &openings)
        };
        format!("Clear from coat to coat, {size}: {which}.")
    };
    sizes.into_iter().enumerate().map(line).collect()
}

fn strip_words(strips: &OpeningStrips) -> String {
    let words: Vec<String> = strips
        .iter()
        .map(|(&(place, width, length), count)| {
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
    words.join(", ")
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
    let bars = format!("{}\u{a0}×\u{a0}{}", pattern.times, pattern.bar.0);
    format!("{bars}: {}", cut_into(pattern))
}

fn cut_into(pattern: &Pattern) -> String {
    let pieces = pattern.pieces.iter();
    let used: Mm = pieces.map(|(length, count)| *length * *count as i32).sum();
    let rest = match pattern.bar - used {
        Mm(0) => String::new(),
        rest => format!("; rest\u{a0}{}", rest.0),
    };
    format!("{}{rest}", lengths(&pattern.pieces))
}

/// Lengths, each with its number.
fn lengths(pieces: &[(Mm, u32)]) -> String {
    let words: Vec<String> = pieces
        .iter()
        .map(|(length, count)| format!("{count}\u{a0}×\u{a0}{}", length.0))
        .collect();
    words.join(", ")
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
