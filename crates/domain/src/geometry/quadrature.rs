//! Integrals over height: in closed form where a section is a cubic of it, and by a Gauss-Kronrod rule where not.
//! Knows numbers only; what is integrated is for the caller.

/// What is integrated together over the height of a wall.
pub(super) type Triple = [f64; 3];

/// Below this, in m3 or m2 on one piece of height, two estimates of an integral are one. Three orders below the
/// 1e-9 that is asked for, with room for a few hundred pieces.
const TOLERANCE: f64 = 1e-13;

/// What rounding alone can leave between two estimates, as a share of the integral.
const ROUNDING: f64 = 4e-15;

/// No piece is halved more often: after forty times it is shorter than any length that matters.
const HALVINGS_MAX: u32 = 40;

/// Sum of two triples.
pub(super) fn plus(a: Triple, b: Triple) -> Triple {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

/// One triple less another.
pub(super) fn less(a: Triple, b: Triple) -> Triple {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

/// A section that is at most a cubic of the height between two levels, and so is fixed by any four of its values.
///
/// Between the levels the height is told as v, which is 0 to 3 at the four heights that are looked at: an eighth, three,
/// five and seven eighths of the way. The levels themselves are kept clear of, since a section may step there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cubic {
    /// Height at v = 0, and heights to one v.
    origin: f64,
    step: f64,
    /// Of v, v^2, v^3 and v^4 in its integral over v.
    powers: [Triple; 4],
}

impl Cubic {
    /// By Newton's forward differences: y0 + d1 v + d2 v (v-1)/2 + d3 v (v-1)(v-2)/6.
    pub(super) fn through(from: f64, to: f64, section: impl Fn(f64) -> Triple) -> Self {
        let step = 0.25 * (to - from);
        let origin = from + 0.5 * step;
        let [a, b, c, d] = [0.0, 1.0, 2.0, 3.0].map(|v| section(origin + v * step));
        let mut powers = [[0.0; 3]; 4];
        for i in 0..3 {
            let first = b[i] - a[i];
            let second = c[i] - 2.0 * b[i] + a[i];
            let third = d[i] - 3.0 * (c[i] - b[i]) - a[i];
            powers[0][i] = a[i];
            powers[1][i] = (first - second / 2.0 + third / 3.0) / 2.0;
            powers[2][i] = (second - third) / 6.0;
            powers[3][i] = third / 24.0;
        }
        Self {
            origin,
            step,
            powers,
        }
    }

    /// The section at a height.
    pub(super) fn at(&self, z: f64) -> Triple {
        let v = (z - self.origin) / self.step;
        let [a, b, c, d] = &self.powers;
        [0, 1, 2].map(|i| a[i] + v * (2.0 * b[i] + v * (3.0 * c[i] + v * 4.0 * d[i])))
    }

    /// Its integral between two heights. Of a frustum 3 high of areas 4, 2.25 half-way and 1: 7.
    pub(super) fn between(&self, from: f64, to: f64) -> Triple {
        let v = |z: f64| (z - self.origin) / self.step;
        let (low, high) = (v(from), v(to));
        let [a, b, c, d] = &self.powers;
        [0, 1, 2].map(|i| {
            let up_to = |v: f64| v * (a[i] + v * (b[i] + v * (c[i] + v * d[i])));
            self.step * (up_to(high) - up_to(low))
        })
    }
}

/// A section that is smooth between two levels, as a sum of Legendre polynomials of the height: looked at once, and then
/// integrated between any two heights.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Series {
    middle: f64,
    half: f64,
    terms: [Triple; TERMS],
}

/// Legendre polynomials of degree 0 to 10.
const TERMS: usize = 11;

impl Series {
    /// The share of each polynomial is (2k + 1)/2 times the integral of the section times it, by the 15 Kronrod points,
    /// which have that right for sections up to degree 12. `None` when the last two shares say that more would be needed:
    /// of a smooth section the shares fall off as the powers of a number.
    pub(super) fn through(from: f64, to: f64, section: &impl Fn(f64) -> Triple) -> Option<Self> {
        let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
        let mut terms = [[0.0; 3]; TERMS];
        let mut add = |x: f64, weight: f64| {
            let here = section(middle + half * x);
            for (k, legendre) in legendre::<TERMS>(x).into_iter().enumerate() {
                let share = weight * legendre * (k as f64 + 0.5);
                terms[k] = plus(terms[k], here.map(|value| value * share));
            }
        };
        add(0.0, KRONROD_MIDDLE);
        for (point, weight) in POINTS.into_iter().zip(KRONROD) {
            add(-point, weight);
            add(point, weight);
        }
        let rest = |i: usize| half * (terms[TERMS - 2][i].abs() + terms[TERMS - 1][i].abs());
        let whole = |i: usize| TOLERANCE + ROUNDING * half * terms[0][i].abs();
        (0..3).all(|i| rest(i) <= whole(i)).then_some(Self {
            middle,
            half,
            terms,
        })
    }

