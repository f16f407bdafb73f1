//! What reading a record, and standing on a ladder, cost.

use std::hint::black_box;
use std::time::Instant;

use longrail_math::random::Stream;
use longrail_practice::card::Card;
use longrail_practice::constraints::Constraints;
use longrail_practice::drill::{Drill, SHIPPED, Setup};
use longrail_practice::form::{Attempts, Elsewhere, Form, Session};
use longrail_practice::ladder::{Posed, Worked, Working, prior};
use longrail_stroke::infer::{Chances, Seen, Surface, Tally};
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Player, Stroke};

use crate::figure;

/// Drills of four families; the first one's is the player's own.
const DRILLS: [&str; 4] =
    ["straight-stop-lengthening", "straight-draw-lengthening", "long-straight-pot", "cut-thinner"];

/// Tells the figures; a refusal is told in their place.
pub(crate) fn figures() {
    if let Err(error) = measure() {
        crate::say(&format!("forms were not measured: {error}"));
    }
}

fn measure() -> Result<(), Box<dyn std::error::Error>> {
    let (mut ladders, started) = (Vec::new(), Instant::now());
    for name in DRILLS {
        ladders.push(worked(name)?);
    }
    let time = started.elapsed().as_secs_f64() / 4.0;
    figure("ladder worked out, one thread", time, "s", None, "mean of four drills of 7 to 16 rungs");
    let longest = ladders.iter().map(|ladder| ladder.encode().len()).max().unwrap_or(0);
    // Some tens of thousands.
    #[allow(clippy::cast_precision_loss)]
    let kib = longest as f64 / 1024.0;
    figure("ladder worked out, as text", kib, "KiB", Some(60.0), "the longest of the four");
    for (name, target, families) in
        [("record of 100 sessions", Some(0.5), false), ("the same, three other families", None, true)]
    {
        let sessions = sessions(&ladders, families);
        let started = Instant::now();
        let form = Form::read(prior(None), &sessions)?;
        let note = "four rungs of 20 attempts each, read at once";
        figure(name, started.elapsed().as_secs_f64(), "s", target, note);
        if !families && let Some(ladder) = ladders.first() {
            let started = Instant::now();
            black_box(form.on(ladder, Elsewhere::default(), 0.5));
            let note = "nine rungs: chances, even place, and their ranges";
            figure("standing on a ladder", 1e3 * started.elapsed().as_secs_f64(), "ms", Some(50.0), note);
        }
    }
    Ok(())
}

fn worked(name: &str) -> Result<Worked, Box<dyn std::error::Error>> {
    let found = SHIPPED.iter().find(|(file, _)| file.strip_suffix(".toml") == Some(name));
    let (file, text) = found.ok_or_else(|| format!("there is no drill {name}"))?;
    let (drill, card) = (Drill::read(file, text)?, Card::new("9ft", "9ft"));
    let (player, plain) = (Player::with(Reference::Regular.stroke()), Constraints::default());
    let posed = Posed::new(&drill, &card.world()?, card.cue_ball(), Setup::Given, &player, &plain)?;
    Ok(Working::new(posed)?.finish()?)
}

/// Every third day four rungs, one farther after each 25 sessions.
fn sessions(ladders: &[Worked], families: bool) -> Vec<Session<'_>> {
    let stroke = Reference::Solid.stroke();
    let mut random = Stream::new(5, 1, 0);
    (0..100)
        .map(|number| {
            let mut attempts = Vec::new();
            for (family, ladder) in DRILLS.into_iter().zip(ladders) {
                let rung = (2 + number / 25).min(ladder.rungs());
                let Some(surface) = ladder.surface(rung) else { continue };
                let other = families && family != DRILLS[0];
                let at = Elsewhere { table: None, family: other.then_some(family) };
                attempts.push(Attempts { surface, at, tally: tally(surface, &stroke, &mut random) });
            }
            Session { day: 3.0 * f64::from(number), attempts }
        })
        .collect()
}

/// Twenty attempts.
fn tally(surface: &Surface, stroke: &Stroke, random: &mut Stream) -> Tally {
    let Chances { made, left, right, short, long, .. } =
        surface.chances(stroke.aim_sd_deg, 0.05, stroke.speed_sd);
    let mut tally = Tally::default();
    for _ in 0..20 {
        let mut rest = random.unit();
        let seen = [
            (Seen::Made, made),
            (Seen::Left, left),
            (Seen::Right, right),
            (Seen::Short, short),
            (Seen::Long, long),
        ]
        .into_iter()
        .find(|(_, share)| {
            rest -= share;
            rest < 0.0
        });
        tally.add(seen.map_or(Seen::Off, |(seen, _)| seen));
    }
    tally
}
