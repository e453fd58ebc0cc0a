//! The bare arithmetic of monthly moisture: the taut string of vapour pressure under the saturation curve, and what gathers and dries at
//! its contacts. It serves the sheet and the batch alike.
//!
//! The string from the inner to the outer vapour pressure is the greatest convex curve that nowhere passes saturation. A plane that
//! is wet holds the string at saturation. At every contact the flow in less the flow out gathers, or dries.

use alloc::vec::Vec;

use standards::iso_13788::saturation_pa;

/// Amounts below this in a month, kg/m2, are the last digit of the arithmetic and not condensate.
pub(crate) const NEGLIGIBLE: f64 = 1e-9;

/// A pressure above every saturation pressure of a building, Pa; it stands at points that no string comes to, and they take no part.
pub(crate) const UNREACHED: f64 = 1e6;

/// The points of a wall between which vapour flows: surfaces, interfaces and subdivisions.
#[derive(Clone, Debug, Default)]
pub(crate) struct Grid {
    /// The diffusion-equivalent air layer from the inner surface to each point, m; rises from 0.
    pub s: Vec<f64>,
    /// The share of the resistance from the room to each point in the whole.
    pub share: Vec<f64>,
    /// The vapour permeability of air.
    pub permeability: f64,
}

/// The air of one month on both sides.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Air {
    pub inside_celsius: f64,
    pub outside_celsius: f64,
    pub inside_pa: f64,
    pub outside_pa: f64,
    pub seconds: f64,
}

/// One month's curve and string; kept between months so that nothing is allocated again.
#[derive(Clone, Debug, Default)]
pub(crate) struct Curve {
    /// Saturation pressure at each point, clipped to the air's pressure at the two surfaces.
    pub pressure: Vec<f64>,
    /// The points at which the string bends or is held, from the inner to the outer surface.
    pub string: Vec<usize>,
    /// The rate at each of them, kg/(m2 s); 0 at the surfaces.
    pub rate: Vec<f64>,
}

impl Curve {
    /// The saturation curve of a month.
    pub fn saturate(&mut self, grid: &Grid, air: &Air) {
        let fall = air.inside_celsius - air.outside_celsius;
        self.pressure.clear();
        self.pressure.extend(
            grid.share
                .iter()
                .map(|share| saturation_pa(air.inside_celsius - fall * share)),
        );
        if let Some(first) = self.pressure.first_mut() {
            *first = libm::fmin(*first, air.inside_pa);
        }
        if let Some(last) = self.pressure.last_mut() {
            *last = libm::fmin(*last, air.outside_pa);
        }
    }
    /// The string with these planes wet, and the rates at its bends. `mass` has one entry a point.
    pub fn pull(&mut self, grid: &Grid, mass: &[f64]) {
        let (s, p) = (grid.s.as_slice(), self.pressure.as_slice());
        let string = &mut self.string;
        string.clear();
        let last = s.len().saturating_sub(1);
        let mut held = 0;
        let place = |k: usize| (s[k], p[k]);
        // The last two bends, so that they are looked up only where one is let go.
        let (mut a, mut b) = ((0.0, 0.0), (0.0, 0.0));
        for (k, (s_k, p_k)) in s.iter().zip(p).enumerate() {
            if *p_k >= UNREACHED {
                continue;
            }
            while string.len() > held + 1 {
                // The point b lies on or above the chord from a to k: the string does not touch it.
                if (b.1 - a.1) * (s_k - a.0) < (p_k - a.1) * (b.0 - a.0) {
                    break;
                }
                string.pop();
                b = a;
                if let [.., before, _] = string.as_slice() {
                    a = place(*before);
                }
            }
            string.push(k);
            (a, b) = (b, (*s_k, *p_k));
            if mass.get(k).is_some_and(|m| *m > 0.0) && k != 0 && k != last {
                held = string.len() - 1;
            }
        }
        self.rate.clear();
        self.rate.push(0.0);
        let mut before: Option<(f64, f64)> = None;
        for pair in string.windows(2) {
            let &[from, to] = pair else { continue };
            let (from, to) = (place(from), place(to));
            let length = to.0 - from.0;
            let falls = (from.1 - to.1) / length;
            if let Some((length_before, falls_before)) = before {
                let rate = if length_before > 0.0 && length > 0.0 {
                    grid.permeability * (falls_before - falls)
                } else {
                    0.0
                };
                self.rate.push(rate);
            }
            before = Some((length, falls));
        }
        if string.len() > 1 {
            self.rate.push(0.0);
        }
    }
    /// Whether a dry wall gathers moisture in a month of this length.
    pub fn gathers(&self, seconds: f64) -> bool {
        self.rate.iter().any(|rate| rate * seconds > NEGLIGIBLE)
    }
}

/// Carries the moisture of the planes through one month, splitting it where a plane dries; gives how often it was split.
pub(crate) fn month(grid: &Grid, air: &Air, mass: &mut [f64], curve: &mut Curve) -> usize {
    curve.saturate(grid, air);
    carry(grid, air, mass, curve)
}

/// The same on a saturation curve that is there already.
pub(crate) fn carry(grid: &Grid, air: &Air, mass: &mut [f64], curve: &mut Curve) -> usize {
    carry_while(grid, air, mass, curve, |_| true).unwrap_or_default()
}

