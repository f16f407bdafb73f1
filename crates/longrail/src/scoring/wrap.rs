//! Lines that fit a width, and parts of a page that fit a height.

use ratatui::text::Span;

/// Columns that `text` takes.
pub(super) fn width(text: &str) -> usize {
    Span::raw(text).width()
}

/// `text` in lines of at most `columns`, cut between words; a word that is longer is cut where it must be. Words keep
/// the spaces between them as long as they stay on one line.
pub(super) fn wrap(text: &str, columns: usize) -> Vec<String> {
    let columns = columns.max(1);
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split(' ') {
        let gap = usize::from(!line.is_empty());
        if gap == 1 && width(&line) + gap + width(word) > columns {
            lines.push(std::mem::take(&mut line).trim_end().to_owned());
        } else if gap == 1 {
            line.push(' ');
        }
        for sign in word.chars() {
            if width(&line) + width(sign.encode_utf8(&mut [0; 4])) > columns && !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line.push(sign);
        }
    }
    lines.push(line.trim_end().to_owned());
    lines
}

/// `text` in one line of at most `columns`; what was cut is shown by "…".
pub(super) fn clip(text: &str, columns: usize) -> String {
    if width(text) <= columns {
        return text.to_owned();
    }
    let mut clipped = String::new();
    for sign in text.chars() {
        if width(&clipped) + width(sign.encode_utf8(&mut [0; 4])) + 1 > columns {
            break;
        }
        clipped.push(sign);
    }
    if columns > 0 {
        clipped.push('…');
    }
    clipped
}

/// Lines of a page that are shown at once on a screen of so many rows: the last row is for the keys.
pub(super) fn part(rows: u16) -> usize {
    usize::from(rows).saturating_sub(1).max(1)
}

/// Parts of a page of `lines`.
pub(super) fn parts(lines: usize, rows: u16) -> usize {
    lines.div_ceil(part(rows)).max(1)
}
