//! The course of a ball in the picture, and the gaps where another one passes over it.

use longrail_math::{Vec2, order};

use crate::frame::Frame;
use crate::geometry::{Segment, simplified};
use crate::shot::PicturePath;

/// Points are dropped that lie closer than this to the line without them, in pixels.
const TOLERANCE_PX: f64 = 0.12;
/// Lines that meet at less than this (sine of 10°) run along each other rather than cross.
const LEAST_SINE: f64 = 0.17;

/// One leg of a track, by length from the track's start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Stretch {
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) flying: bool,
}

/// A ball's course in picture units.
#[derive(Clone, Debug, Default)]
pub(crate) struct Track {
    points: Vec<Vec2>,
    /// Length from the start to each point.
    lengths: Vec<f64>,
    /// The legs, without those that have no length.
    pub(crate) legs: Vec<Stretch>,
    /// What is left out, sorted and apart from each other.
    gaps: Vec<(f64, f64)>,
    /// Lengths at which another track is crossed.
    pub(crate) crossings: Vec<f64>,
    /// What is drawn, without regard to the gaps.
    drawn: (f64, f64),
}

impl Track {
    /// The track of `path`; points that are not numbers are left out.
    pub(crate) fn new(path: &PicturePath, frame: &Frame) -> Self {
        let mut track = Self::default();
        for leg in &path.legs {
            let finite = leg.points.iter().filter(|point| point.is_finite());
            let points: Vec<Vec2> = finite.map(|point| frame.to_picture(*point)).collect();
            let from = track.length();
            for point in simplified(&points, TOLERANCE_PX) {
                track.push(point);
            }
            // A leg that does not start where the last one ended is joined to it by a straight line.
            let to = track.length();
            if to > from {
                track.legs.push(Stretch { from, to, flying: leg.flying });
            }
        }
        track.drawn = (0.0, track.length());
        track
    }

    fn push(&mut self, point: Vec2) {
        let step = self.points.last().map_or(0.0, |last| (point - *last).norm());
        if step > 0.0 || self.points.is_empty() {
            self.lengths.push(self.length() + step);
            self.points.push(point);
        }
    }

    pub(crate) fn length(&self) -> f64 {
        self.lengths.last().copied().unwrap_or(0.0)
    }

    pub(crate) fn end(&self) -> Option<Vec2> {
        self.points.last().copied()
    }

    pub(crate) fn segments(&self) -> impl Iterator<Item = Segment> + '_ {
        self.points.windows(2).map(|pair| Segment::new(pair[0], pair[1]))
    }

    /// Leaves out the last `length` of the track.
    pub(crate) fn shorten(&mut self, length: f64) {
        self.drawn.1 = (self.drawn.1 - length).max(self.drawn.0);
    }

    /// The point at a length from the start, and the direction there.
    pub(crate) fn at(&self, length: f64) -> Option<(Vec2, Vec2)> {
        let index =
            self.lengths.partition_point(|known| *known < length).clamp(1, self.points.len().max(2) - 1);
        let (from, to) = (*self.points.get(index - 1)?, *self.points.get(index)?);
        let direction = (to - from) / (to - from).norm();
        Some((from + direction * (length - self.lengths[index - 1]), direction))
    }

    fn leave_gap(&mut self, at: f64, half: f64) {
        self.gaps.push((at - half, at + half));
        order::sort_by(&mut self.gaps, |a, b| a.0.total_cmp(&b.0));
        let mut merged: Vec<(f64, f64)> = Vec::with_capacity(self.gaps.len());
        for gap in self.gaps.drain(..) {
            match merged.last_mut() {
                Some(last) if gap.0 <= last.1 => last.1 = last.1.max(gap.1),
                _ => merged.push(gap),
            }
        }
        self.gaps = merged;
    }

    /// The pieces that are drawn, each within one stretch of ground or of flight.
    pub(crate) fn pieces(&self) -> Vec<Stretch> {
        let mut pieces = Vec::new();
        for stretch in self.runs() {
            let mut from = stretch.from.max(self.drawn.0);
            let end = stretch.to.min(self.drawn.1);
            for gap in &self.gaps {
                if gap.1 <= from || gap.0 >= end {
                    continue;
                }
                pieces.push(Stretch { from, to: gap.0, ..stretch });
                from = gap.1;
            }
            pieces.push(Stretch { from, to: end, ..stretch });
        }
        // What is shorter than half a pixel would be a speck.
        pieces.retain(|piece| piece.to - piece.from > 0.5);
        pieces
    }

    /// Legs joined as long as the ball stays on the bed, or stays off it.
    fn runs(&self) -> Vec<Stretch> {
        let mut runs: Vec<Stretch> = Vec::new();
        for leg in &self.legs {
            match runs.last_mut() {
                Some(last) if last.flying == leg.flying => last.to = leg.to,
                _ => runs.push(*leg),
            }
        }
        runs
    }

    /// The points of a piece.
    pub(crate) fn points_of(&self, piece: &Stretch) -> Vec<Vec2> {
        let mut points = Vec::new();
        points.extend(self.at(piece.from).map(|(point, _)| point));
        for (point, length) in self.points.iter().zip(&self.lengths) {
            if *length > piece.from && *length < piece.to {
                points.push(*point);
            }
        }
        points.extend(self.at(piece.to).map(|(point, _)| point));
        points
    }
}

