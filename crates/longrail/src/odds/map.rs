//! `longrail map`: from where on the table a stroke is a favourite.

use clap::ValueEnum;
use clap::builder::RangedU64ValueParser;
use longrail_scene::{OddsField, OddsMap, PictureBall, Place, map_svg, pockets_meant};
use longrail_stroke::Nodes;
use longrail_stroke::grid::{ACROSS, ALONG, Cell, Grid, Question, jobs};
use serde_json::{Value, json};

use super::posed::{self, FORM, Posed, Source};
use super::workers::Workers;
use super::{map_text, say};
use crate::exit::Failure;
use crate::page::Page;
use crate::picture;

/// Arguments of `longrail map`.
#[derive(clap::Args)]
#[command(after_help = FORM)]
pub(crate) struct Arguments {
    #[command(flatten)]
    source: Source,
    /// The ball that may lie anywhere; the others stay.
    #[arg(long, value_name = "BALL", default_value = "cue")]
    moves: String,
    /// The chance whose line is drawn, from 0.05 to 0.95.
    #[arg(long, default_value_t = 0.5)]
    target: f64,
    /// Distance between positions, in diamonds: twice the distance is four times as fast.
    #[arg(long, value_enum, default_value = "quarter")]
    every: Every,
    /// Threads; by default as many as the machine offers. The figures do not depend on it.
    #[arg(long, value_parser = RangedU64ValueParser::<u16>::new().range(1..=1024))]
    threads: Option<u16>,
    #[command(flatten)]
    picture: picture::Wanted,
}

/// Distance between positions.
#[derive(Clone, Copy, ValueEnum)]
enum Every {
    /// 9 by 5 positions.
    Whole,
    /// 17 by 9.
    Half,
    /// 33 by 17.
    Quarter,
}

impl Every {
    /// In quarter diamonds.
    const fn step(self) -> usize {
        match self {
            Self::Whole => 4,
            Self::Half => 2,
            Self::Quarter => 1,
        }
    }
}

/// What was computed.
pub(super) struct Map<'a> {
    posed: &'a Posed,
    pub(super) moves: &'a str,
    pub(super) target: f64,
    grid: Grid,
    /// Quarter diamonds between positions.
    pub(super) step: usize,
    /// Whether less was computed than asked for.
    partial: bool,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let target = posed::target(arguments.target)?;
    // Before a minute is spent.
    arguments.picture.check()?;
    let posed = posed::posed(&arguments.source)?;
    let balls = posed.problem.layout.balls();
    if !balls.iter().any(|ball| ball.id == arguments.moves) {
        let known: Vec<&str> = balls.iter().map(|ball| ball.id.as_str()).collect();
        return Err(Failure::Input(format!(
            "--moves names ball {:?}; there are {}",
            arguments.moves,
            known.join(", ")
        )));
    }
    let map = compute(arguments, &posed, target)?;
    let drawn = arguments.picture.draw_table(|style| map_svg(&map.picture(), style))?;
    drawn.save()?;
    map.page().print(arguments.source.json, &map.object())
}

fn compute<'a>(arguments: &'a Arguments, posed: &'a Posed, target: f64) -> Result<Map<'a>, Failure> {
    let nodes = Nodes::usual(arguments.source.seed);
    let question = Question {
        world: &posed.problem.world,
        balls: posed.problem.layout.balls(),
        moves: &arguments.moves,
        goal: &posed.goal,
        player: &posed.player,
        nodes: &nodes,
    };
    let wanted = arguments.every.step();
    let workers = Workers::new(arguments.threads, jobs(wanted))?;
    let grid = question.grid(&workers, &mut |grid| grid.step() > wanted);
    workers.finish();
    let grid = grid?;
    let (step, partial) = (grid.step(), grid.step() > wanted || grid.is_called_off());
    Ok(Map { posed, moves: &arguments.moves, target, grid, step, partial })
}

