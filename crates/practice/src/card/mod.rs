//! A table card: what is known of a table, and how.
//!
//! A new card takes a name and a size; the rest may stay unmeasured, is then assumed as its field says, and is named beside
//! the odds ([`Card::unmeasured`]). What was measured is kept as it was measured, and never overwritten by what follows from
//! it: a better model may read more out of the same stopwatch.

mod cloth;
mod difference;
mod error;
mod key;
mod mouth;
mod rails;

pub use cloth::{Stopwatch, rolling_friction};
pub use difference::{Difference, Unit};
pub use error::CardError;
pub use key::{Change, Key};
pub use mouth::{Mouth, Mouths};
pub use rails::Rebound;

use longrail_physics::ball::{CUE, MASS_KG, RADIUS_M};
use longrail_physics::table::{PocketId, Size as NamedSize};
use longrail_physics::{Ball, Conditions, Table, TableSpec, World};
use longrail_stroke::odds::REBOUND_TOLERANCE;
use serde::{Deserialize, Serialize};

use crate::field::{line, number};
use crate::measure::INCH_M;

/// The playing surface, from nose to nose.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Size {
    /// By a name of the engine's list: `7ft`, `8ft`, `9ft` and others. What such a table usually measures is assumed.
    Named(String),
    /// As measured.
    Measured {
        /// Head nose to foot nose, in metres; 1 to 4.
        length_m: f64,
        /// Right nose to left nose, in metres; 0.5 to 2.
        width_m: f64,
    },
}

/// A cue ball that differs from the other balls, as on many coin tables.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CueBall {
    /// Radius, in metres; 0.02 to 0.04.
    pub radius_m: f64,
    /// Mass, in kilograms; 0.05 to 0.5.
    pub mass_kg: f64,
}

/// What becomes of a potted ball.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Potted {
    /// The table gives it back: it can be set up again.
    Returned,
    /// The table keeps it until it is paid for again: a drill takes a ball more for each make.
    Kept,
}

/// A table, as far as it is known. A field left out is assumed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Card {
    /// Which table it is, in the player's words; 1 to 60 characters.
    pub name: String,
    /// Where it stands; at most 60 characters.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
    /// Playing surface.
    pub size: Size,
    /// Mouths of the pockets. Assumed: 114.3 mm at the corners, 127 mm at the sides (4.5 and 5 in, WPA).
    #[serde(default, skip_serializing_if = "Mouths::is_empty")]
    pub mouths: Mouths,
    /// Speed of the cloth. Assumed: rolling friction 0.01 (Alciatore: 0.005 to 0.015).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cloth: Option<Stopwatch>,
    /// Liveliness of the rails. Assumed: restitution 0.98 (Mathavan et al. 2010).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rails: Option<Rebound>,
    /// The cue ball, if it is an odd one. Assumed: like the others, radius 28.575 mm and mass 170 g (WPA).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cue_ball: Option<CueBall>,
    /// What becomes of potted balls.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub potted: Option<Potted>,
    /// Where balls roll off, in the player's words; at most 200 characters. No model knows it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub roll_off: String,
}

impl Card {
    /// A card of which only name and size are known.
    pub fn new(name: &str, size: &str) -> Self {
        Self {
            name: name.to_owned(),
            place: String::new(),
            size: Size::Named(size.to_owned()),
            mouths: Mouths::default(),
            cloth: None,
            rails: None,
            cue_ball: None,
            potted: None,
            roll_off: String::new(),
        }
    }

    /// Checks every field, and that the measurements can be true together.
    ///
    /// # Errors
    /// [`CardError`] with the first field that is wrong, its value and its range.
    pub fn check(&self) -> Result<(), CardError> {
        self.world().map(|_| ())
    }

