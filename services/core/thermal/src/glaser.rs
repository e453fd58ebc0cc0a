//! The bare arithmetic of monthly moisture: the taut string of vapour pressure under the saturation curve, and what gathers and dries at
//! its contacts. It serves the sheet and the batch alike.
//!
//! The string from the inner to the outer vapour pressure is the greatest convex curve that nowhere passes saturation. A plane that
//! is wet holds the string at saturation. At every contact the flow in less the flow out gathers, or dries.

use alloc::vec::Vec;

use standards::iso_13788::saturation_pa;

/// Amounts below this in a month, kg/m2, are the last digit of the arithmetic and not condensate.
pub(crate) const NEGLIGIBLE: f64 = 1e-9;

/// A pressure above every saturation pressure of a building, Pa.
const UNREACHED: f64 = 1e6;

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

/// The saturation pressure at a temperature and its slope there, Pa and Pa/K.
fn tangent(celsius: f64) -> (f64, f64) {
    let p = saturation_pa(celsius);
    let (a, b) = if celsius >= 0.0 {
        (17.269, 237.3)
    } else {
        (21.875, 265.5)
    };
    (p, p * a * b / ((b + celsius) * (b + celsius)))
}

/// One end of a stretch: its place, how far saturation lies above the line there, and how that changes along the stretch.
#[derive(Clone, Copy)]
struct End {
    s: f64,
    gap: f64,
    slope: f64,
}

/// Whether a convex gap with these ends is above zero all along: the tangents at its ends bound it from below.
fn gap_stays_open(a: End, b: End) -> bool {
    let least = if a.slope >= 0.0 {
        a.gap
    } else if b.slope <= 0.0 {
        b.gap
    } else {
        let s = (b.gap - a.gap + a.slope * a.s - b.slope * b.s) / (a.slope - b.slope);
        a.gap + a.slope * (s - a.s)
    };
    a.gap > 0.0 && b.gap > 0.0 && least > 0.0
}

impl Grid {
    /// Whether the faces of the layers, which this grid holds alone, already show that the straight line from the inner to the
    /// outer pressure touches saturation nowhere in a dry wall; `false` leaves it open.
    ///
    /// Within a layer the curve is convex in the air layer, but for 0 degC where it has a corner; there the stretch is cut.
    pub fn clear_of(&self, air: &Air) -> bool {
        let fall = air.inside_celsius - air.outside_celsius;
        if fall <= 0.0 || air.inside_pa < air.outside_pa {
            return false;
        }
        let faces = self.s.iter().zip(&self.share);
        let mut faces = faces
            .rev()
            .map(|(s, share)| (*s, air.inside_celsius - fall * share));
        let (Some((s_n, t_n)), Some(share_0)) = (faces.next(), self.share.first()) else {
            return true;
        };
        let first = libm::fmin(
            air.inside_pa,
            saturation_pa(air.inside_celsius - fall * share_0),
        );
        let mut outer = (s_n, t_n, tangent(t_n));
        let last = libm::fmin(air.outside_pa, outer.2.0);
        let along = (last - first) / s_n;
        for (s, t) in faces {
            if outer.2.0 > first {
                return true;
            }
            let inner = (s, t, tangent(t));
            let per_air = (outer.1 - t) / (outer.0 - s);
            let end = |(s, _, (p, slope)): (f64, f64, (f64, f64))| End {
                s,
                gap: p - (first + along * s),
                slope: slope * per_air - along,
            };
            let open = if t > 0.0 && outer.1 < 0.0 {
                let at = s - t / per_air;
                let water = end((at, 0.0, (610.5, 610.5 * 17.269 / 237.3)));
                let ice = end((at, 0.0, (610.5, 610.5 * 21.875 / 265.5)));
                gap_stays_open(end(inner), water) && gap_stays_open(ice, end(outer))
            } else {
                gap_stays_open(end(inner), end(outer))
            };
            if !open {
                return false;
            }
            outer = inner;
        }
        true
    }
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
    /// The saturation curve of a month only where it is colder than `reach`, for a wall with no plane wet that is warmer: the string
    /// never comes to the saturation of warmer points, and a pressure that no string reaches stands there.
    pub fn saturate_colder(&mut self, grid: &Grid, air: &Air, reach: f64) {
        let fall = air.inside_celsius - air.outside_celsius;
        self.pressure.clear();
        self.pressure.extend(grid.share.iter().map(|share| {
            let celsius = air.inside_celsius - fall * share;
            if celsius > reach {
                UNREACHED
            } else {
                saturation_pa(celsius)
            }
        }));
        let at = |share: Option<&f64>, pa: f64| {
            let celsius = share.map_or(f64::NAN, |share| air.inside_celsius - fall * share);
            libm::fmin(saturation_pa(celsius), pa)
        };
        if let Some(first) = self.pressure.first_mut() {
            *first = at(grid.share.first(), air.inside_pa);
        }
        if let Some(last) = self.pressure.last_mut() {
            *last = at(grid.share.last(), air.outside_pa);
        }
    }
    /// The string with these planes wet, and the rates at its bends. `mass` has one entry a point.
    pub fn pull(&mut self, grid: &Grid, mass: &[f64]) {
        let (s, p) = (&grid.s, &self.pressure);
        self.string.clear();
        let last = s.len().saturating_sub(1);
        let mut held = 0;
        for (k, (s_k, p_k)) in s.iter().zip(p).enumerate() {
            while let [.., a, b] = self.string.as_slice() {
                let (a, b) = (*a, *b);
                if self.string.len() - 1 <= held {
                    break;
                }
                // The point b lies on or above the chord from a to k: the string does not touch it.
                if (p[b] - p[a]) * (s_k - s[a]) < (p_k - p[a]) * (s[b] - s[a]) {
                    break;
                }
                self.string.pop();
            }
            self.string.push(k);
            if k != 0 && k != last && mass.get(k).is_some_and(|m| *m > 0.0) {
                held = self.string.len() - 1;
            }
        }
        self.rate.clear();
        self.rate.resize(self.string.len(), 0.0);
        for (rate, at) in self.rate.iter_mut().skip(1).zip(self.string.windows(3)) {
            let &[a, c, b] = at else { continue };
            let (inner, outer) = (s[c] - s[a], s[b] - s[c]);
            if inner > 0.0 && outer > 0.0 {
                *rate = grid.permeability * ((p[a] - p[c]) / inner - (p[c] - p[b]) / outer);
            }
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
    let mut left = air.seconds;
    // A plane that has dried stays off the string for the month, so there are at most as many splits as points.
    for split in 0..=mass.len() {
        curve.pull(grid, mass);
        let mut step = left;
        for (k, rate) in curve.string.iter().zip(&curve.rate) {
            if *rate < 0.0 && mass[*k] > 0.0 {
                step = libm::fmin(step, mass[*k] / -rate);
            }
        }
        for (k, rate) in curve.string.iter().zip(&curve.rate) {
            let change = rate * step;
            if mass[*k] > 0.0 || rate * air.seconds > NEGLIGIBLE {
                let after = mass[*k] + change;
                mass[*k] = if after <= 1e-12 { 0.0 } else { after };
            }
        }
        left -= step;
        if left <= air.seconds * 1e-12 {
            return split;
        }
    }
    mass.len()
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
