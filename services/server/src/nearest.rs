//! The names that were probably meant.

/// The most names that are offered.
const OFFERED: usize = 3;

/// The known names nearest to `name` by edit distance, best first; ties in the order given. A name that lacks but its kind is at no distance.
pub fn nearest<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let bare = name;
    let lacks_kind = |of: &str| of.split_once('.').is_some_and(|(_, rest)| rest == bare);
    let name: Vec<char> = name.chars().take(80).collect();
    let limit = (name.len() / 2).max(2);
    let mut found: Vec<(usize, &str)> = known
        .into_iter()
        .map(|candidate| {
            let distance = if lacks_kind(candidate) {
                0
            } else {
                edits(&name, candidate)
            };
            (distance, candidate)
        })
        .filter(|(distance, _)| *distance <= limit)
        .collect();
    found.sort_by_key(|(distance, _)| *distance);
    found.truncate(OFFERED);
    found.into_iter().map(|(_, name)| name).collect()
}

/// How many characters must be put in, taken out or changed.
fn edits(from: &[char], to: &str) -> usize {
    let to: Vec<char> = to.chars().take(80).collect();
    let mut row: Vec<usize> = (0..=to.len()).collect();
    for (i, a) in from.iter().enumerate() {
        let mut next = vec![i + 1];
        let mut left = i + 1;
        for (b, pair) in to.iter().zip(row.windows(2)) {
            let &[diagonal, above] = pair else { continue };
            left = (diagonal + usize::from(a != b))
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
    fn a_slip_of_the_hand_finds_its_name() {
        let known = ["eps-white", "eps-grey", "mineral-wool"];
        assert_eq!(nearest("eps-wite", known), ["eps-white", "eps-grey"]);
        assert!(nearest("zzzzzz", known).is_empty());
    }

    #[test]
    fn a_name_without_its_kind_finds_every_kind_of_it() {
        let known = ["board.cork", "board.eps-white", "plug.eps-white"];
        assert_eq!(
            nearest("eps-white", known),
            ["board.eps-white", "plug.eps-white"]
        );
    }

    #[test]
    fn distance_is_that_of_the_textbook_pair() {
        let kitten: Vec<char> = "kitten".chars().collect();
        assert_eq!(edits(&kitten, "sitting"), 3);
    }
}
