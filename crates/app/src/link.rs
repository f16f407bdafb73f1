//! The way to the workers: questions to the record's, and orders from it to the one that computes.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;

use futures_channel::oneshot;
use js_sys::Uint8Array;
use leptos::prelude::*;
use longrail_app_link::{Ask, Done, Order, Question, Reply, Told, read, write};
use wasm_bindgen::prelude::Closure;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{MessageEvent, Worker, WorkerOptions, WorkerType};

use crate::words;

/// The worker's script, beside the page.
const SCRIPT: &str = "./worker.js";

/// Questions that are not answered yet.
type Waiting = Rc<RefCell<BTreeMap<u32, oneshot::Sender<Result<Reply, String>>>>>;

/// What was ordered last, as it is written for the worker that computes.
type Ordered = Rc<RefCell<Vec<u8>>>;

/// What workers say unasked.
#[derive(Clone, Copy)]
pub(crate) struct Heard {
    /// The record's worker is ready.
    pub(crate) ready: RwSignal<bool>,
    /// Counts changes that were not asked for here.
    pub(crate) changed: RwSignal<u32>,
    /// What the machine that serves the app has of the record is here, as far as it can be had.
    pub(crate) shared: RwSignal<bool>,
    /// What cannot work at all.
    pub(crate) failed: RwSignal<Option<String>>,
    /// What is computed, steps done, and of how many.
    pub(crate) computing: RwSignal<Option<(String, u32, u32)>>,
    /// Whether computing was stopped by hand.
    pub(crate) paused: RwSignal<bool>,
}

/// The workers.
pub(crate) struct Link {
    record: Option<Worker>,
    ladders: Option<Worker>,
    heard: Heard,
    /// What was ordered last.
    order: Ordered,
    next: Cell<u32>,
    waiting: Waiting,
}

/// An order of nothing.
fn nothing() -> Vec<u8> {
    write(&None::<Order>)
}

fn worker(name: &str) -> Result<Worker, JsValue> {
    let options = WorkerOptions::new();
    options.set_type(WorkerType::Module);
    options.set_name(name);
    Worker::new_with_options(SCRIPT, &options)
}

impl Link {
    /// Starts the workers.
    pub(crate) fn start(heard: Heard) -> Self {
        let (waiting, order) = (Waiting::default(), Rc::new(RefCell::new(nothing())));
        let (Ok(record), Ok(ladders)) = (worker("record"), worker("ladders")) else {
            heard.failed.set(Some(words::NO_WORKERS.to_owned()));
            return Self { record: None, ladders: None, heard, order, next: Cell::new(0), waiting };
        };
        listen_to_record(&record, &ladders, &waiting, &order, heard);
        listen_to_ladders(&record, &ladders, heard);
        Self { record: Some(record), ladders: Some(ladders), heard, order, next: Cell::new(0), waiting }
    }

    /// Stops the worker that computes, or lets it go on; what it has done so far is kept.
    pub(crate) fn pause(&self, pause: bool) {
        self.heard.paused.set(pause);
        if let Some(ladders) = &self.ladders {
            let order = if pause { nothing() } else { self.order.borrow().clone() };
            post(ladders, &order);
        }
    }

    /// Asks a question; the answer comes through the receiver.
    pub(crate) fn ask(&self, question: Question) -> oneshot::Receiver<Result<Reply, String>> {
        let (sender, receiver) = oneshot::channel();
        let number = self.next.get();
        self.next.set(number.wrapping_add(1));
        match &self.record {
            Some(record) => {
                self.waiting.borrow_mut().insert(number, sender);
                post(record, &write(&Ask::Question(number, question)));
            }
            None => {
                let _ = sender.send(Err(words::NO_WORKERS.to_owned()));
            }
        }
        receiver
    }
}

fn listen_to_record(record: &Worker, ladders: &Worker, waiting: &Waiting, order: &Ordered, heard: Heard) {
    let (waiting, ladders, ordered) = (Rc::clone(waiting), ladders.clone(), Rc::clone(order));
    on_message(record, move |message| match read::<Told>(&message) {
        Some(Told::Ready) => heard.ready.set(true),
        Some(Told::Shared) => heard.shared.set(true),
        Some(Told::Failed(why)) => heard.failed.set(Some(why)),
        Some(Told::Changed) => heard.changed.update(|count| *count = count.wrapping_add(1)),
        Some(Told::Wanted(order)) => {
            heard.computing.set(order.as_ref().map(|order| (order.title.clone(), 0, 0)));
            let message = write(&order);
            if !heard.paused.get_untracked() {
                post(&ladders, &message);
            }
            *ordered.borrow_mut() = message;
        }
        Some(Told::Answer(answer)) => {
            if let Some(sender) = waiting.borrow_mut().remove(&answer.number) {
                // The screen that asked may be gone.
                let _ = sender.send(answer.reply);
            }
        }
        None => heard.failed.set(Some(words::WORKER_FAILED.to_owned())),
    });
    on_error(record, heard);
}

fn listen_to_ladders(record: &Worker, ladders: &Worker, heard: Heard) {
    let record = record.clone();
    on_message(ladders, move |message| {
        let Some(done) = read::<Done>(&message) else { return };
        heard.computing.update(|computing| {
            if let Some((_, steps, of)) = computing {
                (*steps, *of) = (done.done, done.of);
            }
        });
        if done.result.is_some() {
            post(&record, &write(&Ask::Done(done)));
        }
    });
    on_error(ladders, heard);
}

fn post(worker: &Worker, message: &[u8]) {
    let _ = worker.post_message(&Uint8Array::from(message));
}

fn on_message(worker: &Worker, mut take: impl FnMut(Vec<u8>) + 'static) {
    let heard = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        if let Ok(message) = event.data().dyn_into::<Uint8Array>() {
            take(message.to_vec());
        }
    });
    worker.set_onmessage(Some(heard.as_ref().unchecked_ref()));
    // It listens as long as the page lives.
    heard.forget();
}

fn on_error(worker: &Worker, heard: Heard) {
    let failed = Closure::<dyn FnMut()>::new(move || heard.failed.set(Some(words::WORKER_FAILED.to_owned())));
    worker.set_onerror(Some(failed.as_ref().unchecked_ref()));
    failed.forget();
}
