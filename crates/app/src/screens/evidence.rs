//! Evidence: what the record proves on a ladder, rung by rung, and whether a change is real.

use leptos::prelude::*;
use leptos::task::spawn_local;
use longrail_app_link::{Evidence as View, Question, Reply, Rung};

use super::ladders::Passed;
use super::today::Computing;
use crate::app::App;
use crate::parts::{Odds, Rungs};
use crate::words;

#[component]
pub(crate) fn Evidence() -> impl IntoView {
    let app = App::here();
    let chosen = RwSignal::new(None::<String>);
    let shown = RwSignal::new(None::<View>);
    let ask = move |question: Question| {
        spawn_local(async move {
            match app.ask(question).await {
                Ok(Reply::Evidence(mut found)) => {
                    let key = |view: &View| view.ladder.as_ref().map(|ladder| ladder.key.clone());
                    let before = shown.try_get_untracked().flatten();
                    // A comparison that was asked for stays while its ladder is looked at.
                    if let Some(before) = before.filter(|before| key(before) == key(&found)) {
                        found.compared = found.compared.take().or(before.compared);
                    }
                    shown.try_set(Some(*found));
                }
                Ok(_) => {}
                Err(why) => app.trouble.set(Some(why)),
            }
        });
    };
    Effect::new(move || {
        app.heard.changed.track();
        ask(Question::Evidence { ladder: chosen.get(), light: app.light.get() });
    });
    let compare = move |ladder: String| ask(Question::Compare { ladder, light: app.light.get_untracked() });
    view! {
        <div class="page">
            <h1>{words::EVIDENCE}</h1>
            <Computing/>
            {move || shown.get().map(|view| shown_view(view, chosen, compare))}
        </div>
    }
}

fn shown_view(
    view: View,
    chosen: RwSignal<Option<String>>,
    compare: impl Fn(String) + Copy + 'static,
) -> AnyView {
    let Some(ladder) = view.ladder.clone() else {
        return view! { <p class="quiet">{words::NO_EVIDENCE}</p> }.into_any();
    };
    let key = ladder.key.clone();
    let options = view
        .ladders
        .iter()
        .map(|(id, name)| {
            let here = *id == ladder.key;
            view! { <option value=id.clone() selected=here>{name.clone()}</option> }
        })
        .collect_view();
    let dates = if view.dates.0 == view.dates.1 {
        view.dates.0.clone()
    } else {
        format!("{} to {}", view.dates.0, view.dates.1)
    };
    view! {
        <label class="field">
            <span>{words::LADDERS}</span>
            <select on:change=move |event| chosen.set(Some(event_target_value(&event)))>{options}</select>
        </label>
        <p class="top"><span>{ladder.place.clone()}</span><span>{dates}</span></p>
        <h2>{format!("{}: {} made", ladder.title, words::of(view.counted.0, view.counted.1))}</h2>
        <div class="picture chart" inner_html=view.chart.picture.clone()></div>
        <Rungs rungs=ladder.rungs.clone()/>
        <div class="wide-table" tabindex="0" role="region" aria-label=words::EVIDENCE>
            <table>
                <thead><tr><th scope="col">{words::RUNG}</th><th scope="col">{words::MADE}</th><th scope="col">{words::EIGHTY}</th><th scope="col">{words::ODDS_NOW}</th></tr></thead>
                <tbody>{ladder.rungs.iter().map(|rung| row(rung.clone())).collect_view()}</tbody>
            </table>
        </div>
        <p class="quiet">{words::RANGES}" "{view.rests_on.clone()}</p>
        <Passed says=ladder.passed.clone() odds=ladder.passed_odds/>
        <section>
            <h2>{words::IS_IT_BETTER}</h2>
            {view.compared.clone().map(|compared| view! {
                <p class="verdict">{compared.word}</p>
                <p>{compared.says}</p>
            })}
            {(view.compared.is_none() && !view.comparable.is_empty()).then(|| view! {
                <p>{view.comparable.clone()}"."</p>
                <button type="button" class="second" on:click=move |_| compare(key.clone())>{words::COMPARE}</button>
            })}
            {view.comparable.is_empty().then(|| view! { <p class="quiet">{words::NOT_COMPARABLE}</p> })}
            <p class="quiet">{words::COMPARE_SAYS}" "{format!("{} so far.", view.opened)}</p>
        </section>
        <section>
            <h2>{words::SETS}</h2>
            <ul class="sets">{view.sets.into_iter().map(|(date, what, made, tried)| view! {
                <li><span>{date}</span><span>{what}</span><b>{words::of(made, tried)}</b></li>
            }).collect_view()}</ul>
        </section>
    }
    .into_any()
}

fn row(rung: Rung) -> impl IntoView {
    let counted =
        if rung.counted.1 > 0 { words::of(rung.counted.0, rung.counted.1) } else { "–".to_owned() };
    let stopped = rung.stopped.then_some(words::FLATTERS);
    view! {
        <tr>
            <th scope="row">{rung.name}<span class="quiet">" "{words::rung_state(rung.state)}</span></th>
            <td>{counted}{stopped.map(|text| view! { <span class="quiet">" "{text}</span> })}</td>
            <td>{rung.range.map(|(low, high)| words::range(low, high))}</td>
            <td>{rung.odds.map(|odds| view! { <Odds odds/> })}</td>
        </tr>
    }
}
