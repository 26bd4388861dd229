//! Fitting: hues and a template in, the angle at which they fit best and how badly they miss out.
//!
//! The misfit is F of Cohen-Or and others: each hue's weight times how far it lies outside, in radians.
//! As the template turns, F is made of straight pieces, and its least value stands where some hue lies
//! on the border of some sector; so only these angles are tried, not every degree.

use crate::template::Template;

/// As many hues as two papers can have.
pub(crate) const MOST_HUES: usize = 12;

/// A hue with its say.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Hue {
    /// In degrees.
    pub degrees: f64,
    /// Its share of area times its saturation.
    pub weight: f64,
}

/// F of hues for a template turned to `angle` degrees.
#[must_use]
#[inline]
pub fn misfit(template: Template, angle: f64, hues: &[Hue]) -> f64 {
    hues.iter().map(|hue| hue.weight * template.outside(angle, hue.degrees).to_radians()).sum()
}

/// The least F of hues for a template at any angle, and that angle; 0 at 0 where there is no hue.
#[must_use]
pub fn best_fit(template: Template, hues: &[Hue]) -> (f64, f64) {
    let mut best = (f64::INFINITY, 0.0);
    for hue in hues {
        for sector in template.sectors() {
            for border in [-sector.half_width, sector.half_width] {
                let angle = hue.degrees - sector.centre - border;
                let value = misfit(template, angle, hues);
                if value < best.0 {
                    best = (value, angle.rem_euclid(360.0));
                }
            }
        }
    }
    if best.0.is_finite() { best } else { (0.0, 0.0) }
}

/// The least F for sectors of one width that repeat every `period` degrees: what [`best_fit`] gives for
/// [`Template::HalfWheel`] (360) and [`Template::TwoFamilies`] (180), several times as fast.
#[must_use]
pub(crate) fn least_misfit(period: f64, half_width: f64, hues: &[Hue]) -> f64 {
    let mut within = [Hue::default(); MOST_HUES];
    let hues = &hues[..hues.len().min(MOST_HUES)];
    for (within, hue) in within.iter_mut().zip(hues) {
        *within = Hue { degrees: hue.degrees.rem_euclid(period), weight: hue.weight };
    }
    let within = &within[..hues.len()];
    let mut least = f64::INFINITY;
    for hue in within {
        for border in [-half_width, half_width] {
            let centre = (hue.degrees + border).rem_euclid(period);
            let mut misfit = 0.0;
            for Hue { degrees, weight } in within {
                let turned = (degrees - centre).abs();
                misfit += weight * (turned.min(period - turned) - half_width).max(0.0);
            }
            least = least.min(misfit);
        }
    }
    if least.is_finite() { least.to_radians() } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn template(letters: &str) -> Template {
        match letters {
            "i" => Template::OneHue,
            "I" => Template::TwoOpposite,
            "V" => Template::Neighbours,
            "L" => Template::QuarterOn,
            "mirror_L" => Template::QuarterBack,
            "Y" => Template::NeighboursAndOpposite,
            "T" => Template::HalfWheel,
            "X" => Template::TwoFamilies,
            other => panic!("no template `{other}`"),
        }
    }

    #[test]
    fn the_sectors_are_the_published_ones() {
        let table = include_str!("../../../tests/published/colour/hue_templates.csv");
        let rows = || table.lines().filter(|line| !line.starts_with('#')).skip(1).map(|line| line.split(','));
        let mut sectors = 0;
        for known in Template::ALL {
            let wanted: Vec<(f64, f64)> = rows()
                .map(|mut row| (template(row.next().unwrap()), row.map(|text| text.parse().unwrap()).collect()))
                .filter(|(named, _): &(_, Vec<f64>)| *named == known)
                .map(|(_, numbers)| (numbers[0], numbers[1]))
                .collect();
            let ours: Vec<(f64, f64)> =
                known.sectors().iter().map(|sector| (sector.centre, 2.0 * sector.half_width)).collect();
            assert_eq!(ours, wanted, "{known:?}");
            sectors += ours.len();
        }
        assert_eq!((sectors, rows().count()), (13, 13));
    }

    #[test]
    fn published_cases_come_out() {
        let table = include_str!("../../../tests/published/colour/hue_template_cases.csv");
        let rows: Vec<Vec<&str>> =
            table.lines().filter(|line| !line.starts_with('#')).map(|line| line.split(',').collect()).collect();
        let number = |text: &str| text.parse::<f64>().unwrap();
        let mut checked = 0;
        for best in rows.iter().filter(|row| row[0] == "best") {
            let hues: Vec<Hue> = rows
                .iter()
                .filter(|row| row[0] == "colour" && row[1] == best[1])
                .map(|row| Hue { degrees: number(row[2]), weight: number(row[3]) * number(row[4]) })
                .collect();
            let (template, least, angle) = (template(best[2]), number(best[3]), number(best[4]));
            let what = format!("case {}, {template:?}", best[1]);
            assert!((misfit(template, angle, &hues) - least).abs() < 1e-12, "{what} at {angle}");
            let on_grid = (0..360).map(|angle| misfit(template, f64::from(angle), &hues)).fold(f64::INFINITY, f64::min);
            assert!((on_grid - least).abs() < 1e-12, "{what}: {on_grid} on the grid for {least}");
            // Between whole degrees it may be better, by half a degree for every hue at most.
            let (anywhere, _) = best_fit(template, &hues);
            let half_degree = hues.iter().map(|hue| hue.weight).sum::<f64>() * 0.5_f64.to_radians();
            assert!(anywhere <= least + 1e-12 && anywhere >= least - half_degree, "{what}: {anywhere} for {least}");
            checked += 1;
        }
        assert_eq!(checked, 6 * 8);
    }

    #[test]
    fn the_quick_way_finds_what_the_slow_one_does() {
        let mut seed = 0x9a57_5eed_u64;
        let mut number = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            f64::from(u32::try_from(seed >> 33).unwrap()) / f64::from(1_u32 << 31)
        };
        for round in 0..1_000 {
            let hues: Vec<Hue> = (0..round % 13).map(|_| Hue { degrees: number() * 360.0, weight: number() }).collect();
            for (template, period) in [(Template::HalfWheel, 360.0), (Template::TwoFamilies, 180.0)] {
                let quick = least_misfit(period, template.sectors()[0].half_width, &hues);
                let (slow, _) = best_fit(template, &hues);
                assert!((quick - slow).abs() < 1e-9, "round {round}, {template:?}: {quick} and {slow}");
            }
        }
    }

    #[test]
    fn no_angle_of_a_fine_grid_fits_better() {
        let mut seed = 0x0b5e_55ed_u64;
        let mut number = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            f64::from(u32::try_from(seed >> 33).unwrap()) / f64::from(1_u32 << 31)
        };
        for round in 0..100 {
            let hues: Vec<Hue> =
                (0..1 + round % 7).map(|_| Hue { degrees: number() * 360.0, weight: number() }).collect();
            for template in Template::ALL {
                let (best, angle) = best_fit(template, &hues);
                assert!((misfit(template, angle, &hues) - best).abs() < 1e-9, "round {round}, {template:?}");
                let on_grid = (0..3_600)
                    .map(|tenth| misfit(template, f64::from(tenth) / 10.0, &hues))
                    .fold(f64::INFINITY, f64::min);
                assert!(best <= on_grid + 1e-9, "round {round}, {template:?}: {best} and {on_grid} on the grid");
            }
        }
    }
}
