//! A ZIP archive, written in one go to anything that takes bytes.
//!
//! The container that 3MF prescribes: deflated entries, each followed by its checksum and
//! sizes (so that nothing has to be gone back to), then the directory. The layout is that
//! of the public ZIP application note (from memory). Written here because a whole archive
//! library would bring nine more packages for these few records; the compression itself is
//! flate2's, which the packet uses as well. No dates: every entry is of the format's first
//! day, 1 January 1980, so the same contents give the same bytes. Entries and archive stay
//! below 4 GiB; beyond that there is an error.

use std::io::{self, BufWriter, Write};

use flate2::write::DeflateEncoder;
use flate2::{Compression, Crc};

use crate::labels::Unfit;

/// Sizes follow the data; names are UTF-8.
const FLAGS: u16 = 1 << 3 | 1 << 11;
const DEFLATED: u16 = 8;
/// Version 2.0 of the format is the first with deflation.
const VERSION: u16 = 20;
/// 1980-01-01, 00:00.
const DATE_AND_TIME: u32 = 0x0021_0000;

/// An archive being written.
pub(crate) struct Archive<W: Write> {
    to: Counted<W>,
    entries: Vec<Entry>,
}

struct Entry {
    name: &'static str,
    begin: u32,
    checksum: u32,
    packed: u32,
    size: u32,
}

impl Entry {
    /// The three numbers that follow the data and stand again in the directory.
    fn sums(&self) -> [u32; 3] {
        [self.checksum, self.packed, self.size]
    }
}

impl<W: Write> Archive<W> {
    pub(crate) fn new(to: W) -> Self {
        Self {
            to: Counted { to, count: 0 },
            entries: Vec::new(),
        }
    }

    /// Adds one file with what `write` writes.
    pub(crate) fn file(
        &mut self,
        name: &'static str,
        write: impl FnOnce(&mut dyn Write) -> io::Result<()>,
    ) -> io::Result<()> {
        let begin = self.to.count;
        let mut header = Vec::new();
        header.extend(0x0403_4b50u32.to_le_bytes());
        for field in [VERSION, FLAGS, DEFLATED] {
            header.extend(field.to_le_bytes());
        }
        header.extend(DATE_AND_TIME.to_le_bytes());
        // Checksum and sizes come after the data.
        header.extend([0; 12]);
        header.extend(length(name).to_le_bytes());
        header.extend(0u16.to_le_bytes());
        header.extend(name.as_bytes());
        self.to.write_all(&header)?;

        let packed_from = self.to.count;
        let (checksum, size) = pack(&mut self.to, write)?;
        let entry = Entry {
            name,
            begin: small(begin)?,
            checksum,
            packed: small(self.to.count - packed_from)?,
            size: small(size)?,
        };
        self.to.write_all(&0x0807_4b50u32.to_le_bytes())?;
        for sum in entry.sums() {
            self.to.write_all(&sum.to_le_bytes())?;
        }
        self.entries.push(entry);
        Ok(())
    }

    /// Writes the directory. An archive without it is no archive.
    pub(crate) fn end(mut self) -> io::Result<()> {
        let begin = small(self.to.count)?;
        let mut directory = Vec::new();
        for entry in &self.entries {
            directory.extend(0x0201_4b50u32.to_le_bytes());
            for field in [VERSION, VERSION, FLAGS, DEFLATED] {
                directory.extend(field.to_le_bytes());
            }
            directory.extend(DATE_AND_TIME.to_le_bytes());
            for sum in entry.sums() {
                directory.extend(sum.to_le_bytes());
            }
            directory.extend(length(entry.name).to_le_bytes());
            // No extra field, no comment, first disk, no attributes.
            directory.extend([0; 12]);
            directory.extend(entry.begin.to_le_bytes());
            directory.extend(entry.name.as_bytes());
        }
        let count = self.entries.len() as u16;
        let size = directory.len() as u32;
        directory.extend(0x0605_4b50u32.to_le_bytes());
        directory.extend([0; 4]);
        directory.extend(count.to_le_bytes());
        directory.extend(count.to_le_bytes());
        directory.extend(size.to_le_bytes());
        directory.extend(begin.to_le_bytes());
        directory.extend([0; 2]);
        self.to.write_all(&directory)?;
        self.to.flush()
    }
}

/// Packs what `write` writes; answers with its checksum and size.
fn pack(
    to: &mut impl Write,
    write: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> io::Result<(u32, u64)> {
    let mut summed = Summed {
        to: DeflateEncoder::new(to, Compression::default()),
        crc: Crc::new(),
        size: 0,
    };
    {
        // The text comes in small bits; packing is quicker in large ones.
        let mut gathered = BufWriter::with_capacity(1 << 16, &mut summed);
        write(&mut gathered)?;
        gathered.flush()?;
    }
    summed.to.finish()?;
    Ok((summed.crc.sum(), summed.size))
}

/// Names are our own and short.
fn length(name: &str) -> u16 {
    name.len() as u16
}

fn small(count: u64) -> Result<u32, Unfit> {
    u32::try_from(count).map_err(|_| Unfit::Large {
        format: "3MF",
        of: "bytes",
        found: count,
        allowed: u64::from(u32::MAX),
    })
}

/// Counts what goes through.
struct Counted<W> {
    to: W,
    count: u64,
}

impl<W: Write> Write for Counted<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.to.write(bytes)?;
        self.count += written as u64;
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.to.flush()
    }
}

/// Sums and counts what is to be packed.
struct Summed<W> {
    to: W,
    crc: Crc,
    size: u64,
}

impl<W: Write> Write for Summed<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.to.write(bytes)?;
        self.crc.update(&bytes[..written]);
        self.size += written as u64;
        Ok(written)
    }

    /// Passed on, deflation would begin a new block; there is nobody to wait for it.
    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}
