//! The packet: the report on paper, for the bench.
//!
//! A cover; one sheet or more for each set-up, in order; a page to hang on the
//! lathe's head; every calliper setting in order; drawings to scale;
//! strips at true size with a check ruler. Every step, measure and finding of
//! the report is printed once where it is needed (grave findings on the cover as
//! well); nothing is worked out here. The same report and figures give the same
//! bytes. Text runs over pages where it must and is never cut off.

mod bench;
pub(crate) mod cover;
pub(crate) mod full_size;
mod held;
mod measures;
pub(crate) mod parts;
pub(crate) mod setup;

use crate::drawing::Page;
use crate::figure::FigureError;
use crate::flow::{self, Flow};
use crate::pdf::{self, Bookmark, PdfError};
use crate::pictures::Pictures;
use crate::strip::StripError;
use crate::template::CheckPrint;
use crate::text::Setter;
use crate::texts::Texts;
use rondure_plan::figure::Figures;
use rondure_plan::hold::Held;
use rondure_plan::report::Report;
use setup::Shared;

/// The paper a packet is printed on.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Paper {
    /// A4, 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// US Letter, 8 1/2 by 11 in.
    Letter,
}

impl Paper {
    /// Width and height, mm.
    pub fn size(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (8.5 * 25.4, 11.0 * 25.4),
        }
    }
}

/// How a packet is made.
#[derive(Debug, Clone, PartialEq)]
pub struct PacketOptions {
    /// The paper.
    pub paper: Paper,
    /// What the printer makes of 100 mm; drawings at true size are corrected for it.
    pub check_print: CheckPrint,
    /// Line drawings of the set-ups and of the finished piece; without them the sheets have words only.
    pub pictures: Pictures,
    /// The words of the sheets.
    pub texts: Texts,
    /// Whether the wood holds, where that was asked.
    pub held: Option<Held>,
    /// Whether the file is made small. Without it the drawing commands stand readable in the file.
    pub compress: bool,
}

impl Default for PacketOptions {
    fn default() -> Self {
        Self {
            paper: Paper::A4,
            check_print: CheckPrint::default(),
            pictures: Pictures::default(),
            texts: Texts::default(),
            held: None,
            compress: true,
        }
    }
}

/// Why a packet cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum PacketError {
    /// A figure cannot be drawn.
    #[error(transparent)]
    Figure(#[from] FigureError),
    /// A strip cannot be drawn.
    #[error(transparent)]
    Strip(#[from] StripError),
    /// The file cannot be written.
    #[error(transparent)]
    Pdf(#[from] PdfError),
}

/// The packet's pages, and the bookmarks that lead to its parts.
#[derive(Debug, Clone)]
pub struct Sheets {
    /// The pages in order.
    pub pages: Vec<Page>,
    /// One for the cover, each set-up, the drawings and the strips.
    pub bookmarks: Vec<Bookmark>,
}

/// Makes the packet as a PDF.
pub fn packet(
    report: &Report,
    figures: &Figures,
    options: &PacketOptions,
) -> Result<Vec<u8>, PacketError> {
    let sheets = sheets(report, figures, options)?;
    Ok(pdf::write(
        &sheets.pages,
        &report.title,
        &sheets.bookmarks,
        options.texts.of("page.language"),
        options.compress,
    )?)
}

/// Lays the packet out without writing it.
pub fn sheets(
    report: &Report,
    figures: &Figures,
    options: &PacketOptions,
) -> Result<Sheets, PacketError> {
    let mut setter = Setter::new();
    let paper = options.paper.size();
    let inches = report.units == "in";

    let texts = &options.texts;
    let shared = Shared {
        report,
        texts,
        pictures: &options.pictures,
    };

    let mut flow = Flow::new(&mut setter, texts, paper);
    let mut starts = Vec::new();
    let mut titles = Vec::new();
    let mut told = Vec::new();
    for set_up in &report.setups {
        starts.push(flow.pages());
        titles.push(format!("{}. {}", set_up.number, set_up.title));
        setup::setup(&mut flow, &shared, set_up, &mut told);
    }
    if !report.setups.is_empty() {
        starts.push(flow.pages());
        titles.push(texts.of("head.title").to_owned());
        bench::head(&mut flow, &shared);
    }
    if bench::settings(&report.measures).next().is_some() {
        starts.push(flow.pages());
        titles.push(texts.of("settings.title").to_owned());
        bench::list(&mut flow, &shared);
    }
    if let Some(answer) = &options.held {
        starts.push(flow.pages());
        titles.push(texts.of("held.title").to_owned());
        held::held(&mut flow, &shared, answer);
    }
    if !figures.drawings.is_empty() {
        starts.push(flow.pages());
        titles.push(texts.of("drawings.title").to_owned());
        full_size::drawings(&mut flow, figures, options.check_print)?;
    }
    if !figures.strips.is_empty() {
        starts.push(flow.pages());
        titles.push(texts.of("true_size.strips").to_owned());
        full_size::strips(&mut flow, &figures.strips, inches, options.check_print)?;
    }
    if !figures.templates.is_empty() {
        starts.push(flow.pages());
        titles.push(texts.of("true_size.templates").to_owned());
        full_size::cards(&mut flow, &figures.templates, options.check_print);
    }
    let body = flow.finish();

    // The cover names the set-ups' pages, which stand behind the cover's own: a second pass
    // settles how many those are, since the numbers' width does not move any line.
    let mut front = Vec::new();
    for _ in 0..2 {
        let before = front.len().max(1);
        let numbers: Vec<usize> = starts.iter().map(|start| before + start + 1).collect();
        let mut flow = Flow::new(&mut setter, texts, paper);
        cover::cover(&mut flow, &shared, figures.drawings.first(), &numbers)?;
        front = flow.finish();
    }
    let before = front.len();
    let cover = Bookmark {
        title: report.title.clone(),
        page: 0,
    };
    let parts = titles
        .into_iter()
        .zip(starts)
        .map(|(title, start)| Bookmark {
            title,
            page: before + start,
        });
    let bookmarks = std::iter::once(cover).chain(parts).collect();

    let mut pages = front;
    pages.extend(body);
    let units = if inches {
        texts.of("page.inches")
    } else {
        texts.of("page.millimetres")
    };
    flow::number_in(&mut pages, &mut setter, texts, &report.title, units);
    Ok(Sheets { pages, bookmarks })
}
