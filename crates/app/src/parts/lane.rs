//! The lane: makes less misses over one sheet, between the bound to pass and the bound to step back.
//!
//! Drawn as text and in whole numbers, tenths of a unit: it changes with each attempt, and a browser reads a path sooner than it
//! is handed a hundred circles, as whole numbers are written sooner than others.

use std::fmt::Write as _;

use longrail_app_link::{Bounds, Lane};

/// Attempts that a phone shows, unless there are more; a sheet has 100.
const SHORT: usize = 60;
/// Width of an attempt, and the height of the picture.
const STEP: f64 = 60.0;
const HEIGHT: f64 = 740.0;
/// Radius of an attempt, and of the last.
const DOT: i32 = 21;
const LAST_DOT: i32 = 34;

/// A lane, drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Drawn {
    /// The room of the picture, and that of the scale below it.
    pub(crate) inner: String,
    pub(crate) room: String,
    /// What stays from attempt to attempt: bounds and scale.
    pub(crate) bounds: String,
    pub(crate) scale: String,
    /// The attempts.
    pub(crate) walk: String,
}

fn number(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}

/// The nearest whole number: no picture is so large that it has none.
#[allow(clippy::cast_possible_truncation)]
fn whole(value: f64) -> i32 {
    value.round() as i32
}

/// How far along an attempt stands.
fn across(attempt: usize) -> i32 {
    whole(STEP * number(attempt))
}

/// Where things stand in the picture.
struct Scale {
    span: usize,
    top: f64,
    bottom: f64,
}

impl Scale {
    /// All attempts of a sheet if there is room.
    fn of(bounds: &Bounds, walk: &[f64], wide: bool) -> Self {
        let full = bounds.pass.len().max(1);
        let span = if wide || walk.len() + 5 > SHORT { full } else { SHORT.min(full) };
        let shown = |list: &[f64], from: f64, pick: fn(f64, f64) -> f64| {
            list.iter().take(span).copied().fold(from, pick)
        };
        let top = shown(walk, shown(&bounds.pass, 1.0, f64::max), f64::max) + 1.0;
        // As much of the lower bound as leaves the upper one its room.
        let bound = shown(&bounds.back, 0.0, f64::min).max(-0.7 * top);
        Self { span, top, bottom: shown(walk, 0.0, f64::min).min(bound) - 1.0 }
    }

    fn y(&self, height: f64) -> i32 {
        whole(HEIGHT * (self.top - height) / (self.top - self.bottom))
    }

    fn line(&self, heights: &[f64]) -> String {
        let mut line = String::new();
        for (index, height) in heights.iter().take(self.span).enumerate() {
            // A text takes whatever is written to it.
            let _ = write!(line, "{},{} ", across(index + 1), self.y(*height));
        }
        line
    }
}

/// Draws a lane, with what is not kept yet, as made or missed; all attempts of a sheet if there is room.
pub(crate) fn draw(bounds: &Bounds, lane: &Lane, pending: &[bool], wide: bool) -> Drawn {
    let scale = Scale::of(bounds, &lane.walk, wide);
    let (width, high) = (across(scale.span + 2), whole(HEIGHT));
    Drawn {
        inner: format!("0 -20 {width} {}", high + 20),
        room: format!("0 0 {width} 240"),
        bounds: drawn_bounds(&scale, bounds, lane),
        scale: tens(scale.span),
        walk: dots(&scale, lane, pending),
    }
}

fn drawn_bounds(scale: &Scale, bounds: &Bounds, lane: &Lane) -> String {
    let (zero, high, end) = (scale.y(0.0), whole(HEIGHT), across(scale.span));
    let (pass, back, step) = (scale.line(&bounds.pass), scale.line(&bounds.back), whole(STEP));
    let mut svg = format!(
        "<polygon class=\"bed\" points=\"{pass}{end},{high} {step},{high}\"/>\
         <line class=\"level\" x1=\"0\" x2=\"{}\" y1=\"{zero}\" y2=\"{zero}\"/>",
        across(scale.span + 2),
    );
    for attempt in &lane.visits {
        let x = across(usize::try_from(*attempt).unwrap_or(0)) + step / 2;
        let _ = write!(svg, "<line class=\"visit\" x1=\"{x}\" x2=\"{x}\" y1=\"0\" y2=\"{high}\"/>");
    }
    let _ = write!(
        svg,
        "<polyline class=\"pass\" points=\"{pass}\"/><polyline class=\"back\" points=\"{back}\"/>"
    );
    svg
}

