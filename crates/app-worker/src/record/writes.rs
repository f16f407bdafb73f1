//! What is written at the table.

use longrail_app_link::{Begin, Ended, Press, Purpose, Reply, Side};
use longrail_practice::card::Change;
use longrail_practice::constraints::Constraints;
use longrail_practice::desk::Desk;
use longrail_practice::drill::{RungNumber, Setup};
use longrail_practice::event::{Aim, CardAdded, CueEnd, Outcome, Payload};
use longrail_practice::guide::{Decided, Guide, Known, Posed, passed, prescribed_for, so_far};
use longrail_practice::id::{EventId, PlayerId};
use longrail_stats::Count;
use longrail_stats::promotion::Verdict;

use super::book::now;
use super::home::purpose_of_set;
use super::keeper::Keeper;
use super::shelf::{Away, Shelf};
use super::trouble::Trouble;
use crate::views;

/// Minutes of a visit that nobody named.
const USUAL_MINUTES: u32 = 60;

// A method that is bound to one lifetime must stand in a closure.
#[allow(clippy::redundant_closure_for_method_calls)]
impl Keeper {
    /// Begins a set, with the visit and the block that it needs.
    pub(super) async fn begin_set(&mut self, begin: &Begin) -> Result<Reply, Trouble> {
        let player = self.shooter(begin.player.as_deref()).await?;
        let posed = self.posed(player, begin).await?;
        let constraints: Constraints = begin.constraints.parse()?;
        let aim = if begin.proof { Aim::Proof } else { Aim::Work };
        let mut guide = self.guide(player)?;
        let rung = match &begin.rung {
            Some(rung) => rung.parse().map_err(|_| Trouble::Typed(format!("There is no rung {rung:?}.")))?,
            None => proposed(&mut guide, &posed, &constraints, aim)?,
        };
        // What cannot be set up is refused before anything is noted.
        let lies = posed.rung(rung)?;
        let model = prescribed_for(self.profile(player)?, true)?;
        lies.set_up(&posed.world, &lies.under(&posed.world, &model, posed.setup, &constraints)?)?;
        let task = posed.task(rung, &constraints);
        self.end_left(player).await?;
        self.nothing_undecided(player)?;
        self.block_for(player, begin, posed.card_id).await?;
        self.note(player, |desk| desk.begin_set(task, aim)).await?;
        if begin.warm_up > 0 {
            self.note(player, |desk| desk.warm_up(begin.warm_up)).await?;
        }
        self.set_table(player, posed.card_id).await?;
        if self.here.using != Some(player) {
            self.change_here(|here| {
                here.joined.insert(player);
            })
            .await?;
        }
        self.seat(player, false, false)
    }

    /// The visit and the block that a set needs: those that are open, if they suit it.
    async fn block_for(&mut self, player: PlayerId, begin: &Begin, card: EventId) -> Result<(), Trouble> {
        let suits = purpose_of_set(begin.proof);
        if self.state(player)?.open_session().is_none() {
            let (purpose, minutes) = begin.visit.unwrap_or((suits, USUAL_MINUTES));
            self.note(player, |desk| desk.begin_session(views::purpose(purpose), minutes, Some(card)))
                .await?;
        }
        let open = self.open_block(player).map(|(_, purpose)| purpose);
        // A proof is a test, and no test is work; work may be on something new.
        let wanted = begin.purpose.unwrap_or(match open {
            Some(purpose @ (Purpose::DrillWork | Purpose::NewSkill)) if !begin.proof => purpose,
            _ => suits,
        });
        // What is proposed now begins now, not with the block that has gone on for a while.
        if open != Some(wanted) || (begin.minutes > 0 && self.block_ms(player) >= 60_000) {
            self.note(player, |desk| desk.begin_another_block(views::purpose(wanted))).await?;
        }
        if begin.minutes > 0 {
            let planned = self.open_block(player).map(|(block, _)| (block, begin.minutes));
            self.change_here(|here| here.planned = planned).await?;
        }
        Ok(())
    }

