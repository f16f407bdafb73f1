//! Drills, and the ladders that are worked out; what is missing is ordered.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use longrail_app_link::Order;
use longrail_physics::Engine;
use longrail_practice::drill::Drill;
use longrail_practice::event::Task;
use longrail_practice::guide::{GuideError, Host, Wanted};
use longrail_practice::ladder::{Prescribed, Worked};
use longrail_stroke::cushions::range;
use longrail_stroke::{Nodes, StrokeError, Task as Shot};
use thiserror::Error;

use crate::drills;
use crate::ladders;

/// Why a ladder is not at hand.
#[derive(Debug, Error)]
pub(crate) enum Away {
    /// It was ordered.
    #[error("{0} is still being worked out")]
    Computing(String),
    /// It cannot be worked out.
    #[error("{0}")]
    Failed(String),
    /// The guide has no answer.
    #[error(transparent)]
    Guide(#[from] GuideError),
}

/// A ladder, as far as it is known.
enum Known {
    /// As it was kept, not read yet.
    Text(String),
    /// Wholly worked out.
    Whole(Rc<Worked>),
    /// It cannot be.
    Failed(String),
}

/// What the worker that computes is to do now, where that is another thing than before.
pub(crate) struct News(pub(crate) Option<Order>);

/// What rails leave open for a prescribed hit.
struct Rails {
    task: Task,
    found: Prescribed,
    range: Option<(f64, f64)>,
}

/// Drills and ladders.
pub(crate) struct Shelf {
    drills: BTreeMap<String, Drill>,
    /// By key.
    ladders: RefCell<BTreeMap<String, Known>>,
    /// The key of each ladder that was asked for: posing one takes longer than looking it up.
    keys: RefCell<BTreeMap<String, String>>,
    /// What is missing, what was asked for last first.
    wanted: RefCell<Vec<Order>>,
    /// What the worker that computes was told last.
    told: RefCell<Option<Order>>,
    /// What unmeasured rails leave open for the shot that was asked about last.
    rails: RefCell<Option<Rails>>,
}

impl Shelf {
    pub(crate) fn new() -> Self {
        Self {
            drills: drills::shipped(),
            ladders: RefCell::default(),
            keys: RefCell::default(),
            wanted: RefCell::default(),
            told: RefCell::default(),
            rails: RefCell::default(),
        }
    }

    /// All drills, in the order of their ids.
    pub(crate) fn drills(&self) -> impl Iterator<Item = &Drill> {
        self.drills.values()
    }

    pub(crate) fn drill_of(&self, id: &str) -> Option<&Drill> {
        self.drills.get(id)
    }

    /// A ladder that was kept.
    pub(crate) fn put(&self, key: &str, text: String) {
        self.ladders.borrow_mut().insert(key.to_owned(), Known::Text(text));
    }

    /// The worker that computes has failed with one.
    pub(crate) fn fail(&self, key: &str, why: String) {
        self.ladders.borrow_mut().insert(key.to_owned(), Known::Failed(why));
        self.done(key);
    }

    /// One is no longer missing.
    pub(crate) fn done(&self, key: &str) {
        self.wanted.borrow_mut().retain(|order| order.key != key);
    }

    /// What is missing most, if that is another than was told last.
    pub(crate) fn next(&self) -> Option<News> {
        let first = self.wanted.borrow().first().cloned();
        let mut told = self.told.borrow_mut();
        if told.as_ref().map(|order| &order.key) == first.as_ref().map(|order| &order.key) {
            return None;
        }
        told.clone_from(&first);
        Some(News(first))
    }

    /// What was wanted before is wanted behind what is asked for now.
    pub(crate) fn ask_anew(&self) -> Vec<Order> {
        self.wanted.take()
    }

    pub(crate) fn also(&self, before: Vec<Order>) {
        let mut wanted = self.wanted.borrow_mut();
        for order in before {
            if wanted.iter().all(|other| other.key != order.key) {
                wanted.push(order);
            }
        }
    }

    /// Least and greatest chance of a prescribed hit by what rails may be that nobody has measured; none without a rail. The
    /// screen asks again whenever something changed, so the last answer is kept.
    pub(crate) fn rails(
        &self,
        task: &Task,
        found: &Prescribed,
        shot: &Shot,
    ) -> Result<Option<(f64, f64)>, StrokeError> {
        let mut last = self.rails.borrow_mut();
        if let Some(known) = last.as_ref().filter(|last| last.task == *task && last.found == *found) {
            return Ok(known.range);
        }
        let range = range(shot, &mut Engine::new(), &found.hit, found.made, &Nodes::usual(1))?;
        *last = Some(Rails { task: task.clone(), found: *found, range });
        Ok(range)
    }

    fn key(&self, drill: &Drill, wanted: &Wanted) -> Result<String, Away> {
        let asked = serde_json::to_string(wanted).map_err(|error| Away::Failed(error.to_string()))?;
        if let Some(key) = self.keys.borrow().get(&asked) {
            return Ok(key.clone());
        }
        let key = wanted.ladder(drill)?.key();
        self.keys.borrow_mut().insert(asked, key.clone());
        Ok(key)
    }

    fn order(&self, drill: &Drill, wanted: &Wanted, key: String, so_far: Option<String>) -> Away {
        let mut list = self.wanted.borrow_mut();
        if list.iter().all(|order| order.key != key) {
            let what =
                serde_json::to_string(&ladders::Task { wanted: wanted.clone(), so_far }).unwrap_or_default();
            list.push(Order { key, title: drill.title.clone(), what });
        }
        Away::Computing(drill.title.clone())
    }
}

impl Host for Shelf {
    type Error = Away;

    fn drill(&self, id: &str) -> Result<Option<Drill>, Away> {
        Ok(self.drills.get(id).cloned())
    }

    fn worked(&self, drill: &Drill, wanted: &Wanted) -> Result<Rc<Worked>, Away> {
        let key = self.key(drill, wanted)?;
        let mut ladders = self.ladders.borrow_mut();
        let so_far = match ladders.get(&key) {
            Some(Known::Whole(worked)) => return Ok(Rc::clone(worked)),
            Some(Known::Failed(why)) => return Err(Away::Failed(why.clone())),
            Some(Known::Text(text)) => match Worked::decode(text) {
                Ok(worked) if worked.is_complete() => {
                    let worked = Rc::new(worked);
                    ladders.insert(key, Known::Whole(Rc::clone(&worked)));
                    return Ok(worked);
                }
                Ok(_) => Some(text.clone()),
                // Of another version, or damaged: it is worked out again.
                Err(_) => None,
            },
            None => None,
        };
        Err(self.order(drill, wanted, key, so_far))
    }
}
