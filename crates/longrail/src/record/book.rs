//! The record open for one player: what commands read, and the only way in which they write.

use std::cell::RefCell;
use std::rc::Rc;

use longrail_practice::card::Card;
use longrail_practice::desk::{Desk, Now, Refused, Writer};
use longrail_practice::event::{Payload, Wall};
use longrail_practice::guide::{LEFT_MINUTES, last_noted};
use longrail_practice::id::{EventId, PlayerId};
use longrail_practice::player::Profile;
use longrail_practice::state::{State, What};
use longrail_store::{EventStore, Record, SqlStore};
use tokio::runtime::{Builder, Runtime};

use super::home::{Device, Home};
use super::{moment, random};
use crate::exit::Failure;

/// Where the record is, whose it is, and when things happened.
#[derive(clap::Args, Clone, Debug, Default)]
pub(crate) struct Source {
    /// The record: a file, or the URL of a PostgreSQL database (postgres://…). By default a file in the folder that
    /// `longrail record where` names.
    #[arg(
        long,
        value_name = "FILE|URL",
        env = "LONGRAIL_RECORD",
        hide_env_values = true,
        global = true,
        help_heading = "The record"
    )]
    record: Option<String>,
    /// Whose record; by default that of the player in use (`longrail player use NAME`).
    #[arg(long, value_name = "NAME", global = true, help_heading = "The record")]
    player: Option<String>,
    /// When it happened, if not now: 2026-11-03T18:00, for what was written down on paper.
    #[arg(long, value_name = "TIME", global = true, help_heading = "The record")]
    at: Option<String>,
    /// Write JSON instead of text.
    #[arg(long, global = true, help_heading = "The record")]
    pub(crate) json: bool,
}

impl Source {
    /// The same for this player.
    pub(super) fn about(&self, name: &str) -> Self {
        Self { player: Some(name.to_owned()), ..self.clone() }
    }
}

/// The store that holds all records.
pub(crate) struct Shelf {
    runtime: Runtime,
    pub(super) store: SqlStore,
    pub(super) home: Home,
    pub(super) device: Device,
    /// What messages call it.
    pub(super) place: String,
}

impl Shelf {
    /// Opens it.
    pub(crate) fn open(source: &Source) -> Result<Self, Failure> {
        let home = Home::open()?;
        let device = home.device()?;
        let runtime = runtime()?;
        let store = match &source.record {
            Some(address) => runtime.block_on(SqlStore::open(address))?,
            None => runtime.block_on(SqlStore::in_file(&home.record()))?,
        };
        let place = store.place().to_owned();
        Ok(Self { runtime, store, home, device, place })
    }

    /// Waits for the store.
    pub(crate) fn wait<T>(&self, future: impl Future<Output = T>) -> T {
        self.runtime.block_on(future)
    }

    /// The store to be shared, and what tells it from others.
    pub(crate) fn to_share(&self) -> (SqlStore, String) {
        (self.store.clone(), format!("{} {}", self.device.id, self.place))
    }

    /// A player's record.
    pub(super) fn record(&self, player: PlayerId) -> Result<Record<SqlStore>, Failure> {
        Ok(self.wait(Record::open(self.store.clone(), player))?)
    }

    /// Everyone who has a record with a name, with that name.
    pub(super) fn players(&self) -> Result<Vec<(PlayerId, String)>, Failure> {
        let mut players = Vec::new();
        for player in self.wait(self.store.players())? {
            if let Some(profile) = &self.record(player)?.state().profile {
                players.push((player, profile.name.clone()));
            }
        }
        Ok(players)
    }

    /// The one player of this name.
    pub(super) fn named(&self, name: &str) -> Result<PlayerId, Failure> {
        let players = self.players()?;
        let found: Vec<PlayerId> =
            players.iter().filter(|(_, known)| known == name).map(|(player, _)| *player).collect();
        match found.as_slice() {
            [player] => Ok(*player),
            [] => {
                let known: Vec<&str> = players.iter().map(|(_, name)| name.as_str()).collect();
                let known = if known.is_empty() { "nobody yet".to_owned() } else { known.join(", ") };
                Err(Failure::Input(format!(
                    "nobody is called {name:?}; there is {known} (`longrail player add NAME`)"
                )))
            }
            several => Err(Failure::Input(format!(
                "{} players are called {name:?}: rename one with `longrail player change --name NEW`",
                several.len()
            ))),
        }
    }

