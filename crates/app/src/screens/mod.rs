//! The screens, and the frame around them.

mod ended;
mod evidence;
mod first;
mod harder;
mod ladders;
mod more;
mod setup;
mod table;
mod today;

use leptos::prelude::*;

use crate::app::{App, Route};
use crate::device;
use crate::parts::Navigation;
use crate::words;

/// The frame: what is told on all screens, the screen, and the navigation.
#[component]
pub(crate) fn Frame() -> impl IntoView {
    let app = App::start();
    // While scoring, the whole screen is the table's.
    let scoring = move || app.route.get() == Route::Table && app.seat.with(Option::is_some);
    Effect::new(move |before: Option<Route>| {
        let route = app.route.get();
        device::set_title(&words::title(route));
        if before.is_some_and(|before| before != route) {
            // What was said on one screen is not about the next.
            app.quiet();
            device::focus_on("#main");
        }
        route
    });
    // Once the record is open, trouble is told in a bar, and the screen stays as it is.
    let stage =
        Memo::new(move |_| match app.home.with(|home| home.as_ref().map(|home| home.table.is_some())) {
            None => Stage::Opening(app.heard.failed.get()),
            Some(false) if app.looking.get() => Stage::Opening(None),
            Some(false) => Stage::First,
            Some(true) => Stage::Open,
        });
    Effect::new(move || {
        if stage.get() != Stage::Opening(None) {
            device::end_welcome();
        }
    });
    view! {
        <div class="frame" class:scoring=scoring>
            <Bars/>
            <main id="main" tabindex="-1">
                {move || match stage.get() {
                    Stage::Opening(Some(why)) => view! { <p class="trouble" role="alert">{why}</p> }.into_any(),
                    // The page says so itself.
                    Stage::Opening(None) => ().into_any(),
                    Stage::First => view! { <first::First/> }.into_any(),
                    Stage::Open => view! { <Screen/> }.into_any(),
                }}
            </main>
            {move || (stage.get() == Stage::Open).then(|| view! { <Navigation/> })}
        </div>
    }
}

/// How far the app is.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Stage {
    /// The record is being opened, or cannot be, and why.
    Opening(Option<String>),
    /// Nobody is on record, or no table.
    First,
    /// Everything is there.
    Open,
}

#[component]
fn Screen() -> impl IntoView {
    let app = App::here();
    move || match app.route.get() {
        Route::Today => view! { <today::Today/> }.into_any(),
        Route::Table => view! { <table::Table/> }.into_any(),
        Route::Ladders => view! { <ladders::Ladders/> }.into_any(),
        Route::Evidence => view! { <evidence::Evidence/> }.into_any(),
        Route::Setup => view! { <setup::Setup/> }.into_any(),
    }
}

/// What is told whatever the screen: a newer version, trouble.
#[component]
fn Bars() -> impl IntoView {
    let app = App::here();
    let opened = move || app.home.with(Option::is_some);
    let wrong = move || if opened() { app.wrong() } else { app.trouble.get() };
    view! {
        <div class="bars">
        {move || app.newer.get().then(|| view! {
            <div class="bar" role="status">
                <span>{words::NEWER}</span>
                <button type="button" class="plain" on:click=move |_| device::update_now()>{words::TAKE_NEWER}</button>
                <button type="button" class="plain" on:click=move |_| app.newer.set(false)>{words::LATER}</button>
            </div>
        })}
        {move || app.notice.get().map(|says| view! {
            <div class="bar" role="status">
                <span>{says}</span>
                <button type="button" class="plain" on:click=move |_| app.notice.set(None)>{words::CLOSE}</button>
            </div>
        })}
        {move || wrong().filter(|_| !app.covered.get()).map(|why| view! {
            <div class="bar trouble" role="alert">
                <span>{why}</span>
                <button type="button" class="plain" on:click=move |_| {
                    app.trouble.set(None);
                    app.heard.failed.set(None);
                }>{words::CLOSE}</button>
            </div>
        })}
        </div>
    }
}
