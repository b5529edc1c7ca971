//! Text: words to set lines, with the font that travels inside the program.
//!
//! Shaping, measuring and line breaking are parley's; the font is embedded (see
//! `fonts/README.md`), so the same words give the same lines on every machine.
//! Figures are set at one width, and a slash between whole numbers, as in
//! `2 3/8 in`, becomes a true fraction. A sign the font does not hold is
//! replaced by a near one, or by `?`: it is never dropped in silence.

use crate::drawing::{Item, POINTS_PER_MM, Shade, Text};
use crate::words::{BOUND, bound, fractions};
use kurbo::Point;
use parley::{
    Alignment, AlignmentOptions, FontContext, FontFamily, FontFeatures, FontWeight, LayoutContext,
    LineHeight, OverflowWrap, StyleProperty,
    fontique::{Blob, Collection, CollectionOptions, SourceCache},
};
use std::{ops::Range, sync::Arc};

/// The regular face.
pub(crate) const REGULAR: &[u8] = include_bytes!("../fonts/Inter-Regular.otf");
/// The bold face.
pub(crate) const BOLD: &[u8] = include_bytes!("../fonts/Inter-Bold.otf");

/// Height of the tallest signs above the baseline, as a share of the size (parenthesis: 0.761).
const ASCENT: f64 = 0.77;
/// Depth of the deepest below it, as a share of the size (g: 0.216).
const DESCENT: f64 = 0.22;

/// Figures of one width, kerning.
const FEATURES: &str = "'tnum' 1, 'kern' 1";
/// The same, and a fraction.
const FRACTION: &str = "'tnum' 0, 'kern' 1, 'frac' 1";
/// A fraction's size as a share of the line's: its small figures come to about 0.8 of the others.
const FRACTION_SIZE: f64 = 1.25;

/// How heavy the letters are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Weight {
    /// Running text.
    Regular,
    /// Headings and values.
    Bold,
}

/// Size and weight of text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Style {
    /// Size of the letters, points.
    pub size: f64,
    /// Weight.
    pub weight: Weight,
}

impl Style {
    /// Regular letters of a size in points.
    pub const fn regular(size: f64) -> Self {
        Self {
            size,
            weight: Weight::Regular,
        }
    }

    /// Bold letters of a size in points.
    pub const fn bold(size: f64) -> Self {
        Self {
            size,
            weight: Weight::Bold,
        }
    }

    /// Distance from one baseline to the next, mm.
    pub fn leading(&self) -> f64 {
        self.size * 1.3 / POINTS_PER_MM
    }
}

/// One line, set: every glyph has its place.
#[derive(Debug, Clone, PartialEq)]
pub struct TextLine {
    /// The words of this line.
    pub words: Arc<str>,
    /// Size, points.
    pub size: f64,
    /// Stretches of one face, in order.
    pub runs: Vec<Run>,
    /// Width without trailing blanks, mm.
    pub width: f64,
    /// Height of the tallest letters above the baseline, mm.
    pub ascent: f64,
    /// Depth of the deepest below it, mm.
    pub descent: f64,
}

/// A stretch of one face and size.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// The face.
    pub weight: Weight,
    /// Size, points; a fraction is set larger than its line so that its figures read well.
    pub size: f64,
    /// Its glyphs from left to right.
    pub glyphs: Vec<Glyph>,
}

/// One glyph.
#[derive(Debug, Clone, PartialEq)]
pub struct Glyph {
    /// Number of the glyph in the font.
    pub id: u32,
    /// Distance of its origin from the line's start, mm.
    pub x: f64,
    /// Height of its origin above the baseline, mm.
    pub y: f64,
    /// How far it moves the pen, mm.
    pub advance: f64,
    /// The bytes of the line's words it stands for.
    pub range: Range<usize>,
}

/// Which end of a line its place names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// The left end.
    Start,
    /// The middle.
    Middle,
    /// The right end.
    End,
}

impl TextLine {
    /// The line on the page: `at` is where its start, middle or end stands on the baseline.
    pub fn placed(self, at: Point, anchor: Anchor) -> Item {
        self.turned(at, anchor, 0.0, 0.0)
    }

