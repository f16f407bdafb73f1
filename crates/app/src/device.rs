//! What the browser offers a page.

use std::time::Duration;

use js_sys::{Array, Function, Promise, Reflect};
use leptos::prelude::*;
use wasm_bindgen::prelude::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, BlobPropertyBag, Document, File, HtmlAnchorElement, HtmlElement, Url, Window};

fn window() -> Option<Window> {
    web_sys::window()
}

fn document() -> Option<Document> {
    window()?.document()
}

/// The place in the address.
pub(crate) fn hash() -> String {
    window().and_then(|window| window.location().hash().ok()).unwrap_or_default()
}

/// Goes to a place in the address.
pub(crate) fn go(path: &str) {
    if let Some(window) = window() {
        let _ = window.location().set_hash(path);
        window.scroll_to_with_x_and_y(0.0, 0.0);
    }
}

/// Calls back at an event of the window, for as long as the page lives.
pub(crate) fn on_window(name: &str, take: impl FnMut() + 'static) {
    let Some(window) = window() else { return };
    let closure = Closure::<dyn FnMut()>::new(take);
    let _ = window.add_event_listener_with_callback(name, closure.as_ref().unchecked_ref());
    closure.forget();
}

/// Calls back when the page comes to the front, until the screen that asked is gone.
pub(crate) fn on_visible(take: impl Fn() + 'static) {
    let Some(document) = document() else { return };
    let closure = {
        let document = document.clone();
        Closure::<dyn FnMut()>::new(move || {
            if document.visibility_state() == web_sys::VisibilityState::Visible {
                take();
            }
        })
    };
    let name = "visibilitychange";
    let _ = document.add_event_listener_with_callback(name, closure.as_ref().unchecked_ref());
    let closure = StoredValue::new_local(closure);
    on_cleanup(move || {
        closure.try_with_value(|closure| {
            let _ = document.remove_event_listener_with_callback(name, closure.as_ref().unchecked_ref());
        });
    });
}

/// Whether a newer version was found before anybody listened.
pub(crate) fn update_waits() -> bool {
    root().is_some_and(|root| root.dataset().get("update").is_some())
}

/// Takes the newer version.
pub(crate) fn update_now() {
    if let Some(window) = window()
        && let Ok(event) = web_sys::Event::new("longrail-update-now")
    {
        let _ = window.dispatch_event(&event);
    }
}

fn root() -> Option<HtmlElement> {
    document()?.document_element()?.dyn_into().ok()
}

/// A setting of this browser.
pub(crate) fn setting(name: &str) -> Option<String> {
    window()?.local_storage().ok()??.get_item(&format!("longrail {name}")).ok()?
}

/// Keeps one. Where the browser keeps none, it lasts as long as the page.
pub(crate) fn set_setting(name: &str, value: &str) {
    if let Some(Ok(Some(storage))) = window().map(|window| window.local_storage()) {
        let _ = storage.set_item(&format!("longrail {name}"), value);
    }
}

/// Dark, or light.
pub(crate) fn set_theme(light: bool) {
    if let Some(root) = root() {
        let _ = root.dataset().set("theme", if light { "light" } else { "dark" });
    }
    set_setting("light", if light { "yes" } else { "no" });
}

/// Whether the screen is wide: look on the left, act on the right.
pub(crate) fn is_wide() -> bool {
    let query = window().and_then(|window| window.match_media("(min-width: 56.25em)").ok().flatten());
    query.is_some_and(|query| query.matches())
}

/// This moment, milliseconds since 1970.
pub(crate) fn now_ms() -> f64 {
    js_sys::Date::now()
}

/// A short tick, where the device can and the person wants it.
pub(crate) fn tick(long: bool) {
    if setting("tick").as_deref() == Some("no") {
        return;
    }
    let Some(window) = window() else { return };
    let navigator = window.navigator();
    // Some browsers have no such function.
    if Reflect::has(&navigator, &"vibrate".into()).unwrap_or(false) {
        navigator.vibrate_with_duration(if long { 120 } else { 15 });
    }
}

/// Calls an asynchronous function of an object, if it is there.
async fn call(of: &JsValue, name: &str, argument: Option<&JsValue>) -> Option<JsValue> {
    let function: Function = Reflect::get(of, &name.into()).ok()?.dyn_into().ok()?;
    let promise = match argument {
        Some(argument) => function.call1(of, argument),
        None => function.call0(of),
    };
    JsFuture::from(promise.ok()?.dyn_into::<Promise>().ok()?).await.ok()
}

