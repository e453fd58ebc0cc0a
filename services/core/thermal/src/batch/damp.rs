//! The moisture of one wall of a batch through the year.
//!
//! All months go side by side over the faces of the layers. Within a layer the saturation curve is convex, so that the tangents at
//! its faces show that the string stays clear of the points between them; only where they do not, the wall is taken point by point.

use alloc::vec::Vec;

use quantity::{ThermalResistance, VapourPressure};
use standards::iso_13788;

use super::elementary::exp;
use crate::air::MonthAir;
use crate::climate::MONTHS;
use crate::glaser::{self, Air, Curve, Grid, NEGLIGIBLE, UNREACHED};
use crate::interstitial::{Outcome, pieces};

/// One number a month.
type Row = [f64; MONTHS];

/// A mark for each month, not zero where it is set; as wide as the numbers that it comes from, so that they go side by side.
type Months = [u64; MONTHS];

/// A layer with nothing but numbers.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lean {
    pub resistance: f64,
    pub equivalent_air: f64,
}

/// The resistances around the layers of a wall.
#[derive(Clone, Copy, Debug)]
pub(super) struct Around {
    pub inside: f64,
    /// Of the whole wall, as its temperatures go by.
    pub series: f64,
}

/// A layer of no more than this is certainly in one piece; one of more may be.
const WHOLE_BELOW: f64 = iso_13788::SUBDIVIDED_ABOVE.as_m2k_per_w();

/// What gathers in a wall over a year.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gathered {
    pub most: f64,
    pub left: f64,
    pub outcome: Outcome,
}

/// What the faces alone tell of a month in a dry wall.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Dryness {
    /// The string touches no point within a layer; whether moisture gathers.
    Sound(bool),
    /// It may touch one, and moisture gathers all the same.
    Gathers,
    /// It may touch one, and only the points tell whether moisture gathers.
    Open,
}

/// More points than a wall can have.
const MOST_POINTS: f64 = (crate::MOST_LAYERS * 100 + 2) as f64;

const DRY: Gathered = Gathered {
    most: 0.0,
    left: 0.0,
    outcome: Outcome::NoCondensation,
};

/// The saturation pressure at a temperature and its slope there, Pa and Pa/K: [`iso_13788::saturation_pa`] without a branch.
#[inline]
fn saturation(celsius: f64) -> (f64, f64) {
    let water = celsius >= 0.0;
    let a = if water { 17.269 } else { 21.875 };
    let b = if water { 237.3 } else { 265.5 };
    let per = 1.0 / (b + celsius);
    let p = 610.5 * exp(a * celsius * per);
    (p, p * (a * b) * (per * per))
}

/// A temperature with its saturation.
#[derive(Clone, Copy, Debug, Default)]
struct Warm {
    celsius: f64,
    pa: f64,
    slope: f64,
}

/// The climate month by month, row by row.
#[derive(Clone, Debug, Default)]
struct Year {
    months: [Air; MONTHS],
    inside: Row,
    fall: Row,
    inside_pa: Row,
    outside_pa: Row,
    /// The dew points of the two airs, a hair raised so that a touch within rounding is not lost.
    inside_dew: Row,
    outside_dew: Row,
    /// The warmer of them, its saturation and the slope there: the string of a dry wall never comes to the saturation of what is warmer.
    reach_celsius: Row,
    reach_pa: Row,
    reach_slope: Row,
    /// One over `fall`.
    per_fall: Row,
}

impl Year {
    fn of(air: &[MonthAir]) -> Self {
        let mut year = Self::default();
        for (m, air) in air.iter().take(MONTHS).enumerate() {
            let bare = air.bare();
            let dew = |p: VapourPressure| iso_13788::dew_point_celsius(p.as_pa()) + 1e-6;
            let (inside, outside) = (
                dew(air.inside_pressure.value),
                dew(air.outside_pressure.value),
            );
            let celsius = libm::fmax(inside, outside);
            let (pa, slope) = saturation(celsius);
            year.months[m] = bare;
            year.inside[m] = bare.inside_celsius;
            year.fall[m] = bare.inside_celsius - bare.outside_celsius;
            year.inside_pa[m] = bare.inside_pa;
            year.outside_pa[m] = bare.outside_pa;
            year.inside_dew[m] = inside;
            year.outside_dew[m] = outside;
            year.reach_celsius[m] = celsius;
            year.reach_pa[m] = pa;
            year.reach_slope[m] = slope;
            year.per_fall[m] = 1.0 / year.fall[m];
        }
        year
    }
    fn reach(&self, m: usize) -> Warm {
        Warm {
            celsius: self.reach_celsius[m],
            pa: self.reach_pa[m],
            slope: self.reach_slope[m],
        }
    }
}

