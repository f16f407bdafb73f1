//! Whether a shot made its goal, and if not, how it failed.

use longrail_math::Vec2;
use longrail_physics::table::{PocketId, Rail};
use longrail_physics::{End, Engine, Event, Kind, Leg, Record};

use super::fate::Fate;
use super::plan::{Check, Mouth, Plan};
use crate::odds::Category;

/// A rail touched with less of a turn than this (cosine of 20°) is one that the ball runs along.
const ALONG_RAIL: f64 = 0.94;

/// How a shot ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Verdict {
    /// Made, or how it failed.
    pub category: Category,
}

impl Verdict {
    /// Whether the goal was made.
    pub fn made(self) -> bool {
        self.category == Category::Made
    }
}

/// Watches one shot. `PATHS` says whether the goal has places to pass; it is a constant because paths cost time.
#[derive(Clone, Debug)]
pub struct Judge<'a, const PATHS: bool> {
    plan: &'a Plan,
    /// Rails that the cue ball had touched when it first met a ball, if it has, and where it was then.
    contacted: Option<u32>,
    from: Vec2,
    rails: u32,
    touched: [bool; 4],
    /// Of the object ball: rails on its way, and whether it touched a jaw or facing.
    banks: u32,
    rattled: bool,
    /// By how far, and on which side of the nearest mouth it headed past, positive to the left.
    aside: f64,
    passed: bool,
    /// Least distance of the cue ball's path from the zone to pass, in metres.
    nearest: f64,
    dropped: u32,
    /// Something happened that cannot be made good.
    failed: Option<Category>,
    /// Speed of the cue ball when it came to what it should not touch.
    barred_mps: Option<f64>,
    /// The object ball, if it is known that it will drop.
    foretold: Option<(usize, PocketId)>,
}

impl<'a, const PATHS: bool> Judge<'a, PATHS> {
    /// Ready for a shot.
    pub fn new(plan: &'a Plan) -> Self {
        Self {
            plan,
            contacted: None,
            from: plan.starts[plan.cue],
            rails: 0,
            touched: [false; 4],
            banks: 0,
            rattled: false,
            aside: f64::INFINITY,
            passed: false,
            nearest: f64::INFINITY,
            dropped: 0,
            failed: None,
            barred_mps: None,
            foretold: None,
        }
    }

    /// By how far the object ball headed past its pocket, positive to the left; infinite if it did not head there.
    pub(crate) fn aside(&self) -> f64 {
        self.aside
    }

    /// Whether it has failed for good.
    pub(super) fn has_failed(&self) -> bool {
        self.failed.is_some()
    }

    /// Rails that the cue ball touched.
    pub(crate) fn cue_rails(&self) -> u32 {
        self.rails
    }

    /// Whether it touched a rail before it met a ball.
    pub(crate) fn met_rail_first(&self) -> bool {
        self.contacted.is_some_and(|rails| rails > 0)
    }

    /// Whether the cue ball touched `rail`.
    pub(crate) fn has_touched(&self, rail: Rail) -> bool {
        self.touched[rail as usize]
    }

    /// Whether the cue ball passed the zone that it should, and how near it came.
    pub(crate) fn has_passed(&self) -> bool {
        self.passed
    }

    /// See [`Self::has_passed`]; in metres.
    pub(crate) fn nearest_pass(&self) -> f64 {
        self.nearest
    }

    /// Speed at which the cue ball came to a rail or ball that it should not touch, in m/s, if that is what failed.
    pub(crate) fn barred_mps(&self) -> Option<f64> {
        self.barred_mps
    }

    /// The cue ball touched what it should not.
    fn bar(&mut self, category: Category, speed_mps: f64) {
        if self.failed.is_none() {
            self.barred_mps = Some(speed_mps);
        }
        self.fail(category);
    }

    /// Fails for good; the first reason stands.
    fn fail(&mut self, category: Category) {
        self.failed = self.failed.or(Some(category));
    }

