//! Layouts that the tests pose.
#![allow(dead_code, clippy::unwrap_used)] // each test file uses its own part

use longrail_math::random::Stream;
use longrail_math::{Vec2, fx};
use longrail_physics::conditions::{BallFriction, Cushion, NoseContact};
use longrail_physics::table::{PocketId, Size};
use longrail_physics::{Ball, Conditions, Layout, Table, TableSpec, World};
use longrail_stroke::goal::{Plan, Wish, Zone};
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Goal, Hit, Player, Setting};

/// The default table with rebounds as exact as odds need.
pub(crate) fn odds_world() -> World {
    world_of("9ft")
}

/// A table of a named size, likewise.
pub(crate) fn world_of(size: &str) -> World {
    let size = Size::named(size).unwrap();
    let spec = TableSpec { length_m: size.length_m, width_m: size.width_m, ..TableSpec::default() };
    let mut conditions = Conditions::default();
    conditions.cushion.tolerance = longrail_stroke::odds::REBOUND_TOLERANCE;
    World::new(Table::new(spec).unwrap(), conditions).unwrap()
}

/// A 9-ft table with corner mouths of this width whose facings lean out of the way, without throw: what closed forms of
/// pots suppose.
pub(crate) fn two_points(mouth_m: f64) -> World {
    let spec = TableSpec {
        corner_mouth_m: mouth_m,
        corner_facing_deg: 120.0,
        corner_drop_radius_m: 0.15,
        ..TableSpec::default()
    };
    // The closed form takes a ball to touch a jaw at its full radius.
    let cushion = Cushion { contact: NoseContact::Radius, ..Cushion::default() };
    let conditions = Conditions {
        ball_friction: BallFriction::Constant(0.0),
        ball_restitution: 1.0,
        cushion,
        ..Conditions::default()
    };
    World::new(Table::new(spec).unwrap(), conditions).unwrap()
}

/// Balls at diamonds.
pub(crate) fn layout(world: &World, balls: &[(&str, f64, f64)]) -> Layout {
    let spec = world.table().spec();
    let balls: Vec<Ball> = balls
        .iter()
        .map(|(id, along, across)| {
            Ball::at_rest(id, along * spec.length_m / 8.0, across * spec.width_m / 4.0)
        })
        .collect();
    Layout::new(world, &balls).unwrap()
}

/// A layout with a player, a goal and an intended hit.
pub(crate) struct Posed {
    pub(crate) layout: Layout,
    pub(crate) player: Player,
    pub(crate) goal: Goal,
    pub(crate) hit: Hit,
    plan: Plan,
}

impl Posed {
    pub(crate) fn new(world: &World, layout: Layout, player: Player, goal: Goal, hit: Hit) -> Self {
        let plan = goal.plan(world, &layout).unwrap();
        Self { layout, player, goal, hit, plan }
    }

    pub(crate) fn setting<'a>(&'a self, world: &'a World) -> Setting<'a> {
        Setting { world, layout: &self.layout, player: &self.player, plan: &self.plan }
    }

    /// With the direction of the ghost ball for `pocket`.
    pub(crate) fn aimed(mut self, world: &World, pocket: PocketId) -> Self {
        let ball = |id: &str| self.layout.balls().iter().find(|ball| ball.id == id).unwrap();
        let (cue, object) = (ball("cue"), ball("1"));
        let line = world.table().pocket(pocket).mouth - object.position;
        let ghost = object.position - line / line.norm() * (cue.radius_m + object.radius_m);
        let way: Vec2 = ghost - cue.position;
        self.hit.direction_deg = fx::atan2(way.y, way.x).to_degrees();
        self
    }
}

/// A stop shot with the object ball on the foot spot, straight into the left foot corner; `distance_m` between the
/// balls' centres.
pub(crate) fn straight_in(world: &World, distance_m: f64, player: Player) -> Posed {
    let spec = world.table().spec();
    let spot = Vec2::new(0.75 * spec.length_m, 0.5 * spec.width_m);
    let way = world.table().pocket(PocketId::FootLeft).mouth - spot;
    let from = spot - way / way.norm() * distance_m;
    let balls = [Ball::at_rest("cue", from.x, from.y), Ball::at_rest("1", spot.x, spot.y)];
    let hit = Hit { tip_up: -0.15, ..Hit::plain(2.5, 0.0) };
    let goal = Goal::pot("1", PocketId::FootLeft);
    Posed::new(world, Layout::new(world, &balls).unwrap(), player, goal, hit).aimed(world, PocketId::FootLeft)
}

/// Random cuts at a corner or a side pocket, some with a place for the cue ball, by players of all reference strokes.
pub(crate) fn cases(world: &World, count: u64) -> impl Iterator<Item = Posed> + '_ {
    (0..count).map(move |index| {
        let mut random = Stream::new(31, 6, index);
        loop {
            let object = (random.between(1.0, 7.5), random.between(0.5, 3.5));
            let cue = (random.between(0.5, 7.5), random.between(0.4, 3.6));
            let pocket = PocketId::ALL[random.below(6) as usize];
            let diamond = world.table().spec().length_m / 8.0;
            let place = |(along, across): (f64, f64)| Vec2::new(along, across) * diamond;
            let line = world.table().pocket(pocket).mouth - place(object);
            let way = place(object) - place(cue);
            // Neither thinner than 60° nor on top of each other.
            if way.norm() < 0.15 || line.dot(way) < 0.5 * line.norm() * way.norm() {
                continue;
            }
            let mut goal = Goal::pot("1", pocket);
            if random.below(2) == 0 {
                let (along, across) = (random.between(1.0, 7.0), random.between(1.0, 3.0));
                goal = goal.and(Wish::Stop { zone: Zone::Circle { along, across, radius: 1.5 } });
            }
            let player = Player::with(Reference::ALL[random.below(4) as usize].stroke());
            let hit =
                Hit { tip_up: random.between(-0.35, 0.35), ..Hit::plain(random.between(1.2, 4.0), 0.0) };
            let balls = [("cue", cue.0, cue.1), ("1", object.0, object.1)];
            return Posed::new(world, layout(world, &balls), player, goal, hit).aimed(world, pocket);
        }
    })
}
