//! The order list as it grows: needs become packs here, and only here does a quantity meet a price.

use alloc::borrow::ToOwned;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use material::{Article, LinearStock, Supply, Unit};
use quantity::{Length, Mass, Mm, Quantity};
use working::{Figure, Finding, Origin, Severity, Sheet};

use crate::bars::BarPlan;
use crate::formulas::{COUNT_SUM, COUNT_WITH_WASTE, LENGTH_SUM, MASS_SUM, PACKS, WITH_SITE_WASTE};
use crate::line::{Component, Line, Loss, Purchase, Share};
use crate::piecing::Cut;

/// The order list under construction, with the sheet and the findings.
pub(crate) struct Order<'s> {
    pub sheet: &'s mut Sheet,
    pub lines: Vec<Line>,
    pub findings: Vec<Finding>,
}

/// What a line is about.
#[derive(Clone, Debug)]
pub(crate) struct Want<'a> {
    pub component: Component,
    pub article: &'a Article,
    pub purpose: String,
}

/// What a count or measure is bought in.
pub(crate) struct Pile<'a> {
    pub supply: &'a Supply,
    /// What a pack holds, in the unit of the need's figure.
    pub content: f64,
    pub unit: Unit,
    /// The size of the article, where it has several.
    pub size: Option<Mm>,
    /// Amounts in the line's unit for one of the figure's.
    pub scale: f64,
}

