//! The colour arithmetic against its authors' figures: each row of `tests/published/colour` is
//! computed again and must agree within the tolerance said beside it.

#![allow(clippy::unwrap_used, reason = "a test that cannot read its figures should fail")]

use palette::cam16::{Cam16, Cam16UcsJmh, Parameters};
use palette::chromatic_adaptation::{AdaptFromUnclamped, adaptation_matrix};
use palette::color_difference::Ciede2000;
use palette::convert::{Convert, FromColorUnclamped};
use palette::lms::matrix::Bradford;
use palette::white_point::{A, Any, C, D50, D55, D65, D75, E, WhitePoint};
use palette::{FromColor, IntoColor, Lab, LinSrgb, Oklab, Srgb, Xyz};
use swatchfold_api::{
    Colour, cam16_ucs, contrast_ratio, delta_e_2000, delta_e_2000_each, from_hex, hex, is_in_srgb, luminance, oklab,
    palette,
};

/// The rows of a file, each a map from column to text; the file must have `count` of them.
fn rows(name: &str, count: usize) -> Vec<std::collections::BTreeMap<String, String>> {
    let path = format!("{}/../../tests/published/colour/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"));
    assert!(text.starts_with("# "), "{name} does not open with its source");
    let mut lines = text.lines().filter(|line| !line.starts_with("# "));
    let heads: Vec<String> = lines.next().unwrap().split(',').map(str::to_owned).collect();
    let rows: Vec<_> =
        lines.map(|line| heads.iter().cloned().zip(line.split(',').map(str::to_owned)).collect()).collect();
    assert_eq!(rows.len(), count, "{name}");
    rows
}

type Row = std::collections::BTreeMap<String, String>;

fn number(row: &Row, column: &str) -> f64 {
    row[column].parse().unwrap_or_else(|_| panic!("{column} of {row:?}"))
}

fn three(row: &Row, columns: [&str; 3]) -> [f64; 3] {
    columns.map(|column| number(row, column))
}

fn agree(what: &str, found: [f64; 3], wanted: [f64; 3], within: f64) {
    for (found, wanted) in found.iter().zip(wanted) {
        assert!((found - wanted).abs() <= within, "{what}: {found} instead of {wanted}, more than {within} off");
    }
}

fn xyz_parts<W>(xyz: Xyz<W, f64>) -> [f64; 3] {
    [xyz.x, xyz.y, xyz.z]
}

#[test]
fn ciede2000_gives_the_34_published_pairs() {
    for row in rows("ciede2000_sharma.csv", 34) {
        let colour = |columns| {
            let [l, a, b] = three(&row, columns);
            Colour::new(l, a, b)
        };
        let (one, two) = (colour(["L1", "a1", "b1"]), colour(["L2", "a2", "b2"]));
        let wanted = number(&row, "dE00");
        for found in [delta_e_2000(one, two), delta_e_2000(two, one), one.difference(two)] {
            assert!((found - wanted).abs() <= 1e-4, "pair {}: {found} instead of {wanted}", row["pair"]);
        }
    }
}

#[test]
fn ciede2000_is_the_librarys_on_a_great_many_colours() {
    // Colours from a congruential generator, greys and exact opposites among them.
    let mut state = 2005_u64;
    let mut next = |low: f64, high: f64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * f64::from(u32::try_from(state >> 32).unwrap()) / f64::from(u32::MAX)
    };
    let mut colours: Vec<Colour> =
        (0..400).map(|_| Colour::new(next(0.0, 100.0), next(-100.0, 100.0), next(-110.0, 100.0))).collect();
    for at in 0..40 {
        let turned = colours[at];
        colours.push(Colour::new(turned.l, -turned.a, -turned.b));
        colours.push(Colour::new(turned.l, 0.0, 0.0));
        let close = colours[at + 200];
        colours.push(Colour::new(close.l + 0.01, close.a, close.b + 1e-9));
    }
    for &one in &colours {
        let mut each = Vec::new();
        delta_e_2000_each(one, &colours, &mut each);
        for (&two, found) in colours.iter().zip(each) {
            let wanted = one.difference(two);
            // Hues exactly opposite have two means: the library's depends on the last bit of an angle.
            let opposite = (one.a + two.a).abs() + (one.b + two.b).abs() < 1e-9;
            assert!(opposite || (found - wanted).abs() < 1e-6, "{one:?} {two:?}: {found} instead of {wanted}");
            assert!((found - delta_e_2000(one, two)).abs() == 0.0);
        }
    }
}

