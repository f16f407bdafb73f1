//! What stands behind the full screen: the open sets of one to four learners who share a table.

use longrail_practice::desk::Refused;
use longrail_practice::event::Aim;
use longrail_practice::guide::{self, Decided};
use longrail_practice::state::What;
use longrail_stats::Count;

use super::book::{Book, Source};
use super::lines;
use super::moment;
use super::score::{outcome_words, what_words};
use crate::exit::Failure;
use crate::odds::say;
use crate::scoring::{Desk, Flow, Mark, Press, View};

/// Learners at one table, at most.
const MOST: usize = 4;
/// Attempts that are shown, at most.
const RECENT: usize = 40;

/// One learner.
struct Seat {
    book: Book,
    name: String,
    /// What does not change while the set is open.
    fixed: View,
}

/// The learners, and whose turn it is.
pub(super) struct TableSide {
    seats: Vec<Seat>,
    turn: usize,
    /// Attempts in a row before the next one's turn.
    each: u32,
    in_turn: u32,
    notice: Option<String>,
}

impl TableSide {
    pub(super) fn open(source: &Source, with: &[String], each: u32) -> Result<Self, Failure> {
        if with.len() >= MOST {
            return Err(Failure::Input(format!("{} learners: at most {MOST} share a table", with.len() + 1)));
        }
        let own = Book::open(source)?;
        let mut books = Vec::new();
        for name in with {
            books.push(own.beside(name)?);
        }
        books.insert(0, own);
        let seats = books.into_iter().map(Seat::new).collect::<Result<Vec<_>, _>>()?;
        for (number, seat) in seats.iter().enumerate() {
            if seats[..number].iter().any(|other| other.book.player() == seat.book.player()) {
                return Err(Failure::Input(format!("{} is named twice", seat.name)));
            }
        }
        Ok(Self { seats, turn: 0, each, in_turn: 0, notice: None })
    }

    fn swap(&mut self) {
        self.turn = (self.turn + 1) % self.seats.len();
        self.in_turn = 0;
    }

    /// Who shot last: after an attempt it may be the next one's turn already.
    fn who_shot(&self) -> usize {
        let count = self.seats.len();
        if self.in_turn == 0 { (self.turn + count - 1) % count } else { self.turn }
    }

    /// An attempt was noted: the next one's turn comes after so many.
    fn shot(&mut self) {
        self.in_turn += 1;
        if self.seats.len() > 1 && self.in_turn >= self.each {
            self.swap();
        }
    }

    fn noted(&mut self, press: Press) -> Result<String, Failure> {
        let seat = &mut self.seats[self.turn];
        match press {
            Press::Attempt(outcome) => {
                seat.book.note(|desk| desk.attempt(outcome, None))?;
                self.shot();
                Ok(String::new())
            }
            Press::CueEnd(end) => {
                let shot = self.who_shot();
                self.seats[shot].book.note(|desk| desk.cue_end(end))?;
                Ok("noted where the cue ball ended".to_owned())
            }
            Press::Undo => {
                let last = self.who_shot();
                let back = self.seats[last].book.undo()?;
                let who = if self.seats.len() > 1 {
                    format!(" of {}", self.seats[last].name)
                } else {
                    String::new()
                };
                self.turn = last;
                self.in_turn = self.in_turn.saturating_sub(1);
                Ok(format!("took back{who}: {}", what_words(back)))
            }
            Press::Batch { made, tried } => {
                let count = Count::new(made, tried)?;
                seat.book.note(|desk| desk.batch(count))?;
                Ok(format!("entered {made} of {tried}"))
            }
            Press::WarmUp(attempts) => {
                seat.book.note(|desk| desk.warm_up(attempts))?;
                Ok(format!("the next {attempts} are warm-up and left out"))
            }
            Press::Swap => {
                self.swap();
                Ok(String::new())
            }
            Press::EndSet | Press::Leave => Ok(String::new()),
        }
    }

    /// Ends the set of whose turn it is; the others go on.
    fn end(&mut self) -> Result<Flow, Failure> {
        let seat = &mut self.seats[self.turn];
        let ended = lines::end(&mut seat.book, Decided::default())?;
        let told = [ended.said.lines.did, ended.said.lines.settled, ended.said.lines.next].to_vec();
        if self.seats.len() == 1 {
            return Ok(Flow::Ended(told));
        }
        let seat = self.seats.remove(self.turn);
        self.turn %= self.seats.len();
        self.in_turn = 0;
        self.notice = Some(format!("{}: {}", seat.name, told.join(" ")));
        Ok(Flow::Goes)
    }
}

