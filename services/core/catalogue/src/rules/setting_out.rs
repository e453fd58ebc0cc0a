//! `rules/setting-out/*.toml`

use alloc::string::String;
use alloc::vec::Vec;

use quantity::Mm;
use setting_out::{CornerPieces, Rules};

use crate::complete::of;
use crate::fault::Found;
use crate::rules::file::{RuleEntry, rule_file};
use crate::source::Located;

rule_file! {
    /// A setting-out rule set for boards.
    SettingOutEntry {
        /// Least distance of vertical joints in courses that lie on each other.
        stagger: Mm = "stagger-mm", Optional, 0..=1000;
        /// Least width of any piece.
        min_piece_width: Mm = "min-piece-width-mm", Optional, 1..=1000;
        /// Least height of any piece.
        min_piece_height: Mm = "min-piece-height-mm", Optional, 1..=1000;
        /// Least width on its own wall of a piece at a toothed corner; left out: whole boards and half boards only.
        corner_piece_min: Mm = "corner-piece-min-width-mm", Optional, 1..=2000;
        /// Least distance of a vertical joint from a jamb.
        opening_keep_out: Mm = "opening-keep-out-mm", Optional, 0..=1000;
        /// Least distance of a course line from a sill or a lintel.
        course_line_clear: Mm = "course-line-clear-mm", Optional, 0..=1000;
        /// By how much a board covers a crack to each side.
        crack_overlap: Mm = "crack-overlap-mm", Optional, 0..=1000;
    }
}

impl RuleEntry for SettingOutEntry {
    type Rules = Rules;

    fn key(&self) -> Option<&Located<String>> {
        self.key.as_ref()
    }

    fn complete(&self, _found: &mut Vec<Found>) -> Option<Rules> {
        let usual = Rules::default();
        let corner = of(&self.corner_piece_min).map(CornerPieces::AtLeast);
        Some(Rules {
            stagger: of(&self.stagger).unwrap_or(usual.stagger),
            min_piece_width: of(&self.min_piece_width).unwrap_or(usual.min_piece_width),
            min_piece_height: of(&self.min_piece_height).unwrap_or(usual.min_piece_height),
            corner_pieces: corner.unwrap_or(usual.corner_pieces),
            opening_keep_out: of(&self.opening_keep_out).unwrap_or(usual.opening_keep_out),
            course_line_clear: of(&self.course_line_clear).unwrap_or(usual.course_line_clear),
            crack_overlap: of(&self.crack_overlap).unwrap_or(usual.crack_overlap),
        })
    }
}
