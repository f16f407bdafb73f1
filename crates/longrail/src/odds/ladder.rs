//! `longrail ladder`: odds along a row of layouts, and where they are even.

use longrail_physics::Layout;
use longrail_scene::{LadderChart, RungOdds, ladder_svg};
use longrail_stroke::curve::{Crossing, Row, Rung, along, crossing};
use longrail_stroke::{Ladder, Nodes, Odds};
use serde_json::{Value, json};

use super::posed::{self, LADDER_FORM, Posed, Source};
use super::say;
use crate::exit::Failure;
use crate::page::Page;
use crate::picture;

/// The most that a step may cost, for the step that is told.
const DROP: f64 = 0.05;

/// Arguments of `longrail ladder`.
#[derive(clap::Args)]
#[command(after_help = LADDER_FORM)]
pub(crate) struct Arguments {
    #[command(flatten)]
    source: Source,
    /// The chance whose rung is looked for, from 0.05 to 0.95.
    #[arg(long, default_value_t = 0.5)]
    target: f64,
    #[command(flatten)]
    sheet: picture::Sheet,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let target = posed::target(arguments.target)?;
    arguments.sheet.check()?;
    let posed = posed::posed(&arguments.source)?;
    let Some(ladder) = &posed.ladder else {
        return Err(Failure::Input(
            "there is no \"ladder\"; for instance \"ladder\": {\"rungs\": 8, \"moves\": [{\"ball\": \"1\", \"along\": 0.25}]}"
                .to_owned(),
        ));
    };
    let layouts = posed.layouts()?;
    let world = &posed.problem.world;
    let row = Row { world, player: &posed.player, goal: &posed.goal, layouts: &layouts };
    let rungs = along(&row, &Nodes::usual(arguments.source.seed))?;
    let made: Vec<f64> = rungs.iter().map(Rung::made).collect();
    let crossing = crossing(&made, target);
    let reading = reading(target, crossing, &made);
    let mut page = Page::new(&reading, 14);
    let first = ladder.moves[0].ball.as_str();
    page.line(&format!("rung  {first:<11} odds         what to intend"));
    for ((number, rung), layout) in (1..).zip(&rungs).zip(&layouts) {
        let place = place(&posed, layout, first);
        let line = match &rung.best {
            Some((hit, odds)) => format!(
                "{number:>4}  {place:<11} {:>5.1} ± {:.1}  {}",
                100.0 * odds.made,
                100.0 * odds.standard_error,
                say::short_hit(hit, &posed.problem.world, layout)
            ),
            None => format!("{number:>4}  {place:<11}     –        no hit makes it"),
        };
        page.line(&line);
    }
    page.gap();
    if layouts.len() < ladder.rungs as usize {
        page.row("ends there", "on the next rung a ball would lie on no bed, or on another");
    }
    let step = step(ladder, crossing, &made);
    if let Some(step) = step {
        page.row("a step there", &format!("of {step:.2} diamonds costs {:.0} points", 100.0 * DROP));
    }
    if let Some((_, odds)) = rungs.iter().find_map(|rung| rung.best.as_ref()) {
        say::basis(&mut page, &posed, odds);
    }
    let chart = chart(&posed, ladder, &rungs, target, crossing, &reading);
    arguments.sheet.draw(|style| ladder_svg(&chart, style))?.save()?;
    page.print(arguments.source.json, &object(&reading, &posed, ladder, &rungs, crossing, step))
}

/// The chart of the odds.
fn chart(
    posed: &Posed,
    ladder: &Ladder,
    rungs: &[Rung],
    target: f64,
    crossing: Crossing,
    reading: &str,
) -> LadderChart {
    let rung = |(_, odds): (_, Odds)| RungOdds {
        made: odds.made,
        low: (odds.made - say::TENTH * odds.standard_error).max(0.0),
        high: (odds.made + say::TENTH * odds.standard_error).min(1.0),
    };
    let shots = rungs.iter().find_map(|rung| rung.best).map_or(0, |(_, odds)| odds.shots);
    let basis = format!("{}. {shots} shots a rung.", say::standing(posed));
    LadderChart {
        rungs: rungs.iter().map(|one| one.best.map(rung)).collect(),
        counted: Vec::new(),
        target,
        crossing: match crossing {
            Crossing::At(place) => Some(place),
            Crossing::Before | Crossing::Beyond => None,
        },
        band: "80 % by the computing's own error".to_owned(),
        title: "Odds along a ladder".to_owned(),
        description: reading.to_owned(),
        reading: reading.to_owned(),
        captions: vec![moves_in_words(ladder), format!("Goal: {}.", posed.goal), basis],
    }
}

