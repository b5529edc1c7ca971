//! Writes the sample packet of the tests on both papers, and its figures as SVG, into the folder named.

use rondure_sheet::{PacketOptions, Paper, figure_svg, packet, strip_svg};
use std::{error::Error, fs, path::PathBuf};

#[path = "../tests/sample/mod.rs"]
mod sample;

fn main() -> Result<(), Box<dyn Error>> {
    let folder = PathBuf::from(
        std::env::args()
            .nth(1)
            .ok_or("name a folder to write into")?,
    );
    let (report, figures) = (sample::report(), sample::figures());
    for (name, paper) in [("a4", Paper::A4), ("letter", Paper::Letter)] {
        let options = PacketOptions {
            paper,
            ..PacketOptions::default()
        };
        fs::write(
            folder.join(format!("{name}.pdf")),
            packet(&report, &figures, &options)?,
        )?;
    }
    let options = PacketOptions {
        paper: Paper::Letter,
        compress: false,
        ..PacketOptions::default()
    };
    fs::write(
        folder.join("inches.pdf"),
        packet(&sample::inches(), &figures, &options)?,
    )?;
    for figure in &figures.drawings {
        fs::write(
            folder.join(format!("{}.svg", figure.id)),
            figure_svg(figure)?,
        )?;
    }
    fs::write(folder.join("strip.svg"), strip_svg(&sample::strip())?)?;
    Ok(())
}
