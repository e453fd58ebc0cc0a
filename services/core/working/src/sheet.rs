//! The sheet itself: figures given, derived and checked, in the order in which they arose.

use alloc::borrow::Cow;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt::Write as _;

use quantity::Quantity;

use crate::formula::{AnyFormula, Args, Clause, Formula, Inputs, Standing};

/// A value together with the sheet line that it came from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure<Q> {
    /// The value.
    pub value: Q,
    /// The number of its line on the sheet, from 0.
    pub line: u32,
}

/// Where a given figure comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Origin {
    /// A field of the request.
    Request(Cow<'static, str>),
    /// A line of the catalogue.
    Catalogue {
        /// The article, such as `board.eps-grey`.
        article: String,
        /// The key in it, such as `conductivity-w-per-mk`.
        key: &'static str,
    },
    /// A cell of a published table, or a constant of a standard.
    Table(Clause),
    /// A value of a rule set or national parameter file.
    Rule(String),
    /// The engine assumed it; the text says why.
    Assumed(Cow<'static, str>),
    /// The result of a count or a search that has no closed formula; the text says what was counted or searched.
    Counted(Cow<'static, str>),
}

impl Origin {
    /// A field of the request.
    pub fn request(path: impl Into<Cow<'static, str>>) -> Self {
        Self::Request(path.into())
    }
    /// A line of the catalogue.
    pub fn catalogue(article: impl Into<String>, key: &'static str) -> Self {
        Self::Catalogue {
            article: article.into(),
            key,
        }
    }
    fn text(&self) -> String {
        match self {
            Self::Request(path) => format!("request: {path}"),
            Self::Catalogue { article, key } => format!("catalogue: {article}, {key}"),
            Self::Table(clause) => format!("{}, {}", clause.document, clause.clause),
            Self::Rule(rule) => format!("rule data: {rule}"),
            Self::Assumed(why) => format!("assumed: {why}"),
            Self::Counted(how) => format!("counted: {how}"),
        }
    }
}

/// On which side of its limit a checked figure must lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// The figure must not exceed the limit; utilisation = figure / limit.
    AtMost,
    /// The figure must reach the limit; utilisation = limit / figure.
    AtLeast,
}

/// A check to be recorded.
#[derive(Clone, Debug)]
pub struct Check<Q> {
    /// What is checked, in words.
    pub name: Cow<'static, str>,
    /// The clause that asks for it.
    pub clause: Clause,
    /// The figure.
    pub figure: Figure<Q>,
    /// Its limit.
    pub limit: Figure<Q>,
    /// On which side it must lie.
    pub side: Limit,
}

/// The outcome of a check. A check that fails is an answer, not an error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Verdict {
    /// Whether it holds.
    pub holds: bool,
    /// How much of the limit is used; above 1 it does not hold.
    pub utilisation: f64,
    /// Its line on the sheet.
    pub line: u32,
}

