//! What is pressed at the table, for whom, and what becomes of it.

use leptos::prelude::*;
use leptos::task::spawn_local;
use longrail_app_link::{Ended, Press, Question, Reply, Score, Seat};

use crate::app::{App, Shot};
use crate::device;

/// The state of the screen. A copy is the same thing.
#[derive(Clone, Copy)]
pub(crate) struct Scoring {
    app: App,
    pub(crate) score: RwSignal<Score>,
    /// What was pressed, for whom, and is not kept yet, oldest first.
    waiting: RwSignal<Vec<(String, Press)>>,
    /// Who shot before whoever's turn it is now, and how that stands: a tap that passes the turn on is seen to count.
    pub(super) before: RwSignal<Option<(String, u32, u32)>>,
    /// Whether it is known what is open.
    pub(super) looked: RwSignal<bool>,
    /// The set that has ended.
    pub(crate) ended: RwSignal<Option<Ended>>,
    /// The last press was a miss: where the cue ball ended may be noted.
    pub(super) after_miss: RwSignal<bool>,
}

// What is asked is answered when this screen may be gone: then there is nothing to show it on.
impl Scoring {
    pub(super) fn new(app: App) -> Self {
        let score = app.seat.with_untracked(|seat| seat.as_ref().map(|seat| seat.score.clone()));
        Self {
            app,
            score: RwSignal::new(score.unwrap_or_default()),
            waiting: RwSignal::new(Vec::new()),
            before: RwSignal::new(None),
            looked: RwSignal::new(false),
            ended: RwSignal::new(None),
            after_miss: RwSignal::new(false),
        }
    }

    /// Another set of the same player is shown: where a cue ball of the one before ended is not asked any more, nor is that set
    /// taken back.
    pub(super) fn shown(self) {
        let here = self
            .app
            .seat
            .with(|seat| seat.as_ref().map(|seat| (seat.fixed.player_id.clone(), seat.fixed.set.clone())));
        let Some((player, set)) = here else { return };
        let before = |shot: &Shot| shot.player == player && !shot.set.is_empty() && shot.set != set;
        if self.app.shots.with_untracked(|shots| shots.iter().any(before)) {
            if self.app.shots.with_untracked(|shots| shots.last().is_some_and(before)) {
                self.after_miss.set(false);
            }
            self.app.shots.update(|shots| shots.retain(|shot| !before(shot)));
        }
    }

    /// Asks what is open.
    pub(super) fn look(self) {
        let shooter = self.app.shooter.get_untracked();
        let question = Question::Seat {
            player: shooter.clone(),
            light: self.app.light.get_untracked(),
            wide: self.app.wide.get_untracked(),
        };
        self.app.tell_then(question, move |reply| {
            self.looked.try_set(true);
            match reply {
                Reply::Seat(Some(seat)) => {
                    self.score.try_set(seat.score);
                }
                // Whoever was to shoot has no set open any more.
                Reply::Seat(None) if shooter.is_some() && self.app.shooter.get_untracked() == shooter => {
                    self.app.turn_of(None);
                    if self.looked.try_get_untracked().is_some() {
                        self.look();
                    }
                }
                _ => {}
            }
        });
    }

    /// Whose turn it is, and the set as it is shown.
    fn here(self) -> Option<Shot> {
        let shooter = self.app.shooter.get_untracked();
        self.app.seat.with_untracked(|seat| {
            let shown = &seat.as_ref()?.fixed;
            Some(match shooter {
                // The screen has not come to the one whose turn it is.
                Some(player) if player != shown.player_id => Shot { player, set: String::new() },
                _ => Shot { player: shown.player_id.clone(), set: shown.set.clone() },
            })
        })
    }

    /// Something was pressed.
    pub(crate) fn press(self, press: Press) {
        self.press_then(press, || {});
    }

    /// The same, and does something when it is kept.
    pub(crate) fn press_then(self, press: Press, then: impl FnOnce() + 'static) {
        let Some(here) = self.here().filter(|_| self.ended.with_untracked(Option::is_none)) else { return };
        device::tick(false);
        // What was refused before is not about this one.
        if self.app.trouble.with_untracked(Option::is_some) {
            self.app.trouble.set(None);
        }
        // Two of them are about the last attempt, whoever's turn it is by now.
        let last = match press {
            Press::Undo => self.app.shots.try_update(Vec::pop).flatten(),
            Press::CueEnd(_) => self.app.shots.with_untracked(|shots| shots.last().cloned()),
            _ => None,
        };
        let at = last.clone().filter(|last| last.player != here.player).unwrap_or_else(|| here.clone());
        self.waiting.update(|waiting| waiting.push((at.player.clone(), press)));
        self.after_miss.set(matches!(press, Press::Missed(_)));
        let mut passed_on = false;
        match press {
            Press::Made | Press::Missed(_) => {
                self.app.shots.update(|shots| shots.push(at.clone()));
                passed_on = self.shot(&at);
            }
            Press::Undo if at.player != here.player => self.turn_back(at.player.clone()),
            Press::Undo => self.app.in_turn.update(|count| *count = count.saturating_sub(1)),
            Press::Batch { .. } => self.app.shots.update(|shots| shots.push(at.clone())),
            Press::CueEnd(_) => {}
        }
        spawn_local(async move {
            let Shot { player, set } = at.clone();
            match self.app.ask(Question::Press { player, set, press }).await {
                Ok(Reply::Score(score)) => {
                    self.take(&at, press, *score);
                    then();
                }
                Ok(_) => self.kept(&at, press),
                Err(why) => {
                    self.kept(&at, press);
                    self.after_miss.try_set(false);
                    self.refused(&at, press, last, passed_on);
                    self.app.trouble.set(Some(why));
                    // What another window did may be why.
                    if self.looked.try_get_untracked().is_some() {
                        self.look();
                    }
                }
            }
        });
    }

