//! The handout of a class: the same form in several sizes, with the reasons of each step and room to write.
//!
//! A front page with the sizes side by side; a sheet for each set-up with few numbers, a letter
//! to each size; mountings that repeat share a sheet, with what differs; sheets for the
//! teacher with times, wood and tools. The words, the times and the rule for spare wood are in the
//! file of words. Numbers and sentences come from the reports; nothing is worked out but minutes
//! and counts of blanks.

mod front;
mod student;
mod teacher;

use crate::drawing::Page;
use crate::flow::{Flow, number_in};
use crate::packet::Paper;
use crate::pdf::{self, Bookmark, PdfError};
use crate::pictures::Pictures;
use crate::text::Setter;
use crate::texts::Texts;
use rondure_plan::report::{Report, SetupReport};

/// The most sizes that stand side by side.
pub const MOST_SIZES: usize = 4;
/// The most students of a class.
pub const MOST_STUDENTS: u32 = 99;

/// One size of the form.
#[derive(Debug, Clone, Copy)]
pub struct Size<'a> {
    /// Its report.
    pub report: &'a Report,
    /// Its drawings.
    pub pictures: &'a Pictures,
}

/// How a handout is made.
#[derive(Debug, Clone, PartialEq)]
pub struct HandoutOptions {
    /// The paper.
    pub paper: Paper,
    /// Students in the class.
    pub students: u32,
    /// The words of the sheets.
    pub texts: Texts,
    /// Whether the file is made small.
    pub compress: bool,
}

impl Default for HandoutOptions {
    fn default() -> Self {
        Self {
            paper: Paper::A4,
            students: 6,
            texts: Texts::default(),
            compress: true,
        }
    }
}

/// Why a handout cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum HandoutError {
    /// No plan, or more than can stand side by side.
    #[error(
        "found {found} plans; a handout holds 1 to {MOST_SIZES} sizes side by side. Make several handouts"
    )]
    Sizes {
        /// How many there are.
        found: usize,
    },
    /// A class of nobody, or of too many.
    #[error(
        "found {found} students; allowed is 1 to {MOST_STUDENTS}. Make a handout for each class"
    )]
    Students {
        /// How many there are.
        found: u32,
    },
    /// A plan has other set-ups than the first.
    #[error(
        "`{other}` does not go beside `{first}`: it {how}. The sizes of a class are of one form with the same count of \
         marks, and the first has every set-up of the others. Give the fullest plan first, or make a handout of its own"
    )]
    Differs {
        /// The first plan.
        first: String,
        /// The other.
        other: String,
        /// In what.
        how: String,
    },
    /// The file cannot be written.
    #[error(transparent)]
    Pdf(#[from] PdfError),
}

/// What the sheets of a handout share.
struct Class<'a> {
    sizes: &'a [Size<'a>],
    texts: &'a Texts,
    students: u32,
}

impl<'a> Class<'a> {
    /// The size whose words and drawings stand for all.
    fn first(&self) -> Size<'a> {
        self.sizes[0]
    }
}

