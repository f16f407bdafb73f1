//! Balls set up on a table, checked and put in the engine's own order.

use crate::ball::{Ball, CUE, MOST_BALLS};
use crate::cushion::Contact;
use crate::error::ShotError;
use crate::motion::{Body, Phase};
use crate::table::PocketId;
use crate::world::World;
use longrail_math::roots::TOUCH;
use longrail_math::{Vec2, order};

/// A checked layout. The engine numbers the balls by where they lie (along the table, then across), so that
/// no result depends on the order in which they were given.
#[derive(Clone, Debug)]
pub struct Layout {
    balls: Vec<Ball>,
    pub(crate) bodies: Vec<Body>,
    /// How each ball meets a nose.
    pub(crate) nose_contacts: Vec<Contact>,
    /// Place in the order given of each ball in the engine's order.
    given: Vec<usize>,
    cue: Option<usize>,
}

impl Layout {
    /// Checks `balls` on `world` and prepares them.
    ///
    /// # Errors
    /// Says which ball is off the bed, which overlap, which share a name, or which value is out of range.
    pub fn new(world: &World, balls: &[Ball]) -> Result<Self, ShotError> {
        if balls.is_empty() {
            return Err(ShotError::NoBalls);
        }
        if balls.len() > MOST_BALLS {
            return Err(ShotError::TooManyBalls { given: balls.len(), most: MOST_BALLS });
        }
        for (i, ball) in balls.iter().enumerate() {
            ball.check()?;
            if balls[..i].iter().any(|other| other.id == ball.id) {
                return Err(ShotError::SameId { id: ball.id.clone() });
            }
            on_bed(world, ball)?;
        }
        for (i, a) in balls.iter().enumerate() {
            for b in &balls[..i] {
                // Balls of unequal size on the bed touch when their centres are 2 √(r s) apart over it.
                let touching = 2.0 * (a.radius_m * b.radius_m).sqrt();
                let overlap = touching - (a.position - b.position).norm();
                if overlap > TOUCH {
                    return Err(ShotError::Overlap {
                        first: b.id.clone(),
                        second: a.id.clone(),
                        overlap_mm: overlap * 1e3,
                    });
                }
            }
        }
        let given = order::of(balls.len(), &mut |i, j| {
            let (p, q) = (balls[i].position, balls[j].position);
            p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y))
        });
        let sorted: Vec<Ball> = given.iter().map(|&i| balls[i].clone()).collect();
        let mut bodies = Vec::with_capacity(sorted.len());
        for ball in &sorted {
            let mut body = Body {
                phase: Phase::Rest,
                since: 0.0,
                until: f64::INFINITY,
                p: ball.position,
                v: ball.velocity,
                a: Vec2::ZERO,
                w: ball.spin * ball.radius_m,
                height: 0.0,
                climb: 0.0,
                radius: ball.radius_m,
                inverse_mass: 1.0 / ball.mass_kg,
                reach: world.reach_m(ball.radius_m)?,
            };
            body.start_phase(0.0, world.conditions());
            bodies.push(body);
        }
        let cue = sorted.iter().position(|ball| ball.id == CUE);
        let nose_contacts = sorted.iter().map(|ball| world.nose_contact(ball.radius_m)).collect();
        Ok(Self { balls: sorted, bodies, nose_contacts, given, cue })
    }

    /// The balls in the engine's order.
    pub fn balls(&self) -> &[Ball] {
        &self.balls
    }

    /// The name of ball `index` in the engine's order.
    pub fn id(&self, index: usize) -> &str {
        &self.balls[index].id
    }

    /// Place in the order given of each ball in the engine's order.
    pub fn given_order(&self) -> &[usize] {
        &self.given
    }

    /// The place of the cue ball in the engine's order.
    pub fn cue_ball(&self) -> Option<usize> {
        self.cue
    }
}

/// Whether a centre may be there: on the playing surface clear of the noses, or in a pocket's mouth clear of
/// its jaws and short of its drop edge.
fn on_bed(world: &World, ball: &Ball) -> Result<(), ShotError> {
    let reach = world.reach_m(ball.radius_m)?;
    let p = ball.position;
    let off = |reason: String| Err(ShotError::OffBed { id: ball.id.clone(), x_m: p.x, y_m: p.y, reason });
    for pocket in world.table().pockets() {
        if (p - pocket.drop_centre).norm() < pocket.drop_radius {
            return off(format!("would lie in pocket {}", pocket.id.name()));
        }
    }
    let spec = world.table().spec();
    let clear = |r: f64| {
        p.x >= r - TOUCH
            && p.y >= r - TOUCH
            && p.x <= spec.length_m - r + TOUCH
            && p.y <= spec.width_m - r + TOUCH
    };
    if clear(reach) {
        return Ok(());
    }
    let in_mouth = world.table().pockets().iter().any(|pocket| in_mouth(pocket.id, world, p, reach));
    if in_mouth {
        return Ok(());
    }
    let (x, y) = ((reach, spec.length_m - reach), (reach, spec.width_m - reach));
    // A rail is some 14 cm wide with its cushion (4 to 7.5 in, WPA).
    let where_from = if clear(-0.14) { "is in a rail" } else { "is off the table" };
    off(format!(
        "{where_from}; its centre may be from x {:.4} to {:.4} m and y {:.4} to {:.4} m",
        x.0, x.1, y.0, y.1
    ))
}

/// Whether `p` lies between the jaws of a pocket, `reach` clear of points and facings.
fn in_mouth(id: PocketId, world: &World, p: Vec2, reach: f64) -> bool {
    let pocket = world.table().pocket(id);
    let spec = world.table().spec();
    // Between the facings and near the mouth.
    let depth = (p - pocket.mouth).dot(pocket.axis);
    let near = depth < 0.1 && depth > -0.2;
    let in_zone = if id.is_side() {
        // Only the strip between the nose line and the depth of a ball in front of it.
        let along = (p.x - pocket.mouth.x).abs();
        along < spec.mouth_m(id) / 2.0
    } else {
        let setback = spec.mouth_m(id) * std::f64::consts::FRAC_1_SQRT_2;
        let corner = pocket.mouth + pocket.axis * (setback * 0.5 * std::f64::consts::SQRT_2);
        let d = p - corner;
        d.x.abs() < setback && d.y.abs() < setback
    };
    near && in_zone
        && pocket.jaws.iter().all(|jaw| {
            let d = p - jaw.point;
            let foot = d.dot(jaw.along);
            let gap = if foot > 0.0 { d.dot(jaw.inward) } else { d.norm() };
            gap >= reach - TOUCH
        })
}
