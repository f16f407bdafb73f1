//! Today: what am I here for, how long, and what is proposed.

use leptos::prelude::*;
use leptos::task::spawn_local;
use longrail_app_link::{Begin, Block, Open, Purpose, Question, Reply, Today as Plan};

use crate::app::{App, Route};
use crate::device::{self, is_open};
use crate::parts::{Field, Minutes, Odds, Sheet, offered};
use crate::words;

const PURPOSES: [Purpose; 4] = [Purpose::DrillWork, Purpose::NewSkill, Purpose::Test, Purpose::MatchPlay];
/// Minutes that most have.
const USUAL_MINUTES: u32 = 60;
const MINUTE_MS: f64 = 60_000.0;
/// Entries that are nowhere else, from which it is said that they might be lost: an evening's.
const MANY: u64 = 100;

#[component]
pub(crate) fn Today() -> impl IntoView {
    let app = App::here();
    // In an open visit: what it is for, and what is left of it.
    let visit = app.home.with_untracked(|home| home.as_ref().and_then(|home| home.open.clone()));
    let visit = visit.filter(|open| !open.left);
    let purpose = RwSignal::new(visit.as_ref().map_or(Purpose::DrillWork, |open| open.purpose));
    let left = |open: &Open| f64::from(open.minutes) - (device::now_ms() - open.began_ms) / MINUTE_MS;
    let minutes = RwSignal::new(visit.as_ref().map_or(USUAL_MINUTES, |open| offered(left(open))));
    let plan = RwSignal::new(None::<Plan>);
    // What was unfolded stays so when ladders arrive.
    let unfolded = RwSignal::new(false);
    Effect::new(move || {
        app.heard.changed.track();
        let question = Question::Today { purpose: purpose.get(), minutes: minutes.get() };
        spawn_local(async move {
            match app.ask(question).await {
                Ok(Reply::Today(today)) => plan.set(Some(*today)),
                Ok(_) => {}
                Err(why) => app.trouble.set(Some(why)),
            }
        });
    });
    let open = move || app.home.with(|home| home.as_ref().and_then(|home| home.open.clone()));
    // Drawn anew for another visit only: the sheet on which one is ended stays while another window scores.
    let visit = Memo::new(move |_| open().map(|open| open.began_ms));
    view! {
        <div class="page">
            <Head/>
            {move || visit.get().map(|_| view! { <OpenVisit open=Signal::derive(move || open().unwrap_or_default())/> })}
            <h1>{words::WHAT_FOR}</h1>
            <div class="purposes" role="group" aria-label=words::WHAT_FOR>
                {PURPOSES.map(|one| view! {
                    <button
                        type="button"
                        class="choose"
                        aria-pressed=move || (purpose.get() == one).to_string()
                        on:click=move |_| purpose.set(one)
                    >{words::purpose(one)}</button>
                })}
            </div>
            <Minutes minutes/>
            <Computing/>
            {move || plan.get().map(|plan| view! { <Proposed plan purpose minutes unfolded/> })}
        </div>
    }
}

/// Date, table, and whether everything is safe.
#[component]
fn Head() -> impl IntoView {
    let app = App::here();
    let table = move || app.home.with(|home| home.as_ref().and_then(|home| home.table.clone()));
    let names = move || {
        let player =
            app.home.with(|home| home.as_ref().and_then(|home| Some(home.player.as_ref()?.name.clone())));
        let table = table().map(|table| format!("{}, {}", table.name, table.more)).unwrap_or_default();
        format!("{} · {table}", player.unwrap_or_default())
    };
    let behind = move || app.home.with(|home| home.as_ref().is_some_and(|home| home.clock_behind));
    let safe = move || app.home.with(|home| home.as_ref().map_or(0, |home| home.not_backed_up));
    view! {
        <p class="top">
            <a href=Route::Setup.path()>{names}</a>
            <span>{device::date()}</span>
        </p>
        {move || (safe() > 0).then(|| view! {
            <p class="quiet">
                {words::not_backed_up(safe())}" "
                {move || (safe() > MANY && app.may_be_cleared.get() != Some(false)).then_some(words::MAY_BE_CLEARED)}
                " "<a href=Route::Setup.path()>{words::EXPORT}</a>
            </p>
        })}
        {move || behind().then(|| view! { <p class="caution">{words::CLOCK_BEHIND}</p> })}
        {(!device::is_secure()).then(|| view! { <p class="caution">{words::NOT_SECURE}</p> })}
    }
}