    /// Its integral between two heights: of the polynomial of degree k, the next less the last over 2k + 1.
    pub(super) fn between(&self, from: f64, to: f64) -> Triple {
        let at = |z: f64| legendre::<{ TERMS + 1 }>((z - self.middle) / self.half);
        let (low, high) = (at(from), at(to));
        let mut sum = self.terms[0].map(|term| term * (high[1] - low[1]));
        for k in 1..TERMS {
            let integral =
                ((high[k + 1] - low[k + 1]) - (high[k - 1] - low[k - 1])) / (2 * k + 1) as f64;
            sum = plus(sum, self.terms[k].map(|term| term * integral));
        }
        sum.map(|sum| sum * self.half)
    }
}

/// Legendre polynomials from degree 0 up: (k + 1) P(k+1) = (2k + 1) x P(k) - k P(k-1).
fn legendre<const COUNT: usize>(x: f64) -> [f64; COUNT] {
    let mut values = [1.0; COUNT];
    values[1] = x;
    for k in 1..COUNT - 1 {
        let degree = k as f64;
        values[k + 1] =
            ((2.0 * degree + 1.0) * x * values[k] - degree * values[k - 1]) / (degree + 1.0);
    }
    values
}

/// How closely an integral is closed in on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Care {
    /// How far two estimates of a piece may be apart.
    pub(super) tolerance: f64,
    /// How often every piece is halved whatever the estimates say: for a section that is nothing over much of the height.
    pub(super) halvings: u32,
}

impl Care {
    pub(super) const USUAL: Self = Self {
        tolerance: TOLERANCE,
        halvings: 0,
    };
}

/// The integral of `section` from `from` to `to`, where it is smooth but for a few kinks at heights nobody knows.
///
/// The 15-point Kronrod rule beside the 7-point Gauss rule within it: where the two differ by more than the
/// tolerance, the piece is halved, and so the halvings gather about a kink.
pub(super) fn gauss_kronrod(
    from: f64,
    to: f64,
    care: Care,
    section: &impl Fn(f64) -> Triple,
) -> Triple {
    halve(from, to, 0, care, section)
}

fn halve(from: f64, to: f64, depth: u32, care: Care, section: &impl Fn(f64) -> Triple) -> Triple {
    if care.halvings <= depth {
        let (fine, coarse) = both_rules(from, to, section);
        let is_close = |i: usize| {
            let gap = (fine[i] - coarse[i]).abs();
            // A figure that is not a number will not come closer: it is told as a fault further on.
            gap <= care.tolerance + ROUNDING * fine[i].abs() || gap.is_nan()
        };
        if HALVINGS_MAX <= depth || (0..3).all(is_close) {
            return fine;
        }
    }
    let middle = 0.5 * (from + to);
    plus(
        halve(from, middle, depth + 1, care, section),
        halve(middle, to, depth + 1, care, section),
    )
}

/// Half-spacings of the 15 Kronrod points from the middle; the odd ones of the list (second, fourth...) and the middle
/// are those of the 7-point Gauss rule. R. Piessens and others, *QUADPACK* (1983), routine QK15: from memory; the
/// tests hold them to what makes them right, that they integrate x^22 and x^12 exactly.
const POINTS: [f64; 7] = [
    0.991_455_371_120_812_6,
    0.949_107_912_342_758_5,
    0.864_864_423_359_769_1,
    0.741_531_185_599_394_4,
    0.586_087_235_467_691_1,
    0.405_845_151_377_397_2,
    0.207_784_955_007_898_47,
];
const KRONROD: [f64; 7] = [
    0.022_935_322_010_529_225,
    0.063_092_092_629_978_55,
    0.104_790_010_322_250_18,
    0.140_653_259_715_525_92,
    0.169_004_726_639_267_9,
    0.190_350_578_064_785_4,
    0.204_432_940_075_298_9,
];
const KRONROD_MIDDLE: f64 = 0.209_482_141_084_727_82;
/// Of the second, fourth and sixth point.
const GAUSS: [f64; 3] = [
    0.129_484_966_168_869_7,
    0.279_705_391_489_276_64,
    0.381_830_050_505_118_9,
];
const GAUSS_MIDDLE: f64 = 0.417_959_183_673_469_4;

