//! `rules/fire/*.toml`

use alloc::string::String;
use alloc::vec::Vec;

use fixing::fire::{FireCondition, FireDemand, FireRule, StripPosition, StripRule};
use quantity::{Length, Mm};
use standards::en_13501_1::MainClass;

use crate::complete::of;
use crate::entry::{Rows, entry};
use crate::fault::{Fact, Found};
use crate::rules::file::{Backing, RuleEntry, need, rule_file, text};
use crate::source::Located;
use crate::value::Text;

const CLASS: Text = Text::Choice(&["A1", "A2", "B", "C", "D", "E", "F"]);

entry! {
    /// One strip.
    StripEntry {
        /// Where it goes.
        position: String = "position", Required, Text::Choice(&[
            "lower-edge", "ceiling", "every-storeys", "upper-edge", "over-openings", "not-stated",
        ]);
        /// At the lower edge: the greatest height above ground.
        not_above: Mm = "not-above-mm", Optional, 0..=100_000;
        /// At a ceiling: of which storey, the ground floor being 1.
        storey: u32 = "storey", Optional, 1..=100;
        /// At a ceiling: greatest distance from the strip below; none where left out.
        from_below: Mm = "from-below-mm", Optional, 0..=100_000;
        /// At every so manieth storey.
        storeys: u32 = "storeys", Optional, 1..=100;
        /// Over openings: how far past them.
        past: Mm = "past-mm", Optional, 0..=5000;
        /// Least height of the strip.
        height_min: Mm = "height-min-mm", Required, 1..=10_000;
        /// The worst main class its material may have.
        material: String = "material", Required, CLASS;
        /// Anchors beyond those of the wind.
        extra_anchors: f64 = "extra-anchors-per-m", Optional, 0.0..=50.0;
        /// What else the row says.
        note: String = "note", Optional, Text::Any;
    }
}

entry! {
    /// One row of rule data.
    FireRuleEntry {
        /// Its id.
        id: String = "id", Required, Text::Key;
        /// The legal text.
        legal_reference: String = "legal-reference", Required, Text::Free;
        /// Its edition.
        edition: String = "edition", Required, Text::Free;
        /// Who has verified the row, or empty.
        verified_by: String = "verified-by", Optional, Text::Any;
        /// When, or empty.
        verified_on: String = "verified-on", Optional, Text::Any;
        /// The row of the same file that took its place; a row so named is never applied beside it.
        superseded_by: String = "superseded-by", Optional, Text::Key;
        /// The headline in words.
        headline: String = "headline", Required, Text::Free;
        /// Main classes of the insulation it speaks of; all where left out.
        insulation: Vec<Located<String>> = "insulation", Optional, CLASS;
        /// Insulation thicker than this.
        thickness_above: Mm = "thickness-above-mm", Optional, 0..=2000;
        /// Insulation up to this thickness.
        thickness_to: Mm = "thickness-to-mm", Optional, 0..=2000;
        /// Buildings higher than this.
        height_above: f64 = "height-above-m", Optional, 0.0..=1000.0;
        /// Buildings up to this height.
        height_to: f64 = "height-to-m", Optional, 0.0..=1000.0;
        /// Buildings of at least so many storeys.
        storeys_from: u32 = "storeys-from", Optional, 1..=200;
        /// Above this height the insulation must be of `class`.
        class_above: f64 = "class-above-m", Optional, 0.0..=1000.0;
        /// The worst main class above that height.
        class: String = "class", Optional, CLASS;
        /// Strips.
        strips: Rows<StripEntry> = "strip", Optional, ();
    }
}

rule_file! {
    /// Rows of rule data on fire barriers of one country.
    FireEntry {
        /// ISO 3166-1 alpha-2 code.
        country: String = "country", Required, Text::Free;
        /// The rows.
        rules: Rows<FireRuleEntry> = "rule", Required, ();
    }
}

fn main_class(word: &str) -> MainClass {
    match word {
        "A1" => MainClass::A1,
        "A2" => MainClass::A2,
        "B" => MainClass::B,
        "C" => MainClass::C,
        "D" => MainClass::D,
        "E" => MainClass::E,
        _ => MainClass::F,
    }
}