/// What is being computed, with how far it is.
#[component]
pub(crate) fn Computing() -> impl IntoView {
    let app = App::here();
    let title =
        Memo::new(move |_| app.heard.computing.with(|now| now.as_ref().map(|(title, _, _)| title.clone())));
    let far =
        move || app.heard.computing.with(|now| now.as_ref().map_or((0, 0), |(_, done, of)| (*done, *of)));
    move || {
        title.get().map(|title| {
            let (name, said) = (title.clone(), words::computing(&title, 0, 0));
            let says = move || words::computing(&title, far().0, far().1);
            view! {
                <p class="quiet computing">
                    // How far it is changes too often to be told aloud.
                    <span class="unseen-words" role="status">{said}</span>
                    <span aria-hidden="true">{says}</span>
                    <progress max=move || far().1.max(1) value=move || far().0 aria-label=name></progress>
                    <button type="button" class="plain" on:click=move |_| app.pause(!app.heard.paused.get_untracked())>
                        {move || if app.heard.paused.get() { words::GO_ON } else { words::STOP }}
                    </button>
                </p>
            }
        })
    }
}

#[component]
fn OpenVisit(open: Signal<Open>) -> impl IntoView {
    let app = App::here();
    let ending = RwSignal::new(false);
    let focus = RwSignal::new(None::<u8>);
    let line = RwSignal::new(String::new());
    // Drawn anew for another visit: this one is that player's.
    let whose = app.user().map(|player| player.id).unwrap_or_default();
    let end = move |_| {
        let question = Question::EndSession { player: whose.clone(), focus: focus.get(), line: line.get() };
        app.tell_then(question, move |_| {
            ending.set(false);
            app.turn_of(None);
            app.seat.set(None);
            app.tell(Question::Share);
        });
    };
    let says = move || {
        open.with(|open| {
            if open.left { words::VISIT_LEFT.to_owned() } else { words::visit(open.purpose, open.minutes) }
        })
    };
    let set = move || open.with(|open| open.set.clone());
    // Where the visit was left, a new one is what most want.
    let go_on = move || open.with(|open| if open.left { "second" } else { "main" });
    view! {
        <section class="open">
            <p>{says}</p>
            {move || Some(set()).filter(|set| !set.is_empty()).map(|set| view! {
                <p><b>{set}</b></p>
                <button type="button" class=go_on on:click=move |_| app.go(Route::Table)>{words::GO_ON_SCORING}</button>
            })}
            <button type="button" class="second" on:click=move |_| ending.set(true)>{words::END_VISIT}</button>
            <Sheet open=ending title=words::END_VISIT>
                <fieldset><legend>{words::FOCUS}</legend><div class="row">
                    {[1_u8, 2, 3, 4, 5].map(|one| view! {
                        <button
                            type="button"
                            class="choose"
                            aria-pressed=move || (focus.get() == Some(one)).to_string()
                            on:click=move |_| focus.set(Some(one))
                        >{one}</button>
                    })}
                </div></fieldset>
                <Field label=words::ONE_LINE value=line/>
                <button type="button" class="main" on:click=end>{words::END_VISIT}</button>
            </Sheet>
        </section>
    }
}

/// Begins a set, with the visit and the block that it needs, and goes to the table.
pub(crate) fn begin(app: App, set: Begin) {
    device::tick(false);
    app.trouble.set(None);
    // Browsers think better of an app that is used.
    app.keep_storage();
    spawn_local(async move {
        let player = set.player.clone();
        match app.ask(Question::BeginSet(Box::new(set))).await {
            Ok(_) => {
                app.turn_of(player);
                // At the table the set before stays until this one is there.
                if app.route.get_untracked() != Route::Table {
                    app.seat.set(None);
                    app.go(Route::Table);
                }
                app.changed();
            }
            Err(why) => app.trouble.set(Some(why)),
        }
    });
}

