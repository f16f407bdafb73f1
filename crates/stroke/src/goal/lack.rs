//! What a shot lacks to its goal, measured, so that a search can tell better from worse among failures.

use longrail_physics::{Engine, World};

use super::judge::Judge;
use super::plan::{Check, Plan};
use crate::Hit;
use crate::error::StrokeError;
use crate::odds::{Category, Setting};

/// What a touch lacks at least that should not have been: more than a place that is nearly reached.
const BARRED: f64 = 0.3;

/// What a shot lacks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Lack {
    /// How it ended.
    pub(crate) category: Category,
    /// How much is lacking; metres for a place, fixed amounts for other failures; 0 if made.
    pub(crate) size: f64,
    /// Distance from the place that was meant, in metres, if that is what failed; of several, the greatest.
    pub(crate) distance: Option<f64>,
    /// By how far the object ball headed past its pocket, in metres, if that is what failed.
    pub(crate) aside: Option<f64>,
    /// Speed at which the cue ball came to what it should not touch, in m/s, if that is what failed.
    pub(crate) barred_mps: Option<f64>,
    /// Rails that the cue ball touched.
    pub(crate) rails: u32,
    /// Whether it touched one before it met a ball.
    pub(crate) rail_first: bool,
}

impl Lack {
    /// In words, as what the hit does: "pots the ball, but …".
    pub(crate) fn words(&self, plan: &Plan, world: &World) -> String {
        let diamond = world.table().spec().length_m / 8.0;
        let potted = if plan.object.is_some() {
            "pots the ball, but the cue ball "
        } else {
            "makes contact, but the cue ball "
        };
        match (self.category, self.distance, self.aside) {
            (Category::Made, ..) => "makes it as intended".to_owned(),
            (Category::MissedLeft | Category::MissedRight, _, Some(aside)) => {
                format!("sends the ball {:.0} mm past the middle of the pocket", aside.abs() * 1e3)
            }
            (Category::Astray, ..) => "does not send the ball towards the pocket".to_owned(),
            (Category::Scratch, ..) => format!("{potted}drops too"),
            (Category::Foul, ..) => "drops a wrong ball, or drives one off the table".to_owned(),
            (Category::Miscue, ..) => "is a miscue".to_owned(),
            _ if self.barred_mps.is_some() => format!(
                "{potted}comes at {:.1} m/s to a rail or ball that it must not touch",
                self.barred_mps.unwrap_or(0.0)
            ),
            (category, Some(distance), _) => {
                let how = match category {
                    Category::Short => "comes to rest short of its place",
                    Category::Long => "runs past its place",
                    _ => "ends beside its place",
                };
                format!("{potted}{how} by {:.2} diamonds", distance / diamond)
            }
            (category, ..) => format!("{potted}fails: {}", category.words()),
        }
    }
}

impl Setting<'_> {
    /// Plays `hit` as it is and measures what it lacks.
    pub(crate) fn lacking(&self, engine: &mut Engine, hit: &Hit) -> Result<Lack, StrokeError> {
        if self.plan.passes {
            self.measured::<true>(engine, hit)
        } else {
            self.measured::<false>(engine, hit)
        }
    }

    fn measured<const PATHS: bool>(&self, engine: &mut Engine, hit: &Hit) -> Result<Lack, StrokeError> {
        let mut judge = Judge::<PATHS>::new(self.plan);
        engine.play(self.world, self.layout, Some(hit), &self.player.cue(), &mut judge)?;
        let category = judge.verdict(engine).category;
        let aside = judge.aside();
        let mut lack = Lack {
            category,
            size: 0.0,
            distance: None,
            aside: None,
            barred_mps: judge.barred_mps(),
            rails: judge.cue_rails(),
            rail_first: judge.met_rail_first(),
        };
        match category {
            Category::Made => {}
            Category::MissedLeft | Category::MissedRight => {
                lack.aside = Some(aside);
                lack.size = 10.0 + aside.abs();
            }
            Category::Astray => lack.size = 20.0,
            Category::Foul | Category::Miscue => lack.size = 15.0,
            Category::Scratch => lack.size = 5.0,
            Category::Short | Category::Long | Category::Off => {
                let (most, sum) = self
                    .distances(engine, &judge)
                    .fold((0.0, 0.0), |(most, sum), distance| (f64::max(most, distance), sum + distance));
                lack.distance = (most > 0.0).then_some(most);
                lack.size = match lack.barred_mps {
                    // The slower it comes, the sooner it will stay away.
                    Some(speed) => BARRED + speed + sum,
                    None if sum > 0.0 => sum,
                    None => 3.0,
                };
            }
        }
        Ok(lack)
    }

    /// How far the wishes about a place that did not come true are from it, in metres.
    fn distances<const PATHS: bool>(
        &self,
        engine: &Engine,
        judge: &Judge<'_, PATHS>,
    ) -> impl Iterator<Item = f64> {
        let plan = self.plan;
        let stands = engine.position(plan.cue);
        plan.checks.iter().filter_map(move |check| match check {
            Check::Stop { area } if !area.holds(stands) => Some(area.distance(stands)),
            Check::Pass { area } if !judge.has_passed() => {
                Some(judge.nearest_pass().min(area.distance(stands)))
            }
            Check::StopNear { ball, distance } => {
                let over = (stands - engine.position(*ball)).norm() - distance;
                (over > 0.0).then_some(over)
            }
            Check::Lag { ball, rail, distance } => {
                let over = plan.gap(*rail, *ball, engine.position(*ball)) - distance;
                (over > 0.0).then_some(over)
            }
            // Each rail that is wanting counts as a metre.
            Check::Rails { least, .. } if judge.cue_rails() < *least => {
                Some(f64::from(least - judge.cue_rails()))
            }
            Check::Touch { rail } if !judge.has_touched(*rail) => {
                Some(plan.gap(*rail, plan.cue, stands).max(0.0))
            }
            _ => None,
        })
    }
}
