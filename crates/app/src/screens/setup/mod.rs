//! Setup: player, tables, display, data out and in.

mod card;
pub(super) mod data;
mod player;
mod tables;

use leptos::prelude::*;
use longrail_app_link::{Question, Reply, Setup as View};

use self::data::{Data, Told};
use self::player::{PlayerForm, Players};
use self::tables::Tables;
use crate::app::App;
use crate::device;
use crate::parts::Check;
use crate::words;

#[component]
pub(crate) fn Setup() -> impl IntoView {
    let app = App::here();
    let view = RwSignal::new(None::<View>);
    let take = move |reply: Reply| {
        if let Reply::Setup(found) = reply {
            let notice = Some(found.notice.clone()).filter(|notice| !notice.is_empty());
            if notice.is_some() {
                app.notice.set(notice);
            }
            view.try_set(Some(*found));
            app.tell(Question::Home);
        }
    };
    // Another player has other tables.
    let who = Memo::new(move |_| {
        app.home.with(|home| home.as_ref().and_then(|home| Some(home.player.as_ref()?.id.clone())))
    });
    Effect::new(move || {
        // To read it: one that is only tracked is never worked out, and tells nothing.
        who.get();
        app.tell_then(Question::Setup, take);
    });
    // Each part is drawn anew for what is its own: what is typed in the others stays.
    let part = move |of: fn(&View) -> View| Memo::new(move |_| view.with(|view| view.as_ref().map(of)));
    let player =
        part(|view| View { player: view.player.clone(), assumed: view.assumed.clone(), ..View::default() });
    let tables = Memo::new(move |_| view.with(|view| view.as_ref().map(|view| view.tables.clone())));
    let used = Memo::new(move |_| {
        view.with(|view| view.as_ref().map(|view| view.table.clone()).unwrap_or_default())
    });
    let known = Memo::new(move |_| tables.with(Option::is_some));
    let tables = Signal::derive(move || tables.get().unwrap_or_default());
    // What was said of a file stays when what is kept is told anew.
    let told: Told = RwSignal::new(None);
    let data = part(|view| View { kept: view.kept.clone(), ..View::default() });
    view! {
        <div class="page">
            <h1>{words::SETUP}</h1>
            {move || player.get().map(|view| view! { <PlayerForm player=view.player assumed=view.assumed take/> })}
            <Players/>
            {move || known.get().then(|| view! { <Tables tables used=used.into() take/> })}
            <Display/>
            {move || data.get().map(|view| view! { <Data view told take/> })}
        </div>
    }
}

#[component]
fn Display() -> impl IntoView {
    let app = App::here();
    let tick = RwSignal::new(device::setting("tick").as_deref() != Some("no"));
    Effect::new(move || device::set_setting("tick", if tick.get() { "yes" } else { "no" }));
    view! {
        <section>
            <h2>{words::DISPLAY}</h2>
            <Check label=words::LIGHT value=app.light/>
            <Check label=words::TICK value=tick/>
        </section>
    }
}
