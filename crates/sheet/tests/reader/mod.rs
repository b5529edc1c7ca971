//! A small reader of uncompressed PDF files, written against ISO 32000 for the tests alone:
//! page sizes, straight-edged paths in page millimetres (origin top left, y down), text through
//! the fonts' ToUnicode maps, bookmark titles. It does not share code with the writer.

#![expect(
    clippy::unwrap_used,
    reason = "a file the reader cannot follow is a failed test"
)]

use std::collections::BTreeMap;

pub struct Pdf {
    objects: BTreeMap<u32, Vec<u8>>,
    pub pages: Vec<Page>,
    pub bookmarks: Vec<String>,
}

pub struct Page {
    /// Width and height, points.
    pub size: (f64, f64),
    /// Subpaths with straight edges, mm.
    pub paths: Vec<Vec<(f64, f64)>>,
    /// Text that is read out, in drawing order, a blank after each marked stretch.
    pub text: String,
    /// Text that is not: running heads and footers.
    pub furniture: String,
}

pub fn read(bytes: &[u8]) -> Pdf {
    let objects = objects(bytes);
    let mut pdf = Pdf {
        objects,
        pages: Vec::new(),
        bookmarks: Vec::new(),
    };
    let text = |object: &[u8]| String::from_utf8_lossy(object).into_owned();
    let tree = pdf
        .objects
        .values()
        .map(|o| text(o))
        .find(|o| o.contains("/Type/Pages"))
        .unwrap();
    let kids = references(between(&tree, "/Kids[", "]"));
    pdf.bookmarks = pdf
        .objects
        .values()
        .map(|o| text(o))
        .filter(|o| o.contains("/Title(") && o.contains("/Dest"))
        .map(|o| between(&o, "/Title(", ")/").to_owned())
        .collect();
    pdf.pages = kids
        .iter()
        .map(|id| page(&pdf, &text(&pdf.objects[id])))
        .collect();
    pdf
}

/// Objects by number; a stream is skipped by its length, so its bytes cannot confuse the scan.
fn objects(bytes: &[u8]) -> BTreeMap<u32, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut at = 0;
    while let Some(start) = find(&bytes[at..], b" 0 obj\n").map(|offset| at + offset) {
        let digits = bytes[..start]
            .iter()
            .rev()
            .take_while(|b| b.is_ascii_digit())
            .count();
        let id = std::str::from_utf8(&bytes[start - digits..start])
            .unwrap()
            .parse()
            .unwrap();
        let body = start + 7;
        let end = body + find(&bytes[body..], b"endobj").unwrap();
        let end = match find(&bytes[body..end], b"stream\n") {
            Some(stream) => {
                let head = String::from_utf8_lossy(&bytes[body..body + stream]).into_owned();
                let length: usize = number_after(&head, "/Length ") as usize;
                body + stream + 7 + length
            }
            None => end,
        };
        found.insert(id, bytes[body..end].to_vec());
        at = end;
    }
    found
}

fn page(pdf: &Pdf, dictionary: &str) -> Page {
    let frame: Vec<f64> = between(dictionary, "/MediaBox[", "]")
        .split_whitespace()
        .map(|n| n.parse().unwrap())
        .collect();
    let resources = &pdf.objects[&(number_after(dictionary, "/Resources ") as u32)];
    let resources = String::from_utf8_lossy(resources).into_owned();
    let mut fonts = BTreeMap::new();
    if resources.contains("/Font<<") {
        for entry in between(&resources, "/Font<<", ">>").split('/').skip(1) {
            let (name, font) = entry.split_once(' ').unwrap();
            let font = String::from_utf8_lossy(&pdf.objects[&references(font)[0]]).into_owned();
            let map = &pdf.objects[&(number_after(&font, "/ToUnicode ") as u32)];
            fonts.insert(name.to_owned(), unicode_map(&String::from_utf8_lossy(map)));
        }
    }
    let content = &pdf.objects[&(number_after(dictionary, "/Contents ") as u32)];
    let start = find(content, b"stream\n").unwrap() + 7;
    let mut page = Page {
        size: (frame[2], frame[3]),
        paths: Vec::new(),
        text: String::new(),
        furniture: String::new(),
    };
    run(&content[start..], &fonts, &mut page);
    page
}

fn unicode_map(map: &str) -> BTreeMap<u16, String> {
    let mut letters = BTreeMap::new();
    for line in map.lines() {
        let mut parts = line
            .split(['<', '>'])
            .filter(|part| !part.trim().is_empty());
        let (Some(code), Some(units), None) = (parts.next(), parts.next(), parts.next()) else {
            continue;
        };
        let Ok(code) = u16::from_str_radix(code, 16) else {
            continue;
        };
        let units: Vec<u16> = (0..units.len() / 4)
            .map(|k| u16::from_str_radix(&units[4 * k..4 * k + 4], 16).unwrap())
            .collect();
        letters.insert(code, String::from_utf16(&units).unwrap());
    }
    letters
}

enum Token {
    Number(f64),
    Name(String),
    Text(Vec<u8>),
    Word(String),
}

