//! From metres on the table to units of the picture.
//!
//! Both lies are one frame turned, never mirrored: with the head rail on the left, or with the foot rail
//! up as seen from the head end.

use longrail_math::Vec2;
use longrail_physics::table::Table;

use crate::table::rail_width;
use crate::theme::Theme;

/// How the table lies in the picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Lie {
    /// Lengthwise, head rail on the left.
    #[default]
    Landscape,
    /// Upright, foot rail up.
    Portrait,
}

impl Lie {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Landscape, Self::Portrait];

    /// The name in file names and on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::Landscape => "landscape",
            Self::Portrait => "portrait",
        }
    }
}

/// How a picture is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Its colours.
    pub theme: Theme,
    /// How the table lies.
    pub lie: Lie,
    /// Width at which it will be shown, in pixels; kept within 160 to 8000. It decides how heavy lines
    /// are and where numbers fit, not what is drawn.
    pub width_px: f64,
}

impl Default for Style {
    fn default() -> Self {
        Self { theme: Theme::Dark, lie: Lie::Landscape, width_px: 800.0 }
    }
}

/// Width of the bed, in pixels, at which line weights are those of the visual language.
const REFERENCE_BED_PX: f64 = 300.0;

/// The scale and place of a table in a picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    lie: Lie,
    length_m: f64,
    width_m: f64,
    rail_m: f64,
    scale: f64,
    margin: f64,
}

impl Frame {
    /// The frame of `table` drawn in `style`: the whole table with its rails fills the width.
    pub fn new(table: &Table, style: &Style) -> Self {
        let spec = table.spec();
        let rail_m = rail_width(table);
        let across_picture = match style.lie {
            Lie::Landscape => spec.length_m,
            Lie::Portrait => spec.width_m,
        };
        let width = if style.width_px.is_finite() { style.width_px.clamp(160.0, 8000.0) } else { 320.0 };
        // Room for the outline of the rail, half of which lies outside it.
        let margin = 1.0;
        let scale = (width - 2.0 * margin) / (across_picture + 2.0 * rail_m);
        Self { lie: style.lie, length_m: spec.length_m, width_m: spec.width_m, rail_m, scale, margin }
    }

    /// Where a point of the table lies in the picture.
    pub fn to_picture(&self, metres: Vec2) -> Vec2 {
        let origin = self.margin + self.rail_m * self.scale;
        let (right, down) = match self.lie {
            Lie::Landscape => (metres.x, self.width_m - metres.y),
            Lie::Portrait => (self.width_m - metres.y, self.length_m - metres.x),
        };
        Vec2::new(origin + right * self.scale, origin + down * self.scale)
    }

    /// Which point of the table lies there in the picture: where a finger points.
    pub fn to_metres(&self, picture: Vec2) -> Vec2 {
        let origin = self.margin + self.rail_m * self.scale;
        let (right, down) = ((picture.x - origin) / self.scale, (picture.y - origin) / self.scale);
        match self.lie {
            Lie::Landscape => Vec2::new(right, self.width_m - down),
            Lie::Portrait => Vec2::new(self.length_m - down, self.width_m - right),
        }
    }

    /// A direction of the table as it lies in the picture; its length stays.
    pub(crate) fn turned(&self, direction: Vec2) -> Vec2 {
        match self.lie {
            Lie::Landscape => Vec2::new(direction.x, -direction.y),
            Lie::Portrait => Vec2::new(-direction.y, -direction.x),
        }
    }

    /// Picture units to a metre.
    pub fn scale(&self) -> f64 {
        self.scale
    }

    /// Width and height of the picture.
    pub fn size(&self) -> (f64, f64) {
        let (across, down) = match self.lie {
            Lie::Landscape => (self.length_m, self.width_m),
            Lie::Portrait => (self.width_m, self.length_m),
        };
        let whole = |length: f64| 2.0 * self.margin + (length + 2.0 * self.rail_m) * self.scale;
        (whole(across), whole(down))
    }

    /// The playing surface grown by `by_m` on every side: its top left corner and its size.
    pub(crate) fn surface(&self, by_m: f64) -> (Vec2, Vec2) {
        let a = self.to_picture(Vec2::new(-by_m, -by_m));
        let b = self.to_picture(Vec2::new(self.length_m + by_m, self.width_m + by_m));
        (Vec2::new(a.x.min(b.x), a.y.min(b.y)), Vec2::new((a.x - b.x).abs(), (a.y - b.y).abs()))
    }

    /// Weight of a line that is 1 px on a bed 300 px wide.
    ///
    /// It grows with the root of the bed's width: at the scale of the bed itself, lines would thin out on
    /// a phone and hide the balls on a large screen.
    pub(crate) fn weight(&self) -> f64 {
        (self.width_m * self.scale / REFERENCE_BED_PX).sqrt().max(0.7)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame(lie: Lie) -> Frame {
        Frame::new(&Table::default(), &Style { lie, width_px: 900.0, ..Style::default() })
    }

    #[test]
    fn lengthwise_the_head_rail_is_on_the_left_and_the_left_rail_up() {
        let f = frame(Lie::Landscape);
        let (head_right, foot_left) = (f.to_picture(Vec2::ZERO), f.to_picture(Vec2::new(2.54, 1.27)));
        assert!(head_right.x < foot_left.x && head_right.y > foot_left.y);
    }

    #[test]
    fn upright_the_foot_rail_is_up_and_the_left_rail_on_the_left() {
        let f = frame(Lie::Portrait);
        let (head_right, foot_left) = (f.to_picture(Vec2::ZERO), f.to_picture(Vec2::new(2.54, 1.27)));
        assert!(head_right.y > foot_left.y && head_right.x > foot_left.x);
    }

    #[test]
    fn neither_lie_is_mirrored() {
        for lie in Lie::ALL {
            let f = frame(lie);
            let [origin, x, y] =
                [Vec2::ZERO, Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0)].map(|p| f.to_picture(p));
            // The picture's y points down, so a turn to the left on the table has a negative product.
            assert!((x - origin).cross(y - origin) < 0.0, "{}", lie.name());
            assert!(f.turned(Vec2::new(1.0, 0.0)).cross(f.turned(Vec2::new(0.0, 1.0))) < 0.0);
        }
    }

    #[test]
    fn a_finger_finds_the_point_that_was_drawn() {
        for lie in Lie::ALL {
            let (f, point) = (frame(lie), Vec2::new(0.731, 0.412));
            assert!((f.to_metres(f.to_picture(point)) - point).norm() < 1e-12);
        }
    }

    #[test]
    fn a_width_without_sense_is_replaced() {
        for width_px in [f64::NAN, f64::INFINITY, -4.0, 0.0] {
            let style = Style { width_px, ..Style::default() };
            let (width, height) = Frame::new(&Table::default(), &style).size();
            assert!(width >= 160.0 && height >= 80.0, "{width_px}");
        }
    }
}
