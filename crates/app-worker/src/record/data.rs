//! Setup: the profile, and the data as a whole.

use std::collections::BTreeSet;
use std::ops::Range;

use longrail_app_link::{Kept, Player, Reply, Setup};
use longrail_practice::desk::Writer;
use longrail_practice::event::may::coming_in;
use longrail_practice::event::{Event, Payload, PersonErased, ProfileChanged, Wall};
use longrail_practice::id::{EventId, PlayerId};

use super::book::{Book, now, random};
use super::database::Access;
use super::here::Here;
use super::keeper::{Keeper, note_person};
use super::trouble::Trouble;
use crate::views;

/// Events read at once.
const PAGE: u32 = 4_000;
/// Events that are looked up one by one: an evening's.
const FEW: usize = 1_000;
/// Refused lines that are listed.
const LISTED: usize = 20;

impl Keeper {
    pub(super) async fn setup(&mut self) -> Result<Reply, Trouble> {
        self.setup_with(String::new()).await
    }

    /// The same, with what came of a change.
    pub(super) async fn setup_with(&mut self, notice: String) -> Result<Reply, Trouble> {
        let player = self.player()?;
        let access = self.database.read()?;
        let events = access.count(0).await?;
        let backed_up =
            self.here.backed_up_ms.map(|ms| Wall { ms, offset_min: now().wall.offset_min }.date());
        let kept = Kept {
            events,
            not_backed_up: self.not_backed_up().await?,
            backed_up: backed_up.unwrap_or_default(),
        };
        let (state, profile) = (self.state(player)?, self.profile(player)?);
        let offered = state.cards.iter().filter(|(_, known)| !known.retired);
        let imperial = profile.imperial();
        let setup = Setup {
            player: Player { id: player.to_string(), ..views::player(profile) },
            tables: offered.map(|(id, known)| views::table(*id, &known.card, imperial)).collect(),
            table: self.table(player).map(|(id, _)| id.to_string()).unwrap_or_default(),
            kept,
            assumed: profile.unmeasured(),
            notice,
        };
        Ok(Reply::Setup(Box::new(setup)))
    }

    pub(super) async fn not_backed_up(&self) -> Result<u64, Trouble> {
        self.database.read()?.count(self.here.backed_up).await
    }

    pub(super) async fn change_player(&mut self, changed: &Player) -> Result<Reply, Trouble> {
        let player = self.shown(&changed.id)?;
        self.unused(changed.name.trim(), Some(player))?;
        let profile = views::profile_of(changed, self.profile(player)?)?;
        if profile != *self.profile(player)? {
            let profile = Box::new(profile);
            self.note_one(player, Payload::ProfileChanged(ProfileChanged { profile })).await?;
        }
        self.setup_with("Saved.".to_owned()).await
    }

    pub(super) async fn export(&mut self) -> Result<Reply, Trouble> {
        let access = self.database.read()?;
        let (mut lines, mut until, mut events) = (String::new(), 0, 0);
        loop {
            let rows = access.events(until, PAGE).await?;
            let Some(last) = rows.last() else { break };
            until = last.place;
            for row in &rows {
                lines.push_str(&row.line);
                lines.push('\n');
                events += 1;
            }
        }
        Ok(Reply::Log { lines, until, events })
    }

    pub(super) async fn backed_up(&mut self, until: u64) -> Result<Reply, Trouble> {
        let ms = now().wall.ms;
        self.change_here(|here| {
            here.backed_up = here.backed_up.max(until);
            here.backed_up_ms = Some(ms);
        })
        .await?;
        self.home().await
    }

    pub(super) async fn import(&mut self, lines: &str) -> Result<Reply, Trouble> {
        let (reply, places) = self.take_in(lines).await?;
        // What stands in that file is not on this device alone; a file says nothing of what was here before.
        if places.start == self.here.backed_up {
            self.change_here(|here| here.backed_up = places.end).await?;
        }
        Ok(reply)
    }

