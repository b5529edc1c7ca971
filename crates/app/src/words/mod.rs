//! Words on a screen: wrapped to its width, bold where it can be.

pub mod held;
pub mod tell;

use std::io::{self, BufWriter, IsTerminal, Stdout, Write};

/// Widest line that is still easy to read, and the width where none is known, characters.
const WIDEST: usize = 96;
/// Narrowest line that is written, characters.
const NARROWEST: usize = 40;
/// Width where the output is no terminal, characters.
const USUAL: usize = 88;

/// Characters in a line of the terminal that a person looks on, within what reads well.
pub fn width_of_terminal() -> usize {
    terminal_size::terminal_size()
        .map_or(USUAL, |(width, _)| usize::from(width.0))
        .clamp(NARROWEST, WIDEST)
}

/// The output, as a page of text.
#[derive(Debug)]
pub struct Screen {
    out: BufWriter<Stdout>,
    width: usize,
    bold: bool,
}

impl Screen {
    /// The standard output.
    pub fn for_output() -> Self {
        let terminal = io::stdout().is_terminal();
        Self {
            out: BufWriter::new(io::stdout()),
            width: if terminal { width_of_terminal() } else { USUAL },
            bold: terminal && std::env::var_os("NO_COLOR").is_none(),
        }
    }

    /// Sends on what was written.
    pub fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }

    /// Characters in a line.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Text as it stands.
    pub fn text(&mut self, text: &str) -> io::Result<()> {
        self.out.write_all(text.as_bytes())
    }

    /// One line as it stands.
    pub fn line(&mut self, text: &str) -> io::Result<()> {
        writeln!(self.out, "{text}")
    }

    /// Words in bold, where the screen can.
    pub fn strong(&self, words: &str) -> String {
        if self.bold {
            format!("\x1b[1m{words}\x1b[0m")
        } else {
            words.to_owned()
        }
    }

    /// A title with a line under it.
    pub fn title(&mut self, words: &str) -> io::Result<()> {
        let rule = "=".repeat(words.chars().count().min(self.width));
        let words = self.strong(words);
        writeln!(self.out, "{words}\n{rule}")
    }

    /// A heading with room above it.
    pub fn heading(&mut self, words: &str) -> io::Result<()> {
        let rule = "-".repeat(words.chars().count().min(self.width));
        let words = self.strong(words);
        writeln!(self.out, "\n{words}\n{rule}")
    }

    /// A paragraph, wrapped.
    pub fn paragraph(&mut self, words: &str) -> io::Result<()> {
        self.indented(words, "", "")
    }

    /// A paragraph, wrapped, with its first line and the others begun as told.
    pub fn indented(&mut self, words: &str, first: &str, others: &str) -> io::Result<()> {
        let options = textwrap::Options::new(self.width)
            .initial_indent(first)
            .subsequent_indent(others)
            .break_words(false);
        writeln!(self.out, "{}", textwrap::fill(words, options).trim_end())
    }

    /// A name and what is to be said of it, in two columns.
    pub fn pair(&mut self, name: &str, words: &str) -> io::Result<()> {
        const COLUMN: usize = 26;
        if name.chars().count() + 2 > COLUMN {
            self.indented(name, "  ", "    ")?;
            return self.indented(words, "      ", "      ");
        }
        let first = format!("  {name:<COLUMN$}");
        let others = " ".repeat(COLUMN + 2);
        self.indented(words, &first, &others)
    }
}
