//! A table card: what was measured, as far as it was.

use leptos::prelude::*;
use longrail_app_link::{Question, Reply, Table};

use crate::app::App;
use crate::parts::{Field, Sheet};
use crate::words::{self, Lengths};

#[component]
pub(super) fn TableForm(table: Table, take: impl Fn(Reply) + Copy + Send + Sync + 'static) -> impl IntoView {
    let app = App::here();
    let sizes =
        app.home.with_untracked(|home| home.as_ref().map(|home| home.sizes.clone()).unwrap_or_default());
    let fields = Fields::new(&table);
    let keeps = table.keeps;
    let new = table.id.is_empty();
    let measured = RwSignal::new(table.size.is_empty());
    let size = fields.size;
    let retired = table.id.clone();
    let retiring = RwSignal::new(false);
    let assumed = table.assumed.clone();
    let words = words::lengths(table.imperial);
    let options = sizes
        .into_iter()
        .map(|(id, text)| {
            let chosen = id == table.size;
            view! { <option value=id selected=chosen>{text}</option> }
        })
        .collect_view();
    let save = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        app.quiet();
        let typed = Box::new(fields.typed(&table));
        if new {
            app.tell_then(Question::AddTable(typed), move |_| app.tell_then(Question::Setup, take));
        } else {
            app.tell_then(Question::ChangeTable(typed), take);
        }
    };
    view! {
        <form on:submit=save>
            <Field label=words::TABLE_NAME value=fields.name/>
            <Field label=words::PLACE value=fields.place/>
            <label class="field">
                <span>{words::TABLE_SIZE}</span>
                <select on:change=move |event| {
                    size.set(event_target_value(&event));
                    measured.set(size.with(String::is_empty));
                }>
                    {options}
                    <option value="" selected=measured.get_untracked()>{words::MEASURED}</option>
                </select>
            </label>
            {move || measured.get().then(|| numbers(&words.surface, &fields.surface, "decimal"))}
            {pockets(&fields, words)}
            {measured_part(words::CLOTH, words::CLOTH_HOW, &words.cloth, &fields.cloth)}
            {measured_part(words::RAILS, words::RAILS_HOW, &words.rails, &fields.rails)}
            {measured_part(words::CUE_BALL, words::CUE_BALL_HOW, &words.cue_ball, &fields.cue_ball)}
            <label class="field">
                <span>{words::POTTED}</span>
                <select on:change=move |event| fields.keeps.set(event_target_value(&event).parse().ok())>
                    <option value="" selected=keeps.is_none()>{words::NOT_KNOWN}</option>
                    <option value="false" selected=keeps == Some(false)>{words::POTTED_RETURNED}</option>
                    <option value="true" selected=keeps == Some(true)>{words::POTTED_KEPT}</option>
                </select>
            </label>
            <Field label=words::ROLL_OFF value=fields.roll_off/>
            {(!assumed.is_empty()).then(|| view! { <p class="quiet">{words::ASSUMED}": "{assumed.join("; ")}"."</p> })}
            <button type="submit" class="second">{words::SAVE}</button>
            {(!new).then(|| view! {
                <button type="button" class="second" on:click=move |_| retiring.set(true)>{words::RETIRE}</button>
                <Sheet open=retiring title=words::RETIRE>
                    <p>{words::RETIRE_SAYS}</p>
                    <button type="button" class="second" on:click=move |_| {
                        retiring.set(false);
                        app.tell_then(Question::RetireTable { table: retired.clone() }, take);
                    }>{words::RETIRE}</button>
                </Sheet>
            })}
        </form>
    }
}

/// What is typed.
#[derive(Clone, Copy)]
struct Fields {
    name: RwSignal<String>,
    place: RwSignal<String>,
    size: RwSignal<String>,
    surface: [RwSignal<String>; 2],
    kinds: [RwSignal<String>; 2],
    pockets: [RwSignal<String>; 6],
    cloth: [RwSignal<String>; 2],
    rails: [RwSignal<String>; 3],
    cue_ball: [RwSignal<String>; 2],
    keeps: RwSignal<Option<bool>>,
    roll_off: RwSignal<String>,
}

impl Fields {
    fn new(table: &Table) -> Self {
        let text = |text: &String| RwSignal::new(text.clone());
        Self {
            name: text(&table.name),
            place: text(&table.place),
            size: text(&table.size),
            surface: table.surface.each_ref().map(text),
            kinds: [text(&table.corners), text(&table.sides)],
            pockets: table.pockets.each_ref().map(text),
            cloth: table.cloth.each_ref().map(text),
            rails: table.rails.each_ref().map(text),
            cue_ball: table.cue_ball.each_ref().map(text),
            keeps: RwSignal::new(table.keeps),
            roll_off: text(&table.roll_off),
        }
    }

    fn typed(&self, table: &Table) -> Table {
        let text = |signal: RwSignal<String>| signal.get_untracked();
        let [corners, sides] = self.kinds.map(text);
        Table {
            id: table.id.clone(),
            name: text(self.name),
            place: text(self.place),
            imperial: table.imperial,
            size: text(self.size),
            surface: self.surface.map(text),
            corners,
            sides,
            pockets: self.pockets.map(text),
            cloth: self.cloth.map(text),
            rails: self.rails.map(text),
            cue_ball: self.cue_ball.map(text),
            keeps: self.keeps.get_untracked(),
            roll_off: text(self.roll_off),
            assumed: Vec::new(),
        }
    }
}

/// Numbers that belong together, in a row.
fn numbers(labels: &[&'static str], values: &[RwSignal<String>], keyboard: &'static str) -> AnyView {
    let fields: Vec<AnyView> = labels
        .iter()
        .zip(values)
        .map(|(label, value)| view! { <Field label=*label value=*value keyboard/> }.into_any())
        .collect();
    view! { <div class="numbers">{fields}</div> }.into_any()
}

/// Something that is measured, and how; open where it was.
fn part(title: &'static str, how: String, known: bool, inside: Vec<AnyView>) -> AnyView {
    view! {
        <details class="part" open=known>
            <summary>{title}</summary>
            <p class="quiet">{how}</p>
            {inside}
        </details>
    }
    .into_any()
}

/// The same, of numbers that belong together.
fn measured_part(
    title: &'static str,
    how: &'static str,
    labels: &[&'static str],
    values: &[RwSignal<String>],
) -> AnyView {
    part(title, how.to_owned(), known(values), vec![numbers(labels, values, "decimal")])
}

/// Whether something is typed in one of these.
fn known(values: &[RwSignal<String>]) -> bool {
    values.iter().any(|value| value.with_untracked(|value| !value.is_empty()))
}

/// Mouths: of a kind, and one by one.
fn pockets(fields: &Fields, words: Lengths) -> AnyView {
    let (each, alike) = (known(&fields.pockets), known(&fields.kinds));
    let kinds = numbers(&words.kinds, &fields.kinds, "text");
    let differ = part(
        words::ONE_BY_ONE,
        String::new(),
        each && !alike,
        vec![numbers(&words::POCKETS, &fields.pockets, "text")],
    );
    part(words::MOUTHS, format!("{} {}", words::MOUTHS_HOW, words.mouths_as), each, vec![kinds, differ])
}
