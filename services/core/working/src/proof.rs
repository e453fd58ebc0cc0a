//! The proof that a printed expression is the function that was run.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use crate::expression::evaluate;
use crate::formula::AnyFormula;

/// A fixed-seed random source (SplitMix64), so that a failed proof fails again.
struct Draw(u64);

impl Draw {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / 9_007_199_254_740_992.0
    }
}

/// Evaluates the printed expression of `formula` on `cases` random inputs against its function.
///
/// # Errors
/// A sentence that says what differs, and where: the expression does not parse, a symbol is missing, a range is empty, or a value
/// differs by more than one part in 10^12 (or both are not the same NaN).
pub fn prove(formula: &dyn AnyFormula, cases: u32) -> Result<(), String> {
    let terms = formula.terms();
    let inputs = formula.inputs();
    let name = formula.name();
    if terms.len() != inputs.len() {
        return Err(format!(
            "{name}: {} symbols for {} inputs",
            inputs.len(),
            terms.len()
        ));
    }
    let mut draw = Draw(0x5EED);
    for case in 0..cases {
        let length = 1 + (case % 5) as usize;
        let numbers: Vec<Vec<f64>> = inputs
            .iter()
            .zip(&terms)
            .map(|(symbol, (_, list))| {
                let (low, high) = symbol.range;
                (0..if *list { length } else { 1 })
                    .map(|_| low + (high - low) * draw.unit())
                    .collect()
            })
            .collect();
        let symbols: Vec<(&str, &[f64], bool)> = inputs
            .iter()
            .zip(&terms)
            .zip(&numbers)
            .map(|((symbol, (_, list)), numbers)| (symbol.name, numbers.as_slice(), *list))
            .collect();
        let printed =
            evaluate(formula.expression(), &symbols).map_err(|fault| format!("{name}: {fault}"))?;
        let computed = formula.compute(&numbers);
        let apart = libm::fabs(printed - computed);
        if !(apart <= 1e-12 * libm::fmax(1e-300, libm::fabs(computed))
            || (printed.is_nan() && computed.is_nan()))
        {
            return Err(format!(
                "{name}: printed `{}` gives {printed:e}, the function gives {computed:e} at {symbols:?}",
                formula.expression()
            ));
        }
        if printed.is_nan() {
            return Err(format!(
                "{name}: not a number at {symbols:?}; mend the range"
            ));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::prove;
    use crate::{Clause, Formula, Symbol};

    const PAIR: &[Symbol] = &[
        Symbol {
            name: "a",
            meaning: "first",
            range: (1.0, 2.0),
        },
        Symbol {
            name: "b",
            meaning: "second",
            range: (1.0, 2.0),
        },
    ];

    fn formula(expression: &'static str) -> Formula<(f64, f64), f64> {
        Formula {
            clause: Clause::project("test"),
            name: "product",
            symbol: "c",
            inputs: PAIR,
            expression,
            function: |(a, b)| a * b,
        }
    }

    #[test]
    fn a_printed_expression_that_is_not_the_function_is_caught() {
        assert!(prove(&formula("a * b"), 50).is_ok());
        for wrong in [
            "a + b",
            "a * b * 1.000001",
            "a * c",
            "a *",
            "if(a < 1.99, a * b, a)",
        ] {
            assert!(prove(&formula(wrong), 500).is_err(), "{wrong}");
        }
    }
}