/// Runs a content stream.
fn run(content: &[u8], fonts: &BTreeMap<String, BTreeMap<u16, String>>, page: &mut Page) {
    type Matrix = [f64; 6];
    let mut state: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let mut saved: Vec<Matrix> = Vec::new();
    let mut operands: Vec<Token> = Vec::new();
    let mut font = None;
    let mut furniture = false;
    let mut current: Vec<(f64, f64)> = Vec::new();
    let height = page.size.1;
    let place = |m: &Matrix, x: f64, y: f64| {
        let (x, y) = (m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]);
        (x * 25.4 / 72.0, (height - y) * 25.4 / 72.0)
    };
    for token in tokens(content) {
        let Token::Word(word) = token else {
            operands.push(token);
            continue;
        };
        let n: Vec<f64> = operands
            .iter()
            .filter_map(|token| {
                if let Token::Number(n) = token {
                    Some(*n)
                } else {
                    None
                }
            })
            .collect();
        match word.as_str() {
            "q" => saved.push(state),
            "Q" => state = saved.pop().unwrap(),
            "cm" => {
                let (a, b) = ([n[0], n[1], n[2], n[3], n[4], n[5]], state);
                state = [
                    a[0] * b[0] + a[1] * b[2],
                    a[0] * b[1] + a[1] * b[3],
                    a[2] * b[0] + a[3] * b[2],
                    a[2] * b[1] + a[3] * b[3],
                    a[4] * b[0] + a[5] * b[2] + b[4],
                    a[4] * b[1] + a[5] * b[3] + b[5],
                ];
            }
            "m" => {
                page.paths
                    .extend((current.len() > 1).then(|| std::mem::take(&mut current)));
                current = vec![place(&state, n[0], n[1])];
            }
            "l" => current.push(place(&state, n[0], n[1])),
            "c" => current.push(place(&state, n[4], n[5])),
            "h" => current.push(current[0]),
            "re" => page.paths.push(
                [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0), (0.0, 0.0)]
                    .iter()
                    .map(|(u, v)| place(&state, n[0] + u * n[2], n[1] + v * n[3]))
                    .collect(),
            ),
            "S" | "f" | "f*" | "B" | "B*" | "n" => {
                page.paths
                    .extend((current.len() > 1).then(|| std::mem::take(&mut current)));
                current.clear();
            }
            "Tf" => {
                font = operands.iter().find_map(|token| match token {
                    Token::Name(name) => fonts.get(name),
                    _ => None,
                });
            }
            "Tj" | "TJ" => {
                for token in &operands {
                    if let Token::Text(codes) = token {
                        for code in codes.chunks_exact(2) {
                            let code = u16::from_be_bytes([code[0], code[1]]);
                            let to = if furniture {
                                &mut page.furniture
                            } else {
                                &mut page.text
                            };
                            to.push_str(&font.unwrap()[&code]);
                        }
                    }
                }
            }
            "BMC" => furniture = true,
            "EMC" => {
                let to = if furniture {
                    &mut page.furniture
                } else {
                    &mut page.text
                };
                to.push(' ');
                furniture = false;
            }
            _ => {}
        }
        operands.clear();
    }
}

fn tokens(content: &[u8]) -> Vec<Token> {
    let mut found = Vec::new();
    let mut at = 0;
    let ends = |b: u8| b.is_ascii_whitespace() || b"()<>[]/".contains(&b);
    while at < content.len() {
        let byte = content[at];
        at += 1;
        match byte {
            b'(' => {
                // Brackets in pairs need no escape.
                let (mut text, mut depth) = (Vec::new(), 0);
                loop {
                    let byte = content[at];
                    at += 1;
                    depth += i32::from(byte == b'(') - i32::from(byte == b')');
                    match byte {
                        b')' if depth < 0 => break,
                        b'\\' => {
                            let escaped = content[at];
                            at += 1;
                            text.push(match escaped {
                                b'n' => b'\n',
                                b'r' => b'\r',
                                b't' => b'\t',
                                b'b' => 8,
                                b'f' => 12,
                                b'0'..=b'7' => {
                                    let digits = String::from_utf8_lossy(&content[at - 1..at + 2]);
                                    at += 2;
                                    u8::from_str_radix(&digits, 8).unwrap()
                                }
                                other => other,
                            });
                        }
                        other => text.push(other),
                    }
                }
                found.push(Token::Text(text));
            }
            b'<' if content[at] != b'<' => {
                let end = at + find(&content[at..], b">").unwrap();
                let digits = String::from_utf8_lossy(&content[at..end]).into_owned();
                let bytes = (0..digits.len() / 2)
                    .map(|k| u8::from_str_radix(&digits[2 * k..2 * k + 2], 16).unwrap());
                found.push(Token::Text(bytes.collect()));
                at = end + 1;
            }
            b'<' => at += 1,
            b'/' => {
                let length = content[at..].iter().take_while(|b| !ends(**b)).count();
                let name = String::from_utf8_lossy(&content[at..at + length]).into_owned();
                found.push(Token::Name(name));
                at += length;
            }
            byte if ends(byte) => {}
            _ => {
                let length = content[at..].iter().take_while(|b| !ends(**b)).count();
                let word = String::from_utf8_lossy(&content[at - 1..at + length]).into_owned();
                found.push(word.parse().map_or(Token::Word(word), Token::Number));
                at += length;
            }
        }
    }
    found
}

fn find(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    bytes
        .windows(wanted.len())
        .position(|window| window == wanted)
}

fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    let rest = &text[text.find(from).unwrap() + from.len()..];
    &rest[..rest.find(to).unwrap()]
}

fn number_after(text: &str, key: &str) -> f64 {
    let rest = &text[text.find(key).unwrap() + key.len()..];
    let end = rest
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(rest.len());
    rest[..end].parse().unwrap()
}

fn references(text: &str) -> Vec<u32> {
    let words: Vec<&str> = text.split_whitespace().collect();
    words
        .chunks(3)
        .map(|reference| reference[0].parse().unwrap())
        .collect()
}
