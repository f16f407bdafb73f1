//! Ladders: where I stand, what is next, start one.

use std::collections::BTreeMap;

use leptos::prelude::*;
use leptos::task::spawn_local;
use longrail_app_link::{Begin, Ladder, Question, Reply, RungState};

use super::today::{Computing, begin};
use crate::app::App;
use crate::device::is_open;
use crate::parts::{Odds, RungSight, Rungs, Waiting, class_of};
use crate::words;

#[component]
pub(crate) fn Ladders() -> impl IntoView {
    let app = App::here();
    let ladders = RwSignal::new(None::<Vec<Ladder>>);
    // What was unfolded or folded by hand stays so when ladders arrive.
    let unfolded = RwSignal::new(None::<bool>);
    let choices = Choices::new(BTreeMap::new());
    Effect::new(move || {
        app.heard.changed.track();
        spawn_local(async move {
            match app.ask(Question::Ladders).await {
                Ok(Reply::Ladders(found)) => ladders.set(Some(found)),
                Ok(_) => {}
                Err(why) => app.trouble.set(Some(why)),
            }
        });
    });
    let top = move || {
        app.home.with(|home| {
            let home = home.as_ref()?;
            let table = home.table.as_ref().map(|table| format!("{}, {}", table.name, table.more));
            Some((table.unwrap_or_default(), words::in_use(home.drills)))
        })
    };
    view! {
        <div class="page">
            {move || top().map(|(table, used)| view! { <p class="top"><span>{table}</span><span>{used}</span></p> })}
            <h1>{words::LADDERS}</h1>
            <Legend/>
            <Computing/>
            {move || ladders.with(Option::is_none).then(|| view! { <Waiting/> })}
            {move || ladders.get().map(|ladders| {
                let (begun, fresh): (Vec<_>, Vec<_>) = ladders.into_iter().partition(|ladder| ladder.begun);
                let count = fresh.len();
                let list = |ladders: Vec<Ladder>| view! {
                    <ul class="ladders">{ladders.into_iter().map(|ladder| view! { <OneLadder ladder choices/> }).collect_view()}</ul>
                };
                let none = begun.is_empty();
                view! {
                    {list(begun)}
                    <details
                        open=unfolded.get_untracked().unwrap_or(none)
                        on:toggle=move |event| unfolded.set(Some(is_open(&event)))
                    >
                        <summary>{words::to_begin(count)}</summary>
                        {list(fresh)}
                    </details>
                }
            })}
        </div>
    }
}

/// Rung and warm-up that were chosen under "Another rung", by ladder: they stay when ladders arrive.
type Choices = StoredValue<BTreeMap<String, (String, u32)>>;

#[component]
fn Legend() -> impl IntoView {
    let states = [RungState::Passed, RungState::Below, RungState::Work, RungState::Prove, RungState::Ahead];
    let entries = states.map(|state| {
        view! {
            <li class=class_of(state)>
                <RungSight state/>
                <span>{words::rung_state(state)}</span>
            </li>
        }
    });
    view! { <ul class="legend">{entries}</ul> }
}

#[component]
fn OneLadder(ladder: Ladder, choices: Choices) -> impl IntoView {
    let at = |state: RungState| {
        ladder.rungs.iter().find(|rung| rung.state == state || (state == RungState::Work && rung.both))
    };
    let stand = |label: &'static str, state: RungState, set: &Option<Begin>| {
        let rung = at(state).cloned();
        let name = set.as_ref().and_then(|set| set.rung.clone()).unwrap_or_default();
        set.clone().map(|set| {
            view! {
                <div class="stand">
                    <StandButton label name title=ladder.title.clone() set/>
                    {rung.as_ref().and_then(|rung| rung.odds).map(|odds| view! { <p><Odds odds/></p> })}
                    {rung.as_ref().and_then(|rung| rung.sheet).map(|(made, tried)| view! {
                        <p class="quiet">"sheet "{words::of(made, tried)}</p>
                    })}
                    {rung.as_ref().filter(|rung| rung.counted.1 > 0).map(|rung| view! {
                        <p class="quiet">{words::of(rung.counted.0, rung.counted.1)}" made"</p>
                    })}
                </div>
            }
        })
    };
    let (work, prove) = (
        stand(words::WORK, RungState::Work, &ladder.work),
        stand(words::PROVE, RungState::Prove, &ladder.prove),
    );
    view! {
        <li class="ladder">
            <p class="quiet">{ladder.family.clone()}</p>
            <h2>{ladder.title.clone()}</h2>
            <p class="quiet">{ladder.place.clone()}</p>
            <Rungs rungs=ladder.rungs.clone()/>
            <p class="axis quiet">{ladder.axis.clone()}</p>
            <Passed says=ladder.passed.clone() odds=ladder.passed_odds/>
            <div class="stands">{work}{prove}</div>
            {ladder.work.clone().or_else(|| ladder.prove.clone()).map(|set| view! {
                <AnotherRung set choices key=ladder.key.clone() title=ladder.title.clone() rungs=ladder.rungs.iter().map(|rung| rung.name.clone()).collect()/>
            })}
        </li>
    }
}