    /// The side on which the object ball passes its pocket, as far as it is known.
    fn miss(&self) -> Category {
        match self.aside {
            aside if aside.is_infinite() => Category::Astray,
            aside if aside > 0.0 => Category::MissedLeft,
            _ => Category::MissedRight,
        }
    }

    fn contact(&mut self, event: &Event, with: usize) {
        let plan = self.plan;
        let [a, b] = event.before;
        let (other, mine, its) = match (event.ball == plan.cue, with == plan.cue) {
            (true, _) => (with, a, b),
            (_, true) => (event.ball, b, a),
            _ => return,
        };
        if self.contacted.is_none() {
            self.contacted = Some(self.rails);
            self.from = mine.position;
            let line = its.position - mine.position;
            let speed = mine.velocity.xy();
            // How far off full: sine of the cut.
            let sine = (speed.cross(line) / (speed.norm() * line.norm()).max(1e-12)).abs();
            for check in &plan.checks {
                let fails = match check {
                    Check::First { ball } => *ball != other,
                    Check::Full { ball, within } => *ball != other || sine > *within,
                    _ => false,
                };
                if fails {
                    self.fail(Category::Astray);
                }
            }
        }
        if plan.checks.iter().any(|check| matches!(check, Check::AvoidBall { ball } if *ball == other)) {
            self.bar(Category::Off, mine.velocity.xy().norm());
        }
    }

    fn cushion(&mut self, event: &Event, rail: Rail) {
        let plan = self.plan;
        if event.ball == plan.cue {
            self.rails += 1;
            self.touched[rail as usize] = true;
            let speed = event.before[0].velocity.xy().norm();
            for check in &plan.checks {
                match check {
                    Check::AvoidRail { rail: avoided } if *avoided == rail => self.bar(Category::Off, speed),
                    Check::Rails { most, .. } if self.rails > *most => self.bar(Category::Long, speed),
                    _ => {}
                }
            }
        }
        if Some(event.ball) == plan.object {
            let (before, after) = (event.before[0].velocity.xy(), event.after[0].velocity.xy());
            let straight = before.dot(after) > ALONG_RAIL * before.norm() * after.norm();
            let near =
                plan.mouths.iter().any(|mouth| (event.position() - mouth.middle).norm() < plan.size.x / 16.0);
            // A ball that rattled and comes to a rail is out, however near.
            if !straight && (!near || self.rattled) {
                self.banks += 1;
                if self.banks > plan.banks {
                    self.fail(self.miss());
                }
            }
            self.turned_away(event);
        }
    }

    /// A ball that comes off a rail or a jaw and leaves its pocket behind needs a rail more to come back: if it has none
    /// left, it is missed. (What another ball might still do to it is luck, and not what was asked for.)
    fn turned_away(&mut self, event: &Event) {
        let plan = self.plan;
        if self.banks < plan.banks || Some(event.ball) != plan.object {
            return;
        }
        let (p, v) = (event.after[0].position, event.after[0].velocity.xy());
        let away = |mouth: &Mouth| {
            let (to, out) = (mouth.middle - p, -v.dot(mouth.axis));
            // Between the jaws, on its way out within 60° of the middle line, it passes in front of the other jaw.
            let clear = to.norm() > mouth.width || (to.dot(mouth.axis) > 0.0 && out > 0.5 * v.norm());
            clear && v.dot(to) < 0.0
        };
        if plan.mouths.iter().all(away) {
            self.fail(self.miss());
        }
    }

    /// Where the object ball heads after an event, if it heads for its pocket.
    fn heading(&mut self, event: &Event) {
        let Some(object) = self.plan.object else { return };
        let place = if event.ball == object {
            0
        } else if event.with() == Some(object) {
            1
        } else {
            return;
        };
        let (p, v) = (event.after[place].position, event.after[place].velocity.xy());
        let speed = v.norm();
        if speed < 1e-3 {
            return;
        }
        let mut aside = self.aside;
        for Mouth { middle, width, .. } in &self.plan.mouths {
            let to = *middle - p;
            // Within the jaws a heading says nothing about how the ball came.
            if v.dot(to) <= 0.0 || to.norm() < 1.2 * width {
                continue;
            }
            // The mouth lies to the left of a ball that passes on the right.
            let past = -v.cross(to) / speed;
            if past.abs() < aside.abs() {
                aside = past;
            }
        }
        self.aside = aside;
    }

