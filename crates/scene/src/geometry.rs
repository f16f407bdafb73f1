//! Plane geometry of the picture: distances, crossings, fewer points for the same line.

use longrail_math::Vec2;

/// A straight piece between two points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Segment {
    pub(crate) from: Vec2,
    pub(crate) to: Vec2,
}

impl Segment {
    pub(crate) fn new(from: Vec2, to: Vec2) -> Self {
        Self { from, to }
    }

    pub(crate) fn length(&self) -> f64 {
        (self.to - self.from).norm()
    }

    /// The point of the segment that is nearest to `point`.
    pub(crate) fn nearest(&self, point: Vec2) -> Vec2 {
        let along = self.to - self.from;
        let squared = along.norm_squared();
        if squared <= 0.0 {
            return self.from;
        }
        self.from + along * ((point - self.from).dot(along) / squared).clamp(0.0, 1.0)
    }

    /// Distance of `point` from the segment.
    pub(crate) fn distance(&self, point: Vec2) -> f64 {
        (point - self.nearest(point)).norm()
    }

    /// Length of the segment inside a disc.
    pub(crate) fn length_inside(&self, centre: Vec2, radius: f64) -> f64 {
        let length = self.length();
        if length <= 0.0 {
            return 0.0;
        }
        let along = (self.to - self.from) / length;
        let foot = (centre - self.from).dot(along);
        let off = (centre - self.from).cross(along);
        let half_squared = radius * radius - off * off;
        if half_squared <= 0.0 {
            return 0.0;
        }
        let half = half_squared.sqrt();
        ((foot + half).min(length) - (foot - half).max(0.0)).max(0.0)
    }

    /// Length of the segment inside an area.
    pub(crate) fn length_in(&self, area: &Area) -> f64 {
        let along = self.to - self.from;
        let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
        for (from, step, centre, half) in [
            (self.from.x, along.x, area.centre.x, area.half.x),
            (self.from.y, along.y, area.centre.y, area.half.y),
        ] {
            let (low, high) = (centre - half - from, centre + half - from);
            if step == 0.0 {
                if low > 0.0 || high < 0.0 {
                    return 0.0;
                }
                continue;
            }
            let (first, last) = (low / step, high / step);
            enters = enters.max(first.min(last));
            leaves = leaves.min(first.max(last));
        }
        (leaves - enters).max(0.0) * self.length()
    }

    /// Where two segments cross, as fractions of each, with the sine of the angle between them; `None`
    /// where they do not or are parallel.
    pub(crate) fn crossing(&self, other: &Self) -> Option<Crossing> {
        let (a, b) = (self.to - self.from, other.to - other.from);
        let product = a.cross(b);
        let lengths = a.norm() * b.norm();
        if lengths <= 0.0 || product.abs() < 1e-9 * lengths {
            return None;
        }
        let between = other.from - self.from;
        let (here, there) = (between.cross(b) / product, between.cross(a) / product);
        let within = 0.0..=1.0;
        (within.contains(&here) && within.contains(&there)).then(|| Crossing {
            here,
            there,
            sine: (product / lengths).abs(),
        })
    }
}

/// Where two segments cross.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Crossing {
    /// Fraction of the first segment.
    pub(crate) here: f64,
    /// Fraction of the second segment.
    pub(crate) there: f64,
    /// Sine of the angle between them.
    pub(crate) sine: f64,
}

/// A rectangle whose sides lie along the picture's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Area {
    pub(crate) centre: Vec2,
    /// Half its width and half its height.
    pub(crate) half: Vec2,
}

impl Area {
    /// Distance of `point` from the area, 0 inside.
    pub(crate) fn distance(&self, point: Vec2) -> f64 {
        let off = point - self.centre;
        Vec2::new((off.x.abs() - self.half.x).max(0.0), (off.y.abs() - self.half.y).max(0.0)).norm()
    }

    /// By how much two areas come nearer to each other than `gap`, along the axis on which it is less; 0 where they do not.
    pub(crate) fn overlap(&self, other: &Self, gap: f64) -> f64 {
        let (off, reach) = (other.centre - self.centre, self.half + other.half);
        (reach.x + gap - off.x.abs()).min(reach.y + gap - off.y.abs()).max(0.0)
    }

