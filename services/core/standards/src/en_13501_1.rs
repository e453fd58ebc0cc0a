//! EN 13501-1, reaction-to-fire classes: their grammar and order.
//!
//! The grammar of A1, E and F is from memory of the text.

use core::fmt;
use core::str::FromStr;

use alloc::string::{String, ToString};

use working::{AnyFormula, Clause, Standing};

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[];

/// Where the classes stand.
pub const CLASSES: Clause = Clause {
    document: "EN 13501-1",
    clause: "classes of construction products excluding floorings",
    standing: Standing::Unverified,
};

/// The main class, best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MainClass {
    /// Non-combustible.
    A1,
    /// Non-combustible, with a trace of combustibles.
    A2,
    /// Very limited contribution to fire.
    B,
    /// Limited contribution.
    C,
    /// Acceptable contribution.
    D,
    /// Short resistance to a small flame.
    E,
    /// No performance determined.
    F,
}

/// Smoke production, least first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Smoke {
    /// s1.
    S1,
    /// s2.
    S2,
    /// s3.
    S3,
}

/// Flaming droplets, fewest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Droplets {
    /// d0: none within 600 s.
    D0,
    /// d1: none that burn longer than 10 s.
    D1,
    /// d2: the rest.
    D2,
}

/// A class by the grammar of the standard. `A1` and `F` stand alone, `E` alone or with `d2`, the others with both additions.
///
/// ```
/// use standards::en_13501_1::{FireClass, MainClass};
/// assert!("B-s1,d0".parse::<FireClass>().is_ok());
/// assert!("E".parse::<FireClass>().is_ok() && "E-d2".parse::<FireClass>().is_ok());
/// assert!("A1-s1,d0".parse::<FireClass>().is_err());
/// let class: FireClass = "A2-s1,d0".parse().unwrap();
/// assert_eq!(class.main(), MainClass::A2);
/// assert!(class.is_non_combustible());
/// assert_eq!(class.to_string(), "A2-s1,d0");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FireClass {
    main: MainClass,
    smoke: Option<Smoke>,
    droplets: Option<Droplets>,
}

/// Why a text is not a class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FireClassFault {
    /// The main class is none of A1, A2, B, C, D, E, F.
    UnknownMain(String),
    /// The main class stands without additions, or `E` with `d2` only.
    AdditionNotAllowed(String),
    /// A2 to D need smoke and droplets, as in `B-s1,d0`.
    AdditionMissing(String),
    /// The additions are not `s1` to `s3` and `d0` to `d2`, divided by a comma.
    UnknownAddition(String),
}

impl fmt::Display for FireClassFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownMain(text) => {
                write!(f, "`{text}` does not begin with A1, A2, B, C, D, E or F")
            }
            Self::AdditionNotAllowed(text) => {
                write!(f, "`{text}`: A1 and F stand alone, E alone or as E-d2")
            }
            Self::AdditionMissing(text) => {
                write!(
                    f,
                    "`{text}`: A2, B, C and D need smoke and droplets, as in B-s1,d0"
                )
            }
            Self::UnknownAddition(text) => {
                write!(
                    f,
                    "`{text}`: the additions are s1 to s3 and d0 to d2, as in B-s1,d0"
                )
            }
        }
    }
}

impl FireClass {
    /// The main class.
    pub const fn main(self) -> MainClass {
        self.main
    }
    /// Smoke, where the class states it.
    pub const fn smoke(self) -> Option<Smoke> {
        self.smoke
    }
    /// Droplets, where the class states them.
    pub const fn droplets(self) -> Option<Droplets> {
        self.droplets
    }
    /// A1 or A2.
    pub const fn is_non_combustible(self) -> bool {
        matches!(self.main, MainClass::A1 | MainClass::A2)
    }
}

impl FromStr for FireClass {
    type Err = FireClassFault;
    fn from_str(text: &str) -> Result<Self, FireClassFault> {
        let (head, tail) = match text.split_once('-') {
            Some((head, tail)) => (head, Some(tail)),
            None => (text, None),
        };
        let main = match head {
            "A1" => MainClass::A1,
            "A2" => MainClass::A2,
            "B" => MainClass::B,
            "C" => MainClass::C,
            "D" => MainClass::D,
            "E" => MainClass::E,
            "F" => MainClass::F,
            _ => return Err(FireClassFault::UnknownMain(text.to_string())),
        };
        let bare = Self {
            main,
            smoke: None,
            droplets: None,
        };
        match (main, tail) {
            (MainClass::A1 | MainClass::E | MainClass::F, None) => Ok(bare),
            (MainClass::E, Some("d2")) => Ok(Self {
                droplets: Some(Droplets::D2),
                ..bare
            }),
            (MainClass::A1 | MainClass::E | MainClass::F, Some(_)) => {
                Err(FireClassFault::AdditionNotAllowed(text.to_string()))
            }
            (_, None) => Err(FireClassFault::AdditionMissing(text.to_string())),
            (_, Some(tail)) => {
                let (smoke, droplets) = additions(tail)
                    .ok_or_else(|| FireClassFault::UnknownAddition(text.to_string()))?;
                Ok(Self {
                    main,
                    smoke: Some(smoke),
                    droplets: Some(droplets),
                })
            }
        }
    }
}

fn additions(tail: &str) -> Option<(Smoke, Droplets)> {
    let (smoke, droplets) = tail.split_once(',')?;
    let smoke = match smoke {
        "s1" => Smoke::S1,
        "s2" => Smoke::S2,
        "s3" => Smoke::S3,
        _ => return None,
    };
    let droplets = match droplets.trim_start() {
        "d0" => Droplets::D0,
        "d1" => Droplets::D1,
        "d2" => Droplets::D2,
        _ => return None,
    };
    Some((smoke, droplets))
}

impl fmt::Display for FireClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let main = match self.main {
            MainClass::A1 => "A1",
            MainClass::A2 => "A2",
            MainClass::B => "B",
            MainClass::C => "C",
            MainClass::D => "D",
            MainClass::E => "E",
            MainClass::F => "F",
        };
        f.write_str(main)?;
        match (self.smoke, self.droplets) {
            (Some(smoke), Some(droplets)) => write!(f, "-s{},d{}", smoke as u8 + 1, droplets as u8),
            (None, Some(droplets)) => write!(f, "-d{}", droplets as u8),
            _ => Ok(()),
        }
    }
}
