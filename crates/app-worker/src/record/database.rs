//! The browser's database: events in their order of arrival, and what is worked out from them.
//!
//! An event is a row of `events` under a rising number, its *place*; its line is never changed. What else is kept can be worked
//! out anew, but for `here`, which says who this device is. A transaction that writes is *strict*: it completes when the bytes are
//! on the disk, as far as the system tells the browser.

use idb::request::futures::{AddStoreRequestFuture, GetStoreRequestFuture};
use idb::{CursorDirection, Factory, IndexParams, KeyPath, KeyRange, ObjectStoreParams, Query, Transaction};
use js_sys::{Array, Object, Promise, Reflect};
use wasm_bindgen::prelude::{Closure, wasm_bindgen};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{IdbDatabase, IdbTransaction};

use longrail_app_link::Told;

use super::trouble::Trouble;

/// Its name in the browser.
const NAME: &str = "longrail";
/// Told to a window whose database is needed in a newer form.
const NEWER: &str = "A newer version of Longrail is open in another window: load this page again. What was confirmed is safe.";
/// Raised whenever the stores below change.
const VERSION: u32 = 1;

/// Events, by place.
const EVENTS: &str = "events";
/// Events by player and place.
const OF_PLAYER: &str = "of_player";
/// Events by their identifier.
const BY_ID: &str = "by_id";
/// Small things by name: this device, snapshots, and who is on record.
const HERE: &str = "here";
/// Ladders worked out, by key.
const LADDERS: &str = "ladders";

#[wasm_bindgen]
extern "C" {
    /// A database that can be asked for strict transactions, which the bindings do not know yet.
    type Strict;

    #[wasm_bindgen(method, catch)]
    fn transaction(
        this: &Strict,
        stores: &Array,
        mode: &str,
        options: &Object,
    ) -> Result<IdbTransaction, JsValue>;
}

/// The database, open.
pub(crate) struct Database {
    inner: IdbDatabase,
}

/// A row of `events`.
pub(crate) struct Row {
    pub(crate) place: u64,
    pub(crate) line: String,
}

/// A transaction over all stores.
pub(crate) struct Access {
    raw: IdbTransaction,
    inner: Transaction,
}

impl Database {
    pub(crate) async fn open() -> Result<Self, Trouble> {
        let mut request = Factory::new()?.open(NAME, Some(VERSION))?;
        request.on_upgrade_needed(|event| {
            // Where it cannot be made, opening fails, and that is told.
            let _ = (|| -> Result<(), idb::Error> {
                let database = idb::event::DatabaseEvent::database(&event)?;
                let mut by_place = ObjectStoreParams::new();
                by_place.key_path(Some(KeyPath::new_single("place"))).auto_increment(true);
                let events = database.create_object_store(EVENTS, by_place)?;
                events.create_index(OF_PLAYER, KeyPath::new_array(["player", "place"]), None)?;
                let mut unique = IndexParams::new();
                unique.unique(true);
                events.create_index(BY_ID, KeyPath::new_single("id"), Some(unique))?;
                database.create_object_store(HERE, ObjectStoreParams::new())?;
                database.create_object_store(LADDERS, ObjectStoreParams::new())?;
                Ok(())
            })();
        });
        let inner: IdbDatabase = request.await?.into();
        // A newer version in another window waits until this one lets go.
        let closing = inner.clone();
        let newer = Closure::<dyn FnMut()>::new(move || {
            closing.close();
            super::tell_all(&Told::Failed(NEWER.to_owned()));
        });
        inner.set_onversionchange(Some(newer.as_ref().unchecked_ref()));
        // It listens as long as the worker lives.
        newer.forget();
        Ok(Self { inner })
    }

    /// For reading.
    pub(crate) fn read(&self) -> Result<Access, Trouble> {
        self.begin("readonly")
    }

    /// For writing: all of it, or nothing.
    pub(crate) fn write(&self) -> Result<Access, Trouble> {
        self.begin("readwrite")
    }

    fn begin(&self, mode: &str) -> Result<Access, Trouble> {
        let stores: Array = [EVENTS, HERE, LADDERS].iter().map(|name| JsValue::from(*name)).collect();
        let options = Object::new();
        Reflect::set(&options, &"durability".into(), &"strict".into())?;
        let raw = self.inner.unchecked_ref::<Strict>().transaction(&stores, mode, &options)?;
        Ok(Access { inner: raw.clone().into(), raw })
    }
}

impl Access {
    /// Waits until what was written is on the disk.
    pub(crate) async fn complete(self) -> Result<(), Trouble> {
        let Self { raw, inner } = self;
        let promise = Promise::new(&mut |resolve, reject| {
            let done = Closure::once_into_js(move || {
                let _ = resolve.call0(&JsValue::NULL);
            });
            let transaction = raw.clone();
            let failed = Closure::once_into_js(move || {
                let why = transaction.error().map_or(JsValue::NULL, Into::into);
                let _ = reject.call1(&JsValue::NULL, &why);
            });
            raw.set_oncomplete(Some(done.unchecked_ref()));
            raw.set_onabort(Some(failed.unchecked_ref()));
        });
        // Nothing more is asked of it: it need not wait to see that. One that has begun to end by itself refuses, and ends.
        let _ = inner.commit();
        JsFuture::from(promise).await?;
        Ok(())
    }

    /// A small thing by its name. It is asked for at once, whenever the answer is awaited.
    pub(crate) fn here(&self, name: &str) -> Result<GetStoreRequestFuture, Trouble> {
        Ok(self.inner.object_store(HERE)?.get(JsValue::from(name))?.into_future())
    }

