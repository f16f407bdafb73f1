//! The worker that computes: ladders, step by step, so that it can be told to do something else first.

use std::cell::RefCell;
use std::rc::Rc;

use js_sys::Uint8Array;
use longrail_app_link::{Done, Order, read, write};
use longrail_practice::drill::Drill;
use longrail_practice::guide::Wanted;
use longrail_practice::ladder::{Worked, Working};
use serde::{Deserialize, Serialize};
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::Closure;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{DedicatedWorkerGlobalScope, MessageEvent};

use crate::drills;

/// Steps after which what is done so far is handed over: a stop in between loses a second or two of work.
const HANDED_EACH: u32 = 6;

/// A ladder to be worked out.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct Task {
    /// Which.
    pub(crate) wanted: Wanted,
    /// As far as it was worked out before.
    pub(crate) so_far: Option<String>,
}

/// What is to be done now; nothing while idle.
type Next = Rc<RefCell<Option<Order>>>;

/// The ladder that something else came before, by its key: it goes on where it was.
type Held = Rc<RefCell<Option<(String, Working)>>>;

pub(crate) fn start() {
    let scope: DedicatedWorkerGlobalScope = js_sys::global().unchecked_into();
    let (next, held) = (Next::default(), Held::default());
    let running = Rc::new(RefCell::new(false));
    let heard = {
        let scope = scope.clone();
        Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            let Ok(message) = event.data().dyn_into::<Uint8Array>() else { return };
            *next.borrow_mut() = read::<Option<Order>>(&message.to_vec()).unwrap_or_default();
            if !running.replace(true) {
                let (scope, next, running) = (scope.clone(), Rc::clone(&next), Rc::clone(&running));
                let held = Rc::clone(&held);
                spawn_local(async move {
                    run(&scope, &next, &held).await;
                    running.replace(false);
                });
            }
        })
    };
    scope.set_onmessage(Some(heard.as_ref().unchecked_ref()));
    // It listens as long as the worker lives.
    heard.forget();
}

async fn run(scope: &DedicatedWorkerGlobalScope, next: &Next, held: &Held) {
    loop {
        let Some(order) = next.borrow().clone() else { return };
        work(scope, next, held, &order).await;
        // What is done is not done again, unless it is asked for again.
        let mut next = next.borrow_mut();
        if next.as_ref() == Some(&order) {
            *next = None;
        }
    }
}

async fn work(scope: &DedicatedWorkerGlobalScope, next: &Next, held: &Held, order: &Order) {
    let begun = match held.take() {
        Some((key, working)) if key == order.key => Ok(working),
        _ => begin(order),
    };
    let mut working = match begun {
        Ok(working) => working,
        Err(why) => return tell(scope, order, (0, 0), Some(Err(why)), true),
    };
    let mut steps = 0;
    loop {
        match working.next_rung() {
            Err(error) => return tell(scope, order, (0, 0), Some(Err(error.to_string())), true),
            Ok(None) => {
                let progress = working.progress();
                let result = Some(Ok(working.so_far().encode()));
                return tell(scope, order, (progress.done, progress.of), result, true);
            }
            Ok(Some(progress)) => {
                steps += 1;
                let worth = steps % HANDED_EACH == 0;
                let result = worth.then(|| Ok(working.so_far().encode()));
                tell(scope, order, (progress.done, progress.of), result, false);
            }
        }
        // Other messages are heard between two steps.
        breathe().await;
        if next.borrow().as_ref() != Some(order) {
            let progress = working.progress();
            let result = Some(Ok(working.so_far().encode()));
            tell(scope, order, (progress.done, progress.of), result, false);
            *held.borrow_mut() = Some((order.key.clone(), working));
            return;
        }
    }
}

/// What an order asks for, in its worker's words.
pub(crate) fn drill_of(wanted: &Wanted) -> Result<Drill, String> {
    drills::shipped().remove(&wanted.drill).ok_or_else(|| format!("there is no drill {:?}", wanted.drill))
}

pub(crate) fn begin(order: &Order) -> Result<Working, String> {
    let task: Task = serde_json::from_str(&order.what).map_err(|error| error.to_string())?;
    let drill = drill_of(&task.wanted)?;
    let ladder = task.wanted.ladder(&drill).map_err(|error| error.to_string())?;
    let so_far = task.so_far.and_then(|text| Worked::decode(&text).ok());
    let working = match so_far {
        // What belongs to another version is worked out again.
        Some(worked) => Working::resume(ladder.clone(), worked).or_else(|_| Working::new(ladder)),
        None => Working::new(ladder),
    };
    working.map_err(|error| error.to_string())
}

fn tell(
    scope: &DedicatedWorkerGlobalScope,
    order: &Order,
    (done, of): (u32, u32),
    result: Option<Result<String, String>>,
    whole: bool,
) {
    let done = Done { key: order.key.clone(), done, of, result, whole };
    // Nobody hears it only if the page is gone.
    let _ = scope.post_message(&Uint8Array::from(write(&done).as_slice()));
}

/// Lets the browser deliver messages: a timer of nothing, since a promise alone would not.
async fn breathe() {
    let scope: DedicatedWorkerGlobalScope = js_sys::global().unchecked_into();
    let promise = js_sys::Promise::new(&mut |resolve, _| {
        let _ = scope.set_timeout_with_callback(&resolve);
    });
    let _ = JsFuture::from(promise).await;
}
