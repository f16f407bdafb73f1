//! The cloth sticks, or has just let go, while the nose slips. It takes a nose about twice as rough as the
//! default one, so this is plain rather than fast.

use super::State;
use super::control::{LONGEST_SHARE, Path, inverse_root, least, most};
use super::law::{Law, nose_unit};
use super::let_go::SHARE;
use super::run::{End, Phase, Run};
use super::tsitouras::{Step, step};

impl Run<'_> {
    /// One step while the cloth sticks.
    pub(super) fn roll(&mut self) -> Option<End> {
        let law = self.law;
        let tolerance = self.control.tolerance;
        let (y, k) = (self.y, self.k);
        let path = Path::new(y[0], y[2], k[0], k[2]);
        if path.goes_inwards() && path.square < 1e4 * tolerance * tolerance {
            // With w₂ = 0 and u₂ nearly so, v_Y is as small.
            self.y = [0.0; 4];
            self.leave_from_rest();
            return None;
        }
        let from = self.pace();
        let left = self.rubber.left(from);
        let mut h = self.control.reach(&path);
        let last = left <= h * 1.02;
        if last {
            h = left;
        }
        let done: Step<4> = step(|y| law.rolling(nose_unit(y)), |y| law.approach(y), &y, &k, h);
        if !self.control.accepts(done.error, h) {
            return None;
        }
        // Friction is continuous where the cloth lets go: an error in time counts by its square.
        let slack = 1e-2 * tolerance.sqrt();
        let excess = law.cloth_onset(nose_unit(&done.y)).1;
        if excess > slack && h > slack {
            // To where it crosses zero in a straight line; it is not positive while the cloth sticks.
            let before = law.cloth_onset(nose_unit(&y)).1;
            self.control.shorten(h, (before / (before - excess)).clamp(0.05, LONGEST_SHARE));
            return None;
        }
        self.y = [done.y[0], 0.0, done.y[2], 0.0];
        self.k = done.k;
        self.rubber.enter(from, self.pace(), law.cos * done.integral, h);
        if last {
            return self.finish();
        }
        if excess > 0.0 {
            self.settle();
        }
        None
    }

    /// One step while the cloth's slip is steered: its direction is that of what drives it, which depends on
    /// the nose's direction alone.
    pub(super) fn slip_off(&mut self) -> Option<End> {
        let law = self.law;
        let tolerance = self.control.tolerance;
        let y = [self.slip, self.y[0], self.y[2]];
        let unit = |y: &[f64; 3]| nose_unit(&[y[1], 0.0, y[2], 0.0]);
        let rates = |y: &[f64; 3]| {
            let n = unit(y);
            let (w, growth) = law.cloth_onset(n);
            let k = law.along(n, w);
            [growth, k[0], k[2]]
        };
        let approach = |y: &[f64; 3]| (y[0] * law.cloth_onset(unit(y)).0[1] - y[2]) * law.per_sum;
        let k = rates(&y);
        let from = self.pace();
        let left = self.rubber.left(from);
        let mut h = self.control.reach(&Path::new(y[1], y[2], k[1], k[2]));
        if k[0] < 0.0 {
            h = least(h, -y[0] / k[0]);
        }
        let last = left <= h * 1.02;
        h = if last { left } else { most(h, 1e-9) };
        let done: Step<3> = step(rates, approach, &y, &k, h);
        if !self.control.accepts(done.error, h) {
            return None;
        }
        if let Some(share) = self.lifts_within(&[done.y[1], 0.0, done.y[2], 0.0]) {
            self.control.shorten(h, share);
            return None;
        }
        let n = unit(&done.y);
        let (w, growth) = law.cloth_onset(n);
        let k = law.along(n, w);
        let (lag, neglected) = cloth_lag(law, &done.y, &k, growth);
        let allowed = SHARE * tolerance;
        if neglected > 4.0 * allowed && h > 1e-6 {
            // It grows with the cube of the slip.
            self.control
                .shorten(h, (0.9 * inverse_root::<3>(neglected / allowed)).clamp(0.05, LONGEST_SHARE));
            return None;
        }
        self.slip = done.y[0];
        self.growth = growth;
        self.y = [done.y[1], done.y[0] * w[0], done.y[2], done.y[0] * w[1]];
        self.k = k;
        self.rubber.enter(from, self.pace(), law.cos * done.integral, h);
        let outgrown = neglected > allowed;
        if outgrown || last {
            // The friction that turned the slip acts on the nose's, too.
            let cos = 1.0 - 0.5 * lag * lag;
            let lagging = [self.slip * (w[0] * cos - w[1] * lag), self.slip * (w[1] * cos + w[0] * lag)];
            let turned = [lagging[0] - self.y[1], lagging[1] - self.y[3]];
            self.y = [
                self.y[0] + law.k * turned[0] / 3.5,
                lagging[0],
                self.y[2] + law.down * turned[1] / 3.5,
                lagging[1],
            ];
        }
        if last {
            return self.finish();
        }
        let square = done.y[1] * done.y[1] + done.y[2] * done.y[2];
        if law.lifts(&self.y) {
            self.phase = Phase::Climbs;
        } else if growth <= 0.0 && self.slip <= 10.0 * tolerance {
            self.rest_cloth();
        } else if outgrown || square < 1e4 * tolerance * tolerance {
            self.cloth_outgrown = true;
            self.phase = Phase::Slides;
        }
        None
    }
}

/// The angle by which a cloth slip that grows evenly lags behind what drives it, and the size of what that neglects;
/// [`super::let_go`] derives both. `y` and `k` are slip, nose slip and the rates of all slips.
fn cloth_lag(law: &Law, y: &[f64; 3], k: &State, growth: f64) -> (f64, f64) {
    let nose = |t: f64| nose_unit(&[y[1] + t * k[0], 0.0, y[2] + t * k[2], 0.0]);
    let pace = 1.0 / Path::new(y[1], y[2], k[0], k[2]).time();
    let ahead = 1e-3 / pace;
    let (now, later) = (law.cloth_onset(nose(0.0)).0, law.cloth_onset(nose(ahead)).0);
    let turn = (later[1] * now[0] - later[0] * now[1]) / ahead;
    let stiff = law.cloth_drive(nose(0.0)).1 + 2.0 * growth;
    let relaxation = if stiff > 0.0 { y[0] / stiff } else { 0.0 };
    let lag = -turn * relaxation;
    (lag, (y[0] * lag * relaxation * pace).abs())
}
