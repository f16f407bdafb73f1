//! The tables of a player.

use leptos::prelude::*;
use longrail_app_link::{Question, Reply, Table};

use super::card::TableForm;
use crate::app::App;
use crate::parts::Sheet;
use crate::words;

#[component]
pub(super) fn Tables(
    tables: Vec<Table>,
    used: String,
    take: impl Fn(Reply) + Copy + Send + Sync + 'static,
) -> impl IntoView {
    let app = App::here();
    let adding = RwSignal::new(false);
    let forms = tables
        .into_iter()
        .map(|table| {
            let here = table.id == used;
            let id = table.id.clone();
            let more = format!("{}{}", table.name, if here { format!(" ({})", words::IN_USE) } else { String::new() });
            view! {
                <details class="table-card">
                    <summary>{more}</summary>
                    {(!here).then(|| view! { <button type="button" class="second" on:click=move |_| {
                        app.tell_then(Question::UseTable { table: id.clone() }, move |_| app.tell_then(Question::Setup, take));
                    }>{words::USE}</button> })}
                    <TableForm table take/>
                </details>
            }
        })
        .collect_view();
    let imperial = app.home.with_untracked(|home| home.as_ref().is_some_and(|home| home.imperial));
    let fresh = Table { size: "9ft".to_owned(), imperial, ..Table::default() };
    view! {
        <section>
            <h2>{words::TABLES}</h2>
            {forms}
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