/// Makes the handout as a PDF.
///
/// # Errors
/// Where the plans cannot stand side by side, or the file cannot be written.
pub fn handout(sizes: &[Size<'_>], options: &HandoutOptions) -> Result<Vec<u8>, HandoutError> {
    let (pages, bookmarks) = pages(sizes, options)?;
    let title = title(sizes, &options.texts);
    Ok(pdf::write(
        &pages,
        &title,
        &bookmarks,
        options.texts.of("page.language"),
        options.compress,
    )?)
}

fn title(sizes: &[Size<'_>], texts: &Texts) -> String {
    let form = sizes.first().map_or("", |size| &size.report.form);
    let mut letters = form.chars();
    let form: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .chain(letters)
        .collect();
    texts.filled("handout.title", &[("form", &form)])
}

/// Lays the handout out without writing it.
///
/// # Errors
/// As [`handout`].
pub fn pages(
    sizes: &[Size<'_>],
    options: &HandoutOptions,
) -> Result<(Vec<Page>, Vec<Bookmark>), HandoutError> {
    check(sizes, options.students)?;
    let texts = &options.texts;
    let class = Class {
        sizes,
        texts,
        students: options.students,
    };
    let mut setter = Setter::new();
    let mut flow = Flow::new(&mut setter, texts, options.paper.size());
    let title = title(sizes, texts);
    let mut bookmarks = vec![Bookmark {
        title: title.clone(),
        page: 0,
    }];
    front::front(&mut flow, &class, &title);
    let mut repeated: Vec<&SetupReport> = Vec::new();
    let setups = &class.first().report.setups;
    for (place, setup) in setups.iter().enumerate() {
        let again = place > 0 && is_again(&setups[..place], setup);
        if again {
            repeated.push(setup);
        }
        let ends = setups
            .get(place + 1)
            .is_none_or(|next| !is_again(&setups[..=place], next));
        if !again || (ends && !repeated.is_empty()) {
            bookmarks.push(Bookmark {
                title: format!("{}. {}", setup.number, setup.title),
                page: flow.pages(),
            });
        }
        if !again {
            student::sheet(&mut flow, &class, setup);
        } else if ends {
            student::again(&mut flow, &class, &std::mem::take(&mut repeated));
        }
    }
    bookmarks.push(Bookmark {
        title: texts.of("teacher.title").to_owned(),
        page: flow.pages(),
    });
    teacher::teacher(&mut flow, &class);
    let mut pages = flow.finish();
    let units = if class.first().report.units == "in" {
        texts.of("page.inches")
    } else {
        texts.of("page.millimetres")
    };
    let same = sizes
        .iter()
        .all(|size| size.report.units == class.first().report.units);
    number_in(
        &mut pages,
        &mut setter,
        texts,
        &title,
        if same { units } else { "" },
    );
    Ok((pages, bookmarks))
}

fn check(sizes: &[Size<'_>], students: u32) -> Result<(), HandoutError> {
    let Some((first, others)) = sizes.split_first().filter(|_| sizes.len() <= MOST_SIZES) else {
        return Err(HandoutError::Sizes { found: sizes.len() });
    };
    if !(1..=MOST_STUDENTS).contains(&students) {
        return Err(HandoutError::Students { found: students });
    }
    for other in others {
        // A size may lack a set-up, such as a finial; what it does must be what the first does.
        let ours = &first.report.setups;
        let how = other.report.setups.iter().find_map(|their| {
            match ours.iter().find(|our| our.id == their.id) {
                None => Some(format!("adds {}", their.id)),
                Some(our) if our.title != their.title => Some(format!(
                    "says \"{}\" where the first says \"{}\"",
                    their.title, our.title
                )),
                Some(_) => None,
            }
        });
        if let Some(how) = how {
            return Err(HandoutError::Differs {
                first: first.report.title.clone(),
                other: other.report.title.clone(),
                how,
            });
        }
    }
    Ok(())
}

/// Whether a set-up repeats an earlier one: the same kind with another number.
fn is_again(earlier: &[SetupReport], setup: &SetupReport) -> bool {
    let kind = |id: &str| {
        let (kind, number) = id.rsplit_once('.')?;
        number.parse::<u32>().ok().map(|_| kind.to_owned())
    };
    kind(&setup.id).is_some_and(|own| {
        earlier
            .iter()
            .any(|other| kind(&other.id).as_ref() == Some(&own))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use rondure_plan::report::AfterSetup;

    fn setup(id: &str) -> SetupReport {
        SetupReport {
            id: id.to_owned(),
            number: 1,
            piece: "ball".to_owned(),
            title: String::new(),
            holding: String::new(),
            steps: Vec::new(),
            after: AfterSetup {
                volume_mm3: 0.0,
                volume_error_mm3: 0.0,
                mass_g: None,
            },
        }
    }

    #[test]
    fn a_mounting_repeats_a_mounting_and_a_finial_repeats_none() {
        let earlier = [setup("rough"), setup("mounting.1"), setup("finial.top")];
        assert!(is_again(&earlier, &setup("mounting.2")));
        assert!(!is_again(&earlier[..1], &setup("mounting.1")));
        assert!(!is_again(&earlier, &setup("finial.bottom")));
        assert!(!is_again(&earlier, &setup("pierce")));
    }

    #[test]
    fn nobody_and_no_plan_are_refused() {
        assert!(matches!(
            check(&[], 6),
            Err(HandoutError::Sizes { found: 0 })
        ));
        let report = Report {
            title: "a".to_owned(),
            form: "coved ball".to_owned(),
            units: "mm".to_owned(),
            pieces: Vec::new(),
            setups: vec![setup("rough")],
            measures: Vec::new(),
            findings: Vec::new(),
            needs: Vec::new(),
            cautions: Vec::new(),
        };
        let mut other = report.clone();
        other.setups.push(setup("mounting.5"));
        let pictures = Pictures::default();
        let size = |report| Size {
            report,
            pictures: &pictures,
        };
        assert!(matches!(
            check(&[size(&report)], 0),
            Err(HandoutError::Students { found: 0 })
        ));
        let refused = check(&[size(&report), size(&other)], 6);
        assert!(refused.is_err_and(|error| error.to_string().contains("adds mounting.5")));
        assert!(check(&[size(&report), size(&report)], 6).is_ok());
    }
}