#[test]
fn srgb_to_xyz_lab_and_oklab() {
    for row in rows("srgb_xyz_lab_oklab.csv", 30) {
        let name = &row["srgb_hex"];
        let rgb: LinSrgb<f64> = name.parse::<Srgb<u8>>().unwrap().into_format::<f64>().into_linear();
        let xyz: Xyz<D65, f64> = rgb.into_color();
        agree(name, xyz_parts(xyz), three(&row, ["X", "Y", "Z"]), 2.5e-4);
        let lab = from_hex(name).unwrap();
        agree(name, [lab.l, lab.a, lab.b], three(&row, ["L_D65", "a_D65", "b_D65"]), 0.02);
        let warm: Lab<D50, f64> = Xyz::<D50, f64>::adapt_from_unclamped(xyz).into_color();
        agree(name, [warm.l, warm.a, warm.b], three(&row, ["L_D50", "a_D50", "b_D50"]), 0.02);
        let wanted = three(&row, ["ok_L", "ok_a", "ok_b"]);
        let direct: Oklab<f64> = Oklab::from_color(rgb);
        agree(name, [direct.l, direct.a, direct.b], wanted, 1e-4);
        let found = oklab(lab);
        agree(name, [found.l, found.a, found.b], wanted, 2.5e-4);
        assert_eq!(&hex(lab), name);
        let [l, a, b] = three(&row, ["L_D65", "a_D65", "b_D65"]);
        assert_eq!(&hex(Colour::new(l, a, b)), name, "from CIELAB as it stands");
    }
}

#[test]
fn oklab_gives_its_authors_table() {
    for row in rows("oklab_ottosson.csv", 4) {
        let [x, y, z] = three(&row, ["X", "Y", "Z"]);
        let found: Oklab<f64> = Oklab::from_color_unclamped(Xyz::<D65, f64>::new(x, y, z));
        agree(&format!("{x} {y} {z}"), [found.l, found.a, found.b], three(&row, ["L", "a", "b"]), 1e-3);
    }
}

/// XYZ under `W`, in the library's values of that white, from XYZ in the file's: a plain stretch,
/// which is what a difference in the fourth digit of a white point asks for.
fn under<W: WhitePoint<f64>>(xyz: [f64; 3], white: [f64; 3]) -> Xyz<W, f64> {
    let own: Xyz<Any, f64> = W::get_xyz();
    Xyz::new(xyz[0] / white[0] * own.x, xyz[1] / white[1] * own.y, xyz[2] / white[2] * own.z)
}

#[test]
fn bradford_between_seven_whites() {
    fn adapted<S: WhitePoint<f64>, T: WhitePoint<f64>>(xyz: [f64; 3]) -> [f64; 3]
    where
        Xyz<T, f64>: AdaptFromUnclamped<Xyz<S, f64>, Scalar = f64>,
    {
        let own = Xyz::<S, f64>::new(xyz[0], xyz[1], xyz[2]);
        xyz_parts(Xyz::<T, f64>::adapt_from_unclamped(own))
    }
    for row in rows("bradford.csv", 24) {
        let xyz = three(&row, ["X", "Y", "Z"]);
        let found = match (row["from"].as_str(), row["to"].as_str()) {
            ("D65", "D50") => adapted::<D65, D50>(xyz),
            ("D50", "D65") => adapted::<D50, D65>(xyz),
            ("A", "D65") => adapted::<A, D65>(xyz),
            ("C", "D65") => adapted::<C, D65>(xyz),
            ("D65", "A") => adapted::<D65, A>(xyz),
            ("E", "D50") => adapted::<E, D50>(xyz),
            ("D75", "D50") => adapted::<D75, D50>(xyz),
            ("D55", "D65") => adapted::<D55, D65>(xyz),
            other => panic!("no such pair of whites: {other:?}"),
        };
        agree(&format!("{row:?}"), found, three(&row, ["Xa", "Ya", "Za"]), 6e-4);
    }
}

