//! The player, and who else uses this device.

use leptos::prelude::*;
use longrail_app_link::{Player, Question, Reply, Start, TypedIn};

use crate::app::App;
use crate::parts::{Check, Field};
use crate::words;

#[component]
pub(super) fn PlayerForm(
    player: Player,
    assumed: Vec<String>,
    take: impl Fn(Reply) + Copy + Send + Sync + 'static,
) -> impl IntoView {
    let app = App::here();
    let sentences =
        app.home.with_untracked(|home| home.as_ref().map(|home| home.sentences.clone()).unwrap_or_default());
    let text = RwSignal::new;
    let (name, end_mass, reach) =
        (text(player.name.clone()), text(player.end_mass_g.clone()), text(player.reach.clone()));
    let (hardest, draw, target) =
        (text(player.hardest.clone()), text(player.most_draw.clone()), text(player.target.clone()));
    let (imperial, left, strict) =
        (RwSignal::new(player.imperial), RwSignal::new(player.left_handed), RwSignal::new(player.strict));
    let start = RwSignal::new(player.start);
    let typed_in = player.typed_in;
    let (reach_label, hardest_label) = if typed_in == TypedIn::Imperial {
        (words::REACH_IN, words::HARDEST_MPH)
    } else {
        (words::REACH, words::HARDEST)
    };
    let id = player.id.clone();
    let save = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        app.quiet();
        let changed = Player {
            id: id.clone(),
            name: name.get(),
            start: start.get(),
            imperial: imperial.get(),
            typed_in,
            left_handed: left.get(),
            end_mass_g: end_mass.get(),
            reach: reach.get(),
            hardest: hardest.get(),
            most_draw: draw.get(),
            target: target.get(),
            strict: strict.get(),
        };
        app.tell_then(Question::ChangePlayer(Box::new(changed)), take);
    };
    let options = (0_u32..)
        .zip(sentences)
        .map(|(number, text)| {
            let chosen = player.start == Some(number);
            view! { <option value=number.to_string() selected=chosen>{text}</option> }
        })
        .collect_view();
    view! {
        <form on:submit=save>
            <h2>{words::PLAYER}</h2>
            <Field label=words::NAME value=name/>
            <label class="field">
                <span>{words::YOUR_GAME}</span>
                <select on:change=move |event| start.set(event_target_value(&event).parse().ok())>{options}</select>
            </label>
            <Check label=words::UNITS value=imperial/>
            <Check label=words::LEFT_HANDED value=left/>
            <Field label=words::TARGET value=target keyboard="decimal"/>
            <Check label=words::STRICT value=strict/>
            <Field label=words::END_MASS value=end_mass keyboard="decimal"/>
            <Field label=reach_label value=reach keyboard="decimal"/>
            <Field label=hardest_label value=hardest keyboard="decimal"/>
            <Field label=words::MOST_DRAW value=draw keyboard="decimal"/>
            {(!assumed.is_empty()).then(|| view! { <p class="quiet">{words::ASSUMED}": "{assumed.join("; ")}"."</p> })}
            <button type="submit" class="second">{words::SAVE}</button>
        </form>
    }
}

#[component]
pub(super) fn Players() -> impl IntoView {
    let app = App::here();
    let name = RwSignal::new(String::new());
    let add = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        app.quiet();
        app.tell_then(Question::AddPlayer { name: name.get(), start: Some(1) }, move |_| {
            name.try_set(String::new());
            app.seat.set(None);
        });
    };
    let players =
        move || app.home.with(|home| home.as_ref().map(|home| (home.player.clone(), home.players.clone())));
    view! {
        <section>
            <h2>{words::PLAYERS}</h2>
            <ul class="uses">{move || players().map(|(here, all)| all.into_iter().map(|one: Start| {
                let used = here.as_ref().is_some_and(|here| here.id == one.id);
                let id = one.id.clone();
                view! {
                    <li>
                        <span>{one.name.clone()}</span>
                        {if used {
                            view! { <span class="quiet">{words::IN_USE}</span> }.into_any()
                        } else {
                            view! { <button type="button" class="second" aria-label=format!("{} {}", words::USE, one.name) on:click=move |_| {
                                app.tell_then(Question::UsePlayer { player: id.clone() }, move |_| app.seat.set(None));
                            }>{words::USE}</button> }.into_any()
                        }}
                    </li>
                }
            }).collect_view())}</ul>
            <form class="row" on:submit=add>
                <Field label=words::ADD_PLAYER value=name/>
                <button type="submit" class="second">{words::ENTER}</button>
            </form>
        </section>
    }
}
