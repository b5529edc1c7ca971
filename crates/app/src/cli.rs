//! What can be asked on the command line, with help written for a turner.

use std::net::IpAddr;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

/// Every number for a turned piece, before any wood is cut.
///
/// Write down the piece you want in a plan; Rondure says what to set and mark at
/// every step, what wood is left, what will go wrong and what would mend it, and
/// prints the sheets for the bench.
///
/// Alone, `rondure` opens its page with the demo plan.
#[derive(Debug, Parser)]
#[command(name = "rondure", version, max_term_width = 96, after_help = AFTER)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
}

const AFTER: &str = "Begin with:\n  rondure\nor without the page:\n  rondure new \"coved ball\" --diameter 60mm > my.toml\n  rondure report my.toml\n  rondure packet my.toml -o my.pdf\n\nThe numbers are worked out, not tried on your lathe. The makers' instructions, local rules and qualified teaching come first.";

/// What can be done. The help of each stands with its arguments.
#[derive(Debug, Subcommand)]
pub enum Command {
    Serve(Serve),
    Report(Report),
    Stress(Stress),
    Solid(Solid),
    Trial(Trial),
    Packet(Packet),
    Handout(Handout),
    Template(Template),
    New(New),
    Rescale(Rescale),
    Order(Order),
    Batch(Batch),
    Rack(Rack),
    Woods(Woods),
    Round(Round),
}

/// Open the page: your plans, the piece at every step, and what to set.
///
/// The page is served from this machine to this machine; it works without any network.
/// Plans are files in one folder, the shelf, and every change is kept at once.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  rondure serve --shelf my-plans\n  rondure serve --no-open --port 9000"
)]
pub struct Serve {
    /// The folder your plans live in; without it, Rondure among your documents
    #[arg(long, value_name = "FOLDER")]
    pub shelf: Option<PathBuf>,
    /// The port; without it, 8360 or the next that is free
    #[arg(long, value_name = "NUMBER")]
    pub port: Option<u16>,
    /// The address to listen at; any but this machine's own lets others in
    #[arg(long, value_name = "ADDRESS", default_value = "127.0.0.1")]
    pub host: IpAddr,
    /// Do not open a browser
    #[arg(long)]
    pub no_open: bool,
}

/// Say everything about a plan: steps, numbers to set, findings and mends.
///
/// Ends with status 0 when nothing stops the job, 1 when something does, and 2
/// when the plan cannot be read.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  rondure report my.toml\n  rondure report my.toml --setup mounting.3\n  rondure report my.toml --explain holes.meet -o why.svg"
)]
pub struct Report {
    /// The plan file; - reads it from the input
    pub plan: PathBuf,
    /// Print one JSON document for other programs
    #[arg(long)]
    pub json: bool,
    /// Only this set-up, by the name in brackets behind its title, e.g. mounting.3
    #[arg(long, value_name = "SETUP", conflicts_with = "json")]
    pub setup: Option<String>,
    /// Also say at which step the wood comes nearest to breaking; takes half a minute
    #[arg(long, conflicts_with = "setup")]
    pub stress: bool,
    /// Why a finding is made or a number is set, by its name in brackets, e.g. holes.meet
    #[arg(long, value_name = "ID", conflicts_with_all = ["json", "setup"])]
    pub explain: Option<String>,
    /// Write the drawing that goes with --explain, ending in .svg
    #[arg(short, long, value_name = "FILE", requires = "explain")]
    pub output: Option<PathBuf>,
}

/// Say whether the wood holds: at which step it comes nearest to breaking, where and why.
///
/// Every set-up is looked at twice, first with large cubes within seconds, then finer. What
/// the wood stands needs no guess of a force; how near it comes does, and the plan's [loads]
/// set them. Ctrl-C stops, and tells what is known so far. Ends with status 1 when the wood's
/// mean does not stand something.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  rondure stress my.toml\n  rondure stress my.toml --setup mounting.3\n\nThis compares steps and designs. It does not replace a face shield, a low speed, and stopping when something sounds wrong."
)]
pub struct Stress {
    /// The plan file; - reads it from the input
    pub plan: PathBuf,
    /// Only this set-up, by the name in brackets behind its title in the report, e.g. mounting.3
    #[arg(long, value_name = "SETUP")]
    pub setup: Option<String>,
    /// Only the first look with large cubes: an answer within seconds
    #[arg(long)]
    pub quick: bool,
    /// Print one JSON document for other programs
    #[arg(long)]
    pub json: bool,
}

