//! Templates at true size, one at a time: for the printer, the screen, a card cutter.
//!
//! A template is a card or a strip of the plan's [`Figures`]. As PDF it is laid
//! on paper with its check ruler, over several sheets where one is too small; as
//! SVG and DXF it is one whole drawing, however large. All three carry the same
//! lines at the same size; nothing about the piece is worked out here.

mod card;
mod check_print;
mod key_map;
mod paper;
mod tile;
mod whole;

pub use check_print::{CheckPrint, CheckPrintError};
pub(crate) use paper::{card_rows, tiled};

use crate::flow::{self, Flow};
use crate::packet::{PacketError, Paper, full_size};
use crate::pdf::{self, Bookmark};
use crate::strip::StripError;
use crate::svg;
use crate::text::Setter;
use crate::texts::Texts;
use rondure_plan::Outcome;
use rondure_plan::figure::{Figures, Strip, Template};

/// A template of a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TemplateName {
    /// Its name, e.g. `gauge.cove`.
    pub name: String,
    /// Its title in the turner's words.
    pub title: String,
}

/// The kinds of file a template is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TemplateFormat {
    /// Pages to print.
    Pdf,
    /// One drawing in mm, for the screen or a drawing program.
    Svg,
    /// One drawing in mm, for a card cutter.
    Dxf,
}

impl TemplateFormat {
    /// Every format.
    pub const ALL: [Self; 3] = [Self::Pdf, Self::Svg, Self::Dxf];

    /// The ending of its files.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Pdf => "pdf",
            Self::Svg => "svg",
            Self::Dxf => "dxf",
        }
    }

    /// The format that a file's ending names.
    pub fn of(path: &std::path::Path) -> Option<Self> {
        let ending = path.extension()?.to_str()?;
        Self::ALL
            .into_iter()
            .find(|format| ending.eq_ignore_ascii_case(format.ending()))
    }
}

/// How a template is made.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct TemplateOptions {
    /// The paper of a PDF.
    pub paper: Paper,
    /// What the printer makes of 100 mm.
    pub check_print: CheckPrint,
}

/// Why a template cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum TemplateError {
    /// The plan has no template of this name.
    #[error("this plan has no template \"{found}\". It has: {}.", known.join(", "))]
    Unknown {
        /// The name that was asked for.
        found: String,
        /// The names it has.
        known: Vec<String>,
    },
    /// It cannot be drawn or written.
    #[error(transparent)]
    Sheet(#[from] PacketError),
}

impl From<StripError> for TemplateError {
    fn from(error: StripError) -> Self {
        Self::Sheet(error.into())
    }
}

/// A strip or a card.
#[derive(Debug, Clone, Copy)]
enum Found<'a> {
    Strip(&'a Strip),
    Card(&'a Template),
}

/// The templates of a plan, in the order of the work.
pub fn template_names(outcome: &Outcome) -> Vec<TemplateName> {
    let figures = &outcome.figures;
    let strips = figures.strips.iter().map(|each| (&each.id, &each.title));
    let cards = figures.templates.iter().map(|each| (&each.id, &each.title));
    strips
        .chain(cards)
        .map(|(name, title)| TemplateName {
            name: name.clone(),
            title: title.clone(),
        })
        .collect()
}

/// One template of a plan as the bytes of a file.
///
/// # Errors
/// Where the plan has no template of this name, with those it has, or it cannot be drawn.
pub fn template(
    outcome: &Outcome,
    name: &str,
    format: TemplateFormat,
    options: &TemplateOptions,
) -> Result<Vec<u8>, TemplateError> {
    let figures = &outcome.figures;
    let found = find(figures, name).ok_or_else(|| TemplateError::Unknown {
        found: name.to_owned(),
        known: template_names(outcome)
            .into_iter()
            .map(|known| known.name)
            .collect(),
    })?;
    let check = options.check_print;
    let (mut setter, texts) = (Setter::new(), Texts::default());
    match format {
        TemplateFormat::Pdf => {
            let inches = outcome.report.units == "in";
            let title = &outcome.report.title;
            pages(found, title, inches, options, &mut setter, &texts)
        }
        TemplateFormat::Svg => {
            let whole = whole::drawn(found, check, &mut setter)?;
            Ok(svg::write(&whole.page(&mut setter, &texts), &whole.title).into_bytes())
        }
        TemplateFormat::Dxf => Ok(whole::drawn(found, check, &mut setter)?
            .dxf(&mut setter, &texts)
            .into_bytes()),
    }
}

fn find<'a>(figures: &'a Figures, name: &str) -> Option<Found<'a>> {
    let card = figures.templates.iter().find(|each| each.id == name);
    let strip = figures.strips.iter().find(|each| each.id == name);
    strip.map(Found::Strip).or(card.map(Found::Card))
}

fn pages(
    found: Found<'_>,
    plan: &str,
    inches: bool,
    options: &TemplateOptions,
    setter: &mut Setter,
    texts: &Texts,
) -> Result<Vec<u8>, TemplateError> {
    let check = options.check_print;
    let mut flow = Flow::new(setter, texts, options.paper.size());
    let title = match found {
        Found::Strip(strip) => {
            full_size::strips(&mut flow, std::slice::from_ref(strip), inches, check)?;
            &strip.title
        }
        Found::Card(card) => {
            full_size::cards(&mut flow, std::slice::from_ref(card), check);
            &card.title
        }
    };
    let mut pages = flow.finish();
    let scale = texts.of("true_size.scale");
    flow::number_in(&mut pages, setter, texts, plan, scale);
    let bookmarks: Vec<Bookmark> = (0..pages.len())
        .map(|page| Bookmark {
            title: if page == 0 {
                title.clone()
            } else {
                let page = (page + 1).to_string();
                texts.filled("true_size.page", &[("title", title), ("page", &page)])
            },
            page,
        })
        .collect();
    let title = format!("{title} ({plan})");
    Ok(
        pdf::write(&pages, &title, &bookmarks, texts.of("page.language"), true)
            .map_err(PacketError::from)?,
    )
}
