//! Catalogues anew: on SIGHUP, and when a slow look finds that a file has changed.

use std::path::{Path, PathBuf};

use catalogue::SourceFile;
use tokio::signal::unix::{SignalKind, signal};
use tokio::task::spawn_blocking;
use tokio::time::sleep;
use tracing::{error, info, warn};

use crate::services::Shell;
use crate::settings::{Settings, seconds};
use crate::snapshot::{Snapshot, read_folder};

/// The snapshot to begin with: that of the folder, or the embedded one.
///
/// # Errors
/// The folder cannot be read, or holds no sound catalogue.
pub fn first(settings: &Settings) -> Result<Snapshot, String> {
    let snapshot = match settings.catalogue_folder() {
        None => Snapshot::embedded(),
        Some(folder) => Snapshot::over_embedded(files(&folder)?),
    };
    tell(&snapshot);
    if snapshot.names().next().is_none() {
        return Err("there is no sound catalogue; `catalogue check` tells the faults".to_owned());
    }
    Ok(snapshot)
}

/// Looks for changes for ever. Nothing that it finds takes a good catalogue down.
pub async fn watch(shell: Shell, folder: PathBuf, poll_seconds: u64) {
    let Ok(mut hang_up) = signal(SignalKind::hangup()) else {
        error!("SIGHUP cannot be heard; catalogues are not read anew");
        return;
    };
    let mut known = None;
    loop {
        let pause = seconds(if poll_seconds == 0 {
            1 << 30
        } else {
            poll_seconds
        });
        let told = tokio::select! {
            _ = hang_up.recv() => true,
            () = sleep(pause) => false,
        };
        let place = folder.clone();
        let Ok(Ok(files)) = spawn_blocking(move || files(&place)).await else {
            warn!("the catalogues cannot be read; the last ones stay");
            continue;
        };
        let digest = digest(&files);
        if known.replace(digest) == Some(digest) && !told {
            continue;
        }
        let before = shell.snapshot();
        let Ok(next) =
            spawn_blocking(move || Snapshot::over_embedded(files).or_last_good(&before)).await
        else {
            error!("the catalogues could not be taken up; the last ones stay");
            continue;
        };
        tell(&next);
        shell.replace_snapshot(next);
    }
}

fn files(folder: &Path) -> Result<Vec<SourceFile>, String> {
    read_folder(folder).map_err(|e| format!("{}: {e}", folder.display()))
}

fn digest(files: &[SourceFile]) -> blake3::Hash {
    let mut hasher = blake3::Hasher::new();
    for text in files.iter().flat_map(|f| [&f.path, &f.text]) {
        hasher.update(&(text.len() as u64).to_le_bytes());
        hasher.update(text.as_bytes());
    }
    hasher.finalize()
}

fn tell(snapshot: &Snapshot) {
    for fault in snapshot.faults() {
        warn!(file = fault.file, line = fault.line, "{}", fault.message());
    }
    let stayed: Vec<&str> = snapshot.stayed().collect();
    let taken_up = snapshot.names().filter(|name| !stayed.contains(name));
    let taken_up: Vec<&str> = taken_up.collect();
    info!(catalogues = taken_up.join(","), "catalogues taken up");
    if !stayed.is_empty() {
        let stayed = stayed.join(",");
        warn!(
            catalogues = stayed,
            "catalogues with faults stay as they were"
        );
    }
    if snapshot.rules_stayed() {
        warn!("rule data with faults stay as they were");
    }
}
