//! What is named on the command line: a drill, a table.

use std::fs;
use std::io::ErrorKind;
use std::path::Path;

use longrail_practice::card::Card;
use longrail_practice::drill::{Drill, SHIPPED};
use longrail_practice::id::EventId;

use super::book::Book;
use super::table;
use crate::exit::Failure;
use crate::files;
use crate::library;

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
