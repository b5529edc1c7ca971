//! Flowing text and drawings down pages.
//!
//! Content comes in rows, which are never cut, and blocks of rows, which are
//! kept on one page when they fit on one. A block that is higher than a page is
//! broken between rows. A page that carries on a part repeats its heading.

use crate::drawing::{Group, Item, Page, Role, Shape, line, moved, rectangle};
use crate::pens::RULE;
use crate::text::{Anchor, Setter, Style, TextLine};
use crate::texts::Texts;
use kurbo::{Point, Vec2};

/// Left and right margin, mm: wider than what office printers leave bare.
pub const SIDE: f64 = 15.0;
/// Top margin, mm.
pub const TOP: f64 = 14.0;
/// Bottom margin, mm, with the footer in it.
pub const BOTTOM: f64 = 22.0;
/// Height of the baseline of the footer above the paper's edge, mm.
const FOOT: f64 = 11.0;

/// A stretch of content that is not cut.
#[derive(Debug, Clone)]
pub struct Row {
    /// Height, mm.
    pub height: f64,
    /// Items in the row's own frame: x from the left margin, y from the row's top.
    pub items: Vec<Item>,
}

impl Row {
    /// Empty space.
    pub fn space(height: f64) -> Self {
        Self {
            height,
            items: Vec::new(),
        }
    }

    /// A rule across, in a row of its own.
    pub fn rule(from: f64, to: f64, height: f64) -> Self {
        let y = height / 2.0;
        let rule = Shape::stroked(line(Point::new(from, y), Point::new(to, y)), RULE);
        Self {
            height,
            items: vec![Group::item("rule", Role::Decoration, vec![rule])],
        }
    }
}

/// A column of set lines within a row.
#[derive(Debug, Clone)]
pub struct Cell {
    /// Where its lines begin (or end, by the anchor), mm from the left margin.
    pub x: f64,
    /// Which end `x` names.
    pub anchor: Anchor,
    /// Distance of baselines, mm.
    pub leading: f64,
    /// The lines.
    pub lines: Vec<TextLine>,
    /// Name of the text.
    pub name: String,
    /// What it is.
    pub role: Role,
}

impl Cell {
    /// A cell of running text.
    pub fn text(name: &str, x: f64, style: Style, lines: Vec<TextLine>) -> Self {
        Self {
            x,
            anchor: Anchor::Start,
            leading: style.leading(),
            lines,
            name: name.to_owned(),
            role: Role::Paragraph,
        }
    }
}

/// Cells side by side, line by line: first baselines level, as many rows as the longest has lines.
pub fn columns(cells: Vec<Cell>) -> Vec<Row> {
    let count = cells.iter().map(|cell| cell.lines.len()).max().unwrap_or(0);
    let mut cells = cells;
    (0..count)
        .map(|index| {
            let present = cells.iter().filter(|cell| index < cell.lines.len());
            let height = present.map(|cell| cell.leading).fold(0.0, f64::max);
            // Baselines stand where the largest letters need them.
            let baseline = height * 0.77;
            let items = cells
                .iter_mut()
                .filter(|cell| index < cell.lines.len())
                .map(|cell| {
                    let text = cell.lines[index].clone();
                    let item = text.placed(Point::new(cell.x, baseline), cell.anchor);
                    Group::item(cell.name.clone(), cell.role.clone(), vec![item])
                })
                .collect();
            Row { height, items }
        })
        .collect()
}

/// Draws an upright bar left of all rows: what stands beside it belongs together.
pub fn barred(rows: Vec<Row>, x: f64, width: f64) -> Vec<Row> {
    rows.into_iter()
        .map(|mut row| {
            let bar = Shape::filled(rectangle(x, 0.0, width, row.height), 0.0);
            row.items
                .insert(0, Group::item("bar", Role::Decoration, vec![bar]));
            row
        })
        .collect()
}

/// Total height of rows, mm.
pub fn height(rows: &[Row]) -> f64 {
    rows.iter().map(|row| row.height).sum()
}

/// Pages being filled.
pub struct Flow<'a> {
    /// Sets the text.
    pub setter: &'a mut Setter,
    /// The words of the sheets.
    pub texts: &'a Texts,
    paper: (f64, f64),
    pages: Vec<Page>,
    y: f64,
    carried: Option<String>,
}

impl<'a> Flow<'a> {
    /// No page yet; paper's width and height in mm.
    pub fn new(setter: &'a mut Setter, texts: &'a Texts, paper: (f64, f64)) -> Self {
        Self {
            setter,
            texts,
            paper,
            pages: Vec::new(),
            y: 0.0,
            carried: None,
        }
    }

