//! Questions and their answers.

use longrail_app_link::{Question, Reply};
use longrail_practice::guide::Guide;
use longrail_practice::id::PlayerId;

use super::book::now;
use super::keeper::Keeper;
use super::shelf::Shelf;
use super::trouble::Trouble;
use crate::views;

/// Said of a set in a visit that was left, until something is entered.
const WAS_LEFT: &str = "By this clock nothing was noted here for half a day. What you enter goes into this set; for a new one, begin on Today.";

impl Keeper {
    /// Answers a question. One that writes is answered when what was written is on the disk.
    pub(crate) async fn answer(&mut self, question: Question) -> Result<Reply, Trouble> {
        // What is pressed is noted in one transaction, which reads first what others wrote.
        if !matches!(question, Question::Press { .. }) {
            self.follow().await?;
        }
        // What was missing before is missing still, but behind what this question needs.
        let before = self.shelf.ask_anew();
        let reply = self.reply(question).await;
        self.shelf.also(before);
        match reply {
            Err(Trouble::Full) if self.make_room().await => Err(Trouble::MadeRoom),
            reply => reply,
        }
    }

    async fn reply(&mut self, question: Question) -> Result<Reply, Trouble> {
        match question {
            Question::Home => self.home().await,
            Question::Today { purpose, minutes } => {
                let player = self.player()?;
                let table = self.table(player).ok_or(Trouble::Unknown("a table"))?;
                let (now, mut guide) = (now().wall, self.guide(player)?);
                let today = views::today(&mut guide, &self.shelf, table, now, purpose, minutes)?;
                Ok(Reply::Today(Box::new(today)))
            }
            Question::Ladders => {
                let player = self.player()?;
                let table = self.table(player).ok_or(Trouble::Unknown("a table"))?;
                let mut guide = self.guide(player)?;
                Ok(Reply::Ladders(views::ladders(&mut guide, &self.shelf, table, now().wall)?))
            }
            Question::Evidence { ladder, light } => {
                let player = self.player()?;
                let mut guide = self.guide(player)?;
                let evidence = views::evidence(&mut guide, ladder.as_deref(), (light, now().wall), None)?;
                Ok(Reply::Evidence(Box::new(evidence)))
            }
            Question::Compare { ladder, light } => self.compare(&ladder, light).await,
            Question::Setup => self.setup().await,
            Question::AddPlayer { name, start } => self.add_player(&name, start).await,
            Question::UsePlayer { player } => self.use_player(&player).await,
            Question::ChangePlayer(player) => self.change_player(&player).await,
            Question::AddTable(table) => self.add_table(&table).await,
            Question::ChangeTable(table) => self.change_table(&table).await,
            Question::UseTable { table } => self.use_table(&table).await,
            Question::RetireTable { table } => self.retire_table(&table).await,
            Question::BeginSession { purpose, minutes } => self.begin_session(purpose, minutes).await,
            Question::EndSession { player, focus, line } => self.end_session(&player, focus, &line).await,
            Question::BeginSet(begin) => self.begin_set(&begin).await,
            Question::Seat { player, light, wide } => {
                let player = self.shooter(player.as_deref()).await?;
                self.seat(player, light, wide)
            }
            Question::Press { player, set, press } => {
                let player = player.parse().map_err(|_| Trouble::Unknown("that player"))?;
                self.press(player, &set, press).await
            }
            Question::Price { player, constraint } => {
                let player = self.shooter(player.as_deref()).await?;
                let mut guide = self.guide(player)?;
                match views::price(&mut guide, &constraint)? {
                    Some(price) => Ok(Reply::Price(price)),
                    None => Ok(Reply::Later),
                }
            }
            Question::EndSet { player, set } => {
                let player = self.shooter(Some(&player)).await?;
                self.end_set(player, &set).await
            }
            Question::Decide { set, taken } => self.decide(&set, taken).await,
            Question::Export => self.export().await,
            Question::Import { lines } => self.import(&lines).await,
            Question::BackedUp { until } => self.backed_up(until).await,
            Question::Erase { player } => self.erase(&player).await,
            // The loop has it: the network is waited for beside the questions.
            Question::Share => Ok(Reply::Later),
        }
    }

    pub(super) fn guide(&self, player: PlayerId) -> Result<Guide<'_, Shelf>, Trouble> {
        Ok(Guide::new(self.state(player)?, &self.shelf))
    }

    /// Who shoots: the one named, or the one in use.
    pub(super) async fn shooter(&mut self, player: Option<&str>) -> Result<PlayerId, Trouble> {
        let Some(player) = player else { return self.player() };
        let player = player.parse().map_err(|_| Trouble::Unknown("that player"))?;
        self.open_book(player).await?;
        Ok(player)
    }

    pub(super) fn seat(&self, player: PlayerId, light: bool, wide: bool) -> Result<Reply, Trouble> {
        let mut guide = self.guide(player)?;
        let scoring = self.here.players();
        // A set that somebody has open elsewhere is scored there.
        let here = |id: &PlayerId| self.here.using == Some(*id) || self.here.joined.contains(id);
        let others = scoring
            .iter()
            .filter(|(id, person)| (person.scoring && here(id)) || *id == player)
            .map(|(id, person)| (id.to_string(), person.name.clone()))
            .collect();
        let mut seat = views::seat(&mut guide, player, others, now().wall, light, wide)?;
        if let Some(clock) = seat.as_mut().and_then(|seat| seat.fixed.clock.as_mut()) {
            clock.block_minutes = self.minutes_planned(player);
        }
        // Either the visit was left, or the clock was put right in the middle of it: whoever sees the set knows which.
        if let Some(seat) = seat.as_mut().filter(|_| self.left(player).is_ok_and(|left| left.is_some())) {
            WAS_LEFT.clone_into(&mut seat.score.notice);
        }
        Ok(Reply::Seat(seat.map(Box::new)))
    }
}
