//! From a hit to the best one nearby.
//!
//! The chance of a hit is the share of the stroke's distribution around it that falls on hits which make the goal. So shots
//! played once around a hit tell the chance of all hits nearby: each counts by how likely the stroke is to land on it
//! (importance sampling; with several rounds of shots, by their mixture: Veach & Guibas 1995, SIGGRAPH, the balance
//! heuristic). The chance rises in the direction from the mean of all shots to the mean of those that made it (as in mean
//! shift: Fukunaga & Hostetler 1975, IEEE Trans. Inf. Theory 21), so that the best hit nearby is found without another shot.
//! A few rounds of this, each around where the last one ended, replace a search that plays every hit it tries. Where few
//! shots lie, a chance is uncertain: a hit is better if its chance less one standard error is.

use longrail_math::fx;
use longrail_physics::Engine;

use super::{Candidate, Kind, Sight};
use crate::Hit;
use crate::error::StrokeError;
use crate::nodes::{Node, Nodes, dot};
use crate::odds::Setting;
use crate::stroke::Stroke;
use crate::whole;

/// Shots are played over so many times the stroke's spread, for those hits' sake that lie aside.
const WIDER: f64 = 1.3;

/// Least spreads of direction (degrees), speed and tip with which hits are compared: a stroke without spread has no
/// neighbours.
pub(super) const LEAST: Node = [0.03, 0.02, 0.015, 0.015];

/// Farthest move in a round, in spreads; beyond, too few of the shots lie around.
const FARTHEST: f64 = 1.2;

/// Steps towards the summit without further shots, and the length in spreads that ends them.
const STEPS: u32 = 40;
const STILL: f64 = 0.01;

/// A step that gains is followed by one so many times as long, and one that does not by one so many times as short.
const LONGER: f64 = 1.6;
const SHORTER: f64 = 0.4;

/// A move shorter than this, in spreads, ends the climb.
const ARRIVED: f64 = 0.15;

/// How thorough a climb is: the nodes of each of its rounds. It ends sooner where it arrives sooner.
pub(super) struct Climb(Vec<Nodes>);

impl Climb {
    pub(super) fn new(rounds: u32, nodes: u32) -> Self {
        Self((0..rounds).map(|round| Nodes::sobol(1, nodes, nodes + round)).collect())
    }

    /// For the many.
    pub(super) fn rough() -> Self {
        Self::new(3, 64)
    }

    /// From where a neighbour's climb ended.
    pub(super) fn onwards() -> Self {
        Self::new(4, 128)
    }

    /// For the best.
    pub(super) fn fine() -> Self {
        Self::new(6, 256)
    }

    /// For those that will be shown.
    pub(super) fn last() -> Self {
        Self::new(6, 1024)
    }
}

/// Places of hits around one: in spreads of direction, of the speed's logarithm, and of the tip's place.
struct Frame {
    hit: Hit,
    spreads: Node,
    /// By how much more (degrees) the cue must be raised for a tip one spread higher, and the place for which `hit` is raised:
    /// over a rail draw takes a steeper cue than follow.
    raise_deg: f64,
    raised_at: f64,
}

impl Frame {
    fn new(hit: &Hit, stroke: &Stroke) -> Self {
        let spreads = [stroke.aim_sd_deg, stroke.speed_sd, stroke.tip_right_sd, stroke.tip_up_sd];
        let spreads = std::array::from_fn(|k| spreads[k].max(LEAST[k]));
        Self { hit: *hit, spreads, raise_deg: 0.0, raised_at: 0.0 }
    }

    /// The stroke that scatters so.
    fn stroke(&self) -> Stroke {
        let [aim_sd_deg, speed_sd, tip_right_sd, tip_up_sd] = self.spreads;
        Stroke { speed_sd, tip_right_sd, tip_up_sd, ..Stroke::aim_only(aim_sd_deg) }
    }

    /// The hit at a place.
    fn hit(&self, at: &Node) -> Hit {
        let Self { hit, spreads, raise_deg, raised_at } = self;
        Hit {
            direction_deg: hit.direction_deg + spreads[0] * at[0],
            speed_mps: (hit.speed_mps * fx::exp(spreads[1] * at[1])).clamp(1e-3, 20.0),
            tip_right: hit.tip_right + spreads[2] * at[2],
            tip_up: hit.tip_up + spreads[3] * at[3],
            elevation_deg: (hit.elevation_deg + raise_deg * (at[3] - raised_at)).max(0.0),
        }
    }
}

