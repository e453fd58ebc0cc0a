//! A formula: clause, symbols, printed expression and function in one `static`.

use alloc::vec::Vec;

use quantity::Quantity;

use crate::sheet::Figure;

/// How well the project knows what it cites.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Read in a published text, or confirmed against published numbers.
    Published,
    /// From memory of a text that nobody here holds; to be verified before it is relied on.
    Unverified,
    /// A definition, a law of arithmetic or a rule of this project; no outside text is claimed.
    Project,
}

/// Where a formula, a table or a rule comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Clause {
    /// The document with its edition, such as `ISO 6946:2017`.
    pub document: &'static str,
    /// The clause, formula or table in it.
    pub clause: &'static str,
    /// How well it is known.
    pub standing: Standing,
}

impl Clause {
    /// An arithmetical definition or a rule of this project.
    pub const fn project(what: &'static str) -> Self {
        Self {
            document: "this project",
            clause: what,
            standing: Standing::Project,
        }
    }
}

/// One input symbol of a formula.
#[derive(Clone, Copy, Debug)]
pub struct Symbol {
    /// The standard's symbol in plain letters, such as `R_si`.
    pub name: &'static str,
    /// What it stands for.
    pub meaning: &'static str,
    /// A range in SI units in which the formula holds; the proof draws its random inputs from it.
    pub range: (f64, f64),
}

/// A formula with typed inputs `I` and result `O`.
pub struct Formula<I: 'static, O: 'static> {
    /// Where it comes from.
    pub clause: Clause,
    /// What it gives, in words.
    pub name: &'static str,
    /// The symbol of its result.
    pub symbol: &'static str,
    /// Its inputs, in the order of the function's.
    pub inputs: &'static [Symbol],
    /// The right-hand side as printed, in the language of [`crate::evaluate`].
    pub expression: &'static str,
    /// The right-hand side as computed.
    pub function: fn(I) -> O,
}

/// One input of a formula: a quantity, or a list of them.
pub trait Term: Sized {
    /// The unit of the number or numbers inside.
    const UNIT: &'static str;
    /// Whether this is a list.
    const LIST: bool;
    /// From bare numbers in that unit; a single quantity takes the first, or NaN where there is none.
    fn from_numbers(numbers: &[f64]) -> Self;
}

impl<Q: Quantity> Term for Q {
    const UNIT: &'static str = Q::UNIT;
    const LIST: bool = false;
    fn from_numbers(numbers: &[f64]) -> Self {
        Q::from_si(numbers.first().copied().unwrap_or(f64::NAN))
    }
}

/// A list of quantities of one kind, as an input of a formula.
#[derive(Clone, Debug, PartialEq)]
pub struct List<Q>(pub Vec<Q>);

impl<Q: Quantity> Term for List<Q> {
    const UNIT: &'static str = Q::UNIT;
    const LIST: bool = true;
    fn from_numbers(numbers: &[f64]) -> Self {
        Self(numbers.iter().map(|&n| Q::from_si(n)).collect())
    }
}

