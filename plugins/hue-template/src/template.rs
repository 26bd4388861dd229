//! The templates: sectors of the colour wheel, and how far a hue lies outside them.

/// A sector of the colour wheel, relative to the angle a template is turned to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sector {
    /// Its middle, in degrees.
    pub centre: f64,
    /// How far it reaches to either side of its middle, in degrees.
    pub half_width: f64,
}

/// A template of Matsuda's, by what it holds. The letters are Cohen-Or's and stay out of sight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Template {
    /// i: one narrow sector.
    OneHue,
    /// I: two narrow sectors facing each other.
    TwoOpposite,
    /// V: one broad sector.
    Neighbours,
    /// L: a narrow sector and a broad one a quarter turn on.
    QuarterOn,
    /// The mirror image of L: the broad one a quarter turn back.
    QuarterBack,
    /// Y: a broad sector and a narrow one facing it.
    NeighboursAndOpposite,
    /// T: half of the wheel.
    HalfWheel,
    /// X: two broad sectors facing each other.
    TwoFamilies,
}

const fn sector(centre: f64, width: f64) -> Sector {
    Sector { centre, half_width: width / 2.0 }
}

impl Template {
    /// All of them, the narrowest first.
    pub const ALL: [Self; 8] = [
        Self::OneHue,
        Self::TwoOpposite,
        Self::Neighbours,
        Self::QuarterOn,
        Self::QuarterBack,
        Self::NeighboursAndOpposite,
        Self::HalfWheel,
        Self::TwoFamilies,
    ];

    /// Its sectors, as Cohen-Or and others (2006) give them.
    #[must_use]
    pub const fn sectors(self) -> &'static [Sector] {
        match self {
            Self::OneHue => &const { [sector(0.0, 18.0)] },
            Self::TwoOpposite => &const { [sector(0.0, 18.0), sector(180.0, 18.0)] },
            Self::Neighbours => &const { [sector(0.0, 93.6)] },
            Self::QuarterOn => &const { [sector(0.0, 18.0), sector(90.0, 79.2)] },
            Self::QuarterBack => &const { [sector(0.0, 18.0), sector(-90.0, 79.2)] },
            Self::NeighboursAndOpposite => &const { [sector(0.0, 93.6), sector(180.0, 18.0)] },
            Self::HalfWheel => &const { [sector(90.0, 180.0)] },
            Self::TwoFamilies => &const { [sector(0.0, 93.6), sector(180.0, 93.6)] },
        }
    }

    /// How far a hue lies outside the template turned to `angle`, in degrees; 0 inside.
    #[must_use]
    #[inline]
    pub fn outside(self, angle: f64, hue: f64) -> f64 {
        let mut least = f64::INFINITY;
        for sector in self.sectors() {
            least = least.min((apart(hue, angle + sector.centre) - sector.half_width).max(0.0));
        }
        least
    }
}

/// The angle between two directions, 0 to 180 degrees.
#[inline]
pub(crate) fn apart(one: f64, other: f64) -> f64 {
    let turned = (one - other).abs();
    let within = turned - 360.0 * (turned / 360.0).floor();
    within.min(360.0 - within)
}
