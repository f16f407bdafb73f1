//! Ball meets ball: restitution along the line of centres, friction across it, several at once.
//!
//! Sources: restitution and the stun line as in Alciatore, TP 3.2; friction after Alciatore, TP A.14 and TP
//! A.28 (2007), with the coefficient a + b exp(−c v) fitted there to Marlow 1995, table 10.
//!
//! | symbol | meaning |
//! |---|---|
//! | n | unit vector from the first centre to the second |
//! | P | normal impulse: (1 + e) × speed of approach ÷ Σ 1/m |
//! | u | slip of the first ball's surface over the second's, at the contact |
//! | J | tangential impulse against u: the smaller of μ(‖u‖) P and what stops u, ‖u‖ ÷ (7/2 Σ 1/m) |
//!
//! Several contacts at one moment that all close (a ball driven into two that it touches at once) share
//! one solution: every contact parts at e times its approach or faster, none pulls (Moreau's law, which
//! cannot gain energy). Contacts that touch without closing wait for the next round, which comes at
//! the same moment if the first round made them close: so a push travels through a frozen row ball by ball.

use longrail_math::{Vec3, fx};

use super::Moving;
use crate::conditions::{BallFriction, Conditions};

/// Slower approaches than this (m/s) do not bounce and do not rub, or a ball at rest against another would
/// bounce without end: 1 mm/s moves a ball by 5 µm.
pub(crate) const SOFT: f64 = 1e-3;

/// Speed (m/s) at which a ball parts from what the cloth presses it against, so that it touches again a fraction
/// of a millisecond later and not at once. Pushing is resolved as a row of such touches, each as far apart as
/// a hair is thick, by a thousand.
pub(crate) const PART: f64 = 5e-4;

/// Two balls that touch and close.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Contact {
    /// Places of the two balls among the moving.
    pub(crate) first: usize,
    pub(crate) second: usize,
    /// Unit vector from the first centre to the second.
    pub(crate) normal: Vec3,
    /// Whether the vertical part of impulses moves the balls (flight) or is taken by the bed.
    pub(crate) free: bool,
    /// Whether they are pressed together by the cloth, so that a soft touch must part again.
    pub(crate) pressed: bool,
}

impl Contact {
    /// Normal as far as it moves the balls.
    #[inline]
    fn push(&self) -> Vec3 {
        if self.free { self.normal } else { Vec3::new(self.normal.x, self.normal.y, 0.0) }
    }

    /// How much a unit of impulse changes the speed at which the two close, in 1/kg.
    #[inline]
    fn give(&self, balls: &[Moving]) -> f64 {
        (balls[self.first].inverse_mass + balls[self.second].inverse_mass) * self.push().norm_squared()
    }

    /// Speed at which the two close, in m/s.
    #[inline]
    pub(crate) fn approach(&self, balls: &[Moving]) -> f64 {
        (balls[self.first].v - balls[self.second].v).dot(self.normal)
    }
}

/// Coefficient of friction at the slip speed `slip_mps`.
#[inline]
pub(crate) fn friction(law: &BallFriction, slip_mps: f64) -> f64 {
    match *law {
        BallFriction::Constant(constant) => constant,
        BallFriction::Fit { a, b, c_s_per_m } => a + b * fx::exp(-c_s_per_m * slip_mps),
    }
}

/// Resolves one contact.
#[inline]
pub(crate) fn collide(conditions: &Conditions, contact: &Contact, balls: &mut [Moving]) {
    let approach = contact.approach(balls);
    if approach <= 0.0 {
        return;
    }
    let unit = 1.0 / contact.give(balls);
    if approach >= SOFT {
        let impulse = (1.0 + conditions.ball_restitution) * approach * unit;
        let rub = rubbing(conditions, contact, balls, impulse);
        apply(contact, balls, impulse, rub);
    } else if contact.pressed {
        // Energy of parting, in excess of what was brought.
        let part = approach.max(PART);
        let excess = 0.5 * unit * (part * part - approach * approach);
        if take_from_spin(excess, balls) {
            apply(contact, balls, (approach + part) * unit, Vec3::ZERO);
        } else {
            // Too little spin to part again: the push is over, and what creeps comes to rest.
            for ball in [contact.first, contact.second] {
                let ball = &mut balls[ball];
                if ball.v.norm() < SOFT {
                    ball.v = Vec3::ZERO;
                    ball.w = Vec3::new(0.0, 0.0, ball.w.z);
                }
            }
            let left = contact.approach(balls).max(0.0);
            apply(contact, balls, left * unit, Vec3::ZERO);
        }
    } else {
        apply(contact, balls, approach * unit, Vec3::ZERO);
    }
}

