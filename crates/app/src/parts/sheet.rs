//! A sheet over the screen, which closes by its button, by Escape, or by itself.

use leptos::html::Dialog;
use leptos::prelude::*;

use crate::app::App;
use crate::device;
use crate::words;

/// A sheet that is shown while `open` is true.
#[component]
pub(crate) fn Sheet(
    /// Whether it is shown.
    open: RwSignal<bool>,
    /// What it is called.
    title: &'static str,
    children: Children,
) -> impl IntoView {
    let app = App::here();
    let dialog = NodeRef::<Dialog>::new();
    Effect::new(move || {
        let (Some(dialog), open) = (dialog.get(), open.get()) else { return };
        if open && !dialog.open() {
            // One that is open already stays so.
            let _ = dialog.show_modal();
            app.covered.set(true);
        } else if !open && dialog.open() {
            dialog.close();
            app.covered.set(false);
        }
    });
    on_cleanup(move || app.covered.set(false));
    view! {
        <dialog node_ref=dialog class="sheet" aria-label=title on:close=move |_| {
            open.set(false);
            app.covered.set(false);
            // What was wrong in it was said in it.
            app.trouble.set(None);
            // What had the focus in it is not seen any more: keys are the screen's again.
            device::let_go_within("dialog");
        }>
            <header class="sheet-head">
                <h2>{title}</h2>
                <button type="button" class="plain" on:click=move |_| open.set(false)>{words::CLOSE}</button>
            </header>
            {move || app.wrong().filter(|_| open.get()).map(|why| view! { <p class="wrong" role="alert">{why}</p> })}
            {children()}
        </dialog>
    }
}
