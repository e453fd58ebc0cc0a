//! The language in which formulas are printed, and its evaluator.
//!
//! Numbers, symbols, `+ - * / ^`, brackets, `sum mean count min max sqrt exp ln log10 abs ceil floor sin cos tan sinh cosh tanh atan2`, and
//! `if(a < b, x, y)` with `< <= > >= ==`. A symbol may stand for a list; arithmetic on lists goes element by element, and a
//! single number joins every element. `sum mean count` and `min max` with one argument fold a list to a number.

use alloc::boxed::Box;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt;

/// Why an expression has no value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ExpressionFault {
    /// Something else stood where a value or a sign was expected.
    Unexpected(String),
    /// A symbol with no value given.
    UnknownSymbol(String),
    /// A function this language does not have, or with another number of arguments.
    UnknownFunction(String),
    /// Two lists of different lengths met.
    UnequalLists,
    /// The expression is a list where a number is needed.
    NotANumber,
    /// Nested deeper than the language allows.
    TooDeep,
}

impl fmt::Display for ExpressionFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unexpected(text) => write!(f, "unexpected `{text}`"),
            Self::UnknownSymbol(name) => write!(f, "symbol `{name}` has no value"),
            Self::UnknownFunction(name) => write!(f, "no function `{name}` with so many arguments"),
            Self::UnequalLists => write!(f, "lists of different lengths"),
            Self::NotANumber => write!(f, "a list where a number is needed"),
            Self::TooDeep => write!(f, "nested too deep"),
        }
    }
}

/// The deepest nesting of brackets.
const DEEPEST: usize = 40;

/// The value of `text` with the symbols given; a symbol's one number is a number, several are a list.
///
/// # Errors
/// The text is not an expression, or a symbol in it has no value.
///
/// ```
/// let value = working::evaluate("sum(d / lambda) + 0.17", &[("d", &[0.24, 0.14][..], true), ("lambda", &[0.5, 0.035][..], true)]).unwrap();
/// assert!((value - 4.65).abs() < 1e-12);
/// ```
pub fn evaluate(text: &str, symbols: &[(&str, &[f64], bool)]) -> Result<f64, ExpressionFault> {
    let mut reader = Reader {
        rest: text,
        symbols,
        depth: 0,
    };
    let value = reader.sum()?;
    reader.skip();
    if !reader.rest.is_empty() {
        return Err(ExpressionFault::Unexpected(reader.rest.to_string()));
    }
    value.number()
}

type Comparison = fn(f64, f64) -> bool;

#[derive(Clone)]
enum Value {
    One(f64),
    List(Vec<f64>),
}

impl Value {
    fn number(self) -> Result<f64, ExpressionFault> {
        match self {
            Self::One(n) => Ok(n),
            Self::List(_) => Err(ExpressionFault::NotANumber),
        }
    }
    fn map(self, f: impl Fn(f64) -> f64) -> Self {
        match self {
            Self::One(n) => Self::One(f(n)),
            Self::List(list) => Self::List(list.into_iter().map(f).collect()),
        }
    }
    fn join(self, other: Self, f: impl Fn(f64, f64) -> f64) -> Result<Self, ExpressionFault> {
        Ok(match (self, other) {
            (Self::One(a), Self::One(b)) => Self::One(f(a, b)),
            (Self::List(a), Self::One(b)) => Self::List(a.into_iter().map(|a| f(a, b)).collect()),
            (Self::One(a), Self::List(b)) => Self::List(b.into_iter().map(|b| f(a, b)).collect()),
            (Self::List(a), Self::List(b)) => {
                if a.len() != b.len() {
                    return Err(ExpressionFault::UnequalLists);
                }
                Self::List(a.into_iter().zip(b).map(|(a, b)| f(a, b)).collect())
            }
        })
    }
    fn list(self) -> Vec<f64> {
        match self {
            Self::One(n) => alloc::vec![n],
            Self::List(list) => list,
        }
    }
}

struct Reader<'a> {
    rest: &'a str,
    symbols: &'a [(&'a str, &'a [f64], bool)],
    depth: usize,
}

