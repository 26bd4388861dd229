//! Scorer: do these papers' hues make a scheme? Two papers in, a worth out.
//!
//! A scheme is one of Matsuda's hue templates as Cohen-Or and others (2006) give them: sectors of the
//! colour wheel, turned to where they fit best. No test with observers is known, so this explains more
//! than it judges and counts little until she turns it up. Hue is CIELAB's, since the templates were
//! first drawn on a perceptual circle; saturation is chroma over 60, at most 1.

mod fit;
mod judge;
mod template;
mod words;

pub use fit::{Hue, best_fit, misfit};
pub use judge::scorer;
pub use template::{Sector, Template};