/// A face of a layer through the year.
#[derive(Clone, Copy, Debug)]
struct Face {
    share: f64,
    celsius: Row,
    /// Saturation and its slope, where `known`.
    pa: Row,
    slope: Row,
    known: bool,
}

impl Face {
    const NOWHERE: Self = Self {
        share: 0.0,
        celsius: [0.0; MONTHS],
        pa: [0.0; MONTHS],
        slope: [0.0; MONTHS],
        known: false,
    };
    fn place(&mut self, share: f64, year: &Year) {
        self.share = share;
        self.known = false;
        for ((t, inside), fall) in self.celsius.iter_mut().zip(&year.inside).zip(&year.fall) {
            *t = inside - fall * share;
        }
    }
    /// Whether the face is warmer than these temperatures in every month.
    fn warmer(&self, than: &Row) -> bool {
        let mut colder = 0_u64;
        for (t, bound) in self.celsius.iter().zip(than) {
            colder |= u64::from(*t <= *bound);
        }
        colder == 0
    }
    fn know(&mut self) {
        if self.known {
            return;
        }
        let curve = self.pa.iter_mut().zip(&mut self.slope);
        for ((pa, slope), t) in curve.zip(&self.celsius) {
            (*pa, *slope) = saturation(*t);
        }
        self.known = true;
    }
    fn curve(&self) -> Option<(&Row, &Row, &Row)> {
        self.known.then_some((&self.celsius, &self.pa, &self.slope))
    }
    fn in_month(&self, m: usize) -> Warm {
        Warm {
            celsius: self.celsius[m],
            pa: self.pa[m],
            slope: self.slope[m],
        }
    }
}

/// A straight line of vapour pressure.
#[derive(Clone, Copy)]
struct Chord {
    from: f64,
    pa: f64,
    along: f64,
}

/// One end of a stretch within a layer: its place, its saturation, and how far that lies above the string.
#[derive(Clone, Copy)]
struct End {
    s: f64,
    warm: Warm,
    gap: f64,
}

/// Whether a convex gap is nowhere below zero between two ends of which neither is: the tangents there bound it from below.
#[inline]
#[expect(
    clippy::needless_bitwise_bool,
    reason = "without a branch the months go side by side"
)]
fn stays_open(a: (f64, f64), b: (f64, f64), length: f64) -> bool {
    let ((a, falls), (b, rises)) = (a, b);
    // Where one tangent falls inwards and the other rises outwards they meet inside; the last term is their height there, but for sign and scale.
    (a >= 0.0)
        & (b >= 0.0)
        & ((falls >= 0.0) | (rises <= 0.0) | (falls * b - rises * a - falls * rises * length < 0.0))
}

/// Marks the months in which the straight line may touch the curve within a layer, all at once; gives those that it leaves out, in which
/// the layer is cut at 0 degC. A face whose saturation is not there is warmer than the string reaches in every month.
#[expect(
    clippy::needless_bitwise_bool,
    reason = "without a branch the months go side by side"
)]
fn stretches_closed(
    year: &Year,
    (a, s_a): (&Face, f64),
    (b, s_b): (&Face, f64),
    first: &Row,
    along: &Row,
    suspect: &mut Months,
) -> Months {
    let reached = (&year.reach_celsius, &year.reach_pa, &year.reach_slope);
    let (ta, pa, slope_a) = a.curve().unwrap_or(reached);
    let (tb, pb, slope_b) = b.curve().unwrap_or(reached);
    let per_fall = (s_b - s_a) / (a.share - b.share);
    let per_air = 1.0 / per_fall;
    let mut corner = [0; MONTHS];
    for m in 0..MONTHS {
        let length = (tb[m] - ta[m]) * (per_fall * year.per_fall[m]);
        let per_air = per_air * year.fall[m];
        let at_a = if a.known { s_a } else { s_b - length };
        let at_b = if b.known { s_b } else { s_a + length };
        let gap_a = pa[m] - (first[m] + along[m] * at_a);
        let gap_b = pb[m] - (first[m] + along[m] * at_b);
        let open = stays_open(
            (gap_a, slope_a[m] * per_air - along[m]),
            (gap_b, slope_b[m] * per_air - along[m]),
            length,
        );
        let reach = year.reach_celsius[m];
        let over = (a.celsius[m] > reach) & (b.celsius[m] > reach);
        let cut = ta[m] * tb[m] < 0.0;
        suspect[m] |= u64::from(!over & !open & !cut);
        corner[m] = u64::from(cut & !over);
    }
    corner
}

