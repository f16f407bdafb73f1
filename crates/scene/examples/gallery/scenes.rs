//! Scenes to look at and to compare: laid out by hand, with courses that rebound like light.
//!
//! They show how pictures are drawn, not how balls run.

use longrail_math::Vec2;
use longrail_physics::Ball;
use longrail_physics::table::{PocketId, Rail, Size, Table, TableSpec};
use longrail_scene::{Mark, PathLeg, PictureBall, PicturePath, Region, ShotPicture, dimensions, goal_marks};
use longrail_stroke::Goal;
use longrail_stroke::goal::{Wish, Zone};

const R: f64 = 0.028_575;

/// A scene with the table that it is laid out on.
pub(crate) struct Scene {
    pub(crate) name: &'static str,
    table: Table,
    balls: Vec<PictureBall>,
    paths: Vec<PicturePath>,
    marks: Vec<Mark>,
    title: &'static str,
}

impl Scene {
    pub(crate) fn picture(&self) -> ShotPicture<'_> {
        ShotPicture {
            balls: self.balls.clone(),
            paths: self.paths.clone(),
            marks: self.marks.clone(),
            title: self.title.to_owned(),
            ..ShotPicture::of(&self.table)
        }
    }

    fn new(name: &'static str, title: &'static str, table: Table) -> Self {
        Self { name, table, balls: Vec::new(), paths: Vec::new(), marks: Vec::new(), title }
    }

    /// A point in diamonds.
    fn at(&self, along: f64, across: f64) -> Vec2 {
        let (x, y) = self.table.spec().from_diamonds(along, across);
        Vec2::new(x, y)
    }

    fn ball(&mut self, id: &str, at: Vec2) -> usize {
        self.balls.push(PictureBall::resting(id, R, at));
        self.balls.len() - 1
    }

    /// A course through `points`, one leg between each two, ending at rest.
    fn course(&mut self, ball: usize, points: &[Vec2]) {
        let legs = points.windows(2).map(|pair| PathLeg { points: pair.to_vec(), flying: false }).collect();
        self.paths.push(PicturePath { ball, legs });
        self.balls[ball].rest = points.last().copied();
    }

    /// A course from the ball that ends in a pocket.
    fn pot(&mut self, ball: usize, via: &[Vec2], pocket: PocketId) {
        let hole = self.table.pocket(pocket);
        let edge = hole.drop_centre - hole.axis * hole.drop_radius;
        let mut points = vec![self.balls[ball].start];
        points.extend_from_slice(via);
        points.push(edge);
        self.course(ball, &points);
        self.balls[ball].rest = None;
        self.marks.push(Mark::Pocketed { ball, at: edge });
    }

    /// Adds what a ball does that runs `length` from `from`, rebounding from the noses; returns the points.
    fn rebounds(&mut self, from: Vec2, degrees: f64, length: f64) -> Vec<Vec2> {
        let (end_x, end_y) = (self.table.spec().length_m - R, self.table.spec().width_m - R);
        let mut direction = Vec2::from_angle(degrees.to_radians());
        let (mut points, mut at, mut left) = (vec![from], from, length);
        while left > 1e-9 {
            let reach = |at: f64, step: f64, end: f64| match step {
                step if step > 1e-12 => (end - at) / step,
                step if step < -1e-12 => (R - at) / step,
                _ => f64::INFINITY,
            };
            let (x, y) = (reach(at.x, direction.x, end_x), reach(at.y, direction.y, end_y));
            let step = x.min(y).min(left);
            at += direction * step;
            left -= step;
            points.push(at);
            if left > 1e-9 {
                self.marks.push(Mark::Rail { at });
                direction = if x <= y {
                    Vec2::new(-direction.x, direction.y)
                } else {
                    Vec2::new(direction.x, -direction.y)
                };
            }
        }
        points
    }

    /// What the goal says, and how far every ball lies from its rails.
    fn set_up(&mut self, goal: &Goal) {
        let balls: Vec<Ball> =
            self.balls.iter().map(|ball| Ball::at_rest(&ball.id, ball.start.x, ball.start.y)).collect();
        let ends = |index: usize| self.balls.get(index).and_then(|ball| ball.rest);
        let spec = self.table.spec();
        let said = goal_marks(goal, spec, &balls, ends);
        self.marks.splice(0..0, said);
        self.marks.extend(dimensions(spec, &balls));
    }

    /// Balls in rows of the given lengths, the apex on the foot spot.
    fn rack(&mut self, rows: &[u32], ids: &[&str]) -> Vec<usize> {
        let apex = self.at(6.0, 2.0);
        let mut ids = ids.iter();
        let mut placed = Vec::new();
        for (row, count) in (0_u32..).zip(rows) {
            for place in 0..*count {
                let x = apex.x + f64::from(row) * R * 3.0_f64.sqrt();
                let y = apex.y + (2.0 * f64::from(place) - f64::from(*count - 1)) * R;
                if let Some(id) = ids.next() {
                    placed.push(self.ball(id, Vec2::new(x, y)));
                }
            }
        }
        placed
    }
}