impl Seat {
    fn new(book: Book) -> Result<Self, Failure> {
        let name = book.profile()?.name.clone();
        let Some((_, set)) = book.state().set_now() else {
            return Err(Failure::Input(format!("{name}: {}", Refused::NoSet)));
        };
        let mut fixed = View { learner: name.clone(), ..View::default() };
        if let Some((_, began)) = &set.began {
            fixed.table = guide::table(book.state(), &began.task);
            let kind = match began.aim {
                Aim::Proof => "proof",
                Aim::Work => "work",
            };
            let task = &began.task;
            fixed.heading = format!("{} · rung {} · {kind}", task.drill, task.rung);
            // A drill that is not at hand any more can still be scored.
            let mut guide = book.guide();
            if let Ok(posed) = guide.posed(task)
                && let Ok(rung) = posed.rung(task.rung)
            {
                fixed.heading =
                    format!("{} · rung {} of {} · {kind}", posed.drill.title, task.rung, posed.drill.rungs);
                fixed.goal = rung.goal.to_string();
                let imperial = book.profile()?.imperial();
                fixed.setup = say::places(&posed, &rung, imperial);
                // What to intend, as the set's beginning said; a set can be scored without it.
                if let Ok(constraints) = task.constraints.parse()
                    && let Ok(worked) = guide.today(&posed, &constraints)
                    && let Some(found) = worked.prescribed(task.rung.below())
                {
                    let hit = say::hit(&found.hit, &posed.world, &rung.layout, imperial);
                    fixed.setup.push(format!("intend {hit}"));
                }
            }
        }
        Ok(Self { book, name, fixed })
    }

    fn view(&self) -> Result<View, Failure> {
        let mut view = self.fixed.clone();
        let state = self.book.state();
        let Some((_, set)) = state.set_now() else { return Ok(view) };
        let count = set.count();
        (view.made, view.tried) = (count.made(), count.tried());
        view.warm_up_left = set.warm_up_left;
        let marks = set.entries.iter().filter_map(|entry| match entry.what {
            What::Attempt { outcome, .. } => Some(Mark { outcome, warm_up: entry.warm_up }),
            What::Batch { .. } => None,
        });
        view.recent = marks.collect();
        view.recent.drain(..view.recent.len().saturating_sub(RECENT));
        if let Some((_, began)) = &set.began {
            let (stands, next, advice) =
                guide::so_far(state, self.book.profile()?, began, self.book.now()?.wall)?;
            (view.stands, view.next) = (stands, next);
            view.sheet = advice.map(|advice| (advice.count.made(), advice.count.tried()));
        }
        let now = self.book.now()?.wall;
        if let Some((_, visit)) = state.open_session()
            && let Some((wall, began)) = &visit.began
        {
            view.minutes = moment::minutes(*wall, now);
            view.minutes_free = began.minutes_free;
            view.caution = guide::caution(view.minutes);
        }
        Ok(view)
    }
}

impl Desk for TableSide {
    fn view(&mut self) -> View {
        let seat = &self.seats[self.turn];
        let mut view = match seat.view() {
            Ok(view) => view,
            Err(failure) => {
                let mut view = seat.fixed.clone();
                self.notice = Some(failure.to_string());
                view.notice.clone_from(&self.notice);
                view
            }
        };
        let others =
            (1..self.seats.len()).map(|step| self.seats[(self.turn + step) % self.seats.len()].name.clone());
        view.others = others.collect();
        view.notice = self.notice.clone().filter(|notice| !notice.is_empty());
        view
    }

    fn press(&mut self, press: Press) -> Flow {
        let outcome = match press {
            Press::EndSet => match self.end() {
                Ok(flow) => return flow,
                Err(failure) => Err(failure),
            },
            press => self.noted(press),
        };
        match outcome {
            Ok(notice) => {
                self.notice = Some(match press {
                    // What was pressed is said where it is not seen at once: it is the next one's turn.
                    Press::Attempt(outcome) if self.seats.len() > 1 => outcome_words(outcome).to_owned(),
                    _ => notice,
                });
            }
            Err(failure) => self.notice = Some(failure.to_string()),
        }
        Flow::Goes
    }
}