    /// An empty flow of the same paper, to lay pages out that may be thrown away.
    pub fn aside(&mut self) -> Flow<'_> {
        Flow::new(self.setter, self.texts, self.paper)
    }

    /// Adds pages that were laid out aside.
    pub fn append(&mut self, pages: Vec<Page>) {
        self.pages.extend(pages);
        self.carried = None;
        // Nothing more goes onto the last of them.
        self.y = self.paper.1;
    }

    /// Width between the margins, mm.
    pub fn width(&self) -> f64 {
        self.paper.0 - 2.0 * SIDE
    }

    /// Height between the margins, mm.
    pub fn height(&self) -> f64 {
        self.paper.1 - TOP - BOTTOM
    }

    /// Height left on this page, mm.
    pub fn left(&self) -> f64 {
        if self.pages.is_empty() {
            0.0
        } else {
            self.paper.1 - BOTTOM - self.y
        }
    }

    /// Number of pages so far.
    pub fn pages(&self) -> usize {
        self.pages.len()
    }

    /// Begins a part on a new page; pages that carry it on repeat `heading`.
    pub fn part(&mut self, heading: &str) {
        self.carried = None;
        self.turn();
        self.carried = Some(heading.to_owned());
    }

    /// Begins a new page.
    pub fn turn(&mut self) {
        self.pages.push(Page {
            width: self.paper.0,
            height: self.paper.1,
            items: Vec::new(),
        });
        self.y = TOP;
        if let Some(heading) = &self.carried {
            let width = self.width();
            let style = Style::bold(12.0);
            let after = self.setter.line(self.texts.of("page.continued"), style);
            let room = width - after.width - 1.2;
            let name = self.setter.line_within(heading, style, room);
            let beside = name.width + 1.2;
            let carried = |x, line| Cell {
                role: Role::Decoration,
                ..Cell::text("carried", x, style, vec![line])
            };
            let mut rows = columns(vec![carried(0.0, name), carried(beside, after)]);
            rows.push(Row::rule(0.0, width, 4.0));
            for row in rows {
                self.put(row);
            }
        }
    }

    /// Places a block: together if a page can hold it, else broken between rows.
    pub fn block(&mut self, rows: Vec<Row>) {
        let total = height(&rows);
        let fresh = self.height() - if self.carried.is_some() { 11.0 } else { 0.0 };
        if self.pages.is_empty() || (total > self.left() && total <= fresh) {
            self.turn();
        }
        for row in rows {
            if row.height > self.left() {
                self.turn();
            }
            self.put(row);
        }
    }

    /// Free height, unless the page has just begun.
    pub fn gap(&mut self, height: f64) {
        if self.y > TOP {
            self.y += height;
        }
    }

    fn put(&mut self, row: Row) {
        let by = Vec2::new(SIDE, self.y);
        if let Some(page) = self.pages.last_mut() {
            page.items.extend(moved(row.items, by));
        }
        self.y += row.height;
    }

    /// The pages, filled.
    pub fn finish(self) -> Vec<Page> {
        self.pages
    }
}

/// Writes the footer on every page: title, units, page n of m.
pub fn number_in(pages: &mut [Page], setter: &mut Setter, texts: &Texts, title: &str, units: &str) {
    let count = pages.len();
    for (index, page) in pages.iter_mut().enumerate() {
        let style = Style::regular(9.0);
        let y = page.height - FOOT;
        let right = page.width - SIDE;
        let (number, of) = ((index + 1).to_string(), count.to_string());
        let numbered = texts.filled("page.number", &[("page", &number), ("pages", &of)]);
        let numbered = setter.line(&numbered, style);
        let room = page.width - 2.0 * SIDE - numbered.width;
        let middle = setter.line(units, style);
        let name = setter.line_within(title, style, room / 2.0 - middle.width / 2.0 - 6.0);
        let rule = line(Point::new(SIDE, y - 5.0), Point::new(right, y - 5.0));
        page.items.push(Group::item(
            "footer",
            Role::Decoration,
            vec![
                Shape::stroked(rule, RULE),
                name.placed(Point::new(SIDE, y), Anchor::Start),
                middle.placed(Point::new(page.width / 2.0, y), Anchor::Middle),
                numbered.placed(Point::new(right, y), Anchor::End),
            ],
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(count: usize, height: f64) -> Vec<Row> {
        (0..count).map(|_| Row::rule(0.0, 10.0, height)).collect()
    }

    #[test]
    fn a_block_that_fits_a_page_is_not_broken() {
        let (mut setter, texts) = (Setter::new(), Texts::default());
        let mut flow = Flow::new(&mut setter, &texts, (210.0, 297.0));
        flow.block(rows(20, 10.0));
        flow.block(rows(10, 10.0));
        let pages = flow.finish();
        let counts: Vec<usize> = pages.iter().map(|page| page.items.len()).collect();
        assert_eq!(counts, [20, 10]);
    }

    #[test]
    fn a_block_higher_than_a_page_is_broken_between_rows_and_loses_none() {
        let (mut setter, texts) = (Setter::new(), Texts::default());
        let mut flow = Flow::new(&mut setter, &texts, (210.0, 297.0));
        flow.block(rows(70, 10.0));
        let pages = flow.finish();
        let counts: Vec<usize> = pages.iter().map(|page| page.items.len()).collect();
        // 297 less the margins is 261 mm: 26 rows a page.
        assert_eq!(counts, [26, 26, 18]);
    }
}
