//! Shots that stand for play.

use longrail_physics::conditions::CushionModel;
use longrail_physics::{Ball, Conditions, Cue, Engine, Layout, Stroke, Table, World};

/// A shot to be measured.
pub(crate) struct Shot {
    pub(crate) name: String,
    pub(crate) world: World,
    pub(crate) layout: Layout,
    pub(crate) stroke: Stroke,
    pub(crate) target_us: Option<f64>,
}

impl Shot {
    fn new(
        name: &str,
        conditions: Conditions,
        balls: &[Ball],
        stroke: Stroke,
        target_us: Option<f64>,
    ) -> Self {
        // Constant data; a mistake in it shows at the first run.
        #[allow(clippy::expect_used)]
        let world = World::new(Table::default(), conditions).expect("constant conditions are legal");
        #[allow(clippy::expect_used)]
        let layout = Layout::new(&world, balls).expect("constant layouts are legal");
        Self { name: name.to_owned(), world, layout, stroke, target_us }
    }

    /// Events of one play.
    pub(crate) fn events(&self) -> u32 {
        let mut engine = Engine::new();
        match engine.play(&self.world, &self.layout, Some(&self.stroke), &Cue::default(), &mut ()) {
            Ok(()) => engine.events(),
            Err(_) => 0,
        }
    }
}

/// All of them, with the times that are aimed at.
pub(crate) fn all() -> Vec<Shot> {
    let (draw, draw_stroke) = draw();
    let (rack, break_stroke) = nine_ball_break();
    let mut shots = Vec::new();
    for (suffix, conditions, draw_target, break_target) in [
        ("closed-form cushion", with(CushionModel::SingleImpulse, 1e-6), 0.8, None),
        ("impulse cushion at 1e-6", with(CushionModel::Impulse, 1e-6), 4.0, Some(60.0)),
        ("impulse cushion at 1e-5", with(CushionModel::Impulse, 1e-5), 2.5, Some(60.0)),
    ] {
        shots.push(Shot::new(
            &format!("draw shot, {suffix}"),
            conditions,
            &draw,
            draw_stroke,
            Some(draw_target),
        ));
        shots.push(Shot::new(
            &format!("9-ball break, {suffix}"),
            conditions,
            &rack,
            break_stroke,
            break_target,
        ));
    }
    shots
}

/// Conditions with a cushion model and tolerance.
pub(crate) fn with(model: CushionModel, tolerance: f64) -> Conditions {
    let mut conditions = Conditions::default();
    conditions.cushion.model = model;
    conditions.cushion.tolerance = tolerance;
    conditions
}

/// A slight cut with draw: the object ball drops, the cue ball comes back to a long rail and rests.
pub(crate) fn draw() -> (Vec<Ball>, Stroke) {
    let balls = vec![Ball::at_rest("cue", 1.5, 0.5), Ball::at_rest("1", 2.1, 0.85)];
    let stroke = Stroke { tip_up: -0.35, ..Stroke::plain(3.0, 29.15) };
    (balls, stroke)
}

/// Ten balls with gaps of 10 µm, hit a little off centre at 10 m/s.
pub(crate) fn nine_ball_break() -> (Vec<Ball>, Stroke) {
    let mut balls = vec![Ball::at_rest("cue", 0.635, 0.60)];
    let pitch = 0.028_575 + 5e-6;
    let (apex_x, apex_y) = (1.905, 0.635);
    let mut number = 0;
    for (row, count) in [(0.0, 1_u32), (1.0, 2), (2.0, 3), (3.0, 2), (4.0, 1)] {
        for place in 0..count {
            number += 1;
            let across = 2.0 * f64::from(place) - f64::from(count - 1);
            let x = apex_x + row * pitch * 3f64.sqrt();
            balls.push(Ball::at_rest(&f64::to_string(&f64::from(number)), x, apex_y + across * pitch));
        }
    }
    (balls, Stroke::plain(10.0, 1.6))
}