enum Entry {
    Section(Cow<'static, str>),
    Step(Cow<'static, str>),
    Given {
        label: Cow<'static, str>,
        number: f64,
        unit: &'static str,
        origin: Origin,
    },
    Derived {
        label: Cow<'static, str>,
        number: f64,
        formula: &'static dyn AnyFormula,
        from: core::ops::Range<usize>,
        counts: core::ops::Range<usize>,
    },
    Checked {
        name: Cow<'static, str>,
        clause: Clause,
        figure: u32,
        limit: u32,
        side: Limit,
        holds: bool,
        utilisation: f64,
    },
}

/// The calculation sheet of one answer.
#[derive(Default)]
pub struct Sheet {
    entries: Vec<Entry>,
    lines: Vec<u32>,
    counts: Vec<u32>,
}

impl Sheet {
    /// An empty sheet.
    pub fn new() -> Self {
        Self::default()
    }
    fn push(&mut self, entry: Entry) -> u32 {
        self.entries.push(entry);
        (self.entries.len() - 1) as u32
    }
    /// Opens a section; lines that follow belong to it.
    pub fn section(&mut self, title: impl Into<Cow<'static, str>>) {
        self.push(Entry::Section(title.into()));
    }
    /// Says in words what was searched or chosen, and by which rule.
    pub fn step(&mut self, text: impl Into<Cow<'static, str>>) {
        self.push(Entry::Step(text.into()));
    }
    /// Records a figure that comes from outside the calculation.
    pub fn given<Q: Quantity>(
        &mut self,
        label: impl Into<Cow<'static, str>>,
        value: Q,
        origin: Origin,
    ) -> Figure<Q> {
        let line = self.push(Entry::Given {
            label: label.into(),
            number: value.si(),
            unit: Q::UNIT,
            origin,
        });
        Figure { value, line }
    }
    /// Tells anew where given figures come from: `known` gives another origin for those that the caller knows by another name.
    pub fn retell(&mut self, known: impl Fn(&Origin) -> Option<Origin>) {
        for entry in &mut self.entries {
            if let Entry::Given { origin, .. } = entry
                && let Some(other) = known(origin)
            {
                *origin = other;
            }
        }
    }
    /// Computes a formula and records it in one step.
    #[allow(clippy::needless_pass_by_value)] // a tuple of small copies, written at every call
    pub fn derive<I: Inputs, O: Quantity, A: Args<I>>(
        &mut self,
        label: impl Into<Cow<'static, str>>,
        formula: &'static Formula<I, O>,
        arguments: A,
    ) -> Figure<O> {
        let value = (formula.function)(arguments.values());
        let (from, counts) = (self.lines.len(), self.counts.len());
        arguments.trace(&mut self.lines, &mut self.counts);
        let (from, counts) = (from..self.lines.len(), counts..self.counts.len());
        let line = self.push(Entry::Derived {
            label: label.into(),
            number: value.si(),
            formula,
            from,
            counts,
        });
        Figure { value, line }
    }
    /// Compares a figure with its limit and records the outcome.
    pub fn check<Q: Quantity>(&mut self, check: Check<Q>) -> Verdict {
        let (figure, limit) = (check.figure.value.si(), check.limit.value.si());
        let (holds, utilisation) = match check.side {
            Limit::AtMost => (figure <= limit, figure / limit),
            Limit::AtLeast => (figure >= limit, limit / figure),
        };
        let line = self.push(Entry::Checked {
            name: check.name,
            clause: check.clause,
            figure: check.figure.line,
            limit: check.limit.line,
            side: check.side,
            holds,
            utilisation,
        });
        Verdict {
            holds,
            utilisation,
            line,
        }
    }
    /// How many lines the sheet has.
    pub fn len(&self) -> usize {
        self.entries.len()
    }
    /// Whether nothing was recorded.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }
    /// The documents that the recorded lines cite, each once, in alphabetical order, with the weakest standing of any line.
    pub fn documents(&self) -> Vec<(&'static str, Standing)> {
        let mut found: alloc::collections::BTreeMap<&'static str, Standing> =
            alloc::collections::BTreeMap::new();
        for entry in &self.entries {
            let clause = match entry {
                Entry::Derived { formula, .. } => formula.clause(),
                Entry::Checked { clause, .. }
                | Entry::Given {
                    origin: Origin::Table(clause),
                    ..
                } => *clause,
                _ => continue,
            };
            if clause.standing == Standing::Project {
                continue;
            }
            let worst = found.entry(clause.document).or_insert(clause.standing);
            *worst = (*worst).max(clause.standing);
        }
        found.into_iter().collect()
    }
    /// The sheet as lines of text and numbers. This is the only place where text is made.
    pub fn lines(&self) -> Vec<Line> {
        let mut section = String::new();
        self.entries
            .iter()
            .enumerate()
            .map(|(number, entry)| {
                if let Entry::Section(title) = entry {
                    section = title.to_string();
                }
                self.line(number as u32, &section, entry)
            })
            .collect()
    }
    fn line(&self, number: u32, section: &str, entry: &Entry) -> Line {
        let mut line = Line {
            number,
            section: section.to_string(),
            ..Line::default()
        };
        match entry {
            Entry::Section(title) => {
                line.kind = LineKind::Section;
                line.label = title.to_string();
            }
            Entry::Step(text) => {
                line.kind = LineKind::Step;
                line.label = text.to_string();
            }
            Entry::Given {
                label,
                number,
                unit,
                origin,
            } => {
                line.kind = LineKind::Given;
                line.label = label.to_string();
                line.value = *number;
                line.unit = (*unit).to_string();
                line.origin = origin.text();
                if let Origin::Table(clause) = origin {
                    line.cite(*clause);
                }
            }
            Entry::Derived {
                label,
                number,
                formula,
                from,
                counts,
            } => {
                line.kind = LineKind::Derived;
                line.label = label.to_string();
                line.value = *number;
                line.unit = formula.unit().to_string();
                line.symbol = formula.symbol().to_string();
                line.expression = formula.expression().to_string();
                line.cite(formula.clause());
                line.origin = formula.name().to_string();
                let lines = self.lines.get(from.clone()).unwrap_or_default();
                let counts = self.counts.get(counts.clone()).unwrap_or_default();
                line.inputs = self.inputs(*formula, lines, counts);
                line.substituted = substitute(formula.expression(), &line.inputs);
            }
            Entry::Checked {
                name,
                clause,
                figure,
                limit,
                side,
                holds,
                utilisation,
            } => {
                line.kind = LineKind::Checked;
                line.label = name.to_string();
                line.value = *utilisation;
                line.unit = String::from("1");
                line.cite(*clause);
                line.holds = *holds;
                let (figure_value, unit) = self.number(*figure);
                let (limit_value, _) = self.number(*limit);
                let sign = match (side, holds) {
                    (Limit::AtMost, true) => "<=",
                    (Limit::AtMost, false) => ">",
                    (Limit::AtLeast, true) => ">=",
                    (Limit::AtLeast, false) => "<",
                };
                line.substituted = format!(
                    "{} {sign} {} {unit}",
                    plain(figure_value),
                    plain(limit_value)
                );
                line.inputs = alloc::vec![
                    LineInput {
                        symbol: String::from("figure"),
                        unit: unit.to_string(),
                        list: false,
                        from: alloc::vec![(*figure, figure_value)]
                    },
                    LineInput {
                        symbol: String::from("limit"),
                        unit: unit.to_string(),
                        list: false,
                        from: alloc::vec![(*limit, limit_value)]
                    },
                ];
            }
        }
        line
    }
    fn number(&self, line: u32) -> (f64, &'static str) {
        match self.entries.get(line as usize) {
            Some(Entry::Given { number, unit, .. }) => (*number, unit),
            Some(Entry::Derived {
                number, formula, ..
            }) => (*number, formula.unit()),
            Some(Entry::Checked { utilisation, .. }) => (*utilisation, "1"),
            _ => (f64::NAN, ""),
        }
    }
    fn inputs(&self, formula: &dyn AnyFormula, lines: &[u32], counts: &[u32]) -> Vec<LineInput> {
        let mut rest = lines;
        formula
            .inputs()
            .iter()
            .zip(formula.terms())
            .zip(counts)
            .map(|((symbol, (unit, list)), &count)| {
                let (mine, others) = rest.split_at((count as usize).min(rest.len()));
                rest = others;
                LineInput {
                    symbol: symbol.name.to_string(),
                    unit: unit.to_string(),
                    list,
                    from: mine
                        .iter()
                        .map(|&line| (line, self.number(line).0))
                        .collect(),
                }
            })
            .collect()
    }
}

/// What a line of the sheet is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LineKind {
    /// A heading.
    #[default]
    Section,
    /// A statement of what was searched or chosen.
    Step,
    /// A figure from outside.
    Given,
    /// A figure derived by a formula.
    Derived,
    /// A check.
    Checked,
}

/// One input of a derived line.
#[derive(Clone, Debug, PartialEq)]
pub struct LineInput {
    /// The symbol in the expression.
    pub symbol: String,
    /// Its unit.
    pub unit: String,
    /// Whether the symbol stands for a list.
    pub list: bool,
    /// The lines it comes from with their values in that unit.
    pub from: Vec<(u32, f64)>,
}

/// One line of the sheet as text and numbers, whole: it can be recomputed from what stands here.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Line {
    /// Its number, from 0; other lines refer to it.
    pub number: u32,
    /// What it is.
    pub kind: LineKind,
    /// The section it belongs to.
    pub section: String,
    /// What the figure is.
    pub label: String,
    /// The symbol of the result.
    pub symbol: String,
    /// The formula as printed.
    pub expression: String,
    /// The formula with its numbers in place of the symbols; for a check, the comparison.
    pub substituted: String,
    /// The inputs.
    pub inputs: Vec<LineInput>,
    /// The value in `unit`, full; for a check, the utilisation.
    pub value: f64,
    /// The SI unit.
    pub unit: String,
    /// The document cited.
    pub document: String,
    /// The clause cited.
    pub clause: String,
    /// How well the citation is known, where there is one.
    pub standing: Option<Standing>,
    /// Where a given figure comes from, or what a formula gives.
    pub origin: String,
    /// Whether a check holds.
    pub holds: bool,
}

