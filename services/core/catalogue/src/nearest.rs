//! The name that was probably meant.

use alloc::vec::Vec;

/// The candidate nearest to `name` by edit distance, where it is near enough to be a slip of the hand:
/// at most a third of the name's length, at least one edit. Ties go to the first candidate.
pub(crate) fn nearest<'a>(name: &str, among: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // Longer names are no slips; the limit keeps the quadratic comparison small.
    const LONGEST: usize = 80;
    if name.len() > LONGEST {
        return None;
    }
    let limit = (name.chars().count() / 3).max(1);
    let mut best: Option<(usize, &str)> = None;
    for candidate in among {
        if candidate.len() > LONGEST {
            continue;
        }
        let distance = edits(name, candidate);
        if distance <= limit && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// How many characters must be put in, taken out or changed (Levenshtein).
fn edits(from: &str, to: &str) -> usize {
    let to: Vec<char> = to.chars().collect();
    let mut row: Vec<usize> = (0..=to.len()).collect();
    for (i, a) in from.chars().enumerate() {
        let mut left = i + 1;
        let mut next = alloc::vec![left];
        for (b, pair) in to.iter().zip(row.windows(2)) {
            let (diagonal, above) = match *pair {
                [d, u] => (d, u),
                _ => (0, 0),
            };
            left = (diagonal + usize::from(a != *b))
                .min(above + 1)
                .min(left + 1);
            next.push(left);
        }
        row = next;
    }
    row.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_agree_with_hand_counts() {
        assert_eq!(edits("kitten", "sitting"), 3); // the textbook pair
        assert_eq!(edits("", "abc"), 3);
        assert_eq!(edits("price", "price"), 0);
    }

    #[test]
    fn only_slips_are_offered() {
        assert_eq!(nearest("prise", ["source", "price"]), Some("price"));
        assert_eq!(nearest("colour", ["source", "price"]), None);
    }
}
