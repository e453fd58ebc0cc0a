//! Lettering: escaping, heights and widths. Heights are those of capital letters, as ISO 3098-1 counts them.

use alloc::string::String;

use working::words_that_stay;

/// Height of a capital letter on paper, from the series of ISO 3098-1. Nothing smaller is ever written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lettering {
    /// 1.8 mm: piece numbers, dimensions, lists.
    Small,
    /// 2.5 mm: legends, axes, title block.
    Plain,
    /// 3.5 mm: titles.
    Large,
}

impl Lettering {
    /// Height of a capital in millimetres.
    pub const fn height_mm(self) -> f64 {
        match self {
            Self::Small => 1.8,
            Self::Plain => 2.5,
            Self::Large => 3.5,
        }
    }

    /// The font size that gives at least this height of capitals in common sans-serif faces, whose capitals are at least 0.71 of the size
    /// (common practice, no source).
    pub const fn font_size_mm(self) -> f64 {
        match self {
            Self::Small => 2.6,
            Self::Plain => 3.55,
            Self::Large => 5.0,
        }
    }

    /// A width that the text does not exceed in a wide common sans-serif face, in millimetres.
    pub fn width_mm(self, text: &str) -> f64 {
        text.chars().map(advance).sum::<f64>() * self.font_size_mm()
    }

    /// The text if it fits the width, else its beginning with an ellipsis.
    pub fn fitted(self, text: &str, width_mm: f64) -> String {
        if self.width_mm(text) <= width_mm {
            return String::from(text);
        }
        let room = width_mm / self.font_size_mm() - advance('…');
        let mut used = 0.0;
        let mut kept = String::new();
        for c in text.chars() {
            used += advance(c);
            if used > room {
                break;
            }
            kept.push(c);
        }
        kept.push('…');
        kept
    }
}

/// Advance of a character as a share of the font size, on the wide side.
fn advance(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | ' ' | '!' => 0.34,
        'f' | 't' | 'r' | '(' | ')' | '[' | ']' | '/' | '-' => 0.42,
        'm' | 'M' | '@' | '%' | '…' => 1.0,
        'w' | 'W' => 0.99,
        '0'..='9' | 'a'..='z' => 0.64,
        'A'..='Z' => 0.78,
        c if c.is_ascii() => 0.84,
        '·' | '\u{a0}' => 0.34,
        '\u{300}'..='\u{36f}' => 0.0,
        c if (c as u32) < 0x2000 => 0.9,
        _ => 1.1,
    }
}

/// Appends text with everything escaped that XML gives a meaning; characters that XML 1.0 forbids become U+FFFD.
pub(crate) fn escape_into(out: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\u{0}'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => {
                out.push('\u{fffd}');
            }
            // Marks that reverse the reading order could make a sheet read other than it is written.
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
}

/// Breaks a text into lines no wider than the width; a word that is too wide is cut. A no-break space keeps words together, and a number
/// stays with its unit.
pub(crate) fn wrapped(lettering: Lettering, text: &str, width_mm: f64) -> alloc::vec::Vec<String> {
    let mut lines = alloc::vec::Vec::new();
    let mut line = String::new();
    let mut used = 0.0;
    for word in words_that_stay(text) {
        let wide = lettering.width_mm(&word);
        let gap = if line.is_empty() {
            0.0
        } else {
            lettering.width_mm(" ")
        };
        if !line.is_empty() && used + gap + wide > width_mm {
            lines.push(core::mem::take(&mut line));
            used = 0.0;
        } else if !line.is_empty() {
            line.push(' ');
            used += gap;
        }
        for c in word.chars() {
            let next = advance(c) * lettering.font_size_mm();
            if used + next > width_mm && !line.is_empty() {
                lines.push(core::mem::take(&mut line));
                used = 0.0;
            }
            line.push(c);
            used += next;
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}
