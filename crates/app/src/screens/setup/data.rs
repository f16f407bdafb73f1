//! Data out and in.

use leptos::prelude::*;
use leptos::task::spawn_local;
use longrail_app_link::{Question, Reply, Setup as View, Start};

use crate::app::App;
use crate::device;
use crate::parts::Sheet;
use crate::words;

#[component]
pub(super) fn Data(
    view: View,
    told: Told,
    take: impl Fn(Reply) + Copy + Send + Sync + 'static,
) -> impl IntoView {
    let app = App::here();
    let erasing = RwSignal::new(false);
    // Who that is stays, whoever another window puts in use.
    let who = StoredValue::new(None::<Start>);
    let export = move |_| {
        app.tell_then(Question::Export, move |reply| {
            let Reply::Log { lines, until, events } = reply else { return };
            let name = format!("longrail-{}.jsonl", device::date());
            match device::save(&name, &lines) {
                Ok(()) => {
                    told.set(Some((words::exported(&name, events), Vec::new())));
                    app.tell(Question::BackedUp { until });
                }
                Err(_) => app.trouble.set(Some(words::NOT_SAVED.to_owned())),
            }
        });
    };
    let safe = move || {
        app.home.with(|home| home.as_ref().map_or(view.kept.not_backed_up, |home| home.not_backed_up))
    };
    view! {
        <section>
            <h2>{words::DATA}</h2>
            <p>{words::kept(view.kept.events, &view.kept.backed_up)}" "{move || words::not_backed_up(safe())}</p>
            {move || (app.may_be_cleared.get() != Some(false)).then(|| view! { <p class="quiet">{words::MAY_BE_CLEARED}</p> })}
            <button type="button" class="second" on:click=export>{words::EXPORT}</button>
            <Import told after=move || app.tell_then(Question::Setup, take)/>
            <button type="button" class="second caution" on:click=move |_| {
                who.set_value(app.user());
                erasing.set(true);
            }>{words::ERASE}</button>
            <Sheet open=erasing title=words::ERASE>
                <p>{move || erasing.get().then(|| who.get_value().map(|who| who.name))}" "{words::ERASE_SAYS}</p>
                <div class="row">
                    <button type="button" class="second" on:click=move |_| erasing.set(false)>{words::KEEP_IT}</button>
                    <button type="button" class="second caution" on:click=move |_| {
                        erasing.set(false);
                        let player = who.get_value().map(|who| who.id).unwrap_or_default();
                        app.tell_then(Question::Erase { player }, move |_| {
                            app.seat.set(None);
                            app.tell(Question::Share);
                        });
                    }>{words::ERASE_YES}</button>
                </div>
            </Sheet>
        </section>
    }
}

/// What was said last of data going out or in.
pub(crate) type Told = RwSignal<Option<(String, Vec<String>)>>;

/// Reads a backup file.
#[component]
pub(crate) fn Import(
    told: Told,
    /// What else is to do when it was read.
    after: impl Fn() + Copy + 'static,
) -> impl IntoView {
    let app = App::here();
    let import = move |event: web_sys::Event| {
        let input = event_target::<web_sys::HtmlInputElement>(&event);
        let Some(file) = input.files().and_then(|files| files.get(0)) else { return };
        // The same file can be chosen again.
        input.set_value("");
        spawn_local(async move {
            let Some(lines) = device::read(&file).await else {
                app.trouble.set(Some(words::NOT_READ.to_owned()));
                return;
            };
            told.set(Some((words::READING.to_owned(), Vec::new())));
            let came = match app.ask(Question::Import { lines }).await {
                Ok(Reply::Taken { new, known, erased, refused }) => {
                    Some((words::taken(new, known, erased, refused.len()), refused))
                }
                Ok(_) => None,
                Err(why) => {
                    app.trouble.set(Some(why));
                    None
                }
            };
            told.try_set(came);
            app.changed();
            after();
        });
    };
    view! {
        <label class="second file">
            <span>{words::IMPORT}</span>
            <input type="file" accept=".jsonl,.json,.txt" on:change=import/>
        </label>
        {move || told.get().map(|(says, refused)| view! {
            <p role="status">{says}</p>
            <ul class="plain-list">{refused.into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}</ul>
        })}
    }
}
