//! How much a script may take: the numbers at which it is stopped.

use std::time::Duration;

/// What one call of a script may take. There is no default: leaving one out does not compile.
///
/// The same numbers hold in debug and release and on every machine; only `time` depends on how fast the
/// machine is, and is the last resort.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ScriptLimits {
    /// Steps: about one for each operator, call and statement.
    pub steps: u64,
    /// Functions that call functions, so deep.
    pub call_depth: usize,
    /// Expressions within expressions, so deep; checked before the script runs.
    pub expression_depth: usize,
    /// Bytes of one text, and of all texts in one list.
    pub text_bytes: usize,
    /// Items of one list, those of lists within it included.
    pub list_items: usize,
    /// Entries of one map, those of maps within it included.
    pub map_entries: usize,
    /// Variables at one time.
    pub variables: usize,
    /// Functions a script may define.
    pub functions: usize,
    /// Bytes of the script itself, and of its manifest.
    pub script_bytes: usize,
    /// Lines it may print while it is tried out.
    pub printed_lines: usize,
    /// Characters of a reason.
    pub reason_characters: usize,
    /// How long one call may last, should a step ever take longer than it should.
    pub time: Duration,
}

impl ScriptLimits {
    /// The limits every run of the program uses.
    pub const USUAL: Self = Self {
        steps: 20_000,
        call_depth: 12,
        expression_depth: 24,
        text_bytes: 10_000,
        list_items: 1_000,
        map_entries: 200,
        variables: 100,
        functions: 50,
        script_bytes: 100_000,
        printed_lines: 50,
        reason_characters: 120,
        time: Duration::from_millis(100),
    };
}
