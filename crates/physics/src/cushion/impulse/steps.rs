//! Steps of the integration: where the directions of slip turn fast, and where the nose sticks.
//!
//! The rates depend on the *directions* of the two slips alone, so the solution is smooth except where a
//! slip passes near zero and its direction whips round. The method is Dormand & Prince's 5(4) pair (1980,
//! Journal of Computational and Applied Mathematics 6, 19–26) with three additions:
//!
//! * **Turn limit.** Before a step, each slip is carried on in a straight line; the step is cut where it would
//!   turn by more than [`TURN`]. A pass at any distance, however close, then costs a handful of steps, none
//!   of them rejected; an error estimate alone does not see a slip that passes near zero inside one step.
//! * **Sticking.** A nose slip that runs into zero, and could be held there, is set to zero; its remainder
//!   (at most [`capture_radius`]) is part of the impulses, which come from differences of slips.
//! * **Letting go.** Just after, the slip is so small that its direction follows the forces at once: [`Law::onset`].

use super::super::Stall;
use super::law::{Force, Law, Rates};

/// sin and cos of the largest turn of a slip in one step, about 40°.
const TURN: [f64; 2] = [0.642_787_609_686_539_3, 0.766_044_443_118_978];

/// Below this a slip at the nose that has just let go is steered by the forces alone.
const STEERED: f64 = 1e-3;

/// Seed of a cloth slip that is exactly zero, as a rolling ball's is, in the direction of its rate.
const SEED: f64 = 1e-8;

/// The bound on steps; far beyond any that has been needed (see the tests).
const MOST_STEPS: u32 = 500;

/// State: slips u₁, u₂, w₁ and the work of the rubber.
type State = [f64; 4];

/// How the nose moves over the ball.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Nose {
    Slides,
    Sticks,
    /// Slides, but so slowly that the forces set its direction.
    LetsGo,
}

/// A nose slip under this, heading for zero, is captured.
fn capture_radius(tolerance: f64) -> f64 {
    (tolerance * 100.0).clamp(1e-6, 1e-3)
}

#[inline]
fn unit(a: f64, b: f64) -> [f64; 2] {
    let square = a * a + b * b;
    if square > 0.0 {
        let inverse = 1.0 / square.sqrt();
        [a * inverse, b * inverse]
    } else {
        [0.0, 0.0]
    }
}

#[inline]
fn force(law: &Law, nose: Nose, x: f64, y: &State) -> Force {
    let cloth = unit(y[2], law.cloth_slip(y[1], x));
    match nose {
        Nose::Slides => law.sliding(unit(y[0], y[1]), cloth),
        Nose::Sticks => law.sticking(cloth),
        Nose::LetsGo => law.sliding(law.onset(cloth), cloth),
    }
}

#[inline]
fn rates(law: &Law, nose: Nose, x: f64, y: &State) -> State {
    let Rates { slips, impulse } = law.rates(&force(law, nose, x, y));
    let work = -x * law.cos() * impulse;
    if nose == Nose::Sticks { [0.0, 0.0, slips[2], work] } else { [slips[0], slips[1], slips[2], work] }
}

#[inline]
fn advance<const N: usize>(y: &State, h: f64, weights: [f64; N], k: [&State; N]) -> State {
    let mut next = *y;
    for i in 0..4 {
        let mut sum = 0.0;
        for j in 0..N {
            sum += weights[j] * k[j][i];
        }
        next[i] += h * sum;
    }
    next
}

/// One step of Dormand & Prince 5(4): the new state, its rates, and the error estimate of the slips.
#[inline]
fn step(law: &Law, nose: Nose, x: f64, y: &State, k1: &State, h: f64) -> (State, State, f64) {
    let at = |c: f64, y: &State| rates(law, nose, x + c * h, y);
    let k2 = at(0.2, &advance(y, h, [0.2], [k1]));
    let k3 = at(0.3, &advance(y, h, [3.0 / 40.0, 9.0 / 40.0], [k1, &k2]));
    let k4 = at(0.8, &advance(y, h, [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0], [k1, &k2, &k3]));
    let k5 = at(
        8.0 / 9.0,
        &advance(
            y,
            h,
            [19372.0 / 6561.0, -25360.0 / 2187.0, 64448.0 / 6561.0, -212.0 / 729.0],
            [k1, &k2, &k3, &k4],
        ),
    );
    let k6 = at(
        1.0,
        &advance(
            y,
            h,
            [9017.0 / 3168.0, -355.0 / 33.0, 46732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18656.0],
            [k1, &k2, &k3, &k4, &k5],
        ),
    );
    let end = advance(
        y,
        h,
        [35.0 / 384.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0],
        [k1, &k3, &k4, &k5, &k6],
    );
    let k7 = at(1.0, &end);
    let mut error: f64 = 0.0;
    for i in 0..3 {
        let e = 71.0 / 57600.0 * k1[i] - 71.0 / 16695.0 * k3[i] + 71.0 / 1920.0 * k4[i]
            - 17253.0 / 339_200.0 * k5[i]
            + 22.0 / 525.0 * k6[i]
            - 1.0 / 40.0 * k7[i];
        error = error.max((h * e).abs());
    }
    (end, k7, error)
}

/// How far the slip (a, b) may go at the rate (da, db) before it has turned by [`TURN`].
#[inline]
fn turn_limit(a: f64, b: f64, da: f64, db: f64) -> f64 {
    let square = a * a + b * b;
    let across = (a * db - b * da).abs();
    let denominator = TURN[1] * across - TURN[0] * (a * da + b * db);
    if denominator > 0.0 { TURN[0] * square / denominator } else { f64::INFINITY }
}