impl Reader<'_> {
    fn skip(&mut self) {
        self.rest = self.rest.trim_start();
    }
    fn take(&mut self, sign: &str) -> bool {
        self.skip();
        if let Some(rest) = self.rest.strip_prefix(sign) {
            self.rest = rest;
            return true;
        }
        false
    }
    fn need(&mut self, sign: &str) -> Result<(), ExpressionFault> {
        if self.take(sign) {
            Ok(())
        } else {
            Err(ExpressionFault::Unexpected(self.rest.to_string()))
        }
    }
    fn sum(&mut self) -> Result<Value, ExpressionFault> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(ExpressionFault::TooDeep);
        }
        let mut value = self.product()?;
        loop {
            if self.take("+") {
                value = value.join(self.product()?, |a, b| a + b)?;
            } else if self.take("-") {
                value = value.join(self.product()?, |a, b| a - b)?;
            } else {
                self.depth -= 1;
                return Ok(value);
            }
        }
    }
    fn product(&mut self) -> Result<Value, ExpressionFault> {
        let mut value = self.signed()?;
        loop {
            if self.take("*") {
                value = value.join(self.signed()?, |a, b| a * b)?;
            } else if self.take("/") {
                value = value.join(self.signed()?, |a, b| a / b)?;
            } else {
                return Ok(value);
            }
        }
    }
    fn signed(&mut self) -> Result<Value, ExpressionFault> {
        if self.take("-") {
            return Ok(self.signed()?.map(|n| -n));
        }
        let base = self.atom()?;
        if self.take("^") {
            return base.join(self.signed()?, libm::pow);
        }
        Ok(base)
    }
    fn atom(&mut self) -> Result<Value, ExpressionFault> {
        self.skip();
        if self.take("(") {
            let value = self.sum()?;
            self.need(")")?;
            return Ok(value);
        }
        match self.rest.chars().next() {
            Some(c) if c.is_ascii_digit() || c == '.' => self.literal(),
            Some(c) if c.is_ascii_alphabetic() => self.named(),
            _ => Err(ExpressionFault::Unexpected(self.rest.to_string())),
        }
    }
    fn literal(&mut self) -> Result<Value, ExpressionFault> {
        let bytes = self.rest.as_bytes();
        let mut end = 0;
        while let Some(&b) = bytes.get(end) {
            let exponent_sign = (b == b'-' || b == b'+')
                && end > 0
                && matches!(bytes.get(end - 1), Some(b'e' | b'E'));
            if b.is_ascii_digit() || matches!(b, b'.' | b'e' | b'E') || exponent_sign {
                end += 1;
            } else {
                break;
            }
        }
        let (text, rest) = self.rest.split_at(end);
        let number = text
            .parse()
            .map_err(|_| ExpressionFault::Unexpected(text.to_string()))?;
        self.rest = rest;
        Ok(Value::One(number))
    }
    fn named(&mut self) -> Result<Value, ExpressionFault> {
        let end = self
            .rest
            .find(|c: char| !(c.is_ascii_alphanumeric() || c == '_' || c == ','))
            .unwrap_or(self.rest.len());
        // A comma belongs to a symbol such as `c_pe,10` only when that whole name has a value.
        let whole = self.rest.get(..end).unwrap_or_default();
        let mut name = whole;
        while self.value_of(name).is_none() {
            match name.rfind(',') {
                Some(comma) => name = name.get(..comma).unwrap_or_default(),
                None => break,
            }
        }
        self.rest = self.rest.get(name.len()..).unwrap_or_default();
        if let Some(value) = self.value_of(name) {
            return Ok(value);
        }
        if !self.take("(") {
            return Err(ExpressionFault::UnknownSymbol(name.to_string()));
        }
        if name == "if" {
            return self.choice();
        }
        let mut arguments = alloc::vec![self.sum()?];
        while self.take(",") {
            arguments.push(self.sum()?);
        }
        self.need(")")?;
        call(name, arguments)
    }
    fn value_of(&self, name: &str) -> Option<Value> {
        let (_, numbers, list) = self.symbols.iter().find(|(n, _, _)| *n == name)?;
        Some(if *list {
            Value::List(numbers.to_vec())
        } else {
            Value::One(numbers.first().copied().unwrap_or(f64::NAN))
        })
    }
    fn choice(&mut self) -> Result<Value, ExpressionFault> {
        let left = self.sum()?.number()?;
        let signs: [(&str, Comparison); 5] = [
            ("<=", |a, b| a <= b),
            (">=", |a, b| a >= b),
            ("==", |a, b| a == b),
            ("<", |a, b| a < b),
            (">", |a, b| a > b),
        ];
        let sign = signs.iter().find(|(sign, _)| self.take(sign));
        let Some((_, holds)) = sign else {
            return Err(ExpressionFault::Unexpected(self.rest.to_string()));
        };
        let right = self.sum()?.number()?;
        self.need(",")?;
        let then = self.sum()?;
        self.need(",")?;
        let otherwise = self.sum()?;
        self.need(")")?;
        Ok(if holds(left, right) { then } else { otherwise })
    }
}

fn call(name: &str, arguments: Vec<Value>) -> Result<Value, ExpressionFault> {
    let unknown = || ExpressionFault::UnknownFunction(name.to_string());
    let mut arguments = arguments.into_iter();
    let first = arguments.next().ok_or_else(unknown)?;
    let second = arguments.next();
    let simple: Option<Box<dyn Fn(f64) -> f64>> = match name {
        "sqrt" => Some(Box::new(libm::sqrt)),
        "exp" => Some(Box::new(libm::exp)),
        "ln" => Some(Box::new(libm::log)),
        "log10" => Some(Box::new(libm::log10)),
        "abs" => Some(Box::new(libm::fabs)),
        "ceil" => Some(Box::new(libm::ceil)),
        "floor" => Some(Box::new(libm::floor)),
        "sin" => Some(Box::new(libm::sin)),
        "cos" => Some(Box::new(libm::cos)),
        "tan" => Some(Box::new(libm::tan)),
        "sinh" => Some(Box::new(libm::sinh)),
        "cosh" => Some(Box::new(libm::cosh)),
        "tanh" => Some(Box::new(libm::tanh)),
        _ => None,
    };
    match (simple, second) {
        (Some(f), None) => Ok(first.map(f)),
        (Some(_), Some(_)) => Err(unknown()),
        (None, None) => fold(name, &first.list())
            .map(Value::One)
            .ok_or_else(unknown),
        (None, Some(second)) => {
            let f: fn(f64, f64) -> f64 = match name {
                "min" => libm::fmin,
                "max" => libm::fmax,
                "atan2" => libm::atan2,
                _ => return Err(unknown()),
            };
            let mut value = first.join(second, f)?;
            for more in arguments {
                value = value.join(more, f)?;
            }
            Ok(value)
        }
    }
}

fn fold(name: &str, list: &[f64]) -> Option<f64> {
    let sum = || list.iter().sum::<f64>();
    Some(match name {
        "sum" => sum(),
        "count" => list.len() as f64,
        "mean" => sum() / list.len() as f64,
        "min" => list.iter().copied().fold(f64::INFINITY, libm::fmin),
        "max" => list.iter().copied().fold(f64::NEG_INFINITY, libm::fmax),
        _ => return None,
    })
}
