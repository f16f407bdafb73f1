//! The tables of a player.

use leptos::prelude::*;
use longrail_app_link::{Question, Reply, Table};

use super::card::TableForm;
use crate::app::App;
use crate::parts::Sheet;
use crate::words;

#[component]
pub(super) fn Tables(
    tables: Signal<Vec<Table>>,
    used: Signal<String>,
    take: impl Fn(Reply) + Copy + Send + Sync + 'static,
) -> impl IntoView {
    let app = App::here();
    let adding = RwSignal::new(false);
    let card = move |id: String| {
        let id = StoredValue::new(id);
        // What is typed in one card stays while another one is saved, or put in use.
        let table = Memo::new(move |_| {
            tables.with(|tables| tables.iter().find(|table| id.with_value(|id| *id == table.id)).cloned())
        });
        let here = move || used.with(|used| id.with_value(|id| id == used));
        let more = move || {
            let name = table.with(|table| table.as_ref().map(|table| table.name.clone()).unwrap_or_default());
            if here() { format!("{name} ({})", words::IN_USE) } else { name }
        };
        let puts_in_use = move |_| {
            let table = id.get_value();
            app.tell_then(Question::UseTable { table }, move |_| app.tell_then(Question::Setup, take));
        };
        view! {
            <details class="table-card">
                <summary>{more}</summary>
                {move || (!here()).then(|| view! { <button type="button" class="second" on:click=puts_in_use>{words::USE}</button> })}
                {move || table.get().map(|table| view! { <TableForm table take/> })}
            </details>
        }
        .into_any()
    };
    let ids = move || tables.with(|tables| tables.iter().map(|table| table.id.clone()).collect::<Vec<_>>());
    let imperial = app.home.with_untracked(|home| home.as_ref().is_some_and(|home| home.imperial));
    let fresh = Table { size: "9ft".to_owned(), imperial, ..Table::default() };
    view! {
        <section>
            <h2>{words::TABLES}</h2>
            <For each=ids key=String::clone children=card/>
            <button type="button" class="second" on:click=move |_| adding.set(true)>{words::ADD_TABLE}</button>
            <Sheet open=adding title=words::ADD_TABLE>
                <TableForm table=fresh take=move |reply| {
                    adding.set(false);
                    take(reply);
                }/>
            </Sheet>
        </section>
    }
}
