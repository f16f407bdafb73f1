//! Players of known stroke at straight pots and a straight draw, on a 9-ft and a 7-ft table. Their attempts are shots of the
//! engine.

use super::normal;
use longrail_math::random::Stream;
use longrail_math::{Vec2, fx};
use longrail_physics::table::{PocketId, Size};
use longrail_physics::{Ball, Conditions, Engine, Layout, Table, TableSpec, World};
use longrail_stroke::goal::{Plan, Wish, Zone};
use longrail_stroke::infer::{Seen, Surface, Tally};
use longrail_stroke::odds::scattered;
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Goal, Hit, Nodes, Player, Setting, Stroke, StrokeError};

/// From the object ball to the corner, along the diagonal, in diamonds.
const TO_POCKET: f64 = 1.5;
/// From the cue ball to the object ball at the pots, and at the draw.
const POTS: [f64; 3] = [1.5, 2.5, 3.5];
const DRAW: f64 = 2.0;
/// Speeds of the pots, m/s: not all the same, so that a spread that grows with speed is seen.
const SPEEDS: [f64; 3] = [1.8, 2.5, 3.2];
/// Radius of the zone around the cue ball's place to which it is to come back, in diamonds.
const ZONE: f64 = 0.75;

/// One rung: where everything lies, what is intended, and what that says of a stroke.
#[derive(Debug)]
pub struct Task {
    world: World,
    layout: Layout,
    plan: Plan,
    player: Player,
    hit: Hit,
    /// What the inference sees of it.
    pub surface: Surface,
}

/// Three pots and a draw, from easy to hard, and the same in diamonds on another table.
#[derive(Debug)]
pub struct Tasks {
    /// On 9 ft, where attempts are made.
    pub here: Vec<Task>,
    /// On 7 ft, of which predictions are made.
    pub there: Vec<Task>,
    /// Nodes for true odds.
    nodes: Nodes,
}

/// A stroke with the tip that the inference takes for known.
pub fn stroke(aim_sd_deg: f64, aim_bias_deg: f64, speed_sd: f64, lapse: f64) -> Stroke {
    Stroke { aim_sd_deg, aim_bias_deg, speed_sd, lapse, ..Reference::Solid.stroke() }
}

impl Tasks {
    /// Solves the draws and computes the surfaces: about a second.
    ///
    /// # Errors
    /// If engine or search refuse: a fault of this crate.
    pub fn new() -> Result<Self, StrokeError> {
        let on = |size: &str| -> Result<Vec<Task>, StrokeError> {
            let mut tasks = Vec::new();
            for (diamonds, speed) in POTS.into_iter().zip(SPEEDS) {
                tasks.push(Task::new(size, diamonds, Some(speed))?);
            }
            tasks.push(Task::new(size, DRAW, None)?);
            Ok(tasks)
        };
        Ok(Self { here: on("9ft")?, there: on("7ft")?, nodes: Nodes::sobol(4, 256, 77) })
    }

    /// The true chance of a make at a task.
    ///
    /// # Errors
    /// If the engine gives up.
    pub fn odds(&self, task: &Task, stroke: &Stroke) -> Result<f64, StrokeError> {
        let player = Player { stroke: *stroke, ..task.player };
        Ok(task.setting(&player).odds(&mut Engine::new(), &task.hit, &self.nodes)?.made)
    }
}

impl Task {
    /// A pot with a hit of this speed a little below the middle, or the draw with the best hit.
    fn new(size: &str, diamonds: f64, speed_mps: Option<f64>) -> Result<Self, StrokeError> {
        let size = Size::named(size)?;
        let spec = TableSpec { length_m: size.length_m, width_m: size.width_m, ..TableSpec::default() };
        let mut conditions = Conditions::default();
        // Rebounds as exact as odds need.
        conditions.cushion.tolerance = 1e-5;
        let world = World::new(Table::new(spec)?, conditions)?;
        let mouth = world.table().pocket(PocketId::FootLeft).mouth;
        let back = Vec2::new(-1.0, -1.0) / 2.0_f64.sqrt() * spec.diamond_m();
        let (object, cue) = (mouth + back * TO_POCKET, mouth + back * (TO_POCKET + diamonds));
        let balls = [Ball::at_rest("cue", cue.x, cue.y), Ball::at_rest("1", object.x, object.y)];
        let layout = Layout::new(&world, &balls)?;
        let mut goal = Goal::pot("1", PocketId::FootLeft);
        if speed_mps.is_none() {
            let (along, across) = spec.to_diamonds(cue.x, cue.y);
            goal = goal.and(Wish::Stop { zone: Zone::Circle { along, across, radius: ZONE } });
        }
        let plan = goal.plan(&world, &layout)?;
        let player = Player::with(Reference::Solid.stroke());
        let setting = Setting { world: &world, layout: &layout, player: &player, plan: &plan };
        let way = object - cue;
        let direction = fx::atan2(way.y, way.x).to_degrees();
        let hit = if let Some(speed) = speed_mps {
            setting.playable(&Hit { tip_up: -0.15, ..Hit::plain(speed, direction) })?
        } else {
            let found = setting.best_hits(&mut Engine::new(), &Nodes::usual(1), 1)?;
            let nothing = || StrokeError::OutOfReach { why: "no hit draws the ball back".to_owned() };
            found.first().ok_or_else(nothing)?.hit
        };
        let surface = Surface::of(&setting, &hit)?;
        Ok(Self { world, layout, plan, player, hit, surface })
    }

    fn setting<'a>(&'a self, player: &'a Player) -> Setting<'a> {
        Setting { world: &self.world, layout: &self.layout, player, plan: &self.plan }
    }

    /// Attempts by the engine. With `sides` the side of a miss and the cue ball's end are kept, else made and not made.
    ///
    /// # Errors
    /// If the engine gives up.
    pub fn shot(
        &self,
        stream: &mut Stream,
        stroke: &Stroke,
        attempts: u32,
        sides: bool,
    ) -> Result<Tally, StrokeError> {
        let mut engine = Engine::new();
        let player = Player { stroke: *stroke, ..self.player };
        let setting = self.setting(&player);
        let here = setting.stroke(&self.hit);
        let mut tally = Tally::default();
        for _ in 0..attempts {
            let node = std::array::from_fn(|_| normal(stream));
            let lapse = (stream.unit() < here.lapse).then(|| stream.below(2));
            let seen = match lapse {
                Some(0) => Seen::Left,
                Some(_) => Seen::Right,
                None => {
                    let verdict = setting.play(&mut engine, &scattered(&self.hit, &here, &node))?;
                    Seen::of(verdict.category, here.aim_bias_deg + here.aim_sd_deg * node[0])
                }
            };
            tally.add(if sides || seen == Seen::Made { seen } else { Seen::Failed });
        }
        Ok(tally)
    }
}
