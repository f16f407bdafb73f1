//! A small writer of SVG text: elements, attributes, escaping, numbers.
//!
//! One element a line, so that two pictures can be compared with any tool that compares text.

use std::fmt::Write as _;

/// The attributes of one element, in the order in which they were given.
#[derive(Clone, Debug, Default)]
pub(crate) struct Attributes(String);

impl Attributes {
    pub(crate) fn new() -> Self {
        Self::default()
    }

    /// Adds `name="value"`, escaped.
    pub(crate) fn text(mut self, name: &str, value: &str) -> Self {
        self.0.push(' ');
        self.0.push_str(name);
        self.0.push_str("=\"");
        escape_into(&mut self.0, value);
        self.0.push('"');
        self
    }

    /// Adds a number with at most two decimals.
    pub(crate) fn number(self, name: &str, value: f64) -> Self {
        self.text(name, &number(value))
    }

    /// Adds a list of numbers, as `stroke-dasharray` takes it.
    pub(crate) fn numbers(self, name: &str, values: &[f64]) -> Self {
        let list: Vec<String> = values.iter().map(|value| number(*value)).collect();
        self.text(name, &list.join(" "))
    }
}

/// SVG text that grows element by element.
#[derive(Debug, Default)]
pub(crate) struct Svg {
    text: String,
    open: Vec<&'static str>,
}

impl Svg {
    pub(crate) fn new() -> Self {
        Self::default()
    }

    /// Opens an element that will have children.
    pub(crate) fn open(&mut self, name: &'static str, attributes: &Attributes) {
        self.indent();
        let _ = writeln!(self.text, "<{name}{}>", attributes.0);
        self.open.push(name);
    }

    /// Closes the element opened last.
    pub(crate) fn close(&mut self) {
        if let Some(name) = self.open.pop() {
            self.indent();
            let _ = writeln!(self.text, "</{name}>");
        }
    }

    /// Writes an element without children.
    pub(crate) fn leaf(&mut self, name: &str, attributes: &Attributes) {
        self.indent();
        let _ = writeln!(self.text, "<{name}{}/>", attributes.0);
    }

    /// Writes an element that holds nothing but text.
    pub(crate) fn words(&mut self, name: &str, attributes: &Attributes, content: &str) {
        self.indent();
        let _ = write!(self.text, "<{name}{}>", attributes.0);
        escape_into(&mut self.text, content);
        let _ = writeln!(self.text, "</{name}>");
    }

    /// Whether an element of this id was written.
    pub(crate) fn has(&self, id: &str) -> bool {
        self.text.contains(&format!(" id=\"{id}\""))
    }

    /// The text, with whatever is still open closed.
    pub(crate) fn finish(mut self) -> String {
        while !self.open.is_empty() {
            self.close();
        }
        self.text
    }

    fn indent(&mut self) {
        for _ in &self.open {
            self.text.push(' ');
        }
    }
}

/// A number with at most two decimals, without trailing zeros and never `-0`.
///
/// What is not a finite number becomes 0: a picture with one thing misplaced can still be read.
pub(crate) fn number(value: f64) -> String {
    let limited = if value.is_finite() { value.clamp(-1e9, 1e9) } else { 0.0 };
    #[expect(clippy::cast_possible_truncation, reason = "limited to 1e11 above")]
    let hundredths = (limited * 100.0).round() as i64;
    let sign = if hundredths < 0 { "-" } else { "" };
    let (whole, part) = (hundredths.abs() / 100, hundredths.abs() % 100);
    match (part, part % 10) {
        (0, _) => format!("{sign}{whole}"),
        (_, 0) => format!("{sign}{whole}.{}", part / 10),
        _ => format!("{sign}{whole}.{part:02}"),
    }
}

/// Appends `text` with the five characters of XML escaped and those that XML 1.0 forbids left out.
fn escape_into(out: &mut String, text: &str) {
    for character in text.chars() {
        match character {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&apos;"),
            // A parser would turn these into spaces inside an attribute.
            '\t' | '\n' | '\r' => {
                let _ = write!(out, "&#{};", u32::from(character));
            }
            '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => {}
            other => out.push(other),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_has_at_most_two_decimals_and_no_negative_zero() {
        let pairs = [
            (0.0, "0"),
            (-0.0, "0"),
            (-0.004, "0"),
            (1.0, "1"),
            (1.5, "1.5"),
            (1.05, "1.05"),
            (-2.346, "-2.35"),
            (0.999, "1"),
            (-0.01, "-0.01"),
            (100.10, "100.1"),
            (f64::NAN, "0"),
            (f64::INFINITY, "0"),
        ];
        for (value, text) in pairs {
            assert_eq!(number(value), text, "{value}");
        }
    }

    #[test]
    fn characters_of_xml_are_escaped_and_forbidden_ones_left_out() {
        let mut out = String::new();
        escape_into(&mut out, "a<b>&\"c'\u{0}\u{7}\nd");
        assert_eq!(out, "a&lt;b&gt;&amp;&quot;c&apos;&#10;d");
    }

    #[test]
    fn elements_nest_and_are_closed_at_the_end() {
        let mut svg = Svg::new();
        svg.open("g", &Attributes::new().text("fill", "none"));
        svg.leaf("circle", &Attributes::new().number("r", 2.0).numbers("stroke-dasharray", &[1.0, 2.5]));
        svg.words("text", &Attributes::new(), "1 & 2");
        let expected = "<g fill=\"none\">\n <circle r=\"2\" stroke-dasharray=\"1 2.5\"/>\n \
                        <text>1 &amp; 2</text>\n</g>\n";
        assert_eq!(svg.finish(), expected);
    }
}
