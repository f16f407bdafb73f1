//! What makes a rung harder: what may be put on, what is on, and what one more costs.

use longrail_app_link::{Harder, Price};
use longrail_practice::constraints::{Constraints, ConstraintsError};
use longrail_practice::drill::{Rung, Setup};
use longrail_practice::guide::{Guide, GuideError, Known, Posed};
use longrail_practice::measure::constraint_words;
use longrail_stroke::Player;
use longrail_stroke::constraint::Constraint;

use super::typed::{all, of_stroke, shown, told, typed_in};
use crate::record::{Away, Shelf, Trouble};

/// Constraints that are offered.
const OFFERED: [Constraint; 4] = [
    Constraint::NarrowerPocket(0.9),
    Constraint::SmallerZone(0.7),
    Constraint::NoSide,
    Constraint::Streak(3),
];
/// Bounds of speed that are proposed, as shares of the speed that is intended now: a firmer hit. An assumption.
const FIRMER: [f64; 2] = [1.2, 1.6];

/// What may be put on top: text, and words. What does not go with the goal or is on already is not offered.
pub(super) fn offered(
    player: &Player,
    posed: &Posed,
    rung: &Rung,
    on: &Constraints,
) -> Vec<(String, String)> {
    let goes = |constraint: &&Constraint| {
        let all = on.all().iter().cloned().chain([(*constraint).clone()]);
        Constraints::new(all).is_ok_and(|all| {
            all.all().len() > on.all().len() && rung.under(&posed.world, player, posed.setup, &all).is_ok()
        })
    };
    OFFERED.iter().filter(goes).map(|constraint| (constraint.to_string(), constraint.words())).collect()
}

/// What is on, in words, each with the text of all the others.
pub(super) fn on(on: &Constraints, setup: Setup, imperial: bool) -> Vec<(String, String)> {
    let without = |index: usize| {
        let others = on.all().iter().enumerate().filter(|(other, _)| *other != index);
        // Of those that hold together any hold together.
        Constraints::new(others.map(|(_, one)| one.clone())).unwrap_or_default().to_string()
    };
    let words = |one| constraint_words(&setup.constraint(one), imperial);
    on.all().iter().enumerate().map(|(index, one)| (words(one), without(index))).collect()
}

/// Bounds of speed that are proposed; none where bounds are on.
pub(super) fn bounded(on: &Constraints, intended_mps: f64, imperial: bool) -> Option<[String; 2]> {
    let bounds = on.all().iter().any(|one| matches!(one, Constraint::Speed { .. }));
    let unit = typed_in(imperial).speed_mps;
    let text = |share: f64| shown((10.0 * share * intended_mps / unit).round() / 10.0, 1.0);
    (!bounds).then(|| FIRMER.map(text))
}

/// A constraint as the record has it: at the corner of the drill, speeds in m/s.
fn wanted(harder: &Harder, setup: Setup, imperial: bool) -> Result<Constraint, Trouble> {
    let need = |what: &str| Trouble::Typed(format!("{what} takes both numbers."));
    Ok(match harder {
        Harder::Proposed(text) => text.parse().map_err(ConstraintsError::from)?,
        Harder::Speed(typed) => {
            let [softest, hardest] = all("The speed", typed)?.ok_or_else(|| need("The speed"))?;
            // To a centimetre a second: sets under the same bounds are one line of evidence.
            let unit = typed_in(imperial).speed_mps;
            let mps = |speed: f64| (100.0 * unit * speed).round() / 100.0;
            let bounds = Constraint::Speed { softest_mps: mps(softest), hardest_mps: mps(hardest) };
            bounds.check().map_err(|error| {
                let field = of_stroke(&error);
                told(error, field, typed_in(imperial))
            })?;
            bounds
        }
        Harder::Blocker(typed) => {
            let [along, across] = all("The blocker", typed)?.ok_or_else(|| need("The blocker"))?;
            // To turn or mirror twice is to leave it.
            setup.constraint(&Constraint::Blocker { along, across })
        }
    })
}

/// What one more constraint costs on the open set's rung; nothing while it is being computed.
pub(crate) fn price(guide: &mut Guide<'_, Shelf>, harder: &Harder) -> Result<Option<Price>, Trouble> {
    let state = guide.state();
    let (_, set) = state.set_now().ok_or(Trouble::Unknown("an open set"))?;
    let task = set.began.as_ref().map(|(_, began)| &began.task).ok_or(GuideError::NoBeginning)?;
    let posed = guide.posed(task)?;
    let imperial = guide.profile()?.imperial();
    let on: Constraints = task.constraints.parse()?;
    let more = wanted(harder, posed.setup, imperial)?;
    let all = Constraints::new(on.all().iter().cloned().chain([more.clone()]))?;
    let mut known = Known::of(guide, |_| true)?;
    let mut chance = |constraints: &Constraints| match known.on(guide, &posed, constraints) {
        Ok(standing) => Ok(Some(standing.at(task.rung.value()))),
        Err(Away::Computing(_)) => Ok(None),
        Err(away) => Err(Trouble::from(away)),
    };
    let (Some(before), Some(after)) = (chance(&on)?, chance(&all)?) else { return Ok(None) };
    let whole = |chance: f64| all.chance(chance);
    Ok(Some(Price {
        constraint: all.to_string(),
        words: constraint_words(&posed.setup.constraint(&more), imperial),
        before: on.chance(before.mean),
        after: (whole(after.mean), whole(after.low), whole(after.high)),
    }))
}