/// The same without the library's whites: those of the file, to the last digit it gives.
#[test]
fn bradford_between_the_whites_as_they_stand() {
    // Whites by the chromaticities of CIE 15:2018; the last row of each pair in the file is that of its whites.
    let whites: std::collections::BTreeMap<&str, [f64; 3]> = [
        ("D65", [0.950_456, 1.0, 1.089_058]),
        ("D50", [0.964_296, 1.0, 0.825_105]),
        ("A", [1.098_491, 1.0, 0.355_798]),
        ("C", [0.980_706, 1.0, 1.182_249]),
        ("E", [1.0, 1.0, 1.0]),
        ("D55", [0.956_798, 1.0, 0.921_397]),
        ("D75", [0.949_663, 1.0, 1.226_150]),
    ]
    .into();
    for row in rows("bradford.csv", 24) {
        let white = |column: &str| {
            let [x, y, z] = whites[row[column].as_str()];
            // The type names no white here: both are handed over.
            Xyz::<E, f64>::new(x, y, z)
        };
        let matrix = adaptation_matrix::<f64, E, E, Bradford>(Some(white("from")), Some(white("to")));
        let [x, y, z] = three(&row, ["X", "Y", "Z"]);
        let found: Xyz<E, f64> = matrix.convert(Xyz::<E, f64>::new(x, y, z));
        agree(&format!("{row:?}"), xyz_parts(found), three(&row, ["Xa", "Ya", "Za"]), 3e-6);
    }
}

/// B. Lindbloom, "Chromatic Adaptation", the table of Bradford-adapted matrices: D65 to D50, seven decimals.
#[test]
fn bradford_from_d65_to_d50_is_the_tabled_matrix() {
    let matrix = adaptation_matrix::<f64, D65, D50, Bradford>(None, None);
    let table = [
        [1.047_811_2, 0.022_886_6, -0.050_127_0],
        [0.029_542_4, 0.990_484_4, -0.017_049_1],
        [-0.009_234_5, 0.015_043_6, 0.752_131_6],
    ];
    for column in 0..3 {
        let mut one = [0.0; 3];
        one[column] = 1.0;
        let found: Xyz<D50, f64> = matrix.convert(Xyz::<D65, f64>::new(one[0], one[1], one[2]));
        agree(&format!("column {column}"), xyz_parts(found), [0, 1, 2].map(|row| table[row][column]), 1e-7);
    }
}

#[test]
fn cam16_under_five_viewing_conditions() {
    for row in rows("cam16.csv", 25) {
        let hundredth = |columns| three(&row, columns).map(|value: f64| value / 100.0);
        let ([x, y, z], [xw, yw, zw]) = (hundredth(["X", "Y", "Z"]), hundredth(["Xw", "Yw", "Zw"]));
        let mut viewing = Parameters::default_dynamic_wp(Xyz::<Any, f64>::new(xw, yw, zw), number(&row, "L_A"));
        viewing.background_luminance = number(&row, "Y_b") / 100.0;
        let found = Cam16::from_xyz(Xyz::<Any, f64>::new(x, y, z), viewing);
        let what = format!("{row:?}");
        agree(&what, [found.lightness, found.chroma, found.saturation], three(&row, ["J", "C", "s"]), 1e-4);
        let turn = (found.hue.into_positive_degrees() - number(&row, "h") + 540.0).rem_euclid(360.0) - 180.0;
        // A near-neutral's hue is poorly determined: an error of 1e-4 in chroma moves it by this much.
        assert!(turn.abs() <= 1e-3 + 1e-4 / number(&row, "C"), "{what}: {turn}");
        agree(&what, [found.brightness, found.colorfulness, 0.0], [number(&row, "Q"), number(&row, "M"), 0.0], 1e-4);
        let jmh = Cam16UcsJmh::from_color(palette::cam16::Cam16Jmh::from_full(found));
        let ucs = palette::cam16::Cam16UcsJab::from_color(jmh);
        agree(&what, [ucs.lightness, ucs.a, ucs.b], three(&row, ["ucs_J", "ucs_a", "ucs_b"]), 1e-4);
    }
}

#[test]
fn cam16_ucs_of_screen_colours() {
    for row in rows("cam16ucs_srgb.csv", 30) {
        let found = cam16_ucs(from_hex(&row["srgb_hex"]).unwrap());
        agree(&row["srgb_hex"], [found.lightness, found.a, found.b], three(&row, ["J", "a", "b"]), 0.02);
    }
}

#[test]
fn munsell_renotation() {
    for row in rows("munsell_renotation_subset.csv", 59) {
        let [x, y, luma] = three(&row, ["x", "y", "Y"]);
        let luma = luma / 102.568;
        let found = [x / y * luma, luma, (1.0 - x - y) / y * luma];
        // Illuminant C by its chromaticity, xy (0.31006, 0.31616).
        let white = [0.310_06 / 0.316_16, 1.0, (1.0 - 0.310_06 - 0.316_16) / 0.316_16];
        let here: Xyz<D65, f64> = Xyz::adapt_from_unclamped(under::<C>(found, white));
        let what = format!("{} {}/{}", row["H"], row["V"], row["C"]);
        let lab: Colour = Colour::from_color_unclamped(here);
        agree(&what, [lab.l, lab.a, lab.b], three(&row, ["L", "a", "b"]), 0.02);
        let ok = oklab(lab);
        agree(&what, [ok.l, ok.a, ok.b], three(&row, ["ok_L", "ok_a", "ok_b"]), 2.5e-4);
    }
}