fn sized(name: &str) -> Table {
    Size::named(name).and_then(|size| Table::new(TableSpec::of_size(size))).unwrap_or_default()
}

/// Where the cue ball's centre is when it meets a ball at `ball` to send it to `goal`.
fn ghost(ball: Vec2, goal: Vec2) -> Vec2 {
    let line = goal - ball;
    ball - line * (2.0 * R / line.norm())
}

/// All scenes.
pub(crate) fn all() -> Vec<Scene> {
    vec![
        empty(),
        one_rail(),
        nine_break(),
        eight_rack(),
        frozen(),
        follow(),
        jump(),
        odd_ids(),
        set_up_one(),
        set_up_two(),
        set_up_four(),
    ]
}

fn empty() -> Scene {
    Scene::new("empty", "Empty table", Table::default())
}

/// One pot, the cue ball off the foot rail into a zone.
fn one_rail() -> Scene {
    let mut s = Scene::new("one-rail", "One rail to the middle", Table::default());
    let cue = s.ball("cue", s.at(4.5, 2.5));
    let one = s.ball("1", s.at(6.5, 3.0));
    let contact = ghost(s.balls[one].start, s.table.pocket(PocketId::FootLeft).mouth);
    let (rail, rest) = (Vec2::new(s.table.spec().length_m - R, 0.75), s.at(5.15, 1.1));
    s.course(cue, &[s.balls[cue].start, contact, rail, rest]);
    s.pot(one, &[], PocketId::FootLeft);
    s.marks.push(Mark::Zone { region: Region::Circle { at: rest, radius_m: 0.19 }, passing: false });
    s.marks.push(Mark::Ghost { at: contact, radius_m: R });
    s.marks.push(Mark::Rail { at: rail });
    s
}

/// A break with every ball on its way.
fn nine_break() -> Scene {
    let mut s = Scene::new("nine-break", "Break of nine balls", Table::default());
    let cue = s.ball("cue", s.at(1.6, 2.3));
    let balls = s.rack(&[1, 2, 3, 2, 1], &["1", "5", "3", "7", "9", "2", "8", "4", "6"]);
    let start = s.balls[cue].start;
    let contact = ghost(s.balls[balls[0]].start, s.balls[balls[0]].start * 2.0 - start);
    let mut points = vec![start];
    points.extend(s.rebounds(contact, 148.0, 1.1));
    s.course(cue, &points);
    s.marks.push(Mark::Ghost { at: contact, radius_m: R });
    let runs = [(196.0, 2.3), (62.0, 0.0), (-58.0, 1.9), (97.0, 2.6), (20.0, 0.7), (-84.0, 0.0), (35.0, 1.6)];
    for (ball, (degrees, length)) in balls.iter().zip(runs) {
        if length > 0.0 {
            let points = s.rebounds(s.balls[*ball].start, degrees, length);
            s.course(*ball, &points);
        }
    }
    s.pot(balls[1], &[], PocketId::FootLeft);
    s.pot(balls[5], &[], PocketId::FootRight);
    s.pot(balls[8], &[], PocketId::FootRight);
    s
}