/// A shot: where it lies, and whether it made the goal.
struct Shot {
    at: Node,
    made: bool,
}

/// So many shots, played around one place over so many times the stroke's spread.
struct Round {
    middle: Node,
    wider: f64,
    count: usize,
}

/// Shots around a hit, round after round.
#[derive(Default)]
struct Shots {
    all: Vec<Shot>,
    rounds: Vec<Round>,
    /// What each shot counts for: the inverse of the density with which such shots were played.
    weights: Vec<f64>,
}

/// What shots tell of a hit.
struct Outlook {
    /// Its chance, and that less one standard error.
    chance: f64,
    at_least: f64,
    /// Where its chance rises to.
    rise: Node,
}

impl Setting<'_> {
    /// The best hit that a climb from `start` reaches, with the chance that the shots played show, if any made it. Where
    /// none does, `start` itself.
    pub(super) fn climbed(
        &self,
        engine: &mut Engine,
        start: &Candidate,
        climb: &Climb,
    ) -> Result<Candidate, StrokeError> {
        self.climbed_on(engine, start, &[], climb, 0.0)
    }

    /// As [`Self::climbed`], with the shots of its `exam`, and as long as the chance is `least` or more.
    pub(super) fn climbed_on(
        &self,
        engine: &mut Engine,
        start: &Candidate,
        exam: &[(Node, bool)],
        climb: &Climb,
        least: f64,
    ) -> Result<Candidate, StrokeError> {
        let mut best = *start;
        let stroke = self.stroke(&start.hit);
        let mut shots = Shots::of_exam(&stroke, exam);
        let mut frame = Frame::new(&start.hit, &stroke);
        frame.raise_deg = self.raise_deg(&start.hit, frame.spreads[3]);
        let room = self.room(&frame);
        let mut middle = [0.0; 4];
        // What was played already is as good as the first round.
        let known = usize::from(!shots.all.is_empty());
        for round in 0..climb.0.len() {
            if round >= known {
                frame.hit.elevation_deg = best.hit.elevation_deg;
                frame.raised_at = middle[3];
                self.play_around(engine, &frame, &middle, &climb.0[round], &mut shots)?;
            }
            if !shots.all.iter().any(|shot| shot.made) {
                break;
            }
            let (towards, score) = shots.summit(&middle, &room);
            let Some(hit) = self.reachable(&Hit { elevation_deg: 0.0, ..frame.hit(&towards) }) else { break };
            best = Candidate { hit, score, ..best };
            let moved = apart(&towards, &middle);
            middle = towards;
            if square(&moved) < ARRIVED * ARRIVED || score < least {
                break;
            }
        }
        let lack = self.lacking(engine, &best.hit)?;
        best.kind = Kind::of(&best.hit, &lack);
        if let Some(sight) = best.sight
            && let Some(past_m) = self.past(engine, &best.hit, sight)?
        {
            best.sight = Some(Sight { past_m, ..sight });
        }
        Ok(best)
    }

    /// By how many degrees more the cue must be raised for a tip that is `spread` radii higher; negative, as a rule.
    fn raise_deg(&self, hit: &Hit, spread: f64) -> f64 {
        let needed = |aside: f64| {
            self.playable(&Hit { tip_up: hit.tip_up + aside, elevation_deg: 0.0, ..*hit })
                .map(|hit| hit.elevation_deg)
        };
        // Where no cue can be laid there is nothing to compare.
        needed(0.5 * spread).and_then(|above| Ok(above - needed(-0.5 * spread)?)).unwrap_or(0.0)
    }

    /// Plays a round of shots around `middle`.
    fn play_around(
        &self,
        engine: &mut Engine,
        frame: &Frame,
        middle: &Node,
        nodes: &Nodes,
        shots: &mut Shots,
    ) -> Result<(), StrokeError> {
        let axes = self.axes(engine, &frame.hit(middle), &frame.stroke())?;
        for node in nodes.all() {
            let error = axes.errors(node);
            let at = std::array::from_fn(|k| middle[k] + WIDER * error[k]);
            let made = self.play(engine, &frame.hit(&at))?.made();
            shots.all.push(Shot { at, made });
        }
        shots.rounds.push(Round { middle: *middle, wider: WIDER, count: nodes.all().len() });
        shots.weigh();
        Ok(())
    }

    /// How far hits may lie from the middle of the frame in each coordinate, downwards and upwards.
    fn room(&self, frame: &Frame) -> [(f64, f64); 4] {
        let limits = &self.player.limits;
        let (hit, spreads) = (&frame.hit, &frame.spreads);
        let within =
            |least: f64, most: f64, spread: f64| ((least / spread).min(0.0), (most / spread).max(0.0));
        let speeds = [limits.softest_mps, limits.hardest_mps].map(|speed| fx::ln(speed / hit.speed_mps));
        [
            (f64::NEG_INFINITY, f64::INFINITY),
            within(speeds[0], speeds[1], spreads[1]),
            within(-limits.most_side - hit.tip_right, limits.most_side - hit.tip_right, spreads[2]),
            within(-limits.most_draw - hit.tip_up, limits.most_follow - hit.tip_up, spreads[3]),
        ]
    }
}