    /// The same line in larger or smaller letters.
    pub fn enlarged(mut self, factor: f64) -> Self {
        self.size *= factor;
        self.width *= factor;
        self.ascent *= factor;
        self.descent *= factor;
        for run in &mut self.runs {
            run.size *= factor;
            for glyph in &mut run.glyphs {
                glyph.x *= factor;
                glyph.y *= factor;
                glyph.advance *= factor;
            }
        }
        self
    }

    /// The line at an angle (radians counter-clockwise) and in a shade.
    pub fn turned(self, at: Point, anchor: Anchor, angle: f64, shade: Shade) -> Item {
        let back = match anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => self.width / 2.0,
            Anchor::End => self.width,
        };
        let at = Point::new(at.x - back * angle.cos(), at.y + back * angle.sin());
        Item::Text(Text {
            at,
            angle,
            shade,
            line: self,
        })
    }
}

/// Sets text. Make one and keep it: it holds the parsed font.
pub struct Setter {
    fonts: FontContext,
    layouts: LayoutContext<()>,
    held: skrifa::charmap::MappingIndex,
}

impl Default for Setter {
    fn default() -> Self {
        Self::new()
    }
}

impl Setter {
    /// A setter with the embedded font and no other.
    pub fn new() -> Self {
        let mut collection = Collection::new(CollectionOptions {
            shared: false,
            system_fonts: false,
        });
        for face in [REGULAR, BOLD] {
            collection.register_fonts(Blob::new(Arc::new(face)), None);
        }
        let held = skrifa::FontRef::new(REGULAR)
            .map(|font| skrifa::charmap::MappingIndex::new(&font))
            .unwrap_or_default();
        Self {
            fonts: FontContext {
                collection,
                source_cache: SourceCache::default(),
            },
            layouts: LayoutContext::new(),
            held,
        }
    }

    /// Words on one line, however long.
    pub fn line(&mut self, words: &str, style: Style) -> TextLine {
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        self.set(&words, style, None, None)
            .into_iter()
            .next()
            .unwrap_or_else(|| TextLine::empty(style))
    }

    /// Words on one line no wider than `width` mm; what does not fit gives way to an ellipsis.
    pub fn line_within(&mut self, words: &str, style: Style, width: f64) -> TextLine {
        let line = self.line(words, style);
        if line.width <= width {
            return line;
        }
        let letters: Vec<char> = words.chars().collect();
        // Length is monotone in the number of letters up to kerning, so halving finds the cut.
        let (mut fits, mut fails) = (0, letters.len());
        while fails - fits > 1 {
            let middle = usize::midpoint(fits, fails);
            if self.cut(&letters[..middle], style).width <= width {
                fits = middle;
            } else {
                fails = middle;
            }
        }
        self.cut(&letters[..fits], style)
    }

    fn cut(&mut self, letters: &[char], style: Style) -> TextLine {
        let head: String = letters.iter().collect();
        self.line(&format!("{}…", head.trim_end()), style)
    }

    /// Words in lines no wider than `width` mm.
    pub fn paragraph(&mut self, words: &str, style: Style, width: f64) -> Vec<TextLine> {
        self.set(words, style, Some(width), None)
    }

    /// A bold lead, such as `Tool:`, and words after it, in lines no wider than `width` mm.
    pub fn led(&mut self, lead: &str, words: &str, style: Style, width: f64) -> Vec<TextLine> {
        let text = format!("{lead} {words}");
        self.set(&text, style, Some(width), Some(0..lead.len()))
    }