/// Try a plan out: thousands of makings with human error, each judged on its true solid.
///
/// Says the share that comes out, what fails first, which accuracy matters most, how good
/// you must be for nine out of ten, and the change of the plan that buys most. Your own figures
/// go into the plan's section [trial]. Ctrl-C stops it.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  rondure trial my.toml --hand first-time\n  rondure trial my.toml --makings 50000 --json"
)]
pub struct Trial {
    /// The plan file; - reads it from the input
    pub plan: PathBuf,
    /// How many makings
    #[arg(long, value_name = "NUMBER", default_value_t = 10_000, value_parser = clap::value_parser!(u32).range(16..=10_000_000))]
    pub makings: u32,
    /// The seed of the errors; the same seed gives the same answer
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    /// Whose hand; without it, the plan's
    #[arg(long, value_enum)]
    pub hand: Option<Hand>,
    /// Print one JSON document for other programs
    #[arg(long)]
    pub json: bool,
}

/// How used the hand is to the job.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum Hand {
    /// Measures twice, stops to check
    Careful,
    /// Has done it before
    Usual,
    /// Does it for the first time
    FirstTime,
}

/// Write the surface of the wood after a set-up, or of the finished piece.
///
/// The ending of the file says its kind: .stl is the bare shape, .3mf also carries
/// millimetres and the names of the cuts (both for printing), .glb is for looking at.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  rondure solid my.toml --after mounting.2 -o half-coved.stl")]
pub struct Solid {
    /// The plan file; - reads it from the input
    pub plan: PathBuf,
    /// The wood after this set-up; without it, the finished piece
    #[arg(long, value_name = "SETUP")]
    pub after: Option<String>,
    /// Which piece, when no set-up is named: ball, finial.top or finial.bottom
    #[arg(long, default_value = "ball", conflicts_with = "after")]
    pub piece: String,
    /// How far the surface may stray from the true one; less makes a larger file
    #[arg(long, default_value = "0.05mm", value_name = "LENGTH")]
    pub chord: String,
    /// The file to write, ending in .stl, .3mf or .glb
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
    /// Say what was written as one line of JSON
    #[arg(long)]
    pub json: bool,
}

/// Print the packet for the bench: steps, drawings and true-size templates.
///
/// Print it at 100 %, and measure the check ruler on the sheet before you trust
/// a template.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  rondure packet my.toml -o my.pdf --paper letter")]
pub struct Packet {
    /// The plan file; - reads it from the input
    #[arg(required_unless_present = "write_texts")]
    pub plan: Option<PathBuf>,
    /// The file to write, ending in .pdf
    #[arg(
        short,
        long,
        value_name = "FILE",
        required_unless_present = "write_texts"
    )]
    pub output: Option<PathBuf>,
    /// The paper
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub paper: Paper,
    /// What your printer makes of the check ruler's 100 mm line, as you measure it:
    /// templates are then corrected for that printer
    #[arg(long, value_name = "LENGTH")]
    pub check_print: Option<String>,
    /// Also print where the wood comes nearest to breaking; takes half a minute
    #[arg(long)]
    pub stress: bool,
    /// A file of words for the sheets, over the built-in ones
    #[arg(long, value_name = "FILE")]
    pub texts: Option<PathBuf>,
    /// Write the built-in words of all sheets to a file, as a start for your own
    #[arg(long, value_name = "FILE", exclusive = true)]
    pub write_texts: Option<PathBuf>,
}

