//! A map as characters, for a terminal of 80 columns.

use longrail_physics::{Ball, TableSpec};
use longrail_scene::Place;
use longrail_stroke::grid::{ACROSS, ALONG};

use super::map::Map;
use super::say;

/// Columns before the bed.
const LABEL: usize = 4;

/// The grid, the left rail up and the head rail on the left: a digit for each position, and brackets where the odds
/// pass the target from one to the next along the table.
pub(super) fn grid(map: &Map<'_>, balls: &[Ball], spec: &TableSpec) -> Vec<String> {
    let others = balls.iter().filter(|ball| ball.id != map.moves);
    let shown: Vec<(usize, usize)> = others.map(|ball| nearest(ball, spec, map.step)).collect();
    let mut lines = vec![format!("{:LABEL$} head rail{:>47}foot rail", "", "")];
    for across in (0..ACROSS).step_by(map.step).rev() {
        let places = (0..ALONG).step_by(map.step).map(|along| {
            let place = map.place(along, across);
            (place, place == Place::NoRoom && shown.contains(&(along, across)))
        });
        let row = row(&places.collect::<Vec<_>>(), map.step, map.target);
        let label = if across % 4 == 0 { (across / 4).to_string() } else { String::new() };
        lines.push(format!("{label:>2}  {row}"));
    }
    let numbers: Vec<String> = (0..=8).map(|diamond| diamond.to_string()).collect();
    lines.push(format!("{:LABEL$} {}", "", numbers.join("       ")));
    lines
}

/// What the signs mean.
pub(super) fn key(target: f64, gaps: bool) -> String {
    format!(
        "Tens of per cent, in [ ] where {} or more; . no hit makes it; o a ball; {}blank: no room. Numbers at the edge are \
         diamonds from the head rail and from the right one.",
        say::percent(target),
        if gaps { "? not computed; " } else { "" }
    )
}

/// One row: a position every two columns and a quarter diamond.
fn row(places: &[(Place, bool)], step: usize, target: f64) -> String {
    let mut row = vec![' '; 2 * ALONG + 1];
    let inside = |index: Option<usize>| {
        let place = index.and_then(|index| places.get(index));
        place.and_then(|(place, _)| place.chance()).is_some_and(|chance| chance >= target)
    };
    for (index, (place, ball)) in places.iter().enumerate() {
        let column = 2 * index * step + 1;
        row[column] = match place {
            Place::NoRoom if *ball => 'o',
            Place::NoRoom => ' ',
            Place::Unknown => '?',
            Place::NoHit => '.',
            Place::Chance(chance) => tens(*chance),
        };
        if inside(Some(index)) {
            if !inside(index.checked_sub(1)) {
                row[column - 1] = '[';
            }
            if !inside(Some(index + 1)) {
                row[column + 1] = ']';
            }
        }
    }
    row.into_iter().collect()
}

/// A digit: 0 for less than 10 %, 9 for 90 % and more.
fn tens(chance: f64) -> char {
    // Between 0 and 9.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let digit = (10.0 * chance).floor().clamp(0.0, 9.0) as u32;
    char::from_digit(digit, 10).unwrap_or('9')
}

/// The position of the lattice that is nearest to a ball, in quarter diamonds.
fn nearest(ball: &Ball, spec: &TableSpec, step: usize) -> (usize, usize) {
    // A small whole number; a ball lies on the bed.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
    let index = |p: f64, length: f64, positions: usize| {
        let steps = (positions - 1) as f64 / step as f64;
        step * (p / length * steps).round().max(0.0) as usize
    };
    (index(ball.position.x, spec.length_m, ALONG), index(ball.position.y, spec.width_m, ACROSS))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brackets_stand_where_the_target_is_passed() {
        let chances = [0.9, 0.55, 0.5, 0.499, 0.05, 0.62];
        let places: Vec<(Place, bool)> =
            chances.iter().map(|chance| (Place::Chance(*chance), false)).collect();
        assert_eq!(row(&places, 1, 0.5).trim_end(), "[9 5 5]4 0[6]");
        assert_eq!(row(&places[..3], 4, 0.52).trim_end(), "[9       5]      5");
    }

    #[test]
    fn places_without_odds_have_their_signs() {
        let places = [Place::NoHit, Place::NoRoom, Place::NoRoom, Place::Unknown].map(|place| (place, false));
        assert_eq!(row(&places, 1, 0.5).trim_end(), " .     ?");
        assert_eq!(row(&[(Place::NoHit, false), (Place::NoRoom, true)], 1, 0.5).trim_end(), " . o");
    }

    #[test]
    fn a_ball_stands_at_the_nearest_position() {
        // 9 ft: a quarter diamond is 79.375 mm.
        let spec = TableSpec::default();
        let ball = Ball::at_rest("1", 2.54 - 0.03, 0.16);
        assert_eq!(nearest(&ball, &spec, 1), (32, 2));
        assert_eq!(nearest(&ball, &spec, 4), (32, 4));
    }

    #[test]
    fn a_digit_is_the_tens() {
        assert_eq!([0.0, 0.099, 0.1, 0.89, 0.97, 1.0].map(tens), ['0', '0', '1', '8', '9', '9']);
    }
}
