//! Money: a decimal amount with its currency. A measured quantity meets a price only as whole packs.

use alloc::string::{String, ToString};
use core::fmt;
use core::str::FromStr;

use rust_decimal::{Decimal, RoundingStrategy};

/// A currency by its ISO 4217 alphabetic code, such as `EUR`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

impl Currency {
    /// The euro.
    pub const EUR: Self = Self(*b"EUR");

    /// The currency of a three-letter upper-case code, or nothing. The list of codes in force is not checked.
    ///
    /// ```
    /// assert!(quantity::Currency::from_code("CHF").is_some());
    /// assert!(quantity::Currency::from_code("chf").is_none());
    /// ```
    pub fn from_code(code: &str) -> Option<Self> {
        let bytes: [u8; 3] = code.as_bytes().try_into().ok()?;
        bytes
            .iter()
            .all(u8::is_ascii_uppercase)
            .then_some(Self(bytes))
    }
    /// How many decimals the smallest unit of the currency has, by ISO 4217 (from memory): most have two.
    ///
    /// ```
    /// use quantity::Currency;
    /// let digits = |code| Currency::from_code(code).unwrap().minor_digits();
    /// assert_eq!((digits("EUR"), digits("JPY"), digits("KWD")), (2, 0, 3));
    /// ```
    pub fn minor_digits(&self) -> u32 {
        match &self.0 {
            b"BIF" | b"CLP" | b"DJF" | b"GNF" | b"ISK" | b"JPY" | b"KMF" | b"KRW" | b"PYG"
            | b"RWF" | b"UGX" | b"UYI" | b"VND" | b"VUV" | b"XAF" | b"XOF" | b"XPF" => 0,
            b"BHD" | b"IQD" | b"JOD" | b"KWD" | b"LYD" | b"OMR" | b"TND" => 3,
            b"CLF" | b"UYW" => 4,
            _ => 2,
        }
    }
    /// The three letters.
    pub fn code(&self) -> &str {
        core::str::from_utf8(&self.0).unwrap_or("???")
    }
}

/// An amount of money in one currency, exact to the digit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Money {
    /// The amount in units of the currency.
    pub amount: Decimal,
    /// The currency.
    pub currency: Currency,
}

/// Why a price text is not a price.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PriceFault {
    /// The text is not a plain decimal such as `12.50`.
    NotDecimal(String),
    /// The amount is below zero.
    Negative(String),
    /// More than a thousand million, or more than six decimals.
    OutOfRange(String),
}

impl fmt::Display for PriceFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotDecimal(text) => write!(
                f,
                "`{text}` is not a decimal; write the price as text such as \"12.50\""
            ),
            Self::Negative(text) => write!(f, "price `{text}` is negative"),
            Self::OutOfRange(text) => write!(
                f,
                "price `{text}` has over six decimals or exceeds 1000000000"
            ),
        }
    }
}

impl Money {
    /// A price from its text, such as `"12.50"`.
    ///
    /// # Errors
    /// The text is not a plain non-negative decimal within range.
    ///
    /// ```
    /// use quantity::{Currency, Money};
    /// let price = Money::price("12.50", Currency::EUR).unwrap();
    /// assert_eq!(price.times(3).to_string(), "37.50 EUR");
    /// assert!(Money::price("12,50", Currency::EUR).is_err());
    /// assert!(Money::price("1e3", Currency::EUR).is_err());
    /// ```
    pub fn price(text: &str, currency: Currency) -> Result<Self, PriceFault> {
        let digits = text.strip_prefix('-').unwrap_or(text);
        let mut halves = digits.splitn(2, '.');
        let plain = |half: Option<&str>| {
            half.is_some_and(|h| !h.is_empty() && h.bytes().all(|b| b.is_ascii_digit()))
        };
        let (whole, decimals) = (halves.next(), halves.next());
        if !plain(whole) || (decimals.is_some() && !plain(decimals)) {
            return Err(PriceFault::NotDecimal(text.to_string()));
        }
        let amount =
            Decimal::from_str(text).map_err(|_| PriceFault::OutOfRange(text.to_string()))?;
        if amount.is_sign_negative() && !amount.is_zero() {
            return Err(PriceFault::Negative(text.to_string()));
        }
        if amount > Decimal::from(1_000_000_000_u32) || amount.scale() > 6 {
            return Err(PriceFault::OutOfRange(text.to_string()));
        }
        Ok(Self { amount, currency })
    }
    /// Nothing, in a currency.
    pub fn nothing(currency: Currency) -> Self {
        Self {
            amount: Decimal::ZERO,
            currency,
        }
    }
    /// The price of a whole number of packs. Saturates at the largest decimal, far beyond any purchase.
    #[must_use]
    pub fn times(self, count: u64) -> Self {
        let amount = self
            .amount
            .checked_mul(Decimal::from(count))
            .unwrap_or(Decimal::MAX);
        Self {
            amount,
            currency: self.currency,
        }
    }
    /// The sum of two amounts, or nothing where the currencies differ.
    pub fn plus(self, other: Self) -> Option<Self> {
        let amount = self.amount.checked_add(other.amount)?;
        (self.currency == other.currency).then_some(Self {
            amount,
            currency: self.currency,
        })
    }
    /// A share of the amount, such as a tax or a discount, rounded as [`Self::rounded`] does.
    #[must_use]
    pub fn share(self, share: Decimal) -> Self {
        let amount = self.amount.checked_mul(share).unwrap_or(Decimal::MAX);
        Self { amount, ..self }.rounded()
    }
    /// The amount in whole smallest units of its currency, such as cents, by the commercial rule (half away from zero): what can be paid.
    ///
    /// ```
    /// use quantity::{Currency, Money};
    /// let price = |code| Money::price("7.0125", Currency::from_code(code).unwrap()).unwrap();
    /// assert_eq!(price("EUR").rounded().to_string(), "7.01 EUR");
    /// assert_eq!(price("JPY").rounded().to_string(), "7 JPY");
    /// assert_eq!(price("KWD").rounded().to_string(), "7.013 KWD");
    /// ```
    #[must_use]
    pub fn rounded(self) -> Self {
        let digits = self.currency.minor_digits();
        let half_up = RoundingStrategy::MidpointAwayFromZero;
        Self {
            amount: self.amount.round_dp_with_strategy(digits, half_up),
            currency: self.currency,
        }
    }
    /// The amount as text without the currency, with at least the decimals of its smallest unit and never fewer than it holds.
    pub fn amount_text(&self) -> String {
        let mut amount = self.amount.normalize();
        let least = self.currency.minor_digits();
        if amount.scale() < least {
            amount.rescale(least);
        }
        amount.to_string()
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.amount_text(), self.currency.code())
    }
}