/// The same along a stretch of one layer, cut at 0 degC where the curve has a corner.
fn stretch_open(a: End, b: End, chord: &Chord) -> bool {
    let per_air = (b.warm.celsius - a.warm.celsius) / (b.s - a.s);
    let slope = |of: f64| of * per_air - chord.along;
    let (at_a, at_b) = ((a.gap, slope(a.warm.slope)), (b.gap, slope(b.warm.slope)));
    let corner = (a.warm.celsius > 0.0 && b.warm.celsius < 0.0)
        || (a.warm.celsius < 0.0 && b.warm.celsius > 0.0);
    if !corner {
        return stays_open(at_a, at_b, b.s - a.s);
    }
    let s = a.s - a.warm.celsius / per_air;
    let gap = 610.5 - (chord.pa + chord.along * (s - chord.from));
    let (water, ice) = (
        (gap, slope(610.5 * 17.269 / 237.3)),
        (gap, slope(610.5 * 21.875 / 265.5)),
    );
    let (left, right) = if a.warm.celsius > 0.0 {
        (water, ice)
    } else {
        (ice, water)
    };
    stays_open(at_a, left, s - a.s) && stays_open(right, at_b, b.s - s)
}

/// A climate and the scratch that all walls share.
#[derive(Clone, Debug, Default)]
pub(super) struct Damp {
    year: Year,
    /// The faces of the layers alone.
    grid: Grid,
    faces: Vec<Face>,
    /// For each layer whether it has points between its faces.
    inner: Vec<bool>,
    /// The faces and the subdivisions.
    fine: Grid,
    /// The string of the wall when dry, month by month, over the faces.
    dry: [Curve; MONTHS],
    curve: Curve,
    mass: Vec<f64>,
}

impl Damp {
    pub fn of(air: &[MonthAir]) -> Self {
        let permeability = iso_13788::AIR_PERMEABILITY.as_kg_per_mspa();
        let grid = Grid {
            permeability,
            ..Grid::default()
        };
        Self {
            year: Year::of(air),
            fine: grid.clone(),
            grid,
            ..Self::default()
        }
    }

    /// What gathers in a wall of these layers.
    pub fn gather(&mut self, layers: &[Lean], around: &Around) -> Gathered {
        self.lay_out_faces(layers, around);
        let suspect = self.suspects();
        if suspect == [0; MONTHS] {
            return DRY;
        }
        let mut laid_out = false;
        let mut points = |damp: &mut Self| {
            if !laid_out {
                damp.lay_out(layers, around);
                laid_out = true;
            }
        };
        let mut gathers = [false; MONTHS];
        let mut sound = true;
        for m in (0..MONTHS).filter(|m| suspect[*m] != 0) {
            gathers[m] = match self.gathers_by_faces(m) {
                Dryness::Sound(gathers) => gathers,
                Dryness::Gathers => {
                    sound = false;
                    true
                }
                Dryness::Open => {
                    sound = false;
                    points(self);
                    self.gathers_by_points(m)
                }
            };
        }
        let Some(start) = glaser::start(&gathers) else {
            return DRY;
        };
        if sound && let Some(gathered) = self.by_faces(start, &gathers) {
            return gathered;
        }
        points(self);
        self.by_points(start, &gathers)
    }

