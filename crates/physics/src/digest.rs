//! One number for a thousand shots: the same on every platform, or something has changed.
//!
//! Random but seeded shots over everything the engine knows (table sizes, cushion models, draw, side, raised
//! cues, odd balls, racks) are played, and the bits of all final positions and times are folded into 64
//! bits. The number for 1,000 shots is committed in `tests/reference/shot_digest.txt`; natively and in
//! WebAssembly the engine must give it. A change that moves any result changes the number: then it is
//! replaced on purpose, and the changelog says why.

use longrail_math::random::Stream;

use crate::ball::Ball;
use crate::conditions::{Conditions, CushionModel};
use crate::cue::{Cue, Stroke};
use crate::engine::{End, Engine};
use crate::layout::Layout;
use crate::table::{SIZES, Table, TableSpec};
use crate::world::World;

/// A seeded random shot: a world, a layout and a stroke.
pub struct Sample {
    /// The table and its conditions.
    pub world: World,
    /// The balls.
    pub balls: Vec<Ball>,
    /// The stroke.
    pub stroke: Stroke,
    /// The cue.
    pub cue: Cue,
}

/// The seeded shot number `index`; the same for ever. `None` for the few draws whose balls overlap.
pub fn sample(index: u32) -> Option<Sample> {
    let mut draw = Stream::new(2540, 1, u64::from(index));
    let size = SIZES[draw.below(8) as usize];
    let spec = TableSpec {
        corner_mouth_m: draw.between(0.108, 0.13),
        side_mouth_m: draw.between(0.12, 0.14),
        ..TableSpec::of_size(size)
    };
    let mut conditions = Conditions {
        sliding_friction: draw.between(0.15, 0.4),
        rolling_friction: draw.between(0.005, 0.015),
        spin_deceleration_rad_s2: draw.between(5.0, 15.0),
        ball_restitution: draw.between(0.9, 1.0),
        ..Conditions::default()
    };
    conditions.cushion.model = match draw.below(4) {
        0 => CushionModel::SingleImpulse,
        1 => CushionModel::Simple,
        _ => CushionModel::Impulse,
    };
    conditions.cushion.restitution = draw.between(0.7, 0.98);
    conditions.cushion.friction = draw.between(0.1, 0.25);
    let world = World::new(Table::new(spec).ok()?, conditions).ok()?;
    let count = 1 + draw.below(if index.is_multiple_of(10) { 15 } else { 4 }) as usize;
    let mut balls: Vec<Ball> = Vec::new();
    for k in 0..=count {
        let id = if k == 0 { "cue".to_owned() } else { k.to_string() };
        let x = draw.between(0.04, spec.length_m - 0.04);
        let y = draw.between(0.04, spec.width_m - 0.04);
        let mut ball = Ball::at_rest(&id, x, y);
        if k == 0 && draw.below(5) == 0 {
            ball.mass_kg = 0.185;
            ball.radius_m = 0.0295;
        }
        let free = balls.iter().all(|other| (other.position - ball.position).norm() > 0.06);
        if free {
            balls.push(ball);
        }
    }
    let angle = draw.between(0.0, 360.0);
    let offset = draw.between(0.0, 0.5);
    let (sin, cos) = longrail_math::fx::sin_cos(draw.between(0.0, std::f64::consts::TAU));
    let raised = draw.below(4) == 0;
    let stroke = Stroke {
        speed_mps: draw.between(0.3, 8.0),
        direction_deg: angle,
        tip_right: offset * cos,
        tip_up: offset * sin,
        elevation_deg: if raised { draw.between(1.0, 60.0) } else { 0.0 },
    };
    let cue = Cue { squirt: draw.below(2) == 0, ..Cue::default() };
    balls.first().is_some_and(|ball| ball.id == "cue").then_some(Sample { world, balls, stroke, cue })
}

/// The digest of the first `shots` samples.
pub fn corpus_digest(shots: u32) -> u64 {
    let mut engine = Engine::new();
    let mut digest = Fold::default();
    for index in 0..shots {
        let Some(Sample { world, balls, stroke, cue }) = sample(index) else {
            digest.add(1);
            continue;
        };
        let Ok(layout) = Layout::new(&world, &balls) else {
            digest.add(2);
            continue;
        };
        if engine.play(&world, &layout, Some(&stroke), &cue, &mut ()).is_err() {
            digest.add(3);
            continue;
        }
        for i in 0..balls.len() {
            let position = engine.position(i);
            digest.add(position.x.to_bits());
            digest.add(position.y.to_bits());
            digest.add(match engine.end(i) {
                End::Bed => 10,
                End::OffTable => 11,
                End::Pocket(pocket) => 12 + pocket as u64,
            });
        }
        digest.add(engine.rest_time_s().to_bits());
        digest.add(u64::from(engine.events()));
    }
    digest.0
}

/// FNV-1a over 64-bit words (Fowler, Noll & Vo; constants as in the IETF draft on FNV, from memory).
struct Fold(u64);

impl Default for Fold {
    fn default() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }
}

impl Fold {
    fn add(&mut self, word: u64) {
        for byte in word.to_le_bytes() {
            self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }
}
