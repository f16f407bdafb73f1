//! Is it really better? The two latest sets at one task, held against each other.

use longrail_app_link::{Compared, Reply};
use longrail_practice::event::{ComparisonOpened, Payload, Task};
use longrail_practice::id::EventId;
use longrail_practice::state::State;
use longrail_stats::Count;
use longrail_stats::change::{Picked, Sample, Word, attempts_to_settle, compare, threshold};

use super::book::now;
use super::keeper::Keeper;
use super::trouble::Trouble;
use crate::views;

/// The share of comparisons that may err, before it is shared out.
const ERROR: f64 = 0.05;

impl Keeper {
    /// Opens the comparison, which counts from then on, and answers it.
    pub(super) async fn compare(&mut self, ladder: &str, light: bool) -> Result<Reply, Trouble> {
        let player = self.player()?;
        let task: Task = serde_json::from_str(ladder).map_err(|_| Trouble::Unknown("that ladder"))?;
        let two = views::last_two(self.state(player)?, &task);
        let (first, second) = two.ok_or(Trouble::Unknown("two sets of work at one rung"))?;
        let what = format!("{first} {second}");
        // Each one raises the bar for all, so it is on record before its result is seen.
        if !self.state(player)?.comparisons.contains(&what) {
            self.note_one(player, Payload::ComparisonOpened(ComparisonOpened { what })).await?;
        }
        let compared = compared(self.state(player)?, first, second)?;
        let mut guide = self.guide(player)?;
        let evidence = views::evidence(&mut guide, Some(ladder), (light, now().wall), Some(compared))?;
        Ok(Reply::Evidence(Box::new(evidence)))
    }
}

fn compared(state: &State, first: EventId, second: EventId) -> Result<Compared, Trouble> {
    let count = |id: EventId| -> Result<Count, Trouble> {
        Ok(state.sets.get(&id).ok_or(Trouble::Unknown("that set"))?.count())
    };
    let (first, second) = (count(first)?, count(second)?);
    let opened = u32::try_from(state.comparisons.len()).unwrap_or(u32::MAX).max(1);
    // The two latest, and both counts stand above the button.
    let result = compare(Sample::fixed(first), Sample::fixed(second), opened, Picked::AfterLooking)?;
    let settled = !matches!(result.word, Word::NotSettled(_));
    let points = |share: f64| format!("{:+.0}", 100.0 * share);
    let mut says = format!(
        "{} of {}, then {} of {}: the later is the better one with a chance of {:.2}; the difference is {} to {} points (95 %).",
        first.made(),
        first.tried(),
        second.made(),
        second.tried(),
        result.chance_greater,
        points(result.difference.low),
        points(result.difference.high)
    );
    if !settled {
        let bar = threshold(ERROR, opened);
        let more = attempts_to_settle(first, second, bar)?.both;
        match more {
            Some(more) => {
                says = format!("{says} Some {more} attempts each would settle it, at these rates.");
            }
            None => says.push_str(" No number within reach would settle it, at these rates."),
        }
    }
    says.push_str(" Both counts were in sight before you asked, so this promises somewhat too much.");
    Ok(Compared { word: result.word.text().to_owned(), says, settled })
}
