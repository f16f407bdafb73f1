//! What a player measures and intends: where a ball lies, from the noses of the nearest short and long rail to its centre, as
//! with sights or a tape; and a hit in words.

use longrail_math::Vec2;
use longrail_physics::ball::{CUE, RADIUS_M};
use longrail_physics::table::Rail;
use longrail_physics::{Ball, TableSpec, World};
use longrail_stroke::Hit;
use longrail_stroke::constraint::Constraint;
pub use longrail_stroke::goal::diamonds;

/// An inch, in metres.
pub const INCH_M: f64 = 0.0254;

/// A mile an hour, in metres a second: a mile is 1,609.344 m.
pub const MPH_MPS: f64 = 1609.344 / 3600.0;

/// A ball nearer to a nose than its radius and this, in metres, is frozen: the centre is never nearer by itself.
const FROZEN_M: f64 = 5e-4;

/// A ball this near to a rail, from its edge (m), is one by which a place on that rail is told.
const NEAR_RAIL_M: f64 = 0.1;

/// Whoever plays cannot tell which comes first of two things that are this near to each other (m) on the cue ball's way.
const AT_ONCE_M: f64 = 3e-3;

/// A tip so near to the middle, in radii, is in the middle: a seventh of a millimetre.
const MIDDLE: f64 = 0.005;

/// The way from one rail.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    /// Which rail.
    pub rail: Rail,
    /// In diamonds.
    pub diamonds: f64,
    /// In metres.
    pub metres: f64,
    /// In diameters of the ball.
    pub balls: f64,
    /// Whether the ball touches the rail.
    pub frozen: bool,
}

/// Where a ball lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FromRails {
    /// From the head or foot rail.
    pub short: Way,
    /// From the left or right rail.
    pub long: Way,
}

/// Where `ball` lies on a table.
pub fn from_rails(spec: &TableSpec, ball: &Ball) -> FromRails {
    let (along, across) = spec.to_diamonds(ball.position.x, ball.position.y);
    let way = |rail, diamonds, metres: f64| Way {
        rail,
        diamonds,
        metres,
        balls: metres / (2.0 * ball.radius_m),
        frozen: metres <= ball.radius_m + FROZEN_M,
    };
    let short = if along > 4.0 {
        way(Rail::Foot, 8.0 - along, spec.length_m - ball.position.x)
    } else {
        way(Rail::Head, along, ball.position.x)
    };
    let long = if across > 2.0 {
        way(Rail::Left, 4.0 - across, spec.width_m - ball.position.y)
    } else {
        way(Rail::Right, across, ball.position.y)
    };
    FromRails { short, long }
}

