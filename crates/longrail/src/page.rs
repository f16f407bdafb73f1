//! A page of text: a reading in plain words, then labelled rows, then notes.

use serde_json::Value;

use crate::exit::Failure;

/// Characters in a line, at most.
const WIDTH: usize = 80;

/// What a command has to say.
pub(crate) struct Page {
    text: String,
    label_width: usize,
}

impl Page {
    /// Begins with one sentence that a coach can read aloud. Labels get `label_width` characters.
    pub(crate) fn new(reading: &str, label_width: usize) -> Self {
        let mut page = Self { text: String::new(), label_width };
        page.paragraph("", reading, 0);
        page.gap();
        page
    }

    /// A labelled row; what is too long goes on under its beginning.
    pub(crate) fn row(&mut self, label: &str, value: &str) {
        let width = self.label_width;
        self.paragraph(&format!("{label:width$}  "), value, width + 2);
    }

    /// A remark, after a gap.
    pub(crate) fn note(&mut self, text: &str) {
        if !self.text.ends_with("\n\n") {
            self.gap();
        }
        self.paragraph("", text, 0);
    }

    /// A line that is laid out already.
    pub(crate) fn line(&mut self, text: &str) {
        self.text.push_str(text.trim_end());
        self.text.push('\n');
    }

    /// An empty line.
    pub(crate) fn gap(&mut self) {
        self.text.push('\n');
    }

    fn paragraph(&mut self, start: &str, text: &str, indent: usize) {
        let mut line = start.to_owned();
        let mut empty = true;
        // A number and its sign stay together.
        let joined = text.replace(" %", "\u{a0}%");
        for word in joined.split(' ') {
            if !empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
                self.line(&line);
                line = " ".repeat(indent);
                empty = true;
            }
            if !empty {
                line.push(' ');
            }
            line.push_str(&word.replace('\u{a0}', " "));
            empty = false;
        }
        self.line(&line);
    }

    /// Prints the page, or the same as JSON if that was asked for.
    pub(crate) fn print(&self, json: bool, value: &Value) -> Result<(), Failure> {
        if json { crate::print(&format!("{value:#}\n")) } else { crate::print(&self.text) }
    }
}
