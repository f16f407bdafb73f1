//! At the table: the layout to set up, and one tap an attempt.
//!
//! A tap shows at once as waiting, and as counted when the record's worker says that it is kept for good. Taps are asked one after
//! the other, so that their order is theirs.

mod scoring;
mod stands;

use leptos::prelude::*;
use leptos::task::spawn_local;
use longrail_app_link::{Ball, Clock as Clocked, CueEnd, Fixed, Press, Question, Seat, Side, Way};
use wasm_bindgen::JsCast;

use super::ended::EndedSheet;
use super::more::More;
use crate::app::{App, Route, on_keys};
use crate::device;
use crate::parts::{Odds, Waiting};
use crate::words;
pub(crate) use scoring::Scoring;
use stands::{Stands, Tally};

#[component]
pub(crate) fn Table() -> impl IntoView {
    let app = App::here();
    let scoring = Scoring::new(app);
    provide_context(scoring);
    Effect::new(move || {
        app.heard.changed.track();
        app.light.track();
        app.wide.track();
        scoring.look();
    });
    Effect::new(move || scoring.shown());
    stay_awake(app);
    // What was scored is told elsewhere as it stands.
    on_cleanup(move || app.tell(Question::Home));
    on_keys(move |event| key(app, scoring, &event));
    // The screen is drawn anew for another set only: what is typed, and what is open, stays when odds arrive.
    let which = Memo::new(move |_| app.seat.with(|seat| seat.as_ref().map(|seat| seat.fixed.set.clone())));
    Effect::new(move |before: Option<Option<String>>| {
        let set = which.get();
        if before.is_some_and(|before| before != set) {
            // With the set before goes whatever began this one, once it is drawn.
            request_animation_frame(|| device::hand_on("body", "#main"));
        }
        set
    });
    let open = move || {
        which.get()?;
        let now = move || app.seat.with(|seat| seat.as_ref().map(|seat| seat.fixed.clone()));
        let held = RwSignal::new(untrack(now)?);
        Effect::new(move || {
            if let Some(now) = now().filter(|now| held.with_untracked(|held| held != now)) {
                held.set(now);
            }
        });
        Some(held)
    };
    view! {
        {move || match open() {
            Some(fixed) => view! { <Open fixed/> }.into_any(),
            None if scoring.ended.with(Option::is_some) => ().into_any(),
            None if !scoring.looked.get() => view! { <Waiting/> }.into_any(),
            None => view! {
                <div class="page">
                    <h1>{words::NO_SET}</h1>
                    <p class="quiet">{words::NO_SET_SAYS}</p>
                    <a class="second" href=Route::Today.path()>{words::screen(Route::Today)}</a>
                    <a class="second" href=Route::Ladders.path()>{words::screen(Route::Ladders)}</a>
                </div>
            }.into_any(),
        }}
        {move || scoring.ended.get().map(|ended| view! { <EndedSheet ended/> })}
    }
}

/// Keeps the screen awake while a set is open, and takes the lock anew when the page comes back.
fn stay_awake(app: App) {
    let lock = StoredValue::new_local(None::<wasm_bindgen::JsValue>);
    let asking = StoredValue::new_local(false);
    let open = Memo::new(move |_| app.seat.with(Option::is_some));
    let release = move || {
        if let Some(Some(lock)) = lock.try_update_value(Option::take) {
            spawn_local(device::let_sleep(lock));
        }
    };
    let take = move || {
        let held = lock.try_with_value(|lock| lock.as_ref().is_some_and(device::is_awake));
        if !open.get_untracked() || held != Some(false) || asking.try_get_value() != Some(false) {
            return;
        }
        asking.set_value(true);
        spawn_local(async move {
            let taken = device::stay_awake().await;
            asking.try_set_value(false);
            if let Some(taken) = taken {
                let mut taken = Some(taken);
                let wanted = open.try_get_untracked() == Some(true);
                if wanted {
                    lock.try_update_value(|lock| *lock = taken.take());
                }
                // Granted when nobody is at the table any more.
                if let Some(late) = taken {
                    device::let_sleep(late).await;
                }
            }
        });
    };
    Effect::new(move || if open.get() { take() } else { release() });
    device::on_visible(take);
    on_cleanup(release);
}

