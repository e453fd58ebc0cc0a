//! One line of the takeoff: what is needed, what is lost and why, and what is bought.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use material::Unit;
use quantity::{Mm, Money};
use working::numbered;

use crate::cutting::Cutting;

/// The parts of a kit, in the order in which they are worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)] // each is named as the site names it
pub enum Component {
    BaseProfile,
    ProfileFixing,
    ProfileJoiner,
    ProfilePacker,
    Waterproofing,
    BondingMortar,
    Board,
    Foam,
    MountingElement,
    MountingAdhesive,
    Anchor,
    WiderPlate,
    Plug,
    SealingStrip,
    CornerBead,
    DripBead,
    JointBead,
    SillBead,
    FrameBead,
    BaseCoat,
    Mesh,
    Primer,
    Finish,
    MixingWater,
    DilutionWater,
}

/// A share of a line's net need, such as one facade's or one course's.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// Of what.
    pub name: String,
    /// How much, in the line's unit.
    pub amount: f64,
}

/// What is lost, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct Loss {
    /// How much, in the line's unit.
    pub amount: f64,
    /// Where it comes from.
    pub origin: String,
}

/// What is bought of one pack.
#[derive(Clone, Debug, PartialEq)]
pub struct Purchase {
    /// Length of a bar, roll or anchor, or thickness of a board, where the article has several.
    pub size: Option<Mm>,
    /// Number of packs, the least that holds the need.
    pub packs: u64,
    /// What a pack is called.
    pub pack: String,
    /// What a pack holds, in the line's unit.
    pub content: f64,
    /// What of the line's net need this size supplies.
    pub net_need: f64,
    /// The same with its share of the losses; the rest of what is bought is left over.
    pub need: f64,
    /// Pallets, the last one counted even where it is not full; nothing where the pack is not sold so.
    pub pallets: Option<u64>,
    /// Packs missing from stock; nothing where the stock is not told.
    pub short_of_stock: Option<u64>,
    /// Price of a pack.
    pub price_per_pack: Option<Money>,
    /// Price of all packs.
    pub price: Option<Money>,
}

/// How good a searched number is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bound {
    /// What is counted, such as `bars of 2500 mm`.
    pub of: String,
    /// What was found.
    pub found: u64,
    /// No plan can do with fewer.
    pub least: u64,
}

impl Bound {
    /// Whether no plan can do better.
    pub fn is_proven(&self) -> bool {
        self.found == self.least
    }

    /// What was found with its noun, in the singular for one.
    ///
    /// ```
    /// let bars = |found| takeoff::Bound { of: "bars of 2500 mm".into(), found, least: 1 };
    /// assert_eq!(bars(1).counted(), "1 bar of 2500 mm");
    /// assert_eq!(bars(2).counted(), "2 bars of 2500 mm");
    /// ```
    pub fn counted(&self) -> String {
        let end = self.of.find(|c: char| !c.is_alphabetic());
        let (noun, more) = self.of.split_at(end.unwrap_or(self.of.len()));
        let one = noun.strip_suffix('s').unwrap_or(noun);
        format!("{}{more}", numbered(self.found, one, noun))
    }
}

/// One line of the takeoff.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Which part of the kit.
    pub component: Component,
    /// The article's key with its kind; empty where the system has no article for it.
    pub article: String,
    /// The article's name, or what is missing.
    pub name: String,
    /// What it is for.
    pub purpose: String,
    /// The unit of every amount; its code is by UN/ECE Recommendation 20.
    pub unit: Unit,
    /// What is built in.
    pub net_need: f64,
    /// What makes up the net need, where it has parts.
    pub shares: Vec<Share>,
    /// Losses, each with its origin.
    pub losses: Vec<Loss>,
    /// Net need and losses together.
    pub need: f64,
    /// What is bought, by pack; empty where it is not bought or cannot be.
    pub purchases: Vec<Purchase>,
    /// What is left when the work is done, usable or not.
    pub leftover: f64,
    /// Bounds of what was searched.
    pub bounds: Vec<Bound>,
    /// How a searched number came about, in words.
    pub told: Vec<String>,
    /// How bars or rolls are cut; empty for other parts.
    pub cutting: Vec<Cutting>,
    /// The sheet lines of need and packs.
    pub sheet_lines: Vec<u32>,
}

impl Line {
    /// Packs of all sizes.
    pub fn packs(&self) -> u64 {
        self.purchases.iter().map(|p| p.packs).sum()
    }
    /// What is bought, in the line's unit.
    pub fn bought(&self) -> f64 {
        self.purchases
            .iter()
            .map(|p| p.content * p.packs as f64)
            .sum()
    }
    /// Adds to the net need of what is bought in one size only.
    pub(crate) fn add_net(&mut self, more: f64) {
        self.net_need += more;
        if let [only] = self.purchases.as_mut_slice() {
            only.net_need += more;
        }
    }
    /// The price of the line; nothing where a price is missing or nothing is bought.
    pub fn price(&self) -> Option<Money> {
        let mut prices = self.purchases.iter().map(|p| p.price);
        let first = prices.next()??;
        prices.try_fold(first, |sum, price| sum.plus(price?))
    }
}
