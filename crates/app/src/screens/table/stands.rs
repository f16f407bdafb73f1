//! How it stands: the count, the evidence in words, and its picture.

use leptos::prelude::*;
use longrail_app_link::Mark;

use super::scoring::{Scoring, shot, with_waiting};
use crate::app::App;
use crate::parts::{Drawn, draw};
use crate::words;

/// The count; what waits to be kept looks it.
#[component]
pub(super) fn Tally() -> impl IntoView {
    let scoring = expect_context::<Scoring>();
    let tally = move || scoring.tally();
    let waits = move || !scoring.waiting_here().is_empty();
    let beside = move || {
        let (made, tried) = scoring.score.with(|score| (score.made, score.tried));
        let (made, tried) = with_waiting((made, tried), &scoring.waiting_here());
        let proof = scoring.score.with(|score| score.sheet.is_some());
        let warm_up = scoring.score.with(|score| score.warm_up);
        match (proof, warm_up) {
            (_, left) if left > 0 => format!("{left} of the warm-up to come"),
            (true, _) => format!("this set {}", words::of(made, tried)),
            _ => String::new(),
        }
    };
    let app = App::here();
    // Told once it is kept: before that the advice is the last one's.
    let says = Memo::new(move |before: Option<&String>| {
        if waits() {
            return before.cloned().unwrap_or_default();
        }
        let (made, tried) = tally();
        let says = words::tally(made, tried, &scoring.score.with(|score| score.next.clone()));
        let shooter = app.seat.with(|seat| {
            seat.as_ref().filter(|seat| seat.others.len() > 1).map(|seat| words::shoots(&seat.fixed.player))
        });
        shooter.map_or_else(|| says.clone(), |shooter| format!("{shooter}. {says}"))
    });
    view! {
        <p class="tally" class:waits=waits>
            <b>{move || tally().0}</b>" of "{move || tally().1}
        </p>
        <p class="quiet beside-tally">{move || if waits() { words::WAITS.to_owned() } else { beside() }}</p>
        <p class="unseen-words" role="status" aria-live="polite">{move || says.get()}</p>
    }
}

/// How the evidence stands.
#[component]
pub(super) fn Stands(outlook: Signal<String>) -> impl IntoView {
    let scoring = expect_context::<Scoring>();
    let app = App::here();
    // Before the first attempt, how long it is likely to take.
    let first = move || scoring.score.with(|score| score.tried == 0) && outlook.with(|text| !text.is_empty());
    let says = move || {
        scoring.score.with(|score| match &score.lane {
            _ if first() => (String::new(), outlook.get()),
            Some(lane) => (lane.says.clone(), words::counts(lane)),
            None => (String::new(), score.stands.clone()),
        })
    };
    let (notice, caution) = (
        move || scoring.score.with(|score| score.notice.clone()),
        move || scoring.score.with(|score| score.caution.clone()),
    );
    let shots = move || -> Vec<bool> { scoring.waiting_here().iter().filter_map(shot).collect() };
    // What is drawn is another picture in a proof; it is the same element from attempt to attempt.
    let kind = Memo::new(move |_| {
        let proof = scoring.score.with(|score| score.lane.is_some());
        if first() {
            Picture::None
        } else if proof {
            Picture::Lane
        } else {
            Picture::Row
        }
    });
    let row = move || scoring.score.with(|score| row(&score.marks, shots().len()));
    let drawn = Memo::new(move |_| {
        let (shots, wide) = (shots(), app.wide.get());
        app.seat.with(|seat| {
            let bounds = seat.as_ref()?.fixed.bounds.as_ref()?;
            scoring.score.with(|score| Some(draw(bounds, score.lane.as_ref()?, &shots, wide)))
        })
    });
    let part = move |of: fn(&Drawn) -> &String| {
        Memo::new(move |_| {
            drawn.with(|drawn| drawn.as_ref().map(|drawn| of(drawn).clone()).unwrap_or_default())
        })
    };
    let named = move || scoring.score.with(|score| score.lane.as_ref().map(|lane| lane.says.clone()));
    view! {
        <div class="stands-now" class:asks=move || scoring.after_miss.get()>
            <p class="says"><b>{move || says().0}</b>" "{move || says().1}</p>
            <p class="quiet" role="status">{notice}</p>
            <p class="caution">{caution}</p>
            {move || match kind.get() {
                Picture::None => ().into_any(),
                Picture::Row => view! { <p class="tries" aria-hidden="true" inner_html=row></p> }.into_any(),
                Picture::Lane => {
                    let (room, inner) = (part(|drawn| &drawn.room), part(|drawn| &drawn.inner));
                    let (bounds, scale) = (part(|drawn| &drawn.bounds), part(|drawn| &drawn.scale));
                    let walk = part(|drawn| &drawn.walk);
                    view! {
                        <div class="lane" role="img" aria-label=move || named().unwrap_or_default()>
                            <svg viewBox=move || inner.get()>
                                <g inner_html=move || bounds.get()></g>
                                <g inner_html=move || walk.get()></g>
                            </svg>
                            // Of its own: numbers are laid out anew with all that is drawn around them.
                            <svg viewBox=move || room.get() inner_html=move || scale.get()></svg>
                        </div>
                    }.into_any()
                }
            }}
        </div>
    }
}

/// How attempts are drawn.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Picture {
    /// Before the first, not at all.
    None,
    /// Work.
    Row,
    /// A proof.
    Lane,
}

/// Entries of a set of work that a row shows.
const IN_A_ROW: usize = 30;

/// The last attempts of a set of work, in a row, as HTML.
fn row(marks: &[Mark], waiting: usize) -> String {
    let shown = (marks.len() + waiting).saturating_sub(IN_A_ROW);
    let kept = marks.iter().skip(shown).map(|mark| match mark {
        Mark::Made => "<span class=\"try made\"></span>".to_owned(),
        Mark::Missed(_) => "<span class=\"try missed\"></span>".to_owned(),
        Mark::Batch(made, tried) => format!("<span>{}</span>", words::of(*made, *tried)),
    });
    let waits = "<span class=\"try waits\"></span>".repeat(waiting.min(IN_A_ROW));
    kept.collect::<String>() + &waits
}