impl Order<'_> {
    pub fn find(
        &mut self,
        code: &'static str,
        severity: Severity,
        path: impl Into<String>,
        text: impl Into<String>,
        source: &'static str,
    ) {
        self.findings.push(Finding {
            code,
            severity,
            path: path.into(),
            text: text.into(),
            source,
        });
    }

    /// A line for a part that the system has no article for, or that is not stocked: it says what is needed and buys nothing.
    pub fn unsupplied(&mut self, component: Component, missing: &str, unit: Unit, need: f64) {
        if need <= 0.0 {
            return;
        }
        self.find(
            "PART_NOT_SUPPLIED",
            Severity::Caution,
            "",
            format!(
                "{missing}: {need:.2} {} needed, nothing bought",
                unit.sign()
            ),
            "",
        );
        self.lines.push(Line {
            component,
            article: String::new(),
            name: missing.to_owned(),
            purpose: missing.to_owned(),
            unit,
            net_need: need,
            shares: Vec::new(),
            losses: Vec::new(),
            need,
            purchases: Vec::new(),
            leftover: 0.0,
            bounds: Vec::new(),
            told: Vec::new(),
            cutting: Vec::new(),
            sheet_lines: Vec::new(),
        });
    }

    /// A line by mass.
    pub fn mass(&mut self, want: &Want, supply: &Supply, parts: Vec<(String, Figure<Mass>)>) {
        if parts.is_empty() {
            return;
        }
        let figures: Vec<Figure<Mass>> = parts.iter().map(|(_, f)| *f).collect();
        let net = self.sheet.derive(
            format!("net {}", want.article.key),
            &MASS_SUM,
            (figures.as_slice(),),
        );
        if net.value <= Mass::ZERO {
            return;
        }
        let waste = self.waste(want.article);
        let need = self.sheet.derive(
            format!("need {}", want.article.key),
            &WITH_SITE_WASTE,
            (net, waste),
        );
        let shares = parts
            .into_iter()
            .map(|(name, figure)| Share {
                name,
                amount: figure.value.as_kg(),
            })
            .collect();
        let losses = site_waste(need.value.as_kg() - net.value.as_kg());
        let pile = Pile {
            supply,
            content: supply.pack.content,
            unit: Unit::Kilogram,
            size: None,
            scale: 1.0,
        };
        self.piled(want, &pile, bare(net), bare(need), shares, losses);
    }

    /// A line by count or measure: `parts` are in the unit of the pile's content. Nothing where nothing is needed.
    pub fn count(
        &mut self,
        want: &Want,
        pile: &Pile,
        parts: Vec<(String, Figure<f64>)>,
    ) -> Option<&mut Line> {
        if parts.is_empty() {
            return None;
        }
        let figures: Vec<Figure<f64>> = parts.iter().map(|(_, f)| *f).collect();
        let net = self.sheet.derive(
            format!("net {}", want.article.key),
            &COUNT_SUM,
            (figures.as_slice(),),
        );
        if net.value <= 0.0 {
            return None;
        }
        let waste = self.waste(want.article);
        let need = self.sheet.derive(
            format!("need {}", want.article.key),
            &COUNT_WITH_WASTE,
            (net, waste),
        );
        let shares = parts
            .into_iter()
            .map(|(name, figure)| Share {
                name,
                amount: figure.value * pile.scale,
            })
            .collect();
        let losses = site_waste((need.value - net.value) * pile.scale);
        self.piled(want, pile, net, need, shares, losses);
        self.lines.last_mut()
    }

    pub fn waste(&mut self, article: &Article) -> Figure<f64> {
        let origin = Origin::catalogue(article.key.as_str(), "waste-share");
        self.sheet.given("w", article.waste_share, origin)
    }

    fn piled(
        &mut self,
        want: &Want,
        pile: &Pile,
        net: Figure<f64>,
        need: Figure<f64>,
        shares: Vec<Share>,
        losses: Vec<Loss>,
    ) {
        let origin = Origin::catalogue(want.article.key.as_str(), "pack");
        let content = self.sheet.given("pack", pile.content, origin);
        let packs = self.sheet.derive(
            format!("packs {}", want.article.key),
            &PACKS,
            (need, content),
        );
        let purchase = purchase(
            pile.supply,
            (packs.value as u64, pile.content * pile.scale),
            pile.size,
            Supplied {
                net_need: net.value * pile.scale,
                need: need.value * pile.scale,
            },
        );
        self.price_of(want.article, &purchase);
        let bought = purchase.content * purchase.packs as f64;
        self.lines.push(Line {
            component: want.component,
            article: want.article.key.clone(),
            name: want.article.name.clone(),
            purpose: want.purpose.clone(),
            unit: pile.unit,
            net_need: net.value * pile.scale,
            shares,
            losses,
            need: need.value * pile.scale,
            leftover: bought - need.value * pile.scale,
            purchases: alloc::vec![purchase],
            bounds: Vec::new(),
            told: Vec::new(),
            cutting: Vec::new(),
            sheet_lines: alloc::vec![net.line, need.line, packs.line],
        });
    }

    pub fn price_of(&mut self, article: &Article, purchase: &Purchase) {
        let size = purchase
            .size
            .map_or_else(String::new, |s| format!(" of {s}"));
        if purchase.price.is_none() {
            self.find(
                "PRICE_MISSING",
                Severity::Note,
                article.key.as_str(),
                format!(
                    "no price for {}{size}; the line stands without one",
                    article.name
                ),
                "",
            );
        }
        if let Some(short) = purchase.short_of_stock.filter(|s| *s > 0) {
            self.find(
                "STOCK_SHORT",
                Severity::Note,
                article.key.as_str(),
                format!(
                    "{}{size}: {short} too few in stock, counted by the {}",
                    article.name, purchase.pack
                ),
                "",
            );
        }
    }

    /// A line in bars or rolls for runs, each with its share's name. Returns how many joints between bars there are, and every piece.
    ///
    /// Each length alone, mixtures of lengths, and long runs in full bars or pieced from rests are tried; the cheapest wins where every
    /// length is priced, then the least length bought, then fewest packs, then the fewest pieces and the shorter bar.
    pub fn bars(
        &mut self,
        want: &Want,
        stock: &LinearStock,
        runs: &[(String, Mm)],
        how: Cut,
    ) -> BarPieces {
        let runs: Vec<&(String, Mm)> = runs.iter().filter(|(_, r)| *r > Mm::ZERO).collect();
        let none = BarPieces::default();
        if runs.is_empty() {
            return none;
        }
        let lengths: Vec<Mm> = runs.iter().map(|(_, r)| *r).collect();
        let net = self.run_length(want, &lengths);
        let best = BarPlan::best(stock, &lengths, how, want.article.waste_share);
        let Some(plan) = best else {
            self.unsupplied(
                want.component,
                &want.article.name,
                Unit::Metre,
                net.value.as_m(),
            );
            return none;
        };
        self.sheet.step(plan.told(stock, how));
        let shares = shares(&runs);
        self.bar_line(want, stock, (&plan, how), net, shares);
        BarPieces {
            joints: (plan.pieces.len() - lengths.len().min(plan.pieces.len())) as u64,
            pieces: plan.pieces,
        }
    }

    fn run_length(&mut self, want: &Want, lengths: &[Mm]) -> Figure<Length> {
        let figures: Vec<Figure<Length>> = distinct(lengths)
            .into_iter()
            .map(|(length, n)| {
                self.sheet.given(
                    format!("{n} x {length}"),
                    length.to_length() * f64::from(n),
                    Origin::Counted("edges of the building".into()),
                )
            })
            .collect();
        self.sheet.derive(
            format!("net {}", want.article.key),
            &LENGTH_SUM,
            (figures.as_slice(),),
        )
    }

    fn bar_line(
        &mut self,
        want: &Want,
        stock: &LinearStock,
        (plan, how): (&BarPlan, Cut),
        net: Figure<Length>,
        shares: Vec<Share>,
    ) {
        let mut line = Line {
            component: want.component,
            article: want.article.key.clone(),
            name: want.article.name.clone(),
            purpose: want.purpose.clone(),
            unit: Unit::Metre,
            net_need: net.value.as_m(),
            shares,
            losses: Vec::new(),
            need: 0.0,
            purchases: Vec::new(),
            leftover: 0.0,
            bounds: plan.bounds.clone(),
            told: plan.proof.clone().into_iter().collect(),
            cutting: plan.cutting.clone(),
            sheet_lines: alloc::vec![net.line],
        };
        let mut cut_length = 0.0;
        let pieces_cut: f64 = plan.supplied.iter().sum();
        for ((size, bars), supplied) in stock.sizes.iter().zip(&plan.bars).zip(&plan.supplied) {
            if *bars == 0 {
                continue;
            }
            let length = size.length.to_length().as_m() * *bars as f64;
            cut_length += length;
            let supplied = Supplied {
                net_need: net.value.as_m() * supplied / pieces_cut,
                need: length * (1.0 + want.article.waste_share),
            };
            let bars = self.sheet.given(
                format!("{} of {}", how.called, size.length),
                *bars as f64,
                Origin::Counted("cutting plan above".into()),
            );
            let waste = self.waste(want.article);
            let need = self.sheet.derive(
                format!("{} with waste", how.called),
                &COUNT_WITH_WASTE,
                (bars, waste),
            );
            let pieces = f64::from(size.pieces);
            let origin = Origin::catalogue(want.article.key.as_str(), "pieces");
            let pieces = self
                .sheet
                .given(format!("{} in a pack", how.called), pieces, origin);
            let packs = self.sheet.derive("packs", &PACKS, (need, pieces));
            let content = pieces.value * size.length.to_length().as_m();
            let packs_of = (packs.value as u64, content);
            let bought = purchase(&size.supply, packs_of, Some(size.length), supplied);
            self.price_of(want.article, &bought);
            line.purchases.push(bought);
            line.sheet_lines.push(packs.line);
        }
        line.losses.push(Loss {
            amount: cut_length - line.net_need,
            origin: format!(
                "cutting: rests of {}, saw cuts, gaps and overlaps",
                how.called
            ),
        });
        line.losses
            .extend(site_waste(cut_length * want.article.waste_share));
        line.need = cut_length * (1.0 + want.article.waste_share);
        line.leftover = line.bought() - line.need;
        self.lines.push(line);
    }
}

