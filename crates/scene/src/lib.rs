//! Pictures as SVG text: knows how a table, balls, paths and marks are drawn true to scale, and what a played shot
//! ([`played_picture`]), a goal ([`goal_marks`]) and a layout to be set up ([`setup_svg`]) look like; does not know
//! how a shot is computed, where a picture is shown, or any file, clock or screen.
//!
//! The same input gives the same text to the byte. A picture carries its own colours, names its own font
//! stack and can stand alone or inside a page, a strict one too: it has presentation attributes and no styles.
//! Lengths go in as metres in the frame of the table (x from the head rail's nose to the foot rail's, y from the
//! right rail's nose to the left one's) and come out as picture units, of which one is a pixel at the width asked
//! for.
//!
//! ```
//! use longrail_math::Vec2;
//! use longrail_physics::table::Table;
//! use longrail_scene::{PictureBall, ShotPicture, Style, shot_svg};
//!
//! let table = Table::default();
//! let balls = vec![PictureBall::resting("cue", 0.028_575, Vec2::new(0.9, 0.4))];
//! let picture = ShotPicture { balls, ..ShotPicture::of(&table) };
//! assert!(shot_svg(&picture, &Style::default()).starts_with("<svg"));
//! ```

mod balls;
mod colour;
mod describe;
mod dimensions;
mod figures;
mod frame;
mod geometry;
mod goal;
mod ladder;
mod map;
mod marks;
mod paths;
mod placement;
mod played;
mod root;
mod setup;
mod shot;
mod svg;
mod table;
mod tags;
mod text;
mod theme;
mod tracks;
mod wishes;

pub use balls::trade_colour;
pub use colour::Rgb;
pub use describe::describe;
pub use frame::{Frame, Lie, Style};
pub use goal::Region;
pub use ladder::{Counted, LadderChart, RungOdds, ladder_svg};
pub use map::{OddsField, OddsMap, Place, map_svg};
pub use marks::Mark;
pub use played::played_picture;
pub use setup::{dimensions, setup_picture, setup_svg};
pub use shot::{PathLeg, PictureBall, PicturePath, ShotPicture, shot_svg};
pub use table::{RAIL_M, RUBBER_M, SIGHT_BEHIND_NOSE_M, sights};
pub use theme::{Palette, Theme};
pub use wishes::{goal_marks, pockets_meant};

/// The font of every figure in a picture: the app's own first, then whatever the system has.
pub const FONT_STACK: &str = "\"Longrail Text\", \"Atkinson Hyperlegible Next\", system-ui, \"Segoe UI\", \
                              Roboto, \"Noto Sans\", sans-serif";
