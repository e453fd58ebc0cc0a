//! Resolving a system's names to the articles of one assortment.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use material::{
    Accessory, Adhesive, Anchor, Article, Assortment, BaseProfile, Bead, Board, Finish, Foam, Mesh,
    Mortar, MountingElement, Plate, Plug, Primer, SealingStrip, System, Waterproofing,
};
use working::{Fault, Faults};

/// A system with every part it names.
#[derive(Clone, Debug)]
pub(crate) struct Parts<'a> {
    pub system: &'a System,
    pub board: &'a Board,
    pub plinth_board: Option<&'a Board>,
    pub barrier_board: Option<&'a Board>,
    pub bonding_mortar: &'a Mortar,
    pub base_coat_mortar: &'a Mortar,
    pub mesh: &'a Mesh,
    pub beads: Vec<&'a Bead>,
    pub base_profile: Option<&'a BaseProfile>,
    pub profile_fixing: Option<&'a Accessory>,
    pub profile_joiner: Option<&'a Accessory>,
    pub profile_packer: Option<&'a Accessory>,
    pub anchors: Vec<&'a Anchor>,
    pub plate: Option<&'a Plate>,
    pub plug: Option<&'a Plug>,
    pub foam: Option<&'a Foam>,
    pub sealing_strip: Option<&'a SealingStrip>,
    pub waterproofing: Option<&'a Waterproofing>,
    pub mounting_elements: Vec<&'a MountingElement>,
    pub mounting_adhesive: Option<&'a Adhesive>,
    pub primer: &'a Primer,
    pub finish: &'a Finish,
}

/// Looks names up and gathers what is missing.
struct Resolver<'f> {
    faults: &'f mut Faults,
    system: String,
}

impl Resolver<'_> {
    fn one<'a, T>(&mut self, kind: &str, map: &'a BTreeMap<String, T>, key: &str) -> Option<&'a T> {
        let found = map.get(key);
        if found.is_none() {
            self.faults.add(
                "system",
                "UNKNOWN_ARTICLE",
                format!("system `{}` with {kind} `{key}`", self.system),
                expected(kind, map, key),
            );
        }
        found
    }
    fn some<'a, T>(
        &mut self,
        kind: &str,
        map: &'a BTreeMap<String, T>,
        key: Option<&String>,
    ) -> Option<&'a T> {
        key.and_then(|key| self.one(kind, map, key))
    }
    fn all<'a, T>(
        &mut self,
        kind: &str,
        map: &'a BTreeMap<String, T>,
        keys: &[String],
    ) -> Vec<&'a T> {
        keys.iter()
            .filter_map(|key| self.one(kind, map, key))
            .collect()
    }
}

/// The most names that are listed as a whole.
const LISTED: usize = 12;

/// What stands in the map instead of an unknown key: all names where they are few, else the nearest ones, told as such.
pub(crate) fn expected<T>(kind: &str, map: &BTreeMap<String, T>, key: &str) -> String {
    let names: Vec<&str> = map.keys().map(String::as_str).collect();
    if names.is_empty() {
        format!("a {kind} of the catalogue; it has none")
    } else if names.len() <= LISTED {
        format!("one of the catalogue's: {}", names.join(", "))
    } else {
        let near = nearest(names.iter().copied(), key).join(", ");
        format!("one of the catalogue's {}; nearest: {near}", names.len())
    }
}

/// Up to five names, those that share most letters in order with `key` first, ties by the alphabet.
pub(crate) fn nearest<'a>(names: impl Iterator<Item = &'a str>, key: &str) -> Vec<&'a str> {
    let mut ranked: Vec<(usize, &str)> = names.map(|name| (distance(name, key), name)).collect();
    ranked.sort_unstable();
    ranked.into_iter().take(5).map(|(_, name)| name).collect()
}

/// The edit distance of two short names.
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().take(64).collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().take(64).enumerate() {
        let mut corner = i;
        let mut left = i + 1;
        if let Some(first) = row.first_mut() {
            *first = i + 1;
        }
        for (cell, cb) in row.iter_mut().skip(1).zip(&b) {
            let change = corner + usize::from(ca != *cb);
            corner = *cell;
            left = change.min(corner + 1).min(left + 1);
            *cell = left;
        }
    }
    row.last().copied().unwrap_or(0)
}

/// The facade board of a system, where both are there.
pub(crate) fn facade_board<'a>(key: &str, stock: &'a Assortment) -> Option<&'a Board> {
    let system = stock.systems.get(key)?;
    stock.boards.get(&system.board)
}

