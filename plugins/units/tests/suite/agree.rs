//! Reading, printing and adding checked against a second, slower way: plain counts of sixty-fourths.

use crate::seeded::Seeded;
use units::{Area, Exactness, Length, Named, Purpose, ROUNDED_MARK, Region, Ruler, Size, Turn, Unit};

const SEED: u64 = 1_952_038_617;
const SIXTY_FOURTH: i64 = 396_875;

#[test]
fn every_sixty_fourth_up_to_20_in_reads_back_as_it_was_printed() {
    for count in 0..=20 * 64 {
        let length = Length::from_nanometres(SIXTY_FOURTH * count);
        let printed = length.exact(Unit::Inch);
        assert!(printed.ends_with(" in"), "{printed}");
        assert_eq!(Length::parse(&printed, Unit::Millimetre), Ok(length), "{printed}");
        assert_eq!(Length::inches(0, count, 64), Some(length), "{printed}");
        // As it would be pencilled or typed otherwise.
        let bare = printed.trim_end_matches(" in");
        let others =
            [format!("{bare}\""), bare.replace(' ', "-"), format!("{count}/64 in"), length.to_mm_decimal() + "mm"];
        for other in others {
            assert_eq!(Length::parse(&other, Unit::Inch), Ok(length), "{other}");
        }
    }
}

#[test]
fn every_length_reads_back_exactly_in_both_units() {
    let mut random = Seeded::new(SEED);
    for round in 0..20_000 {
        let longest = Length::LONGEST.nanometres() >> random.between(0, 37);
        let step = random.one_of(&[1, 127, 1_000, SIXTY_FOURTH, 500_000]);
        let length = Length::from_nanometres(random.between(-longest, longest) / step * step);
        for unit in [Unit::Inch, Unit::Millimetre] {
            let printed = length.exact(unit);
            assert_eq!(Length::parse_signed(&printed, Unit::Inch), Ok(length), "seed {SEED}, round {round}: {printed}");
        }
        let printed = length.to_mm_decimal();
        let read = Length::parse_signed(&printed, Unit::Millimetre);
        assert_eq!(read, Ok(length), "seed {SEED}, round {round}: {printed}");
    }
}

#[test]
fn composed_texts_mean_what_they_were_composed_from() {
    let mut random = Seeded::new(SEED);
    let inch = (25_400_000_i64, [" in", "in", "\"", "″", " inches", "''"]);
    let millimetre = (1_000_000, [" mm", "mm", " MM", "\u{a0}mm", " millimetres", "  mm "]);
    let centimetre = (10_000_000, [" cm", "cm", " Cm", "cm.", " centimetres", "  cm "]);
    for round in 0..20_000 {
        let (scale, units) = random.one_of(&[inch, millimetre, centimetre]);
        let whole = random.between(0, 40);
        let (number, nanometres) = if random.between(0, 1) == 0 {
            let bottom = random.one_of(&[2, 4, 8, 16, 32, 64]);
            let top = random.between(0, bottom - 1);
            let between = random.one_of(&[" ", "-", "–", "  ", "\u{2009}"]);
            let stroke = random.one_of(&["/", "⁄", " / "]);
            (format!("{whole}{between}{top}{stroke}{bottom}"), whole * scale + top * (scale / bottom))
        } else {
            let (tenths, zeros) = (random.between(0, 99_999), random.one_of(&["", "0", "0000000000000000"]));
            let mark = random.one_of(&[".", ","]);
            (format!("{whole}{mark}{tenths:05}{zeros}"), whole * scale + tenths * (scale / 100_000))
        };
        let text = format!("{number}{}", random.one_of(&units));
        let read = Length::parse(&text, Unit::Inch).map(Length::nanometres);
        assert_eq!(read, Ok(nanometres), "seed {SEED}, round {round}: {text:?}");
    }
}

#[test]
fn a_sum_of_fractions_never_drifts() {
    let mut random = Seeded::new(SEED);
    for round in 0..500 {
        let counts: Vec<i64> = (0..random.between(1, 200)).map(|_| random.between(-64 * 12, 64 * 12)).collect();
        let forwards: Length = counts.iter().map(|count| Length::from_nanometres(SIXTY_FOURTH * count)).sum();
        let backwards: Length = counts.iter().rev().map(|count| Length::from_nanometres(SIXTY_FOURTH * count)).sum();
        let total: i64 = counts.iter().sum();
        assert_eq!(forwards, backwards, "seed {SEED}, round {round}");
        assert_eq!(Some(forwards), Length::inches(0, total, 64), "seed {SEED}, round {round}");
    }
    let tenths: Length = (0..10).map(|_| Length::parse("0.1 in", Unit::Inch).expect("a tenth")).sum();
    assert_eq!(tenths, Length::INCH, "ten tenths, which binary floats miss");
}

