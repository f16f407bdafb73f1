//! What is needed less often while scoring: counts, constraints, corners, learners, and what the numbers rest on.

use leptos::prelude::*;
use longrail_app_link::{Begin, Fixed, Press, Question};

use super::harder::Harder;
use super::table::Scoring;
use super::today::begin;
use crate::app::App;
use crate::parts::{Field, Sheet};
use crate::words;

/// Attempts in a row before the next one's turn.
const TURNS: [u32; 4] = [0, 1, 5, 10];

#[component]
pub(crate) fn More(open: RwSignal<bool>, fixed: RwSignal<Fixed>) -> impl IntoView {
    let scoring = expect_context::<Scoring>();
    let list = |title: &'static str, texts: Vec<String>| {
        (!texts.is_empty()).then(|| {
            view! {
                <h3>{title}</h3>
                <ul class="plain-list">{texts.into_iter().map(|text| view! { <li>{text}</li> }).collect_view()}</ul>
            }
        })
    };
    let set = fixed.with_untracked(|fixed| fixed.begin.clone());
    let learners = set.clone();
    // What arrives later; what is typed and pressed above it stays.
    let told = move || {
        let fixed = fixed.get();
        view! {
            {(!fixed.hit.is_empty()).then(|| view! { <h3>{words::INTEND}</h3><p>{fixed.hit.clone()}</p> })}
            {(!fixed.rests_on.is_empty()).then(|| view! { <h3>{words::RESTS_ON}</h3><p>{fixed.rests_on.clone()}</p> })}
            {list(words::MIND, fixed.cautions.clone())}
            {list(words::ASSUMED, fixed.assumed.clone())}
            <h3>{words::BALL_TO_NOSE}</h3>
            <ul class="plain-list">{fixed.balls.iter().map(|ball| view! { <li>{words::place(ball)}</li> }).collect_view()}</ul>
        }
    };
    view! {
        <Sheet open title=words::MORE>
            <button type="button" class="second" on:click=move |_| {
                open.set(false);
                scoring.end();
            }>{words::END_SET}</button>
            <Count open/>
            <Harder fixed open/>
            <Corners set open/>
            <Learners open set=learners/>
            {told}
            <h3>{words::KEYS}</h3>
            <p>{words::KEYS_SAY}</p>
        </Sheet>
    }
}

/// A count, for what was shot without a tap each.
#[component]
fn Count(open: RwSignal<bool>) -> impl IntoView {
    let app = App::here();
    let scoring = expect_context::<Scoring>();
    let (made, tried) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let wrong = RwSignal::new(None::<String>);
    let enter = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        let read = |text: RwSignal<String>| text.with(|text| text.trim().parse::<u32>().ok());
        match (read(made), read(tried)) {
            (Some(count), Some(of)) if of > 0 && count <= of => {
                wrong.set(None);
                app.trouble.set(None);
                // What was typed stays until it is kept.
                scoring.press_then(Press::Batch { made: count, tried: of }, move || {
                    made.try_set(String::new());
                    tried.try_set(String::new());
                    open.try_set(false);
                });
            }
            _ => wrong.set(Some(words::not_a_count(&made.get(), &tried.get()))),
        }
    };
    view! {
        <form on:submit=enter>
            <h3>{words::ENTER_COUNT}</h3>
            <div class="row count">
                <Field label=words::MADE value=made keyboard="numeric"/>
                <Field label=words::OF value=tried keyboard="numeric"/>
                <button type="submit" class="second">{words::ENTER}</button>
            </div>
            {move || wrong.get().map(|why| view! { <p class="wrong" role="alert">{why}</p> })}
        </form>
    }
}

/// The same rung at an equivalent corner.
#[component]
fn Corners(set: Begin, open: RwSignal<bool>) -> impl IntoView {
    let app = App::here();
    let corners = [
        (words::AS_GIVEN, false, false),
        (words::TURNED, true, false),
        (words::MIRRORED, false, true),
        (words::TURNED_MIRRORED, true, true),
    ];
    let choices = corners.map(|(text, turned, mirrored)| {
        let here = (set.turned, set.mirrored) == (turned, mirrored);
        let there = Begin { turned, mirrored, ..set.clone() };
        view! {
            <button type="button" class="choose" aria-pressed=here.to_string() on:click=move |_| {
                if !here {
                    open.set(false);
                    begin(app, there.clone());
                }
            }>{text}</button>
        }
    });
    view! {
        <section>
            <h3>{words::CORNER}</h3>
            <p class="quiet">{words::CORNER_SAYS}</p>
            <div class="choices" role="group" aria-label=words::CORNER>{choices}</div>
        </section>
    }
}

/// Learners who share the table, each with an open set of their own.
#[component]
fn Learners(open: RwSignal<bool>, set: Begin) -> impl IntoView {
    let app = App::here();
    let scoring = expect_context::<Scoring>();
    let others = move || {
        app.seat.with(|seat| seat.as_ref().map(|seat| (seat.fixed.player_id.clone(), seat.others.clone())))
    };
    // Who is on this device and has no set open may join, with the same set.
    let idle = move || {
        let scoring = others().map(|(_, others)| others).unwrap_or_default();
        let players =
            app.home.with(|home| home.as_ref().map(|home| home.players.clone())).unwrap_or_default();
        players.into_iter().filter(|one| scoring.iter().all(|(id, _)| *id != one.id)).collect::<Vec<_>>()
    };
    let joins = move || {
        let set = set.clone();
        let idle = idle();
        (!idle.is_empty()).then(|| {
            let choices = idle
                .into_iter()
                .map(|one| {
                    let theirs = Begin { player: Some(one.id.clone()), ..set.clone() };
                    view! {
                        <button type="button" class="choose" on:click=move |_| {
                            let player = theirs.player.clone();
                            app.tell_then(Question::BeginSet(Box::new(theirs.clone())), move |_| {
                                open.set(false);
                                scoring.swap(player.clone());
                                app.tell(Question::Home);
                            });
                        }>{one.name}</button>
                    }
                })
                .collect_view();
            view! {
                <section>
                    <h3>{words::JOIN}</h3>
                    <p class="quiet">{words::JOIN_SAYS}</p>
                    <div class="choices" role="group" aria-label=words::JOIN>{choices}</div>
                </section>
            }
        })
    };
    let shared = move || {
        others().filter(|(_, others)| others.len() > 1).map(|(here, others)| {
            let choices = others
                .into_iter()
                .map(|(id, name)| {
                    let pressed = (id == here).to_string();
                    view! {
                        <button type="button" class="choose" aria-pressed=pressed on:click=move |_| {
                            open.set(false);
                            scoring.swap(Some(id.clone()));
                        }>{name}</button>
                    }
                })
                .collect_view();
            let turns = TURNS.map(|each| {
                view! {
                    <button
                        type="button"
                        class="choose"
                        aria-pressed=move || (app.each.get() == each).to_string()
                        on:click=move |_| {
                            app.each.set(each);
                            app.in_turn.set(0);
                        }
                    >{words::turns(each)}</button>
                }
            });
            view! {
                <section>
                    <h3>{words::WHO_SHOOTS}</h3>
                    <div class="choices" role="group" aria-label=words::WHO_SHOOTS>{choices}</div>
                    <h3>{words::TURNS}</h3>
                    <div class="choices" role="group" aria-label=words::TURNS>{turns}</div>
                </section>
            }
        })
    };
    view! { {shared} {joins} }
}