    /// Whose record a command is about.
    fn chosen(&self, source: &Source) -> Result<PlayerId, Failure> {
        if let Some(name) = &source.player {
            return self.named(name);
        }
        let known = self.wait(self.store.players())?;
        if let Some(player) = self.device.using.filter(|player| known.contains(player)) {
            return Ok(player);
        }
        if let [player] = known.as_slice() {
            return Ok(*player);
        }
        let players = self.players()?;
        match players.as_slice() {
            [(player, _)] => Ok(*player),
            [] => Err(Failure::Input(
                "there is no player yet: begin with `longrail player add NAME`".to_owned(),
            )),
            several => {
                let names: Vec<&str> = several.iter().map(|(_, name)| name.as_str()).collect();
                Err(Failure::Input(format!(
                    "there are {}: say whose record with --player NAME, or `longrail player use NAME`",
                    names.join(", ")
                )))
            }
        }
    }

    /// The writer of this device's events.
    fn writer(&self, author: PlayerId) -> Result<Writer, Failure> {
        let resume = self.wait(self.store.resume(self.device.id))?;
        Ok(Writer::resume(self.device.id, author, resume.clock, resume.sequence))
    }
}

impl Drop for Shelf {
    /// Leaves one whole file behind, that can be copied as it is.
    fn drop(&mut self) {
        self.runtime.block_on(self.store.clone().close());
    }
}

/// One player's record, open for reading and writing.
pub(crate) struct Book {
    pub(super) shelf: Rc<Shelf>,
    record: Record<SqlStore>,
    /// Shared by all books of this device: it numbers its events.
    writer: Rc<RefCell<Writer>>,
    at: At,
}

/// When things happen that are noted.
#[derive(Clone, Debug)]
enum At {
    /// Now, or when the command line says.
    Said(Option<String>),
    /// Then.
    Dated(Wall),
}

impl Book {
    /// The record that `source` names.
    pub(crate) fn open(source: &Source) -> Result<Self, Failure> {
        let shelf = Shelf::open(source)?;
        let player = shelf.chosen(source)?;
        Self::of(shelf, player, source)
    }

    /// The same; none if nobody is on record yet.
    pub(super) fn open_if_any(source: &Source) -> Result<Option<Self>, Failure> {
        let shelf = Shelf::open(source)?;
        if shelf.wait(shelf.store.players())?.is_empty() {
            return Ok(None);
        }
        let player = shelf.chosen(source)?;
        Self::of(shelf, player, source).map(Some)
    }

    /// A player's record; a new one if the player is new.
    pub(super) fn of(shelf: Shelf, player: PlayerId, source: &Source) -> Result<Self, Failure> {
        // Who is at the device writes, in whose record soever; somebody of another store does not.
        let known = shelf.wait(shelf.store.players())?;
        let using = shelf.device.using.filter(|using| *using == player || known.contains(using));
        let author = using.unwrap_or(player);
        let writer = Rc::new(RefCell::new(shelf.writer(author)?));
        Self::with(Rc::new(shelf), writer, player, At::Said(source.at.clone()))
    }

    /// Another player's record, on the same device.
    pub(super) fn beside(&self, name: &str) -> Result<Self, Failure> {
        let player = self.shelf.named(name)?;
        Self::with(Rc::clone(&self.shelf), Rc::clone(&self.writer), player, self.at.clone())
    }

    fn with(
        shelf: Rc<Shelf>,
        writer: Rc<RefCell<Writer>>,
        player: PlayerId,
        at: At,
    ) -> Result<Self, Failure> {
        let record = shelf.record(player)?;
        if let Some(tombstone) = record.tombstone() {
            let when = tombstone.head.wall.date();
            return Err(Failure::Input(format!(
                "this record was erased on {when}: it takes nothing any more, and `longrail player add NAME` begins another"
            )));
        }
        let book = Self { shelf, record, writer, at };
        if let Some(seen) = book.record.history().now().last {
            let now = book.now()?;
            if let Err(ahead) = book.writer.borrow_mut().witness(seen.clock, now) {
                // Said once a command, and nothing is lost by it.
                hint(&format!(
                    "Another device's clock, or this one's, is wrong by {} days: the record is kept, but its order may be odd.",
                    ahead.0 / 86_400_000
                ));
            }
        }
        Ok(book)
    }

    /// This moment, or the one that was given.
    pub(super) fn now(&self) -> Result<Now, Failure> {
        match &self.at {
            At::Said(text) => moment::now(text.as_deref()),
            At::Dated(wall) => Ok(Now { wall: *wall, ..moment::now(None)? }),
        }
    }

    /// What is noted from now on happened then.
    pub(super) fn dated(&mut self, wall: Wall) {
        self.at = At::Dated(wall);
    }