    /// The table as the engine plays on it, with rebounds as exact as odds need them.
    ///
    /// # Errors
    /// As [`Self::check`].
    pub fn world(&self) -> Result<World, CardError> {
        line("name", &self.name, (1, 60))?;
        line("place", &self.place, (0, 60))?;
        line("roll_off", &self.roll_off, (0, 200))?;
        if let Some(ball) = &self.cue_ball {
            number("cue_ball.radius_m", ball.radius_m, (0.02, 0.04), "m")?;
            number("cue_ball.mass_kg", ball.mass_kg, (0.05, 0.5), "kg")?;
        }
        let mut conditions = Conditions::default();
        conditions.cushion.tolerance = REBOUND_TOLERANCE;
        let (length_m, width_m) = self.size_m()?;
        let nose_m = conditions.cushion.height_m;
        let spec =
            TableSpec { length_m, width_m, mouths_m: self.mouths.metres(nose_m)?, ..TableSpec::default() };
        let table = Table::new(spec)?;
        if let Some(cloth) = &self.cloth {
            conditions.rolling_friction = cloth.rolling_friction()?;
        }
        let world = World::new(table, conditions)?;
        // A cue ball that is too small for the rails is told here, and not at the first shot.
        world.reach_m(self.cue_ball().0)?;
        let Some(rails) = &self.rails else { return Ok(world) };
        let restitution = rails.restitution(&world)?;
        conditions.cushion.restitution = restitution;
        Ok(World::new(world.table().clone(), conditions)?)
    }

    /// Takes over each measurement that only `later` has.
    pub fn fill(&mut self, later: &Self) {
        if let (Size::Named(_), Size::Measured { .. }) = (&self.size, &later.size) {
            self.size = later.size.clone();
        }
        self.mouths.fill(&later.mouths);
        self.cloth = self.cloth.or(later.cloth);
        self.rails = self.rails.or(later.rails);
        self.cue_ball = self.cue_ball.or(later.cue_ball);
    }

    /// Length and width of the playing surface, in metres.
    ///
    /// # Errors
    /// [`CardError`] for a name that is not known or a measurement out of range.
    pub fn size_m(&self) -> Result<(f64, f64), CardError> {
        match &self.size {
            Size::Named(name) => {
                let size = NamedSize::named(name)?;
                Ok((size.length_m, size.width_m))
            }
            Size::Measured { length_m, width_m } => {
                number("size.length_m", *length_m, (1.0, 4.0), "m")?;
                number("size.width_m", *width_m, (0.5, 2.0), "m")?;
                Ok((*length_m, *width_m))
            }
        }
    }

    /// Radius in metres and mass in kilograms of the cue ball.
    pub fn cue_ball(&self) -> (f64, f64) {
        self.cue_ball.map_or((RADIUS_M, MASS_KG), |ball| (ball.radius_m, ball.mass_kg))
    }

    /// A ball at rest on this table; the cue ball as the card says it is.
    pub fn ball(&self, id: &str, x_m: f64, y_m: f64) -> Ball {
        let ball = Ball::at_rest(id, x_m, y_m);
        if id != CUE {
            return ball;
        }
        let (radius_m, mass_kg) = self.cue_ball();
        Ball { radius_m, mass_kg, ..ball }
    }

    /// What odds on this table rest on without its having been measured, each with what is assumed; to be named beside them.
    pub fn unmeasured(&self, imperial: bool) -> Vec<String> {
        let (spec, conditions) = (TableSpec::default(), Conditions::default());
        let mut list = Vec::new();
        if let Size::Named(name) = &self.size {
            list.push(format!("playing surface (taken as what a {name} table usually has)"));
        }
        for (sides, what) in [(false, "corner"), (true, "side")] {
            let open: Vec<&str> = PocketId::ALL
                .into_iter()
                .filter(|id| id.is_side() == sides && self.mouths.get(*id).is_none())
                .map(PocketId::name)
                .collect();
            if !open.is_empty() {
                let mouth = if sides { spec.side_mouth_m } else { spec.corner_mouth_m };
                let which = if open.len() == if sides { 2 } else { 4 } {
                    format!("{what} pockets")
                } else {
                    format!("{what} pockets {}", open.join(", "))
                };
                let mouth = if imperial {
                    format!("{:.2} in", mouth / INCH_M)
                } else {
                    format!("{:.1} mm", 1e3 * mouth)
                };
                list.push(format!("mouths of the {which} (taken as {mouth})"));
            }
        }
        if self.cloth.is_none() {
            list.push(format!(
                "speed of the cloth (rolling friction taken as {})",
                conditions.rolling_friction
            ));
        }
        if self.rails.is_none() {
            list.push(format!(
                "rebound of the rails (restitution taken as {})",
                conditions.cushion.restitution
            ));
        }
        if self.cue_ball.is_none() {
            list.push("size and weight of the cue ball (taken as those of the others)".to_owned());
        }
        list
    }
}
