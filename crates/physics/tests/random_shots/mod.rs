//! Random shots for property tests: any table, any conditions, any stroke, up to eight balls.
#![allow(unreachable_pub)] // a module of a test has no outside

use longrail_math::{Vec2, Vec3};
use longrail_physics::conditions::CushionModel;
use longrail_physics::table::SIZES;
use longrail_physics::{
    Ball, Conditions, Cue, Engine, Layout, Leg, Log, Phase, State, Stroke, Table, TableSpec, World,
};
use proptest::prelude::*;

/// A random shot that can be set up.
#[derive(Clone, Debug)]
pub struct Shot {
    pub world: World,
    pub balls: Vec<Ball>,
    pub stroke: Stroke,
    pub cue: Cue,
}

/// A shot that has been played with everything recorded.
pub struct Played {
    pub layout: Layout,
    pub engine: Engine,
    pub log: Log,
}

impl Shot {
    pub fn play(&self) -> Played {
        let layout = Layout::new(&self.world, &self.balls).expect("the strategy makes legal layouts");
        let mut engine = Engine::new();
        let mut log = Log::default();
        engine.play(&self.world, &layout, Some(&self.stroke), &self.cue, &mut log).expect("every shot ends");
        Played { layout, engine, log }
    }
}

impl Played {
    /// Where ball `index` is at `t`, and how high; `None` once it is gone.
    pub fn place(&self, index: usize, t: f64) -> Option<(Vec2, f64)> {
        let legs = self.log.legs.iter().filter(|leg| leg.ball == index);
        let gone = self
            .log
            .events
            .iter()
            .find(|event| event.ball == index && matches!(event.kind.name(), "pocket" | "off-table"));
        if gone.is_some_and(|event| t >= event.t_s) {
            return None;
        }
        let mut place = (self.layout.balls()[index].position, 0.0);
        for leg in legs {
            if leg.from_s > t {
                break;
            }
            let at = t.min(leg.to_s);
            place = (leg.position(at), leg.height(at).max(0.0));
        }
        Some(place)
    }

    /// Whether there were touches too soft to be told one by one.
    pub fn pushed(&self) -> bool {
        let resolved = |kind: &str| !matches!(kind, "strike" | "spin-end" | "flight");
        let told = self.log.events.iter().filter(|event| resolved(event.kind.name())).count();
        self.engine.events() as usize > told
    }

    pub fn flew(&self) -> bool {
        self.log.legs.iter().any(|leg: &Leg| leg.phase == Phase::Flying)
    }
}

/// Kinetic and potential energy of a ball in joules.
pub fn energy(ball: &Ball, state: &State, gravity: f64) -> f64 {
    let kinetic = 0.5 * (state.velocity.norm_squared() + 0.4 * state.surface.norm_squared());
    ball.mass_kg * (kinetic + gravity * state.height)
}

fn world() -> impl Strategy<Value = World> {
    let models = prop_oneof![
        2 => Just(CushionModel::Impulse), 1 => Just(CushionModel::SingleImpulse), 1 => Just(CushionModel::Simple)
    ];
    let cloth = (0.12f64..0.4, 0.005f64..0.02, 4.0f64..16.0);
    let rubber = (models, 0.5f64..1.0, 0.05f64..0.3, 0.3f64..1.0);
    (0..SIZES.len(), cloth, 0.85f64..1.0, rubber).prop_map(|(size, cloth, ball, rubber)| {
        let mut conditions = Conditions {
            sliding_friction: cloth.0,
            rolling_friction: cloth.1,
            spin_deceleration_rad_s2: cloth.2,
            ball_restitution: ball,
            ..Conditions::default()
        };
        conditions.cushion.model = rubber.0;
        conditions.cushion.restitution = rubber.1;
        conditions.cushion.friction = rubber.2;
        conditions.facing.restitution = rubber.3;
        let table = Table::new(TableSpec::of_size(SIZES[size])).expect("named sizes are legal");
        World::new(table, conditions).expect("the ranges are legal")
    })
}

fn stroke(steepest_deg: f64) -> impl Strategy<Value = Stroke> {
    let elevation = prop_oneof![3 => Just(0.0), 1 => 0.0..=steepest_deg];
    (0.05f64..9.0, 0.0f64..360.0, 0.0f64..0.49, 0.0f64..std::f64::consts::TAU, elevation).prop_map(
        |(speed_mps, direction_deg, offset, around, elevation_deg)| {
            let (sin, cos) = longrail_math::fx::sin_cos(around);
            let (tip_right, tip_up) = (offset * cos, offset * sin);
            Stroke { speed_mps, direction_deg, tip_right, tip_up, elevation_deg }
        },
    )
}

/// Shots with up to `most` balls besides the cue ball, the cue raised to `steepest_deg` at the most. A quarter of
/// the object balls stand frozen to an earlier ball, some to a rail.
pub fn shots(most: usize, steepest_deg: f64) -> impl Strategy<Value = Shot> {
    let places = prop::collection::vec((0.0f64..1.0, 0.0f64..1.0, 0u8..8), 1..=most + 1);
    (world(), places, stroke(steepest_deg), any::<bool>(), any::<bool>()).prop_map(
        |(world, places, stroke, squirt, odd)| {
            let spec = *world.table().spec();
            let mut balls: Vec<Ball> = Vec::new();
            for (k, (u, v, kind)) in places.into_iter().enumerate() {
                let id = if k == 0 { "cue".to_owned() } else { k.to_string() };
                let mut ball = Ball::at_rest(&id, 0.0, 0.0);
                if k == 0 && odd {
                    ball.radius_m = 0.0295;
                    ball.mass_kg = 0.19;
                }
                let reach = world.reach_m(ball.radius_m).expect("legal nose height");
                let (long, wide) = (spec.length_m - 2.0 * reach, spec.width_m - 2.0 * reach);
                ball.position = match (kind, balls.last()) {
                    (0 | 1, Some(last)) => {
                        let apart = 2.0 * (ball.radius_m * last.radius_m).sqrt();
                        last.position + Vec2::from_angle(u * std::f64::consts::TAU) * apart
                    }
                    (2, _) => Vec2::new(reach + u * long, reach),
                    (3, _) => Vec2::new(reach, reach + v * wide),
                    _ => Vec2::new(reach + u * long, reach + v * wide),
                };
                ball.spin = Vec3::ZERO;
                let mut with = balls.clone();
                with.push(ball.clone());
                if Layout::new(&world, &with).is_ok() {
                    balls.push(ball);
                } else if k == 0 {
                    ball.position = Vec2::new(spec.length_m / 2.0, spec.width_m / 2.0);
                    balls.push(ball);
                }
            }
            Shot { world, balls, stroke, cue: Cue { squirt, ..Cue::default() } }
        },
    )
}
