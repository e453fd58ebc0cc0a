//! Whether the parts of a system exist and go together.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use material::{Assortment, Attachment, Board, LoadClass, Setting, System};

use crate::articles::Articles;
use crate::entry::Entry;
use crate::fault::{Fact, Found};
use crate::kinds::SystemEntry;
use crate::nearest::nearest;
use crate::source::{Located, Place};

/// Takes withdrawn anchors and finishes out of the lists that offer them; every other withdrawn part stays, and is a fault.
pub(crate) fn shorten_lists(articles: &mut Articles) {
    let gone = |articles: &Articles, kind: &str| -> Vec<String> {
        let names = articles.names(kind).into_iter();
        names
            .filter(|(_, withdrawn)| *withdrawn)
            .map(|(n, _)| n.to_string())
            .collect()
    };
    let anchors = gone(articles, "anchor");
    let finishes = gone(articles, "finish");
    for system in articles.systems.values_mut() {
        for (list, gone) in [
            (&mut system.anchors, &anchors),
            (&mut system.finishes, &finishes),
        ] {
            if let Some(list) = list {
                list.value.retain(|item| !gone.contains(&item.value));
            }
        }
    }
}

/// Says which parts of systems and which hygric data do not exist, and which withdrawn articles are still needed.
pub(crate) fn check_names(articles: &Articles, found: &mut Vec<Found>) {
    let mut needed: BTreeMap<(&str, &str), Vec<String>> = BTreeMap::new();
    for (owner, parts) in needs(articles) {
        for (kind, part) in parts {
            let names = articles.names(kind);
            let known = names.iter().find(|(name, _)| *name == part.value);
            if let Some((name, true)) = known {
                let owners = needed.entry((kind, name)).or_default();
                if !owners.contains(&owner) {
                    owners.push(owner.clone());
                }
            }
            if known.is_none() {
                let near = nearest(&part.value, names.iter().map(|(name, _)| *name));
                found.push(Found {
                    at: part.at,
                    fact: Fact::UnknownName {
                        kind: kind.into(),
                        name: part.value.clone(),
                    },
                    help: near.map(|near| format!("did you mean `{near}`?")),
                });
            }
        }
    }
    for ((kind, name), needed_by) in needed {
        let help = if kind == "hygric" {
            "withdraw these articles too, or give them other hygric data"
        } else {
            "withdraw these systems too, or give them another part"
        };
        found.push(Found {
            at: articles.withdrawn_at(kind, name),
            fact: Fact::Withdrawn {
                kind: kind.into(),
                name: name.into(),
                needed_by,
            },
            help: Some(help.to_string()),
        });
    }
}

/// What an article names of others: the kind and the name.
type Named<'a> = Vec<(&'static str, &'a Located<String>)>;