/// Asks the browser to keep the screen awake; the lock ends when the page is hidden.
pub(crate) async fn stay_awake() -> Option<JsValue> {
    let navigator: JsValue = window()?.navigator().into();
    let lock = Reflect::get(&navigator, &"wakeLock".into()).ok().filter(JsValue::is_object)?;
    call(&lock, "request", Some(&"screen".into())).await
}

/// Whether a lock still keeps the screen awake.
pub(crate) fn is_awake(lock: &JsValue) -> bool {
    Reflect::get(lock, &"released".into()).is_ok_and(|released| released.as_bool() == Some(false))
}

/// Lets the screen sleep.
pub(crate) async fn let_sleep(lock: JsValue) {
    call(&lock, "release", None).await;
}

/// Asks the browser to keep what is stored; none if it has no such thing.
pub(crate) async fn ask_to_keep() -> Option<bool> {
    let navigator: JsValue = window()?.navigator().into();
    let storage = Reflect::get(&navigator, &"storage".into()).ok().filter(JsValue::is_object)?;
    call(&storage, "persist", None).await?.as_bool()
}

/// Whether the browser keeps what is stored; none if it does not tell.
pub(crate) async fn is_kept() -> Option<bool> {
    let navigator: JsValue = window()?.navigator().into();
    let storage = Reflect::get(&navigator, &"storage".into()).ok().filter(JsValue::is_object)?;
    call(&storage, "persisted", None).await?.as_bool()
}

/// Whether the page is from https or from this very machine: only then a browser keeps it for use without a network.
pub(crate) fn is_secure() -> bool {
    window().is_some_and(|window| window.is_secure_context())
}

/// Saves text as a file.
pub(crate) fn save(name: &str, text: &str) -> Result<(), JsValue> {
    let options = BlobPropertyBag::new();
    options.set_type("application/x-ndjson");
    let blob = Blob::new_with_str_sequence_and_options(&Array::of1(&text.into()), &options)?;
    let url = Url::create_object_url_with_blob(&blob)?;
    let document = document().ok_or(JsValue::NULL)?;
    let anchor: HtmlAnchorElement = document.create_element("a")?.dyn_into()?;
    anchor.set_href(&url);
    anchor.set_download(name);
    anchor.click();
    // Some browsers read it a little later.
    set_timeout(
        move || {
            let _ = Url::revoke_object_url(&url);
        },
        Duration::from_mins(1),
    );
    Ok(())
}

/// What the window is called.
pub(crate) fn set_title(title: &str) {
    if let Some(document) = document() {
        document.set_title(title);
    }
}

/// Takes away what the page shows until the app is here.
pub(crate) fn end_welcome() {
    if let Some(welcome) = document().and_then(|document| document.get_element_by_id("welcome")) {
        welcome.remove();
    }
}

/// Goes to the top of what is new on the screen, for whoever hears it or has no pointer.
pub(crate) fn focus_on(selector: &str) {
    let found = document().and_then(|document| document.query_selector(selector).ok().flatten());
    if let Some(element) = found.and_then(|element| element.dyn_into::<HtmlElement>().ok()) {
        let _ = element.focus();
    }
}

/// Goes on to `to` if such an element has the focus; the page itself has it where nothing else does.
pub(crate) fn hand_on(from: &str, to: &str) {
    let focused = document().and_then(|document| document.active_element());
    if focused.is_some_and(|element| element.matches(from).unwrap_or(false)) {
        focus_on(to);
    }
}

/// Takes the focus from what has it, if that stands in such an element.
pub(crate) fn let_go_within(selector: &str) {
    let focused = document().and_then(|document| document.active_element());
    let within = focused.filter(|element| element.closest(selector).is_ok_and(|found| found.is_some()));
    if let Some(element) = within.and_then(|element| element.dyn_into::<HtmlElement>().ok()) {
        let _ = element.blur();
    }
}

/// A press by finger or mouse leaves the focus where it is: the keys of a page-turner are attempts, and not that button again.
// As the browser hands it over.
#[allow(clippy::needless_pass_by_value)]
pub(crate) fn take_no_focus(event: web_sys::MouseEvent) {
    event.prevent_default();
}

/// Reads a file as text.
pub(crate) async fn read(file: &File) -> Option<String> {
    JsFuture::from(file.text()).await.ok()?.as_string()
}

/// Whether what was folded or unfolded just now is open.
pub(crate) fn is_open(event: &web_sys::Event) -> bool {
    let folds = event.target().and_then(|target| target.dyn_into::<web_sys::Element>().ok());
    folds.is_some_and(|folds| folds.has_attribute("open"))
}

/// Today as ISO 8601 writes it.
pub(crate) fn date() -> String {
    let date = js_sys::Date::new_0();
    format!("{:04}-{:02}-{:02}", date.get_full_year(), date.get_month() + 1, date.get_date())
}