impl Shots {
    /// Shots that were played with these errors of a `stroke`, each of which made the goal or not: as far as a climb can use them.
    fn of_exam(stroke: &Stroke, exam: &[(Node, bool)]) -> Self {
        let sds = [stroke.aim_sd_deg, stroke.speed_sd, stroke.tip_right_sd, stroke.tip_up_sd];
        // Hits are compared with more spread than was played with.
        if exam.is_empty() || sds.iter().zip(LEAST).any(|(sd, least)| *sd < least) {
            return Self::default();
        }
        let shot = |&(error, made): &(Node, bool)| {
            let [aim, speed, right, up] = error;
            let factor = (1.0 + stroke.speed_sd * speed).max(0.05);
            Shot { at: [aim, fx::ln(factor) / stroke.speed_sd, right, up], made }
        };
        let all: Vec<Shot> = exam.iter().map(shot).collect();
        let round = Round { middle: [0.0; 4], wider: 1.0, count: all.len() };
        let mut shots = Self { all, rounds: vec![round], weights: Vec::new() };
        shots.weigh();
        shots
    }

    /// Works out anew what each shot counts for.
    fn weigh(&mut self) {
        let density = |shot: &Shot| -> f64 {
            let around = |round: &Round| {
                let wider = round.wider * round.wider;
                // Thinner in each of four coordinates.
                let thick = whole(round.count) / (wider * wider);
                thick * bell(square(&apart(&shot.at, &round.middle)) / wider)
            };
            self.rounds.iter().map(around).sum()
        };
        // Kept finite far out, where no shot has been.
        self.weights = self.all.iter().map(|shot| 1.0 / density(shot).max(1e-100)).collect();
    }

    /// What they tell of the hit at a place.
    fn outlook(&self, at: &Node) -> Outlook {
        // Of those that made it, and of the others: weights, their squares, and places.
        let (mut sums, mut squares, mut means) = ([0.0; 2], [0.0; 2], [[0.0; 4]; 2]);
        for (shot, weight) in self.all.iter().zip(&self.weights) {
            let weight = weight * bell(square(&apart(&shot.at, at)));
            let kind = usize::from(!shot.made);
            sums[kind] += weight;
            squares[kind] += weight * weight;
            for (mean, part) in means[kind].iter_mut().zip(shot.at) {
                *mean += weight * part;
            }
        }
        let all = sums[0] + sums[1];
        let chance = sums[0] / all;
        let miss = 1.0 - chance;
        let error = (squares[0] * miss * miss + squares[1] * chance * chance).sqrt() / all;
        let rise = std::array::from_fn(|k| means[0][k] / sums[0] - (means[0][k] + means[1][k]) / all);
        Outlook { chance, at_least: chance - error, rise }
    }

    /// The best place in the `room` there is and not too far `from` where the last shots were played, and its chance.
    fn summit(&self, from: &Node, room: &[(f64, f64); 4]) -> (Node, f64) {
        let mut top = *from;
        let mut here = self.outlook(&top);
        let mut stride = 1.0;
        for _ in 0..STEPS {
            let next: Node = std::array::from_fn(|k| {
                let (least, most) = (room[k].0.max(from[k] - FARTHEST), room[k].1.min(from[k] + FARTHEST));
                (top[k] + stride * here.rise[k]).clamp(least.min(from[k]), most.max(from[k]))
            });
            let step = square(&apart(&next, &top));
            if step < STILL * STILL {
                break;
            }
            let there = self.outlook(&next);
            if there.at_least > here.at_least {
                (top, here) = (next, there);
                stride *= LONGER;
            } else {
                stride *= SHORTER;
            }
        }
        (top, here.chance)
    }
}

