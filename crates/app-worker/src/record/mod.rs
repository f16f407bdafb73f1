//! The record's worker: one question after the other, each answered from the record or written into it.

mod answers;
mod book;
mod changes;
mod data;
mod database;
mod here;
mod home;
mod keeper;
mod share;
mod shelf;
mod trouble;
mod writes;

#[cfg(test)]
pub(crate) use shelf::News;
pub(crate) use shelf::{Away, Shelf};
pub(crate) use trouble::Trouble;

use std::rc::Rc;

use js_sys::Uint8Array;
use longrail_app_link::{Answer, Ask, Question, Reply, Told, read, write};
use tokio::sync::mpsc::{UnboundedSender, unbounded_channel};
use wasm_bindgen::prelude::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::spawn_local;
use web_sys::{BroadcastChannel, DedicatedWorkerGlobalScope, MessageEvent};

use keeper::Keeper;
use share::{Exchanged, exchange};

/// What windows of one browser tell each other by.
const CHANNEL: &str = "longrail";

/// What comes in.
enum Heard {
    Asked(Vec<u8>),
    /// Another window wrote.
    Elsewhere,
    /// An exchange with the server's record has ended.
    Exchanged(Exchanged),
}

pub(crate) fn start() {
    let scope: DedicatedWorkerGlobalScope = js_sys::global().unchecked_into();
    let (sender, mut heard) = unbounded_channel();
    let back = sender.clone();
    let asked = listen(sender.clone(), |data| {
        data.dyn_into::<Uint8Array>().ok().map(|bytes| Heard::Asked(bytes.to_vec()))
    });
    scope.set_onmessage(Some(asked.as_ref().unchecked_ref()));
    // They listen as long as the worker lives.
    asked.forget();
    // A browser without it has this window's word only, until the next question reads anew.
    let channel = BroadcastChannel::new(CHANNEL).ok().map(Rc::new);
    if let Some(channel) = &channel {
        let elsewhere = listen(sender, |data| data.is_string().then_some(Heard::Elsewhere));
        channel.set_onmessage(Some(elsewhere.as_ref().unchecked_ref()));
        elsewhere.forget();
    }
    spawn_local(async move {
        let mut keeper = match Keeper::open().await {
            Ok(keeper) => keeper,
            Err(trouble) => return tell(&scope, &Told::Failed(trouble.to_string())),
        };
        tell(&scope, &Told::Ready);
        let mut sharing = false;
        while let Some(heard) = heard.recv().await {
            match heard {
                Heard::Exchanged(exchanged) => {
                    sharing = false;
                    let outcome = match exchanged {
                        Exchanged::Nothing => Ok(()),
                        Exchanged::Other(store) => {
                            let met = keeper.meet(store).await;
                            sharing = met.is_ok() && share(&keeper, &back).await;
                            met
                        }
                        // What is nowhere else has changed in any case.
                        Exchanged::Shared(shared) => {
                            keeper.take_shared(shared).await.map(|()| tell(&scope, &Told::Changed))
                        }
                    };
                    if let Err(trouble) = outcome {
                        tell(&scope, &Told::Failed(trouble.to_string()));
                    }
                    if !sharing {
                        tell(&scope, &Told::Shared);
                    }
                }
                Heard::Elsewhere => tell(&scope, &Told::Changed),
                Heard::Asked(message) => match read::<Ask>(&message) {
                    Some(Ask::Question(number, Question::Share)) => {
                        sharing = sharing || share(&keeper, &back).await;
                        tell(&scope, &Told::Answer(Answer { number, reply: Ok(Reply::Later) }));
                    }
                    Some(Ask::Question(number, question)) => {
                        let reply = keeper.answer(question).await.map_err(|trouble| trouble.to_string());
                        tell(&scope, &Told::Answer(Answer { number, reply }));
                    }
                    Some(Ask::Done(done)) => match keeper.take_done(done).await {
                        Ok(true) => tell(&scope, &Told::Changed),
                        Ok(false) => {}
                        Err(trouble) => tell(&scope, &Told::Failed(trouble.to_string())),
                    },
                    None => tell(&scope, &Told::Failed("a message could not be read".to_owned())),
                },
            }
            if keeper.wrote()
                && let Some(channel) = &channel
            {
                // The others read anew at their next question in any case.
                let _ = channel.post_message(&"wrote".into());
            }
            if let Some(shelf::News(order)) = keeper.next_order() {
                tell(&scope, &Told::Wanted(order));
            }
        }
    });
}

/// Begins an exchange with the record of the machine that serves the app. Says whether one has begun.
async fn share(keeper: &Keeper, back: &UnboundedSender<Heard>) -> bool {
    let Ok(sending) = keeper.sending().await else { return false };
    let back = back.clone();
    spawn_local(async move {
        // The receiver lives as long as the worker.
        let _ = back.send(Heard::Exchanged(exchange(sending).await));
    });
    true
}

fn listen(
    sender: UnboundedSender<Heard>,
    as_heard: impl Fn(JsValue) -> Option<Heard> + 'static,
) -> Closure<dyn FnMut(MessageEvent)> {
    Closure::new(move |event: MessageEvent| {
        if let Some(heard) = as_heard(event.data()) {
            // The receiver lives as long as the worker.
            let _ = sender.send(heard);
        }
    })
}

/// Tells the page, from wherever.
fn tell_all(told: &Told) {
    tell(&js_sys::global().unchecked_into(), told);
}

fn tell(scope: &DedicatedWorkerGlobalScope, told: &Told) {
    let _ = scope.post_message(&Uint8Array::from(write(told).as_slice()));
}
