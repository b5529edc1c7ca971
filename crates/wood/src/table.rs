//! A small strict reader of comma-separated tables, for the tables built into this crate.
//!
//! Fields may be quoted; a quote inside a quoted field is doubled; a quoted field stays on its line. Every row must have
//! as many fields as the header. Anything else is an error that names the line, so a damaged table is never half read.

use thiserror::Error;

/// What is wrong with a table, and on which line.
#[derive(Debug, Error, PartialEq)]
#[error("table {table}, line {line}: {fault}")]
pub(crate) struct TableError {
    pub table: &'static str,
    pub line: usize,
    pub fault: String,
}

/// A table read whole: the header's columns and the rows below it.
#[derive(Debug)]
pub(crate) struct Table {
    name: &'static str,
    columns: Vec<String>,
    rows: Vec<(usize, Vec<String>)>,
}

/// One row, looked up by column name.
#[derive(Clone, Copy)]
pub(crate) struct Row<'a> {
    table: &'a Table,
    line: usize,
    fields: &'a [String],
}

impl Table {
    /// Reads `text`; `name` is used in errors.
    pub fn read(name: &'static str, text: &str) -> Result<Self, TableError> {
        let fail = |line, fault: String| TableError {
            table: name,
            line,
            fault,
        };
        let mut lines = text.lines().enumerate().map(|(i, l)| (i + 1, l));
        let (_, header) = lines
            .next()
            .ok_or_else(|| fail(1, "no header".to_owned()))?;
        let columns = split(header).map_err(|fault| fail(1, fault))?;
        let mut rows = Vec::new();
        for (line, text) in lines {
            let fields = split(text).map_err(|fault| fail(line, fault))?;
            if fields.len() != columns.len() {
                let fault = format!("{} fields, the header has {}", fields.len(), columns.len());
                return Err(fail(line, fault));
            }
            rows.push((line, fields));
        }
        Ok(Self {
            name,
            columns,
            rows,
        })
    }

    /// The rows in the order of the file.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|(line, fields)| Row {
            table: self,
            line: *line,
            fields,
        })
    }
}

impl<'a> Row<'a> {
    /// The text of a column.
    pub fn text(&self, column: &str) -> Result<&'a str, TableError> {
        let index = self.table.columns.iter().position(|c| c == column);
        match index {
            Some(index) => Ok(&self.fields[index]),
            None => Err(self.error(format!("no column {column}"))),
        }
    }

    /// The number in a column, or none where the field is blank.
    pub fn number(&self, column: &str) -> Result<Option<f64>, TableError> {
        let text = self.text(column)?;
        if text.is_empty() {
            return Ok(None);
        }
        match text.parse::<f64>() {
            Ok(value) if value.is_finite() => Ok(Some(value)),
            _ => Err(self.error(format!("column {column}: {text:?} is not a number"))),
        }
    }

    /// An error about this row.
    pub fn error(&self, fault: String) -> TableError {
        TableError {
            table: self.table.name,
            line: self.line,
            fault,
        }
    }
}

/// Splits one line into its fields.
fn split(line: &str) -> Result<Vec<String>, String> {
    let mut fields = Vec::new();
    let mut rest = line;
    loop {
        let (field, after) = match rest.strip_prefix('"') {
            Some(quoted) => take_quoted(quoted)?,
            None => {
                let end = rest.find(',').unwrap_or(rest.len());
                if rest[..end].contains('"') {
                    return Err(format!(
                        "a quote inside the unquoted field {:?}",
                        &rest[..end]
                    ));
                }
                (rest[..end].to_owned(), &rest[end..])
            }
        };
        fields.push(field);
        match after.strip_prefix(',') {
            Some(next) => rest = next,
            None if after.is_empty() => return Ok(fields),
            None => return Err(format!("{after:?} after a closing quote")),
        }
    }
}

/// Reads a quoted field whose opening quote is already taken; returns it and what follows its closing quote.
fn take_quoted(text: &str) -> Result<(String, &str), String> {
    let mut field = String::new();
    let mut rest = text;
    while let Some(at) = rest.find('"') {
        field.push_str(&rest[..at]);
        rest = &rest[at + 1..];
        match rest.strip_prefix('"') {
            Some(next) => {
                field.push('"');
                rest = next;
            }
            None => return Ok((field, rest)),
        }
    }
    Err("a quoted field is not closed".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_quotes_commas_and_blanks() {
        let table = Table::read("t", "a,b,c\n\"x, y\",,\"say \"\"ah\"\"\"\n1,-2.5,z\n").unwrap();
        let rows: Vec<_> = table.rows().collect();
        assert_eq!(rows.len(), 2);
        assert_eq!(rows[0].text("a").unwrap(), "x, y");
        assert_eq!(rows[0].number("b").unwrap(), None);
        assert_eq!(rows[0].text("c").unwrap(), "say \"ah\"");
        assert_eq!(rows[1].number("b").unwrap(), Some(-2.5));
    }

    #[test]
    fn refuses_what_it_cannot_read_and_names_the_line() {
        let line_of = |text| Table::read("t", text).unwrap_err().line;
        assert_eq!(line_of("a,b\n1,2\n3\n"), 3);
        assert_eq!(line_of("a,b\n\"1,2\n"), 2);
        assert_eq!(line_of("a,b\n\"1\"x,2\n"), 2);
        assert_eq!(line_of("a,b\n1\",2\n"), 2);
        assert_eq!(line_of(""), 1);
        let table = Table::read("t", "a\nnan\n").unwrap();
        let row = table.rows().next().unwrap();
        assert_eq!(row.number("a").unwrap_err().line, 2);
        assert!(row.text("b").unwrap_err().to_string().contains("column b"));
    }
}
