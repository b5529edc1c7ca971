//! The tables of docs/benchmarks.md, each between its two marks; the words around stay.

use std::fmt::Write as _;
use std::path::Path;

use crate::demo::Demo;
use crate::run::{Answer, TOOLS, Tool};

/// Puts a block between `<!-- NAME: written by cargo xtask bench -->` and `<!-- end of NAME -->`.
pub fn fill(page: &mut String, name: &str, block: &str) -> Result<(), String> {
    let (begin, end) = (
        format!("<!-- {name}: written by cargo xtask bench -->"),
        format!("<!-- end of {name} -->"),
    );
    let from = page.find(&begin).map(|place| place + begin.len());
    let to = page.find(&end);
    match (from, to) {
        (Some(from), Some(to)) if from <= to => {
            page.replace_range(from..to, &format!("\n{block}"));
            Ok(())
        }
        _ => Err(format!("the page has no `{begin}` before `{end}`")),
    }
}

/// Reads, fills and writes a page.
pub fn rewrite(path: &Path, blocks: &[(&str, String)]) -> Result<(), String> {
    let told = |error: std::io::Error| format!("{}: {error}", path.display());
    let mut page = std::fs::read_to_string(path).map_err(told)?;
    for (name, block) in blocks {
        fill(&mut page, name, block)?;
    }
    std::fs::write(path, page).map_err(told)
}

/// One row of a comparison.
pub struct Row {
    pub name: String,
    pub answers: [Option<Answer>; 4],
}

fn heading(tool: Tool) -> &'static str {
    match tool {
        Tool::Ours => "ours",
        Tool::Manifold => "manifold3d",
        Tool::Balanced => "manifold3d, balanced",
        Tool::Fidget => "fidget",
    }
}

/// Times in ms, and how many times faster ours is than the best peer, and than the best of
/// those whose vertices lie on the surface.
pub fn times(rows: &[Row]) -> String {
    let mut text = table_head("", &["the best peer takes", "without balancing"]);
    for row in rows {
        let _ = write!(text, "| {} |", row.name);
        for answer in &row.answers {
            let cell = answer
                .as_ref()
                .map(|a| format!("{} ms", short(a.milliseconds)));
            let _ = write!(text, " {} |", cell.unwrap_or_else(|| "not reached".into()));
        }
        for skip in [None, Some(Tool::Balanced)] {
            let ratio = ratio(row, skip).map(|ratio| format!("{} times ours", short(ratio)));
            let _ = write!(text, " {} |", ratio.unwrap_or_else(|| "–".into()));
        }
        text.push('\n');
    }
    text
}

/// Settings, true errors and triangles behind the times.
pub fn settings(rows: &[Row]) -> String {
    let mut text = table_head("", &[]);
    for row in rows {
        let _ = write!(text, "| {} |", row.name);
        for answer in &row.answers {
            let cell = answer.as_ref().map(|a| {
                let triangles = match a.triangles {
                    0 => String::new(),
                    count => format!("; {count} triangles"),
                };
                format!("{}; error {:.1e}{triangles}", a.setting, a.error)
            });
            let _ = write!(text, " {} |", cell.unwrap_or_else(|| "–".into()));
        }
        text.push('\n');
    }
    text
}

/// Peak memory, and processors kept busy.
pub fn resources(rows: &[Row]) -> String {
    let mut text = table_head("", &[]);
    for row in rows {
        let _ = write!(text, "| {} |", row.name);
        for answer in &row.answers {
            let cell = answer.as_ref().map(|a| {
                let tell = |value: Option<f64>| value.map_or("?".into(), short);
                format!("{} MB; {}", tell(a.peak), tell(a.busy))
            });
            let _ = write!(text, " {} |", cell.unwrap_or_else(|| "–".into()));
        }
        text.push('\n');
    }
    text
}

/// How time grows with the number of cuts, as its power, between the first row and the last.
pub fn growth(rows: &[Row], factor: f64) -> String {
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else {
        return String::new();
    };
    let powers: Vec<String> = (0..4)
        .filter_map(|place| {
            let (a, b) = (
                first.answers[place].as_ref()?,
                last.answers[place].as_ref()?,
            );
            let power = (b.milliseconds / a.milliseconds).ln() / factor.ln();
            Some(format!("{} {power:.2}", heading(TOOLS[place])))
        })
        .collect();
    format!(
        "Time grows with the number of cuts to the power of: {}.\n",
        powers.join(", ")
    )
}

/// The demo's figures.
pub fn demo(demos: &[(usize, Demo)]) -> String {
    let mut text = String::from(
        "| cores | surface at 0.1 mm | triangles | again after one number changed | reading and expanding the plan |\n|---|---|---|---|---|\n",
    );
    for (cores, demo) in demos {
        let _ = writeln!(
            text,
            "| {cores} | {} ms | {} | {} ms | {} ms |",
            short(demo.surface),
            demo.triangles,
            short(demo.again),
            short(demo.plan)
        );
    }
    text
}

fn table_head(first: &str, more: &[&str]) -> String {
    let mut heads = vec![first];
    heads.extend(TOOLS.map(heading));
    heads.extend(more);
    format!(
        "| {} |\n|{}\n",
        heads.join(" | "),
        "---|".repeat(heads.len())
    )
}

fn ratio(row: &Row, skip: Option<Tool>) -> Option<f64> {
    let ours = row.answers[0].as_ref()?.milliseconds;
    TOOLS
        .into_iter()
        .zip(&row.answers)
        .skip(1)
        .filter(|(tool, _)| Some(*tool) != skip)
        .filter_map(|(_, answer)| answer.as_ref())
        .map(|answer| answer.milliseconds)
        .min_by(f64::total_cmp)
        .map(|best| best / ours)
}

/// Two or three digits that count.
fn short(value: f64) -> String {
    if value >= 100.0 {
        format!("{value:.0}")
    } else if value >= 10.0 {
        format!("{value:.1}")
    } else {
        format!("{value:.2}")
    }
}
