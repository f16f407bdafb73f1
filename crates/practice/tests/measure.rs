//! A hit by way of a rail, told by geometry, against the engine that plays it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_math::fx;
use longrail_math::random::Stream;
use longrail_physics::{Ball, Cue, Engine, Kind, Layout, Log, World};
use longrail_practice::measure::{hit_words, rail_first};
use longrail_stroke::Hit;

#[test]
fn a_rail_is_first_where_it_is_for_the_engine() {
    let world = World::default();
    let mut random = Stream::new(3, 8, 0);
    let (mut rails, mut balls_first) = (0, 0);
    for _ in 0..600 {
        let balls = [
            Ball::at_rest("cue", random.between(0.8, 1.1), random.between(0.3, 0.6)),
            Ball::at_rest("1", random.between(1.5, 2.1), random.between(0.03, 0.12)),
        ];
        let way = balls[1].position - balls[0].position;
        let towards = fx::atan2(way.y, way.x).to_degrees();
        let hit = Hit::plain(2.0, towards + random.between(-9.0, 2.0));
        let Ok(layout) = Layout::new(&world, &balls) else { continue };
        let mut log = Log::default();
        Engine::new().play(&world, &layout, Some(&hit), &Cue::default(), &mut log).unwrap();
        let first =
            log.events.iter().find(|event| matches!(event.kind, Kind::Cushion(_) | Kind::Ball { .. }));
        // A cue ball that meets a jaw or a pocket is of no interest here.
        let Some(first) = first else { continue };
        match (rail_first(&world, &balls, &hit), first.kind) {
            (Some(told), Kind::Cushion(rail)) => {
                assert_eq!(told.rail, rail, "{hit:?}");
                rails += 1;
            }
            (None, Kind::Ball { .. }) => balls_first += 1,
            (told, _) => assert!(told.is_some_and(|told| told.at_once), "{hit:?}: {told:?}, {first:?}"),
        }
    }
    assert!(rails > 100 && balls_first > 100, "{rails} {balls_first}");
}

#[test]
fn words_tell_the_rail_and_the_way_before_the_ball() {
    let world = World::default();
    let reach = world.reach_m(longrail_physics::ball::RADIUS_M).unwrap();
    let with_ball_at = |y: f64| [Ball::at_rest("cue", 1.0, 0.6), Ball::at_rest("1", 2.0, y)];
    let words = |y: f64, direction_deg: f64, imperial: bool| {
        hit_words(&Hit::plain(2.0, direction_deg), &world, &with_ball_at(y), false, imperial)
    };
    assert_eq!(
        words(0.05, -33.0, false),
        "off the right rail first, 11.8 cm before the ball; 2.00 m/s, through the middle"
    );
    assert!(
        words(0.05, -33.0, true).starts_with("off the right rail first, 4.7 in before the ball; 4.5 mph")
    );
    assert_eq!(words(0.05, -28.8, false), "2.00 m/s, through the middle");
    // A frozen ball, met where the cue ball touches rail and ball: a ball's width before it.
    let width = 2.0 * longrail_physics::ball::RADIUS_M;
    let aim = fx::atan2(reach - 0.6, 1.0 - width).to_degrees();
    assert!(
        words(reach, aim, false).starts_with("right rail and ball at once; "),
        "{}",
        words(reach, aim, false)
    );
    // From another rail there is no way to tell where, and without another ball nothing to tell.
    assert!(words(0.05, 90.0, false).starts_with("off the left rail first; "));
    assert_eq!(rail_first(&world, &with_ball_at(0.05)[..1], &Hit::plain(2.0, 90.0)), None);
}
