//! What is attempted: a rung of a drill, at a corner, under constraints, on a table.

use std::fs;
use std::io::ErrorKind;
use std::path::Path;

use longrail_physics::World;
use longrail_practice::card::Card;
use longrail_practice::drill::{Drill, Rung, RungNumber, SHIPPED, Setup};
use longrail_practice::event::Task;
use longrail_practice::id::EventId;

use super::book::Book;
use super::table;
use crate::exit::Failure;
use crate::files;
use crate::library;
use crate::odds::say;

/// A drill on a table, at one corner.
pub(super) struct Posed {
    pub(super) drill: Drill,
    pub(super) setup: Setup,
    pub(super) card_id: EventId,
    pub(super) card: Card,
    pub(super) world: World,
}

impl Posed {
    pub(super) fn new(drill: Drill, setup: Setup, (card_id, card): (EventId, Card)) -> Result<Self, Failure> {
        let world = card.world().map_err(|error| Failure::Input(error.to_string()))?;
        Ok(Self { drill, setup, card_id, card, world })
    }

    /// What a task on record was posed as; its drill must still be there.
    pub(super) fn of(book: &Book, task: &Task) -> Result<Self, Failure> {
        let drill = library::found(&task.drill)?;
        if drill.version != task.drill_version {
            return Err(Failure::Input(format!(
                "{} is at version {} now; this was shot at version {}",
                task.drill, drill.version, task.drill_version
            )));
        }
        let card = book.state().cards.get(&task.card).map(|known| known.card.clone()).ok_or_else(|| {
            Failure::Input("the table of this set is not on record yet: import the rest of it".to_owned())
        })?;
        Self::new(drill, task.setup, (task.card, card))
    }

    pub(super) fn rung(&self, number: RungNumber) -> Result<Rung, Failure> {
        self.drill
            .rung(&self.world, self.card.cue_ball(), self.setup, number.value())
            .map_err(|error| Failure::Input(error.to_string()))
    }

    /// The balls' places in words, a line each: from the nearest rails in diamonds and in centimetres or inches.
    pub(super) fn places(&self, rung: &Rung, imperial: bool) -> Vec<String> {
        let spec = self.world.table().spec();
        let balls = rung.layout.balls().iter();
        balls
            .map(|ball| format!("{}: {}", say::ball(&ball.id), say::from_rails(spec, ball, imperial)))
            .collect()
    }
}

/// The drill that is named, or whose file is; a file of the player's own is kept beside the record, so that it is there when
/// its sets are looked at.
pub(super) fn drill(book: &Book, name: &str) -> Result<Drill, Failure> {
    let drill = library::found(name)?;
    if Path::new(name).extension().is_none_or(|ending| ending != "toml") {
        return Ok(drill);
    }
    if SHIPPED.iter().any(|(file, _)| file.strip_suffix(".toml") == Some(drill.id.as_str())) {
        return Err(Failure::Input(format!(
            "a drill that comes with the program is called {}: give your file another name",
            drill.id
        )));
    }
    let folder = book.shelf.home.drills();
    let kept = folder.join(format!("{}.toml", drill.id));
    let text = files::read(Some(Path::new(name)), "a drill")?;
    match fs::read_to_string(&kept) {
        Ok(before) if before == text => return Ok(drill),
        Ok(before) => {
            let before = library::read(&format!("{}.toml", drill.id), &before)?;
            if before.version >= drill.version && before != drill {
                return Err(Failure::Input(format!(
                    "{} is kept already at version {}, with other words or another layout: raise \"version\" in {name}, so \
                     that old sets stay with the old one",
                    drill.id, before.version
                )));
            }
        }
        Err(error) if error.kind() == ErrorKind::NotFound => {}
        Err(error) => return Err(Failure::File(format!("{}: {error}", kept.display()))),
    }
    fs::create_dir_all(&folder).map_err(|error| Failure::File(format!("{}: {error}", folder.display())))?;
    files::save(&kept, text.as_bytes())?;
    Ok(drill)
}

/// The table: the one named, the visit's, or the only one.
pub(super) fn card(book: &mut Book, name: Option<&str>) -> Result<(EventId, Card), Failure> {
    if let Some(name) = name {
        return table::shared(book, name);
    }
    let visit = book.state().open_session().and_then(|(_, session)| session.began.as_ref()?.1.card);
    if let Some((id, known)) = visit.and_then(|id| book.state().cards.get(&id).map(|known| (id, known))) {
        return Ok((id, known.card.clone()));
    }
    let offered: Vec<_> = table::offered(book).collect();
    match offered.as_slice() {
        [(id, card)] => Ok((*id, (*card).clone())),
        [] => Err(Failure::Input("there is no table yet: `longrail table add NAME --size 9ft`".to_owned())),
        several => {
            let names: Vec<&str> = several.iter().map(|(_, card)| card.name.as_str()).collect();
            Err(Failure::Input(format!("say on which table with --table: {}", names.join(", "))))
        }
    }
}
