//! Days: a day as written in, a count of days that can be compared and subtracted out, and back.
//! It knows no clock; today comes in as an argument.

use std::fmt;

/// A day, counted from 1 January 1970 (civil, Gregorian).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date(pub i32);

/// The years a stash may name; anything else is a slip of the pen.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=2199;

/// Days in 400 years of the Gregorian calendar.
const DAYS_IN_AN_ERA: i32 = 146_097;

/// Days from 1 March of the year 0 to 1 January 1970.
const EPOCH: i32 = 719_468;

impl Date {
    /// The day of a year, month and day, if there is one in 1900 to 2199.
    ///
    /// ```
    /// use swatchfold::stash::Date;
    /// assert_eq!(Date::from_ymd(1970, 1, 31), Some(Date(30)));
    /// assert_eq!(Date::from_ymd(2026, 2, 29), None);
    /// ```
    #[must_use]
    pub fn from_ymd(year: i32, month: u32, day: u32) -> Option<Self> {
        if !YEARS.contains(&year) || !(1..=12).contains(&month) || !(1..=31).contains(&day) {
            return None;
        }
        let (month, day) = (i32::try_from(month).ok()?, i32::try_from(day).ok()?);
        // Years are counted from March, so that the leap day is the last of its year.
        let year = if month <= 2 { year - 1 } else { year };
        let (era, year_of_era) = (year.div_euclid(400), year.rem_euclid(400));
        let day_of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
        let day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
        let date = Self(era * DAYS_IN_AN_ERA + day_of_era - EPOCH);
        // 31 April counts on into May, so a day that does not come back as it went in is none.
        let (_, month_back, day_back) = date.ymd();
        ((month_back, day_back) == (u32::try_from(month).ok()?, u32::try_from(day).ok()?)).then_some(date)
    }

    /// Its year, month and day.
    #[must_use]
    pub fn ymd(self) -> (i32, u32, u32) {
        let days = i64::from(self.0) + i64::from(EPOCH);
        let (era, day_of_era) = (days.div_euclid(DAYS_IN_AN_ERA.into()), days.rem_euclid(DAYS_IN_AN_ERA.into()));
        let year_of_era = (day_of_era - day_of_era / 1_460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
        let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        let from_march = (5 * day_of_year + 2) / 153;
        let day = day_of_year - (153 * from_march + 2) / 5 + 1;
        let month = if from_march < 10 { from_march + 3 } else { from_march - 9 };
        let year = era * 400 + year_of_era + i64::from(month <= 2);
        // A count of days in `i32` spans under six million years, so all three fit.
        (i32::try_from(year).unwrap_or(0), u32::try_from(month).unwrap_or(1), u32::try_from(day).unwrap_or(1))
    }

    /// Reads `2026-03-01`.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let mut parts = text.trim().split('-');
        let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
        let plain = |part: &str, digits: usize| part.len() == digits && part.bytes().all(|byte| byte.is_ascii_digit());
        if parts.next().is_some() || !plain(year, 4) || !plain(month, 2) || !plain(day, 2) {
            return None;
        }
        Self::from_ymd(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?)
    }

    /// How many days lie between an earlier day and this one; 0 where it is not earlier.
    #[must_use]
    pub fn days_since(self, earlier: Self) -> u32 {
        u32::try_from(i64::from(self.0) - i64::from(earlier.0)).unwrap_or(0)
    }
}

impl fmt::Display for Date {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, month, day) = self.ymd();
        write!(out, "{year:04}-{month:02}-{day:02}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_day_of_three_centuries_comes_back_as_it_went_in() {
        let mut last = Date::from_ymd(1900, 1, 1).unwrap().0 - 1;
        for year in 1900..=2199 {
            for month in 1..=12 {
                for day in 1..=31 {
                    let Some(date) = Date::from_ymd(year, month, day) else { continue };
                    assert_eq!(date.ymd(), (year, month, day));
                    assert_eq!(date.0, last + 1, "{date}");
                    assert_eq!(Date::parse(&date.to_string()), Some(date));
                    last = date.0;
                }
            }
        }
        // 300 years with 72 leap days: 1900, 2100 have none, 2000 has.
        assert_eq!(last - Date::from_ymd(1900, 1, 1).unwrap().0 + 1, 300 * 365 + 73);
    }

    #[test]
    fn what_is_no_day_is_refused() {
        for text in ["", "2026", "2026-3-1", "2026-13-01", "2026-02-29", "1899-12-31", "2200-01-01", "2026-03-01-1"] {
            assert_eq!(Date::parse(text), None, "{text}");
        }
        assert_eq!(Date::parse(" 2024-02-29 ").map(|date| date.to_string()).as_deref(), Some("2024-02-29"));
    }

    #[test]
    fn days_between_never_go_below_none() {
        let (early, late) = (Date::parse("2026-02-27").unwrap(), Date::parse("2026-03-01").unwrap());
        assert_eq!((late.days_since(early), early.days_since(late)), (2, 0));
        assert_eq!(Date(i32::MAX).days_since(Date(i32::MIN)), u32::MAX);
        for extreme in [i32::MIN, i32::MAX] {
            assert!(!Date(extreme).to_string().is_empty());
        }
    }
}