/// A key of a keyboard, or of a page-turner.
fn key(app: App, scoring: Scoring, event: &web_sys::KeyboardEvent) {
    // A sheet over the screen has the keys, whatever has the focus.
    if app.covered.get_untracked() {
        return;
    }
    if event.repeat() || event.ctrl_key() || event.meta_key() || event.alt_key() {
        return;
    }
    let on = event.target().and_then(|target| target.dyn_into::<web_sys::Element>().ok());
    // In a field keys are text, in a sheet they are the sheet's, and a button has its own.
    let within = |selector: &str| {
        on.as_ref().is_some_and(|element| element.closest(selector).is_ok_and(|found| found.is_some()))
    };
    if within("input, select, textarea, dialog") {
        return;
    }
    let press = match event.key().as_str() {
        " " | "Enter" if within("button, a, summary") => return,
        " " | "Enter" | "PageDown" => Press::Made,
        "ArrowLeft" => Press::Missed(Side::Left),
        "ArrowRight" => Press::Missed(Side::Right),
        "ArrowDown" | "PageUp" => Press::Missed(Side::NotSeen),
        "Backspace" => Press::Undo,
        _ => return,
    };
    event.prevent_default();
    scoring.press(press);
}

#[component]
fn Open(fixed: RwSignal<Fixed>) -> impl IntoView {
    let scoring = expect_context::<Scoring>();
    let app = App::here();
    let more = RwSignal::new(false);
    let left_handed = app.home.with_untracked(|home| home.as_ref().is_some_and(|home| home.left_handed));
    let several = move || app.seat.with(|seat| seat.as_ref().map_or(0, |seat: &Seat| seat.others.len())) > 1;
    let before = move || scoring.before.get().map(|(name, made, tried)| words::before(&name, made, tried));
    let about = move || {
        fixed.with(|fixed| {
            let kind = if fixed.proof { words::PROOF } else { words::WORK };
            let under =
                if fixed.constraints.is_empty() { String::new() } else { format!(", {}", fixed.constraints) };
            format!("{kind}. {}. {}{under}", words::sentence(&fixed.goal), fixed.table)
        })
    };
    // A ball that is potted while the cue ball goes astray is not made either.
    let not_seen =
        move || if fixed.with(|fixed| fixed.places_cue) { words::NOT_SEEN_OR_OFF } else { words::NOT_SEEN };
    let rung = move || fixed.with(|fixed| words::rung_of(&fixed.rung, fixed.rungs));
    let picture = Memo::new(move |_| fixed.with(|fixed| fixed.picture.clone()));
    let balls = Memo::new(move |_| fixed.with(|fixed| fixed.balls.clone()));
    let hit = move || fixed.with(|fixed| Some(fixed.hit.clone()).filter(|hit| !hit.is_empty()));
    let each = move || fixed.with(|fixed| fixed.in_a_row.is_some()).then_some(words::EACH);
    // Beside the odds: what the constraints take, and what the rails leave open.
    let beside_odds = move || {
        let says = fixed.with(|fixed| words::beside_odds(fixed.in_a_row, fixed.plain, fixed.rails));
        (!says.is_empty()).then_some(says)
    };
    let outlook = Signal::derive(move || fixed.with(|fixed| fixed.outlook.clone()));
    let clock = fixed.with_untracked(|fixed| fixed.clock);
    view! {
        <div class="scorer" class:left-handed=left_handed>
            <header class="leave">
                <button type="button" class="plain" on:click=move |_| app.go(Route::Today)>{words::LEAVE}</button>
                <Clock clock/>
                <button type="button" class="plain" on:mousedown=device::take_no_focus on:click=move |_| more.set(true)>{words::MORE}</button>
            </header>
            <div class="heading">
                {move || several().then(|| view! {
                    <p class="turn">{fixed.with(|fixed| words::shoots(&fixed.player))}<span class="quiet">{before()}</span></p>
                })}
                <h1>{move || fixed.with(|fixed| fixed.title.clone())}" "<span class="here">{rung}</span></h1>
                <p class="quiet">{about}</p>
            </div>
            <div class="look">
                <div class="picture" inner_html=move || picture.get()></div>
                <div class="beside">
                    <Tally/>
                    {move || view! { <Places balls=balls.get()/> }}
                    {move || fixed.with(|fixed| fixed.odds).map(|odds| view! { <p class="chance"><Odds odds/>{each()}</p> })}
                    {move || beside_odds().map(|says| view! { <p class="quiet">{says}</p> })}
                    {move || hit().map(|hit| view! { <p class="quiet">{words::INTEND}": "{hit}</p> })}
                    {move || fixed.with(|fixed| !fixed.computing.is_empty()).then(|| view! { <super::today::Computing/> })}
                </div>
            </div>
            <Stands outlook/>
            <div class="act" on:mousedown=device::take_no_focus>
                {move || (scoring.after_miss.get() && fixed.with(|fixed| fixed.places_cue)).then(|| view! { <CueBallEnded/> })}
                <div class="hits">
                    <button type="button" class="hit-miss" on:click=move |_| scoring.press(Press::Missed(Side::Left))>
                        <Jaws at=Some(Side::Left)/>{words::MISSED_LEFT}
                    </button>
                    <button type="button" class="hit-made" on:click=move |_| scoring.press(Press::Made)>
                        <Jaws at=None/>{words::MADE}
                    </button>
                    <button type="button" class="hit-miss" on:click=move |_| scoring.press(Press::Missed(Side::Right))>
                        <Jaws at=Some(Side::Right)/>{words::MISSED_RIGHT}
                    </button>
                    <button type="button" class="hit-undo" on:click=move |_| scoring.press(Press::Undo)>{words::UNDO}</button>
                    <button type="button" class="hit-unseen" on:click=move |_| scoring.press(Press::Missed(Side::NotSeen))>{not_seen}</button>
                </div>
            </div>
            <More open=more fixed/>
        </div>
    }
}

