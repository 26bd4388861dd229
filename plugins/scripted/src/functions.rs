//! The colour functions scripts are given, so that a script is a few lines.

use crate::problem::Refusal;
use crate::values::ScriptColour;
use api::{cam16_ucs_distance, contrast_ratio, delta_e_2000, from_hex, lch};
use rhai::{Engine, EvalAltResult, FLOAT, INT};
use swatchfold_colour_harmony::{ou_2018, ou_luo_2006};

/// Teaches an engine the colour functions.
pub(crate) fn register(engine: &mut Engine) {
    engine
        .register_fn("delta_e", |one: ScriptColour, other: ScriptColour| delta_e_2000(one.0, other.0))
        .register_fn("cam16_distance", |one: ScriptColour, other: ScriptColour| cam16_ucs_distance(one.0, other.0))
        .register_fn("contrast", |one: ScriptColour, other: ScriptColour| contrast_ratio(one.0, other.0))
        .register_fn("harmony", |one: ScriptColour, other: ScriptColour| ou_luo_2006(one.0, other.0))
        .register_fn("harmony_2018", |one: ScriptColour, other: ScriptColour| ou_2018(one.0, other.0))
        .register_fn("hue_apart", |one: ScriptColour, other: ScriptColour| {
            apart(lch(one.0).hue.into_positive_degrees(), lch(other.0).hue.into_positive_degrees())
        })
        .register_fn("hue_apart", |one: ScriptColour, degrees: FLOAT| {
            apart(lch(one.0).hue.into_positive_degrees(), degrees)
        })
        .register_fn("hue_apart", |one: ScriptColour, degrees: INT| {
            apart(lch(one.0).hue.into_positive_degrees(), whole(degrees))
        })
        .register_fn("colour", |text: &str| {
            from_hex(text)
                .map(ScriptColour)
                .ok_or_else(|| refusal(format!("`{text}` is no colour"), "write it as \"#rrggbb\""))
        })
        .register_fn("lab", |l: FLOAT, a: FLOAT, b: FLOAT| ScriptColour(api::Colour::new(l, a, b)))
        .register_fn("lab", |l: INT, a: INT, b: INT| ScriptColour(api::Colour::new(whole(l), whole(a), whole(b))));
    // 0 at `low`, 1 at `high`, straight between; the other way round where `low` is the greater. Whole
    // numbers and others in any mixture, since people write both.
    engine
        .register_fn("ramp", |x: FLOAT, low: FLOAT, high: FLOAT| ramp(x, low, high))
        .register_fn("ramp", |x: FLOAT, low: FLOAT, high: INT| ramp(x, low, whole(high)))
        .register_fn("ramp", |x: FLOAT, low: INT, high: FLOAT| ramp(x, whole(low), high))
        .register_fn("ramp", |x: FLOAT, low: INT, high: INT| ramp(x, whole(low), whole(high)))
        .register_fn("ramp", |x: INT, low: FLOAT, high: FLOAT| ramp(whole(x), low, high))
        .register_fn("ramp", |x: INT, low: FLOAT, high: INT| ramp(whole(x), low, whole(high)))
        .register_fn("ramp", |x: INT, low: INT, high: FLOAT| ramp(whole(x), whole(low), high))
        .register_fn("ramp", |x: INT, low: INT, high: INT| ramp(whole(x), whole(low), whole(high)));
    // These would hold the thread or depend on the clock.
    engine
        .register_fn("sleep", |_: FLOAT| -> Result<(), Box<EvalAltResult>> {
            Err(refusal("a script may not wait", "take `sleep` out"))
        })
        .register_fn("sleep", |_: INT| -> Result<(), Box<EvalAltResult>> {
            Err(refusal("a script may not wait", "take `sleep` out"))
        });
}

/// A refusal by a function of ours; the engine puts the place to it.
pub(crate) fn refusal(what: impl Into<String>, remedy: &'static str) -> Box<EvalAltResult> {
    let refusal = Refusal { what: what.into(), remedy };
    Box::new(EvalAltResult::ErrorSystem(String::new(), Box::new(refusal)))
}

/// The angle between two hues, 0 to 180 degrees.
fn apart(one: FLOAT, other: FLOAT) -> FLOAT {
    let within = (one - other).rem_euclid(360.0);
    within.min(360.0 - within)
}

fn ramp(x: FLOAT, low: FLOAT, high: FLOAT) -> FLOAT {
    if low == high { if x < low { 0.0 } else { 1.0 } } else { ((x - low) / (high - low)).clamp(0.0, 1.0) }
}

#[allow(clippy::cast_precision_loss, reason = "a number a person wrote in a script")]
fn whole(number: INT) -> FLOAT {
    number as FLOAT
}