/// Resolves the system `key` and its finish (`finish` empty for the usual one).
///
/// # Errors
/// Every name that the assortment does not have.
pub(crate) fn resolve<'a>(
    key: &str,
    finish: &str,
    stock: &'a Assortment,
) -> Result<Parts<'a>, Vec<Fault>> {
    let mut faults = Faults::new();
    let Some(system) = stock.systems.get(key) else {
        faults.add(
            "system",
            "UNKNOWN_SYSTEM",
            format!("`{key}`"),
            expected("system", &stock.systems, key),
        );
        return Err(faults.into_list());
    };
    let mut look = Resolver {
        faults: &mut faults,
        system: String::from(key),
    };
    let (s, a) = (system, stock);
    let board = look.one("board", &a.boards, &s.board);
    let plinth_board = look.some("board", &a.boards, s.plinth_board.as_ref());
    let barrier_board = look.some("board", &a.boards, s.barrier_board.as_ref());
    let bonding = look.one("mortar", &a.mortars, &s.bonding_mortar);
    let base_coat = look.one("mortar", &a.mortars, &s.base_coat_mortar);
    let mesh = look.one("mesh", &a.meshes, &s.mesh);
    let beads = look.all("bead", &a.beads, &s.beads);
    let base_profile = look.some("base profile", &a.base_profiles, s.base_profile.as_ref());
    let profile_fixing = look.some("accessory", &a.accessories, s.profile_fixing.as_ref());
    let profile_joiner = look.some("accessory", &a.accessories, s.profile_joiner.as_ref());
    let profile_packer = look.some("accessory", &a.accessories, s.profile_packer.as_ref());
    let anchors = look.all("anchor", &a.anchors, &s.anchors);
    let plate = look.some("plate", &a.plates, s.plate.as_ref());
    let plug = look.some("plug", &a.plugs, s.plug.as_ref());
    let foam = look.some("foam", &a.foams, s.foam.as_ref());
    let sealing_strip = look.some("sealing strip", &a.sealing_strips, s.sealing_strip.as_ref());
    let waterproofing = look.some("waterproofing", &a.waterproofings, s.waterproofing.as_ref());
    let mounting_elements = look.all(
        "mounting element",
        &a.mounting_elements,
        &s.mounting_elements,
    );
    let mounting_adhesive = look.some("adhesive", &a.adhesives, s.mounting_adhesive.as_ref());
    let primer = look.one("primer", &a.primers, &s.primer);
    let finish = chosen_finish(system, finish, stock, &mut faults);
    match (board, bonding, base_coat, mesh, primer, finish) {
        (
            Some(board),
            Some(bonding_mortar),
            Some(base_coat_mortar),
            Some(mesh),
            Some(primer),
            Some(finish),
        ) if faults.is_empty() => Ok(Parts {
            system,
            board,
            plinth_board,
            barrier_board,
            bonding_mortar,
            base_coat_mortar,
            mesh,
            beads,
            base_profile,
            profile_fixing,
            profile_joiner,
            profile_packer,
            anchors,
            plate,
            plug,
            foam,
            sealing_strip,
            waterproofing,
            mounting_elements,
            mounting_adhesive,
            primer,
            finish,
        }),
        _ => Err(faults.into_list()),
    }
}

fn chosen_finish<'a>(
    system: &System,
    finish: &str,
    stock: &'a Assortment,
    faults: &mut Faults,
) -> Option<&'a Finish> {
    if finish.is_empty() {
        let key = system.finishes.first();
        let found = key.and_then(|key| stock.finishes.get(key));
        if found.is_none() {
            let named = key.map_or_else(
                || String::from("no finish"),
                |key| format!("finish `{key}`"),
            );
            faults.add(
                "system",
                "UNKNOWN_ARTICLE",
                format!("system `{}` with {named}", system.article.key),
                expected("finish", &stock.finishes, ""),
            );
        }
        return found;
    }
    let found = stock.finishes.get(finish);
    let of_system = || format!("a finish of the system: {}", system.finishes.join(", "));
    if found.is_none() {
        faults.add(
            "finish",
            "UNKNOWN_ARTICLE",
            format!("`{finish}`"),
            of_system(),
        );
    } else if !system.finishes.iter().any(|f| f == finish) {
        faults.add(
            "finish",
            "NOT_IN_SYSTEM",
            format!("`{finish}`"),
            of_system(),
        );
        return None;
    }
    found
}

/// The heading of an article by its key with the kind, such as `board.eps-white`.
pub(crate) fn article<'a>(stock: &'a Assortment, key: &str) -> Option<&'a Article> {
    let (kind, bare) = key.split_once('.')?;
    Some(match kind {
        "board" => &stock.boards.get(bare)?.article,
        "mortar" => &stock.mortars.get(bare)?.article,
        "mesh" => &stock.meshes.get(bare)?.article,
        "bead" => &stock.beads.get(bare)?.article,
        "base-profile" => &stock.base_profiles.get(bare)?.article,
        "accessory" => &stock.accessories.get(bare)?.article,
        "anchor" => &stock.anchors.get(bare)?.article,
        "plate" => &stock.plates.get(bare)?.article,
        "plug" => &stock.plugs.get(bare)?.article,
        "foam" => &stock.foams.get(bare)?.article,
        "sealing-strip" => &stock.sealing_strips.get(bare)?.article,
        "waterproofing" => &stock.waterproofings.get(bare)?.article,
        "primer" => &stock.primers.get(bare)?.article,
        "finish" => &stock.finishes.get(bare)?.article,
        "mounting-element" => &stock.mounting_elements.get(bare)?.article,
        "adhesive" => &stock.adhesives.get(bare)?.article,
        "system" => &stock.systems.get(bare)?.article,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_name_comes_first() {
        let names = ["cork", "eps-grey", "eps-white", "wood-fibre"];
        assert_eq!(
            nearest(names.into_iter(), "eps-whit").first(),
            Some(&"eps-white")
        );
        assert_eq!(distance("kitten", "sitting"), 3);
        assert_eq!(distance("", "abc"), 3);
    }

    /// No name is left out without a word.
    #[test]
    fn names_are_listed_whole_or_told_to_be_the_nearest() {
        let of = |count: usize| -> BTreeMap<String, usize> {
            (0..count).map(|i| (format!("set-{i:02}"), i)).collect()
        };
        let few = expected("rule set", &of(12), "xx");
        assert!((0..12).all(|i| few.contains(&format!("set-{i:02}"))));
        let many = expected("rule set", &of(13), "set-7");
        assert!(many.contains("13; nearest: set-07"), "{many}");
    }
}