    /// Whether the dry wall gathers moisture in a month, as far as the faces alone can tell.
    fn gathers_by_faces(&mut self, m: usize) -> Dryness {
        let Self {
            year,
            grid,
            faces,
            inner,
            dry,
            ..
        } = self;
        let curve = &mut dry[m];
        let warm = year.reach(m);
        let seconds = year.months[m].seconds;
        curve_of_faces(curve, faces, year, m, &warm);
        curve.pull(grid, &[]);
        if sound(grid, faces, inner, m, &warm, curve) {
            return Dryness::Sound(curve.gathers(seconds));
        }
        // With more points the string lies lower, enters more steeply and leaves less so: together more gathers at no more places than
        // there can be points, and one of them has its share.
        let together: f64 = curve.rate.iter().sum();
        if together * seconds > NEGLIGIBLE * MOST_POINTS {
            Dryness::Gathers
        } else {
            Dryness::Open
        }
    }

    fn gathers_by_points(&mut self, m: usize) -> bool {
        let air = &self.year.months[m];
        curve_of_points(&mut self.curve, &self.fine, air, self.year.reach_celsius[m]);
        self.curve.pull(&self.fine, &[]);
        self.curve.gathers(air.seconds)
    }

    fn lay_out_faces(&mut self, layers: &[Lean], around: &Around) {
        let Self {
            year,
            grid,
            faces,
            inner,
            ..
        } = self;
        grid.s.clear();
        grid.share.clear();
        inner.clear();
        faces.resize(layers.len() + 1, Face::NOWHERE);
        let per = 1.0 / around.series;
        let (mut s, mut r) = (0.0, around.inside);
        let mut faces = faces.iter_mut();
        let mut put = |s: f64, r: f64| {
            grid.s.push(s);
            grid.share.push(r * per);
            if let Some(face) = faces.next() {
                face.place(r * per, year);
            }
        };
        put(s, r);
        for layer in layers {
            s += layer.equivalent_air;
            r += layer.resistance;
            put(s, r);
            inner.push(layer.resistance > WHOLE_BELOW);
        }
    }

    fn lay_out(&mut self, layers: &[Lean], around: &Around) {
        let grid = &mut self.fine;
        grid.s.clear();
        grid.share.clear();
        let (mut s, mut r) = (0.0, around.inside);
        grid.s.push(s);
        grid.share.push(r / around.series);
        for layer in layers {
            let pieces = pieces(ThermalResistance::from_m2k_per_w(layer.resistance));
            for piece in 1..=pieces {
                let share = piece as f64 / pieces as f64;
                grid.s.push(s + layer.equivalent_air * share);
                grid.share
                    .push((r + layer.resistance * share) / around.series);
            }
            s += layer.equivalent_air;
            r += layer.resistance;
        }
    }

    /// The vapour pressures at the two surfaces, month by month.
    fn surfaces(&mut self) -> (Row, Row) {
        let year = &self.year;
        let bounded = |face: Option<&mut Face>, dew: &Row, air: &Row| match face {
            Some(face) if !face.warmer(dew) => {
                face.know();
                let mut lower = *air;
                for (p, own) in lower.iter_mut().zip(&face.pa) {
                    *p = if *own < *p { *own } else { *p };
                }
                lower
            }
            _ => *air,
        };
        let first = bounded(self.faces.first_mut(), &year.inside_dew, &year.inside_pa);
        let last = bounded(self.faces.last_mut(), &year.outside_dew, &year.outside_pa);
        (first, last)
    }

    /// The months in which the straight line from the inner to the outer pressure may touch saturation.
    fn suspects(&mut self) -> Months {
        let (first, last) = self.surfaces();
        let Self {
            year, grid, faces, ..
        } = self;
        let thickness = grid.s.last().copied().unwrap_or(f64::NAN);
        let per = 1.0 / thickness;
        let mut along = [0.0; MONTHS];
        for ((along, first), last) in along.iter_mut().zip(&first).zip(&last) {
            *along = (last - first) * per;
        }
        let mut suspect = [0; MONTHS];
        let outermost = faces.len().saturating_sub(1);
        for (k, (face, s)) in faces.iter_mut().zip(&grid.s).enumerate() {
            let needed = !face.warmer(&year.reach_celsius);
            if needed && (k == outermost || k == 0) {
                // A surface matters only beside points within its layer.
                let beside = if k == 0 {
                    self.inner.first()
                } else {
                    self.inner.last()
                };
                if beside == Some(&true) {
                    face.know();
                }
                continue;
            }
            if !needed {
                continue;
            }
            face.know();
            for m in 0..MONTHS {
                suspect[m] |= u64::from(face.pa[m] <= first[m] + along[m] * s);
            }
        }
        for (layer, _) in self.inner.iter().enumerate().filter(|(_, inner)| **inner) {
            let (Some([a, b]), Some([s_a, s_b])) =
                (faces.get(layer..layer + 2), grid.s.get(layer..layer + 2))
            else {
                continue;
            };
            if !(a.known || b.known) {
                continue;
            }
            let corner = stretches_closed(year, (a, *s_a), (b, *s_b), &first, &along, &mut suspect);
            if corner == [0; MONTHS] {
                continue;
            }
            for m in (0..MONTHS).filter(|m| corner[*m] != 0) {
                let chord = Chord {
                    from: 0.0,
                    pa: first[m],
                    along: along[m],
                };
                let side = |face, s: f64| Side {
                    face,
                    s,
                    string: first[m] + along[m] * s,
                };
                let open = layer_open(side(a, *s_a), side(b, *s_b), m, &year.reach(m), &chord);
                suspect[m] |= u64::from(!open);
            }
        }
        suspect
    }

