//! A drill from the text of its file.

use std::collections::BTreeMap;
use std::ops::Range;

use longrail_physics::ball::{CUE, MASS_KG, MOST_BALLS, RADIUS_M};
use longrail_physics::table::{Rail, Size};
use longrail_stroke::Goal;
use serde::Deserialize;
use toml::Spanned;

use super::place::is_long;
use super::{Drill, Family, FileError, Place, Setup, Step};
use crate::card::Card;
use crate::field::{line, number};

/// Longest step in each coordinate, in diamonds, where the file does not say another.
const STEP: f64 = 0.25;

/// The file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    version: Spanned<f64>,
    family: Family,
    title: Spanned<String>,
    why: Spanned<String>,
    harder: Spanned<String>,
    seconds_to_reset: Spanned<f64>,
    #[serde(default)]
    cautions: Vec<Spanned<String>>,
    #[serde(default)]
    sizes: Option<Spanned<Vec<Spanned<String>>>>,
    balls: Spanned<BTreeMap<String, Spanned<Ball>>>,
    goal: Spanned<Goal>,
    ladder: Spanned<Ladder>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Ball {
    along: Option<f64>,
    across: Option<f64>,
    frozen: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Ladder {
    rungs: Spanned<f64>,
    #[serde(default)]
    longest_step: Option<Spanned<f64>>,
    moves: Spanned<BTreeMap<String, Spanned<Way>>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Way {
    #[serde(default)]
    along: f64,
    #[serde(default)]
    across: f64,
}

/// A place in the file and what is wrong there.
type Wrong = (Option<Range<usize>>, String);

impl Drill {
    /// The drill in `text`; `file` is the name of its file, whose last part without `.toml` is the drill's id. Every rung is
    /// set up on a table of each of its sizes, so that a drill that is read is legal there.
    ///
    /// # Errors
    /// [`FileError`] with line, column, and what is expected.
    pub fn read(file: &str, text: &str) -> Result<Self, FileError> {
        read(file, text).map_err(|(span, message)| FileError::new(file, text, span, &message))
    }
}

fn read(file: &str, text: &str) -> Result<Drill, Wrong> {
    let raw: File = toml::from_str(text).map_err(|error| {
        // A person does not know the types of this language.
        (error.span(), error.message().replace("expected f64", "expected a number"))
    })?;
    let balls = raw.balls.span();
    let goal = raw.goal.span();
    let ladder = raw.ladder.span();
    let drill = Drill {
        id: id(file)?,
        version: whole("version", &raw.version, (1, 1000))?,
        family: raw.family,
        title: words("title", raw.title, 60)?,
        why: words("why", raw.why, 160)?,
        harder: words("harder", raw.harder, 160)?,
        balls: places(raw.balls)?,
        goal: raw.goal.into_inner(),
        rungs: whole("ladder.rungs", &raw.ladder.get_ref().rungs, (2, 60))?,
        moves: BTreeMap::new(),
        seconds_to_reset: whole("seconds_to_reset", &raw.seconds_to_reset, (1, 600))?,
        cautions: raw
            .cautions
            .into_iter()
            .map(|caution| words("cautions", caution, 200))
            .collect::<Result<_, _>>()?,
        sizes: sizes(raw.sizes)?,
    };
    let drill = Drill { moves: moves(raw.ladder.into_inner(), &drill.balls)?, ..drill };
    for size in &drill.sizes {
        let world = Card::new("a table", size).world().map_err(|error| (None, error.to_string()))?;
        for rung in 1..=drill.rungs {
            let legal = drill.rung(&world, (RADIUS_M, MASS_KG), Setup::Given, f64::from(rung));
            legal.map_err(|error| {
                // The first rung is what the balls say, the others are what the ladder makes of it.
                let span = match &error {
                    super::RungError::Goal(_) => goal.clone(),
                    _ if rung == 1 => balls.clone(),
                    _ => ladder.clone(),
                };
                (Some(span), format!("on a {size} table: {error}"))
            })?;
        }
    }
    Ok(drill)
}

fn id(file: &str) -> Result<String, Wrong> {
    let name = file.rsplit(['/', '\\']).next().unwrap_or_default();
    let id = name.strip_suffix(".toml").unwrap_or(name);
    let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if (1..=60).contains(&id.len()) && id.chars().all(fits) {
        return Ok(id.to_owned());
    }
    Err((
        None,
        format!("the file is called {id:?}; expected 1 to 60 small letters, digits and hyphens, and .toml"),
    ))
}

fn whole(field: &str, value: &Spanned<f64>, (least, most): (u32, u32)) -> Result<u32, Wrong> {
    let given = *value.get_ref();
    number(field, given, (f64::from(least), f64::from(most)), "")
        .map_err(|error| (Some(value.span()), error.to_string().trim_end().to_owned()))?;
    if given.fract() != 0.0 {
        return Err((Some(value.span()), format!("{field} is {given}; expected a whole number")));
    }
    // Checked just above.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    Ok(given as u32)
}

fn words(field: &str, text: Spanned<String>, most: usize) -> Result<String, Wrong> {
    line(field, text.get_ref(), (1, most)).map_err(|error| (Some(text.span()), error.to_string()))?;
    Ok(text.into_inner())
}

fn sizes(given: Option<Spanned<Vec<Spanned<String>>>>) -> Result<Vec<String>, Wrong> {
    let Some(given) = given else { return Ok(["7ft", "8ft", "9ft"].map(str::to_owned).to_vec()) };
    if given.get_ref().is_empty() {
        return Err((Some(given.span()), "sizes is empty; expected at least one table size".to_owned()));
    }
    given
        .into_inner()
        .into_iter()
        .map(|size| match Size::named(size.get_ref()) {
            Ok(_) => Ok(size.into_inner()),
            Err(error) => Err((Some(size.span()), error.to_string())),
        })
        .collect()
}

fn places(balls: Spanned<BTreeMap<String, Spanned<Ball>>>) -> Result<BTreeMap<String, Place>, Wrong> {
    let span = balls.span();
    let balls = balls.into_inner();
    if !balls.contains_key(CUE) {
        return Err((
            Some(span),
            "there is no cue ball; expected a line \"cue = { along = …, across = … }\"".into(),
        ));
    }
    if balls.len() > MOST_BALLS {
        return Err((Some(span), format!("{} balls; expected at most {MOST_BALLS}", balls.len())));
    }
    balls
        .into_iter()
        .map(|(id, ball)| {
            let span = ball.span();
            line("a ball's name", &id, (1, 20)).map_err(|error| (Some(span.clone()), error.to_string()))?;
            place(ball.into_inner()).map(|place| (id, place)).map_err(|why| (Some(span), why))
        })
        .collect()
}

fn place(ball: Ball) -> Result<Place, String> {
    let check = |name: &str, value: f64, most: f64| {
        number(name, value, (0.0, most), "diamonds").map_err(|error| error.to_string())?;
        Ok::<f64, String>(value)
    };
    let Some(frozen) = ball.frozen else {
        let (Some(along), Some(across)) = (ball.along, ball.across) else {
            return Err("expected along and across, or frozen and one of them".to_owned());
        };
        return Ok(Place::At { along: check("along", along, 8.0)?, across: check("across", across, 4.0)? });
    };
    let Some(rail) = Rail::ALL.into_iter().find(|rail| rail.name() == frozen) else {
        let known = Rail::ALL.map(Rail::name).join(", ");
        return Err(format!("there is no rail {frozen:?}; expected one of {known}"));
    };
    match (is_long(rail), ball.along, ball.across) {
        (true, Some(along), None) => Ok(Place::Frozen { rail, at: check("along", along, 8.0)? }),
        (false, None, Some(across)) => Ok(Place::Frozen { rail, at: check("across", across, 4.0)? }),
        (true, ..) => Err(format!("a ball frozen to the {frozen} rail: expected along, and no across")),
        (false, ..) => Err(format!("a ball frozen to the {frozen} rail: expected across, and no along")),
    }
}

fn moves(ladder: Ladder, balls: &BTreeMap<String, Place>) -> Result<BTreeMap<String, Step>, Wrong> {
    let mut longest = STEP;
    if let Some(given) = &ladder.longest_step {
        longest = *given.get_ref();
        number("ladder.longest_step", longest, (0.05, 2.0), "diamonds")
            .map_err(|error| (Some(given.span()), error.to_string()))?;
    }
    let span = ladder.moves.span();
    let mut moves = BTreeMap::new();
    for (id, way) in ladder.moves.into_inner() {
        let here = Some(way.span());
        let way = way.into_inner();
        let step = Step { along: way.along, across: way.across };
        let Some(place) = balls.get(&id) else {
            let known = balls.keys().map(String::as_str).collect::<Vec<_>>().join(", ");
            return Err((here, format!("ball {id:?} is not there; expected one of {known}")));
        };
        for (name, value) in [("along", step.along), ("across", step.across)] {
            number(&format!("the step {name}"), value, (-longest, longest), "diamonds")
                .map_err(|error| (here.clone(), error.to_string()))?;
        }
        let off_the_rail = match place {
            Place::At { .. } => false,
            Place::Frozen { rail, .. } => {
                if is_long(*rail) {
                    step.across != 0.0
                } else {
                    step.along != 0.0
                }
            }
        };
        if off_the_rail {
            return Err((here, format!("ball {id:?} is frozen to a rail; expected a step along that rail")));
        }
        moves.insert(id, step);
    }
    if moves.values().all(|step| step.along == 0.0 && step.across == 0.0) {
        return Err((
            Some(span),
            "no ball moves from rung to rung; expected a step for at least one".to_owned(),
        ));
    }
    Ok(moves)
}
