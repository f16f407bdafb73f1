//! Before a sheet begins: how long it is likely to take until it is decided, and how it is likely to end.

use longrail_practice::advice::Outlook;
use longrail_practice::drill::Drill;
use longrail_practice::event::{Task, Wall};
use longrail_practice::guide::{self, Guide};

use crate::record::{Shelf, Trouble};

/// What a sheet is likely to bring at this chance; nothing once it has begun, which changes what is likely.
fn of(
    guide: &Guide<'_, Shelf>,
    drill: &Drill,
    task: &Task,
    chance: f64,
    now: Wall,
) -> Result<Option<Outlook>, Trouble> {
    let state = guide.state();
    if state.shots(task).and_then(|shots| shots.going_on(now)).is_some_and(|sheet| sheet.tried > 0) {
        return Ok(None);
    }
    let rules = guide.profile()?.proof.rules()?;
    Ok(Some(guide::outlook(state, &rules, drill, chance)?))
}

/// "Half of all sheets are decided after 31 attempts, some 25 minutes at your pace."; empty once the sheet has begun.
pub(super) fn until_decided(
    guide: &Guide<'_, Shelf>,
    drill: &Drill,
    task: &Task,
    chance: f64,
    now: Wall,
) -> Result<String, Trouble> {
    let outlook = of(guide, drill, task, chance, now)?;
    Ok(outlook.map(|outlook| until(guide, drill, &outlook)).unwrap_or_default())
}

fn until(guide: &Guide<'_, Shelf>, drill: &Drill, outlook: &Outlook) -> String {
    let pace = if guide::pace(guide.state(), &drill.id).is_some() { "your pace" } else { "a usual pace" };
    match (outlook.attempts, outlook.minutes) {
        (Some(attempts), Some(minutes)) => {
            format!(
                "Half of all sheets are decided after {attempts} attempts, some {minutes:.0} minutes at {pace}."
            )
        }
        _ => "Not even a full sheet of 100 decides half the time.".to_owned(),
    }
}

/// The same, and how it is likely to end.
pub(super) fn in_full(
    guide: &Guide<'_, Shelf>,
    drill: &Drill,
    task: &Task,
    chance: f64,
    now: Wall,
) -> Result<String, Trouble> {
    let Some(outlook) = of(guide, drill, task, chance, now)? else { return Ok(String::new()) };
    let percent = |share: f64| format!("{:.0} %", 100.0 * share);
    Ok(format!(
        "{} At these odds {} pass, {} step back, {} stay undecided.",
        until(guide, drill, &outlook),
        percent(outlook.promoted),
        percent(outlook.stepped_back),
        percent(outlook.undecided)
    ))
}
