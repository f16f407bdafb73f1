//! Who is here: players, tables, visits.

use longrail_app_link::{Home, Purpose, Reply, Start, Table};
use longrail_physics::table::SIZES;
use longrail_practice::card::{Change, Difference};
use longrail_practice::desk::Desk;
use longrail_practice::event::{CardAdded, CardChanged, CardRetired, Payload, ProfileChanged, Wall};
use longrail_practice::guide::{LEFT_MINUTES, last_noted};
use longrail_practice::id::{EventId, PlayerId};
use longrail_practice::ladder::in_words;
use longrail_practice::player::{Hand, Profile};
use longrail_stroke::stroke::Reference;

use super::book::{now, random};
use super::keeper::Keeper;
use super::trouble::Trouble;
use crate::views;

/// Milliseconds after which an open visit was left, and not gone on with.
const LEFT_MS: u64 = LEFT_MINUTES as u64 * 60_000;
/// Milliseconds by which a clock may differ from what was noted before nobody would notice.
const BEHIND_MS: u64 = 10 * 60_000;

impl Keeper {
    pub(super) async fn home(&mut self) -> Result<Reply, Trouble> {
        let players = self.here.players().into_iter().map(|(id, person)| Start {
            id: id.to_string(),
            name: person.name.clone(),
            more: String::new(),
            scoring: person.scoring,
        });
        let profile = self.player().and_then(|player| self.profile(player));
        let imperial = profile.is_ok_and(Profile::imperial);
        let sizes = SIZES.iter().map(|size| (size.name.to_owned(), views::size_words(size, imperial)));
        let mut home = Home {
            players: players.collect(),
            sentences: Reference::ALL.into_iter().map(|words| in_words(words).to_owned()).collect(),
            sizes: sizes.collect(),
            not_backed_up: self.not_backed_up().await?,
            ..Home::default()
        };
        let Ok(player) = self.player() else { return Ok(Reply::Home(Box::new(home))) };
        let (state, profile) = (self.state(player)?, self.profile(player)?);
        home.player = home.players.iter().find(|known| known.id == player.to_string()).cloned();
        home.imperial = imperial;
        home.left_handed = profile.hand == Hand::Left;
        let start = |id: &EventId, card: &longrail_practice::card::Card| Start {
            id: id.to_string(),
            name: card.name.clone(),
            more: views::card_words(card, imperial),
            scoring: false,
        };
        let offered = state.cards.iter().filter(|(_, known)| !known.retired);
        home.tables = offered.map(|(id, known)| start(id, &known.card)).collect();
        home.table = self.table(player).map(|(id, card)| start(&id, card));
        home.open = views::open(state, &self.shelf, self.left(player)?.is_some());
        home.clock_behind = self.here.clock.ms > now().clock_ms + BEHIND_MS;
        home.drills = views::drills_in_use(state, &self.shelf);
        Ok(Reply::Home(Box::new(home)))
    }

    pub(super) async fn add_player(&mut self, name: &str, start: Option<u32>) -> Result<Reply, Trouble> {
        let name = name.trim();
        self.unused(name, None)?;
        let start = start.and_then(|start| Reference::ALL.get(usize::try_from(start).ok()?).copied());
        let profile = Profile { start, ..Profile::new(name) };
        profile.check()?;
        let table = self.player().ok().and_then(|here| self.table(here)).map(|(_, card)| card.clone());
        let player = PlayerId::from_bits(random()?);
        self.open_book(player).await?;
        // Before the first event, so that the player is its author.
        let before = self.here.using;
        self.change_here(|here| here.using = Some(player)).await?;
        let profile = Box::new(profile);
        if let Err(trouble) = self.note_one(player, Payload::ProfileChanged(ProfileChanged { profile })).await
        {
            self.change_here(|here| here.using = before).await?;
            return Err(trouble);
        }
        // Whoever is added stands at the same table.
        if let Some(card) = table {
            let card = Box::new(card);
            self.note_one(player, Payload::CardAdded(CardAdded { card })).await?;
        }
        self.home().await
    }

    /// A name tells players apart.
    pub(super) fn unused(&self, name: &str, own: Option<PlayerId>) -> Result<(), Trouble> {
        if self.here.players().iter().any(|(player, person)| person.name == name && Some(*player) != own) {
            return Err(Trouble::Typed(format!("Somebody is called {name} already: choose another name.")));
        }
        Ok(())
    }

    pub(super) async fn use_player(&mut self, player: &str) -> Result<Reply, Trouble> {
        let player: PlayerId = player.parse().map_err(|_| Trouble::Unknown("that player"))?;
        self.open_book(player).await?;
        self.profile(player)?;
        self.change_here(|here| here.using = Some(player)).await?;
        self.home().await
    }

    pub(super) async fn add_table(&mut self, table: &Table) -> Result<Reply, Trouble> {
        let player = self.player()?;
        let card = views::card_of(table, None)?;
        self.name_unused(player, &card.name, None)?;
        let card = Box::new(card);
        let id = self.note_one(player, Payload::CardAdded(CardAdded { card })).await?;
        self.set_table(player, id).await?;
        self.home().await
    }

    /// A name tells tables apart.
    fn name_unused(&self, player: PlayerId, name: &str, own: Option<EventId>) -> Result<(), Trouble> {
        let mut cards = self.state(player)?.cards.iter().filter(|(_, known)| !known.retired);
        if cards.any(|(id, known)| known.card.name == name && Some(*id) != own) {
            return Err(Trouble::Typed(format!("A table is called {name} already: choose another name.")));
        }
        Ok(())
    }

