//! Where everything stands on the screen, and what is left out of a small one.

use longrail_practice::event::Outcome;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::Widget;

use super::big;
use super::screen::{Mode, Reading, Screen};
use super::view::{Mark, View};
use super::wrap::{self, clip, width};

/// The longest line of text: longer ones are hard to read at a glance.
const LONGEST_LINE: usize = 72;

/// The tally takes at most this share of the rows.
const TALLY_PERCENT: usize = 45;

/// Keys and what they do.
type Keys = &'static [(&'static str, &'static str)];

/// The bottom line while attempts are scored, the longest that fits.
const SCORING: [Keys; 5] = [
    &[
        ("←", "left"),
        ("Enter", "made"),
        ("→", "right"),
        ("↓", "not seen"),
        ("u", "undo"),
        ("b", "count"),
        ("e", "end"),
        ("q", "leave"),
        ("?", "keys"),
    ],
    &[("←→↓", "missed"), ("Enter", "made"), ("u", "undo"), ("e", "end"), ("q", "leave"), ("?", "keys")],
    &[("←→↓", "missed"), ("Enter", "made"), ("u", "undo"), ("?", "keys")],
    &[("Enter", "made"), ("u", "undo"), ("?", "keys")],
    &[("?", "keys")],
];

/// The bottom line while something is typed.
const TYPING: [Keys; 2] = [&[("Enter", "takes it"), ("Esc", "leaves it")], &[("Enter", ""), ("Esc", "")]];

/// The bottom line while the end of the set is in question.
const ENDING: [Keys; 2] = [&[("e", "ends the set"), ("other", "goes on")], &[("e", "ends")]];

/// Lines that stand or fall together.
struct Block {
    /// What is more important has a lower rank.
    rank: u8,
    lines: Vec<Line<'static>>,
}

/// Draws all of the screen.
pub(super) fn draw(buffer: &mut Buffer, area: Rect, view: &View, screen: &Screen) {
    if area.is_empty() {
        return;
    }
    match screen.mode() {
        Mode::Reading(reading, part) => page(buffer, area, reading, *part),
        Mode::Scoring => scoring(buffer, area, view, screen, &SCORING),
        Mode::Typing(_) => scoring(buffer, area, view, screen, &TYPING),
        Mode::Ending => scoring(buffer, area, view, screen, &ENDING),
    }
}

/// Lines to read, as many as there is room for, and what the next key does.
fn page(buffer: &mut Buffer, area: Rect, reading: &Reading, part: usize) {
    let column = column(area);
    let lines = reading.lines(column.width);
    let parts = wrap::parts(lines.len(), area.height);
    // A screen that has grown has fewer parts.
    let part = part.min(parts - 1);
    let room = wrap::part(area.height);
    let shown = lines.into_iter().skip(part * room).take(room).map(Line::from);
    put(buffer, column, 0, shown);
    let next = match reading {
        _ if part + 1 < parts => "goes on reading",
        Reading::Help => "goes back",
        Reading::End(_) => "closes",
    };
    if area.height > 1 {
        keys(buffer, area, Line::from(vec![bold("Any key"), Span::raw(format!(" {next}"))]));
    }
}

fn scoring(buffer: &mut Buffer, area: Rect, view: &View, screen: &Screen, tiers: &[Keys]) {
    let column = column(area);
    let rows = usize::from(area.height);
    let tally = big::figures(
        &format!("{}/{}", view.made, view.tried),
        area.width.into(),
        (rows * TALLY_PERCENT / 100).max(1),
    );
    let mut room = rows.saturating_sub(tally.len() + 1);
    let message = message(&screen.messages(view), column.width.into(), room);
    room -= message.len();
    let [above, below] = fitting([above(view, column.width.into()), below(view, column.width.into())], room);
    let spare = room - above.len() - below.len();
    let under = spare.min(1);
    let over = (spare - under).div_ceil(2);

    let tally_row = above.len() + over;
    let below_row = tally_row + tally.len() + under;
    put(buffer, column, 0, above.into_iter());
    put(buffer, area, tally_row, tally.into_iter().map(|line| Line::styled(line, Modifier::BOLD).centered()));
    put(buffer, column, below_row, below.into_iter());
    if rows > 1 {
        put(buffer, column, rows - 1 - message.len(), message.into_iter());
        let fits = |tier: &&Keys| key_line(tier).width() <= area.width.into();
        let tier = tiers.iter().find(fits).or(tiers.last());
        keys(buffer, area, tier.map(|tier| key_line(tier)).unwrap_or_default());
    }
}

/// The middle of `area`, no wider than a line is easily read.
pub(super) fn column(area: Rect) -> Rect {
    let width = area.width.min(u16::try_from(LONGEST_LINE).unwrap_or(u16::MAX));
    Rect { x: area.x + (area.width - width) / 2, width, ..area }
}

/// Who shoots, what, and where the balls lie.
fn above(view: &View, columns: usize) -> Vec<Block> {
    let setup = view.setup.iter().flat_map(|ball| lines(ball, columns, Style::new())).collect();
    vec![
        Block { rank: 3, lines: vec![who(view, columns)] },
        Block { rank: 7, lines: lines(&view.heading, columns, Modifier::BOLD.into()) },
        Block { rank: 10, lines: lines(&view.table, columns, Modifier::DIM.into()) },
        Block { rank: 8, lines: lines(&view.goal, columns, Style::new()) },
        Block { rank: 9, lines: setup },
    ]
}

