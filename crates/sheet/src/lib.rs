//! Drawings, true-scale templates and the printed packet.
//!
//! [`packet()`] turns a finished [`Report`](rondure_plan::report::Report) and its
//! [`Figures`](rondure_plan::figure::Figures) into a PDF for the bench;
//! [`figure_svg`] and [`strip_svg`] draw single figures for the screen. Both go
//! through one drawing model in millimetres ([`drawing`]), so what is seen on the
//! screen is what is printed. Nothing here works anything out about the piece:
//! numbers and words come from the report.

mod dimension;
pub mod drawing;
pub mod dxf;
mod figure;
mod flow;
pub mod handout;
mod hatch;
mod label;
pub mod outline;
pub mod packet;
pub mod pdf;
mod pens;
pub mod pictures;
mod ruler;
mod scale;
mod screen;
mod strip;
pub mod svg;
pub mod template;
pub mod text;
pub mod texts;
mod words;

pub use figure::FigureError;
pub use handout::{HandoutError, HandoutOptions, handout};
pub use packet::{PacketError, PacketOptions, Paper, packet};
pub use pictures::{Pictures, pictures, piece_picture_svg, setup_svg};
pub use screen::{figure_svg, strip_svg};
pub use strip::StripError;
pub use template::{
    CheckPrint, CheckPrintError, TemplateError, TemplateFormat, TemplateName, TemplateOptions,
    template, template_names,
};
pub use texts::{Texts, TextsFile};
