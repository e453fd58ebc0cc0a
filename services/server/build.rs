//! Two facts of the build: the catalogues that are embedded, and a fingerprint of every source that an answer depends on.
//!
//! The fingerprint stands in the engine version and in every key of the result cache, so that a changed formula never meets an answer
//! that another build computed.

use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

fn main() -> Result<(), Box<dyn Error>> {
    let here = PathBuf::from(std::env::var("CARGO_MANIFEST_DIR")?);
    let root = here.join("../..").canonicalize()?;
    let out = PathBuf::from(std::env::var("OUT_DIR")?);

    let catalogues = root.join("catalogues");
    println!("cargo:rerun-if-changed={}", catalogues.display());
    let mut listing = String::from(
        "/// Every embedded file by its path from the root of the catalogues.\npub const FILES: &[(&str, &str)] = &[\n",
    );
    for path in files(&catalogues, "toml")? {
        let label = label(&path, &catalogues)?;
        writeln!(
            listing,
            "    ({label:?}, include_str!({:?})),",
            path.display().to_string()
        )?;
    }
    listing.push_str("];\n");
    fs::write(out.join("embedded.rs"), listing)?;

    let mut hasher = blake3::Hasher::new();
    for source in [
        "services/core",
        "services/api/build.rs",
        "services/server/src",
        "proto",
    ] {
        let source = root.join(source);
        println!("cargo:rerun-if-changed={}", source.display());
        for path in files(&source, "rs")?
            .into_iter()
            .chain(files(&source, "proto")?)
        {
            hasher.update(label(&path, &root)?.as_bytes());
            hasher.update(&[0]);
            hasher.update(&fs::read(&path)?);
        }
    }
    let hex = hasher.finalize().to_hex();
    println!("cargo:rustc-env=ETICS_FINGERPRINT={}", &hex.as_str()[..12]);
    Ok(())
}

/// The path from `root` with `/` on every platform.
fn label(path: &Path, root: &Path) -> Result<String, Box<dyn Error>> {
    Ok(path
        .strip_prefix(root)?
        .display()
        .to_string()
        .replace('\\', "/"))
}

/// Every file below `from` with that ending, in the order of their paths.
fn files(from: &Path, ending: &str) -> Result<Vec<PathBuf>, Box<dyn Error>> {
    let mut found = Vec::new();
    let mut open = vec![from.to_path_buf()];
    while let Some(path) = open.pop() {
        if path.is_dir() {
            for entry in fs::read_dir(&path)? {
                open.push(entry?.path());
            }
        } else if path.extension().is_some_and(|e| e == ending) {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}