    /// Commands are about somebody else from now on, since this record is no more.
    pub(super) fn forget(&self) -> Result<(), Failure> {
        let mut device = self.shelf.device.clone();
        let gone = Some(self.player());
        device.using = device.using.filter(|player| Some(*player) != gone);
        self.shelf.home.keep(&device)
    }

    /// What follows from the record.
    pub(crate) const fn state(&self) -> &State {
        self.record.state()
    }

    /// Whose record it is.
    pub(super) const fn player(&self) -> PlayerId {
        self.record.player()
    }

    /// The card of this name in the record of who is at the device.
    pub(super) fn card_of_author(&self, name: &str) -> Result<Option<Card>, Failure> {
        let author = self.writer.borrow().author();
        let record = self.shelf.record(author)?;
        let mut cards = record.state().cards.values().filter(|known| !known.retired);
        Ok(cards.find(|known| known.card.name == name).map(|known| known.card.clone()))
    }

    /// Whether the player writes, and not somebody who scores.
    pub(super) fn is_own(&self) -> bool {
        self.writer.borrow().author() == self.player()
    }

    /// The profile.
    pub(crate) fn profile(&self) -> Result<&Profile, Failure> {
        self.state().profile.as_ref().ok_or_else(|| {
            Failure::Input("this record has no name yet: `longrail player change --name NAME`".to_owned())
        })
    }

    /// Notes something: all of it, or nothing.
    pub(crate) fn note<T>(
        &mut self,
        what: impl FnOnce(&mut Desk<'_>) -> Result<T, Refused>,
    ) -> Result<T, Failure> {
        let now = self.now()?;
        self.in_time(now.wall)?;
        let mut failed = None;
        let mut next = || {
            random().unwrap_or_else(|failure| {
                failed = Some(failure);
                0
            })
        };
        let mut writer = self.writer.borrow_mut();
        let mut desk = Desk::new(self.record.history(), self.record.player(), &mut writer, now, &mut next);
        let told = what(&mut desk)?;
        let events = desk.events();
        if let Some(failure) = failed {
            return Err(failure);
        }
        if !events.is_empty() {
            self.shelf.runtime.block_on(self.record.append(&events))?;
        }
        Ok(told)
    }

    /// What is entered for an earlier day belongs into a visit of that day.
    fn in_time(&self, wall: Wall) -> Result<(), Failure> {
        let began = self
            .state()
            .open_session()
            .and_then(|(_, session)| session.began.as_ref().map(|(wall, _)| *wall));
        match (&self.at, began) {
            (At::Said(Some(at)), Some(began)) if wall < began => Err(Failure::Input(format!(
                "--at {at} is before the open visit began, {} {}: end that one first",
                began.date(),
                began.time()
            ))),
            _ => Ok(()),
        }
    }

    /// When something was last noted in the open visit, if that is long ago and nothing else was said.
    pub(super) fn left_at(&self) -> Result<Option<Wall>, Failure> {
        let now = self.now()?.wall;
        Ok(last_noted(self.state())
            .filter(|last| matches!(self.at, At::Said(None)) && moment::minutes(*last, now) > LEFT_MINUTES))
    }

    /// Ends the open set.
    // The method itself is bound to one lifetime.
    #[allow(clippy::redundant_closure_for_method_calls)]
    pub(super) fn end_set(&mut self) -> Result<EventId, Failure> {
        self.note(|desk| desk.end_set())
    }

    /// Takes back the last entry of the open set.
    #[allow(clippy::redundant_closure_for_method_calls)]
    pub(super) fn undo(&mut self) -> Result<What, Failure> {
        self.note(|desk| desk.undo())
    }

    /// Notes one thing that needs no order.
    pub(super) fn note_one(&mut self, payload: Payload) -> Result<(), Failure> {
        self.note(|desk| desk.note(payload)).map(|_| ())
    }

    /// The result of a long computation, kept under its key or worked out now and kept.
    pub(super) fn computed(&self, key: &str) -> Result<Option<String>, Failure> {
        Ok(self.shelf.wait(self.shelf.store.computed(key))?)
    }

    /// Keeps the result of a long computation.
    pub(super) fn keep_computed(&self, key: &str, result: &str) -> Result<(), Failure> {
        Ok(self.shelf.wait(self.shelf.store.keep_computed(key, result))?)
    }
}

/// A hint on standard error, beside the answer.
fn hint(text: &str) {
    use std::io::Write;
    // Nothing depends on it.
    let _ = writeln!(std::io::stderr(), "{text}");
}

/// What waits for the store.
pub(super) fn runtime() -> Result<Runtime, Failure> {
    let runtime = Builder::new_current_thread().enable_all().build();
    runtime.map_err(|error| Failure::File(format!("the record cannot be opened: {error}")))
}
