//! The command line: reads files, works designs out, prints messages and writes outputs.

mod cli;
mod compile;
mod diff;
mod doc;
mod excerpt;
mod explain;
mod fix;
mod fmt;
mod new;
mod report;
mod run;
mod why;
mod writing;

pub use cli::Cli;
pub use compile::{
    Compiled, MOST_FIX_STEPS, Mended, TestOutcome, TestReport, check, compile, mended, mended_within,
    run_tests,
};
pub use report::{Look, MOST_SHOWN, Tally, human, one};
pub use run::main;
pub use why::{Asked, why};
pub use writing::{MARKER, MARKER_TEXT};

/// Why a command could not be carried out, other than for errors in the design.
#[derive(Clone, Debug)]
pub struct Failure {
    pub code: &'static str,
    pub message: String,
    pub help: Vec<String>,
    /// The exit status.
    pub status: u8,
}

impl Failure {
    fn new(code: &'static str, message: impl Into<String>) -> Failure {
        Failure { code, message: message.into(), help: Vec::new(), status: 3 }
    }

    /// Words of the command line that do not go together.
    fn usage(message: impl Into<String>) -> Failure {
        Failure { status: 2, ..Failure::new("wrong-use", message) }
    }

    fn help(mut self, text: impl Into<String>) -> Failure {
        self.help.push(text.into());
        self
    }
}
