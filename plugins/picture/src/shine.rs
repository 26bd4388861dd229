//! Does the surface shine? What is printed reflects no more light than the white paper it is on; metal
//! and glitter throw the lamp's light back and do. Evened shades and the white in, yes or no out.
//!
//! It can only be seen where the white is known and is not itself near full strength, and not at all
//! where the surface happens to throw the light elsewhere: so no shine is no proof.

use crate::space::{Light, Shade};
use crate::vote::Field;

/// How much brighter than white paper a place must be: above the ringing round edges that JPEG and
/// sharpening make. Our own choice.
const BRIGHTER: f64 = 1.2;
/// How much of the paper must shine.
const SHARE: f64 = 0.001;

/// Whether more than a thousandth of `field` is brighter than paper of the light `white` can be.
pub(crate) fn shines(field: Field<'_>, white: Light) -> bool {
    let mean = white.iter().sum::<f64>() / 3.0 * BRIGHTER;
    // Among greys the shade's lightness is the cube root of the light, up to 100 (Ottosson 2020).
    let bright = |shade: Shade| f64::from(shade[0]) > 100.0 * mean.cbrt();
    let [left, top, right, bottom] = field.frame;
    let rows = (top..bottom).map(|y| (left..right).filter(|&x| bright(field.at(x, y))).count());
    let shining: usize = rows.sum();
    #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
    let (shining, all) = (shining as f64, ((right - left) * (bottom - top)) as f64);
    shining > all * SHARE
}