#[test]
fn a_ruler_shows_a_mark_within_one_step_and_reads_back() {
    let mut random = Seeded::new(SEED);
    for round in 0..20_000 {
        let ruler = random.one_of(&Ruler::ALL);
        let grain = random.one_of(&[1, SIXTY_FOURTH, 250_000]);
        let length = Length::from_nanometres(random.between(-2_000, 2_000) * grain + random.between(0, 1) * grain / 2);
        let (down, nearest) = (ruler.down(length), ruler.nearest(length));
        let place = format!("seed {SEED}, round {round}: {} mm", length.to_mm_decimal());
        assert!(down.shown <= length && length - down.shown < ruler.step(), "{place}: {down}");
        assert!((nearest.shown - length).abs() * 2 <= ruler.step(), "{place}: {nearest}");
        for ruled in [down, nearest] {
            assert_eq!(ruled.length, length, "{place}");
            assert_eq!(ruled.shown.nanometres() % ruler.step().nanometres(), 0, "{place}: {ruled}");
            assert_eq!(ruled.exact == Exactness::Exact, ruled.shown == length, "{place}: {ruled}");
            let printed = ruled.to_string();
            assert_eq!(printed.starts_with(ROUNDED_MARK), ruled.exact != Exactness::Exact, "{place}: {ruled}");
            let read = Length::parse_signed(printed.trim_start_matches(ROUNDED_MARK), Unit::Inch);
            assert_eq!(read, Ok(ruled.shown), "{place}: {ruled}");
        }
    }
}

#[test]
fn sizes_read_back_and_fit_as_their_sides_say() {
    let mut random = Seeded::new(SEED);
    for round in 0..5_000 {
        let mut side = || Length::from_nanometres(random.between(1, 64 * 12) * random.one_of(&[SIXTY_FOURTH, 500_000]));
        let (one, other) = (Size::new(side(), side()), Size::new(side(), side()));
        for unit in [Unit::Inch, Unit::Millimetre] {
            let printed = one.exact(unit);
            assert_eq!(Size::parse(&printed, Unit::Inch), Ok(one), "seed {SEED}, round {round}: {printed}");
            let read = Size::read(&printed, Unit::Millimetre, Region::Us, Purpose::Card);
            assert_eq!(read, Ok(one), "seed {SEED}, round {round}: {printed}");
        }
        let upright = one.width <= other.width && one.height <= other.height;
        let across = one.height <= other.width && one.width <= other.height;
        assert_eq!(one.fits_in(other, Turn::AsPrinted), upright, "seed {SEED}, round {round}");
        assert_eq!(one.fits_in(other, Turn::Either), upright || across, "seed {SEED}, round {round}");
    }
}

#[test]
fn what_is_printed_beside_a_name_reads_back_as_its_size() {
    for named in Named::all() {
        let printed = named.to_string();
        let inside = printed.split_once('(').and_then(|(_, rest)| rest.strip_suffix(')')).expect("a size in brackets");
        assert_eq!(Size::parse(inside, Unit::Inch), Ok(named.size()), "{printed}");
    }
}

#[test]
fn printed_areas_are_within_half_a_hundredth() {
    let mut random = Seeded::new(SEED);
    for round in 0..5_000 {
        let (one, other) = (random.between(0, 1_000_000_000), random.between(-1_000_000_000, 1_000_000_000));
        let area = Length::from_nanometres(one) * Length::from_nanometres(other);
        for (unit, sign, hundredth) in
            [(Unit::Inch, " sq in", 254_000 * 25_400_000_i128), (Unit::Millimetre, " cm²", 1_000_000_000_000)]
        {
            let printed = area.rounded(unit);
            let number = printed.strip_suffix(sign).expect(sign).trim_start_matches(ROUNDED_MARK);
            let (whole, part) = number.split_once('.').unwrap_or((number, ""));
            let digits: i128 = format!("{whole}{part:0<2}").parse().expect("digits");
            let off = (area - Area::from_square_nanometres(digits * hundredth)).square_nanometres();
            assert!(off.abs() * 2 <= hundredth, "seed {SEED}, round {round}: {printed}");
            assert_eq!(printed.starts_with(ROUNDED_MARK), off != 0, "seed {SEED}, round {round}: {printed}");
        }
    }
}
