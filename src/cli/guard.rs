//! The last net: a defect of ours ends as a plain message and exit code 1, never as a trace.

use std::io::Write;
use std::panic::{AssertUnwindSafe, catch_unwind, set_hook};
use std::process::ExitCode;

/// Runs something, and says so plainly where it panics.
pub(super) fn guarded(run: impl FnOnce() -> ExitCode) -> ExitCode {
    set_hook(Box::new(|panic| {
        let place = panic.location().map_or_else(String::new, |at| format!(" ({}, line {})", at.file(), at.line()));
        let what = panic.payload_as_str().unwrap_or("no more is known");
        let _ = writeln!(
            std::io::stderr(),
            "error: this is a defect of Swatchfold, not of your stash: {what}{place}\n\
             help: nothing of yours is lost; please report what you did, with the line above"
        );
    }));
    // Nothing is used after a panic but the exit code.
    catch_unwind(AssertUnwindSafe(run)).unwrap_or_else(|_| ExitCode::from(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_defect_becomes_an_exit_code() {
        let code = guarded(|| panic!("a test of the last net"));
        let _ = std::panic::take_hook();
        assert_eq!(format!("{code:?}"), format!("{:?}", ExitCode::from(1)));
    }
}
