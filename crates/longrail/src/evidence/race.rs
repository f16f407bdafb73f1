//! `longrail race`: a race against an opponent who never misses.

use longrail_stats::race::{Race, chance_per_step};
use serde_json::json;

use super::typed;
use super::words::{chosen, number, percent};
use crate::exit::Failure;
use crate::page::Page;

/// How sure "a win you can count on" is: the study's example.
const SURE: f64 = 0.8;

/// Arguments of `longrail race`.
#[derive(clap::Args)]
pub(crate) struct Arguments {
    /// Racks that you need.
    #[arg(value_name = "OWN")]
    own: u32,
    /// Racks that the ghost needs; the same if left out. Unequal numbers are a handicap.
    #[arg(value_name = "OTHER")]
    other: Option<u32>,
    /// Your chance to run out a rack, such as 0.4 or 40%.
    #[arg(long, value_name = "CHANCE", allow_negative_numbers = true)]
    rack: Option<String>,
    /// Balls to run out in a rack.
    #[arg(long, default_value_t = 9)]
    balls: u32,
    /// Write JSON instead of text.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let (own, other, balls) = (arguments.own, arguments.other.unwrap_or(arguments.own), arguments.balls);
    let race = Race::new(own, other)?;
    if balls == 0 {
        return Err(Failure::Input("balls is 0; it must be 1 or more".to_owned()));
    }
    let even = race.even_rate();
    let (sure, ball) = (race.rate_for(SURE)?, chance_per_step(balls, even)?);
    let rack = arguments.rack.as_deref().map(|text| typed::share("rack", text)).transpose()?;
    let figures = rack.map(|p| Ok::<_, Failure>((p, race.win(p)?, race.expected_games(p)?))).transpose()?;

    let form = if own == other {
        format!("a race to {own}")
    } else {
        format!("a race to {own} against {other} for the ghost")
    };
    let reading = match figures {
        Some((p, win, games)) => format!(
            "Running out {} of racks gives {} to win {form}, in about {games:.1} racks; even odds take {}.",
            chosen(p),
            percent(win),
            percent(even)
        ),
        None => format!(
            "For even odds in {form} you must run out {} of racks, with {balls} balls {} a ball.",
            percent(even),
            percent(ball)
        ),
    };
    let mut page = Page::new(&reading, 28);
    page.row("racks needed", &format!("you {own}, the ghost {other}"));
    if let Some((p, win, games)) = figures {
        page.row("chance per rack", &format!("{} (as given)", chosen(p)));
        page.row("chance to win the race", &percent(win));
        page.row("racks expected", &format!("{games:.2} (at most {})", own + other - 1));
    }
    page.row("chance per rack, even race", &percent(even));
    page.row(&format!("chance per rack, {} to win", chosen(SURE)), &percent(sure));
    page.row(
        "chance per ball, even race",
        &format!("{} with {} to run out", percent(ball), number(balls, "ball")),
    );
    page.note(
        "You win a rack by running it out, otherwise the ghost does. That racks are independent, with one \
         chance, is an assumption; tilt and fatigue break it. A race is a weak test: count racks as attempts \
         and judge them with `longrail proof`.",
    );
    page.print(
        arguments.json,
        &json!({
            "reading": reading,
            "own": own, "other": other, "balls": balls,
            "rack_chance": figures.map(|(p, ..)| p),
            "win_chance": figures.map(|(_, win, _)| win),
            "expected_racks": figures.map(|(.., games)| games),
            "most_racks": own + other - 1,
            "even_rack_chance": even,
            "rack_chance_for_80_percent": sure,
            "ball_chance_for_even_race": ball,
        }),
    )
}