/// A pass is no promise: beside it stand the odds there now.
#[component]
pub(super) fn Passed(says: String, odds: Option<(f64, f64, f64)>) -> impl IntoView {
    (!says.is_empty()).then(|| {
        let now = odds.map(|odds| view! { " "{words::NOW_THERE}" "<Odds odds/> });
        view! { <p>{says}{now}</p> }
    })
}

#[component]
fn StandButton(label: &'static str, name: String, title: String, set: Begin) -> impl IntoView {
    let app = App::here();
    let text = format!("{label}: rung {name}");
    view! {
        <button type="button" class="second" aria-label=format!("{text}, {title}") on:click=move |_| begin(app, set.clone())>
            {text.clone()}
        </button>
    }
}

/// Warm-up attempts that are offered.
const WARM_UPS: [u32; 4] = [0, 3, 5, 10];

/// A proposal is one: every rung can be worked at or proved, with some attempts of warm-up or none.
#[component]
fn AnotherRung(
    set: Begin,
    choices: Choices,
    key: String,
    title: String,
    rungs: Vec<String>,
) -> impl IntoView {
    let app = App::here();
    let proposed = set.rung.clone().unwrap_or_else(|| "1".to_owned());
    let (key, proposed) = (StoredValue::new(key), StoredValue::new((proposed, 0)));
    let chosen = move || {
        let known = choices.with_value(|choices| choices.get(&key.get_value()).cloned());
        known.unwrap_or_else(|| proposed.get_value())
    };
    let choose = move |change: &dyn Fn(&mut (String, u32))| {
        let mut choice = chosen();
        change(&mut choice);
        choices.update_value(|choices| {
            choices.insert(key.get_value(), choice);
        });
    };
    let (here, warm_up) = chosen();
    let options = rungs
        .into_iter()
        .map(|rung| {
            let selected = rung == here;
            view! { <option value=rung.clone() selected=selected>{rung.clone()}</option> }
        })
        .collect_view();
    let warm_ups = WARM_UPS.map(|count| {
        view! { <option value=count.to_string() selected=count == warm_up>{count}</option> }
    });
    let buttons = [(words::WORK, false), (words::PROVE, true)].map(|(label, proof)| {
        let set = set.clone();
        let name = format!("{label}: {}, {title}", words::ANOTHER_RUNG);
        view! {
            <button type="button" class="second" aria-label=name on:click=move |_| {
                let (rung, warm_up) = chosen();
                begin(app, Begin { rung: Some(rung), proof, warm_up, ..set.clone() });
            }>{label}</button>
        }
    });
    view! {
        <details>
            <summary>{words::ANOTHER_RUNG}</summary>
            <label class="field">
                <span>{words::RUNG}</span>
                <select on:change=move |event| choose(&|choice| choice.0 = event_target_value(&event))>{options}</select>
            </label>
            <label class="field">
                <span>{words::WARM_UP}</span>
                <select on:change=move |event| choose(&|choice| choice.1 = event_target_value(&event).parse().unwrap_or(0))>{warm_ups}</select>
            </label>
            <div class="stands">{buttons}</div>
        </details>
    }
}