/// "From rung to rung: ball 1 moves ¼ diamond towards the head rail and ½ towards the left rail."
fn moves_in_words(ladder: &Ladder) -> String {
    let part = |step: f64, more: &str, less: &str| {
        (step != 0.0).then(|| {
            let amount = say::diamonds(step.abs());
            format!("{amount} towards the {} rail", if step > 0.0 { more } else { less })
        })
    };
    let moves: Vec<String> = ladder
        .moves
        .iter()
        .filter_map(|step| {
            let parts: Vec<String> = [part(step.along, "foot", "head"), part(step.across, "left", "right")]
                .into_iter()
                .flatten()
                .collect();
            (!parts.is_empty()).then(|| format!("{} {}", say::ball(&step.ball), parts.join(" and ")))
        })
        .collect();
    format!("From rung to rung, in diamonds: {}.", moves.join("; "))
}

/// Where the ball of this name lies, in diamonds.
fn place(posed: &Posed, layout: &Layout, ball: &str) -> String {
    let found = layout.balls().iter().find(|one| one.id == ball);
    found.map_or_else(String::new, |ball| say::place(posed.problem.world.table().spec(), ball))
}

fn reading(target: f64, crossing: Crossing, made: &[f64]) -> String {
    let share = say::percent(target);
    match crossing {
        Crossing::Before => format!("Already the first rung is below {share} for this stroke."),
        Crossing::Beyond => {
            format!("Even the last rung, {}, is at {share} or above for this stroke.", made.len())
        }
        Crossing::At(place) => {
            format!("This stroke passes {share} at rung {:.1} of {}.", place + 1.0, made.len())
        }
    }
}

/// The step in diamonds that costs [`DROP`] where the target is passed.
fn step(ladder: &Ladder, crossing: Crossing, made: &[f64]) -> Option<f64> {
    let Crossing::At(place) = crossing else { return None };
    // A place between two rungs of the ladder.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let below = place.floor() as usize;
    let drop = made.get(below)? - made.get(below + 1)?;
    let length = ladder.moves.iter().map(|step| (step.along * step.along + step.across * step.across).sqrt());
    Some(DROP / drop * length.fold(0.0, f64::max))
}

fn object(
    reading: &str,
    posed: &Posed,
    ladder: &Ladder,
    rungs: &[Rung],
    crossing: Crossing,
    step: Option<f64>,
) -> Value {
    let rungs: Vec<Value> = rungs
        .iter()
        .map(|rung| match &rung.best {
            Some((hit, odds)) => json!({"odds": say::odds_object(odds), "hit": say::hit_object(hit)}),
            None => Value::Null,
        })
        .collect();
    json!({
        "reading": reading, "rungs": rungs, "crossing": crossing, "step_diamonds": step, "ladder": ladder,
        "posed": say::posed_object(posed),
    })
}

#[cfg(test)]
mod tests {
    use longrail_stroke::ladder::Move;

    use super::*;

    #[test]
    fn a_step_is_said_with_the_rail_it_goes_towards() {
        let step = |along, across| Move { ball: "cue".to_owned(), along, across };
        let ladder = Ladder { rungs: 3, moves: vec![step(-0.25, 1.5), step(0.0, 0.1)] };
        assert_eq!(
            moves_in_words(&ladder),
            "From rung to rung, in diamonds: the cue ball ¼ towards the head rail and 1½ towards the left rail; the cue \
             ball 0.10 towards the left rail."
        );
    }

    #[test]
    fn a_length_is_whole_and_quarters_or_has_decimals() {
        for (length, words) in [(2.0, "2"), (0.75, "¾"), (3.5, "3½"), (0.3, "0.30"), (1.999, "2.00")] {
            assert_eq!(say::diamonds(length), words);
        }
    }
}
