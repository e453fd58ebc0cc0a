//! The heading every article has, and the pack it is bought in.

use alloc::collections::BTreeMap;
use alloc::string::String;

use quantity::{Money, whole_packs};

/// The heading of an article.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Article {
    /// Its key with its kind, such as `board.eps-grey`; unique in an assortment.
    pub key: String,
    /// Its name for people.
    pub name: String,
    /// Where its numbers come from, unless `sources` says otherwise.
    pub source: String,
    /// Where single numbers come from, by key.
    pub sources: BTreeMap<String, String>,
    /// The share added for waste on site, such as 0.05; cutting loss is computed and not in here.
    pub waste_share: f64,
    /// Passed through for the caller's own article numbers.
    pub metadata: BTreeMap<String, String>,
}

/// A unit of measure by UN/ECE Recommendation 20.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unit {
    /// Square metre, MTK.
    SquareMetre,
    /// Metre, MTR.
    Metre,
    /// Kilogram, KGM.
    Kilogram,
    /// Litre, LTR.
    Litre,
    /// Piece, H87.
    Piece,
}

impl Unit {
    /// The code of UN/ECE Recommendation 20.
    pub const fn code(self) -> &'static str {
        match self {
            Self::SquareMetre => "MTK",
            Self::Metre => "MTR",
            Self::Kilogram => "KGM",
            Self::Litre => "LTR",
            Self::Piece => "H87",
        }
    }
    /// The unit as written on a list.
    pub const fn sign(self) -> &'static str {
        match self {
            Self::SquareMetre => "m2",
            Self::Metre => "m",
            Self::Kilogram => "kg",
            Self::Litre => "l",
            Self::Piece => "pc",
        }
    }
}

/// A pack: what it is called, how much it holds, in which unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Pack {
    /// What it is called, such as `bag`, `roll`, `pack`, `bar`.
    pub name: String,
    /// How much it holds; above zero.
    pub content: f64,
    /// The unit of `content`.
    pub unit: Unit,
    /// How many packs stand on a pallet, where sold so.
    pub per_pallet: Option<u32>,
}

impl Pack {
    /// A pack that is not sold by the pallet.
    pub fn new(name: impl Into<String>, content: f64, unit: Unit) -> Self {
        Self {
            name: name.into(),
            content,
            unit,
            per_pallet: None,
        }
    }
    /// The least whole number of packs that holds `need`, in the pack's unit. Nothing where `need` is not finite.
    pub fn packs_for(&self, need: f64) -> Option<u64> {
        whole_packs(need, self.content)
    }
}

/// The pack of one article or size, what it costs and how many are in stock.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// The pack.
    pub pack: Pack,
    /// The price of one pack, where known. An estimate without it still gives the quantity and says that the price is missing.
    pub price: Option<Money>,
    /// How many packs the branch has, where told.
    pub stock_packs: Option<u64>,
}