/// Tens of attempts, below the picture.
fn tens(span: usize) -> String {
    let mut svg = String::new();
    for ten in 1..=span / 10 {
        let x = across(10 * ten);
        let class = if ten == 5 { "ten fifty" } else { "ten" };
        let _ = write!(
            svg,
            "<path class=\"{class}\" d=\"M{x} 10l25 40-25 40-25-40z\"/>\
             <text class=\"{class}\" x=\"{x}\" y=\"210\" text-anchor=\"middle\">{}</text>",
            10 * ten,
        );
    }
    svg
}

/// The attempts, each kind as one path.
fn dots(scale: &Scale, lane: &Lane, pending: &[bool]) -> String {
    let mut paths = [("made", String::new()), ("missed", String::new()), ("waits", String::new())];
    let all = lane.walk.len() + pending.len();
    let mut dot = |kind: usize, index: usize, height: f64| {
        if index < scale.span {
            let r = if index + 1 == all { LAST_DOT } else { DOT };
            let (left, y, w) = (across(index + 1) - r, scale.y(height), 2 * r);
            let _ = write!(paths[kind].1, "M{left} {y}a{r} {r} 0 1 0 {w} 0a{r} {r} 0 1 0-{w} 0");
        }
    };
    let mut height = 0.0;
    for (index, at) in lane.walk.iter().enumerate() {
        dot(usize::from(*at < height), index, *at);
        height = *at;
    }
    for (index, made) in pending.iter().enumerate() {
        height += if *made { 1.0 } else { -1.0 };
        dot(2, lane.walk.len() + index, height);
    }
    paths.map(|(class, d)| format!("<path class=\"{class}\" d=\"{d}\"/>")).concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bounds() -> Bounds {
        Bounds { pass: vec![9.0; 100], back: vec![-9.0; 100] }
    }

    #[test]
    fn each_attempt_is_a_dot_of_its_kind_at_its_place() {
        let lane = Lane { walk: vec![1.0, 2.0, 1.0], ..Lane::default() };
        let walk = draw(&bounds(), &lane, &[true], false).walk;
        let dots = |class: &str| {
            let from = walk.split(&format!("class=\"{class}\"")).nth(1).unwrap();
            from.split("/>").next().unwrap().matches('M').count()
        };
        assert_eq!((dots("made"), dots("missed"), dots("waits")), (2, 1, 1));
        // The last is larger than the others, and all stand where their number is.
        for (attempt, radius) in [(1, DOT), (2, DOT), (3, DOT), (4, LAST_DOT)] {
            assert!(walk.contains(&format!("M{} ", 60 * attempt - radius)), "{walk}");
        }
    }

    #[test]
    fn a_phone_shows_sixty_attempts_until_there_are_more_and_a_desk_shows_all() {
        let tens = |walked: usize, wide: bool| {
            let lane = Lane { walk: vec![1.0; walked], ..Lane::default() };
            draw(&bounds(), &lane, &[], wide).scale.matches("<text").count()
        };
        assert_eq!((tens(20, false), tens(56, false), tens(20, true)), (6, 10, 10));
    }

    #[test]
    fn an_attempt_more_leaves_bounds_and_scale_as_they_are() {
        let lane = |walked: usize| Lane { walk: vec![1.0; walked], ..Lane::default() };
        let (before, after) =
            (draw(&bounds(), &lane(20), &[], false), draw(&bounds(), &lane(21), &[], false));
        assert_eq!((before.bounds, before.scale, before.room), (after.bounds, after.scale, after.room));
        assert_ne!(before.walk, after.walk);
    }
}
