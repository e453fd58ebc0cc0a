//! DIN 18202, tolerances in building construction: flatness by Table 3.
//!
//! Row 5 and the whole table were read in public transcripts; the values of rows 6 and 7 at 1 m are from memory, so those rows stay
//! unverified. The edition was not seen.

use quantity::{Length, Rounding};
use working::{AnyFormula, Clause, Figure, Formula, Origin, Sheet, Standing, Symbol};

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[&INTERPOLATED];

/// The document.
pub const DOCUMENT: &str = "DIN 18202";

/// A row of Table 3 that speaks of walls.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Row {
    /// Row 5: walls and soffits not finished.
    Unfinished,
    /// Row 6: finished walls and soffits.
    Finished,
    /// Row 7: finished walls and soffits with raised requirements.
    FinishedRaised,
}

/// One cell: the distance of the measuring points and the greatest gap under the straightedge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// Distance of the measuring points.
    pub distance: Length,
    /// Greatest gap.
    pub gap: Length,
}

const fn cell(m: f64, mm: f64) -> Cell {
    Cell {
        distance: Length::from_m(m),
        gap: Length::from_mm(mm),
    }
}

const fn cells(gaps_mm: [f64; 5]) -> [Cell; 5] {
    let [a, b, c, d, e] = gaps_mm;
    [
        cell(0.1, a),
        cell(1.0, b),
        cell(4.0, c),
        cell(10.0, d),
        cell(15.0, e),
    ]
}

static UNFINISHED: [Cell; 5] = cells([5.0, 10.0, 15.0, 25.0, 30.0]);
static FINISHED: [Cell; 5] = cells([3.0, 5.0, 10.0, 20.0, 25.0]);
static FINISHED_RAISED: [Cell; 5] = cells([2.0, 3.0, 8.0, 15.0, 20.0]);

impl Row {
    /// The cells of the row, shortest distance first.
    pub fn cells(self) -> &'static [Cell; 5] {
        match self {
            Self::Unfinished => &UNFINISHED,
            Self::Finished => &FINISHED,
            Self::FinishedRaised => &FINISHED_RAISED,
        }
    }
    /// Where the row stands, and how well it is known.
    pub const fn clause(self) -> Clause {
        let (clause, standing) = match self {
            Self::Unfinished => ("Table 3, row 5", Standing::Published),
            Self::Finished => ("Table 3, row 6", Standing::Unverified),
            Self::FinishedRaised => ("Table 3, row 7", Standing::Unverified),
        };
        Clause {
            document: DOCUMENT,
            clause,
            standing,
        }
    }
}

const fn length(name: &'static str, meaning: &'static str, low: f64, high: f64) -> Symbol {
    Symbol {
        name,
        meaning,
        range: (low, high),
    }
}

/// The gap between two cells of a row.
pub static INTERPOLATED: Formula<(Length, Length, Length, Length, Length), Length> = Formula {
    clause: Clause {
        document: DOCUMENT,
        clause: "Table 3, intermediate values",
        standing: Standing::Published,
    },
    name: "greatest gap under a straightedge",
    symbol: "t",
    inputs: &[
        length("l", "distance of the measuring points", 1.0, 4.0),
        length("l_1", "distance of the cell below", 0.1, 1.0),
        length("l_2", "distance of the cell above", 4.0, 10.0),
        length("t_1", "gap of the cell below", 0.003, 0.01),
        length("t_2", "gap of the cell above", 0.01, 0.03),
    ],
    expression: "t_1 + (t_2 - t_1) * ((l - l_1) / (l_2 - l_1))",
    function: |(l, l1, l2, t1, t2)| t1 + (t2 - t1) * ((l - l1) / (l2 - l1)),
};