impl Map<'_> {
    /// The computed positions, in quarter diamonds, from the head rail's right end on.
    fn positions(&self) -> impl Iterator<Item = (usize, usize)> {
        let step = self.step;
        (0..ACROSS)
            .step_by(step)
            .flat_map(move |across| (0..ALONG).step_by(step).map(move |along| (along, across)))
    }

    fn cells(&self) -> impl Iterator<Item = &Cell> {
        self.positions().filter_map(|(along, across)| self.grid.cell(along, across))
    }

    /// What is known of the position so many quarter diamonds along and across.
    pub(super) fn place(&self, along: usize, across: usize) -> Place {
        match self.grid.cell(along, across) {
            None if self.grid.is_known(along, across) => Place::NoRoom,
            None => Place::Unknown,
            Some(cell) => cell.odds.map_or(Place::NoHit, |odds| Place::Chance(odds.made)),
        }
    }

    /// Whether positions between those that are shown were not computed any more.
    fn has_gaps(&self) -> bool {
        self.positions().any(|(along, across)| !self.grid.is_known(along, across))
    }

    /// Positions with room for the ball, and those at the target or above.
    fn count(&self) -> (usize, usize) {
        let above = self.cells().filter(|cell| cell.made() >= self.target).count();
        (self.cells().count(), above)
    }

    fn reading(&self) -> String {
        let (all, above) = self.count();
        // Exactly even, as it is by default.
        let does = if (self.target - 0.5).abs() < 1e-12 {
            "is a favourite".to_owned()
        } else {
            format!("makes it {} of the time or more", say::percent(self.target))
        };
        let from = if self.partial { "PARTIAL (stopped early): from" } else { "From" };
        format!("{from} {above} of {all} positions this stroke {does}.")
    }

    /// "512 shots at each of 540 positions, …": what the odds are computed from.
    fn shots(&self) -> String {
        let odds = || self.cells().filter_map(|cell| cell.odds);
        let shots = odds().map(|odds| odds.shots).max().unwrap_or(0);
        let error = odds().map(|odds| odds.standard_error).fold(0.0, f64::max);
        format!(
            "{shots} shots at each of {} positions with a hit that makes it, {} diamond apart; standard error {:.1} \
             points at most",
            odds().count(),
            self.spacing(),
            100.0 * error
        )
    }

    fn spacing(&self) -> &'static str {
        match self.step {
            1 => "a quarter",
            2 => "half a",
            _ => "a",
        }
    }

    fn page(&self) -> Page {
        let mut page = Page::new(&self.reading(), 14);
        let problem = &self.posed.problem;
        for line in map_text::grid(self, problem.layout.balls(), problem.world.table().spec()) {
            page.line(&line);
        }
        page.note(&map_text::key(self.target, self.has_gaps()));
        page.gap();
        page.row("moves", &format!("{}; on the rim it is frozen to the rail", say::ball(self.moves)));
        say::basis_from(&mut page, self.posed, &self.shots());
        page
    }

    fn object(&self) -> Value {
        let (all, above) = self.count();
        let cells: Vec<Value> = self
            .positions()
            .map(|(along, across)| {
                let cell = self.grid.cell(along, across);
                let odds = cell.and_then(|cell| cell.odds);
                json!({
                    "along": diamonds(along), "across": diamonds(across),
                    "computed": self.grid.is_known(along, across),
                    "made": cell.map(Cell::made),
                    "standard_error": odds.map(|odds| odds.standard_error),
                    "hit": cell.and_then(Cell::intent).map(|intent| say::hit_object(intent.hit())),
                })
            })
            .collect();
        json!({
            "reading": self.reading(), "moves": self.moves, "target": self.target, "partial": self.partial,
            "step_diamonds": diamonds(self.step), "positions": all, "at_target": above, "cells": cells,
            "posed": say::posed_object(self.posed),
        })
    }

    fn picture(&self) -> OddsMap<'_> {
        let world = &self.posed.problem.world;
        let balls = self.posed.problem.layout.balls();
        let moves = balls.iter().find(|ball| ball.id == self.moves);
        let field = OddsField {
            along: (ALONG - 1) / self.step + 1,
            across: (ACROSS - 1) / self.step + 1,
            places: self.positions().map(|(along, across)| self.place(along, across)).collect(),
            // The ball was placed with it, so there is one.
            reach_m: moves.and_then(|ball| world.reach_m(ball.radius_m).ok()).unwrap_or_default(),
        };
        let others = balls.iter().filter(|ball| ball.id != self.moves);
        let whose = format!(
            "{} may lie anywhere; on the rim frozen to the rail. Goal: {}.",
            capital(&say::ball(self.moves)),
            self.posed.goal
        );
        OddsMap {
            balls: others.map(|ball| PictureBall::resting(&ball.id, ball.radius_m, ball.position)).collect(),
            target: self.target,
            pockets: pockets_meant(&self.posed.goal),
            title: "Odds over the table".to_owned(),
            description: format!("{} {whose}", self.reading()),
            reading: self.reading(),
            captions: vec![whose, format!("{}. {}.", say::standing(self.posed), capital(&self.shots()))],
            ..OddsMap::of(world.table(), field)
        }
    }
}

/// Quarter diamonds as diamonds; small whole numbers.
#[allow(clippy::cast_precision_loss)]
fn diamonds(quarters: usize) -> f64 {
    quarters as f64 / 4.0
}

/// With a capital letter.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