    /// Takes in lines of another device: all that can be, and says what was refused. Also from which place to which they stand.
    pub(super) async fn take_in(&mut self, lines: &str) -> Result<(Reply, Range<u64>), Trouble> {
        let (mut events, mut refused) = (Vec::new(), Vec::new());
        for (number, line) in (1..).zip(lines.lines()).filter(|(_, line)| !line.trim().is_empty()) {
            match coming_in(line) {
                Ok(event) => events.push(event),
                Err(why) => refused.push(format!("Line {number}: {why}")),
            }
        }
        let left = refused.len().saturating_sub(LISTED);
        refused.truncate(LISTED);
        if left > 0 {
            refused.push(format!("and {left} lines more"));
        }
        let access = self.database.write()?;
        let mut here = Here::read(&access).await?;
        let first = access.last().await?;
        let (mut known, mut erased) = (0, 0);
        let mut changed = BTreeSet::new();
        let mut there = known_of(&access, &events).await?;
        for event in &events {
            let (player, id) = (event.head.player.to_string(), event.head.id.to_string());
            let line = event.encode()?;
            let is_new = there.insert(event.head.id);
            if here.people.get(&event.head.player).is_some_and(|person| person.erased) {
                erased += u64::from(is_new);
                continue;
            }
            if !is_new {
                known += 1;
                continue;
            }
            let erases = matches!(event.payload(), Some(Payload::PersonErased(_)));
            if erases {
                access.remove(&player).await?;
                Book::forget(&access, event.head.player).await?;
            }
            access.add_unseen(&player, &id, &line)?;
            note_person(&mut here, event.head.player, std::slice::from_ref(event));
            if erases {
                here.forget(event.head.player);
            }
            if event.head.device == here.device {
                // This device's own events come back after its storage was cleared: it goes on behind them.
                here.clock = here.clock.max(event.head.clock);
                here.sequence = here.sequence.max(event.head.sequence);
            }
            changed.insert(event.head.player);
        }
        let new = events.len() as u64 - known - erased;
        if new == 0 {
            access.complete().await?;
            return Ok((Reply::Taken { new, known, erased, refused }, first..first));
        }
        if here.using.is_none() {
            here.using = here.players().first().map(|(player, _)| *player);
        }
        here.keep(&access)?;
        let last = access.last().await?;
        access.complete().await?;
        // Whatever came may stand before what is held.
        self.books.retain(|player, _| !changed.contains(player));
        self.scoring_anew(changed).await?;
        // Where whoever was in use is gone, somebody else is.
        self.follow().await?;
        Ok((Reply::Taken { new, known, erased, refused }, first..last))
    }

    /// Which of these have a set open, by the records themselves.
    async fn scoring_anew(&mut self, players: BTreeSet<PlayerId>) -> Result<(), Trouble> {
        let mut scoring = Vec::new();
        for player in players {
            self.open_book(player).await?;
            if self.books.get(&player).is_some_and(|book| book.erased) {
                continue;
            }
            let state = self.state(player);
            let name = state.as_ref().ok().and_then(|state| Some(state.profile.as_ref()?.name.clone()));
            scoring.push((player, name, state.is_ok_and(|state| state.set_now().is_some())));
        }
        self.change_here(|here| {
            for (player, name, open) in scoring {
                let person = here.people.entry(player).or_default();
                person.scoring = open;
                person.name = name.unwrap_or_default();
            }
        })
        .await
    }

    /// Erases the player in use: one event stays that says so, all else goes, in one transaction.
    pub(super) async fn erase(&mut self, player: &str) -> Result<Reply, Trouble> {
        let player = self.shown(player)?;
        let access = self.database.write()?;
        let mut here = Here::read(&access).await?;
        let mut writer = Writer::resume(here.device, player, here.clock, here.sequence);
        let event = writer.event(player, now(), random()?, Payload::PersonErased(PersonErased {}));
        access.remove(&player.to_string()).await?;
        access.add_unseen(&player.to_string(), &event.head.id.to_string(), &event.encode()?)?;
        Book::forget(&access, player).await?;
        (here.clock, here.sequence) = (event.head.clock, event.head.sequence);
        note_person(&mut here, player, &[event]);
        here.forget(player);
        here.keep(&access)?;
        access.complete().await?;
        self.books.remove(&player);
        // Tells the other windows.
        self.change_here(|_| {}).await?;
        self.follow().await?;
        self.home().await
    }
}

/// Which of some events are here already. A few are looked up one by one; for many, the records are read.
async fn known_of(access: &Access, events: &[Event]) -> Result<BTreeSet<EventId>, Trouble> {
    let mut there = BTreeSet::new();
    if events.len() <= FEW {
        for event in events {
            if access.knows(&event.head.id.to_string()).await? {
                there.insert(event.head.id);
            }
        }
        return Ok(there);
    }
    let players: BTreeSet<PlayerId> = events.iter().map(|event| event.head.player).collect();
    for player in players {
        for row in access.events_of(&player.to_string(), 0).await? {
            there.insert(Event::decode(&row.line)?.head.id);
        }
    }
    Ok(there)
}