impl Line {
    fn cite(&mut self, clause: Clause) {
        self.document = clause.document.to_string();
        self.clause = clause.clause.to_string();
        self.standing = Some(clause.standing);
    }
}

/// A number in the fewest digits that give it back exactly, without an exponent where it reads well.
fn plain(number: f64) -> String {
    let size = libm::fabs(number);
    if number != 0.0 && !(1e-4..1e9).contains(&size) {
        format!("{number:e}")
    } else {
        format!("{number}")
    }
}

/// The expression with each symbol replaced by its value, `name(` being a function and left alone.
fn substitute(expression: &str, inputs: &[LineInput]) -> String {
    let mut out = String::new();
    let mut rest = expression;
    while let Some(first) = rest.chars().next() {
        if !first.is_ascii_alphabetic() {
            let end = rest
                .find(|c: char| c.is_ascii_alphabetic())
                .unwrap_or(rest.len());
            // An exponent such as 1e-3 belongs to its number.
            let (head, tail) = rest.split_at(end);
            out.push_str(head);
            rest = tail;
            let exponent =
                head.ends_with(|c: char| c.is_ascii_digit()) && rest.starts_with(['e', 'E']);
            if exponent {
                let (e, tail) = rest.split_at(1);
                out.push_str(e);
                rest = tail;
            }
            continue;
        }
        let end = rest
            .find(|c: char| !(c.is_ascii_alphanumeric() || c == '_' || c == ','))
            .unwrap_or(rest.len());
        let mut name = rest.get(..end).unwrap_or_default();
        while !inputs.iter().any(|i| i.symbol == name) && name.contains(',') {
            name = name.rsplit_once(',').map_or(name, |(head, _)| head);
        }
        match inputs.iter().find(|i| i.symbol == name) {
            Some(input) if input.list => {
                let values: Vec<String> = input.from.iter().map(|(_, v)| plain(*v)).collect();
                let _ = write!(out, "[{}]", values.join("; "));
            }
            Some(input) => {
                let value = input.from.first().map_or(f64::NAN, |(_, v)| *v);
                if value < 0.0 {
                    let _ = write!(out, "({})", plain(value));
                } else {
                    out.push_str(&plain(value));
                }
            }
            None => out.push_str(name),
        }
        rest = rest.get(name.len()..).unwrap_or_default();
    }
    out
}