/// Every article that names others, by its key with the kind: systems their parts; boards, mortars and finishes their hygric data.
fn needs(articles: &Articles) -> Vec<(String, Named<'_>)> {
    let systems = articles.systems.iter().filter(|(_, e)| !e.is_withdrawn());
    let mut all: Vec<(String, Named<'_>)> = systems
        .map(|(name, entry)| (format!("system.{name}"), parts_of(entry)))
        .collect();
    macro_rules! hygric_of {
        ($($kind:literal => $field:ident),*) => { $(
            let entries = articles.$field.iter().filter(|(_, e)| !e.is_withdrawn());
            all.extend(entries.filter_map(|(name, entry)| {
                let hygric = entry.hygric.as_ref()?;
                Some((format!("{}.{name}", $kind), alloc::vec![("hygric", hygric)]))
            }));
        )* };
    }
    hygric_of!("board" => boards, "mortar" => mortars, "finish" => finishes);
    all
}

fn parts_of(system: &SystemEntry) -> Vec<(&'static str, &Located<String>)> {
    let singles = [
        ("board", &system.board),
        ("board", &system.plinth_board),
        ("board", &system.barrier_board),
        ("mortar", &system.bonding_mortar),
        ("mortar", &system.base_coat_mortar),
        ("mesh", &system.mesh),
        ("base-profile", &system.base_profile),
        ("accessory", &system.profile_fixing),
        ("accessory", &system.profile_joiner),
        ("accessory", &system.profile_packer),
        ("plate", &system.plate),
        ("plug", &system.plug),
        ("foam", &system.foam),
        ("sealing-strip", &system.sealing_strip),
        ("waterproofing", &system.waterproofing),
        ("adhesive", &system.mounting_adhesive),
        ("primer", &system.primer),
    ];
    let lists = [
        ("bead", &system.beads),
        ("anchor", &system.anchors),
        ("mounting-element", &system.mounting_elements),
        ("finish", &system.finishes),
    ];
    let rows = system
        .plate_resistances
        .iter()
        .flat_map(|rows| rows.value.kept());
    let rows = rows.filter_map(|(_, row)| Some(("board", row.board.as_ref()?)));
    let one = singles
        .into_iter()
        .filter_map(|(kind, part)| Some((kind, part.as_ref()?)));
    let many = lists.into_iter().flat_map(|(kind, list)| {
        let items = list.iter().flat_map(|l| &l.value);
        items.map(move |item| (kind, item))
    });
    one.chain(many).chain(rows).collect()
}

/// One system with its places and its parts.
struct Checking<'a> {
    key: String,
    entry: &'a SystemEntry,
    system: &'a System,
    stock: &'a Assortment,
    found: &'a mut Vec<Found>,
}

/// Says which parts of systems do not go together. A part that is missing is told elsewhere and passed over here.
pub(crate) fn check_parts(articles: &Articles, stock: &Assortment, found: &mut Vec<Found>) {
    for (name, entry) in &articles.systems {
        let Some(system) = stock.systems.get(name) else {
            continue;
        };
        let mut checking = Checking {
            key: format!("system.{name}"),
            entry,
            system,
            stock,
            found,
        };
        checking.boards();
        checking.mortars();
        checking.beads_and_profile();
        checking.anchoring();
        checking.plates();
        checking.resistances();
        checking.mounting();
        checking.finishes();
    }
}

fn place<T>(field: Option<&Located<T>>, otherwise: Place) -> Place {
    field.map_or(otherwise, |f| f.at)
}

