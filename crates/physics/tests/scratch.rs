//! scratch
use longrail_physics::cushion::*;
use longrail_physics::conditions::*;
#[test]
fn k() {
    let cushion = Cushion { restitution: 0.98, friction: 0.14, height_m: 0.03675, tolerance: 1e-6, ..Cushion::default() };
    let c = Contact::new(0.03675, 0.02625, 0.212);
    for deg in [15.0f64, 30.0, 45.0, 60.0, 75.0, 90.0] {
        let (s, co) = deg.to_radians().sin_cos();
        let m = Motion { vx: co, vy: s, vz: 0.0, wx: -s, wy: co, wz: 0.0 };
        let r = rebound(&cushion, &c, &m).unwrap();
        println!("{deg}: {:.4} deg ratio {:.5} wz {:.5} {r:?}", (-r.vy).atan2(r.vx).to_degrees(), (r.vx*r.vx+r.vy*r.vy).sqrt(), r.wz);
    }
    let r = rebound(&cushion, &c, &Motion { vy: 1.0, ..Motion::default() }).unwrap();
    println!("{r:?}");
}
