//! Pages to PDF.
//!
//! Coordinates go over from millimetres to points (72 to the inch) and nothing
//! else changes, so a line of 100 mm in the drawing is 283.465 points in the
//! file; single precision keeps it to better than 0.0001 mm on a page of this
//! size. Text stays text: searchable, with the embedded font's used glyphs.
//! Every group becomes a tagged element, so that a screen reader meets headings,
//! paragraphs and pictures in order. The file carries no date and no random
//! identifier: the same pages give the same bytes.

use crate::drawing::{ARC_TOLERANCE, Item, POINTS_PER_MM, Page, Pen, Role, Shade, Shape, Text};
use crate::pens::pen_of_layer;
use crate::text::{BOLD, REGULAR, Weight};
use krilla::{
    Data, Document, SerializeSettings,
    color::luma,
    destination::XyzDestination,
    geom::{Path, PathBuilder, Point, Transform},
    metadata::Metadata,
    num::NormalizedF32,
    outline::{Outline, OutlineNode},
    page::PageSettings,
    paint::{Fill, FillRule, LineCap, LineJoin, Stroke, StrokeDash},
    surface::Surface,
    tagging::{Artifact, ArtifactType, ContentTag, SpanTag, Tag, TagGroup, TagTree},
    text::{Font, GlyphId, KrillaGlyph},
};
use kurbo::{PathEl, Shape as _};
use std::num::NonZeroU16;

/// An entry of the outline a reader shows beside the pages.
#[derive(Debug, Clone, PartialEq)]
pub struct Bookmark {
    /// What it says.
    pub title: String,
    /// Index of the page, from 0.
    pub page: usize,
}

/// What can go wrong while a PDF is written.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    /// The paper has no size.
    #[error(
        "page {page}: the paper measures {width} by {height} mm; both must be above 0 and below 5000 mm"
    )]
    Paper {
        /// Number of the page, from 1.
        page: usize,
        /// Width, mm.
        width: f64,
        /// Height, mm.
        height: f64,
    },
    /// A bookmark points past the last page.
    #[error("bookmark `{title}` points to page {page}, but there are only {pages}")]
    Bookmark {
        /// What the bookmark says.
        title: String,
        /// The page it names, from 1.
        page: usize,
        /// How many there are.
        pages: usize,
    },
    /// The embedded font cannot be read.
    #[error(
        "the embedded font cannot be read; this copy of the program is damaged, fetch it again"
    )]
    Font,
    /// The writer refused.
    #[error("the PDF could not be written: {0}")]
    Write(String),
}

/// Writes the pages.
///
/// `compress` makes the file small; without it the drawing commands can be read in the file.
pub fn write(
    pages: &[Page],
    title: &str,
    bookmarks: &[Bookmark],
    language: &str,
    compress: bool,
) -> Result<Vec<u8>, PdfError> {
    let mut document = Document::new_with(SerializeSettings {
        compress_content_streams: compress,
        ..SerializeSettings::default()
    });
    let faces = Faces {
        regular: Font::new(Data::from(REGULAR), 0).ok_or(PdfError::Font)?,
        bold: Font::new(Data::from(BOLD), 0).ok_or(PdfError::Font)?,
    };
    let mut reading = Reading::default();
    for (index, page) in pages.iter().enumerate() {
        let allowed = 1.0..5000.0;
        let settings = (allowed.contains(&page.width) && allowed.contains(&page.height))
            .then(|| PageSettings::from_wh(points(page.width), points(page.height)))
            .flatten()
            .ok_or(PdfError::Paper {
                page: index + 1,
                width: page.width,
                height: page.height,
            })?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        for item in &page.items {
            draw_tagged(&mut surface, item, &faces, &mut reading);
        }
        surface.finish();
        sheet.finish();
    }
    document.set_outline(outline(bookmarks, pages.len())?);
    document.set_tag_tree(reading.into_tree(language));
    document.set_metadata(
        Metadata::new()
            .title(title.to_owned())
            .language(language.to_owned())
            .creator(format!("rondure {}", env!("CARGO_PKG_VERSION"))),
    );
    document
        .finish()
        .map(quiet)
        .map_err(|error| PdfError::Write(format!("{error:?}")))
}

/// The same file without the entry that says that no tag is suspect. It means what its absence
/// means (ISO 32000-1, table 321), and a common reader takes it for a fault. Blanks in its place
/// keep every byte after it where the file's own table says it is.
fn quiet(mut file: Vec<u8>) -> Vec<u8> {
    const ENTRY: &[u8] = b"/Suspects false";
    let found = file.windows(ENTRY.len()).position(|bytes| bytes == ENTRY);
    if let Some(at) = found {
        file[at..at + ENTRY.len()].fill(b' ');
    }
    file
}

struct Faces {
    regular: Font,
    bold: Font,
}

/// The elements a screen reader meets, in order.
#[derive(Default)]
struct Reading {
    elements: Vec<(String, Role, TagGroup)>,
}

impl Reading {
    fn element(&mut self, name: &str, role: &Role) -> &mut TagGroup {
        let goes_on = self
            .elements
            .last()
            .is_some_and(|(last, kind, _)| last == name && kind == role);
        if !goes_on {
            let group = match role {
                Role::Heading(level) => {
                    let level = NonZeroU16::new(u16::from(*level)).unwrap_or(NonZeroU16::MIN);
                    TagGroup::new(Tag::Hn(level, None))
                }
                Role::Picture(words) => TagGroup::new(Tag::Figure(Some(words.clone()))),
                Role::Paragraph | Role::Decoration => TagGroup::new(Tag::P),
            };
            self.elements.push((name.to_owned(), role.clone(), group));
        }
        let last = self.elements.len() - 1;
        &mut self.elements[last].2
    }

