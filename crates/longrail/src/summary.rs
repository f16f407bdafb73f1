//! A shot in words, for people.

use std::fmt::Write;

use longrail_math::{Vec2, fx};
use longrail_physics::json::{Played, Problem};
use longrail_physics::{End, Event, Kind};

/// The summary of a shot.
pub(crate) fn text(problem: &Problem, played: &Played) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail.
    let _ = stroke_lines(&mut text, problem);
    let _ = event_lines(&mut text, problem, played);
    let _ = end_lines(&mut text, problem, played);
    text
}

fn stroke_lines(text: &mut String, problem: &Problem) -> std::fmt::Result {
    let spec = problem.world.table().spec();
    writeln!(text, "Table {:.3} by {:.3} m between the noses.", spec.length_m, spec.width_m)?;
    let Some(stroke) = &problem.stroke else {
        return writeln!(text, "No stroke: the balls go on as they were given.\n");
    };
    write!(text, "Stroke {:.2} m/s towards {:.2}°", stroke.speed_mps, stroke.direction_deg)?;
    write!(text, ", {}", tip(stroke.tip_right, stroke.tip_up))?;
    if stroke.elevation_deg > 0.0 {
        write!(text, ", cue raised {:.1}°", stroke.elevation_deg)?;
    }
    writeln!(text, ".")?;
    if let Some(Ok((least_deg, Some(obstacle)))) = problem.cueing().map(|cueing| cueing.forced_elevation())
        && least_deg > stroke.elevation_deg
    {
        writeln!(
            text,
            "On a real table {obstacle} behind the cue ball forces the cue up to {least_deg:.1}°; \
             this shot is computed as given (\"clearance\": \"raise\" raises it)."
        )?;
    }
    writeln!(text)
}

fn tip(right: f64, up: f64) -> String {
    let part = |size: f64, plus: &str, minus: &str| {
        let word = if size > 0.0 { plus } else { minus };
        (size != 0.0).then(|| format!("{:.2} R {word}", size.abs()))
    };
    match (part(up, "above centre", "below centre"), part(right, "right", "left")) {
        (None, None) => "centre".to_owned(),
        (Some(a), None) | (None, Some(a)) => a,
        (Some(a), Some(b)) => format!("{a} and {b}"),
    }
}

fn event_lines(text: &mut String, problem: &Problem, played: &Played) -> std::fmt::Result {
    for event in &played.log.events {
        let ball = name(problem.layout.id(event.ball));
        let what = match event.kind {
            Kind::Strike => format!("{ball} is struck"),
            Kind::Roll => format!("{ball} rolls"),
            Kind::Stop => format!("{ball} stops"),
            Kind::SpinEnd => continue,
            Kind::Ball { with } => {
                format!("{ball} hits {}{}", name(problem.layout.id(with)), fullness(event))
            }
            Kind::Cushion(rail) => format!("{ball} touches the {} rail", rail.name()),
            Kind::Facing(pocket) => format!("{ball} touches a facing of {}", pocket.name()),
            Kind::Jaw(pocket) => format!("{ball} touches a jaw of {}", pocket.name()),
            Kind::Pocket(pocket) => format!("{ball} drops in {}", pocket.name()),
            Kind::OffTable => format!("{ball} leaves the table"),
            Kind::Miscue => "miscue".to_owned(),
            Kind::Flight => format!("{ball} leaves the cloth"),
            Kind::Landing => format!("{ball} lands"),
        };
        let place = diamonds(problem, event.position());
        writeln!(text, "{:8.3} s  {what:<38} {place}", event.t_s)?;
    }
    writeln!(text)
}

/// The cut angle of a meeting, in words.
fn fullness(event: &Event) -> String {
    let line = event.before[1].position - event.before[0].position;
    let relative = event.before[0].velocity.xy() - event.before[1].velocity.xy();
    let cut = fx::atan2(line.cross(relative).abs(), line.dot(relative)).to_degrees();
    if cut < 0.05 { ", full".to_owned() } else { format!(", cut {cut:.1}°") }
}

fn end_lines(text: &mut String, problem: &Problem, played: &Played) -> std::fmt::Result {
    let layout = &problem.layout;
    writeln!(text, "At rest after {:.2} s:", played.engine.rest_time_s())?;
    let mut order: Vec<usize> = (0..layout.balls().len()).collect();
    order.sort_by_key(|&index| layout.given_order()[index]);
    for index in order {
        let place = match played.engine.end(index) {
            End::Bed => diamonds(problem, played.engine.position(index)),
            End::Pocket(pocket) => format!("in pocket {}", pocket.name()),
            End::OffTable => "off the table".to_owned(),
        };
        let scratch = layout.id(index) == "cue" && matches!(played.engine.end(index), End::Pocket(_));
        writeln!(
            text,
            "  {:<10} {place}{}",
            name(layout.id(index)),
            if scratch { ": a scratch" } else { "" }
        )?;
    }
    Ok(())
}

fn name(id: &str) -> String {
    if id == "cue" { "cue ball".to_owned() } else { format!("the {id}") }
}

/// A place in diamonds, with the distances from the nearest rails.
fn diamonds(problem: &Problem, p: Vec2) -> String {
    let spec = problem.world.table().spec();
    let (short, from_short) =
        if p.x < spec.length_m / 2.0 { ("head", p.x) } else { ("foot", spec.length_m - p.x) };
    let (long, from_long) =
        if p.y < spec.width_m / 2.0 { ("right", p.y) } else { ("left", spec.width_m - p.y) };
    format!(
        "along {:.2}, across {:.2}  ({:.1} cm {short}, {:.1} cm {long})",
        p.x / spec.diamond_m(),
        p.y / spec.diamond_across_m(),
        from_short * 100.0,
        from_long * 100.0
    )
}