/// exp(−x/2), but for a factor of 1 − x²/2048 or so: the bell of the normal distribution, many times as quick.
#[inline]
fn bell(x: f64) -> f64 {
    let mut power = (1.0 - x / 512.0).max(0.0);
    for _ in 0..8 {
        power *= power;
    }
    power
}

fn apart(a: &Node, b: &Node) -> Node {
    std::array::from_fn(|k| a[k] - b[k])
}

fn square(node: &Node) -> f64 {
    dot(node, node)
}

#[cfg(test)]
mod tests {
    use longrail_stats::special::normal_cdf;

    use super::*;

    #[test]
    fn the_bell_is_that_of_the_normal_distribution() {
        // (1 − x/512)²⁵⁶ against e^(−x/2): the logarithms differ by x²/2048 + … within three spreads.
        for x in [0.0, 0.5, 1.0, 4.0, 9.0] {
            let off = bell(x) / fx::exp(-0.5 * x) - 1.0;
            assert!(off <= 0.0 && off > -1.1 * x * x / 2048.0 - 1e-12, "{x}: {off}");
        }
        assert_eq!(bell(600.0), 0.0);
    }

    #[test]
    fn shots_of_an_exam_count_as_a_round_does() {
        // The chance of a half-space at its edge is a half, aside of it Φ of the distance, whatever the shots were spread over.
        let stroke = Stroke { speed_sd: 0.1, tip_right_sd: 0.1, tip_up_sd: 0.1, ..Stroke::aim_only(0.5) };
        let made = |node: &Node| node[0] > 0.0;
        let exam: Vec<(Node, bool)> =
            Nodes::sobol(1, 4096, 9).all().iter().map(|node| (*node, made(node))).collect();
        let shots = Shots::of_exam(&stroke, &exam);
        assert!((shots.outlook(&[0.0; 4]).chance - 0.5).abs() < 0.005);
        assert!((shots.outlook(&[0.5, 0.0, 0.0, 0.0]).chance - normal_cdf(0.5)).abs() < 0.01);
        // A tenth more speed is one spread of it, in the logarithm.
        let quicker = Shots::of_exam(&stroke, &[([0.0, 1.0, 0.0, 0.0], true)]);
        assert!((quicker.all[0].at[1] - fx::ln(1.1) / 0.1).abs() < 1e-12);
        // Without spread there is nothing to go on from.
        assert!(Shots::of_exam(&Stroke::aim_only(0.5), &exam).all.is_empty());
    }

    #[test]
    fn what_fills_a_box_is_best_hit_in_its_middle() {
        // Made in the box from 0.2 to 1 in two coordinates, whatever the others: by symmetry its middle is best.
        let mut shots = Shots::default();
        for (middle, seed) in [([0.0; 4], 9), ([0.5, 0.3, 0.2, 0.0], 10)] {
            for node in Nodes::sobol(1, 4096, seed).all() {
                let at: Node = std::array::from_fn(|k| middle[k] + WIDER * node[k]);
                let made = at[..2].iter().all(|x| (0.2..1.0).contains(x));
                shots.all.push(Shot { at, made });
            }
            shots.rounds.push(Round { middle, wider: WIDER, count: 4096 });
            shots.weigh();
        }
        let (free, _) = shots.summit(&[0.0; 4], &[(-2.0, 2.0); 4]);
        assert!((free[0] - 0.6).abs() < 0.1 && (free[1] - 0.6).abs() < 0.1, "{free:?}");
        let (bound, _) = shots.summit(&[0.0; 4], &[(-2.0, 2.0), (0.0, 0.3), (0.0, 0.0), (0.0, 0.0)]);
        assert!(bound[1] == 0.3 && bound[2] == 0.0, "{bound:?}");
        // The chance at the start is that of the box under the stroke itself: (Φ(1) − Φ(0.2))².
        let side = normal_cdf(1.0) - normal_cdf(0.2);
        assert!((shots.outlook(&[0.0; 4]).chance - side * side).abs() < 0.005);
    }
}
