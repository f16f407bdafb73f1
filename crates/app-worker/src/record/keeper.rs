//! The keeper of the record: the database, the books that are open, and what is on the shelf.

use std::collections::BTreeMap;

use longrail_app_link::Done;
use longrail_practice::card::Card;
use longrail_practice::desk::{Desk, Now, Refused, Writer};
use longrail_practice::event::{Event, Payload, Wall};
use longrail_practice::id::{EventId, PlayerId};
use longrail_practice::player::Profile;
use longrail_practice::state::State;

use super::book::{Book, now, random};
use super::database::{Access, Database, whole};
use super::here::{Here, NAME};
use super::shelf::{News, Shelf};
use super::trouble::Trouble;

/// Everything that this worker has open.
pub(crate) struct Keeper {
    pub(super) database: Database,
    pub(super) here: Here,
    pub(super) books: BTreeMap<PlayerId, Book>,
    pub(crate) shelf: Shelf,
    /// Something was written since it was last asked.
    wrote: bool,
}

impl Keeper {
    /// Opens the database and what is on record of the player in use.
    pub(crate) async fn open() -> Result<Self, Trouble> {
        let database = Database::open().await?;
        let access = database.read()?;
        let here = Here::read(&access).await?;
        let shelf = Shelf::new();
        for key in access.ladder_keys().await? {
            if let Some(text) = access.ladder(&key).await? {
                shelf.put(&key, text);
            }
        }
        let fresh = here.using.is_none();
        let mut keeper = Self { database, here, books: BTreeMap::new(), shelf, wrote: false };
        if fresh {
            // The device has its name from the first moment on, so that two windows have the same.
            keeper.change_here(|_| {}).await?;
        }
        keeper.follow().await?;
        Ok(keeper)
    }

    /// Whether something was written since this was last asked.
    pub(crate) fn wrote(&mut self) -> bool {
        std::mem::take(&mut self.wrote)
    }

    /// What the other worker is to do next, if that is news.
    pub(crate) fn next_order(&self) -> Option<News> {
        self.shelf.next()
    }

    /// Reads what other windows have written, for the player in use and whoever else is open here.
    pub(crate) async fn follow(&mut self) -> Result<(), Trouble> {
        let access = self.database.read()?;
        self.here = Here::read(&access).await?;
        if let Some(player) = self.here.using {
            self.follow_in(&access, player).await?;
        }
        Ok(())
    }

    /// Reads what others have written in one player's record.
    async fn follow_in(&mut self, access: &Access, player: PlayerId) -> Result<(), Trouble> {
        let outcome = match self.books.get_mut(&player) {
            Some(book) => book.follow(access, player).await,
            None => Err(Trouble::Unknown("the record")),
        };
        match outcome {
            Ok(()) => Ok(()),
            // Not open yet, or something reaches back behind what is held: it is read anew.
            Err(Trouble::Unknown(_) | Trouble::Early(_)) => {
                let book = Book::open(access, player).await?;
                self.books.insert(player, book);
                Ok(())
            }
            Err(trouble) => Err(trouble),
        }
    }

    /// Opens a record, or reads on in it.
    pub(super) async fn open_book(&mut self, player: PlayerId) -> Result<(), Trouble> {
        let access = self.database.read()?;
        self.follow_in(&access, player).await
    }

    /// The player in use. One without a name is nobody yet.
    pub(super) fn player(&self) -> Result<PlayerId, Trouble> {
        let here = self.here.using.filter(|player| self.profile(*player).is_ok());
        here.ok_or(Trouble::Nobody)
    }

    /// The player in use, if that is still whom the screen showed.
    pub(super) fn shown(&self, player: &str) -> Result<PlayerId, Trouble> {
        let here = self.player()?;
        if player != here.to_string() {
            return Err(Trouble::Typed(
                "Somebody else is in use by now, so nothing was changed: look at the name, then press again."
                    .to_owned(),
            ));
        }
        Ok(here)
    }

