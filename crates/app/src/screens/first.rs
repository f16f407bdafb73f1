//! The first visit: who, and at which table. Each has an answer already.

use leptos::prelude::*;
use longrail_app_link::{Question, Table};

use super::setup::data::Import;
use crate::app::App;
use crate::parts::Field;
use crate::words;

/// What most players would say, and the size that most tables have in clubs: numbers into the lists.
const USUAL_SENTENCE: u32 = 1;
const USUAL_SIZE: &str = "9ft";

#[component]
pub(crate) fn First() -> impl IntoView {
    let app = App::here();
    let has_player = app.home.with_untracked(|home| home.as_ref().is_some_and(|home| home.player.is_some()));
    let sentences =
        app.home.with_untracked(|home| home.as_ref().map(|home| home.sentences.clone()).unwrap_or_default());
    let sizes =
        app.home.with_untracked(|home| home.as_ref().map(|home| home.sizes.clone()).unwrap_or_default());
    let name = RwSignal::new(words::USUAL_NAME.to_owned());
    let sentence = RwSignal::new(USUAL_SENTENCE);
    let table = RwSignal::new(words::USUAL_TABLE.to_owned());
    let size = RwSignal::new(USUAL_SIZE.to_owned());
    let busy = RwSignal::new(false);
    let go_on = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        busy.set(true);
        app.trouble.set(None);
        app.keep_storage();
        let card = Table { name: table.get(), size: size.get(), ..Table::default() };
        leptos::task::spawn_local(async move {
            let player =
                Question::AddPlayer { name: name.get_untracked(), start: Some(sentence.get_untracked()) };
            let mut outcome = Ok(());
            if !has_player
                && app.home.with_untracked(|home| home.as_ref().is_none_or(|home| home.player.is_none()))
            {
                outcome = app.ask(player).await.map(|_| ());
            }
            let outcome = match outcome {
                Ok(()) => app.ask(Question::AddTable(Box::new(card))).await.map(|_| ()),
                Err(why) => Err(why),
            };
            busy.set(false);
            if let Err(why) = outcome {
                app.trouble.set(Some(why));
            }
            app.tell(Question::Home);
        });
    };
    let who = (!has_player).then(|| {
        let choices = (0..).zip(sentences).map(|(number, text)| {
            view! {
                <label class="choice">
                    <input
                        type="radio"
                        name="sentence"
                        prop:checked=move || sentence.get() == number
                        on:change=move |_| sentence.set(number)
                    />
                    <span>{text}</span>
                </label>
            }
        });
        view! {
            <Field label=words::WHO value=name/>
            <fieldset><legend>{words::YOUR_GAME}</legend>{choices.collect_view()}</fieldset>
        }
    });
    let options = sizes
        .into_iter()
        .map(|(id, text)| {
            let chosen = id == USUAL_SIZE;
            view! { <option value=id selected=chosen>{text}</option> }
        })
        .collect_view();
    view! {
        <form class="page" on:submit=go_on>
            <h1>{words::WELCOME}</h1>
            <p class="quiet">{words::WELCOME_SAYS}</p>
            {who}
            <h2>{words::YOUR_TABLE}</h2>
            <label class="field">
                <span>{words::TABLE_SIZE}</span>
                <select on:change=move |event| size.set(event_target_value(&event))>{options}</select>
            </label>
            <Field label=words::TABLE_NAME value=table/>
            <button type="submit" class="main" disabled=move || busy.get()>{words::GO_ON}</button>
            <Otherwise/>
        </form>
    }
}

/// To go on with what another device has, or as somebody who is on record here.
#[component]
fn Otherwise() -> impl IntoView {
    let app = App::here();
    let told = RwSignal::new(None);
    // Where somebody came with the file, the next screen is here before it is read what came.
    on_cleanup(move || {
        if let Some(Some(told)) = told.try_get_untracked() {
            app.notice.set(Some(words::told_in_a_line(told)));
        }
    });
    let here =
        app.home.with_untracked(|home| home.as_ref().and_then(|home| Some(home.player.as_ref()?.id.clone())));
    let others =
        app.home.with_untracked(|home| home.as_ref().map(|home| home.players.clone()).unwrap_or_default());
    let others: Vec<AnyView> = others
        .into_iter()
        .filter(|other| Some(&other.id) != here.as_ref())
        .map(|other| {
            view! {
                <button type="button" class="second" on:click=move |_| {
                    app.tell_then(Question::UsePlayer { player: other.id.clone() }, move |_| app.seat.set(None));
                }>{other.name.clone()}</button>
            }
            .into_any()
        })
        .collect();
    if others.is_empty() {
        view! { <p class="quiet">{words::OR_READ}</p><Import told after=|| {}/> }.into_any()
    } else {
        view! { <p class="quiet">{words::OR_USE}</p>{others} }.into_any()
    }
}