/// Where the balls lie, in the order of setting them up.
#[component]
fn Places(balls: Vec<Ball>) -> impl IntoView {
    let line = |way: &Way| {
        let Way { rail, diamonds, tape, .. } = way.clone();
        if diamonds.is_empty() {
            view! { <p><b>"on"</b>" "{rail}" rail"</p> }.into_any()
        } else {
            view! { <p><b>{diamonds}</b>" "{rail}" "<span class="tape">{tape}</span></p> }.into_any()
        }
    };
    let places = balls
        .iter()
        .map(|ball| {
            let cue = ball.id == "cue";
            let label = words::ball(&ball.id);
            let number = (!cue).then(|| words::disc(&ball.id));
            view! {
                <li>
                    <span class="disc" class:cue=cue role="img" aria-label=label>{number}</span>
                    <div>{line(&ball.short)}{line(&ball.long)}</div>
                </li>
            }
        })
        .collect_view();
    view! { <p class="quiet">{words::BALL_TO_NOSE}</p><ul class="places">{places}</ul> }
}

/// How long the block and the visit have gone on, on their rail.
#[component]
fn Clock(clock: Option<Clocked>) -> impl IntoView {
    let now = RwSignal::new(device::now_ms());
    if let Ok(handle) =
        set_interval_with_handle(move || now.set(device::now_ms()), std::time::Duration::from_secs(1))
    {
        on_cleanup(move || handle.clear());
    }
    clock.map(|Clocked { block_ms, visit_ms, block_minutes, minutes }| {
        let since = move |began: f64| ((now.get() - began) / 1000.0).max(0.0);
        let seconds = move || since(visit_ms);
        view! {
            <p class="clock">
                <b>{move || words::clock(since(block_ms))}</b>{words::of_block(block_minutes)}" · "{move || words::of_visit(seconds(), minutes)}
                <progress max=f64::from(minutes) * 60.0 value=seconds aria-label=words::TIME_OF_VISIT></progress>
            </p>
        }
    })
}

/// One optional tap more after a miss. It never stands in the way of the next attempt.
#[component]
fn CueBallEnded() -> impl IntoView {
    let scoring = expect_context::<Scoring>();
    let ends = [CueEnd::Short, CueEnd::Long, CueEnd::Off].map(|end| {
        view! {
            <button type="button" class="choose" on:click=move |_| {
                scoring.press(Press::CueEnd(end));
                // What was pressed is gone: keys go on from the next attempt.
                device::hand_on(".cue-ends button", ".hit-made");
            }>{words::cue_end(end)}</button>
        }
    });
    view! { <div class="cue-ends" role="group" aria-label=words::CUE_BALL_ENDED><span>{words::CUE_BALL_ENDED}</span>{ends}</div> }
}

/// The jaws of a pocket from behind the shot: where the ball passed.
#[component]
fn Jaws(at: Option<Side>) -> impl IntoView {
    let x = match at {
        Some(Side::Left) => 12.0,
        Some(Side::Right) => 48.0,
        _ => 30.0,
    };
    let made = at.is_none();
    let radius = if made { 8.0 } else { 6.0 };
    let y = if made { 12.0 } else { 22.0 };
    view! {
        <svg class="jaws" viewBox="0 0 60 34" aria-hidden="true">
            <path d="M2 14h12l6-10M58 14h-12l-6-10"/>
            <circle class=if made { "try made" } else { "try missed" } cx=x cy=y r=radius/>
        </svg>
    }
}