    pub(super) fn book(&self, player: PlayerId) -> Result<&Book, Trouble> {
        self.books.get(&player).filter(|book| !book.erased).ok_or(Trouble::Unknown("the record"))
    }

    pub(super) fn state(&self, player: PlayerId) -> Result<&State, Trouble> {
        Ok(self.book(player)?.state())
    }

    pub(super) fn profile(&self, player: PlayerId) -> Result<&Profile, Trouble> {
        self.state(player)?.profile.as_ref().ok_or(Trouble::Nobody)
    }

    /// The table in use: the one chosen, or the only one.
    pub(super) fn table(&self, player: PlayerId) -> Option<(EventId, &Card)> {
        let state = self.state(player).ok()?;
        let mut offered = state.cards.iter().filter(|(_, known)| !known.retired);
        let chosen = self.here.tables.get(&player);
        let found = offered.clone().find(|(id, _)| Some(*id) == chosen);
        found.or_else(|| offered.next_back()).map(|(id, known)| (*id, &known.card))
    }

    /// Notes something in a record: all of it, or nothing. The answer is given when it is on the disk.
    pub(super) async fn note<T>(
        &mut self,
        player: PlayerId,
        what: impl FnOnce(&mut Desk<'_>) -> Result<T, Refused>,
    ) -> Result<T, Trouble> {
        self.note_at(player, None, what).await
    }

    /// The same, as of an earlier moment.
    pub(super) async fn note_at<T>(
        &mut self,
        player: PlayerId,
        wall: Option<Wall>,
        what: impl FnOnce(&mut Desk<'_>) -> Result<T, Refused>,
    ) -> Result<T, Trouble> {
        let (mut what, mut told) = (Some(what), None);
        let mut once = |desk: &mut Desk<'_>| {
            told = what.take().map(|what| what(desk)).transpose()?;
            Ok(())
        };
        Box::pin(self.note_all(player, wall, &mut once)).await?;
        told.ok_or(Trouble::Unknown("the record"))
    }

    /// As [`Self::note`], which is compiled anew for everything that is noted.
    async fn note_all(
        &mut self,
        player: PlayerId,
        wall: Option<Wall>,
        what: &mut dyn FnMut(&mut Desk<'_>) -> Result<(), Refused>,
    ) -> Result<(), Trouble> {
        let access = self.database.write()?;
        let asked = access.here(NAME)?;
        // What another window wrote comes first: its events stand before these.
        let followed = self.follow_in(&access, player).await;
        // An answer must find whoever asked.
        let mut here = Here::of(asked.await?)?;
        followed?;
        let now = now();
        let now = Now { wall: wall.unwrap_or(now.wall), ..now };
        let author = here.using.unwrap_or(player);
        let mut writer = Writer::resume(here.device, author, here.clock, here.sequence);
        let book = self.books.get(&player).ok_or(Trouble::Unknown("the record"))?;
        if let Some(last) = book.history().now().last {
            // A clock that is behind is told on Today; the order of this device's own events holds in any case.
            let _ = writer.witness(last.clock, now);
        }
        let mut bits = Vec::new();
        for _ in 0..8 {
            bits.push(random()?);
        }
        let mut next = || bits.pop().unwrap_or_default();
        let mut desk = Desk::new(book.history(), player, &mut writer, now, &mut next);
        what(&mut desk)?;
        let events = desk.events();
        self.keep_events(access, &mut here, player, events).await
    }

    /// Notes one thing that needs no order.
    pub(super) async fn note_one(&mut self, player: PlayerId, payload: Payload) -> Result<EventId, Trouble> {
        self.note(player, |desk| desk.note(payload)).await
    }

    async fn keep_events(
        &mut self,
        access: Access,
        here: &mut Here,
        player: PlayerId,
        events: Vec<Event>,
    ) -> Result<(), Trouble> {
        let Some((last, before)) = events.split_last() else { return Ok(()) };
        let name = player.to_string();
        let lines = events.iter().map(Event::encode).collect::<Result<Vec<_>, _>>()?;
        for (event, line) in before.iter().zip(&lines) {
            access.add_unseen(&name, &event.head.id.to_string(), line)?;
        }
        let place = access.add(&name, &last.head.id.to_string(), lines.last().map_or("", String::as_str))?;
        for head in events.iter().map(|event| &event.head) {
            here.clock = here.clock.max(head.clock);
            here.sequence = here.sequence.max(head.sequence);
        }
        let ends = events.iter().any(|event| matches!(event.payload(), Some(Payload::SessionEnded(_))));
        note_person(here, player, &events);
        here.keep(&access)?;
        access.complete().await?;
        let head = whole(&place.await?);
        self.here = here.clone();
        self.wrote = true;
        // From here on it is kept, whatever else fails.
        if self.books.get_mut(&player).is_some_and(|book| book.take(events, head).is_err()) {
            self.books.remove(&player);
            self.open_book(player).await?;
        }
        if ends {
            // It only makes the next start quicker.
            let _ = self.keep_snapshot(player).await;
        }
        Ok(())
    }

    /// Drops what can be worked out again, where there is no room left. Says whether there was any.
    pub(super) async fn make_room(&self) -> bool {
        let dropped = async {
            let access = self.database.write()?;
            let any = access.drop_ladders().await?;
            access.complete().await?;
            Ok::<_, Trouble>(any)
        };
        dropped.await.unwrap_or(false)
    }

    async fn keep_snapshot(&mut self, player: PlayerId) -> Result<(), Trouble> {
        let access = self.database.write()?;
        if let Some(book) = self.books.get_mut(&player)
            && book.keep(&access, player)?
        {
            access.complete().await?;
        }
        Ok(())
    }

    /// Changes what is known of this device.
    pub(super) async fn change_here(&mut self, change: impl FnOnce(&mut Here)) -> Result<(), Trouble> {
        let mut change = Some(change);
        let mut once = |here: &mut Here| {
            if let Some(change) = change.take() {
                change(here);
            }
        };
        Box::pin(self.change_all(&mut once)).await
    }

    async fn change_all(&mut self, change: &mut dyn FnMut(&mut Here)) -> Result<(), Trouble> {
        let access = self.database.write()?;
        let mut here = Here::read(&access).await?;
        change(&mut here);
        here.keep(&access)?;
        access.complete().await?;
        self.here = here;
        self.wrote = true;
        Ok(())
    }

    async fn keep_ladder(&self, key: &str, text: &str) -> Result<(), Trouble> {
        let access = self.database.write()?;
        access.put_ladder(key, text).await?;
        access.complete().await
    }

    /// Takes what the other worker has done. Says whether there is something to see.
    pub(crate) async fn take_done(&mut self, done: Done) -> Result<bool, Trouble> {
        match done.result {
            None => Ok(false),
            Some(Err(why)) => {
                self.shelf.fail(&done.key, why);
                Ok(true)
            }
            Some(Ok(text)) => {
                let kept = self.keep_ladder(&done.key, &text).await;
                self.shelf.put(&done.key, text);
                if done.whole {
                    self.shelf.done(&done.key);
                }
                // With no room left it is worked out again next time; nothing else is lost.
                if let Err(trouble) = kept
                    && !matches!(trouble, Trouble::Full)
                {
                    return Err(trouble);
                }
                Ok(done.whole)
            }
        }
    }
}

/// What these events change of a person's row.
pub(super) fn note_person(here: &mut Here, player: PlayerId, events: &[Event]) {
    let person = here.people.entry(player).or_default();
    for event in events {
        match event.payload() {
            Some(Payload::ProfileChanged(changed)) => person.name.clone_from(&changed.profile.name),
            Some(Payload::SetBegan(_)) => person.scoring = true,
            Some(Payload::SetEnded(_) | Payload::SessionEnded(_)) => person.scoring = false,
            Some(Payload::PersonErased(_)) => {
                person.erased = true;
                person.name.clear();
            }
            _ => {}
        }
    }
}
