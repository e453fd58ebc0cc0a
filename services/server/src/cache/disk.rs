//! The disk layer: two generations of a sled database in a versioned folder, each disposable.
//!
//! Nothing here ever fails a call. A damaged generation is put aside and begun anew; after a write error the layer only reads until a
//! back-off has passed; where another process holds the folder there is no disk layer. When the newer generation has grown to half the
//! bound, the older one is deleted as a folder, which is the only way in which space comes back for certain.

use std::fs::{self, File, TryLockError};
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use tracing::{info, warn};

use super::record::{MOST, Unreadable, join, parts, place};

/// The version of the folder's layout. Another version lives in another folder.
const VERSION: &str = "v1";
/// Results written between two looks at the size on disk.
const BETWEEN_LOOKS: u32 = 64;
const FIRST_PAUSE: Duration = Duration::from_secs(5);
const LONGEST_PAUSE: Duration = Duration::from_secs(300);
const STORE_CACHE_BYTES: u64 = 16 << 20;

/// The disk layer.
pub struct Disk {
    root: PathBuf,
    most_bytes: u64,
    state: Mutex<State>,
    /// Held as long as this process owns the folder; the system lets go of it when the process dies.
    _lock: File,
}

struct State {
    newer: Option<Generation>,
    older: Option<Generation>,
    written: u32,
    /// Set while nothing is written: until when, and how long the next pause will be.
    pause: Option<(Instant, Duration)>,
}

#[derive(Clone)]
struct Generation {
    number: u32,
    store: sled::Db,
}

/// What went wrong with a store.
enum Broken {
    /// Its content cannot be trusted.
    Damaged(String),
    /// The disk refused.
    Disk(String),
}

/// Runs a store's function and sorts its error; a panic inside counts as damage.
fn guarded<T>(run: impl FnOnce() -> sled::Result<T>) -> Result<T, Broken> {
    match catch_unwind(AssertUnwindSafe(run)) {
        Ok(Ok(value)) => Ok(value),
        Ok(Err(sled::Error::Io(e))) => Err(Broken::Disk(e.to_string())),
        Ok(Err(e)) => Err(Broken::Damaged(e.to_string())),
        Err(_) => Err(Broken::Damaged("the store panicked".to_owned())),
    }
}

impl Disk {
    /// The disk layer in a folder, or none where the folder cannot be used; the log says why.
    pub fn open(folder: &Path, most_bytes: u64) -> Option<Self> {
        let root = folder.join(VERSION);
        let lock = match own(&root) {
            Ok(Some(lock)) => lock,
            Ok(None) => {
                warn!(folder = %root.display(), "another process holds the cache; running without a disk layer");
                return None;
            }
            Err(error) => {
                warn!(folder = %root.display(), %error, "the cache cannot be used; running without a disk layer");
                return None;
            }
        };
        let mut numbers = generations(&root);
        let newest = numbers.pop();
        let older = numbers.pop().and_then(|n| open_or_renew(&root, n));
        for number in numbers {
            discard(&root, number);
        }
        let newer = open_or_renew(&root, newest.unwrap_or(1));
        let pause = newer
            .is_none()
            .then(|| (Instant::now() + FIRST_PAUSE, FIRST_PAUSE));
        let state = State {
            newer,
            older,
            written: 0,
            pause,
        };
        Some(Self {
            root,
            most_bytes,
            state: Mutex::new(state),
            _lock: lock,
        })
    }

    /// A result, where it is there and whole.
    pub fn get(&self, key: &[u8]) -> Option<Vec<u8>> {
        let (newer, older) = {
            let state = self.state();
            (state.newer.clone(), state.older.clone())
        };
        if let Some(value) = newer.and_then(|g| self.read(&g, key)) {
            return Some(value);
        }
        let value = self.read(&older?, key)?;
        // What is still asked for moves on with the newer generation.
        self.put(key, &value);
        Some(value)
    }

    /// Keeps a result, if the disk lets it.
    pub fn put(&self, key: &[u8], value: &[u8]) {
        if value.len() > MOST {
            return;
        }
        let Some(generation) = self.writable() else {
            return;
        };
        let written = parts(key, value).try_for_each(|(place, part)| {
            guarded(|| generation.store.insert(place, part)).map(drop)
        });
        match written {
            Ok(()) => self.state().pause = None,
            Err(Broken::Damaged(why)) => return self.quarantine(&generation, &why),
            Err(Broken::Disk(why)) => return self.rest(&why),
        }
        let look = {
            let mut state = self.state();
            state.written += 1;
            state.written.is_multiple_of(BETWEEN_LOOKS)
        };
        if look {
            self.turn_over(&generation);
        }
    }

