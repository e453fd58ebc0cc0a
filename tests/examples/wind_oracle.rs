//! Answers sites on standard input for the comparison with an independent library: one line `set,terrain,velocity,orography,height` a site, one
//! line `peak pressure,mean velocity,turbulence intensity` an answer, in SI units with all digits.

#[path = "../tests/fixing_reading/mod.rs"]
mod fixing_reading;

use std::io::{BufRead, Write};

use fixing::wind::{EnWind, Site};
use quantity::{Length, WindSpeed};
use working::Sheet;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let sets = fixing_reading::wind_sets();
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let line = line?;
        let fields: Vec<&str> = line.split(',').collect();
        let &[set, terrain, velocity, orography, height] = fields.as_slice() else {
            return Err(format!("five fields expected: {line}").into());
        };
        let site = Site {
            velocity: Some(WindSpeed::from_m_per_s(velocity.parse()?)),
            terrain: terrain.into(),
            orography: orography.parse()?,
            ..Site::default()
        };
        let national = sets.get(set).ok_or("unknown set")?;
        let code = EnWind {
            national,
            site: &site,
            path: "wind",
        };
        let mut sheet = Sheet::new();
        let found = code
            .peak_pressure(Length::from_m(height.parse()?), &mut sheet)
            .map_err(|faults| faults.first().map_or_else(String::new, ToString::to_string))?;
        let lines = sheet.lines();
        let symbol = |name: &str| {
            lines
                .iter()
                .find(|l| l.symbol == name)
                .map_or(f64::NAN, |l| l.value)
        };
        writeln!(
            out,
            "{:e},{:e},{:e}",
            found.peak.value.as_pa(),
            symbol("v_m"),
            symbol("I_v")
        )?;
    }
    Ok(())
}