    fn into_tree(self, language: &str) -> TagTree {
        let mut tree = TagTree::new().with_lang(Some(language.to_owned()));
        for (_, _, group) in self.elements {
            tree.push(group);
        }
        tree
    }
}

fn outline(bookmarks: &[Bookmark], pages: usize) -> Result<Outline, PdfError> {
    let mut outline = Outline::new();
    for bookmark in bookmarks {
        if bookmark.page >= pages {
            return Err(PdfError::Bookmark {
                title: bookmark.title.clone(),
                page: bookmark.page + 1,
                pages,
            });
        }
        outline.push_child(OutlineNode::new(
            bookmark.title.clone(),
            XyzDestination::new(bookmark.page, Point::from_xy(0.0, 0.0)),
        ));
    }
    Ok(outline)
}

fn draw_tagged(surface: &mut Surface<'_>, item: &Item, faces: &Faces, reading: &mut Reading) {
    match item {
        Item::Group(group) if group.role != Role::Decoration => {
            let tag = match group.role {
                Role::Picture(_) => ContentTag::Other,
                _ => ContentTag::Span(SpanTag::empty()),
            };
            let identifier = surface.start_tagged(tag);
            for item in &group.items {
                draw(surface, item, faces);
            }
            surface.end_tagged();
            reading.element(&group.name, &group.role).push(identifier);
        }
        item => {
            surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(
                ArtifactType::Other,
            )));
            draw(surface, item, faces);
            surface.end_tagged();
        }
    }
}

fn draw(surface: &mut Surface<'_>, item: &Item, faces: &Faces) {
    match item {
        Item::Shape(shape) => draw_shape(surface, shape),
        Item::Outline(outline) => {
            let shape = Shape {
                path: outline.to_path(),
                pen: Some(pen_of_layer(outline.layer)),
                fill: None,
            };
            draw_shape(surface, &shape);
        }
        Item::Window(window) => {
            let frame = window.frame.to_path(ARC_TOLERANCE);
            if let Some(frame) = path_of(&frame) {
                surface.push_clip_path(&frame, &FillRule::NonZero);
                for item in &window.items {
                    draw(surface, item, faces);
                }
                surface.pop();
            }
        }
        Item::Text(text) => draw_text(surface, text, faces),
        Item::Group(group) => {
            for item in &group.items {
                draw(surface, item, faces);
            }
        }
    }
}

fn draw_shape(surface: &mut Surface<'_>, shape: &Shape) {
    let Some(path) = path_of(&shape.path) else {
        return;
    };
    if shape.pen.is_none() && shape.fill.is_none() {
        return;
    }
    surface.set_fill(shape.fill.map(fill));
    surface.set_stroke(shape.pen.map(stroke));
    surface.draw_path(&path);
}

fn draw_text(surface: &mut Surface<'_>, text: &Text, faces: &Faces) {
    surface.set_stroke(None);
    surface.set_fill(Some(fill(text.shade)));
    let turned = text.angle != 0.0;
    let start = Point::from_xy(points(text.at.x), points(text.at.y));
    if turned {
        let degrees = -text.angle.to_degrees() as f32;
        surface.push_transform(&Transform::from_rotate_at(degrees, start.x, start.y));
    }
    for run in &text.line.runs {
        let font = match run.weight {
            Weight::Regular => &faces.regular,
            Weight::Bold => &faces.bold,
        };
        let Some(first) = run.glyphs.first() else {
            continue;
        };
        let size = run.size as f32;
        let mut pen = first.x;
        let glyphs: Vec<KrillaGlyph> = run
            .glyphs
            .iter()
            .map(|glyph| {
                // Sizes go over as shares of the letter size.
                let offset = points(glyph.x - pen) / size;
                pen += glyph.advance;
                KrillaGlyph::new(
                    GlyphId::new(glyph.id),
                    points(glyph.advance) / size,
                    offset,
                    points(glyph.y) / size,
                    0.0,
                    glyph.range.clone(),
                    None,
                )
            })
            .collect();
        surface.draw_glyphs(
            Point::from_xy(start.x + points(first.x), start.y),
            &glyphs,
            font.clone(),
            &text.line.words,
            size,
            false,
        );
    }
    if turned {
        surface.pop();
    }
}

fn path_of(path: &kurbo::BezPath) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => builder.move_to(points(p.x), points(p.y)),
            PathEl::LineTo(p) => builder.line_to(points(p.x), points(p.y)),
            PathEl::QuadTo(a, p) => {
                builder.quad_to(points(a.x), points(a.y), points(p.x), points(p.y));
            }
            PathEl::CurveTo(a, b, p) => builder.cubic_to(
                points(a.x),
                points(a.y),
                points(b.x),
                points(b.y),
                points(p.x),
                points(p.y),
            ),
            PathEl::ClosePath => builder.close(),
        }
    }
    builder.finish()
}

fn fill(shade: Shade) -> Fill {
    Fill {
        paint: grey(shade).into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::EvenOdd,
    }
}

fn stroke(pen: Pen) -> Stroke {
    Stroke {
        paint: luma::Color::black().into(),
        width: points(pen.width),
        line_cap: LineCap::Butt,
        line_join: LineJoin::Round,
        dash: (!pen.dashes.is_empty()).then(|| StrokeDash {
            array: pen.dashes.iter().map(|length| points(*length)).collect(),
            offset: 0.0,
        }),
        ..Stroke::default()
    }
}

fn grey(shade: Shade) -> luma::Color {
    luma::Color::new((shade.clamp(0.0, 1.0) * 255.0).round() as u8)
}

/// Millimetres in points.
fn points(mm: f64) -> f32 {
    (mm * POINTS_PER_MM) as f32
}