    /// Nobody waits for this alone: the transaction tells what became of it.
    pub(crate) fn put_here(&self, name: &str, text: &str) -> Result<(), Trouble> {
        drop(self.inner.object_store(HERE)?.put(&text.into(), Some(&name.into()))?);
        Ok(())
    }

    pub(crate) async fn drop_here(&self, name: &str) -> Result<(), Trouble> {
        self.inner.object_store(HERE)?.delete(JsValue::from(name))?.await?;
        Ok(())
    }

    /// A ladder worked out, by its key.
    pub(crate) async fn ladder(&self, key: &str) -> Result<Option<String>, Trouble> {
        let value = self.inner.object_store(LADDERS)?.get(JsValue::from(key))?.await?;
        Ok(value.and_then(|value| value.as_string()))
    }

    /// The keys of all ladders.
    pub(crate) async fn ladder_keys(&self) -> Result<Vec<String>, Trouble> {
        let keys = self.inner.object_store(LADDERS)?.get_all_keys(None, None)?.await?;
        Ok(keys.into_iter().filter_map(|key| key.as_string()).collect())
    }

    pub(crate) async fn put_ladder(&self, key: &str, text: &str) -> Result<(), Trouble> {
        self.inner.object_store(LADDERS)?.put(&text.into(), Some(&key.into()))?.await?;
        Ok(())
    }

    /// Drops all ladders, and says whether there were any.
    pub(crate) async fn drop_ladders(&self) -> Result<bool, Trouble> {
        let any = !self.ladder_keys().await?.is_empty();
        self.inner.object_store(LADDERS)?.clear()?.await?;
        Ok(any)
    }

    /// The events of a player behind a place, in order of arrival.
    pub(crate) async fn events_of(&self, player: &str, after: u64) -> Result<Vec<Row>, Trouble> {
        let bound = |place: f64| -> JsValue { Array::of2(&player.into(), &place.into()).into() };
        let range = KeyRange::bound(&bound(number(after)), &bound(f64::INFINITY), Some(true), None)?;
        let index = self.inner.object_store(EVENTS)?.index(OF_PLAYER)?;
        let rows = index.get_all(Some(Query::KeyRange(range)), None)?.await?;
        rows.iter().map(row).collect()
    }

    /// Whether an event is here.
    pub(crate) async fn knows(&self, id: &str) -> Result<bool, Trouble> {
        let index = self.inner.object_store(EVENTS)?.index(BY_ID)?;
        Ok(index.count(Some(Query::Key(id.into())))?.await? > 0)
    }

    /// At most `limit` events of everyone behind a place.
    pub(crate) async fn events(&self, after: u64, limit: u32) -> Result<Vec<Row>, Trouble> {
        let range = KeyRange::lower_bound(&number(after).into(), Some(true))?;
        let store = self.inner.object_store(EVENTS)?;
        let rows = store.get_all(Some(Query::KeyRange(range)), Some(limit))?.await?;
        rows.iter().map(row).collect()
    }

    /// The place of the last event; 0 if there is none.
    pub(crate) async fn last(&self) -> Result<u64, Trouble> {
        let cursor =
            self.inner.object_store(EVENTS)?.open_key_cursor(None, Some(CursorDirection::Prev))?.await?;
        Ok(cursor.and_then(|cursor| cursor.key().ok()).map_or(0, |key| whole(&key)))
    }

    /// How many events there are behind a place.
    pub(crate) async fn count(&self, after: u64) -> Result<u64, Trouble> {
        let range = KeyRange::lower_bound(&number(after).into(), Some(true))?;
        let count = self.inner.object_store(EVENTS)?.count(Some(Query::KeyRange(range)))?.await?;
        Ok(u64::from(count))
    }

    /// Adds an event. The answer is its place, as JavaScript has numbers ([`whole`]).
    pub(crate) fn add(&self, player: &str, id: &str, line: &str) -> Result<AddStoreRequestFuture, Trouble> {
        Ok(self.inner.object_store(EVENTS)?.add(&object(player, id, line)?, None)?.into_future())
    }

    /// Adds an event without waiting for its place: for many at once. If one cannot be added, none is.
    pub(crate) fn add_unseen(&self, player: &str, id: &str, line: &str) -> Result<(), Trouble> {
        // The request goes on without anybody who waits for it; the transaction tells what became of it.
        drop(self.inner.object_store(EVENTS)?.add(&object(player, id, line)?, None)?);
        Ok(())
    }

    /// Removes every event of a player.
    pub(crate) async fn remove(&self, player: &str) -> Result<(), Trouble> {
        let store = self.inner.object_store(EVENTS)?;
        for row in self.events_of(player, 0).await? {
            store.delete(JsValue::from(number(row.place)))?.await?;
        }
        Ok(())
    }
}

fn object(player: &str, id: &str, line: &str) -> Result<JsValue, Trouble> {
    let event = Object::new();
    for (name, value) in [("player", player), ("id", id), ("line", line)] {
        Reflect::set(&event, &name.into(), &value.into())?;
    }
    Ok(event.into())
}

fn row(value: &JsValue) -> Result<Row, Trouble> {
    let place = whole(&Reflect::get(value, &"place".into())?);
    Ok(Row { place, line: text(value, "line")? })
}

fn text(value: &JsValue, name: &str) -> Result<String, Trouble> {
    let found = Reflect::get(value, &name.into())?.as_string();
    found.ok_or_else(|| Trouble::Storage(format!("a row without {name}")))
}

/// A place as JavaScript has numbers: exact up to 2^53, which nobody reaches.
#[allow(clippy::cast_precision_loss)]
const fn number(place: u64) -> f64 {
    place as f64
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
pub(super) fn whole(value: &JsValue) -> u64 {
    value.as_f64().unwrap_or_default() as u64
}