    /// The year by the faces alone; nothing where the string may touch a point within a layer.
    fn by_faces(&mut self, start: usize, gathers: &[bool; MONTHS]) -> Option<Gathered> {
        let Self {
            year,
            grid,
            faces,
            inner,
            dry,
            curve,
            mass,
            ..
        } = self;
        mass.clear();
        mass.resize(grid.s.len(), 0.0);
        let (mut most, mut left) = (0.0, 0.0);
        for step in 0..MONTHS {
            let m = (start + step) % MONTHS;
            // A dry wall in a month that gathers nothing stays dry.
            if !(left > 0.0 || gathers[m]) {
                continue;
            }
            if gathers[m] && rests_on(&dry[m], mass) {
                glaser::gather_on(&year.months[m], mass, &dry[m]);
                left = held(&dry[m], mass);
                most = libm::fmax(most, left);
                continue;
            }
            let mut warm = year.reach(m);
            for (face, mass) in faces.iter().zip(mass.iter()) {
                if *mass > 0.0 && face.celsius[m] > warm.celsius {
                    warm = face.in_month(m);
                }
            }
            curve_of_faces(curve, faces, year, m, &warm);
            let clear = |curve: &Curve| sound(grid, faces, inner, m, &warm, curve);
            glaser::carry_while(grid, &year.months[m], mass, curve, clear)?;
            left = held(curve, mass);
            most = libm::fmax(most, left);
        }
        Some(ended(most, left))
    }

    /// The year by every point, each month's curve only where it is cold enough for the string to come to it.
    fn by_points(&mut self, start: usize, gathers: &[bool; MONTHS]) -> Gathered {
        let Self {
            year,
            fine,
            curve,
            mass,
            ..
        } = self;
        mass.clear();
        mass.resize(fine.s.len(), 0.0);
        let (mut most, mut left) = (0.0, 0.0);
        for step in 0..MONTHS {
            let m = (start + step) % MONTHS;
            if !(left > 0.0 || gathers[m]) {
                continue;
            }
            let mut warmest = year.reach_celsius[m];
            if left > 0.0 {
                for k in &curve.string {
                    if mass[*k] > 0.0 {
                        warmest =
                            libm::fmax(warmest, year.inside[m] - year.fall[m] * fine.share[*k]);
                    }
                }
            }
            curve_of_points(curve, fine, &year.months[m], warmest);
            glaser::carry(fine, &year.months[m], mass, curve);
            left = held(curve, mass);
            most = libm::fmax(most, left);
        }
        ended(most, left)
    }
}

/// The moisture of all planes: every wet one holds the string.
fn held(curve: &Curve, mass: &[f64]) -> f64 {
    curve.string.iter().map(|k| mass[*k]).sum()
}

fn ended(most: f64, left: f64) -> Gathered {
    Gathered {
        most,
        left,
        outcome: if left > NEGLIGIBLE {
            Outcome::Accumulates
        } else {
            Outcome::DriesOut
        },
    }
}

/// A face beside a layer, and the string's pressure there.
#[derive(Clone, Copy)]
struct Side<'a> {
    face: &'a Face,
    s: f64,
    string: f64,
}