    /// Writes what is not yet on disk.
    pub fn flush(&self) {
        let newer = self.state().newer.clone();
        if let Some(Err(Broken::Disk(why))) = newer.map(|g| guarded(|| g.store.flush())) {
            self.rest(&why);
        }
    }

    fn state(&self) -> std::sync::MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn read(&self, generation: &Generation, key: &[u8]) -> Option<Vec<u8>> {
        let get = |place: &[u8]| guarded(|| Ok(generation.store.get(place)?.map(|v| v.to_vec())));
        let found = get(&place(key, None)).and_then(|head| match head {
            Some(head) => join(key, &head, get),
            None => Ok(Err(Unreadable::Missing)),
        });
        match found {
            Ok(Ok(value)) => Some(value),
            Ok(Err(Unreadable::Missing)) | Err(Broken::Disk(_)) => None,
            Ok(Err(Unreadable::Damaged)) => {
                self.quarantine(generation, "a result does not match its checksum");
                None
            }
            Err(Broken::Damaged(why)) => {
                self.quarantine(generation, &why);
                None
            }
        }
    }

    /// The generation to write to; none during a pause. After a pause the store is opened anew, because a handle that met a full disk
    /// stays broken.
    fn writable(&self) -> Option<Generation> {
        let mut state = self.state();
        let Some((until, _)) = state.pause else {
            return state.newer.clone();
        };
        if Instant::now() < until {
            return None;
        }
        let number = state.newer.take().map_or(1, |g| g.number);
        state.newer = open_or_renew(&self.root, number);
        if state.newer.is_none() {
            drop(state);
            self.rest("the store cannot be opened");
            return None;
        }
        state.newer.clone()
    }

    /// Writes nothing for a while, twice as long as the last time.
    fn rest(&self, why: &str) {
        let mut state = self.state();
        let length = state
            .pause
            .map_or(FIRST_PAUSE, |(_, last)| (last * 2).min(LONGEST_PAUSE));
        state.pause = Some((Instant::now() + length, length));
        warn!(
            why,
            seconds = length.as_secs(),
            "the cache does not write for a while"
        );
    }

    /// Puts a damaged generation aside and begins another.
    fn quarantine(&self, damaged: &Generation, why: &str) {
        let mut state = self.state();
        let is = |g: &Option<Generation>| g.as_ref().is_some_and(|g| g.number == damaged.number);
        if is(&state.older) {
            state.older = None;
            put_aside(&self.root, damaged.number);
        } else if is(&state.newer) {
            state.newer = None;
            put_aside(&self.root, damaged.number);
            state.newer = open_or_renew(&self.root, damaged.number.saturating_add(1));
        } else {
            return; // another thread saw it first
        }
        warn!(
            why,
            generation = damaged.number,
            "a damaged part of the cache was put aside"
        );
    }

    /// Begins another generation where the newer one has grown to half the bound.
    fn turn_over(&self, full: &Generation) {
        let size = guarded(|| full.store.size_on_disk()).unwrap_or(0);
        if size < self.most_bytes / 2 {
            return;
        }
        let mut state = self.state();
        if state.newer.as_ref().is_none_or(|g| g.number != full.number) {
            return;
        }
        let Some(next) = open_or_renew(&self.root, full.number.saturating_add(1)) else {
            return;
        };
        if let Some(oldest) = state.older.take() {
            let number = oldest.number;
            drop(oldest);
            discard(&self.root, number);
        }
        state.older = state.newer.replace(next);
        info!(bytes = size, "the cache begins another generation");
    }
}

/// The lock of the folder, or nothing where another process has it.
fn own(root: &Path) -> io::Result<Option<File>> {
    fs::create_dir_all(root)?;
    let lock = File::create(root.join("lock"))?;
    match lock.try_lock() {
        Ok(()) => Ok(Some(lock)),
        Err(TryLockError::WouldBlock) => Ok(None),
        Err(TryLockError::Error(error)) => Err(error),
    }
}

/// The numbers of the generations on disk, in ascending order.
fn generations(root: &Path) -> Vec<u32> {
    let entries = fs::read_dir(root).into_iter().flatten().flatten();
    let names = entries.filter_map(|e| e.file_name().into_string().ok());
    let mut numbers: Vec<u32> = names
        .filter_map(|n| n.strip_prefix("generation-")?.parse().ok())
        .collect();
    numbers.sort_unstable();
    numbers
}