#[test]
fn cie_test_colour_samples() {
    fn lab<W: WhitePoint<f64>>(xyz: [f64; 3], white: [f64; 3]) -> [f64; 3] {
        let lab = Lab::<W, f64>::from_color_unclamped(under::<W>(xyz, white));
        [lab.l, lab.a, lab.b]
    }
    for row in rows("cie_tcs.csv", 42) {
        let xyz = three(&row, ["X", "Y", "Z"]);
        // The whites of the file's own conventions: D65 and D50 by chromaticity, A as tabulated in CIE 15.
        let found = match row["illuminant"].as_str() {
            "D65" => lab::<D65>(xyz, [0.950_456, 1.0, 1.089_058]),
            "D50" => lab::<D50>(xyz, [0.964_296, 1.0, 0.825_105]),
            "A" => lab::<A>(xyz, [1.098_491, 1.0, 0.355_798]),
            other => panic!("no such illuminant: {other}"),
        };
        agree(&format!("{} {}", row["sample"], row["illuminant"]), found, three(&row, ["L", "a", "b"]), 0.02);
    }
}

#[test]
fn contrast_is_that_of_the_guidelines() {
    for row in rows("harmony_pairs.csv", 16) {
        let (one, two) = (from_hex(&row["hex1"]).unwrap(), from_hex(&row["hex2"]).unwrap());
        let wanted = number(&row, "wcag_contrast");
        // Libraries that use unrounded coefficients differ by up to 0.0012.
        assert!((contrast_ratio(one, two) - wanted).abs() <= 0.0015, "{row:?}: {}", contrast_ratio(one, two));
        let found = delta_e_2000(one, two);
        assert!((found - number(&row, "dE00")).abs() <= 0.02, "{row:?}: {found}");
        // From CIELAB as it stands, where the library's white has no say.
        let from_lab = |columns| {
            let [l, a, b] = three(&row, columns);
            Colour::new(l, a, b)
        };
        let (one, two) = (from_lab(["L1", "a1", "b1"]), from_lab(["L2", "a2", "b2"]));
        let found = delta_e_2000(one, two);
        assert!((found - number(&row, "dE00")).abs() <= 1e-4, "{row:?}: {found}");
        assert!((contrast_ratio(one, two) - wanted).abs() <= 0.0015, "{row:?}: {}", contrast_ratio(one, two));
    }
}

#[test]
fn nothing_is_brighter_than_white_or_darker_than_black() {
    for lightness in [-5.0, 0.0, 5.0, 50.0, 100.0, 120.0] {
        let colour = Colour::new(lightness, 0.0, 0.0);
        assert!((0.0..=1.0).contains(&luminance(colour)));
        let found = cam16_ucs(colour);
        assert!(found.lightness.is_finite() && found.a.is_finite() && found.b.is_finite());
    }
    assert_eq!(from_hex("#12345"), None);
    assert_eq!(from_hex("red"), None);
}

#[test]
fn what_is_no_number_has_no_difference() {
    let grey = Colour::new(50.0, 0.0, 0.0);
    for bad in
        [Colour::new(f64::NAN, 0.0, 0.0), Colour::new(50.0, f64::NAN, 0.0), Colour::new(50.0, 0.0, f64::INFINITY)]
    {
        assert!(!delta_e_2000(grey, bad).is_finite(), "{bad:?}");
        assert!(!delta_e_2000(bad, grey).is_finite(), "{bad:?}");
        assert!(!delta_e_2000(bad, bad).is_finite(), "{bad:?}");
    }
}

#[test]
fn what_a_screen_cannot_show_is_told_apart() {
    assert!(
        ["#ffffff", "#000000", "#ff0000", "#0000ff", "#00ff00"].iter().all(|text| is_in_srgb(from_hex(text).unwrap()))
    );
    // A green of the Munsell renotation and a turquoise far out.
    assert!(!is_in_srgb(Colour::new(60.0, -90.0, 10.0)));
    assert!(!is_in_srgb(Colour::new(f64::NAN, 0.0, 0.0)));
}
