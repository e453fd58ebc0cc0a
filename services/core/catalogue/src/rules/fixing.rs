//! `rules/fixing/*.toml`

use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Force, Length, PerArea, Stress};
use standards::eota::{BondRule, Cited, FixingRules, PlacementRule, SiteTestRule};

use crate::complete::of;
use crate::entry::entry;
use crate::fault::Found;
use crate::rules::file::{Backing, CitedNumberEntry, RuleEntry, STATUS, rule_file, text};
use crate::source::Located;
use crate::value::Text;

/// An [`entry!`] whose values share one source and status, if not those of the file.
macro_rules! backed {
    (
        $(#[doc = $about:literal])+
        $name:ident { $($fields:tt)* }
    ) => {
        entry! {
            $(#[doc = $about])+
            $name {
                $($fields)*
                /// Where these were read, if not where the file says.
                source: String = "source", Optional, Text::Free;
                /// How well these are known, if not as the file says.
                status: String = "status", Optional, STATUS;
            }
        }
        impl $name {
            fn backing(&self, file: &Backing) -> Backing {
                file.or(self.source.as_ref(), self.status.as_ref())
            }
        }
    };
}

backed! {
    /// The least number of anchors.
    NumberEntry {
        /// The least.
        min: f64 = "min-per-m2", Required, 0.0..=30.0;
    }
}

backed! {
    /// The usual numbers of anchors; others call for a second look.
    UsualNumberEntry {
        /// The fewest.
        low: f64 = "low-per-m2", Required, 0.0..=50.0;
        /// The most.
        high: f64 = "high-per-m2", Required, 0.0..=50.0;
    }
}

backed! {
    /// How pull-out tests on site are evaluated.
    SiteTestEntry {
        /// The least number of tests.
        tests_min: u32 = "tests-min", Required, 1..=1000;
        /// How many of the smallest are averaged.
        smallest: u32 = "smallest", Required, 1..=1000;
        /// The factor on their mean.
        factor: f64 = "factor", Required, 0.01..=1.0;
        /// The most that may be claimed.
        cap: f64 = "cap-kn", Required, 0.01..=100.0;
        /// The steps in which resistances are stated, rising; none: not stepped down.
        steps: Vec<f64> = "steps-kn", Optional, 0.001..=100.0;
    }
}

backed! {
    /// How bonding is judged.
    BondEntry {
        /// The strength whose ratio to the mean bond strength is the least share.
        needed_strength: f64 = "needed-strength-mpa", Required, 0.001..=10.0;
        /// The least share whatever the strength.
        share_floor: f64 = "share-floor", Required, 0.0..=1.0;
        /// The least pull-off strength of the substrate for a system that is bonded only.
        substrate_min: f64 = "substrate-min-mpa", Required, 0.0..=10.0;
    }
}

backed! {
    /// Greatest gaps under a straightedge of one metre.
    FlatnessEntry {
        /// Bonded.
        bonded: f64 = "bonded-mm-per-m", Required, 0.0..=100.0;
        /// Bonded and anchored.
        anchored: f64 = "anchored-mm-per-m", Required, 0.0..=100.0;
    }
}

backed! {
    /// Where anchors stand on a board.
    PlacementEntry {
        /// Distance of a field anchor from the board's edge where there is room.
        board_edge: f64 = "board-edge-mm", Required, 1.0..=500.0;
        /// The same on narrow pieces.
        board_edge_min: f64 = "board-edge-min-mm", Required, 1.0..=500.0;
    }
}

rule_file! {
    /// Partial factors and rules of fixing design.
    FixingEntry {
        /// ISO 3166-1 alpha-2 code, or empty for none.
        country: String = "country", Required, Text::Any;
        /// The document it stands for.
        document: String = "document", Required, Text::Free;
        /// Partial factor on the wind.
        wind_factor: CitedNumberEntry = "wind-factor", Required, ();
        /// Partial factor on the resistance in the wall.
        wall_factor: CitedNumberEntry = "wall-factor", Required, ();
        /// Partial factor on the pull-through of the system.
        system_factor: CitedNumberEntry = "system-factor", Required, ();
        /// Reduction on the pull-through of the system; 1 for none.
        system_reduction: CitedNumberEntry = "system-reduction", Required, ();
        /// The least number of anchors.
        number: NumberEntry = "number", Required, ();
        /// The usual numbers of anchors.
        usual_number: UsualNumberEntry = "usual-number", Required, ();
        /// Tests on site.
        site_tests: SiteTestEntry = "site-tests", Required, ();
        /// Bonding.
        bond: BondEntry = "bond", Required, ();
        /// The least bonded share by practice.
        share_practice: CitedNumberEntry = "bond-share-practice", Required, ();
        /// The partial factor on bond strength.
        material_factor: CitedNumberEntry = "bond-material-factor", Required, ();
        /// The partial factor on the weight of the system.
        dead_load_factor: CitedNumberEntry = "dead-load-factor", Required, ();
        /// Flatness of the substrate.
        flatness: FlatnessEntry = "flatness", Required, ();
        /// Placement.
        placement: PlacementEntry = "placement", Required, ();
    }
}

impl SiteTestEntry {
    fn complete(&self, file: &Backing) -> Option<SiteTestRule> {
        let own = self.backing(file);
        let steps = of(&self.steps).unwrap_or_default();
        Some(SiteTestRule {
            tests_min: own.cite(of(&self.tests_min)?),
            smallest: own.cite(of(&self.smallest)?),
            factor: own.cite(of(&self.factor)?),
            cap: own.cite(Force::from_kn(of(&self.cap)?)),
            steps: own.cite(steps.into_iter().map(Force::from_kn).collect()),
        })
    }
}

impl FixingEntry {
    fn bonding(&self, file: &Backing) -> Option<BondRule> {
        let (bond, flat) = (&self.bond.as_ref()?.value, &self.flatness.as_ref()?.value);
        let (own, level) = (bond.backing(file), flat.backing(file));
        let number = |field: &Option<Located<CitedNumberEntry>>| {
            CitedNumberEntry::cited(field.as_ref(), file)
        };
        Some(BondRule {
            needed_strength: own.cite(Stress::from_mpa(of(&bond.needed_strength)?)),
            share_floor: own.cite(of(&bond.share_floor)?),
            share_practice: number(&self.share_practice)?,
            substrate_min: own.cite(Stress::from_mpa(of(&bond.substrate_min)?)),
            material_factor: number(&self.material_factor)?,
            dead_load_factor: number(&self.dead_load_factor)?,
            flatness_bonded_mm: level.cite(of(&flat.bonded)?),
            flatness_anchored_mm: level.cite(of(&flat.anchored)?),
        })
    }

    fn placing(&self, file: &Backing) -> Option<PlacementRule> {
        let placement = &self.placement.as_ref()?.value;
        let own = placement.backing(file);
        Some(PlacementRule {
            board_edge: own.cite(Length::from_mm(of(&placement.board_edge)?)),
            board_edge_min: own.cite(Length::from_mm(of(&placement.board_edge_min)?)),
        })
    }
}

impl RuleEntry for FixingEntry {
    type Rules = FixingRules;

    fn key(&self) -> Option<&Located<String>> {
        self.key.as_ref()
    }

    fn complete(&self, _found: &mut Vec<Found>) -> Option<FixingRules> {
        let file = &Backing::new(self.source.as_ref(), self.status.as_ref());
        let number = |field: &Option<Located<CitedNumberEntry>>| {
            CitedNumberEntry::cited(field.as_ref(), file)
        };
        let least = &self.number.as_ref()?.value;
        let usual = &self.usual_number.as_ref()?.value;
        let usual_backing = usual.backing(file);
        let per_area =
            |n: f64, own: &Backing| -> Cited<PerArea> { own.cite(PerArea::from_per_m2(n)) };
        Some(FixingRules {
            key: of(&self.key)?,
            name: of(&self.name)?,
            country: text(self.country.as_ref()),
            document: of(&self.document)?,
            wind_factor: number(&self.wind_factor)?,
            wall_factor: number(&self.wall_factor)?,
            system_factor: number(&self.system_factor)?,
            system_reduction: number(&self.system_reduction)?,
            per_m2_min: per_area(of(&least.min)?, &least.backing(file)),
            per_m2_usual_low: per_area(of(&usual.low)?, &usual_backing),
            per_m2_usual_high: per_area(of(&usual.high)?, &usual_backing),
            site_tests: self.site_tests.as_ref()?.value.complete(file)?,
            bond: self.bonding(file)?,
            placement: self.placing(file)?,
        })
    }

    fn check(rules: &FixingRules) -> Vec<working::Fault> {
        fixing::rules::check(rules, "set")
    }
}
