//! Writes every kind of drawing to a folder, to be looked at: `cargo run -p drawing --example gallery -- FOLDER`.

mod plots;
mod scenes;

use std::error::Error;
use std::path::Path;

use drawing::{
    ElevationOptions, Sheet, condensate_plot, cost_plot, cutting_sheets, drying_plot, elevation,
    isotherm_plot, utilisation_picture, wall_profile,
};

fn main() -> Result<(), Box<dyn Error>> {
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
            let sheets = elevation(&drawing, &options).map_err(said)?;
            write(folder, &format!("{name}-{layer}"), &sheets)?;
        }
        let sheets = utilisation_picture(&drawing).map_err(said)?;
        write(folder, &format!("{name}-utilisation"), &sheets)?;
    }
    for boards in [7, 60] {
        let sheets = cutting_sheets(&plots::cutting(boards)).map_err(said)?;
        write(folder, &format!("cutting-{boards}"), &sheets)?;
    }
    for (name, svg) in [
        ("wall", wall_profile(&plots::wall())),
        ("condensate", condensate_plot(&plots::condensate())),
        ("corner", isotherm_plot(&plots::corner())),
        ("cost", cost_plot(&plots::cost())),
        ("drying", drying_plot(&plots::drying())),
    ] {
        std::fs::write(folder.join(format!("plot-{name}.svg")), svg.map_err(said)?)?;
    }
    Ok(())
}

fn said(faults: impl std::fmt::Debug) -> String {
    format!("{faults:?}")
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