    /// What becomes of the object ball after the first contact, if that is known.
    fn foretell(&mut self, event: &Event, with: usize) {
        let (Some(fates), Some(object)) = (&self.plan.fates, self.plan.object) else { return };
        let [first, second] = event.after;
        let (its, mine) = match (event.ball == object, with == object) {
            (true, _) => (first, second),
            (_, true) => (second, first),
            _ => return,
        };
        let mps = its.velocity.xy().norm();
        // A cue ball that is quicker now, or when it rolls, may come back to a ball on its way.
        let (v, w) = (mine.velocity.xy(), mine.surface);
        let rolling = v - Vec2::new(v.x - w.y, v.y + w.x) * (2.0 / 7.0);
        match fates.of_ball(its.position, its.velocity.xy()) {
            _ if its.velocity.z != 0.0 => {}
            Fate::Drops if v.norm() <= mps && rolling.norm() <= mps => {
                self.foretold = Some((object, fates.pocket()));
            }
            Fate::Misses => self.fail(self.miss()),
            Fate::Drops | Fate::Open => {}
        }
    }

    fn drop(&mut self, event: &Event, pocket: PocketId) {
        let plan = self.plan;
        if event.ball == plan.cue {
            if !plan.scratch_counts {
                self.fail(Category::Scratch);
            }
            return;
        }
        self.dropped += 1;
        if !plan.may_drop[event.ball] {
            self.fail(Category::Foul);
        }
        for check in &plan.checks {
            if let Check::Pot { ball, pocket: wanted, banks, clean } = check
                && *ball == event.ball
            {
                let elsewhere = wanted.is_some_and(|wanted| wanted != pocket);
                let rattled = *clean && self.rattled;
                if elsewhere || rattled || (Some(*ball) == plan.object && self.banks != *banks) {
                    self.fail(self.miss());
                }
            }
        }
    }

    /// Whether and how, once the shot is over.
    pub fn verdict(&self, engine: &Engine) -> Verdict {
        Verdict { category: self.failed.or_else(|| self.unfulfilled(engine)).unwrap_or(Category::Made) }
    }

    /// The first wish that did not come true.
    fn unfulfilled(&self, engine: &Engine) -> Option<Category> {
        let plan = self.plan;
        let stands = engine.position(plan.cue);
        if engine.miscued() {
            return Some(Category::Miscue);
        }
        // Pots first: a missed ball is told before a cue ball that went astray.
        let missed = plan.checks.iter().any(|check| match check {
            Check::Pot { ball, .. } => engine.end(*ball).pocket().is_none(),
            _ => false,
        });
        if missed {
            return Some(if self.contacted.is_some() { self.miss() } else { Category::Astray });
        }
        plan.checks.iter().find_map(|check| match check {
            Check::Pot { .. } | Check::AvoidBall { .. } | Check::AvoidRail { .. } => None,
            Check::First { .. } | Check::Full { .. } => self.contacted.is_none().then_some(Category::Astray),
            Check::Touch { rail } => (!self.touched[*rail as usize]).then_some(Category::Short),
            Check::Rails { least, .. } => (self.rails < *least).then_some(Category::Short),
            Check::Pass { area } => (!self.passed).then(|| self.cue_error(area.centre(), stands)),
            Check::Stop { area } => (!area.holds(stands)).then(|| self.cue_error(area.centre(), stands)),
            Check::StopNear { ball, distance } => {
                let other = engine.position(*ball);
                ((stands - other).norm() > *distance).then(|| self.cue_error(other, stands))
            }
            Check::Lag { ball, rail, distance } => {
                let gap = plan.gap(*rail, *ball, engine.position(*ball));
                if engine.end(*ball) != End::Bed {
                    return Some(Category::Scratch);
                }
                (gap > *distance).then(|| self.lag_error(*rail, *ball))
            }
            Check::Hide { ball } => (!hidden(plan, engine, *ball)).then_some(Category::Off),
            Check::Break { least } => (self.dropped < *least).then_some(Category::Short),
        })
    }

