//! What all screens share.

use std::time::Duration;

use leptos::prelude::*;
use leptos::task::spawn_local;
use longrail_app_link::{Home, Question, Reply, Seat, Start};
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::Closure;

use crate::device;
use crate::link::{Heard, Link};
use crate::words;

/// The screens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Route {
    /// What to do.
    Today,
    /// Scoring.
    Table,
    /// Where one stands.
    Ladders,
    /// What is proved.
    Evidence,
    /// Players, tables, data.
    Setup,
}

impl Route {
    /// Those of the navigation, in its order.
    pub(crate) const ALL: [Self; 5] = [Self::Today, Self::Table, Self::Ladders, Self::Evidence, Self::Setup];

    /// In the address.
    pub(crate) const fn path(self) -> &'static str {
        match self {
            Self::Today => "#/today",
            Self::Table => "#/table",
            Self::Ladders => "#/ladders",
            Self::Evidence => "#/evidence",
            Self::Setup => "#/setup",
        }
    }

    fn of(path: &str) -> Self {
        Self::ALL.into_iter().find(|route| route.path() == path).unwrap_or(Self::Today)
    }
}

/// Whose attempt it was, and in which set; an empty one for whichever is open.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Shot {
    pub(crate) player: String,
    pub(crate) set: String,
}

/// The setting in which a page that is loaded again finds whose turn it is.
const TURNS: &str = "turns";

/// As long as this somebody who is new waits for a machine that does not answer.
const LOOKING: Duration = Duration::from_secs(3);

/// What all screens share. A copy is the same thing.
#[derive(Clone, Copy)]
pub(crate) struct App {
    link: StoredValue<Link, LocalStorage>,
    pub(crate) heard: Heard,
    pub(crate) route: RwSignal<Route>,
    /// Who is here; nothing until the record has answered.
    pub(crate) home: RwSignal<Option<Home>>,
    /// Whether somebody may be on record elsewhere who is not here yet.
    pub(crate) looking: RwSignal<bool>,
    /// The open set, as it was told last.
    pub(crate) seat: RwSignal<Option<Seat>>,
    /// Whose turn it is; none for the player in use.
    pub(crate) shooter: RwSignal<Option<String>>,
    /// Attempts in a row before the next one's turn, 0 if turns are taken by hand; and how many of them were shot.
    pub(crate) each: RwSignal<u32>,
    pub(crate) in_turn: RwSignal<u32>,
    /// What was shot, oldest first: it can be taken back when it is another one's turn by then.
    pub(crate) shots: RwSignal<Vec<Shot>>,
    /// What is wrong and what to do, where it is not shown beside what was typed.
    pub(crate) trouble: RwSignal<Option<String>>,
    /// What came of something, where that is not seen at once.
    pub(crate) notice: RwSignal<Option<String>>,
    /// A sheet lies over the screen, and trouble is told in it.
    pub(crate) covered: RwSignal<bool>,
    /// A newer version can be had.
    pub(crate) newer: RwSignal<bool>,
    pub(crate) light: RwSignal<bool>,
    /// Whether the browser may clear the storage: nothing while that is not known. And whether it was asked not to.
    pub(crate) may_be_cleared: RwSignal<Option<bool>>,
    asked: RwSignal<bool>,
    /// Whether there is room for the table lengthwise.
    pub(crate) wide: RwSignal<bool>,
}

impl App {
    /// Starts the workers and listens to the browser.
    pub(crate) fn start() -> Self {
        let heard = Heard {
            ready: RwSignal::new(false),
            changed: RwSignal::new(0),
            shared: RwSignal::new(false),
            failed: RwSignal::new(None),
            computing: RwSignal::new(None),
            paused: RwSignal::new(false),
        };
        let app = Self {
            link: StoredValue::new_local(Link::start(heard)),
            heard,
            route: RwSignal::new(Route::of(&device::hash())),
            home: RwSignal::new(None),
            looking: RwSignal::new(true),
            seat: RwSignal::new(None),
            shooter: RwSignal::new(None),
            each: RwSignal::new(0),
            in_turn: RwSignal::new(0),
            shots: RwSignal::new(Vec::new()),
            trouble: RwSignal::new(None),
            notice: RwSignal::new(None),
            covered: RwSignal::new(false),
            newer: RwSignal::new(device::update_waits()),
            light: RwSignal::new(device::setting("light").as_deref() == Some("yes")),
            may_be_cleared: RwSignal::new(None),
            asked: RwSignal::new(false),
            wide: RwSignal::new(device::is_wide()),
        };
        provide_context(app);
        device::on_window("hashchange", move || app.route.set(Route::of(&device::hash())));
        device::on_window("longrail-update", move || app.newer.set(true));
        device::on_window("resize", move || {
            let wide = device::is_wide();
            if wide != app.wide.get_untracked() {
                app.wide.set(wide);
            }
        });
        spawn_local(async move { app.may_be_cleared.set(device::is_kept().await.map(|kept| !kept)) });
        Effect::new(move || {
            if heard.ready.get() {
                heard.changed.track();
                app.tell(Question::Home);
            }
        });
        Effect::new(move || device::set_theme(app.light.get()));
        // Browsers drop pages that lie in a pocket.
        Effect::new(move || {
            let visit = app.home.with(|home| home.as_ref().and_then(visit));
            let shooter = app.shooter.get().unwrap_or_default();
            let kept =
                visit.map(|visit| format!("{visit} {} {} {shooter}", app.each.get(), app.in_turn.get()));
            if app.home.with(Option::is_some) {
                device::set_setting(TURNS, &kept.unwrap_or_default());
            }
        });
        // What is new is shared when the record is open, when the network is back, and when a set or a visit ends.
        Effect::new(move || {
            if heard.ready.get() {
                app.tell(Question::Share);
            }
        });
        // Who is new is asked about only when nobody is on record: not here, nor on the machine that serves the app.
        let looked = move || app.tell_then(Question::Home, move |_| app.looking.set(false));
        Effect::new(move || {
            if heard.shared.get() && app.looking.get_untracked() {
                looked();
            }
        });
        set_timeout(move || app.looking.set(false), LOOKING);
        device::on_window("online", move || app.tell(Question::Share));
        app
    }

