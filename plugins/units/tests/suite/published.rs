//! Published sizes and worked examples, one file each under `tests/published/units`, sources on top.

use std::fs;
use std::path::Path;
use units::{Length, Named, Purpose, Region, Ruler, Size, Turn, Unit, iso216_tolerance};

/// The rows of a file under the names of its columns; comments, names and empty cells are checked for.
fn rows<const COLUMNS: usize>(file: &str, columns: [&str; COLUMNS]) -> Vec<[String; COLUMNS]> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/published/units").join(file);
    let text = fs::read_to_string(&path).unwrap_or_else(|why| panic!("{}: {why}", path.display()));
    assert!(text.starts_with("# "), "{file}: its source must stand on top");
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    assert_eq!(lines.next(), Some(columns.join(",").as_str()), "{file}: columns");
    let rows: Vec<_> = lines
        .map(|line| {
            let cells: Vec<String> = line.split(',').map(str::to_owned).collect();
            cells.try_into().unwrap_or_else(|_| panic!("{file}: {line}: wrong number of cells"))
        })
        .collect();
    assert!(!rows.is_empty(), "{file}: no rows");
    rows
}

fn length(text: &str) -> Length {
    Length::parse_signed(text, Unit::Millimetre).unwrap_or_else(|why| panic!("{text}: {why}"))
}

fn size(text: &str) -> Size {
    Size::read(text, Unit::Millimetre, Region::Iso, Purpose::Sheet).unwrap_or_else(|why| panic!("{text}: {why}"))
}

fn check_sizes<const COLUMNS: usize>(file: &str, columns: [&str; COLUMNS]) -> usize {
    let rows = rows(file, columns);
    for row in &rows {
        let purpose = match row[1].as_str() {
            "card" => Purpose::Card,
            "sheet" => Purpose::Sheet,
            "envelope" => Purpose::Envelope,
            other => panic!("{file}: `{other}` is no purpose"),
        };
        for region in [Region::Us, Region::Iso] {
            let named = Named::lookup(&row[0], region, purpose).unwrap_or_else(|why| panic!("{}: {why}", row[0]));
            assert_eq!((named.size(), named.purpose()), (size(&row[2]), purpose), "{file}: {} is {named}", row[0]);
        }
        let bare = row[0].strip_prefix("US ").map(|name| (name, Region::Us));
        if let Some((name, region)) = bare.or(row[0].strip_prefix("ISO ").map(|name| (name, Region::Iso))) {
            assert_eq!(Named::lookup(name, region, purpose).map(Named::size), Ok(size(&row[2])), "{file}: {name}");
        }
    }
    rows.len()
}

#[test]
fn named_sizes_are_the_published_ones_and_there_are_no_others() {
    let size_columns = ["name", "purpose", "size"];
    let published = check_sizes("iso216.csv", size_columns)
        + check_sizes("iso269.csv", size_columns)
        + check_sizes("us-sheets.csv", size_columns)
        + check_sizes("us-envelopes.csv", size_columns)
        + check_sizes("us-cards.csv", ["name", "purpose", "size", "source"]);
    // Tabloid is the ledger's second name.
    assert_eq!(published, Named::all().count() + 1);
}

#[test]
fn finished_sheets_keep_their_name_within_the_published_tolerance() {
    for [side, tolerance] in rows("iso216-tolerance.csv", ["side", "tolerance"]) {
        assert_eq!(iso216_tolerance(length(&side)), length(&tolerance), "{side}");
    }
}

#[test]
fn inches_are_exact_in_nanometres_and_millimetres() {
    for [id, inches, nanometres, mm] in rows("inch-exact.csv", ["id", "inches", "nanometres", "mm"]) {
        let read = Length::parse(&inches, Unit::Inch).expect("an inch fraction");
        assert_eq!(read.nanometres().to_string(), nanometres, "{id}");
        assert_eq!(read.to_mm_decimal(), mm, "{id}");
        assert_eq!(read.exact(Unit::Inch), format!("{inches} in"), "{id}");
        assert_eq!(length(&format!("{mm} mm")), read, "{id}");
    }
}

#[test]
fn the_nearest_fraction_is_the_worked_one() {
    let columns = ["id", "length", "denominator", "numerator", "error"];
    for [id, text, denominator, numerator, error] in rows("nearest-fraction.csv", columns) {
        let ruler = match denominator.as_str() {
            "16" => Ruler::sixteenths(),
            "32" => Ruler::thirty_seconds(),
            other => panic!("{id}: no ruler of {other}ths"),
        };
        let ruled = ruler.nearest(length(&text));
        assert_eq!(
            ruled.shown,
            Length::parse(&format!("{numerator}/{denominator} in"), Unit::Inch).expect(&id),
            "{id}"
        );
        // The error is printed to a thousandth of a millimetre, so it may be off by half of one.
        let off = (ruled.shown - ruled.length - length(&error)).abs();
        assert!(
            off <= Length::from_nanometres(500),
            "{id}: {} against {error}",
            (ruled.shown - ruled.length).to_mm_decimal()
        );
    }
}

#[test]
fn mats_step_in_by_their_reveals() {
    let columns = ["id", "base", "reveals", "layers", "overlap", "hole", "hole area in square inches"];
    for [id, base, reveals, layers, overlap, hole, area] in rows("mats.csv", columns) {
        let mut layer = size(&base);
        let mut stack = Vec::new();
        for reveal in reveals.split("; ") {
            layer = layer.inset(length(reveal)).expect(&id);
            stack.push(layer);
        }
        assert_eq!(stack, layers.split("; ").map(size).collect::<Vec<_>>(), "{id}");
        if !hole.is_empty() {
            let inside = layer.inset(length(&overlap)).expect(&id);
            assert_eq!(inside, size(&hole), "{id}");
            // Thousandths of a square inch, as printed; a square mil is (25,400 nm) squared.
            let printed: i128 = area.replace('.', "").parse().expect(&id);
            let off = inside.area().square_nanometres() - printed * 1_000 * 25_400 * 25_400;
            assert!(off.abs() <= 500 * 25_400 * 25_400, "{id}: {}", inside.area().rounded(Unit::Inch));
        }
    }
}

#[test]
fn so_many_blanks_come_from_a_sheet_and_so_much_is_left() {
    /// How many, all lying as the blank does, in rows and columns.
    fn in_rows(blank: Size, sheet: Size) -> i64 {
        let along = |sheet: Length, blank: Length| sheet.nanometres() / blank.nanometres();
        along(sheet.width, blank.width) * along(sheet.height, blank.height)
    }
    for [id, sheet, blank, count, unused] in rows("blanks.csv", ["id", "sheet", "blank", "count", "unused per mille"]) {
        let (sheet, blank) = (size(&sheet), size(&blank));
        assert!(blank.fits_in(sheet, Turn::Either), "{id}");
        let most = in_rows(blank, sheet).max(in_rows(blank.turned(), sheet));
        assert_eq!(most.to_string(), count, "{id}");
        let whole = sheet.area().square_nanometres();
        let left = whole - i128::from(most) * blank.area().square_nanometres();
        // Rounded to the nearest thousandth, in whole numbers.
        assert_eq!(((left * 2_000 + whole) / (whole * 2)).to_string(), unused, "{id}");
    }
}