/// All inputs of a formula: a tuple of one to ten [`Term`]s.
pub trait Inputs: Sized {
    /// Each input's unit and whether it is a list.
    fn terms() -> Vec<(&'static str, bool)>;
    /// From bare numbers, one slice an input.
    fn from_numbers(numbers: &[Vec<f64>]) -> Self;
}

/// A recorded figure, or a slice of them, that can stand for one [`Term`].
pub trait Arg<T> {
    /// The value, or values.
    fn term(&self) -> T;
    /// Appends the sheet lines this comes from.
    fn trace(&self, lines: &mut Vec<u32>);
}

impl<Q: Quantity> Arg<Q> for Figure<Q> {
    fn term(&self) -> Q {
        self.value
    }
    fn trace(&self, lines: &mut Vec<u32>) {
        lines.push(self.line);
    }
}

impl<Q: Quantity> Arg<List<Q>> for &[Figure<Q>] {
    fn term(&self) -> List<Q> {
        List(self.iter().map(|f| f.value).collect())
    }
    fn trace(&self, lines: &mut Vec<u32>) {
        lines.extend(self.iter().map(|f| f.line));
    }
}

impl<Q: Quantity> Arg<List<Q>> for &Vec<Figure<Q>> {
    fn term(&self) -> List<Q> {
        self.as_slice().term()
    }
    fn trace(&self, lines: &mut Vec<u32>) {
        self.as_slice().trace(lines);
    }
}

/// A tuple of recorded figures that fits the inputs `I`.
pub trait Args<I> {
    /// The values.
    fn values(&self) -> I;
    /// For each input in order, how many lines it has, and those lines.
    fn trace(&self, lines: &mut Vec<u32>, counts: &mut Vec<u32>);
}

macro_rules! tuples {
    ($( ($($t:ident $a:ident $n:tt),+) )+) => { $(
        impl<$($t: Term),+> Inputs for ($($t,)+) {
            fn terms() -> Vec<(&'static str, bool)> { alloc::vec![$(($t::UNIT, $t::LIST)),+] }
            fn from_numbers(numbers: &[Vec<f64>]) -> Self {
                let at = |i: usize| numbers.get(i).map_or(&[][..], Vec::as_slice);
                ($($t::from_numbers(at($n)),)+)
            }
        }
        impl<$($t,)+ $($a: Arg<$t>),+> Args<($($t,)+)> for ($($a,)+) {
            fn values(&self) -> ($($t,)+) { ($(self.$n.term(),)+) }
            fn trace(&self, lines: &mut Vec<u32>, counts: &mut Vec<u32>) {
                $( let before = lines.len(); self.$n.trace(lines); counts.push((lines.len() - before) as u32); )+
            }
        }
    )+ };
}
tuples! {
    (A A1 0)
    (A A1 0, B B1 1)
    (A A1 0, B B1 1, C C1 2)
    (A A1 0, B B1 1, C C1 2, D D1 3)
    (A A1 0, B B1 1, C C1 2, D D1 3, E E1 4)
    (A A1 0, B B1 1, C C1 2, D D1 3, E E1 4, F F1 5)
    (A A1 0, B B1 1, C C1 2, D D1 3, E E1 4, F F1 5, G G1 6)
    (A A1 0, B B1 1, C C1 2, D D1 3, E E1 4, F F1 5, G G1 6, H H1 7)
    (A A1 0, B B1 1, C C1 2, D D1 3, E E1 4, F F1 5, G G1 6, H H1 7, I I1 8)
    (A A1 0, B B1 1, C C1 2, D D1 3, E E1 4, F F1 5, G G1 6, H H1 7, I I1 8, J J1 9)
}

/// A formula whatever its types: what the sheet keeps, and what the proof runs over.
pub trait AnyFormula: Sync {
    /// Where it comes from.
    fn clause(&self) -> Clause;
    /// What it gives, in words.
    fn name(&self) -> &'static str;
    /// The symbol of its result.
    fn symbol(&self) -> &'static str;
    /// Its inputs.
    fn inputs(&self) -> &'static [Symbol];
    /// Its printed right-hand side.
    fn expression(&self) -> &'static str;
    /// The unit of its result.
    fn unit(&self) -> &'static str;
    /// Each input's unit and whether it is a list.
    fn terms(&self) -> Vec<(&'static str, bool)>;
    /// The function on bare SI numbers, one list an input.
    fn compute(&self, numbers: &[Vec<f64>]) -> f64;
}

impl<I: Inputs, O: Quantity> AnyFormula for Formula<I, O> {
    fn clause(&self) -> Clause {
        self.clause
    }
    fn name(&self) -> &'static str {
        self.name
    }
    fn symbol(&self) -> &'static str {
        self.symbol
    }
    fn inputs(&self) -> &'static [Symbol] {
        self.inputs
    }
    fn expression(&self) -> &'static str {
        self.expression
    }
    fn unit(&self) -> &'static str {
        O::UNIT
    }
    fn terms(&self) -> Vec<(&'static str, bool)> {
        I::terms()
    }
    fn compute(&self, numbers: &[Vec<f64>]) -> f64 {
        (self.function)(I::from_numbers(numbers)).si()
    }
}