impl Side<'_> {
    /// This face in a month; where it is warmer than the string reaches, the place in the layer towards `other` that is just as
    /// warm as that.
    fn end(&self, other: &Side, m: usize, warm: &Warm, chord: &Chord) -> End {
        if self.face.known {
            let own = self.face.in_month(m);
            return End {
                s: self.s,
                gap: own.pa - self.string,
                warm: own,
            };
        }
        let (mine, theirs) = (self.face.celsius[m], other.face.celsius[m]);
        let s = other.s + (warm.celsius - theirs) / (mine - theirs) * (self.s - other.s);
        End {
            s,
            gap: warm.pa - (chord.pa + chord.along * (s - chord.from)),
            warm: *warm,
        }
    }
}

/// Whether the string, straight along a layer, stays clear of saturation between its faces. What is warmer than `warm` it never reaches.
fn layer_open(a: Side, b: Side, m: usize, warm: &Warm, chord: &Chord) -> bool {
    let over = |side: &Side| side.face.celsius[m] > warm.celsius;
    if over(&a) && over(&b) {
        return true;
    }
    // A face that the string may reach and whose saturation is not there leaves the question open.
    if (!a.face.known && !over(&a)) || (!b.face.known && !over(&b)) {
        return false;
    }
    stretch_open(a.end(&b, m, warm, chord), b.end(&a, m, warm, chord), chord)
}

/// Whether a dry wall's string already goes through every wet plane, so that it is the wet wall's string too.
fn rests_on(dry: &Curve, mass: &[f64]) -> bool {
    let wet = mass.iter().filter(|mass| **mass > 0.0).count();
    let rested = dry.string.iter().filter(|k| mass[**k] > 0.0).count();
    wet == rested
}

/// Whether the string over the faces alone is the string over all points.
fn sound(
    grid: &Grid,
    faces: &[Face],
    inner: &[bool],
    m: usize,
    warm: &Warm,
    curve: &Curve,
) -> bool {
    let (s, p) = (&grid.s, &curve.pressure);
    let over = |k: usize| faces[k].celsius[m] > warm.celsius;
    curve.string.windows(2).all(|pair| {
        let &[from, to] = pair else { return true };
        (from..to)
            .filter(|layer| inner[*layer] && !(over(*layer) && over(*layer + 1)))
            .all(|layer| {
                let chord = Chord {
                    from: s[from],
                    pa: p[from],
                    along: (p[to] - p[from]) / (s[to] - s[from]),
                };
                // At its bends the string has the pressure of the curve to the last digit.
                let side = |k: usize| Side {
                    face: &faces[k],
                    s: s[k],
                    string: if k == from || k == to {
                        p[k]
                    } else {
                        chord.pa + chord.along * (s[k] - chord.from)
                    },
                };
                layer_open(side(layer), side(layer + 1), m, warm, &chord)
            })
    })
}

/// The saturation curve of a month at the faces, where it is no warmer than the string reaches.
fn curve_of_faces(curve: &mut Curve, faces: &mut [Face], year: &Year, m: usize, warm: &Warm) {
    curve.pressure.clear();
    curve.pressure.extend(faces.iter_mut().map(|face| {
        if face.celsius[m] > warm.celsius {
            UNREACHED
        } else {
            face.know();
            face.pa[m]
        }
    }));
    clip(curve, &year.months[m]);
}

/// The same at every point.
fn curve_of_points(curve: &mut Curve, grid: &Grid, air: &Air, reach: f64) {
    let fall = air.inside_celsius - air.outside_celsius;
    curve.pressure.clear();
    curve.pressure.resize(grid.share.len(), 0.0);
    for (p, share) in curve.pressure.iter_mut().zip(&grid.share) {
        *p = air.inside_celsius - fall * share;
    }
    let mut colder = curve.pressure.as_mut_slice();
    if fall > 0.0 {
        let warm = colder.iter().take_while(|t| **t > reach).count();
        let (over, under) = colder.split_at_mut(warm);
        over.fill(UNREACHED);
        colder = under;
    }
    for p in colder {
        *p = saturation(*p).0;
    }
    clip(curve, air);
}

/// Clips the curve to the air's pressures at the two surfaces. A pressure that no string reaches is above the air's.
fn clip(curve: &mut Curve, air: &Air) {
    if let Some(first) = curve.pressure.first_mut() {
        *first = libm::fmin(*first, air.inside_pa);
    }
    if let Some(last) = curve.pressure.last_mut() {
        *last = libm::fmin(*last, air.outside_pa);
    }
}