impl Checking<'_> {
    fn say<T>(&mut self, field: Option<&Located<T>>, why: String) {
        self.found.push(Found {
            at: place(field, self.entry.at),
            fact: Fact::NotTogether { why },
            help: None,
        });
    }

    fn board(&self) -> Option<&Board> {
        self.stock.boards.get(&self.system.board)
    }

    fn boards(&mut self) {
        let entry = self.entry;
        if self.board().is_some_and(|b| !b.exposure.facade) {
            let why = format!("board `{}` may not stand on the facade", self.system.board);
            self.say(entry.board.as_ref(), why);
        }
        let plinth = self.system.plinth_board.as_ref();
        let plinth = plinth.and_then(|name| Some((name, self.stock.boards.get(name)?)));
        if let Some((name, board)) = plinth
            && !board.exposure.plinth
        {
            let why = format!("board `{name}` may not stand at the plinth");
            self.say(entry.plinth_board.as_ref(), why);
        }
        let barrier = self.system.barrier_board.as_ref();
        let barrier = barrier.and_then(|name| Some((name, self.stock.boards.get(name)?)));
        if let Some((name, board)) = barrier
            && !(board.reaction_to_fire == "A1" || board.reaction_to_fire.starts_with("A2-"))
        {
            let why = format!(
                "board `{name}` of class {} cannot stop fire: a barrier is of class A1 or A2",
                board.reaction_to_fire
            );
            self.say(entry.barrier_board.as_ref(), why);
        }
    }

    fn mortars(&mut self) {
        let entry = self.entry;
        let bonding = self.stock.mortars.get(&self.system.bonding_mortar);
        if bonding.is_some_and(|m| m.bonding.is_none()) {
            let why = format!("mortar `{}` does not bond", self.system.bonding_mortar);
            self.say(entry.bonding_mortar.as_ref(), why);
        }
        let Some(coat) = self.stock.mortars.get(&self.system.base_coat_mortar) else {
            return;
        };
        let Some(coat) = coat.base_coat else {
            let why = format!(
                "mortar `{}` makes no base coat",
                self.system.base_coat_mortar
            );
            return self.say(entry.base_coat_mortar.as_ref(), why);
        };
        let thickness = self.system.base_coat_thickness;
        if thickness < coat.thickness_min || thickness > coat.thickness_max {
            let why = format!(
                "a base coat of {} mm is outside the mortar's {} to {} mm",
                thickness.as_mm(),
                coat.thickness_min.as_mm(),
                coat.thickness_max.as_mm()
            );
            self.say(entry.base_coat_thickness.as_ref(), why);
        }
    }

    fn beads_and_profile(&mut self) {
        let entry = self.entry;
        let beads = self.system.beads.iter();
        let mut uses: Vec<_> = beads
            .filter_map(|b| Some(self.stock.beads.get(b)?.usage))
            .collect();
        uses.sort_unstable();
        if uses.windows(2).any(|pair| matches!(pair, [a, b] if a == b)) {
            self.say(entry.beads.as_ref(), "two beads serve one use".into());
        }
        let profile = self.system.base_profile.as_ref();
        let profile = profile.and_then(|name| self.stock.base_profiles.get(name));
        let (Some(profile), Some(board)) = (profile, self.board()) else {
            return;
        };
        let serves =
            |t: &material::BoardThickness| profile.sizes.iter().any(|(mm, _)| *mm == t.thickness);
        if !board.thicknesses.iter().any(serves) {
            let why = format!(
                "the base profile serves no stocked thickness of board `{}`",
                self.system.board
            );
            self.say(entry.base_profile.as_ref(), why);
        }
    }

    fn anchoring(&mut self) {
        let entry = self.entry;
        let anchored = self.system.attachment != Attachment::Bonded;
        if anchored && self.system.anchors.is_empty() && !entry.spoiled.contains("anchors") {
            self.say(
                entry.attachment.as_ref(),
                format!("{} is anchored and names no anchor", self.key),
            );
        }
        let tested = self
            .system
            .plate_resistances
            .iter()
            .any(|r| r.board == self.system.board);
        if self.system.attachment == Attachment::AnchoredWithSupplementaryMortar
            && !tested
            && entry.spoiled.is_empty()
        {
            let why = format!(
                "{} hangs on its anchors and tells no plate resistance of board `{}`",
                self.key, self.system.board
            );
            self.say(entry.attachment.as_ref(), why);
        }
        let Some(board) = self.board() else { return };
        let thickest = board.thicknesses.iter().map(|t| t.thickness).max();
        let mut faults = Vec::new();
        for item in entry.anchors.iter().flat_map(|list| &list.value) {
            let Some(anchor) = self.stock.anchors.get(&item.value) else {
                continue;
            };
            if thickest.is_some_and(|t| t < anchor.board_thickness_min) {
                faults.push((
                    item,
                    format!(
                        "anchor `{}` needs a board of {} and the thickest stocked is thinner",
                        item.value, anchor.board_thickness_min
                    ),
                ));
            }
            if matches!(anchor.setting, Setting::Recessed { .. }) && self.system.plug.is_none() {
                faults.push((
                    item,
                    format!(
                        "anchor `{}` is recessed and {} has no plug",
                        item.value, self.key
                    ),
                ));
            }
        }
        for (item, why) in faults {
            self.found.push(Found {
                at: item.at,
                fact: Fact::NotTogether { why },
                help: None,
            });
        }
    }

    fn plates(&mut self) {
        let (entry, system, stock) = (self.entry, self.system, self.stock);
        let anchored = !system.anchors.is_empty();
        if anchored && system.plate.is_none() && !entry.spoiled.contains("plate") {
            let boards = [
                (Some(&system.board), &entry.board),
                (system.barrier_board.as_ref(), &entry.barrier_board),
                (system.plinth_board.as_ref(), &entry.plinth_board),
            ];
            let soft = |name: &&String| stock.boards.get(*name).is_some_and(|b| b.wider_plate);
            for (name, at) in boards {
                let Some(name) = name.filter(soft) else {
                    continue;
                };
                let why = format!(
                    "board `{name}` takes a wider plate and {} has none",
                    self.key
                );
                self.say(at.as_ref(), why);
            }
        }
        let plate = self.system.plate.as_ref();
        let Some(plate) = plate.and_then(|name| self.stock.plates.get(name)) else {
            return;
        };
        let diameter = plate.diameter;
        let anchors = self.system.anchors.iter();
        let wider: Vec<String> = anchors
            .filter(|a| {
                self.stock
                    .anchors
                    .get(*a)
                    .is_some_and(|a| a.plate_diameter >= diameter)
            })
            .cloned()
            .collect();
        for anchor in wider {
            let why =
                format!("the wider plate of {diameter} is no wider than that of anchor `{anchor}`");
            self.say(entry.plate.as_ref(), why);
        }
    }

    fn resistances(&mut self) {
        let rows = self
            .entry
            .plate_resistances
            .iter()
            .flat_map(|rows| rows.value.kept());
        for (key, row) in rows {
            let (Some(board), Some(diameter)) = (&row.board, &row.plate_diameter_min) else {
                continue;
            };
            let own = [
                Some(&self.system.board),
                self.system.barrier_board.as_ref(),
                self.system.plinth_board.as_ref(),
            ];
            if !own.contains(&Some(&board.value)) {
                let why = format!(
                    "plate resistance `{key}` is of board `{}`, which {} does not have",
                    board.value, self.key
                );
                self.say(row.board.as_ref(), why);
                continue;
            }
            let stocked = self.stock.boards.get(&board.value);
            if let (Some(stocked), Some(least)) = (stocked, &row.thickness_min)
                && stocked
                    .thicknesses
                    .iter()
                    .all(|t| t.thickness < least.value)
            {
                let why = format!(
                    "no stocked thickness of board `{}` reaches the tested {}",
                    board.value, least.value
                );
                self.say(row.thickness_min.as_ref(), why);
            }
            let wider = self
                .system
                .plate
                .as_ref()
                .and_then(|p| self.stock.plates.get(p));
            let anchors = self
                .system
                .anchors
                .iter()
                .filter_map(|a| self.stock.anchors.get(a));
            let widest = anchors
                .map(|a| a.plate_diameter)
                .chain(wider.map(|p| p.diameter))
                .max();
            if widest.is_some_and(|w| w < diameter.value) {
                let why = format!(
                    "no plate of {} reaches the tested diameter {}",
                    self.key, diameter.value
                );
                self.say(row.plate_diameter_min.as_ref(), why);
            }
        }
    }

    fn mounting(&mut self) {
        let entry = self.entry;
        let elements = self.system.mounting_elements.iter();
        let mut elements = elements.filter_map(|m| self.stock.mounting_elements.get(m));
        let light = elements.any(|m| m.load == LoadClass::Light);
        if light
            && self.system.mounting_adhesive.is_none()
            && !entry.spoiled.contains("mounting-adhesive")
        {
            let why = "light mounting elements are glued, and there is no `mounting-adhesive`";
            self.say(entry.mounting_elements.as_ref(), why.into());
        }
    }

    fn finishes(&mut self) {
        if self.system.finishes.is_empty() && !self.entry.spoiled.contains("finishes") {
            self.say(
                self.entry.finishes.as_ref(),
                format!("{} has no finish left", self.key),
            );
        }
    }
}
