//! The result cache: memory in front, disk behind. A result is the bytes of an answer; losing one costs time and nothing else.

mod disk;
mod record;

use std::future::Future;
use std::path::Path;
use std::sync::Arc;

use moka::future::Cache;

pub use disk::Disk;

use crate::refused::Refused;

/// What identifies a result: the kind of call, and a hash of everything that the answer depends on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Key([u8; 33]);

/// Everything that an answer depends on. The request is in the form that this program encodes, whatever form it came in.
pub struct Ingredients<'a> {
    /// Which call.
    pub kind: u8,
    /// The request, encoded here.
    pub request: &'a [u8],
    /// Revision of the catalogue that it is resolved in.
    pub catalogue_revision: &'a str,
    /// Revision of the rule data.
    pub rules_revision: &'a str,
    /// The engine.
    pub engine_version: &'a str,
}

impl Key {
    /// The key of a result.
    pub fn of(ingredients: &Ingredients<'_>) -> Self {
        let mut hasher = blake3::Hasher::new();
        let parts = [
            ingredients.engine_version.as_bytes(),
            ingredients.catalogue_revision.as_bytes(),
            ingredients.rules_revision.as_bytes(),
            ingredients.request,
        ];
        // Each part behind its length, so that no two lists of parts are the same bytes.
        for part in parts {
            hasher.update(&(part.len() as u64).to_le_bytes());
            hasher.update(part);
        }
        let mut key = [ingredients.kind; 33];
        for (to, from) in key.iter_mut().skip(1).zip(hasher.finalize().as_bytes()) {
            *to = *from;
        }
        Self(key)
    }
    fn bytes(&self) -> &[u8] {
        &self.0
    }
}

/// Memory in front, disk behind.
#[derive(Clone)]
pub struct ResultCache {
    memory: Cache<Key, Arc<[u8]>>,
    disk: Option<Arc<Disk>>,
}

impl ResultCache {
    /// A cache with so many bytes in memory, and a disk layer where a folder is named.
    pub fn open(ram_bytes: u64, folder: Option<&Path>, disk_bytes: u64) -> Self {
        let weigh =
            |_: &Key, value: &Arc<[u8]>| u32::try_from(value.len() + 128).unwrap_or(u32::MAX);
        let disk = folder.and_then(|f| Disk::open(f, disk_bytes));
        Self {
            memory: Cache::builder()
                .max_capacity(ram_bytes)
                .weigher(weigh)
                .build(),
            disk: disk.map(Arc::new),
        }
    }

    /// What is in memory.
    pub async fn remembered(&self, key: &Key) -> Option<Arc<[u8]>> {
        self.memory.get(key).await
    }

    /// The result of `computing`, which runs once however many callers ask at the same time. Where the first of them gives up, the next
    /// takes over.
    ///
    /// # Errors
    /// Those of `computing`; refusals are not kept.
    pub async fn once(
        &self,
        key: Key,
        computing: impl Future<Output = Result<Arc<[u8]>, Refused>>,
    ) -> Result<Arc<[u8]>, Refused> {
        let result = self.memory.try_get_with(key, computing).await;
        result.map_err(|refused| Refused::clone(&refused))
    }

    /// The result from disk, or that of `compute`, which is then kept there. Runs on a computing thread.
    ///
    /// # Errors
    /// Those of `compute`.
    pub fn on_disk_or(
        &self,
        key: &Key,
        compute: impl FnOnce() -> Result<Vec<u8>, Refused>,
    ) -> Result<Arc<[u8]>, Refused> {
        let Some(disk) = &self.disk else {
            return compute().map(Arc::from);
        };
        if let Some(value) = disk.get(key.bytes()) {
            return Ok(Arc::from(value));
        }
        let value = compute()?;
        disk.put(key.bytes(), &value);
        Ok(Arc::from(value))
    }

    /// Writes what is not yet on disk.
    pub fn flush(&self) {
        if let Some(disk) = &self.disk {
            disk.flush();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_ingredient_changes_the_key() {
        let base = || Ingredients {
            kind: 1,
            request: b"ab",
            catalogue_revision: "c",
            rules_revision: "",
            engine_version: "e",
        };
        let keys = [
            Key::of(&base()),
            Key::of(&Ingredients { kind: 2, ..base() }),
            Key::of(&Ingredients {
                request: b"b",
                ..base()
            }),
            Key::of(&Ingredients {
                catalogue_revision: "",
                rules_revision: "c",
                ..base()
            }),
            Key::of(&Ingredients {
                engine_version: "ec",
                catalogue_revision: "",
                ..base()
            }),
        ];
        for (i, key) in keys.iter().enumerate() {
            assert!(keys.iter().skip(i + 1).all(|other| other != key));
        }
        assert_eq!(Key::of(&base()), Key::of(&base()));
    }
}