/// The 15-point and the 7-point estimate.
fn both_rules(from: f64, to: f64, section: &impl Fn(f64) -> Triple) -> (Triple, Triple) {
    let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
    let here = section(middle);
    let mut fine = here.map(|value| value * KRONROD_MIDDLE);
    let mut coarse = here.map(|value| value * GAUSS_MIDDLE);
    for (index, point) in POINTS.iter().enumerate() {
        let pair = plus(
            section(middle - half * point),
            section(middle + half * point),
        );
        fine = plus(fine, pair.map(|value| value * KRONROD[index]));
        if index % 2 == 1 {
            coarse = plus(coarse, pair.map(|value| value * GAUSS[index / 2]));
        }
    }
    (fine.map(|sum| sum * half), coarse.map(|sum| sum * half))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn power(n: i32) -> impl Fn(f64) -> Triple {
        move |x| [x.powi(n), 0.0, 1.0]
    }

    #[test]
    fn the_rules_integrate_the_powers_that_define_them() {
        for n in 0..=22 {
            let (fine, coarse) = both_rules(0.0, 2.0, &power(n));
            let exact = 2.0_f64.powi(n + 1) / f64::from(n + 1);
            assert!((fine[0] / exact - 1.0).abs() < 4e-15, "x^{n} by 15 points");
            if n <= 13 {
                assert!((coarse[0] / exact - 1.0).abs() < 4e-15, "x^{n} by 7 points");
            }
            assert!((fine[2] - 2.0).abs() < 1e-15);
        }
        let beyond = both_rules(0.0, 2.0, &power(30));
        assert!((beyond.1[0] / (2.0_f64.powi(31) / 31.0) - 1.0).abs() > 1e-6);
    }

    #[test]
    fn a_frustum_follows_from_its_sections() {
        // Side 2 at the bottom, 1 at the top, 3 high: areas 4, 2.25, 1; 3/6 (4 + 4 x 2.25 + 1) = 7.
        let side = |z: f64| 2.0 - z / 3.0;
        let frustum = Cubic::through(0.0, 3.0, |z| {
            [side(z) * side(z), side(z) * side(z) * side(z), 1.0]
        });
        assert!((frustum.between(0.0, 3.0)[0] - 7.0).abs() < 1e-14);
        assert!((frustum.at(1.5)[0] - 2.25).abs() < 1e-14);
        // Of the cube of the side from 2 to 1: 3 (16 - 1)/4; and its parts add up.
        assert!((frustum.between(0.0, 3.0)[1] - 11.25).abs() < 1e-14);
        let parts = plus(frustum.between(0.0, 0.7), frustum.between(0.7, 3.0));
        assert!((parts[1] - 11.25).abs() < 1e-14 && (parts[2] - 3.0).abs() < 1e-14);
    }

    #[test]
    fn a_smooth_section_is_integrated_between_any_heights() {
        // 1/(9 + z): log(10/9) from 0 to 1; and of the eighth power from 0.2 to 0.7.
        let smooth = |z: f64| [1.0 / (9.0 + z), z.powi(8), 1.0];
        let series = Series::through(0.0, 1.0, &smooth).expect("smooth");
        assert!((series.between(0.0, 1.0)[0] - libm::log(10.0 / 9.0)).abs() < 1e-13);
        let expected = (0.7_f64.powi(9) - 0.2_f64.powi(9)) / 9.0;
        assert!((series.between(0.2, 0.7)[1] - expected).abs() < 1e-15);
        assert!((series.between(0.2, 0.7)[2] - 0.5).abs() < 1e-15);
        // A kink is no such sum, and what is not a number is none.
        assert_eq!(
            Series::through(0.0, 1.0, &|z| [(z - 0.3).abs(), 0.0, 0.0]),
            None
        );
        assert_eq!(Series::through(0.0, 1.0, &|_| [f64::NAN, 0.0, 0.0]), None);
    }

    #[test]
    fn a_kink_and_a_root_are_closed_in_on() {
        let kink = |x: f64| [(x - 0.3).max(0.0), 0.0, 0.0];
        assert!((gauss_kronrod(0.0, 1.0, Care::USUAL, &kink)[0] - 0.245).abs() < 1e-12);
        let root = |x: f64| [(1.0 - x * x).max(0.0).sqrt(), 0.0, 0.0];
        let quarter_circle = std::f64::consts::FRAC_PI_4;
        assert!((gauss_kronrod(0.0, 1.0, Care::USUAL, &root)[0] - quarter_circle).abs() < 1e-12);
    }

    #[test]
    fn what_is_not_a_number_comes_out_as_such_and_ends() {
        let result = gauss_kronrod(0.0, 1.0, Care::USUAL, &|_| [f64::NAN, 0.0, 0.0]);
        assert!(result[0].is_nan());
    }
}
