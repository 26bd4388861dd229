//! What the maker should know about how a picture was read, in her words.

use std::fmt;

/// One thing worth knowing about how a picture was read. Shown as a sentence without a full stop.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Note {
    /// Turned or mirrored as the camera said.
    Turned,
    /// A colour profile other than sRGB was followed.
    ProfileFollowed {
        /// What the profile calls itself; empty where it has no readable name.
        name: String,
    },
    /// There is a colour profile and it could not be followed.
    ProfileUnreadable,
    /// The picture has no colour.
    Grey,
    /// Parts are see-through; they were laid on white.
    LaidOnWhite,
    /// Finer steps than are kept here.
    SixteenBit,
    /// In print colours (CMYK); turned into screen colours without a press profile.
    PrintColours,
    /// White was to be found and was not: the colours are estimates.
    NoWhite,
    /// Only one patch of white is known.
    OnePatch,
    /// The white is at full strength in much of the picture.
    WhiteBurnt,
    /// Places shine brighter than white paper can: metal or glitter.
    Shine,
}

impl fmt::Display for Note {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Turned => write!(out, "the picture was turned upright, as the camera noted"),
            Self::ProfileFollowed { name } if name.is_empty() => {
                write!(out, "the picture's colour profile was followed")
            }
            Self::ProfileFollowed { name } => write!(out, "the picture's colour profile ({name}) was followed"),
            Self::ProfileUnreadable => {
                write!(out, "the picture's colour profile could not be read; its colours were taken as sRGB")
            }
            Self::Grey => write!(out, "the picture is grey, so the swatches have no colour"),
            Self::LaidOnWhite => write!(out, "see-through parts of the picture were laid on white"),
            Self::SixteenBit => write!(out, "16-bit steps were rounded to 8-bit ones"),
            Self::PrintColours => write!(
                out,
                "the picture is in print colours (CMYK); they were turned into screen colours by a plain formula, \
                 so take the swatches as estimates"
            ),
            Self::NoWhite => write!(
                out,
                "no white paper was found in the picture, so the swatches are estimates; \
                 photograph the paper on a sheet of white paper that shows on all four sides"
            ),
            Self::OnePatch => write!(
                out,
                "white is known in one place only, so how the light falls elsewhere was judged from the colours; \
                 a white margin on all four sides is better"
            ),
            Self::WhiteBurnt => write!(
                out,
                "the white is overexposed, so light colours may be too dark; take the picture a little darker"
            ),
            Self::Shine => write!(
                out,
                "places shine brighter than white paper can, as metal and glitter do: their colours change with the \
                 light, so do not rely on these swatches; say the finish and enter the colour by hand"
            ),
        }
    }
}