    /// The one that was started.
    pub(crate) fn here() -> Self {
        expect_context::<Self>()
    }

    /// Who is in use, as the screen shows it.
    pub(crate) fn user(self) -> Option<Start> {
        self.home.with_untracked(|home| home.as_ref().and_then(|home| home.player.clone()))
    }

    /// Asks, and waits for the answer.
    pub(crate) async fn ask(self, question: Question) -> Result<Reply, String> {
        let Some(receiver) = self.link.try_with_value(|link| link.ask(question)) else {
            return Err(words::WORKER_FAILED.to_owned());
        };
        receiver.await.unwrap_or_else(|_| Err(words::WORKER_FAILED.to_owned()))
    }

    /// Asks, and takes the answer where screens look for it; trouble is shown.
    pub(crate) fn tell(self, question: Question) {
        self.tell_then(question, |_| {});
    }

    /// The same, and then does something with the answer.
    pub(crate) fn tell_then(self, question: Question, then: impl FnOnce(Reply) + 'static) {
        spawn_local(async move {
            match self.ask(question).await {
                Ok(reply) => {
                    self.take(&reply);
                    then(reply);
                }
                Err(why) => self.trouble.set(Some(why)),
            }
        });
    }

    fn take(self, reply: &Reply) {
        match reply {
            Reply::Ended(_) => self.tell(Question::Share),
            Reply::Home(home) => {
                let who = |home: &Home| home.player.as_ref().map(|player| player.id.clone());
                // Turns are taken in the visit of whoever is in use.
                let before = self.home.with_untracked(|before| before.as_ref().map(who));
                if before != Some(who(home)) {
                    self.turn_of(None);
                    self.each.set(0);
                    self.shots.update(Vec::clear);
                }
                if before.is_none() {
                    self.turns_again(home);
                }
                self.home.set(Some((**home).clone()));
            }
            Reply::Seat(seat) => self.seat.set(seat.as_deref().cloned()),
            _ => {}
        }
    }

    /// What was said before is not about what comes now.
    pub(crate) fn quiet(self) {
        self.trouble.set(None);
        self.notice.set(None);
    }

    /// Goes to a screen.
    pub(crate) fn go(self, route: Route) {
        self.quiet();
        device::go(route.path());
    }

    /// It is this one's turn, from the first attempt of it.
    pub(crate) fn turn_of(self, player: Option<String>) {
        self.shooter.set(player);
        self.in_turn.set(0);
    }

    /// The turns that were taken in this visit before the page was loaded again.
    fn turns_again(self, home: &Home) {
        let kept = device::setting(TURNS).unwrap_or_default();
        let of_visit = visit(home).and_then(|visit| kept.strip_prefix(&visit));
        let mut parts = of_visit.unwrap_or_default().split(' ').skip(1);
        let mut number = || parts.next().and_then(|number| number.parse().ok()).unwrap_or(0);
        let (each, in_turn) = (number(), number());
        self.each.set(each);
        self.shooter.set(parts.next().filter(|player| !player.is_empty()).map(str::to_owned));
        self.in_turn.set(in_turn);
    }

    /// What is wrong and what to do: with what was asked for, or with the record's worker.
    pub(crate) fn wrong(self) -> Option<String> {
        self.trouble.get().or_else(|| self.heard.failed.get())
    }

    /// Something has changed here as if another window had done it: who shows it asks anew.
    pub(crate) fn changed(self) {
        self.heard.changed.update(|count| *count = count.wrapping_add(1));
    }

    /// Stops what is being computed, or goes on with it.
    pub(crate) fn pause(self, pause: bool) {
        let _ = self.link.try_with_value(|link| link.pause(pause));
    }

    /// Asks the browser to keep what is stored, unless it does already. It may refuse, or ask the person: once a visit is enough.
    pub(crate) fn keep_storage(self) {
        if self.may_be_cleared.get_untracked() == Some(false) || self.asked.get_untracked() {
            return;
        }
        self.asked.set(true);
        spawn_local(async move { self.may_be_cleared.set(device::ask_to_keep().await.map(|kept| !kept)) });
    }
}

/// What tells a visit from others.
fn visit(home: &Home) -> Option<String> {
    Some(format!("{} {}", home.player.as_ref()?.id, home.open.as_ref()?.began_ms))
}

/// Calls back at each press of a key, until the screen is gone.
pub(crate) fn on_keys(take: impl Fn(web_sys::KeyboardEvent) + 'static) {
    let Some(window) = web_sys::window() else { return };
    let closure = Closure::<dyn FnMut(web_sys::KeyboardEvent)>::new(take);
    let _ = window.add_event_listener_with_callback("keydown", closure.as_ref().unchecked_ref());
    let closure = StoredValue::new_local(closure);
    on_cleanup(move || {
        closure.try_with_value(|closure| {
            let _ = window.remove_event_listener_with_callback("keydown", closure.as_ref().unchecked_ref());
        });
    });
}