fn eight_rack() -> Scene {
    let mut s = Scene::new("eight-rack", "Rack of fifteen balls", sized("7ft"));
    s.ball("cue", s.at(2.0, 2.0));
    let ids = ["1", "9", "2", "10", "8", "3", "11", "7", "14", "4", "5", "13", "15", "6", "12"];
    s.rack(&[1, 2, 3, 4, 5], &ids);
    s
}

/// Balls on the rails, in the jaws and on each other, with two banks.
fn frozen() -> Scene {
    let mut s = Scene::new("frozen", "Balls on the rails", Table::default());
    let (length, width) = (s.table.spec().length_m, s.table.spec().width_m);
    let cue = s.ball("cue", Vec2::new(R, 0.42));
    let two = s.ball("2", Vec2::new(1.9, width - R));
    s.ball("4", Vec2::new(0.9, width - R));
    s.ball("5", Vec2::new(0.9 + 2.0 * R, width - R));
    s.ball("10", Vec2::new(length - R, 0.7));
    s.ball("11", Vec2::new(length - R, 0.7 - 2.0 * R));
    s.ball("12", Vec2::new(length - 0.05, 0.05));
    s.ball("13", Vec2::new(0.045, width - 0.045));
    s.ball("6", Vec2::new(length / 2.0, R * 0.4));
    let three = s.ball("3", Vec2::new(0.6, R));
    let contact = ghost(s.balls[two].start, s.balls[two].start + Vec2::new(1.0, 0.6));
    let mut points = vec![s.balls[cue].start];
    points.extend(s.rebounds(contact, -38.0, 0.62));
    s.course(cue, &points);
    s.marks.push(Mark::Ghost { at: contact, radius_m: R });
    s.pot(two, &[], PocketId::FootLeft);
    s.pot(three, &[], PocketId::HeadRight);
    s
}

/// A straight follow: both balls on one line, the cue ball after the object ball into the hole.
fn follow() -> Scene {
    let mut s = Scene::new("follow", "Straight follow", sized("8ft"));
    let cue = s.ball("cue", s.at(4.4, 1.0));
    let eight = s.ball("8", s.at(5.6, 2.0));
    s.ball("7", s.at(5.0, 2.6));
    let nine = s.ball("9", s.at(6.6, 2.4));
    let goal = s.table.pocket(PocketId::FootLeft).mouth;
    let contact = ghost(s.balls[eight].start, goal);
    s.course(cue, &[s.balls[cue].start, contact, contact + (goal - contact) * 0.6]);
    s.pot(eight, &[], PocketId::FootLeft);
    let end = s.at(7.1, 1.5);
    s.course(nine, &[s.balls[nine].start, end]);
    s.marks.push(Mark::Ghost { at: contact, radius_m: R });
    s
}

/// A jump over a blocker, a curve, and a ball that leaves a 10-ft table.
fn jump() -> Scene {
    let mut s = Scene::new("jump", "Jump over the 5", sized("10ft"));
    let cue = s.ball("cue", s.at(2.0, 1.5));
    s.ball("5", s.at(3.6, 1.75));
    let fourteen = s.ball("14", s.at(6.0, 2.2));
    let fifteen = s.ball("15", s.at(6.9, 2.9));
    let start = s.balls[cue].start;
    let contact = ghost(s.balls[fourteen].start, s.table.pocket(PocketId::FootRight).mouth);
    let line = contact - start;
    let (lift, land) = (start + line * 0.22, start + line * 0.62);
    // After the hit the cue ball bends forward, as a following ball does.
    let curve: Vec<Vec2> = (0..=40)
        .map(|step| {
            let t = f64::from(step) / 40.0;
            contact + Vec2::new(0.55 * t * t + 0.05 * t, 0.42 * t)
        })
        .collect();
    let end = curve.last().copied();
    let leg = |from: Vec2, to: Vec2, flying| PathLeg { points: vec![from, to], flying };
    let legs = vec![
        leg(start, lift, false),
        leg(lift, land, true),
        leg(land, contact, false),
        PathLeg { points: curve, flying: false },
    ];
    s.paths.push(PicturePath { ball: cue, legs });
    s.balls[cue].rest = end;
    s.pot(fourteen, &[], PocketId::FootRight);
    let (from, gone) = (s.balls[fifteen].start, s.at(8.3, 3.3));
    s.paths.push(PicturePath { ball: fifteen, legs: vec![leg(from, gone, true)] });
    s.balls[fifteen].rest = None;
    s.marks.push(Mark::Landing { at: land });
    s.marks.push(Mark::LeftTable { ball: fifteen, at: gone });
    s.marks.push(Mark::Ghost { at: contact, radius_m: R });
    s
}