impl StripEntry {
    fn complete(&self, found: &mut Vec<Found>) -> Option<StripRule> {
        let position = self.position.as_ref()?;
        let within = (position.value.as_str(), position.at);
        let position = match position.value.as_str() {
            "lower-edge" => StripPosition::LowerEdge {
                not_above: need(self.not_above.as_ref(), "not-above-mm", within, found)?,
            },
            "ceiling" => StripPosition::Ceiling {
                storey: need(self.storey.as_ref(), "storey", within, found)?,
                from_below: of(&self.from_below).unwrap_or_default(),
            },
            "every-storeys" => StripPosition::EveryStoreys {
                storeys: need(self.storeys.as_ref(), "storeys", within, found)?,
            },
            "upper-edge" => StripPosition::UpperEdge,
            "over-openings" => StripPosition::OverOpenings {
                past: need(self.past.as_ref(), "past-mm", within, found)?,
            },
            _ => StripPosition::NotStated,
        };
        Some(StripRule {
            position,
            height_min: of(&self.height_min)?,
            material: main_class(&of(&self.material)?),
            extra_anchors_per_m: of(&self.extra_anchors).unwrap_or(0.0),
            note: text(self.note.as_ref()),
        })
    }
}

impl FireRuleEntry {
    fn demand(&self, found: &mut Vec<Found>) -> Option<FireDemand> {
        let strips = self.strips.as_ref();
        match (&self.class_above, strips) {
            (None, Some(strips)) if !strips.value.0.is_empty() => {
                let strips: Vec<_> = strips.value.0.iter().map(|s| s.complete(found)).collect();
                Some(FireDemand::Strips(
                    strips.into_iter().collect::<Option<_>>()?,
                ))
            }
            (Some(height), None) => {
                let class = need(
                    self.class.as_ref(),
                    "class",
                    ("class-above-m", height.at),
                    found,
                )?;
                Some(FireDemand::ClassAbove {
                    height: Length::from_m(height.value),
                    class: main_class(&class),
                })
            }
            _ => {
                let why = "a row asks either for strips or for a class above a height".into();
                found.push(Found {
                    at: self.at,
                    fact: Fact::NotTogether { why },
                    help: Some(
                        "give it [[rule.strip]] tables, or `class-above-m` with `class`".into(),
                    ),
                });
                None
            }
        }
    }

    /// What took the place of a row must be another row of the file.
    fn check_successor<'a>(
        &self,
        mut rows: impl Iterator<Item = &'a Self>,
        found: &mut Vec<Found>,
    ) {
        let Some(successor) = &self.superseded_by else {
            return;
        };
        let own = of(&self.id).as_deref() == Some(successor.value.as_str());
        let known = rows.any(|row| of(&row.id).as_deref() == Some(successor.value.as_str()));
        if own || !known {
            let why = "`superseded-by` names no other row of this file".into();
            found.push(Found {
                at: successor.at,
                fact: Fact::NotTogether { why },
                help: Some("give it the `id` of the row that took this one's place".into()),
            });
        }
    }

    fn complete(&self, country: &str, file: &Backing, found: &mut Vec<Found>) -> Option<FireRule> {
        let demand = self.demand(found);
        let classes = self.insulation.iter().flat_map(|list| &list.value);
        Some(FireRule {
            country: country.into(),
            id: of(&self.id)?,
            legal_reference: of(&self.legal_reference)?,
            edition: of(&self.edition)?,
            verified_by: text(self.verified_by.as_ref()),
            verified_on: text(self.verified_on.as_ref()),
            standing: file.standing,
            source: file.source.clone(),
            headline: of(&self.headline)?,
            superseded_by: text(self.superseded_by.as_ref()),
            when: FireCondition {
                insulation: classes.map(|c| main_class(&c.value)).collect(),
                thickness_above: of(&self.thickness_above).map(|mm: Mm| mm),
                thickness_to: of(&self.thickness_to),
                height_above: of(&self.height_above).map(Length::from_m),
                height_to: of(&self.height_to).map(Length::from_m),
                storeys_from: of(&self.storeys_from),
            },
            demand: demand?,
        })
    }
}

impl RuleEntry for FireEntry {
    type Rules = Vec<FireRule>;

    fn key(&self) -> Option<&Located<String>> {
        self.key.as_ref()
    }

    fn complete(&self, found: &mut Vec<Found>) -> Option<Vec<FireRule>> {
        let file = Backing::new(self.source.as_ref(), self.status.as_ref());
        let country = of(&self.country)?;
        let rows = self.rules.iter().flat_map(|rows| &rows.value.0);
        for row in rows.clone() {
            row.check_successor(rows.clone(), found);
        }
        let rows: Vec<_> = rows
            .map(|row| row.complete(&country, &file, found))
            .collect();
        rows.into_iter().collect()
    }
}