    fn set(
        &mut self,
        words: &str,
        style: Style,
        width: Option<f64>,
        bold: Option<Range<usize>>,
    ) -> Vec<TextLine> {
        let (text, bold) = self.printable(words.trim_end(), bold);
        let (text, bold) = bound(&text, bold);
        if text.is_empty() {
            return Vec::new();
        }
        let mut builder = self
            .layouts
            .ranged_builder(&mut self.fonts, &text, 1.0, false);
        builder.push_default(StyleProperty::FontFamily(FontFamily::from("Inter")));
        builder.push_default(StyleProperty::FontSize(style.size as f32));
        builder.push_default(StyleProperty::FontWeight(weight_of(style.weight)));
        builder.push_default(StyleProperty::FontFeatures(FontFeatures::from(FEATURES)));
        builder.push_default(StyleProperty::LineHeight(LineHeight::Absolute(
            (style.leading() * POINTS_PER_MM) as f32,
        )));
        builder.push_default(StyleProperty::OverflowWrap(OverflowWrap::Anywhere));
        if let Some(range) = bold {
            builder.push(StyleProperty::FontWeight(FontWeight::BOLD), range);
        }
        for range in fractions(&text) {
            builder.push(
                StyleProperty::FontFeatures(FontFeatures::from(FRACTION)),
                range.clone(),
            );
            let size = (style.size * FRACTION_SIZE) as f32;
            builder.push(StyleProperty::FontSize(size), range);
        }
        let mut layout = builder.build(&text);
        layout.break_all_lines(width.map(|width| (width * POINTS_PER_MM) as f32));
        layout.align(Alignment::Start, AlignmentOptions::default());
        layout
            .lines()
            .map(|line| take_line(&line, &text, style))
            .collect()
    }

    /// The words with every sign the font lacks replaced, and the bold range moved with them.
    fn printable(&self, words: &str, bold: Option<Range<usize>>) -> (String, Option<Range<usize>>) {
        let mut text = String::with_capacity(words.len());
        let (mut start, mut end) = (0, 0);
        let charmap = skrifa::FontRef::new(REGULAR).map(|font| self.held.charmap(&font));
        for (at, letter) in words.char_indices() {
            if let Some(range) = &bold {
                if at <= range.start {
                    start = text.len();
                }
                if at <= range.end {
                    end = text.len();
                }
            }
            match letter {
                '\u{2300}' => text.push('Ø'),
                '\n' => text.push('\n'),
                letter if letter.is_whitespace() => text.push(match letter {
                    '\u{a0}' | '\u{202f}' | '\u{2007}' => '\u{a0}',
                    _ => ' ',
                }),
                letter if letter.is_control() => {}
                letter => {
                    let known = charmap
                        .as_ref()
                        .is_ok_and(|charmap| charmap.map(letter).is_some());
                    text.push(if known { letter } else { '?' });
                }
            }
        }
        if let Some(range) = &bold
            && range.end >= words.len()
        {
            end = text.len();
        }
        (text, bold.map(|_| start..end))
    }
}

impl TextLine {
    fn empty(style: Style) -> Self {
        Self {
            words: "".into(),
            size: style.size,
            runs: Vec::new(),
            width: 0.0,
            ascent: 0.0,
            descent: 0.0,
        }
    }
}

fn weight_of(weight: Weight) -> FontWeight {
    match weight {
        Weight::Regular => FontWeight::NORMAL,
        Weight::Bold => FontWeight::BOLD,
    }
}