/// What the count means.
fn below(view: &View, columns: usize) -> Vec<Block> {
    let mut caption = vec!["this set".to_owned()];
    caption.extend(view.sheet.map(|(made, tried)| format!("sheet {made}/{tried}")));
    if view.warm_up_left > 0 {
        caption.push(format!("warm-up {} left", view.warm_up_left));
    }
    let caption = lines(&caption.join(" · "), columns, Style::new());
    let marks = Line::styled(marks(&view.recent, columns), Modifier::BOLD).centered();
    // Dashes before it say caution where there is no colour.
    let caution = view.caution.as_ref().map(|caution| format!("╌╌ {caution}")).unwrap_or_default();
    vec![
        Block { rank: 2, lines: caption.into_iter().map(Line::centered).collect() },
        Block { rank: 1, lines: vec![marks] },
        Block { rank: 6, lines: lines(&view.stands, columns, Style::new()) },
        Block { rank: 5, lines: lines(&view.next, columns, Modifier::BOLD.into()) },
        Block { rank: 4, lines: lines(&caution, columns, Modifier::BOLD.into()) },
    ]
}

/// What has to be read now. A row is kept for it even if there is nothing, so that the rest does not jump.
fn message(messages: &[String], columns: usize, room: usize) -> Vec<Line<'static>> {
    let style = Style::from(Modifier::BOLD);
    let mut said: Vec<_> = messages.iter().flat_map(|message| lines(message, columns, style)).collect();
    if said.is_empty() {
        said.push(Line::default());
    }
    said.truncate(room);
    said
}

/// Who shoots next on the left, the clock on the right.
fn who(view: &View, columns: usize) -> Line<'static> {
    let clock = match view.minutes_free {
        0 => format!("{} min", view.minutes),
        free => format!("{} of {free} min", view.minutes),
    };
    let room = columns.saturating_sub(width(&clock) + 1);
    let names = if view.others.is_empty() {
        view.learner.clone()
    } else {
        format!("{} shoots, then {}", view.learner, view.others.join(", "))
    };
    let names = clip(&names, room);
    let gap = columns.saturating_sub(width(&names) + width(&clock));
    Line::from(vec![bold(names), Span::raw(" ".repeat(gap)), Span::raw(clip(&clock, columns))])
}

/// As many of the last marks as fit. A filled mark is a make, an open one a miss with its side; brackets hold warm-up.
fn marks(recent: &[Mark], columns: usize) -> String {
    let mut shown = String::new();
    for from in (0..recent.len()).rev() {
        let longer = marks_in_full(&recent[from..]);
        if width(&longer) > columns {
            break;
        }
        shown = longer;
    }
    shown
}

fn marks_in_full(recent: &[Mark]) -> String {
    let mut text = String::new();
    for (index, mark) in recent.iter().enumerate() {
        let warm = |other: Option<&Mark>| mark.warm_up && !other.is_some_and(|other| other.warm_up);
        let before = index.checked_sub(1).and_then(|before| recent.get(before));
        text.push_str(if before.is_some() { " " } else { "" });
        text.push_str(if warm(before) { "(" } else { "" });
        text.push_str(match mark.outcome {
            Outcome::Made => "●",
            Outcome::Missed => "○",
            Outcome::MissedLeft => "‹○",
            Outcome::MissedRight => "○›",
            Outcome::MissedNotSeen => "○?",
        });
        text.push_str(if warm(recent.get(index + 1)) { ")" } else { "" });
    }
    text
}

/// Keeps blocks by importance as long as there is room; a short one may fit where a more important one did not.
fn fitting(groups: [Vec<Block>; 2], mut room: usize) -> [Vec<Line<'static>>; 2] {
    let mut ranks: Vec<(u8, usize)> =
        groups.iter().flatten().map(|block| (block.rank, block.lines.len())).collect();
    ranks.sort_unstable();
    ranks.retain(|&(_, rows)| {
        let fits = rows <= room;
        room -= if fits { rows } else { 0 };
        fits
    });
    groups.map(|blocks| {
        let kept = blocks.into_iter().filter(|block| ranks.iter().any(|&(rank, _)| rank == block.rank));
        kept.flat_map(|block| block.lines).collect()
    })
}

/// `text` in lines; none if there is none.
fn lines(text: &str, columns: usize, style: Style) -> Vec<Line<'static>> {
    if text.is_empty() {
        return Vec::new();
    }
    wrap::wrap(text, columns).into_iter().map(|line| Line::styled(line, style)).collect()
}

fn bold(text: impl Into<String>) -> Span<'static> {
    Span::styled(text.into(), Modifier::BOLD)
}

fn key_line(keys: Keys) -> Line<'static> {
    let mut spans = Vec::new();
    for (index, (key, does)) in keys.iter().enumerate() {
        spans.push(Span::raw(if index > 0 { "  " } else { "" }));
        spans.push(bold(*key));
        spans.push(Span::raw(if does.is_empty() { String::new() } else { format!(" {does}") }));
    }
    Line::from(spans)
}

/// The bottom line.
fn keys(buffer: &mut Buffer, area: Rect, line: Line<'static>) {
    put(buffer, area, usize::from(area.height - 1), [line.centered()].into_iter());
}

/// Lines from `row` of `area` down; what does not fit is left out.
fn put(buffer: &mut Buffer, area: Rect, row: usize, lines: impl Iterator<Item = Line<'static>>) {
    for (row, line) in (row..area.height.into()).zip(lines) {
        let Ok(row) = u16::try_from(row) else { return };
        line.render(Rect { y: area.y + row, height: 1, ..area }, buffer);
    }
}
