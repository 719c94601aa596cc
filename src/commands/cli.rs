//! The words of the command line.

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Cabinet carcasses from a text file: parts, holes and drawings.
#[derive(Parser, Debug)]
#[command(name = "aumbry", version, disable_help_subcommand = true, after_help = EXIT_STATUS)]
pub struct Cli {
    #[command(subcommand)]
    pub command: Command,
    #[command(flatten)]
    pub global: Global,
}

const EXIT_STATUS: &str = "Exit status: 0 fine (warnings included), 1 the design has errors (`diff`, `fmt --check`: something differs), \
    2 wrong use of the command line, 3 a file could not be read or written.";

/// Options that every command takes.
#[derive(Args, Debug)]
pub struct Global {
    /// How messages are written to standard error
    #[arg(long, global = true, value_enum, value_name = "FORM", default_value_t = Messages::Human)]
    pub messages: Messages,
    /// Keep the marks of an earlier job.json, as they are already written on wood
    #[arg(long, global = true, value_name = "OLD.json")]
    pub marks: Option<PathBuf>,
}

/// The form of the messages.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum Messages {
    Human,
    Json,
}

/// What is to be done.
#[derive(Subcommand, Debug)]
pub enum Command {
    /// Messages only
    Check {
        #[arg(required = true, value_name = "FILE")]
        files: Vec<PathBuf>,
    },
    /// Every output, into a folder
    Build {
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// The folder; one made by an earlier build is replaced, any other is left alone
        #[arg(long, value_name = "FOLDER")]
        out: PathBuf,
    },
    /// The design worked out, as JSON
    Job {
        #[arg(value_name = "FILE", required_unless_present = "schema")]
        file: Option<PathBuf>,
        /// Print the JSON Schema of job.json instead
        #[arg(long, conflicts_with = "file")]
        schema: bool,
    },
    /// The parts list
    Parts {
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// The form
        #[arg(long = "as", value_enum, value_name = "FORM", default_value_t = ListForm::Table)]
        form: ListForm,
    },
    /// Holes, cuts and bevels of each part
    Holes {
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// The form; svg writes the hole maps and needs --out
        #[arg(long = "as", value_enum, value_name = "FORM", default_value_t = HoleForm::Table)]
        form: HoleForm,
        /// The folder for svg, a file for each sheet; one made by this command is replaced
        #[arg(long, value_name = "FOLDER", required_if_eq("form", "svg"))]
        out: Option<PathBuf>,
    },
    /// What it weighs and bears: estimates of weight, sag, loads, tipping and lifting
    Weights {
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// The form
        #[arg(long = "as", value_enum, value_name = "FORM", default_value_t = ListForm::Table)]
        form: ListForm,
    },
    /// Front, side and plan of each box and of each wall, a file for each sheet
    Elevations {
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// The form
        #[arg(long = "as", value_enum, value_name = "FORM", default_value_t = SheetForm::Svg)]
        form: SheetForm,
        /// The folder; one made by this command is replaced
        #[arg(long, value_name = "FOLDER")]
        out: PathBuf,
    },
    /// Each box taken apart in an exploded view, a file for each sheet
    Apart {
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// The form
        #[arg(long = "as", value_enum, value_name = "FORM", default_value_t = SheetForm::Svg)]
        form: SheetForm,
        /// The folder; one made by this command is replaced
        #[arg(long, value_name = "FOLDER")]
        out: PathBuf,
    },
    /// Steps of building in an order that can be done, with boxes to tick
    Assembly {
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// The form; html is a page to print
        #[arg(long = "as", value_enum, value_name = "FORM", default_value_t = StepForm::Table)]
        form: StepForm,
    },
    /// Where a figure comes from, down to the numbers in the text
    Why {
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// A figure as outputs print it (`floor.clay.left cut width`), or an expression; left out, a list of
        /// what can be asked
        #[arg(value_name = "WHAT", trailing_var_arg = false)]
        what: Vec<String>,
        /// The form
        #[arg(long = "as", value_enum, value_name = "FORM", default_value_t = WhyForm::Text)]
        form: WhyForm,
        /// Show every step of the library by itself, and the conditions that chose
        #[arg(long)]
        library: bool,
    },
    /// Run the test blocks of files
    Test {
        #[arg(required = true, value_name = "FILE")]
        files: Vec<PathBuf>,
    },
    /// The numbers whose change would make a design with errors compile
    Fix {
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// Put the offer of this number into the text
        #[arg(long, value_name = "N")]
        apply: Option<usize>,
        /// The form
        #[arg(long = "as", value_enum, value_name = "FORM", default_value_t = FixForm::Text)]
        form: FixForm,
    },
    /// What a change means in the shop: what becomes of each part, in the order to act
    #[command(override_usage = "aumbry diff [OPTIONS] OLD NEW")]
    Diff {
        /// Two files, two folders, two job.json, or REV:FILE of a git repository (`HEAD~1:wall.aum`)
        #[arg(required = true, num_args = 1..=9, value_name = "OLD NEW")]
        sides: Vec<PathBuf>,
        /// The form; svg lays both revisions one over the other and needs --out
        #[arg(long = "as", value_enum, value_name = "FORM", default_value_t = DiffForm::Table)]
        form: DiffForm,
        /// The folder for svg, a file for each sheet; one made by this command is replaced
        #[arg(long, value_name = "FOLDER")]
        out: Option<PathBuf>,
        /// What is cut already: a job.json, or a path or mark on each line; without it all of OLD is
        #[arg(long, value_name = "FILE")]
        cut: Option<PathBuf>,
        /// One part is spoiled: what it can still become, and what can stand in for it
        #[arg(long, value_name = "PATH")]
        spoiled: Option<String>,
        /// Differences up to this are left as they are; half a millimetre, if not said
        #[arg(long, value_name = "LENGTH")]
        within: Option<String>,
        /// For git: `git config diff.aumbry.command "aumbry diff --git"`
        #[arg(long)]
        git: bool,
    },
    /// Put files into the one style; a folder means all *.aum below it
    Fmt {
        /// Files, folders, or `-` for standard input, which goes to standard output
        #[arg(required = true, value_name = "FILE")]
        files: Vec<PathBuf>,
        /// Write nothing, list the files that would change; the exit status is 1 if there are any
        #[arg(long)]
        check: bool,
    },
    /// What the code of a message means; alone, a list of all codes
    Explain {
        #[arg(value_name = "CODE")]
        code: Option<String>,
        /// Also the rules of this file and of those it brings in
        #[arg(long = "in", value_name = "FILE")]
        within: Option<PathBuf>,
        /// The form
        #[arg(long = "as", value_enum, value_name = "FORM", default_value_t = ExplainForm::Text)]
        form: ExplainForm,
    },
    /// Pages of what a file defines, as a folder of HTML; `std` is the library, `std.boxes` one part of it
    Doc {
        #[arg(value_name = "FILE")]
        what: PathBuf,
        /// The folder; one made by this command is replaced
        #[arg(long, value_name = "FOLDER")]
        out: PathBuf,
    },
    /// A small project that compiles: a house, one box, and what git needs
    New {
        /// The folder; it must not exist yet, or hold nothing but a repository
        #[arg(value_name = "FOLDER")]
        folder: PathBuf,
    },
    /// Print what a shell needs to complete the words of this command line
    Completions {
        #[arg(value_enum, value_name = "SHELL")]
        shell: clap_complete::Shell,
    },
}

/// The forms of a comparison.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum DiffForm {
    Table,
    Json,
    Md,
    Svg,
}

/// The forms of a reason.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum WhyForm {
    Text,
    Json,
}

/// The forms of a list.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum ListForm {
    Table,
    Csv,
    Json,
}

/// The forms of the holes.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum HoleForm {
    Table,
    Csv,
    Json,
    Svg,
}

/// The forms of the steps.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum StepForm {
    Table,
    Csv,
    Json,
    Html,
}

/// Forms of drawings.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum SheetForm {
    Svg,
}

/// The forms of an explanation.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum ExplainForm {
    Text,
    Json,
}

/// The forms of offers.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum FixForm {
    Text,
    Json,
}