/// What came of cutting bars.
#[derive(Clone, Debug, Default)]
pub(crate) struct BarPieces {
    pub joints: u64,
    pub pieces: Vec<Mm>,
}

/// The number of a figure in its SI unit, still on its line.
pub(crate) fn bare<Q: Quantity>(figure: Figure<Q>) -> Figure<f64> {
    Figure {
        value: figure.value.si(),
        line: figure.line,
    }
}

/// Each length with its number, longest first.
fn distinct(lengths: &[Mm]) -> Vec<(Mm, u32)> {
    let mut counts: alloc::collections::BTreeMap<Mm, u32> = alloc::collections::BTreeMap::new();
    for length in lengths {
        *counts.entry(*length).or_default() += 1;
    }
    counts.into_iter().rev().collect()
}

fn shares(runs: &[&(String, Mm)]) -> Vec<Share> {
    let mut list: Vec<Share> = Vec::new();
    for (name, run) in runs {
        let amount = run.to_length().as_m();
        match list.iter_mut().find(|s| s.name == *name) {
            Some(share) => share.amount += amount,
            None => list.push(Share {
                name: name.clone(),
                amount,
            }),
        }
    }
    list
}

fn site_waste(amount: f64) -> Vec<Loss> {
    if amount > 0.0 {
        alloc::vec![Loss {
            amount,
            origin: "waste on site, share of the article".to_string(),
        }]
    } else {
        Vec::new()
    }
}

/// What one size supplies of a line, in the line's unit.
#[derive(Clone, Copy)]
pub(crate) struct Supplied {
    pub net_need: f64,
    /// With its share of the losses.
    pub need: f64,
}

/// What is bought of one size, in packs of `content`.
pub(crate) fn purchase(
    supply: &Supply,
    (packs, content): (u64, f64),
    size: Option<Mm>,
    supplied: Supplied,
) -> Purchase {
    Purchase {
        size,
        packs,
        pack: supply.pack.name.clone(),
        content,
        net_need: supplied.net_need,
        need: supplied.need,
        pallets: supply
            .pack
            .per_pallet
            .filter(|n| *n > 0)
            .map(|n| packs.div_ceil(u64::from(n))),
        short_of_stock: supply.stock_packs.map(|stock| packs.saturating_sub(stock)),
        price_per_pack: supply.price,
        price: supply.price.map(|p| p.times(packs)),
    }
}