/// The greatest gap under a straightedge, at its full value; [`to_the_millimetre`] rounds it as the table asks.
///
/// Below 0.1 m the first cell holds, above 15 m the last. The distance must be finite.
///
/// ```
/// use quantity::Length;
/// use standards::din_18202::{Row, flatness, to_the_millimetre};
/// use working::{Origin, Sheet};
/// let mut sheet = Sheet::new();
/// let two_metres = sheet.given("l", Length::from_m(2.0), Origin::request("straightedge"));
/// let gap = flatness(Row::Unfinished, two_metres, &mut sheet);
/// // 10 mm at 1 m, 15 mm at 4 m: 10 + 5/3.
/// assert!((gap.value.as_mm() - 35.0 / 3.0).abs() < 1e-9);
/// assert_eq!(to_the_millimetre(gap.value).as_mm(), 12.0);
/// ```
pub fn flatness(row: Row, distance: Figure<Length>, sheet: &mut Sheet) -> Figure<Length> {
    let cells = row.cells();
    let table = || Origin::Table(row.clause());
    let between = cells
        .iter()
        .zip(cells.iter().skip(1))
        .find(|(low, high)| low.distance <= distance.value && distance.value <= high.distance);
    if let Some((low, high)) = between {
        let l1 = sheet.given("l_1", low.distance, table());
        let l2 = sheet.given("l_2", high.distance, table());
        let t1 = sheet.given("t_1", low.gap, table());
        let t2 = sheet.given("t_2", high.gap, table());
        return sheet.derive("t", &INTERPOLATED, (distance, l1, l2, t1, t2));
    }
    let [first, .., last] = cells;
    let end = if distance.value < first.distance {
        first
    } else {
        last
    };
    sheet.given("t", end.gap, table())
}

/// A gap rounded to the whole millimetre, as the table's note asks of interpolated values.
pub fn to_the_millimetre(gap: Length) -> Length {
    Length::from_mm(Rounding::Decimals(0).round(gap.as_mm()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gap_mm(row: Row, metres: f64) -> f64 {
        let mut sheet = Sheet::new();
        let distance = sheet.given("l", Length::from_m(metres), Origin::request("l"));
        flatness(row, distance, &mut sheet).value.as_mm()
    }

    #[test]
    fn the_cells_of_the_public_transcript_come_back() {
        for (row, gaps) in [
            (Row::Unfinished, [5.0, 10.0, 15.0, 25.0, 30.0]),
            (Row::Finished, [3.0, 5.0, 10.0, 20.0, 25.0]),
            (Row::FinishedRaised, [2.0, 3.0, 8.0, 15.0, 20.0]),
        ] {
            for (metres, gap) in [0.1, 1.0, 4.0, 10.0, 15.0].into_iter().zip(gaps) {
                assert!(
                    (gap_mm(row, metres) - gap).abs() < 1e-9,
                    "{row:?} at {metres} m"
                );
            }
        }
    }

    #[test]
    fn between_cells_the_gap_is_linear_and_beyond_them_it_stays() {
        // By hand: 2 m in row 6: 5 + (10 - 5)/3 = 6.667; 7 m in row 5: 15 + 10/2 = 20; 0.55 m in row 7: 2.5.
        for (row, metres, gap) in [
            (Row::Finished, 2.0, 20.0 / 3.0),
            (Row::Unfinished, 7.0, 20.0),
            (Row::FinishedRaised, 0.55, 2.5),
            (Row::Unfinished, 0.05, 5.0),
            (Row::Finished, 20.0, 25.0),
        ] {
            assert!(
                (gap_mm(row, metres) - gap).abs() < 1e-9,
                "{row:?} at {metres} m"
            );
        }
    }

    #[test]
    fn a_longer_straightedge_never_asks_for_less() {
        for row in [Row::Unfinished, Row::Finished, Row::FinishedRaised] {
            let gaps: alloc::vec::Vec<f64> =
                (0..400).map(|i| gap_mm(row, f64::from(i) * 0.05)).collect();
            assert!(
                gaps.iter()
                    .zip(gaps.iter().skip(1))
                    .all(|(a, b)| b + 1e-9 >= *a)
            );
        }
    }
}