/// Integrates from x = −1 until the rubber has given back its share of the work.
///
/// Returns x at the end, the slips there, and the speed upwards that the cloth could not hold back, all for
/// an approach speed of 1.
pub(super) fn integrate(
    law: &Law,
    start: [f64; 3],
    restitution: f64,
    tolerance: f64,
) -> Result<(f64, [f64; 3], f64), Stall> {
    let capture = capture_radius(tolerance);
    let mut x = -1.0;
    let mut y: State = [start[0], start[1], start[2], 0.0];
    let mut nose = Nose::Slides;
    if y[0] * y[0] + y[1] * y[1] < capture * capture {
        nose = if law.excess(&force(law, Nose::Sticks, x, &y)) <= 0.0 { Nose::Sticks } else { Nose::LetsGo };
    }
    wake_cloth(law, nose, &mut x, &mut y);
    let mut k = rates(law, nose, x, &y);
    let mut h: f64 = 0.25;
    let mut goal = None;
    let mut lift = 0.0;
    let mut trials = 0;
    loop {
        trials += 1;
        if trials > MOST_STEPS {
            return Err(Stall { steps: trials });
        }
        // Where this phase of the rubber ends.
        let to_end = match goal {
            None => -x,
            Some(goal) => {
                // Work left, at the present rate, in closed form: c/(2D) ((x + h)² − x²).
                let left: f64 = y[3] - goal;
                let half_rate = if x > 1e-9 { -k[3] / x * 0.5 } else { law.cos() * 0.5 };
                let square = x * x + left / half_rate;
                square.max(0.0).sqrt() - x
            }
        };
        if to_end.abs() < 1e-9 {
            if goal.is_some() {
                return Ok((x, [y[0], y[1], y[2]], lift));
            }
            if y[3] <= 0.0 || restitution == 0.0 {
                return Ok((x, [y[0], y[1], y[2]], lift));
            }
            goal = Some(y[3] * (1.0 - restitution * restitution));
            x = 0.0;
            wake_cloth(law, nose, &mut x, &mut y);
            k = rates(law, nose, x, &y);
            continue;
        }
        let w2 = law.cloth_slip(y[1], x);
        let dw2 = k[1] + law.cloth_slip(0.0, 1.0);
        let mut trial = h.min(turn_limit(y[2], w2, k[2], dw2));
        let mut landing = false;
        if nose == Nose::Slides {
            let square = y[0] * y[0] + y[1] * y[1];
            let rate = k[0] * k[0] + k[1] * k[1];
            let towards = -(y[0] * k[0] + y[1] * k[1]);
            if towards > 0.0 {
                let nearest = towards / rate;
                let miss = (y[0] * k[1] - y[1] * k[0]).abs() / rate.sqrt();
                if miss < capture && nearest <= trial && square > 0.0 {
                    trial = nearest;
                    landing = true;
                }
            }
            if !landing {
                trial = trial.min(turn_limit(y[0], y[1], k[0], k[1]));
            }
        }
        let last = to_end <= trial;
        let this = if last { to_end } else { trial.max(1e-9) };
        let (next, k_next, error) = step(law, nose, x, &y, &k, this);
        let ratio = error / tolerance;
        if ratio > 1.0 && this.abs() > 1e-8 {
            h = this.abs() * (0.9 / fifth_root(ratio)).max(0.1);
            continue;
        }
        if nose == Nose::Sticks && !last {
            let excess = law.excess(&force(law, Nose::Sticks, x + this, &next));
            if excess > 1e-7 && this > 1e-7 {
                h = this * 0.5;
                continue;
            }
        }
        let pressed = force(law, nose, x + this, &next);
        if pressed.load < 0.0 {
            lift -= this * pressed.load * law.rates(&pressed).impulse;
        }
        x += this;
        y = next;
        k = k_next;
        if !last {
            h = this.abs() * if ratio > 1e-10 { (0.9 / fifth_root(ratio)).min(20.0) } else { 20.0 };
        }
        // Changes of what the nose does.
        let before = nose;
        let slip = (y[0] * y[0] + y[1] * y[1]).sqrt();
        match nose {
            Nose::Slides => {
                let heading_in = y[0] * k[0] + y[1] * k[1] < 0.0;
                if slip < capture && (landing || heading_in) {
                    nose = if law.excess(&force(law, Nose::Sticks, x, &y)) <= 0.0 {
                        y[0] = 0.0;
                        y[1] = 0.0;
                        Nose::Sticks
                    } else {
                        Nose::LetsGo
                    };
                }
            }
            Nose::Sticks => {
                if law.excess(&force(law, Nose::Sticks, x, &y)) > 0.0 {
                    nose = Nose::LetsGo;
                }
            }
            Nose::LetsGo => {
                if law.excess(&force(law, Nose::Sticks, x, &y)) <= 0.0 {
                    nose = Nose::Sticks;
                    y[0] = 0.0;
                    y[1] = 0.0;
                } else if slip > STEERED {
                    nose = Nose::Slides;
                }
            }
        }
        if nose != before {
            k = rates(law, nose, x, &y);
            h = h.min(0.05);
        }
    }
}

/// A cloth slip of exactly zero has no direction; it takes that of its own rate, by a step of [`SEED`].
fn wake_cloth(law: &Law, nose: Nose, x: &mut f64, y: &mut State) {
    let w2 = law.cloth_slip(y[1], *x);
    if y[2] * y[2] + w2 * w2 < SEED * SEED {
        let k = rates(law, nose, *x, y);
        for i in 0..4 {
            y[i] += SEED * k[i];
        }
        *x += SEED;
    }
}

/// x to the power 1/5, by a rational guess and two Newton steps: good to 1 %, which is all that a step needs.
fn fifth_root(x: f64) -> f64 {
    longrail_math::fx::pow(x, 0.2)
}