/// Copies a laid-out line out of parley, in millimetres and with its own words.
fn take_line(line: &parley::Line<'_, ()>, text: &str, style: Style) -> TextLine {
    let mm = 1.0 / POINTS_PER_MM;
    let whole = line.text_range();
    // Bound blanks have done their work; what is searched for is a plain blank.
    let source = &text[whole.clone()];
    let words: Arc<str> = source.replace(BOUND, " ").into();
    let plain = |at: usize| at - source[..at].matches(BOUND).count() * (BOUND.len_utf8() - 1);
    let metrics = line.metrics();
    let mut runs: Vec<Run> = Vec::new();
    let mut x = 0.0;
    for run in line.runs() {
        let weight = if run.font_attrs().weight.value() >= 600.0 {
            Weight::Bold
        } else {
            Weight::Regular
        };
        let mut glyphs: Vec<Glyph> = Vec::new();
        for cluster in run.visual_clusters() {
            let range = cluster.text_range();
            let range_in_source = range.start - whole.start..range.end - whole.start;
            let range = plain(range_in_source.start)..plain(range_in_source.end);
            if cluster.is_ligature_continuation() {
                if let Some(last) = glyphs.last_mut() {
                    last.range.end = last.range.end.max(range.end);
                }
                continue;
            }
            // A line's end is no letter.
            if source[range_in_source.clone()]
                .trim_matches('\n')
                .is_empty()
            {
                continue;
            }
            for glyph in cluster.glyphs() {
                glyphs.push(Glyph {
                    id: glyph.id,
                    x: x + f64::from(glyph.x) * mm,
                    y: f64::from(glyph.y) * mm,
                    advance: f64::from(glyph.advance) * mm,
                    range: range.clone(),
                });
                x += f64::from(glyph.advance) * mm;
            }
        }
        let size = f64::from(run.font_size());
        runs.push(Run {
            weight,
            size,
            glyphs,
        });
    }
    TextLine {
        words,
        size: style.size,
        runs,
        width: f64::from(metrics.advance - metrics.hanging_advance) * mm,
        ascent: ASCENT * style.size * mm,
        descent: DESCENT * style.size * mm,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_keeps_its_fraction_and_its_unit() {
        let mut setter = Setter::new();
        for width in 20..80 {
            let lines = setter.paragraph(
                "Turn the blank to 2 7/16 in across, then to 60 mm, and weigh it.",
                Style::regular(12.0),
                f64::from(width),
            );
            for line in &lines {
                let line = line.words.trim();
                assert!(
                    !line.starts_with("7/16") && !line.starts_with("in "),
                    "{line}"
                );
                assert!(!line.starts_with("mm"), "{line}");
            }
            // Searching finds plain blanks, and every glyph stands for its own letters.
            let joined: String = lines.iter().map(|line| &*line.words).collect();
            assert!(joined.contains("2 7/16 in across"));
            for line in &lines {
                for glyph in line.runs.iter().flat_map(|run| &run.glyphs) {
                    assert!(line.words.get(glyph.range.clone()).is_some());
                }
            }
        }
    }

    #[test]
    fn figures_have_one_width() {
        let mut setter = Setter::new();
        let style = Style::bold(17.0);
        let ones = setter.line("11111", style).width;
        let eights = setter.line("88888", style).width;
        assert!((ones - eights).abs() < 1e-4, "{ones} {eights}");
    }

    #[test]
    fn a_fraction_is_set_smaller_than_its_plain_figures() {
        let mut setter = Setter::new();
        let style = Style::regular(12.0);
        let fraction = setter.line("13/64", style);
        let figures = setter.line("1364", style);
        assert!(fraction.width < figures.width);
        assert_eq!(&*fraction.words, "13/64");
    }

    #[test]
    fn lines_stay_within_their_width_and_lose_no_letter() {
        let mut setter = Setter::new();
        let words = "Cut the cove with the bowl gouge down to the calliper, a little at a time. \
                     Rindfleischetikettierungsueberwachungsaufgabenuebertragungsgesetz.";
        let lines = setter.paragraph(words, Style::regular(12.0), 40.0);
        assert!(lines.len() > 3);
        for line in &lines {
            assert!(line.width <= 40.0 + 1e-3, "{}", line.words);
        }
        let joined: String = lines.iter().map(|line| &*line.words).collect();
        assert_eq!(joined, words);
    }

    #[test]
    fn a_line_end_breaks_and_draws_nothing() {
        let mut setter = Setter::new();
        let lines = setter.paragraph("one\ntwo", Style::regular(12.0), 100.0);
        let counts: Vec<usize> = lines
            .iter()
            .map(|line| line.runs.iter().map(|run| run.glyphs.len()).sum())
            .collect();
        assert_eq!(counts, [3, 3]);
    }

    #[test]
    fn a_sign_without_a_glyph_is_shown_as_missing() {
        let mut setter = Setter::new();
        assert_eq!(
            &*setter
                .line("\u{2300} 60 mm \u{5B57}", Style::regular(12.0))
                .words,
            "Ø 60 mm ?"
        );
    }

    #[test]
    fn a_long_line_is_cut_with_an_ellipsis() {
        let mut setter = Setter::new();
        let line = setter.line_within(
            "Pierced ball for dried lavender, in field maple, for the museum shop",
            Style::regular(9.0),
            50.0,
        );
        assert!(line.width <= 50.0 && line.width > 40.0);
        assert!(line.words.ends_with('…'));
    }
}