    /// The open block, and what it is for.
    fn open_block(&self, player: PlayerId) -> Option<(EventId, Purpose)> {
        let state = self.state(player).ok()?;
        let (block, began) = state.open_block(state.open_session()?.0)?;
        Some((block, views::purpose_told(began.purpose)))
    }

    /// Milliseconds since the open block began.
    fn block_ms(&self, player: PlayerId) -> u64 {
        let began = self.open_block(player).and_then(|(block, _)| {
            self.state(player).ok()?.blocks.get(&block)?.began.as_ref().map(|(wall, _)| wall.ms)
        });
        began.map_or(0, |began| now().wall.ms.saturating_sub(began))
    }

    /// Minutes that were meant for the open block; 0 for no plan.
    pub(super) fn minutes_planned(&self, player: PlayerId) -> u32 {
        let block = self.open_block(player).map(|(block, _)| block);
        self.here.planned.filter(|(planned, _)| Some(*planned) == block).map_or(0, |(_, minutes)| minutes)
    }

    /// A sheet that has passed is decided by its player before its set ends by itself: otherwise nobody would ask.
    pub(super) fn nothing_undecided(&self, player: PlayerId) -> Result<(), Trouble> {
        let state = self.state(player)?;
        let open = state.set_now().and_then(|(_, set)| set.began.as_ref());
        let Some((_, began)) = open.filter(|(_, began)| began.aim == Aim::Proof) else { return Ok(()) };
        let (_, _, advice) = so_far(state, self.profile(player)?, began, now().wall)?;
        match advice.map(|advice| advice.verdict) {
            Some(Verdict::Promote(at)) if self.here.using == Some(player) => Err(Trouble::Typed(format!(
                "Rung {} has passed, at {} of {}: end the set first (More, at the table), and say whether you take it.",
                began.task.rung, at.made, at.tried
            ))),
            _ => Ok(()),
        }
    }

    async fn posed(&mut self, player: PlayerId, begin: &Begin) -> Result<Posed, Trouble> {
        let id = match (begin.table.as_str(), self.player()?) {
            ("", _) => self.table(player).map(|(id, _)| id).ok_or(Trouble::Unknown("a table"))?,
            (table, here) if here == player => self.card_named(player, table)?,
            (table, here) => self.shared(here, player, table).await?,
        };
        let drill = self.shelf.drill_of(&begin.drill).ok_or(Trouble::Unknown("that drill"))?;
        let known = self.state(player)?.cards.get(&id).ok_or(Trouble::Unknown("that table"))?;
        let setup = Setup::of(begin.turned, begin.mirrored);
        Ok(Posed::new(drill.clone(), setup, (id, known.card.clone()))?)
    }

    /// The table at which two stand, in the record of the one who does not hold the device: a card of the same name, or a copy.
    async fn shared(&mut self, here: PlayerId, player: PlayerId, table: &str) -> Result<EventId, Trouble> {
        if let Ok(id) = self.card_named(player, table) {
            return Ok(id);
        }
        let id = self.card_named(here, table)?;
        let card = self.state(here)?.cards.get(&id).map(|known| known.card.clone());
        let card = card.ok_or(Trouble::Unknown("that table"))?;
        let theirs = self.state(player)?.cards.iter().filter(|(_, known)| !known.retired);
        // Everybody's first table has the same name: only one like it is the same.
        for (id, known) in theirs.filter(|(_, known)| known.card.name == card.name) {
            if matches!(known.first.change(&card)?, Change::Keeps { .. }) {
                return Ok(*id);
            }
        }
        let card = Box::new(card);
        self.note_one(player, Payload::CardAdded(CardAdded { card })).await
    }