/// Opens gaps in the tracks where they cross, `tracks` being sorted from the uppermost down and `widths`
/// being how wide each is drawn. Where a track crosses itself the earlier part has the gap.
pub(crate) fn open_gaps(tracks: &mut [Track], widths: &[f64], clearance: f64) {
    for upper in 0..tracks.len() {
        for lower in upper..tracks.len() {
            for (above, below, sine) in crossings(&tracks[upper], &tracks[lower], upper == lower) {
                let half = (widths[upper] / 2.0 + clearance) / sine;
                tracks[upper].crossings.push(above);
                tracks[lower].crossings.push(below);
                tracks[lower].leave_gap(below, half.min(6.0 * clearance + widths[upper]));
            }
        }
    }
}

fn crossings(upper: &Track, lower: &Track, same: bool) -> Vec<(f64, f64, f64)> {
    let mut found = Vec::new();
    for (i, above) in upper.segments().enumerate() {
        for (j, below) in lower.segments().enumerate() {
            // On one track the later part is the upper one, and neighbours meet without crossing.
            if same && i <= j + 1 {
                continue;
            }
            let Some(crossing) = above.crossing(&below) else { continue };
            if crossing.sine < LEAST_SINE {
                continue;
            }
            let here = upper.lengths[i] + crossing.here * above.length();
            let there = lower.lengths[j] + crossing.there * below.length();
            found.push((here, there, crossing.sine));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use longrail_physics::table::Table;

    use super::*;
    use crate::frame::Style;
    use crate::shot::PathLeg;

    fn track(points: &[(f64, f64)]) -> Track {
        let frame = Frame::new(&Table::default(), &Style::default());
        let points = points.iter().map(|(x, y)| Vec2::new(*x, *y)).collect();
        Track::new(&PicturePath { ball: 0, legs: vec![PathLeg { points, flying: false }] }, &frame)
    }

    #[test]
    fn the_lower_of_two_crossing_tracks_is_cut_and_the_upper_is_not() {
        let mut tracks = [track(&[(0.2, 0.2), (1.0, 1.0)]), track(&[(0.2, 1.0), (1.0, 0.2)])];
        open_gaps(&mut tracks, &[2.0, 2.0], 1.2);
        assert_eq!(tracks[0].pieces().len(), 1);
        let pieces = tracks[1].pieces();
        assert_eq!(pieces.len(), 2);
        // The paths are at right angles: half the upper line and the clearance on each side.
        assert!((pieces[1].from - pieces[0].to - 2.0 * (1.0 + 1.2)).abs() < 1e-9);
    }

    #[test]
    fn a_corner_is_not_a_crossing_but_a_loop_is() {
        let mut corner = [track(&[(0.2, 0.2), (1.0, 0.2), (0.2, 0.4)])];
        open_gaps(&mut corner, &[2.0], 1.2);
        assert_eq!(corner[0].pieces().len(), 1);
        let mut bow = [track(&[(0.2, 0.2), (1.0, 1.0), (1.0, 0.2), (0.2, 1.0)])];
        open_gaps(&mut bow, &[2.0], 1.2);
        let pieces = bow[0].pieces();
        assert_eq!(pieces.len(), 2);
        assert!(pieces[0].to < bow[0].length() / 3.0, "the earlier part has the gap");
    }

    #[test]
    fn a_path_without_points_or_without_numbers_is_nothing() {
        for points in [&[][..], &[(f64::NAN, 0.0)][..], &[(0.3, 0.3)][..]] {
            let lone = track(points);
            assert!(lone.pieces().is_empty() && lone.at(0.0).is_none());
        }
    }
}
