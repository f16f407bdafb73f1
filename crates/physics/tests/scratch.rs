//! scratch
use longrail_physics::*;
#[test]
fn s() {
    let world = World::default();
    let layout = Layout::new(&world, &[Ball::at_rest("cue", 0.9, 0.4), Ball::at_rest("1", 1.8, 0.9)]).unwrap();
    let mut e = Engine::new();
    let mut log = Log::default();
    let st = Stroke { speed_mps: 2.0, direction_deg: 29.05, tip_right: 0.0, tip_up: -0.3, elevation_deg: 0.0 };
    e.play(&world, &layout, Some(&st), &Cue::default(), &mut log).unwrap();
    for ev in &log.events { println!("{:.5} {} {} {:?} {:.5?} {:.4?}", ev.t_s, ev.kind.name(), layout.id(ev.ball), ev.with(), ev.position(), ev.after[0].velocity); }
    for i in 0..2 { println!("{} {:?} {:?}", layout.id(i), e.position(i), e.end(i)); }
    println!("{}", e.rest_time_s());
    // 9 ball break
    let mut balls = vec![Ball::at_rest("cue", 0.635, 0.62)];
    let r = 0.028575 + 5e-6; let (x0, y0) = (1.905, 0.635);
    let mut n = 0;
    for (row, cols) in [1, 2, 3, 2, 1].into_iter().enumerate() { for c in 0..cols { n += 1;
        balls.push(Ball::at_rest(&n.to_string(), x0 + row as f64 * r * 3f64.sqrt(), y0 + (2.0 * c as f64 - (cols as f64 - 1.0)) * r)); } }
    let layout = Layout::new(&world, &balls).unwrap();
    log.clear();
    e.play(&world, &layout, Some(&Stroke::plain(9.0, 0.67)), &Cue::default(), &mut log).unwrap();
    println!("break {} events, log {}, rest {}", e.events(), log.events.len(), e.rest_time_s());
    for i in 0..10 { println!("{} {:.4?} {:?}", layout.id(i), e.position(i), e.end(i)); }
    for (name, l, st) in [("draw", Layout::new(&world, &[Ball::at_rest("cue", 0.9, 0.4), Ball::at_rest("1", 1.8, 0.9)]).unwrap(), st), ("break", layout, Stroke::plain(9.0, 0.67))] {
        let n = if name == "draw" { 100000 } else { 2000 };
        let mut best = f64::MAX;
        for _ in 0..5 { let t = std::time::Instant::now();
        for _ in 0..n { e.play(&world, &l, Some(&st), &Cue::default(), &mut ()).unwrap(); }
        best = best.min(t.elapsed().as_nanos() as f64 / n as f64); }
        println!("{name} {best:.0} ns");
    }
}
