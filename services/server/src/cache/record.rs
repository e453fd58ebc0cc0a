//! How a result lies on disk: a head with length and checksum, and chunks that stay below the size at which the store leaks.
//!
//! The head is written last, so that a result whose writing was cut off is a result that is not there.

use blake3::Hash;

/// Largest value stored in one piece. Values above about 150 KB leak disk without bound; 60 KiB leaves room for keys.
pub(super) const CHUNK: usize = 60 << 10;
/// Results above this are not worth their place on disk.
pub(super) const MOST: usize = 8 << 20;
/// The first byte of every head: the format of this file.
const FORMAT: u8 = 1;
const HEAD: usize = 1 + 8 + 16;

/// Why a record is no result.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Unreadable {
    /// It was never written whole. Nothing is wrong.
    Missing,
    /// What is there is not what was written.
    Damaged,
}

/// The key of chunk `at`, or of the head where there is none.
pub(super) fn place(key: &[u8], at: Option<u32>) -> Vec<u8> {
    let mut place = key.to_vec();
    if let Some(at) = at {
        place.extend(at.to_be_bytes());
    }
    place
}

/// The parts of a value in the order in which they are written, the head last.
pub(super) fn parts<'a>(
    key: &[u8],
    value: &'a [u8],
) -> impl Iterator<Item = (Vec<u8>, Vec<u8>)> + use<'a> {
    let key = key.to_vec();
    let mut head = vec![FORMAT];
    head.extend((value.len() as u64).to_be_bytes());
    head.extend(&checksum(&key, value).as_bytes()[..16]);
    let head = (place(&key, None), head);
    let chunks = value.chunks(CHUNK).zip(0u32..);
    chunks
        .map(move |(chunk, at)| (place(&key, Some(at)), chunk.to_vec()))
        .chain([head])
}

/// The value whose head this is; `chunk` gives the chunk of a place.
pub(super) fn join<E>(
    key: &[u8],
    head: &[u8],
    mut chunk: impl FnMut(&[u8]) -> Result<Option<Vec<u8>>, E>,
) -> Result<Result<Vec<u8>, Unreadable>, E> {
    let Some((&FORMAT, rest)) = head.split_first().filter(|_| head.len() == HEAD) else {
        return Ok(Err(Unreadable::Damaged));
    };
    let (length, sum) = rest.split_at(8);
    let length = u64::from_be_bytes(length.try_into().unwrap_or_default());
    let Some(length) = usize::try_from(length).ok().filter(|&n| n <= MOST) else {
        return Ok(Err(Unreadable::Damaged));
    };
    let mut value = Vec::with_capacity(length);
    for at in 0u32.. {
        if value.len() >= length {
            break;
        }
        match chunk(&place(key, Some(at)))? {
            Some(part) if !part.is_empty() => value.extend(part),
            _ => return Ok(Err(Unreadable::Missing)),
        }
    }
    let whole = value.len() == length && checksum(key, &value).as_bytes().starts_with(sum);
    Ok(if whole {
        Ok(value)
    } else {
        Err(Unreadable::Damaged)
    })
}

fn checksum(key: &[u8], value: &[u8]) -> Hash {
    blake3::Hasher::new().update(key).update(value).finalize()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::convert::Infallible;

    use super::*;

    fn stored(value: &[u8]) -> BTreeMap<Vec<u8>, Vec<u8>> {
        parts(b"key", value).collect()
    }
    fn read(store: &BTreeMap<Vec<u8>, Vec<u8>>) -> Result<Vec<u8>, Unreadable> {
        let head = store.get(b"key".as_slice()).ok_or(Unreadable::Missing)?;
        let chunk = |place: &[u8]| Ok::<_, Infallible>(store.get(place).cloned());
        join(b"key", head, chunk).unwrap_or(Err(Unreadable::Damaged))
    }

    #[test]
    fn every_size_round_a_chunk_comes_back() {
        for size in [0, 1, CHUNK - 1, CHUNK, CHUNK + 1, 3 * CHUNK + 7] {
            let value: Vec<u8> = (0..size).map(|i| (i % 251) as u8).collect();
            let store = stored(&value);
            assert!(store.values().all(|part| part.len() <= CHUNK));
            assert_eq!(read(&store), Ok(value));
        }
    }

    #[test]
    fn a_changed_bit_or_a_lost_chunk_is_never_a_value() {
        let value = vec![7u8; 2 * CHUNK];
        let whole = stored(&value);
        for place in whole.keys() {
            let mut damaged = whole.clone();
            if let Some(byte) = damaged.get_mut(place).and_then(|part| part.last_mut()) {
                *byte ^= 1;
            }
            assert_eq!(read(&damaged), Err(Unreadable::Damaged));
            let mut lacking = whole.clone();
            lacking.remove(place);
            assert_eq!(read(&lacking), Err(Unreadable::Missing));
        }
    }
}
