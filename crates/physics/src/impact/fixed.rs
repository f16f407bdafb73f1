//! A ball meets something that does not move: a jaw, a facing, the bed after a hop, a nose in flight.
//!
//! One impulse with restitution and Coulomb friction, capped where the surface sticks: a free sphere's
//! surface gives way by 7/2 for each unit of tangential impulse per mass (textbook mechanics of a rigid
//! sphere; the same cap as in Alciatore, TP A.14, with the other body immovable).

use longrail_math::Vec3;

/// The velocity and surface speed after the impact of a ball on a surface with unit normal `normal`,
/// pointing to the ball. A ball that does not approach is left as it is.
pub(crate) fn rebound(v: Vec3, w: Vec3, normal: Vec3, restitution: f64, friction: f64) -> (Vec3, Vec3) {
    let approach = -v.dot(normal);
    if approach <= 0.0 {
        return (v, w);
    }
    let impulse = (1.0 + restitution) * approach;
    // The surface touches at −normal from the centre.
    let at_contact = v - w.cross(normal);
    let slip = at_contact + normal * approach;
    let size = slip.norm();
    let mut after = (v + normal * impulse, w);
    if size > 0.0 {
        let tangential = (friction * impulse).min(size * (2.0 / 7.0));
        let push = slip * (-tangential / size);
        after.0 += push;
        // Torque of a push at −normal: (−normal) × push, times 5/2.
        after.1 -= normal.cross(push) * 2.5;
    }
    after
}

#[cfg(test)]
mod tests {
    use super::rebound;
    use longrail_math::Vec3;

    #[test]
    fn a_frictionless_elastic_wall_is_a_mirror() {
        let normal = Vec3::new(0.6, 0.8, 0.0);
        let v = Vec3::new(-1.0, -0.5, 0.0);
        let (after, spin) = rebound(v, Vec3::ZERO, normal, 1.0, 0.0);
        assert!((after - (v - normal * (2.0 * v.dot(normal)))).norm() < 1e-15);
        assert_eq!(spin, Vec3::ZERO);
    }

    #[test]
    fn a_sticking_surface_comes_to_rest_at_the_contact() {
        let normal = Vec3::new(0.0, 0.0, 1.0);
        let (v, w) = rebound(Vec3::new(1.0, 0.0, -3.0), Vec3::new(0.2, 0.1, 0.0), normal, 0.5, 10.0);
        let slip = v - w.cross(normal);
        assert!((v.z - 1.5).abs() < 1e-15);
        assert!(slip.x.abs() < 1e-15 && slip.y.abs() < 1e-15);
    }
}
