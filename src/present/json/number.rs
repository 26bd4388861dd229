//! Numbers for JSON. Lengths, scores and shares are written from whole numbers digit by digit, and no
//! float takes part; only the arithmetic of colours ([`Decimal`]) is in floats.

use api::units::Length;
use serde::ser::Error;
use serde::{Serialize, Serializer};
use serde_json::value::RawValue;

/// A length in millimetres.
#[derive(Clone, Copy)]
pub(super) struct Millimetres(pub(super) Length);

/// So many millionths, as a decimal.
#[derive(Clone, Copy)]
pub(super) struct Millionths(pub(super) i64);

/// A number of the arithmetic of colours, to nine decimals: what lies beyond differs between machines.
#[derive(Clone, Copy)]
pub(super) struct Decimal(pub(super) f64);

impl Serialize for Decimal {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if !self.0.is_finite() {
            return serializer.serialize_none();
        }
        let text = format!("{:.9}", self.0);
        let text = text.trim_end_matches('0').trim_end_matches('.');
        raw(if text == "-0" { "0" } else { text }.to_owned(), serializer)
    }
}

impl Millionths {
    /// From a count that fits wherever a share or a worth does.
    pub(super) fn of(count: impl Into<u64>) -> Self {
        Self(i64::try_from(count.into()).unwrap_or(i64::MAX))
    }
}

impl Serialize for Millimetres {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        raw(self.0.to_mm_decimal(), serializer)
    }
}

impl Serialize for Millionths {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        raw(decimal(self.0), serializer)
    }
}

fn raw<S: Serializer>(text: String, serializer: S) -> Result<S::Ok, S::Error> {
    RawValue::from_string(text).map_err(S::Error::custom)?.serialize(serializer)
}

/// Millionths as a decimal without needless zeros.
pub(super) fn decimal(count: i64) -> String {
    let minus = if count < 0 { "-" } else { "" };
    let (whole, rest) = (count.unsigned_abs() / 1_000_000, count.unsigned_abs() % 1_000_000);
    if rest == 0 {
        return format!("{minus}{whole}");
    }
    format!("{minus}{whole}.{}", format!("{rest:06}").trim_end_matches('0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_as_they_are() {
        for (count, text) in [
            (0, "0"),
            (1, "0.000001"),
            (-30_000, "-0.03"),
            (1_000_000, "1"),
            (734_512, "0.734512"),
            (i64::MIN, "-9223372036854.775808"),
        ] {
            assert_eq!(serde_json::to_string(&Millionths(count)).unwrap(), text);
        }
        let card = Length::inches(4, 1, 4).unwrap();
        assert_eq!(serde_json::to_string(&[Millimetres(card), Millimetres(-Length::INCH)]).unwrap(), "[107.95,-25.4]");
        assert_eq!(Millionths::of(u64::MAX).0, i64::MAX);
        let decimals = [1.0, -1e-12, 0.1 + 0.2, -2.5, 100.0, f64::NAN].map(Decimal);
        assert_eq!(serde_json::to_string(&decimals).unwrap(), "[1,0,0.3,-2.5,100,null]");
    }
}
