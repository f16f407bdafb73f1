//! The nose lets go: its slip is so short that the forces steer it.
//!
//! A slip u = ‖u‖ (n + δ t), with n the direction whose own friction makes it grow along itself
//! ([`super::law::Law::onset`]) and t across it, obeys ‖u‖ δ' = −(κ + λ) δ − ‖u‖ ψ': λ is the growth, κ what
//! friction does against a turn, ψ' the pace at which n turns because the cloth's slip does. While ‖u‖ is
//! short that is stiff, and δ is small; explicit steps would be limited to a few times ‖u‖/κ. So friction is
//! taken along n itself, which leaves nothing stiff, and at the end the slip is turned by the lag
//! δ = −ψ' ‖u‖/(κ + 2 λ) that a slip growing evenly has. The phase ends when the next term would count.

use std::cell::Cell;

use super::State;
use super::control::{Path, least, most};
use super::law::cloth_unit;
use super::run::{End, Phase, Run};
use super::tsitouras::{Step, step};

/// Share of the tolerance that the neglected term may take.
pub(super) const SHARE: f64 = 0.03;

impl Run<'_> {
    /// The nose lets go while the cloth slides along `cloth`.
    pub(super) fn start_letting_go(&mut self, cloth: [f64; 2]) {
        self.phase = Phase::LetsGo;
        (self.toward, self.growth) = self.law.onset(cloth, 0.0);
        self.k = self.law.along(self.toward, cloth);
        self.control.reset();
    }

    /// One step while the nose's slip is steered.
    pub(super) fn let_go(&mut self) -> Option<End> {
        let law = self.law;
        let tolerance = self.control.tolerance;
        let (y, k) = (self.y, self.k);
        let from = self.pace();
        let left = self.rubber.left(from);
        let path = Path::new(y[1], y[3], k[1], k[3]);
        let slip = (y[0] * y[0] + y[2] * y[2]).sqrt();
        // Where the nose's slip dies, if it does: no further than that.
        let dies =
            if slip > 10.0 * tolerance && self.growth < 0.0 { -slip / self.growth } else { f64::INFINITY };
        if path.goes_inwards() && path.miss() < tolerance * tolerance && path.nearest() < least(left, dies) {
            return self.let_go_straight(path.nearest());
        }
        let mut h = least(self.control.reach(&path), dies);
        let last = left <= h * 1.02;
        h = if last { left } else { most(h, 1e-7) };
        // Each search for the direction starts from the last one's end.
        let warm = Cell::new((self.toward, self.growth));
        let rates = |y: &State| {
            let w = cloth_unit(y);
            warm.set(law.onset(w, warm.get().1));
            law.along(warm.get().0, w)
        };
        let done: Step<4> = step(rates, |y| law.approach(y), &y, &k, h);
        if !self.control.accepts(done.error, h) {
            return None;
        }
        (self.toward, self.growth) = warm.get();
        self.y = done.y;
        self.k = done.k;
        self.rubber.enter(from, self.pace(), law.cos * done.integral, h);

        let (lagging, neglected) = self.lagging();
        let outgrown = neglected > SHARE * tolerance;
        if outgrown || last {
            // The friction that turned the slip acts on the cloth's, too.
            let turned = [lagging[0] - self.y[0], lagging[1] - self.y[2]];
            self.y = [
                lagging[0],
                self.y[1] + law.k * turned[0] / 3.5,
                lagging[1],
                self.y[3] + law.down * turned[1] / law.up,
            ];
        }
        if last {
            return self.finish();
        }
        let n = self.toward;
        let (along, square) =
            (done.y[0] * n[0] + done.y[2] * n[1], done.y[0] * done.y[0] + done.y[2] * done.y[2]);
        if self.growth <= 0.0 && square > 0.0 && (square < 100.0 * tolerance * tolerance || along <= 0.0) {
            self.rest_nose();
        } else if outgrown {
            self.outgrown = true;
            self.phase = Phase::Slides;
        }
        None
    }

    /// The cloth's slip runs straight into zero, `h` away: directions stay, so rates do.
    fn let_go_straight(&mut self, h: f64) -> Option<End> {
        let from = self.pace();
        for i in 0..4 {
            self.y[i] += h * self.k[i];
        }
        let work = self.law.cos * 0.5 * (from.v + self.law.approach(&self.y)) * h;
        self.rubber.enter(from, self.pace(), work, h);
        self.rest_cloth();
        None
    }

    /// The slip at the nose, turned back by its lag, and the size of what that neglects.
    fn lagging(&self) -> ([f64; 2], f64) {
        let law = self.law;
        let (y, k, n) = (&self.y, &self.k, self.toward);
        let w = cloth_unit(y);
        // How fast n turns, from where the cloth's slip is a little later.
        let pace = 1.0 / Path::new(y[1], y[3], k[1], k[3]).time();
        let ahead = 1e-3 / pace;
        let later =
            law.onset(cloth_unit(&[0.0, y[1] + ahead * k[1], 0.0, y[3] + ahead * k[3]]), self.growth).0;
        let turn = (later[1] * n[0] - later[0] * n[1]) / ahead;
        // κ = tᵀ M t with t = (−n₂, n₁) and M = −∂(du/dP)/∂n.
        let load = law.cloth * law.cos * law.nose;
        let kappa = 3.5 * law.nose * n[1] * n[1] + (law.up * law.nose + law.down * load * w[1]) * n[0] * n[0]
            - law.k * load * w[0] * n[0] * n[1];
        let stiff = kappa + 2.0 * self.growth;
        let slip = (y[0] * y[0] + y[2] * y[2]).sqrt();
        // A slip that dies as fast as it could turn has no steady lag.
        let relaxation = if stiff > 0.3 * kappa && kappa > 0.0 { slip / stiff } else { 0.0 };
        let lag = -turn * relaxation;
        let cos = 1.0 - 0.5 * lag * lag;
        let lagging = [slip * (n[0] * cos - n[1] * lag), slip * (n[1] * cos + n[0] * lag)];
        (lagging, (slip * lag * relaxation * pace).abs())
    }
}