#[component]
fn Proposed(
    plan: Plan,
    purpose: RwSignal<Purpose>,
    minutes: RwSignal<u32>,
    unfolded: RwSignal<bool>,
) -> impl IntoView {
    let app = App::here();
    let first = plan.blocks.iter().find(|block| block.begin.is_some()).cloned();
    // While a set is open, going on with it is at hand.
    let free = app.home.with_untracked(|home| {
        home.as_ref().and_then(|home| home.open.as_ref()).is_none_or(|open| open.set.is_empty())
    });
    let games = plan.blocks.first().is_some_and(|block| block.purpose == Some(Purpose::MatchPlay));
    // While nothing is worked out yet, the first ladder can begin all the same.
    let fallback = plan.drills.first().filter(|_| first.is_none() && !games).map(|drill| {
        let begin = Begin { drill: drill.id.clone(), ..Begin::default() };
        (drill.title.clone(), begin)
    });
    let within =
        move |set: Begin| Begin { visit: Some((purpose.get_untracked(), minutes.get_untracked())), ..set };
    let start = match (&first, &fallback) {
        (Some(block), _) => of_block(block).map(|set| (words::start(block.purpose, block.minutes), set)),
        (None, Some((title, set))) => Some((format!("{}: {title}", words::BEGIN), set.clone())),
        (None, None) => None,
    };
    let blocks = plan
        .blocks
        .clone()
        .into_iter()
        .map(|block| view! { <OneBlock block purpose minutes/> })
        .collect_view();
    let others = plan.others.clone();
    let drills = plan.drills.clone();
    let empty = plan.blocks.is_empty().then(|| view! { <p class="quiet">{words::NOTHING_YET}</p> });
    view! {
        <h2>{words::PROPOSED}</h2>
        {empty}
        <ol class="blocks">{blocks}</ol>
        {start.map(|(text, set)| view! {
            <button type="button" class="main" class:at-hand=free on:click=move |_| {
                begin(app, within(set.clone()));
            }>{text}</button>
        })}
        {games.then(|| view! {
            <button type="button" class="main at-hand" on:click=move |_| {
                app.tell(Question::BeginSession { purpose: Purpose::MatchPlay, minutes: minutes.get() });
            }>{words::start(Some(Purpose::MatchPlay), minutes.get_untracked())}</button>
        })}
        {(!others.is_empty()).then(|| view! {
            <h2>{words::OTHERS}</h2>
            <ul class="blocks">{others.into_iter().map(|block| view! { <OneBlock block purpose minutes/> }).collect_view()}</ul>
        })}
        {(!drills.is_empty()).then(|| view! {
            <details open=unfolded.get_untracked() on:toggle=move |event| unfolded.set(is_open(&event))>
                <summary>{words::TO_BEGIN}</summary>
                <ul class="drills">
                    {drills.into_iter().map(|drill| {
                        let set = Begin {
                            drill: drill.id.clone(),
                            purpose: Some(Purpose::NewSkill),
                            ..Begin::default()
                        };
                        view! {
                            <li>
                                <p class="quiet">{drill.family}</p>
                                <h3>{drill.title.clone()}</h3>
                                <p>{drill.why}</p>
                                <p class="quiet">{drill.takes}</p>
                                <button type="button" class="second" aria-label=format!("{} {}", words::BEGIN, drill.title) on:click=move |_| {
                                    begin(app, within(set.clone()));
                                }>{words::BEGIN}</button>
                            </li>
                        }
                    }).collect_view()}
                </ul>
            </details>
        })}
    }
}

/// What begins a block: its set, what it is for, and how long it is meant to last.
fn of_block(block: &Block) -> Option<Begin> {
    block.begin.clone().map(|set| Begin { purpose: block.purpose, minutes: block.minutes, ..set })
}

#[component]
fn OneBlock(block: Block, purpose: RwSignal<Purpose>, minutes: RwSignal<u32>) -> impl IntoView {
    let app = App::here();
    let what = match (&block.purpose, block.what.is_empty()) {
        (None, true) => words::REST.to_owned(),
        (Some(_), true) => words::GAMES.to_owned(),
        _ => block.what.clone(),
    };
    let why = if block.purpose.is_none() && block.what.is_empty() {
        words::REST_SAYS.to_owned()
    } else {
        block.why.clone()
    };
    let kind = block.purpose.map(words::purpose);
    let length = (block.minutes > 0).then(|| view! { <p class="minutes"><b>{block.minutes}</b>" min"</p> });
    let set = of_block(&block);
    let label = format!("{} {what}", words::BEGIN);
    view! {
        <li class="block" class:short=block.minutes == 0>
            {length}
            <div>
                {kind.map(|kind| view! { <p class="kind">{kind}</p> })}
                <p class="what">{what}</p>
                {block.odds.map(|odds| view! { <p><Odds odds/></p> })}
                <p class="why">{why}</p>
            </div>
            {set.map(|set| view! {
                <button type="button" class="plain" aria-label=label on:click=move |_| {
                    begin(app, Begin { visit: Some((purpose.get(), minutes.get())), ..set.clone() });
                }>{words::BEGIN}</button>
            })}
        </li>
    }
}