    pub(super) async fn press(
        &mut self,
        player: PlayerId,
        set: &str,
        press: Press,
    ) -> Result<Reply, Trouble> {
        // Whoever's turn has just come may press before the screen shows their set: then it is the open one.
        let set: Option<EventId> = match set {
            "" => None,
            set => Some(set.parse().map_err(|_| Trouble::Unknown("that set"))?),
        };
        let at = |desk: &Desk<'_>| set.map_or(Ok(()), |set| desk.at_set(set));
        let notice = match press {
            Press::Made => self
                .note(player, |desk| at(desk).and_then(|()| desk.attempt(Outcome::Made, None)))
                .await
                .map(|_| String::new()),
            Press::Missed(side) => {
                let outcome = match side {
                    Side::Left => Outcome::MissedLeft,
                    Side::Right => Outcome::MissedRight,
                    Side::NotSeen => Outcome::MissedNotSeen,
                };
                self.note(player, |desk| at(desk).and_then(|()| desk.attempt(outcome, None)))
                    .await
                    .map(|_| String::new())
            }
            Press::CueEnd(end) => {
                let (end, words) = match end {
                    longrail_app_link::CueEnd::Short => (CueEnd::Short, "short"),
                    longrail_app_link::CueEnd::Long => (CueEnd::Long, "long"),
                    longrail_app_link::CueEnd::Off => (CueEnd::Off, "beside"),
                };
                let noted = self.note(player, |desk| at(desk).and_then(|()| desk.cue_end(end))).await;
                noted.map(|()| format!("Noted: the cue ball ended {words}."))
            }
            Press::Undo => {
                let back = self.note(player, |desk| at(desk).and_then(|()| desk.undo())).await;
                back.map(|what| format!("Took back: {}.", views::what_words(what)))
            }
            Press::Batch { made, tried } => {
                let count = Count::new(made, tried)?;
                self.note(player, |desk| at(desk).and_then(|()| desk.batch(count)))
                    .await
                    .map(|_| format!("Entered {made} of {tried}."))
            }
        }?;
        let score = views::score(self.state(player)?, self.profile(player)?, now().wall, notice)?;
        Ok(Reply::Score(Box::new(score)))
    }

    pub(super) async fn end_set(&mut self, player: PlayerId, set: &str) -> Result<Reply, Trouble> {
        let set: EventId = set.parse().map_err(|_| Trouble::Unknown("that set"))?;
        self.note(player, |desk| desk.at_set(set).and_then(|()| desk.end_set())).await?;
        let own = self.here.using == Some(player);
        let decision = if own { views::Decision::Asked } else { views::Decision::NotTheirs };
        self.said(player, set, decision)
    }

    fn said(&self, player: PlayerId, set: EventId, decision: views::Decision) -> Result<Reply, Trouble> {
        let mut guide = self.guide(player)?;
        let said = guide.ended(set).map_err(Trouble::from)?;
        let ended: Ended = views::ended(&mut guide, player, &said, decision);
        Ok(Reply::Ended(Box::new(ended)))
    }

    /// What the player decides at a set's end.
    pub(super) async fn decide(&mut self, set: &str, taken: bool) -> Result<Reply, Trouble> {
        let player = self.player()?;
        let set: EventId = set.parse().map_err(|_| Trouble::Unknown("that set"))?;
        let said = self.guide(player)?.ended(set).map_err(Trouble::from)?;
        if let Some(note) = said.note(Decided { not_yet: !taken, step_back: taken }) {
            self.note_one(player, note).await?;
        }
        // By what it said before: a pass that was taken has closed its sheet.
        let mut guide = self.guide(player)?;
        let ended = views::ended(&mut guide, player, &said, views::Decision::Made { taken });
        Ok(Reply::Ended(Box::new(ended)))
    }
}

/// The rung that is proposed, or the first while its ladder is being worked out.
fn proposed(
    guide: &mut Guide<'_, Shelf>,
    posed: &Posed,
    constraints: &Constraints,
    aim: Aim,
) -> Result<RungNumber, Trouble> {
    let standing = Known::of(guide, |_| true).and_then(|mut known| known.on(guide, posed, constraints));
    let standing = match standing {
        Ok(standing) => standing,
        Err(Away::Computing(_)) => return Ok(RungNumber::FIRST),
        Err(away) => return Err(away.into()),
    };
    let task = posed.task(RungNumber::FIRST, constraints);
    let rung = match aim {
        Aim::Work => standing.work().map(|work| work.rung),
        Aim::Proof => standing.frontier(passed(guide.state(), &task)),
    };
    let none = || Trouble::Typed("Every rung of this ladder is passed: take another one.".to_owned());
    Ok(RungNumber::whole(rung.ok_or_else(none)?))
}