/// A number with so many decimals at most, and no more of them than it has.
///
/// ```
/// use longrail_practice::measure::decimals;
/// assert_eq!([decimals(2.54, 3), decimals(9.0, 2), decimals(-0.001, 2)], ["2.54", "9", "0"]);
/// ```
pub fn decimals(number: f64, most: usize) -> String {
    let text = format!("{number:.most$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// A length as a tape measures it: "23.8 cm", or "9.4 in".
pub fn tape(metres: f64, imperial: bool) -> String {
    if imperial { format!("{:.1} in", metres / INCH_M) } else { format!("{:.1} cm", 100.0 * metres) }
}

/// "2.20 m/s", or "4.9 mph".
pub fn speed(mps: f64, imperial: bool) -> String {
    if imperial { format!("{:.1} mph", mps / MPH_MPS) } else { format!("{mps:.2} m/s") }
}

/// A constraint in words, its speeds in m/s or in miles an hour.
pub fn constraint_words(constraint: &Constraint, imperial: bool) -> String {
    match constraint {
        Constraint::Speed { softest_mps, hardest_mps } if imperial => {
            format!("{:.1} to {}", softest_mps / MPH_MPS, speed(*hardest_mps, true))
        }
        other => other.words(),
    }
}

/// "2¼ from the foot rail (71.4 cm), 1 from the left rail (31.8 cm)".
pub fn words(place: &FromRails, imperial: bool) -> String {
    let part = |way: &Way| {
        let rail = way.rail.name();
        if way.frozen {
            format!("on the {rail} rail")
        } else {
            format!("{} from the {rail} rail ({})", diamonds(way.diamonds), tape(way.metres, imperial))
        }
    };
    format!("{}, {}", part(&place.short), part(&place.long))
}

/// How far beside the middle of a ball, where whoever stands at a table can tell: "9 mm", or "0.34 in".
fn beside(metres: f64, imperial: bool) -> String {
    if imperial { format!("{:.2} in", metres / INCH_M) } else { format!("{:.0} mm", 1e3 * metres) }
}

/// Where the tip meets the cue ball among `balls`: "9 mm below the middle and 3 mm right". A cue ball that is not there has the
/// usual size.
pub fn tip_words(hit: &Hit, balls: &[Ball], imperial: bool) -> String {
    let radius_m = balls.iter().find(|ball| ball.id == CUE).map_or(RADIUS_M, |cue| cue.radius_m);
    let part = |size: f64, plus: &str, minus: &str| {
        let way = beside(size.abs() * radius_m, imperial);
        (size.abs() >= MIDDLE).then(|| format!("{way} {}", if size > 0.0 { plus } else { minus }))
    };
    let tip =
        [part(hit.tip_up, "above the middle", "below the middle"), part(hit.tip_right, "right", "left")];
    let tip: Vec<String> = tip.into_iter().flatten().collect();
    if tip.is_empty() { "through the middle".to_owned() } else { tip.join(" and ") }
}

/// What to intend with the cue ball among `balls`, in words: "2.20 m/s, 9 mm below the middle", or "4.9 mph, 0.34 in below the
/// middle"; with where to if `directed`: "2.20 m/s towards 45.00°, …". What goes by way of a rail says so.
pub fn hit_words(hit: &Hit, world: &World, balls: &[Ball], directed: bool, imperial: bool) -> String {
    let tip = tip_words(hit, balls, imperial);
    // Every cue is raised a little over a rail; beside a picture that is not worth a word.
    let raised = if hit.elevation_deg > if directed { 0.0 } else { 5.0 } {
        format!(", cue raised {:.1}°", hit.elevation_deg)
    } else {
        String::new()
    };
    let towards = if directed { format!(" towards {:.2}°", hit.direction_deg) } else { String::new() };
    let speed = speed(hit.speed_mps, imperial);
    let rail = rail_first(world, balls, hit).map_or_else(String::new, |rail| rail.words(imperial) + "; ");
    format!("{rail}{speed}{towards}, {tip}{raised}")
}

/// A rail that the cue ball touches before it meets a ball, or as it does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RailFirst {
    /// Which rail.
    pub rail: Rail,
    /// Whether it meets rail and ball at once.
    pub at_once: bool,
    /// How far before the ball, along the rail, its middle is when it touches it, in metres, if the ball lies at that rail.
    pub before_m: Option<f64>,
}

impl RailFirst {
    /// "off the right rail first, 8.2 cm before the ball", or "right rail and ball at once".
    pub fn words(&self, imperial: bool) -> String {
        let rail = self.rail.name();
        match self.before_m {
            _ if self.at_once => format!("{rail} rail and ball at once"),
            None => format!("off the {rail} rail first"),
            Some(before_m) => {
                let side = if before_m < 0.0 { "beyond" } else { "before" };
                format!("off the {rail} rail first, {} {side} the ball", tape(before_m.abs(), imperial))
            }
        }
    }
}

/// The rail that the cue ball of a hit touches before it meets any of the other balls, or as it does; none if it meets a ball
/// first, or if there is no other. Geometry alone: a straight way, without swerve.
///
/// ```
/// use longrail_physics::{Ball, World, table::Rail};
/// use longrail_practice::measure::rail_first;
/// use longrail_stroke::Hit;
/// let balls = [Ball::at_rest("cue", 1.0, 0.6), Ball::at_rest("1", 2.0, 0.05)];
/// let towards = |direction_deg| rail_first(&World::default(), &balls, &Hit::plain(2.0, direction_deg));
/// // 0.573 m down to the rail are 0.882 m along it.
/// let first = towards(-33.0).unwrap();
/// assert!(first.rail == Rail::Right && !first.at_once);
/// assert!((first.before_m.unwrap() - 0.118).abs() < 0.002);
/// assert_eq!(towards(-28.8), None);
/// ```
pub fn rail_first(world: &World, balls: &[Ball], hit: &Hit) -> Option<RailFirst> {
    let cue = balls.iter().find(|ball| ball.id == CUE)?;
    let towards = Vec2::from_angle(hit.direction_deg.to_radians());
    let gap = |rail: Rail, p: Vec2| world.gap_m(rail, p, cue.radius_m).ok();
    let ahead = Rail::ALL.into_iter().filter(|rail| towards.dot(rail.outward()) > 1e-9);
    let (rail, way_m) = ahead
        .filter_map(|rail| Some((rail, gap(rail, cue.position)? / towards.dot(rail.outward()))))
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    let ball_m = in_the_way(cue, balls, towards)
        .map(|(ahead, left, touching)| ahead - (touching * touching - left * left).sqrt())
        .fold(f64::INFINITY, f64::min);
    if ball_m < way_m - AT_ONCE_M {
        return None;
    }
    let touches = cue.position + towards * way_m;
    let nearest = others(balls).min_by(|a, b| {
        (a.position - touches).norm_squared().total_cmp(&(b.position - touches).norm_squared())
    })?;
    // Along the rail, the way the cue ball goes.
    let onwards = towards - rail.outward() * towards.dot(rail.outward());
    let onwards = onwards / onwards.norm().max(1e-9);
    let before_m =
        (gap(rail, nearest.position)? < NEAR_RAIL_M).then(|| (nearest.position - touches).dot(onwards));
    Some(RailFirst { rail, at_once: ball_m < way_m + AT_ONCE_M, before_m })
}

/// How full the cue ball of a hit meets the first ball in its way: 1 in the middle, 0 at the edge; negative if it meets its right
/// half, seen along the hit. None if no ball lies in the way. Geometry alone: a straight way, without swerve.
///
/// ```
/// use longrail_physics::{Ball, Layout, World};
/// use longrail_practice::measure::fullness;
/// use longrail_stroke::Hit;
/// let balls = [Ball::at_rest("cue", 1.0, 0.6), Ball::at_rest("1", 2.0, 0.6 + 0.028_575)];
/// let hit = Hit { speed_mps: 2.0, direction_deg: 0.0, tip_right: 0.0, tip_up: 0.0, elevation_deg: 0.0 };
/// // Half a radius of overlap less than full: aimed one radius beside the middle is half ball.
/// assert!((fullness(&balls, &hit).unwrap() + 0.5).abs() < 1e-9);
/// ```
pub fn fullness(balls: &[Ball], hit: &Hit) -> Option<f64> {
    let cue = balls.iter().find(|ball| ball.id == CUE)?;
    let towards = Vec2::from_angle(hit.direction_deg.to_radians());
    let met = in_the_way(cue, balls, towards).map(|(ahead, left, touching)| {
        let share = 1.0 - left.abs() / touching;
        // A ball on the left of the line is met on its right half.
        (ahead, if left > 0.0 { -share } else { share })
    });
    met.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, share)| share)
}

fn others(balls: &[Ball]) -> impl Iterator<Item = &Ball> {
    balls.iter().filter(|ball| ball.id != CUE)
}

/// Of each ball that a cue ball which goes straight `towards` somewhere meets if nothing comes before: how far ahead and to the
/// left of its way it lies, and how far apart the two are when they touch.
fn in_the_way(cue: &Ball, balls: &[Ball], towards: Vec2) -> impl Iterator<Item = (f64, f64, f64)> {
    others(balls)
        .map(move |ball| {
            let to = ball.position - cue.position;
            (to.dot(towards), towards.cross(to), cue.radius_m + ball.radius_m)
        })
        .filter(|(ahead, left, touching)| *ahead > 0.0 && left.abs() < *touching)
}