    /// The area with `by` more on every side.
    pub(crate) fn grown(&self, by: f64) -> Self {
        Self { centre: self.centre, half: self.half + Vec2::new(by, by) }
    }
}

/// The same line with fewer points, none left out further than `tolerance` from it.
///
/// A curve sampled every few milliseconds has hundreds of points where a dozen draw the same line.
pub(crate) fn simplified(points: &[Vec2], tolerance: f64) -> Vec<Vec2> {
    let Some(last) = points.len().checked_sub(1) else { return Vec::new() };
    let mut kept = vec![false; points.len()];
    kept[0] = true;
    kept[last] = true;
    let mut spans = vec![(0, last)];
    while let Some((first, end)) = spans.pop() {
        let chord = Segment::new(points[first], points[end]);
        let mut worst = (tolerance, None);
        for (index, point) in points.iter().enumerate().take(end).skip(first + 1) {
            let off = chord.distance(*point);
            if off > worst.0 {
                worst = (off, Some(index));
            }
        }
        if let (_, Some(index)) = worst {
            kept[index] = true;
            spans.push((first, index));
            spans.push((index, end));
        }
    }
    points.iter().zip(kept).filter(|(_, keep)| *keep).map(|(point, _)| *point).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> Vec2 {
        Vec2::new(x, y)
    }

    #[test]
    fn a_square_s_diagonals_cross_in_the_middle_at_a_right_angle() {
        let crossing = Segment::new(at(0.0, 0.0), at(2.0, 2.0))
            .crossing(&Segment::new(at(0.0, 2.0), at(2.0, 0.0)))
            .expect("they cross");
        assert!((crossing.here - 0.5).abs() < 1e-12 && (crossing.there - 0.5).abs() < 1e-12);
        assert!((crossing.sine - 1.0).abs() < 1e-12);
    }

    #[test]
    fn parallel_segments_and_those_that_end_before_do_not_cross() {
        let base = Segment::new(at(0.0, 0.0), at(2.0, 0.0));
        assert!(base.crossing(&Segment::new(at(0.0, 1.0), at(2.0, 1.0))).is_none());
        assert!(base.crossing(&Segment::new(at(3.0, -1.0), at(3.0, 1.0))).is_none());
    }

    #[test]
    fn a_chord_through_the_centre_is_a_diameter() {
        let line = Segment::new(at(-5.0, 0.0), at(5.0, 0.0));
        assert!((line.length_inside(at(0.0, 0.0), 2.0) - 4.0).abs() < 1e-12);
        assert!((line.length_inside(at(5.0, 0.0), 2.0) - 2.0).abs() < 1e-12);
        assert_eq!(line.length_inside(at(0.0, 3.0), 2.0), 0.0);
    }

    #[test]
    fn an_area_knows_what_lies_in_it_and_how_near_it_is() {
        let area = Area { centre: at(0.0, 0.0), half: at(2.0, 1.0) };
        assert_eq!(Segment::new(at(-4.0, 0.0), at(4.0, 0.0)).length_in(&area), 4.0);
        assert_eq!(Segment::new(at(0.0, 0.5), at(0.0, 8.5)).length_in(&area), 0.5);
        assert_eq!(Segment::new(at(-5.0, 2.0), at(5.0, 2.0)).length_in(&area), 0.0);
        assert_eq!(area.distance(at(5.0, 5.0)), 5.0);
        assert_eq!(area.distance(at(1.0, -1.0)), 0.0);
        let other = Area { centre: at(3.0, 1.0), half: at(2.0, 1.0) };
        assert_eq!(area.overlap(&other, 0.0), 1.0);
        assert_eq!(area.overlap(&Area { centre: at(9.0, 0.0), ..other }, 4.0), 0.0);
    }

    #[test]
    fn a_line_keeps_its_corners_and_loses_what_lies_on_it() {
        let points = [at(0.0, 0.0), at(1.0, 0.01), at(2.0, 0.0), at(2.0, 1.0), at(2.0, 2.0)];
        assert_eq!(simplified(&points, 0.1), vec![at(0.0, 0.0), at(2.0, 0.0), at(2.0, 2.0)]);
        assert_eq!(simplified(&[], 0.1), Vec::new());
        assert_eq!(simplified(&[at(1.0, 1.0)], 0.1), vec![at(1.0, 1.0)]);
    }
}