    /// What was pressed does not count: it is as if it had not been, for turns as well.
    fn refused(self, at: &Shot, press: Press, last: Option<Shot>, passed_on: bool) {
        match press {
            Press::Undo => self.app.shots.update(|shots| shots.extend(last)),
            Press::Made | Press::Missed(_) | Press::Batch { .. } => {
                self.app.shots.update(|shots| {
                    if let Some(place) = shots.iter().rposition(|shot| shot == at) {
                        shots.remove(place);
                    }
                });
                if passed_on {
                    self.turn_back(at.player.clone());
                } else if !matches!(press, Press::Batch { .. }) {
                    self.app.in_turn.update(|count| *count = count.saturating_sub(1));
                }
            }
            Press::CueEnd(_) => {}
        }
    }

    /// What was pressed is kept, and this is how it stands.
    fn take(self, at: &Shot, press: Press, score: Score) {
        let shown = self.app.seat.with_untracked(|seat| seat.as_ref().is_some_and(|seat| is_at(seat, at)));
        if !shown {
            self.kept(at, press);
            return;
        }
        let passed = score.passed && self.score.try_with_untracked(|score| !score.passed) == Some(true);
        // Whoever comes back to this screen sees it at once.
        self.app.seat.update_untracked(|seat| {
            if let Some(seat) = seat {
                seat.score = score.clone();
            }
        });
        // What was shown as waiting and what is counted change in one step.
        batch(|| {
            self.kept(at, press);
            self.score.try_set(score);
        });
        if passed {
            device::tick(true);
        }
    }

    /// What was pressed is settled, one way or the other.
    fn kept(self, at: &Shot, press: Press) {
        self.waiting.try_update(|waiting| {
            if let Some(place) =
                waiting.iter().position(|(player, one)| *player == at.player && *one == press)
            {
                waiting.remove(place);
            }
        });
    }

    /// An attempt: after so many it is the next one's turn, whether they are kept yet or not. Says whether it is.
    fn shot(self, at: &Shot) -> bool {
        let each = self.app.each.get_untracked();
        if each == 0 {
            return false;
        }
        self.app.in_turn.update(|count| *count += 1);
        if self.app.in_turn.get_untracked() < each {
            return false;
        }
        let Some(next) = self.next_shooter() else { return false };
        // Where the screen has not come to whoever shot, that count is not at hand.
        let name = self.app.seat.with_untracked(|seat| {
            let shown = &seat.as_ref()?.fixed;
            (shown.player_id == at.player).then(|| shown.player.clone())
        });
        let (made, tried) = untrack(|| self.tally());
        self.before.set(name.map(|name| (name, made, tried)));
        self.app.turn_of(Some(next));
        self.look();
        true
    }

    fn next_shooter(self) -> Option<String> {
        let here = self.here()?.player;
        self.app.seat.with_untracked(|seat| {
            let others = &seat.as_ref()?.others;
            let place = others.iter().position(|(id, _)| *id == here)?;
            others.get((place + 1) % others.len()).map(|(id, _)| id.clone())
        })
    }

    /// The last attempt of the one before is taken back: it is that one's turn again, for one attempt.
    fn turn_back(self, player: String) {
        self.before.try_set(None);
        self.app.turn_of(Some(player));
        self.app.in_turn.set(self.app.each.get_untracked().saturating_sub(1));
        if self.looked.try_get_untracked().is_some() {
            self.look();
        }
    }

    /// It is this one's turn, as somebody said.
    pub(crate) fn swap(self, player: Option<String>) {
        self.after_miss.set(false);
        self.app.shots.update(Vec::clear);
        self.before.set(None);
        self.app.turn_of(player);
        self.look();
    }

    /// Ends the set.
    pub(crate) fn end(self) {
        let Some(Shot { player, set }) = self.here() else { return };
        self.app.tell_then(Question::EndSet { player, set }, move |reply| {
            if let Reply::Ended(ended) = reply {
                self.ended.try_set(Some(*ended));
            }
        });
    }

    /// What waits for the one who is shown.
    pub(super) fn waiting_here(self) -> Vec<Press> {
        let here = self.app.seat.with(|seat| seat.as_ref().map(|seat| seat.fixed.player_id.clone()));
        self.waiting.with(|waiting| {
            let own = waiting.iter().filter(|(player, _)| Some(player) == here.as_ref());
            own.map(|(_, press)| *press).collect()
        })
    }

    /// Made and tried with what waits.
    pub(super) fn tally(self) -> (u32, u32) {
        let (made, tried) = self.score.with(|score| score.sheet.unwrap_or((score.made, score.tried)));
        with_waiting((made, tried), &self.waiting_here())
    }
}

/// Whether an attempt was in the set that is shown.
fn is_at(seat: &Seat, at: &Shot) -> bool {
    at.player == seat.fixed.player_id && (at.set.is_empty() || at.set == seat.fixed.set)
}

/// A count with what waits to be kept.
pub(super) fn with_waiting((mut made, mut tried): (u32, u32), waiting: &[Press]) -> (u32, u32) {
    for press in waiting {
        match press {
            Press::Made => (made, tried) = (made + 1, tried + 1),
            Press::Missed(_) => tried += 1,
            Press::Batch { made: more, tried: of } => (made, tried) = (made + more, tried + of),
            // What is taken back is known when it is.
            Press::CueEnd(_) | Press::Undo => {}
        }
    }
    (made, tried)
}

/// Whether a press was an attempt, and made.
pub(super) fn shot(press: &Press) -> Option<bool> {
    match press {
        Press::Made => Some(true),
        Press::Missed(_) => Some(false),
        _ => None,
    }
}