/// The same as long as every string is `sound`; nothing as soon as one is not, and the masses are then of no use.
pub(crate) fn carry_while(
    grid: &Grid,
    air: &Air,
    mass: &mut [f64],
    curve: &mut Curve,
    sound: impl Fn(&Curve) -> bool,
) -> Option<usize> {
    let mut left = air.seconds;
    // A plane that has dried stays off the string for the month, so there are at most as many splits as points.
    for split in 0..=mass.len() {
        curve.pull(grid, mass);
        if !sound(curve) {
            return None;
        }
        let mut step = left;
        for (k, rate) in curve.string.iter().zip(&curve.rate) {
            if *rate < 0.0 && mass[*k] > 0.0 {
                step = libm::fmin(step, mass[*k] / -rate);
            }
        }
        change(air, step, mass, curve);
        left -= step;
        if left <= air.seconds * 1e-12 {
            return Some(split);
        }
    }
    Some(mass.len())
}

/// What the rates of a string change in so many seconds.
fn change(air: &Air, seconds: f64, mass: &mut [f64], curve: &Curve) {
    for (k, rate) in curve.string.iter().zip(&curve.rate) {
        if mass[*k] > 0.0 || rate * air.seconds > NEGLIGIBLE {
            let after = mass[*k] + rate * seconds;
            mass[*k] = if after <= 1e-12 { 0.0 } else { after };
        }
    }
}

/// A whole month on the string of a dry wall, where nothing dries.
pub(crate) fn gather_on(air: &Air, mass: &mut [f64], dry: &Curve) {
    change(air, air.seconds, mass, dry);
}

/// For each month, whether a dry wall gathers moisture in it.
pub(crate) fn gathering(grid: &Grid, year: &[Air], curve: &mut Curve) -> Vec<bool> {
    year.iter()
        .map(|air| {
            curve.saturate(grid, air);
            curve.pull(grid, &[]);
            curve.gathers(air.seconds)
        })
        .collect()
}

/// The month to start with: the first with condensation after the longest dry spell, the earliest of equals; the first month where
/// every month gathers; nothing where none does.
pub(crate) fn start(gathers: &[bool]) -> Option<usize> {
    let n = gathers.len();
    if !gathers.iter().any(|g| *g) {
        return None;
    }
    let dry_before = |month: usize| {
        (1..n)
            .take_while(|back| !gathers[(month + n - back) % n])
            .count()
    };
    let mut best = (0, 0);
    for (month, gather) in gathers.iter().enumerate() {
        if *gather && dry_before(month) > best.0 {
            best = (dry_before(month), month);
        }
    }
    Some(best.1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The string by brute force: at each point the least of all chords that span it, over saturation and the two ends.
    fn brute(s: &[f64], p: &[f64]) -> Vec<f64> {
        (0..s.len())
            .map(|k| {
                let mut least = p[k];
                for a in 0..=k {
                    for b in k..s.len() {
                        if a < k && k < b {
                            let chord = p[a] + (p[b] - p[a]) * (s[k] - s[a]) / (s[b] - s[a]);
                            least = least.min(chord);
                        }
                    }
                }
                least
            })
            .collect()
    }

    #[test]
    fn the_string_is_the_least_of_all_chords() {
        let mut seed = 7_u64;
        let mut draw = || {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) as f64 / f64::from(1_u32 << 31)
        };
        for _ in 0..500 {
            let n = 3 + (draw() * 12.0) as usize;
            let mut s = alloc::vec![0.0];
            for k in 1..n {
                s.push(s[k - 1] + 0.01 + draw());
            }
            let pressure: Vec<f64> = (0..n).map(|_| 300.0 + 2000.0 * draw()).collect();
            let grid = Grid {
                s,
                share: alloc::vec![0.0; n],
                permeability: 2e-10,
            };
            let mut curve = Curve {
                pressure,
                ..Curve::default()
            };
            curve.pull(&grid, &[]);
            let least = brute(&grid.s, &curve.pressure);
            for pair in curve.string.windows(2) {
                let (a, b) = (pair[0], pair[1]);
                for (k, least) in least.iter().enumerate().take(b + 1).skip(a) {
                    let run = (grid.s[k] - grid.s[a]) / (grid.s[b] - grid.s[a]);
                    let at = curve.pressure[a] + (curve.pressure[b] - curve.pressure[a]) * run;
                    assert!((at - least).abs() < 1e-9, "{at} {least}");
                }
            }
            assert!(
                curve.rate.iter().all(|rate| *rate >= 0.0),
                "a dry wall does not dry"
            );
        }
    }

    #[test]
    fn the_year_starts_after_the_longest_dry_spell() {
        let year = |wet: &[usize]| (0..12).map(|m| wet.contains(&m)).collect::<Vec<bool>>();
        assert_eq!(start(&year(&[])), None);
        assert_eq!(start(&year(&[9, 10, 11, 0, 1, 2])), Some(9));
        assert_eq!(start(&year(&[3, 10, 11, 0])), Some(10));
        assert_eq!(start(&[true; 12]), Some(0));
    }
}
