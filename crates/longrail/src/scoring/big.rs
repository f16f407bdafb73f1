//! Large figures made of block characters, to be read from the other end of the table.
//!
//! A face is drawn in squares: a character cell is about twice as high as wide, so that its halves are square. The faces
//! are our own: heavy uprights, and an open 4, 6 and 9, so that no two figures are alike in poor light.

/// Figures in squares: ten digits and the stroke between made and tried, a column of blanks after each.
struct Face {
    rows: &'static [&'static str],
    digit: usize,
}

/// Heavy, five rows of cells.
const HEAVY: Face = Face {
    rows: &[
        ".####. ..##.. .####. #####. ...##. ###### ..###. ###### .####. .####. ...##",
        "##..## .###.. ###### ###### ..###. ###### .####. ###### ###### ###### ...##",
        "##..## ####.. ##..## ....## .####. ##.... ##.... ....## ##..## ##..## ..##.",
        "##..## ..##.. ....## ....## .#.##. ##.... ##.... ...##. ##..## ##..## ..##.",
        "##..## ..##.. ...##. .####. ##.##. #####. #####. ...##. .####. ###### ..##.",
        "##..## ..##.. ..##.. .####. ##.##. ###### ###### ..##.. .####. .##### .##..",
        "##..## ..##.. .##... ....## ###### ....## ##..## ..##.. ##..## ....## .##..",
        "##..## ..##.. ##.... ....## ###### ....## ##..## .##... ##..## ....## .##..",
        "##..## ###### ###### ###### ...##. ###### ###### .##... ###### .####. ##...",
        ".####. ###### ###### #####. ...##. #####. .####. .##... .####. .###.. ##...",
    ],
    digit: 6,
};

/// Light, three rows of cells, for small screens and long counts.
const LIGHT: Face = Face {
    rows: &[
        "### .#. ##. ##. #.# ### .## ### ### ### ..#",
        "#.# ##. ..# ..# #.# #.. #.. ..# #.# #.# ..#",
        "#.# .#. .#. .#. ### ##. ### .#. ### ### .#.",
        "#.# .#. #.. ..# ..# ..# #.# .#. #.# ..# #..",
        "### ### ### ##. ..# ##. ### .#. ### ##. #..",
    ],
    digit: 3,
};

/// No screen takes figures larger than this many times the heavy face.
const LARGEST: usize = 12;

impl Face {
    /// Columns of `sign` in the face's rows.
    fn columns(&self, sign: char) -> Option<std::ops::Range<usize>> {
        let full = self.rows.first()?.len();
        let start = |index: usize| index * (self.digit + 1);
        match sign.to_digit(10) {
            Some(digit) => Some(start(digit as usize)..start(digit as usize) + self.digit),
            None if sign == '/' => Some(start(10)..full),
            None => None,
        }
    }

    /// Columns of cells that `text` takes.
    fn width(&self, text: &str, scale: usize) -> usize {
        let squares: usize =
            text.chars().filter_map(|sign| self.columns(sign)).map(|columns| columns.len() + 1).sum();
        squares.saturating_sub(1) * scale
    }

    /// Rows of cells.
    fn height(&self, scale: usize) -> usize {
        (self.rows.len() * scale).div_ceil(2)
    }

    /// `text` in cells, every square `scale` columns wide.
    fn draw(&self, text: &str, scale: usize) -> Vec<String> {
        let signs: Vec<_> = text.chars().filter_map(|sign| self.columns(sign)).collect();
        let half_row = |half: usize| {
            let row = self.rows.get(half / scale).map_or(&[][..], |row| row.as_bytes());
            let mut squares = Vec::new();
            for (index, columns) in signs.iter().enumerate() {
                if index > 0 {
                    squares.push(false);
                }
                squares.extend(columns.clone().map(|column| row.get(column) == Some(&b'#')));
            }
            squares.into_iter().flat_map(move |square| std::iter::repeat_n(square, scale))
        };
        (0..self.height(scale))
            .map(|row| half_row(2 * row).zip(half_row(2 * row + 1)).map(cell).collect())
            .collect()
    }
}

/// The cell whose upper and lower halves are filled or not.
fn cell(halves: (bool, bool)) -> char {
    match halves {
        (true, true) => '\u{2588}',
        (true, false) => '\u{2580}',
        (false, true) => '\u{2584}',
        (false, false) => ' ',
    }
}

/// `text`, of digits and "/", as large as `columns` and `rows` allow; as it is if they allow no large figures. All
/// lines are equally long.
pub(super) fn figures(text: &str, columns: usize, rows: usize) -> Vec<String> {
    let mut sizes = (1..=LARGEST).rev().map(|scale| (&HEAVY, scale)).chain([(&LIGHT, 1)]);
    let fits =
        |&(face, scale): &(&Face, usize)| face.width(text, scale) <= columns && face.height(scale) <= rows;
    sizes.find(fits).map_or_else(|| vec![text.to_owned()], |(face, scale)| face.draw(text, scale))
}
