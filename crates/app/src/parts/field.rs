//! Fields of forms.

use leptos::prelude::*;

/// A line of text with its label.
#[component]
pub(crate) fn Field(
    /// The label.
    label: &'static str,
    /// What is typed.
    value: RwSignal<String>,
    /// Which keyboard: `text` or `decimal`.
    #[prop(default = "text")]
    keyboard: &'static str,
) -> impl IntoView {
    view! {
        <label class="field">
            <span>{label}</span>
            <input
                type="text"
                inputmode=keyboard
                autocomplete="off"
                prop:value=move || value.get()
                on:input=move |event| value.set(event_target_value(&event))
            />
        </label>
    }
}

/// A box to tick, with its label.
#[component]
pub(crate) fn Check(
    /// The label.
    label: &'static str,
    /// Whether it is ticked.
    value: RwSignal<bool>,
) -> impl IntoView {
    view! {
        <label class="check">
            <input
                type="checkbox"
                prop:checked=move || value.get()
                on:change=move |event| value.set(event_target_checked(&event))
            />
            <span>{label}</span>
        </label>
    }
}
