//! What the commands about odds say alike.

use longrail_physics::{Ball, Layout, TableSpec, World};
use longrail_practice::drill::Rung;
use longrail_practice::guide;
pub(crate) use longrail_practice::measure::diamonds;
use longrail_practice::measure::{hit_words, rail_first, tip_words, words};
pub(crate) use longrail_stroke::json::hit_object;
use longrail_stroke::windows::{Window, Windows};
use longrail_stroke::{Category, Hit, Odds};
use serde_json::{Value, json};

use super::posed::Posed;
use crate::page::Page;

/// Quantile of the normal distribution that leaves a tenth on either side.
pub(super) const TENTH: f64 = 1.281_55;

/// "62.0 %".
pub(crate) fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

/// "2.20 m/s towards 45.00°, 9 mm below the middle".
pub(crate) fn hit(hit: &Hit, world: &World, layout: &Layout, imperial: bool) -> String {
    hit_words(hit, world, layout.balls(), true, imperial)
}

/// The same for a table of hits: "2.22 m/s, 45.0°, 9 mm below the middle".
pub(crate) fn short_hit(hit: &Hit, world: &World, layout: &Layout) -> String {
    // Every cue is raised a little over a rail; that is not worth a column.
    let raised = if hit.elevation_deg < 5.0 {
        String::new()
    } else {
        format!(", cue raised {:.0}°", hit.elevation_deg)
    };
    let tip = tip_words(hit, layout.balls(), false);
    let rail = rail_first(world, layout.balls(), hit)
        .filter(|first| !first.at_once)
        .map_or_else(String::new, |first| format!(", {} rail first", first.rail.name()));
    format!("{:.2} m/s, {:.1}°, {tip}{raised}{rail}", hit.speed_mps, hit.direction_deg)
}

/// The ways of failing that matter, most frequent first: "missed on the left 24.0 %, …".
pub(super) fn failures(odds: &Odds) -> String {
    let mut ways: Vec<(Category, f64)> = Category::ALL
        .into_iter()
        .skip(1)
        .map(|category| (category, odds.share(category)))
        .filter(|(_, share)| *share >= 0.002)
        .collect();
    ways.sort_by(|a, b| b.1.total_cmp(&a.1));
    let ways: Vec<String> = ways
        .into_iter()
        .map(|(category, share)| format!("{} {}", category.words(), percent(share)))
        .collect();
    if ways.is_empty() { "none of note".to_owned() } else { ways.join(", ") }
}

/// What everything rests on, at the end of a page.
pub(super) fn basis(page: &mut Page, posed: &Posed, odds: &Odds) {
    basis_from(page, posed, &format!("{} shots; ± is their standard error", odds.shots));
}

/// The same, computed from what `shots` says.
pub(super) fn basis_from(page: &mut Page, posed: &Posed, shots: &str) {
    page.row("goal", &posed.goal.to_string());
    page.row("stroke", &spreads(posed));
    page.row("computed from", shots);
    if let Some(reference) = posed.assumed {
        page.note(&format!(
            "The stroke \"{}\" is an assumption defined by its numbers: no published spreads by level of play were \
             found. Your own record will replace it.",
            reference.name()
        ));
    }
}

/// The stroke's numbers: "aim 0.70° (bias +0.00°), speed 12 %, tip 3.0 mm, lapse 3 %".
fn spreads(posed: &Posed) -> String {
    let stroke = &posed.player.stroke;
    format!(
        "aim {:.2}° (bias {:+.2}°), speed {:.0} %, tip {:.1} mm, lapse {:.0} %",
        stroke.aim_sd_deg,
        stroke.aim_bias_deg,
        100.0 * stroke.speed_sd,
        1e3 * longrail_physics::ball::RADIUS_M * stroke.tip_up_sd.max(stroke.tip_right_sd),
        100.0 * stroke.lapse
    )
}

/// The stroke and whether it is an assumption, for under a picture: "Stroke \"regular\", an assumption: aim 0.70° …".
pub(super) fn standing(posed: &Posed) -> String {
    match posed.assumed {
        Some(reference) => format!("Stroke \"{}\", an assumption: {}", reference.name(), spreads(posed)),
        None => format!("Stroke: {}", spreads(posed)),
    }
}

/// A ball by its name: "the cue ball", "ball 9".
pub(crate) fn ball(name: &str) -> String {
    if name == longrail_physics::ball::CUE { "the cue ball".to_owned() } else { format!("ball {name}") }
}

/// "−0.29 to +0.49".
pub(super) fn between(window: Window, digits: usize) -> String {
    format!("{:+.digits$} to {:+.digits$}", window.below, window.above)
}

/// Odds as JSON.
pub(super) fn odds_object(odds: &Odds) -> Value {
    let shares: serde_json::Map<String, Value> = Category::ALL
        .into_iter()
        .filter_map(|category| {
            let name = serde_json::to_value(category).ok()?.as_str()?.to_owned();
            Some((name, json!(odds.share(category))))
        })
        .collect();
    json!({"made": odds.made, "standard_error": odds.standard_error, "shares": shares, "shots": odds.shots})
}

/// Where a ball lies, in diamonds: "5.50/1.50".
pub(crate) fn place(spec: &TableSpec, ball: &Ball) -> String {
    let (along, across) = spec.to_diamonds(ball.position.x, ball.position.y);
    format!("{along:.2}/{across:.2}")
}

/// The balls' places in words, a line each.
pub(crate) fn places(posed: &guide::Posed, rung: &Rung, imperial: bool) -> Vec<String> {
    let line = |(id, place): &(String, _)| format!("{}: {}", ball(id), words(place, imperial));
    posed.places(rung).iter().map(line).collect()
}

/// Balls and where they lie, in diamonds, as JSON.
pub(crate) fn balls_object(spec: &TableSpec, balls: &[Ball]) -> Value {
    balls
        .iter()
        .map(|ball| {
            let (along, across) = spec.to_diamonds(ball.position.x, ball.position.y);
            json!({"id": ball.id, "along": along, "across": across})
        })
        .collect()
}

/// Windows as JSON.
pub(super) fn windows_object(windows: &Windows) -> Value {
    json!(windows)
}

/// What was posed, as JSON.
pub(super) fn posed_object(posed: &Posed) -> Value {
    json!({
        "goal": posed.goal, "in_words": posed.goal.to_string(), "player": posed.player,
        "assumed_stroke": posed.assumed,
    })
}