/// Write one template at true size: to print, to look at, or for a card cutter.
///
/// The ending of the file says its kind: .pdf is printed, over several sheets where
/// one is too small; .svg and .dxf are one whole drawing in millimetres. Without a
/// NAME, lists the templates of the plan.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  rondure template my.toml\n  rondure template my.toml gauge.cove -o cove.dxf"
)]
pub struct Template {
    /// The plan file; - reads it from the input
    pub plan: PathBuf,
    /// The template, by its name in the list
    #[arg(requires = "output")]
    pub name: Option<String>,
    /// The file to write, ending in .pdf, .svg or .dxf
    #[arg(short, long, value_name = "FILE", requires = "name")]
    pub output: Option<PathBuf>,
    /// The paper of a PDF
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub paper: Paper,
    /// What your printer makes of the check ruler's 100 mm line, as you measure it:
    /// the template is then corrected for that printer
    #[arg(long, value_name = "LENGTH")]
    pub check_print: Option<String>,
}

/// Print a handout for a class: the steps with their reasons, and room to write.
///
/// Several plans of one form stand side by side, each with its letter; give the fullest
/// first. The last sheets are the teacher's: times, wood for all, and where to stand by.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  rondure handout small.toml middle.toml -o class.pdf --students 8\n\nTimes and words are in a file you can change: rondure packet --write-texts words.toml"
)]
pub struct Handout {
    /// The plan files, one for each size
    #[arg(required = true)]
    pub plans: Vec<PathBuf>,
    /// The file to write, ending in .pdf
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
    /// Students in the class
    #[arg(long, default_value_t = 6, value_name = "COUNT")]
    pub students: u32,
    /// The paper
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub paper: Paper,
    /// A file of words for the sheets, over the built-in ones
    #[arg(long, value_name = "FILE")]
    pub texts: Option<PathBuf>,
}

/// A paper size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Paper {
    /// 210 × 297 mm
    A4,
    /// 8 1/2 × 11 in
    Letter,
}

/// Write a new plan that runs, to save and change.
///
/// The plan goes to the screen; save it with >. Every number in it has a word
/// beside it that says what it is.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  rondure new \"coved ball\" --diameter \"2 3/8 in\" --marks 12 > my.toml"
)]
pub struct New {
    /// The form: "coved ball"
    #[arg(default_value = "coved ball")]
    pub form: String,
    /// The ball's diameter, as you would write it: 60mm, "6 cm", "2 3/8 in"
    #[arg(long, default_value = "60mm", value_name = "LENGTH")]
    pub diameter: String,
    /// Marks round the middle line, an even number; half as many mountings
    #[arg(long, default_value_t = 8, value_name = "COUNT")]
    pub marks: u32,
    /// The wood, by a name from `rondure woods`
    #[arg(long, default_value = "field maple")]
    pub wood: String,
    /// Units of the plan; without it, those of the diameter
    #[arg(long, value_enum)]
    pub units: Option<Units>,
}

/// Make the same piece at another size, with the tools at hand.
///
/// Bits and jaws come in steps, a hanger and the least wall stay what they are, the rest goes
/// with the size. Shows every number as it was, in proportion and as chosen, with the reason
/// where it is not the proportional one. Ends with status 1 when no numbers hold; then it says
/// what stands in the way and which sizes work.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  rondure rescale my.toml --diameter 45mm -o my-45.toml\n  rondure rescale my.toml --diameter \"2 1/4 in\" --keep bore,finials.top\n  rondure rescale my.toml --range"
)]
pub struct Rescale {
    /// The plan file; - reads it from the input
    pub plan: PathBuf,
    /// The ball's new diameter, as you would write it
    #[arg(long, value_name = "LENGTH", required_unless_present = "range")]
    pub diameter: Option<String>,
    /// Numbers that stay as they are: keys such as cove.depth, or sections such as bore
    #[arg(long, value_name = "KEYS", value_delimiter = ',')]
    pub keep: Vec<String>,
    /// Another number of marks
    #[arg(long, value_name = "COUNT")]
    pub marks: Option<u32>,
    /// The title of the new plan; without it, the old one with the new diameter
    #[arg(long, value_name = "WORDS")]
    pub title: Option<String>,
    /// Also find the smallest and the largest size with this rack
    #[arg(long)]
    pub range: bool,
    /// The file to write the new plan to
    #[arg(short, long, value_name = "FILE", requires = "diameter")]
    pub output: Option<PathBuf>,
    /// Print one JSON document for other programs
    #[arg(long)]
    pub json: bool,
}