/// Names that are not the trade's, and a large cue ball.
fn odd_ids() -> Scene {
    let mut s = Scene::new("odd-ids", "Any <balls> & \"names\"", sized("7ft-76x38"));
    let cue = s.ball("cue", s.at(2.0, 2.0));
    s.balls[cue].radius_m = 0.0302;
    s.ball("<a>&\"'", s.at(5.0, 1.0));
    s.ball("object", s.at(5.0, 3.0));
    s.ball("16", s.at(6.5, 2.0));
    s
}

/// The cue ball alone, there and back nearly along its own dimension line.
fn set_up_one() -> Scene {
    let mut s = Scene::new("set-up-one", "A lag, to be set up", Table::default());
    let cue = s.ball("cue", s.at(5.0, 1.25));
    let start = s.balls[cue].start;
    let points = s.rebounds(start, 2.0, 3.3);
    s.course(cue, &points);
    s.set_up(&Goal::of(Wish::Lag { ball: "cue".to_owned(), rail: Rail::Head, diamonds: 0.5 }));
    s
}

/// A diagonal stop shot without a rail.
fn set_up_two() -> Scene {
    let mut s = Scene::new("set-up-two", "Diagonal stop, to be set up", Table::default());
    let cue = s.ball("cue", s.at(4.75, 0.75));
    let one = s.ball("1", s.at(7.0, 3.0));
    let mouth = s.table.pocket(PocketId::FootLeft).mouth;
    let contact = ghost(s.balls[one].start, mouth);
    s.course(cue, &[s.balls[cue].start, contact]);
    s.course(one, &[s.balls[one].start, mouth]);
    s.balls[one].rest = None;
    s.marks.push(Mark::Ghost { at: contact, radius_m: R });
    let zone = Zone::Circle { along: 6.8, across: 2.8, radius: 0.75 };
    let goal = Goal::pot("1", PocketId::FootLeft).and(Wish::Stop { zone });
    s.set_up(&goal.and(Wish::AvoidRail { rail: Rail::Left }));
    s
}

/// Four balls, three of them in one line to the rail.
fn set_up_four() -> Scene {
    let mut s = Scene::new("set-up-four", "Hide behind two balls, to be set up", Table::default());
    let cue = s.ball("cue", s.at(4.75, 1.5));
    let one = s.ball("1", s.at(6.25, 1.75));
    s.ball("2", s.at(6.75, 1.5));
    s.ball("11", s.at(7.0, 1.5));
    let start = s.balls[one].start;
    let contact = ghost(start, start + Vec2::new(0.9, 0.5));
    s.course(cue, &[s.balls[cue].start, contact, s.at(6.55, 1.25)]);
    s.course(one, &[start, Vec2::new(s.table.spec().length_m - R, 0.8), s.at(7.75, 2.7)]);
    s.marks.push(Mark::Ghost { at: contact, radius_m: R });
    s.set_up(&Goal::of(Wish::StopNear { ball: "2".to_owned(), diamonds: 1.0 }));
    s
}
