//! The end of a set: three lines, and what the player decides.

use leptos::html::Dialog;
use leptos::prelude::*;
use longrail_app_link::{Ended, Question, Reply};

use super::table::Scoring;
use super::today::begin;
use crate::app::{App, Route};
use crate::words;

#[component]
pub(crate) fn EndedSheet(ended: Ended) -> impl IntoView {
    let app = App::here();
    let scoring = expect_context::<Scoring>();
    let dialog = NodeRef::<Dialog>::new();
    let show = move || {
        if let Some(dialog) = dialog.get_untracked() {
            if !dialog.open() {
                let _ = dialog.show_modal();
            }
            app.covered.set(true);
        }
    };
    Effect::new(move || {
        dialog.track();
        show();
    });
    on_cleanup(move || app.covered.set(false));
    // Keys that close a sheet do not close this one before it is answered.
    let closed = move |_| {
        if scoring.ended.with_untracked(Option::is_some) {
            show();
        }
    };
    // What is offered must be answered first, or it is not taken.
    let decided = !(ended.passed || ended.step_back);
    let set = ended.set.clone();
    let decide = move |taken: bool| {
        app.trouble.set(None);
        app.tell_then(Question::Decide { set: set.clone(), taken }, move |reply| {
            if let Reply::Ended(ended) = reply {
                scoring.ended.set(Some(*ended));
            }
        });
    };
    let leave = move || {
        scoring.ended.set(None);
        app.turn_of(None);
        app.trouble.set(None);
        app.seat.set(None);
        app.tell(Question::Home);
    };
    let (take, no) = (decide.clone(), decide);
    let next = ended.begin.clone();
    let (taken, not) =
        if ended.passed { (words::PASS_IT, words::NOT_YET) } else { (words::STEP_BACK, words::STAY) };
    let words_next = ended.begin_words.clone();
    view! {
        <dialog node_ref=dialog class="sheet" aria-label=words::SET_ENDED on:cancel=move |event: web_sys::Event| event.prevent_default() on:close=closed>
            <p class="did">{ended.did.clone()}</p>
            <p>{ended.settled.clone()}</p>
            <p><b>{ended.next.clone()}</b></p>
            {move || app.wrong().map(|why| view! { <p class="wrong" role="alert">{why}</p> })}
            {move || {
                let (take, no) = (take.clone(), no.clone());
                let next = next.clone();
                let words_next = words_next.clone();
                if decided || app.wrong().is_some() {
                    view! {
                        <div class="row">
                            {next.filter(|_| decided).map(|set| view! {
                                <button type="button" class="main" on:click=move |_| {
                                    scoring.ended.set(None);
                                    begin(app, set.clone());
                                }>{words_next}</button>
                            })}
                            <button type="button" class="second" on:click=move |_| {
                                leave();
                                app.go(Route::Today);
                            }>{words::ENOUGH}</button>
                        </div>
                    }.into_any()
                } else {
                    view! {
                        <div class="row">
                            <button type="button" class="main" on:click=move |_| take(true)>{taken}</button>
                            <button type="button" class="main" on:click=move |_| no(false)>{not}</button>
                        </div>
                    }.into_any()
                }
            }}
        </dialog>
    }
}