/// Compare the orders in which the mountings can be done, and say which is best and why.
///
/// Each is judged on the true solid: by the seats of the centres, the wood behind them, and how
/// much of a turn the tool is in wood. Write the one you want as `order` in the plan's [holding].
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  rondure order my.toml")]
pub struct Order {
    /// The plan file; - reads it from the input
    pub plan: PathBuf,
    /// Print one JSON document for other programs
    #[arg(long)]
    pub json: bool,
}

/// Plan a run of pieces: what to cut out of which stock, in what order, how long it takes.
///
/// The file names plans with how many of each, and the branches or boards at hand with
/// what is bad in them. Set-ups that use the same jaws and bits are done for all pieces at once.
/// Ends with status 1 when the stock does not give every piece.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  rondure batch examples/runs/museum-shop.toml")]
pub struct Batch {
    /// The file of the run; plans it names are looked for from where it stands
    pub file: PathBuf,
    /// Print one JSON document for other programs
    #[arg(long)]
    pub json: bool,
}

/// Units of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// Millimetres
    Mm,
    /// Inches
    In,
}

/// Show the tools a plan may call for, or a rack file to copy and make your own.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  rondure rack                  the built-in small workshop\n  rondure rack --toml > my-rack.toml\n  rondure rack my-rack.toml     check your own"
)]
pub struct Rack {
    /// A rack file, or a plan whose rack to show
    pub file: Option<PathBuf>,
    /// Print the rack's file instead, as a start for your own
    #[arg(long)]
    pub toml: bool,
    /// The built-in rack in inch sizes
    #[arg(long, conflicts_with = "file")]
    pub inches: bool,
}

/// List the woods that are known, or all that is known of one.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  rondure woods\n  rondure woods \"field maple\"")]
pub struct Woods {
    /// A wood, by any of its names
    pub name: Option<String>,
}

/// Say how to round a ball, egg, oval, barrel or onion from a cylinder by facets.
///
/// Stations, calliper settings, marks, the wood still above the shape after each stage, and
/// where it must not be cut any more.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  rondure round egg --length 70mm --across 50mm\n  rondure round barrel --length 3in --across 2in --ends \"1 1/2 in\" --units in"
)]
pub struct Round {
    /// The shape
    #[arg(value_enum)]
    pub shape: Shape,
    /// At its widest
    #[arg(long, value_name = "LENGTH")]
    pub across: String,
    /// Along the axis; a ball needs none
    #[arg(long, value_name = "LENGTH")]
    pub length: Option<String>,
    /// Across the ends of a barrel
    #[arg(long, value_name = "LENGTH")]
    pub ends: Option<String>,
    /// Sides of the last polygon
    #[arg(long, value_enum, default_value = "32")]
    pub sides: Sides,
    /// How lengths are written
    #[arg(long, value_enum)]
    pub units: Option<Units>,
}

/// Shapes that facets lead to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Shape {
    /// As long as thick
    Ball,
    /// Blunt at its first end
    Egg,
    /// Alike at both ends
    Oval,
    /// An arc between flat ends
    Barrel,
    /// A ball drawn out to a point; its hollow neck is cut last
    Onion,
}

impl Shape {
    /// As a title begins.
    pub fn word(self) -> &'static str {
        match self {
            Self::Ball => "Ball",
            Self::Egg => "Egg",
            Self::Oval => "Oval",
            Self::Barrel => "Barrel",
            Self::Onion => "Onion",
        }
    }
}

/// Sides of the polygon before the last rounding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Sides {
    /// Eight
    #[value(name = "8")]
    Eight,
    /// Sixteen
    #[value(name = "16")]
    Sixteen,
    /// Thirty-two
    #[value(name = "32")]
    ThirtyTwo,
}

impl Sides {
    /// Their count.
    pub fn count(self) -> u32 {
        match self {
            Self::Eight => 8,
            Self::Sixteen => 16,
            Self::ThirtyTwo => 32,
        }
    }
}