    /// Short, long or off: how the cue ball's end `stands` lies to where it should be, seen from where it met the ball.
    fn cue_error(&self, should: Vec2, stands: Vec2) -> Category {
        let way = should - self.from;
        let length = way.norm().max(1e-9);
        let error = stands - should;
        let (along, aside) = (error.dot(way) / length, error.cross(way) / length);
        if aside.abs() > along.abs() {
            Category::Off
        } else if along < 0.0 {
            Category::Short
        } else {
            Category::Long
        }
    }

    /// A lag that has touched its rail came back too far.
    fn lag_error(&self, rail: Rail, ball: usize) -> Category {
        if ball == self.plan.cue && self.touched[rail as usize] { Category::Long } else { Category::Short }
    }
}

impl<const PATHS: bool> Record for Judge<'_, PATHS> {
    const EVENTS: bool = true;
    const LEGS: bool = PATHS;
    const CHANGES: bool = false;

    fn event(&mut self, event: &Event) {
        match event.kind {
            Kind::Ball { with } => {
                let first = self.contacted.is_none();
                self.contact(event, with);
                self.heading(event);
                if first {
                    self.foretell(event, with);
                }
            }
            Kind::Cushion(rail) => {
                self.cushion(event, rail);
                self.heading(event);
            }
            Kind::Jaw(_) | Kind::Facing(_) if Some(event.ball) == self.plan.object => {
                self.rattled = true;
                self.turned_away(event);
            }
            Kind::Pocket(pocket) => self.drop(event, pocket),
            Kind::OffTable => self.fail(Category::Foul),
            Kind::Stop if Some(event.ball) == self.plan.object => self.fail(self.miss()),
            _ => {}
        }
    }

    fn leg(&mut self, leg: &Leg) {
        if !PATHS || self.passed || leg.ball != self.plan.cue {
            return;
        }
        let area = self.plan.checks.iter().find_map(|check| match check {
            Check::Pass { area } => Some(area),
            _ => None,
        });
        let Some(area) = area else { return };
        // A centimetre at a time: zones are coarser than that.
        let length = (leg.position(leg.to_s) - leg.position(leg.from_s)).norm().max(1e-3);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let steps = (length / 0.01).ceil().min(1000.0) as u32;
        for k in 0..=steps {
            let share = f64::from(k) / f64::from(steps);
            let distance = area.distance(leg.position(leg.from_s + share * (leg.to_s - leg.from_s)));
            self.nearest = self.nearest.min(distance);
            if distance == 0.0 {
                self.passed = true;
                return;
            }
        }
    }

    fn foretold(&mut self) -> Option<(usize, PocketId)> {
        self.foretold.take()
    }

    fn decided(&self) -> bool {
        self.failed.is_some()
    }
}

/// Whether no straight way leads from the cue ball to any part of `ball`: lines to its middle and to its edges, blocked by
/// the other balls.
fn hidden(plan: &Plan, engine: &Engine, ball: usize) -> bool {
    let (from, to) = (engine.position(plan.cue), engine.position(ball));
    if engine.end(ball) != End::Bed || engine.end(plan.cue) != End::Bed {
        return false;
    }
    let reach = plan.radii[plan.cue] + plan.radii[ball];
    let way = to - from;
    let across = way.turned_left() / way.norm().max(1e-9);
    // Ghost positions from one edge to the other; just short of a miss at both ends.
    (-8..=8_i32).all(|k| {
        let offset = 0.98 * f64::from(k) / 8.0 * reach;
        let ghost = to + across * offset;
        let line = ghost - from;
        let length = line.norm();
        (0..plan.starts.len()).any(|other| {
            if other == ball || other == plan.cue || engine.end(other) != End::Bed {
                return false;
            }
            let d = engine.position(other) - from;
            let along = d.dot(line) / length;
            let off = (d.cross(line) / length).abs();
            along > 0.0 && along < length && off < plan.radii[plan.cue] + plan.radii[other]
        })
    })
}