/// Takes `energy` (joules) from the spins of `balls`, which is what presses them on; false, and nothing taken,
/// where they hold less.
pub(crate) fn take_from_spin(energy: f64, balls: &mut [Moving]) -> bool {
    let held: f64 = balls.iter().map(|ball| 0.2 * ball.w.norm_squared() / ball.inverse_mass).sum();
    if energy >= held {
        return false;
    }
    let keep = (1.0 - energy / held).sqrt();
    for ball in balls {
        ball.w = ball.w * keep;
    }
    true
}

/// Resolves several contacts that close at one moment.
pub(crate) fn collide_together(conditions: &Conditions, contacts: &[Contact], balls: &mut [Moving]) {
    let hard = contacts.iter().any(|contact| contact.approach(balls) >= SOFT);
    let restitution = if hard { conditions.ball_restitution } else { 0.0 };
    let mut impulses = [0.0; MOST_TOGETHER];
    let contacts = &contacts[..contacts.len().min(MOST_TOGETHER)];
    // Projected Gauss–Seidel on impulses: each contact in turn takes what it lacks, none pulls.
    let mut trial = [balls[0]; crate::ball::MOST_BALLS];
    trial[..balls.len()].copy_from_slice(balls);
    for _ in 0..500 {
        let mut moved: f64 = 0.0;
        for (k, contact) in contacts.iter().enumerate() {
            let give = contact.give(balls);
            let lack = contact.approach(&trial) + restitution * contact.approach(balls);
            let target = (impulses[k] + lack / give).max(0.0);
            let step = target - impulses[k];
            impulses[k] = target;
            apply(contact, &mut trial, step, Vec3::ZERO);
            moved = moved.max(step.abs() * give);
        }
        if moved < 1e-15 {
            break;
        }
    }
    let mut rubs = [Vec3::ZERO; MOST_TOGETHER];
    if hard {
        for (k, contact) in contacts.iter().enumerate() {
            rubs[k] = rubbing(conditions, contact, balls, impulses[k]);
        }
    }
    // The rubs of several contacts on one ball were each worked out alone; together they could overshoot.
    // Their common size is halved until no energy is gained: without any, Moreau's law gains none.
    let before: f64 = balls.iter().map(Moving::energy).sum();
    for _ in 0..8 {
        let mut after = [balls[0]; crate::ball::MOST_BALLS];
        let after = &mut after[..balls.len()];
        after.copy_from_slice(balls);
        for (k, contact) in contacts.iter().enumerate() {
            apply(contact, after, impulses[k], rubs[k]);
        }
        if after.iter().map(Moving::energy).sum::<f64>() <= before {
            balls.copy_from_slice(after);
            return;
        }
        for rub in &mut rubs {
            *rub = *rub * 0.5;
        }
    }
    for (k, contact) in contacts.iter().enumerate() {
        apply(contact, balls, impulses[k], Vec3::ZERO);
    }
}

/// The most contacts of 16 balls in a plane: 3 n − 6 (planar graph), rounded up.
pub(crate) const MOST_TOGETHER: usize = 48;

/// Tangential impulse on the second ball; the first gets the opposite.
#[inline]
fn rubbing(conditions: &Conditions, contact: &Contact, balls: &[Moving], impulse: f64) -> Vec3 {
    let (a, b) = (&balls[contact.first], &balls[contact.second]);
    let n = contact.normal;
    // Surface of the first at +n, of the second at −n.
    let relative = a.v - b.v + (a.w + b.w).cross(n);
    let slip = relative - n * relative.dot(n);
    let size = slip.norm();
    if size == 0.0 {
        return Vec3::ZERO;
    }
    let share = a.inverse_mass + b.inverse_mass;
    let tangential = (friction(&conditions.ball_friction, size) * impulse).min(size / (3.5 * share));
    slip * (tangential / size)
}

/// Applies a normal impulse along the contact and a tangential one, in kg m/s.
#[inline]
fn apply(contact: &Contact, balls: &mut [Moving], impulse: f64, rub: Vec3) {
    let push = contact.push() * impulse;
    let shove = if contact.free { rub } else { Vec3::new(rub.x, rub.y, 0.0) };
    let turn = contact.normal.cross(rub) * 2.5;
    let a = &mut balls[contact.first];
    a.v -= (push + shove) * a.inverse_mass;
    a.w -= turn * a.inverse_mass;
    let b = &mut balls[contact.second];
    b.v += (push + shove) * b.inverse_mass;
    b.w -= turn * b.inverse_mass;
}
