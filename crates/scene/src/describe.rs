//! A sentence that says what a picture shows, for whoever hears it instead.

use longrail_math::Vec2;

use crate::shot::ShotPicture;
use crate::svg::number;

/// Where every ball is, in diamonds, and where it comes to rest.
///
/// Used as the picture's description when it has none of its own.
pub fn describe(picture: &ShotPicture<'_>) -> String {
    if picture.balls.is_empty() {
        return "A table without balls.".to_owned();
    }
    let mut sentences = Vec::with_capacity(picture.balls.len());
    for (index, ball) in picture.balls.iter().enumerate() {
        let name = if ball.id == "cue" { "Cue ball".to_owned() } else { format!("Ball {}", ball.id) };
        let start = place(picture, ball.start);
        let moves = picture.paths.iter().any(|path| path.ball == index);
        sentences.push(match ball.rest {
            Some(rest) if (rest - ball.start).norm() > 0.001 => {
                format!("{name}: {start}, rests at {}.", place(picture, rest))
            }
            None if moves => format!("{name}: {start}, leaves the bed."),
            _ => format!("{name}: {start}."),
        });
    }
    format!("In diamonds along from the head rail and across from the right rail. {}", sentences.join(" "))
}

fn place(picture: &ShotPicture<'_>, at: Vec2) -> String {
    let spec = picture.table.spec();
    if !at.is_finite() {
        return "place unknown".to_owned();
    }
    let (along, across) = (at.x / spec.diamond_m(), at.y / spec.diamond_across_m());
    format!("{} along, {} across", number(along), number(across))
}

#[cfg(test)]
mod tests {
    use longrail_physics::table::Table;

    use super::*;
    use crate::shot::PictureBall;

    #[test]
    fn a_ball_that_moves_is_said_to_rest_elsewhere() {
        let table = Table::default();
        let at = |along: f64, across: f64| Vec2::new(along * 0.3175, across * 0.3175);
        let cue = PictureBall {
            id: "cue".to_owned(),
            radius_m: 0.0286,
            start: at(2.0, 2.0),
            rest: Some(at(6.5, 1.0)),
        };
        let balls = vec![cue, PictureBall::resting("9", 0.0286, at(7.0, 3.25))];
        let sentence = describe(&ShotPicture { balls, ..ShotPicture::of(&table) });
        assert!(
            sentence.contains("Cue ball: 2 along, 2 across, rests at 6.5 along, 1 across."),
            "{sentence}"
        );
        assert!(sentence.ends_with("Ball 9: 7 along, 3.25 across."), "{sentence}");
    }
}
