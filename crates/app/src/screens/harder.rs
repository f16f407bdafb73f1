//! Constraints: what each costs is shown before it is put on; what is on can be taken off.

use leptos::html::Div;
use leptos::prelude::*;
use leptos::task::spawn_local;
use longrail_app_link::{Begin, Fixed, Harder as Wanted, Price, Question, Reply};

use super::today::{Computing, begin};
use crate::app::App;
use crate::parts::{Field, Waves};
use crate::words;

#[component]
pub(crate) fn Harder(
    /// The open set.
    fixed: RwSignal<Fixed>,
    /// The sheet that this stands in.
    open: RwSignal<bool>,
) -> impl IntoView {
    let app = App::here();
    let asked = RwSignal::new(None::<Wanted>);
    let price = RwSignal::new(None::<Price>);
    let set = fixed.with_untracked(|fixed| fixed.begin.clone());
    let player = set.player.clone();
    Effect::new(move || {
        app.heard.changed.track();
        let Some(constraint) = asked.get() else { return };
        let player = player.clone();
        spawn_local(async move {
            match app.ask(Question::Price { player, constraint }).await {
                Ok(Reply::Price(found)) => price.set(Some(found)),
                // It is asked again when it is there.
                Ok(_) => price.set(None),
                Err(why) => {
                    asked.set(None);
                    app.trouble.set(Some(why));
                }
            }
        });
    });
    let ask = move |wanted: Wanted| {
        app.trouble.set(None);
        price.set(None);
        asked.set(Some(wanted));
    };
    // The price comes below what was pressed, and may be out of sight.
    let shown = NodeRef::<Div>::new();
    Effect::new(move || {
        if let (Some(_), Some(shown)) = (price.get(), shown.get()) {
            shown.scroll_into_view_with_bool(false);
        }
    });
    let harder = Memo::new(move |_| fixed.with(|fixed| fixed.harder.clone()));
    let choices = move || {
        harder
            .get()
            .into_iter()
            .map(|(text, words)| {
                let wanted = Wanted::Proposed(text);
                let chosen = wanted.clone();
                let is_asked = move || asked.with(|asked| asked.as_ref() == Some(&chosen));
                view! {
                    <button type="button" class="choose" aria-pressed=move || is_asked().to_string() on:click=move |_| ask(wanted.clone())>
                        {words}
                    </button>
                }
            })
            .collect_view()
    };
    let start = move |set: Begin| {
        open.set(false);
        begin(app, set);
    };
    let bounded = Memo::new(move |_| fixed.with(|fixed| fixed.bounded.clone()));
    let anew = set.clone();
    let on = move || {
        let constraints = fixed.with(|fixed| fixed.on.clone());
        let set = anew.clone();
        constraints
            .into_iter()
            .map(|(words, others)| {
                let set = Begin { constraints: others, ..set.clone() };
                view! {
                    <button type="button" class="second" on:click=move |_| start(set.clone())>{words::take_off(&words)}</button>
                }
            })
            .collect_view()
    };
    view! {
        <section>
            <h3>{words::MAKE_HARDER}</h3>
            <p class="quiet">{words::MAKE_HARDER_SAYS}</p>
            <div class="choices" role="group" aria-label=words::MAKE_HARDER>{choices}</div>
            {move || bounded.get().map(|[softest, hardest]| view! {
                <Typed title=words::SPEED_BOUNDS labels=words::speeds(fixed.with(|fixed| fixed.imperial)) values=[softest, hardest] ask=move |typed| ask(Wanted::Speed(typed))/>
            })}
            <Typed title=words::BLOCKER labels=words::BLOCKER_AT values=Default::default() ask=move |typed| ask(Wanted::Blocker(typed))/>
            {move || asked.get().map(|_| match price.get() {
                None => view! { <Computing/> }.into_any(),
                Some(price) => {
                    let set = Begin { constraints: price.constraint.clone(), ..set.clone() };
                    let (mean, low, high) = price.after;
                    view! {
                        <div class="price" node_ref=shown>
                            <p>{words::WHAT_IT_COSTS}": "{price.words.clone()}</p>
                            <p class="odds"><Waves/>" "<b>{words::odds(price.before)}" to "{words::odds(mean)}</b></p>
                            <p class="range">{words::range(low, high)}</p>
                            <button type="button" class="second" on:click=move |_| start(set.clone())>{words::PUT_ON}</button>
                        </div>
                    }.into_any()
                }
            })}
            {on}
        </section>
    }
}

/// A constraint of two numbers, which are typed.
#[component]
fn Typed(
    title: &'static str,
    labels: [&'static str; 2],
    values: [String; 2],
    ask: impl Fn([String; 2]) + Copy + Send + Sync + 'static,
) -> impl IntoView {
    let values = values.map(RwSignal::new);
    view! {
        <details class="part">
            <summary>{title}</summary>
            <form class="row" on:submit=move |event: web_sys::SubmitEvent| {
                event.prevent_default();
                ask(values.map(|value| value.get()));
            }>
                <Field label=labels[0] value=values[0] keyboard="decimal"/>
                <Field label=labels[1] value=values[1] keyboard="decimal"/>
                <button type="submit" class="second">{words::WHAT_IT_COSTS}</button>
            </form>
        </details>
    }
}
