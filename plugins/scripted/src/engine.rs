//! The sandbox: limits in, an engine out that holds a script to them.

use crate::limits::ScriptLimits;
use crate::{functions, values};
use api::Knob;
use rhai::packages::{
    BasicArrayPackage, BasicMapPackage, BasicMathPackage, CorePackage, LogicPackage, MoreStringPackage, Package,
};
use rhai::{Engine, FLOAT, ImmutableString};
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::time::Instant;

thread_local! {
    /// When the call under way on this thread began.
    static BEGUN: Cell<Option<Instant>> = const { Cell::new(None) };
    /// How many steps it has taken.
    static STEPS: Cell<u64> = const { Cell::new(0) };
    /// What it has printed; `None` while nobody listens.
    static PRINTED: RefCell<Option<Vec<String>>> = const { RefCell::new(None) };
}

/// Marks the beginning of a call, so that its time and steps are counted from here.
pub(crate) fn begin() {
    BEGUN.set(Some(Instant::now()));
    STEPS.set(0);
}

/// The steps the call on this thread has taken since [`begin`].
pub(crate) fn steps() -> u64 {
    STEPS.get()
}

/// Runs `call` and returns with its answer what it printed.
pub(crate) fn listening<A>(call: impl FnOnce() -> A) -> (A, Vec<String>) {
    PRINTED.set(Some(Vec::new()));
    let answer = call();
    (answer, PRINTED.take().unwrap_or_default())
}

/// An engine held to `limits`, that knows the colour functions, the knobs and the month.
pub(crate) fn engine(limits: &ScriptLimits, knobs: &[Knob], set: &BTreeMap<String, f64>, month: u8) -> Engine {
    let mut engine = Engine::new_raw();
    for package in [
        CorePackage::new().as_shared_module(),
        LogicPackage::new().as_shared_module(),
        BasicMathPackage::new().as_shared_module(),
        BasicArrayPackage::new().as_shared_module(),
        BasicMapPackage::new().as_shared_module(),
        MoreStringPackage::new().as_shared_module(),
    ] {
        engine.register_global_module(package);
    }
    engine
        .set_max_operations(limits.steps)
        .set_max_call_levels(limits.call_depth)
        .set_max_expr_depths(limits.expression_depth, limits.expression_depth)
        .set_max_string_size(limits.text_bytes)
        .set_max_array_size(limits.list_items)
        .set_max_map_size(limits.map_entries)
        .set_max_variables(limits.variables)
        .set_max_functions(limits.functions)
        .disable_symbol("eval")
        .set_strict_variables(true);
    let time = limits.time;
    engine.on_progress(move |steps| {
        STEPS.set(steps);
        // The clock is looked at seldom: it is the last resort, steps decide.
        let is_late = steps % 1024 == 0 && BEGUN.get().is_some_and(|begun| begun.elapsed() > time);
        is_late.then(|| "time".into())
    });
    let most = limits.printed_lines;
    let print = move |line: &str| {
        PRINTED.with_borrow_mut(|printed| {
            if let Some(lines) = printed.as_mut().filter(|lines| lines.len() < most) {
                lines.push(line.to_owned());
            }
        });
    };
    engine.on_print(print).on_debug(move |line, _, _| print(line));
    values::register(&mut engine);
    functions::register(&mut engine);
    let set: BTreeMap<String, FLOAT> = set.clone();
    let known: BTreeMap<ImmutableString, FLOAT> =
        knobs.iter().map(|knob| (knob.name.as_ref().into(), api::Knobs(set.clone()).value(knob))).collect();
    engine.register_fn("knob", move |name: ImmutableString| {
        known.get(&name).copied().ok_or_else(|| {
            functions::refusal(format!("the manifest has no knob `{name}`"), "name one that it has, or add it")
        })
    });
    engine.register_fn("month", move || rhai::INT::from(month));
    engine
}