    /// No set goes on on a table that is not offered any more.
    fn no_set_on(&self, player: PlayerId, table: EventId) -> Result<(), Trouble> {
        let open = self.state(player)?.set_now().and_then(|(_, set)| set.began.as_ref());
        if open.is_some_and(|(_, began)| began.task.card == table) {
            return Err(Trouble::Typed("A set is open on it: end that set first.".to_owned()));
        }
        Ok(())
    }

    /// Puts a table in use.
    pub(super) async fn set_table(&mut self, player: PlayerId, id: EventId) -> Result<(), Trouble> {
        if self.here.tables.get(&player) == Some(&id) {
            return Ok(());
        }
        self.change_here(|here| {
            here.tables.insert(player, id);
        })
        .await
    }

    pub(super) async fn use_table(&mut self, table: &str) -> Result<Reply, Trouble> {
        let player = self.player()?;
        let id = self.card_named(player, table)?;
        self.set_table(player, id).await?;
        self.home().await
    }

    pub(super) fn card_named(&self, player: PlayerId, table: &str) -> Result<EventId, Trouble> {
        let id: EventId = table.parse().map_err(|_| Trouble::Unknown("that table"))?;
        let known = self.state(player)?.cards.contains_key(&id);
        if known { Ok(id) } else { Err(Trouble::Unknown("that table")) }
    }

    pub(super) async fn change_table(&mut self, table: &Table) -> Result<Reply, Trouble> {
        let player = self.player()?;
        let of = self.card_named(player, &table.id)?;
        let known = self.state(player)?.cards.get(&of).ok_or(Trouble::Unknown("that table"))?;
        let card = views::card_of(table, Some(&known.card))?;
        self.name_unused(player, &card.name, Some(of))?;
        let mut notice = "Saved.".to_owned();
        match known.first.change(&card)? {
            Change::Keeps { .. } => {
                let card = Box::new(card);
                self.note_one(player, Payload::CardChanged(CardChanged { of, card })).await?;
            }
            // Another table by its measures: earlier results stay with the old card.
            Change::NewCard { why } => {
                self.no_set_on(player, of)?;
                let card = Box::new(card);
                let instead = |desk: &mut Desk<'_>| {
                    desk.note(Payload::CardRetired(CardRetired { of }))?;
                    desk.note(Payload::CardAdded(CardAdded { card }))
                };
                let id = self.note(player, instead).await?;
                self.set_table(player, id).await?;
                notice = format!(
                    "Saved as another table, since like is compared with like only: {}. Earlier results stay with the old one.",
                    Difference::all(&why, self.profile(player).is_ok_and(Profile::imperial))
                );
            }
        }
        self.setup_with(notice).await
    }

    pub(super) async fn retire_table(&mut self, table: &str) -> Result<Reply, Trouble> {
        let player = self.player()?;
        let of = self.card_named(player, table)?;
        let state = self.state(player)?;
        if state.cards.iter().all(|(id, known)| *id == of || known.retired) {
            return Err(Trouble::Typed("It is the only table: add another one first.".to_owned()));
        }
        self.no_set_on(player, of)?;
        self.note_one(player, Payload::CardRetired(CardRetired { of })).await?;
        self.setup().await
    }

    /// Begins a visit, or goes over to another purpose in an open one.
    pub(super) async fn begin_session(&mut self, purpose: Purpose, minutes: u32) -> Result<Reply, Trouble> {
        let player = self.player()?;
        self.end_left(player).await?;
        self.nothing_undecided(player)?;
        let purpose = views::purpose(purpose);
        if self.state(player)?.open_session().is_some() {
            self.note(player, |desk| desk.begin_block(purpose)).await?;
        } else {
            let card = self.table(player).map(|(id, _)| id);
            self.note(player, |desk| desk.begin_session(purpose, minutes, card)).await?;
        }
        self.home().await
    }

    /// A visit that was left open hours ago ends, with its last entry.
    pub(super) async fn end_left(&mut self, player: PlayerId) -> Result<(), Trouble> {
        if self.left(player)?.is_some() { self.end_visit(player, None, "").await } else { Ok(()) }
    }

    /// Ends the open visit, as of its last entry if it was left.
    async fn end_visit(&mut self, player: PlayerId, focus: Option<u8>, line: &str) -> Result<(), Trouble> {
        let left = self.left(player)?;
        self.note_at(player, left, |desk| desk.end_session(focus, line)).await.map(|_| ())
    }

    /// When the last thing was noted in the open visit, if that is long ago.
    pub(super) fn left(&self, player: PlayerId) -> Result<Option<Wall>, Trouble> {
        let last = last_noted(self.state(player)?);
        Ok(last.filter(|last| now().wall.ms.saturating_sub(last.ms) > LEFT_MS))
    }

    pub(super) async fn end_session(
        &mut self,
        player: &str,
        focus: Option<u8>,
        line: &str,
    ) -> Result<Reply, Trouble> {
        let player = self.shown(player)?;
        self.nothing_undecided(player)?;
        self.end_visit(player, focus, line).await?;
        // Whoever joined goes home as well.
        for learner in self.here.joined.clone() {
            self.open_book(learner).await?;
            if self.state(learner).is_ok_and(|state| state.open_session().is_some()) {
                self.end_visit(learner, None, "").await?;
            }
        }
        self.change_here(|here| here.joined.clear()).await?;
        self.home().await
    }
}

/// An open visit for [`super::writes`].
pub(super) const fn purpose_of_set(proof: bool) -> Purpose {
    if proof { Purpose::Test } else { Purpose::DrillWork }
}
