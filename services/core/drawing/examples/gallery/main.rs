//! Writes every kind of drawing to a folder, to be looked at: `cargo run -p drawing --example gallery -- FOLDER`.

mod scenes;

use std::path::Path;

use drawing::{ElevationOptions, Sheet, elevation};

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| ".".into());
    let folder = Path::new(&folder);
    for (name, drawing) in [
        ("house", scenes::house()),
        ("block", scenes::block_of_flats()),
    ] {
        for (layer, options) in [
            ("boards", ElevationOptions::boards()),
            ("anchors", ElevationOptions::anchors()),
            ("reinforcement", ElevationOptions::reinforcement()),
        ] {
            let sheets = elevation(&drawing, &options)
                .map_err(|f| std::io::Error::other(format!("{f:?}")))?;
            write(folder, &format!("{name}-{layer}"), &sheets)?;
        }
    }
    Ok(())
}

fn write(folder: &Path, name: &str, sheets: &[Sheet]) -> std::io::Result<()> {
    for sheet in sheets {
        std::fs::write(
            folder.join(format!("{name}-{}.svg", sheet.number)),
            &sheet.svg,
        )?;
    }
    Ok(())
}
