//! A surface as it is stored: a few thousand characters, and exactly the same when it is read again.
//!
//! Cells stand one after the other, by aim and then speed. Outcomes are the letters M (made), L, R (missed on the left, the
//! right), S, N, O (cue ball short, long, off). A cell is written as its rarer outcomes, each a small letter and a hexadecimal
//! digit for how many sixteenths it has, and then the capital letter of the outcome that has the rest; a number after a cell
//! says how many times it stands. `l3M20` is twenty cells with 3 sixteenths missed on the left and 13 made.

use serde::{Deserialize, Serialize};

use super::cells::{aim_edges, speed_edges};
use super::outcome::Shares;
use super::surface::Surface;

const LETTERS: [char; 6] = ['M', 'L', 'R', 'S', 'N', 'O'];

/// Shots of a cell, or a multiple of them.
const PARTS: u32 = 16;

/// The longest row of like cells that is read.
const MOST_CELLS: usize = 100_000;

/// What is stored.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Stored {
    /// Left out where they are the usual ones.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    aim_edges_deg: Option<Vec<f64>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    speed_edges: Option<Vec<f64>>,
    cells: String,
    aim_times: f64,
    speed_times: f64,
    pots: bool,
}

impl From<Surface> for Stored {
    fn from(surface: Surface) -> Self {
        let Surface { aim_edges_deg, speed_edges: speeds, cells, aim_times, speed_times, pots } = surface;
        let unusual = |edges: Vec<f64>, usual: Vec<f64>| (edges != usual).then_some(edges);
        Self {
            aim_edges_deg: unusual(aim_edges_deg, aim_edges()),
            speed_edges: unusual(speeds, speed_edges()),
            cells: written(&cells),
            aim_times,
            speed_times,
            pots,
        }
    }
}

impl TryFrom<Stored> for Surface {
    type Error = String;

    fn try_from(stored: Stored) -> Result<Self, String> {
        let Stored { aim_edges_deg, speed_edges: speeds, cells, aim_times, speed_times, pots } = stored;
        let aim_edges_deg = aim_edges_deg.unwrap_or_else(aim_edges);
        let speed_edges = speeds.unwrap_or_else(speed_edges);
        let rising = |edges: &[f64]| edges.windows(2).all(|pair| pair[0] < pair[1]);
        let count = (aim_edges_deg.len() + 1) * (speed_edges.len() + 1);
        let cells = read(&cells, count);
        let (Some(cells), true, true) = (cells, rising(&aim_edges_deg), rising(&speed_edges)) else {
            return Err(format!("a surface needs rising edges and {count} cells; compute it again"));
        };
        if !(aim_times > 0.0 && aim_times.is_finite() && speed_times > 0.0 && speed_times.is_finite()) {
            return Err("a surface's spreads are greater than 0; compute it again".to_owned());
        }
        Ok(Self { aim_edges_deg, speed_edges, cells, aim_times, speed_times, pots })
    }
}

/// A share in sixteenths.
fn sixteenths(share: f64) -> u32 {
    // A share of at most 1, times a small number.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let parts = (share.clamp(0.0, 1.0) * f64::from(PARTS)).round() as u32;
    parts
}

fn written(cells: &[Shares]) -> String {
    let mut text = String::new();
    for like in cells.chunk_by(|a, b| a == b) {
        let Some(cell) = like.first() else { continue };
        let parts = cell.map(sixteenths);
        // The last of equals would do as well; one rule makes one text.
        let most = (0..parts.len()).rev().max_by_key(|&k| parts[k]).unwrap_or(0);
        for (k, (&count, letter)) in parts.iter().zip(LETTERS).enumerate() {
            if k != most && count > 0 {
                text.push(letter.to_ascii_lowercase());
                text.extend(char::from_digit(count, PARTS));
            }
        }
        text.push(LETTERS[most]);
        if like.len() > 1 {
            text.push_str(&like.len().to_string());
        }
    }
    text
}

/// The cells, if the text has exactly so many.
fn read(text: &str, count: usize) -> Option<Vec<Shares>> {
    let mut cells: Vec<Shares> = Vec::with_capacity(count.min(MOST_CELLS));
    let mut left = text.chars().peekable();
    while left.peek().is_some() {
        let mut parts = [0_u32; 6];
        let rest = loop {
            let letter = left.next()?;
            if let Some(place) = LETTERS.iter().position(|known| *known == letter) {
                break place;
            }
            let place = LETTERS.iter().position(|known| known.to_ascii_lowercase() == letter)?;
            parts[place] += left.next()?.to_digit(PARTS)?;
        };
        parts[rest] += PARTS.checked_sub(parts.iter().sum())?;
        let mut times = String::new();
        while let Some(digit) = left.next_if(char::is_ascii_digit) {
            times.push(digit);
        }
        let times: usize = if times.is_empty() { 1 } else { times.parse().ok()? };
        if times == 0 || times > MOST_CELLS || cells.len() + times > count {
            return None;
        }
        let cell = parts.map(|count| f64::from(count) / f64::from(PARTS));
        cells.resize(cells.len() + times, cell);
    }
    (cells.len() == count).then_some(cells)
}

#[cfg(test)]
mod tests {
    use super::{Shares, read, written};

    #[test]
    fn cells_are_written_as_the_module_says() {
        let mixed: Shares = [13.0 / 16.0, 3.0 / 16.0, 0.0, 0.0, 0.0, 0.0];
        let sure: Shares = [0.0, 0.0, 1.0, 0.0, 0.0, 0.0];
        let odd: Shares = [0.25, 0.25, 0.0, 0.0, 0.5, 0.0];
        let cells = [mixed, mixed, sure, odd];
        assert_eq!(written(&cells), "l3M2Rm4l4N");
        assert_eq!(read("l3M2Rm4l4N", 4), Some(cells.to_vec()));
    }

    #[test]
    fn what_is_no_text_of_so_many_cells_is_refused() {
        for text in
            ["", "M", "M3", "M2M2", "M0", "x", "l", "l3", "lgM", "lfrfM2", "M99999999999999999999", "M2é"]
        {
            assert_eq!(read(text, 2), None, "{text}");
        }
        assert!(read("M2", 2).is_some());
    }
}
