//! Integrals by panels of Gauss points, coarse or closing in on kinks.

/// Points and weights of the 5-point Gauss rule on 0 to 1: the roots of the fifth Legendre polynomial.
fn gauss() -> [(f64, f64); 5] {
    let inner = (5.0 - 2.0 * (10.0_f64 / 7.0).sqrt()).sqrt() / 3.0;
    let outer = (5.0 + 2.0 * (10.0_f64 / 7.0).sqrt()).sqrt() / 3.0;
    let (near, far) = (
        (322.0 + 13.0 * 70.0_f64.sqrt()) / 1800.0,
        (322.0 - 13.0 * 70.0_f64.sqrt()) / 1800.0,
    );
    [
        (0.5 - 0.5 * outer, far),
        (0.5 - 0.5 * inner, near),
        (0.5, 128.0 / 450.0),
        (0.5 + 0.5 * inner, near),
        (0.5 + 0.5 * outer, far),
    ]
}

/// Integral by panels of five points.
pub(super) fn integral(from: f64, to: f64, panels: usize, f: impl Fn(f64) -> f64) -> f64 {
    let width = (to - from) / panels as f64;
    let panel = |panel: usize| -> f64 {
        let start = from + width * panel as f64;
        gauss()
            .iter()
            .map(|(x, weight)| weight * width * f(start + x * width))
            .sum()
    };
    (0..panels).map(panel).sum()
}

/// Integral by panels that are halved until one agrees with its two halves: kinks are closed in on. There are many to
/// begin with, for a few points see nothing of a kink near one end.
pub(super) fn halved(from: f64, to: f64, f: &impl Fn(f64) -> f64) -> f64 {
    fn halve(from: f64, to: f64, f: &impl Fn(f64) -> f64) -> f64 {
        let middle = 0.5 * (from + to);
        let (whole, halves) = (integral(from, to, 1, f), integral(from, to, 2, f));
        if (whole - halves).abs() < 1e-13 || to - from < 1e-6 {
            halves
        } else {
            halve(from, middle, f) + halve(middle, to, f)
        }
    }
    let panels = 64;
    let at = |panel: i32| from + (to - from) * f64::from(panel) / f64::from(panels);
    (0..panels)
        .map(|panel| halve(at(panel), at(panel + 1), f))
        .sum()
}