fn path_of(root: &Path, number: u32) -> PathBuf {
    root.join(format!("generation-{number}"))
}

/// Opens a generation; one that cannot be opened for its content is put aside and begun anew.
fn open_or_renew(root: &Path, number: u32) -> Option<Generation> {
    for _ in 0..2 {
        let path = path_of(root, number);
        let config = sled::Config::new()
            .path(&path)
            .cache_capacity(STORE_CACHE_BYTES)
            .flush_every_ms(Some(1000));
        match guarded(|| config.open()) {
            Ok(store) => return Some(Generation { number, store }),
            Err(Broken::Damaged(why) | Broken::Disk(why)) => {
                warn!(
                    why,
                    generation = number,
                    "a part of the cache cannot be opened and is put aside"
                );
                put_aside(root, number);
            }
        }
    }
    None
}

/// Renames a generation out of the way; only the last one put aside is kept.
fn put_aside(root: &Path, number: u32) {
    let aside = root.join("quarantine");
    let _ = fs::remove_dir_all(&aside);
    if fs::rename(path_of(root, number), &aside).is_err() {
        discard(root, number);
    }
}

fn discard(root: &Path, number: u32) {
    if let Err(error) = fs::remove_dir_all(path_of(root, number)) {
        warn!(%error, generation = number, "an old part of the cache cannot be deleted");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A folder of its own for each test, gone with it.
    struct Scratch(PathBuf);
    impl Scratch {
        fn new(name: &str) -> Self {
            let path =
                std::env::temp_dir().join(format!("etics-cache-{name}-{}", std::process::id()));
            let _ = fs::remove_dir_all(&path);
            Self(path)
        }
    }
    impl Drop for Scratch {
        fn drop(&mut self) {
            let _ = fs::remove_dir_all(&self.0);
        }
    }

    fn value(seed: u8, size: usize) -> Vec<u8> {
        (0..size).map(|i| (i % 241) as u8 ^ seed).collect()
    }

    #[test]
    fn a_result_outlives_the_process_handle() {
        let scratch = Scratch::new("outlives");
        let disk = Disk::open(&scratch.0, 64 << 20).unwrap();
        disk.put(b"small", b"answer");
        disk.put(b"large", &value(1, 300_000));
        disk.flush();
        drop(disk);
        let disk = Disk::open(&scratch.0, 64 << 20).unwrap();
        assert_eq!(disk.get(b"small").as_deref(), Some(b"answer".as_slice()));
        assert_eq!(disk.get(b"large"), Some(value(1, 300_000)));
        assert_eq!(disk.get(b"absent"), None);
    }

    #[test]
    fn a_folder_in_use_is_left_alone() {
        let scratch = Scratch::new("in-use");
        let _first = Disk::open(&scratch.0, 64 << 20).unwrap();
        assert!(Disk::open(&scratch.0, 64 << 20).is_none());
    }

    #[test]
    fn damage_is_put_aside_and_never_a_wrong_value() {
        let scratch = Scratch::new("damage");
        let disk = Disk::open(&scratch.0, 64 << 20).unwrap();
        for i in 0..40u8 {
            disk.put(&[b'k', i], &value(i, 20_000));
        }
        disk.flush();
        drop(disk);
        let file = scratch.0.join(VERSION).join("generation-1").join("db");
        let mut bytes = fs::read(&file).unwrap();
        for at in (2_000..bytes.len()).step_by(5_003) {
            bytes[at] ^= 0x5a;
        }
        fs::write(&file, bytes).unwrap();
        let disk = Disk::open(&scratch.0, 64 << 20).unwrap();
        for i in 0..40u8 {
            let got = disk.get(&[b'k', i]);
            assert!(got.is_none() || got == Some(value(i, 20_000)));
        }
        disk.put(b"after", b"works");
        assert_eq!(disk.get(b"after").as_deref(), Some(b"works".as_slice()));
    }

    #[test]
    fn disk_use_is_bounded_by_generations() {
        let scratch = Scratch::new("bounded");
        let most = 8 << 20;
        let disk = Disk::open(&scratch.0, most).unwrap();
        for i in 0..1500u32 {
            disk.put(&i.to_be_bytes(), &value(i as u8, 30_000));
        }
        disk.flush();
        assert!(generations(&disk.root).len() <= 2);
        assert!(
            generations(&disk.root).last() > Some(&2),
            "generations turn over"
        );
        assert_eq!(
            disk.get(&1499u32.to_be_bytes()),
            Some(value((1499 % 256) as u8, 30_000))
        );
        assert_eq!(disk.get(&0u32.to_be_bytes()), None);
    }
}
