//! Every text of the screens' own, in English. What comes from the record comes with its words.

use longrail_app_link::{CueEnd, Purpose, RungState};

pub(crate) const NO_WORKERS: &str = "This browser starts no workers for this page, and Longrail computes and keeps the record in them. Try a current browser.";
pub(crate) const WORKER_FAILED: &str =
    "A part of Longrail stopped. What was confirmed is safe: load the page again.";
pub(crate) const NEWER: &str = "A newer version is here.";
pub(crate) const TAKE_NEWER: &str = "Load it";
pub(crate) const LATER: &str = "Later";
pub(crate) const CLOSE: &str = "Close";
pub(crate) const STOP: &str = "Stop";
pub(crate) const SCREENS: &str = "Screens";

// First visit.
pub(crate) const WELCOME: &str = "Longrail";
pub(crate) const WELCOME_SAYS: &str =
    "For the little time you have at the table. It stays on this device; no account is needed.";
pub(crate) const WHO: &str = "Who plays?";
pub(crate) const USUAL_NAME: &str = "Me";
pub(crate) const YOUR_GAME: &str = "What would you say of your game?";
pub(crate) const YOUR_TABLE: &str = "Your table";
pub(crate) const USUAL_TABLE: &str = "Table 1";
pub(crate) const TABLE_NAME: &str = "What you call it";
pub(crate) const TABLE_SIZE: &str = "Size, nose to nose";
pub(crate) const GO_ON: &str = "Go on";

// Today.
pub(crate) const WHAT_FOR: &str = "What are you here for?";
pub(crate) const MINUTES: &str = "Minutes you have";
pub(crate) const PROPOSED: &str = "Proposed";
pub(crate) const REST: &str = "Rest";
pub(crate) const REST_SAYS: &str = "Walk, drink, loosen the back. Pain is a reason to stop for the day.";
pub(crate) const GAMES: &str = "Games";
pub(crate) const OTHERS: &str = "Or";
pub(crate) const TO_BEGIN: &str = "Ladders to begin";
pub(crate) const BEGIN: &str = "Begin";
pub(crate) const GO_ON_SCORING: &str = "Go on scoring";
pub(crate) const END_VISIT: &str = "End the visit";
pub(crate) const FOCUS: &str = "How well was your mind on it? 1 to 5";
pub(crate) const ONE_LINE: &str = "One line on it";
pub(crate) const VISIT_LEFT: &str = "A visit was left open. It ends when you begin the next.";
pub(crate) const NOTHING_YET: &str = "Nothing is proposed yet: begin a ladder below.";

// At the table.
pub(crate) const LEAVE: &str = "Leave";
pub(crate) const MORE: &str = "More";
pub(crate) const MADE: &str = "Made";
pub(crate) const MISSED_LEFT: &str = "Missed left";
pub(crate) const MISSED_RIGHT: &str = "Missed right";
pub(crate) const NOT_SEEN: &str = "Missed, side not seen";
pub(crate) const UNDO: &str = "Undo";
pub(crate) const BALL_TO_NOSE: &str = "Ball centre to rail nose";
pub(crate) const NO_SET: &str = "No set is open.";
pub(crate) const NO_SET_SAYS: &str = "Today proposes one; Ladders has them all.";
pub(crate) const CUE_BALL_ENDED: &str = "Cue ball ended";
pub(crate) const END_SET: &str = "End the set";
pub(crate) const ENTER_COUNT: &str = "Enter a count";
pub(crate) const OF: &str = "of";
pub(crate) const ENTER: &str = "Enter";
pub(crate) const MAKE_HARDER: &str = "Make it harder";
pub(crate) const MAKE_HARDER_SAYS: &str = "A set of its own begins, with its own sheet.";
pub(crate) const WHAT_IT_COSTS: &str = "What it costs";
pub(crate) const PUT_ON: &str = "Put on";
pub(crate) const CORNER: &str = "Another corner";
pub(crate) const CORNER_SAYS: &str =
    "A wall in the way, a worn spot. A mirrored layout is a line of evidence of its own.";
pub(crate) const AS_GIVEN: &str = "As the drill says";
pub(crate) const TURNED: &str = "Turned";
pub(crate) const MIRRORED: &str = "Mirrored";
pub(crate) const TURNED_MIRRORED: &str = "Turned and mirrored";
pub(crate) const WHO_SHOOTS: &str = "Who shoots";
pub(crate) const JOIN: &str = "Who joins";
pub(crate) const JOIN_SAYS: &str =
    "The same set begins for them. What you enter for somebody else is marked so.";
pub(crate) const TURNS: &str = "Take turns";
pub(crate) const NO_TURNS: &str = "By hand";
pub(crate) const INTEND: &str = "Intend";
pub(crate) const RESTS_ON: &str = "What the odds rest on";
pub(crate) const MIND: &str = "Mind";
pub(crate) const ASSUMED: &str = "Assumed";
pub(crate) const KEYS: &str = "Keys";
pub(crate) const KEYS_SAY: &str = "Space, Enter or Page down: made. Left and right arrow: missed on that side. Down arrow or Page up: missed, not seen. Backspace: undo.";
pub(crate) const EACH: &str = " each";
pub(crate) const WAITS: &str = "being kept";
pub(crate) const PASS_IT: &str = "Take the pass";
pub(crate) const NOT_YET: &str = "Not yet";
pub(crate) const STEP_BACK: &str = "Step back";
pub(crate) const STAY: &str = "Stay";
pub(crate) const ENOUGH: &str = "Back to Today";
pub(crate) const SET_ENDED: &str = "The set";

// Ladders and evidence.
pub(crate) const LADDERS: &str = "Ladders";
pub(crate) const WORK: &str = "Work";
pub(crate) const PROVE: &str = "Prove";
pub(crate) const PROOF: &str = "Proof";
pub(crate) const ANOTHER_RUNG: &str = "Another rung";
pub(crate) const WARM_UP: &str = "Warm-up attempts first";
pub(crate) const EVIDENCE: &str = "Evidence";
pub(crate) const NO_EVIDENCE: &str = "No attempts yet. 10 would give a first interval.";
pub(crate) const MODELLED: &str = "modelled";
pub(crate) const IS_IT_BETTER: &str = "Is the change real?";
pub(crate) const COMPARE: &str = "Compare the two";
pub(crate) const COMPARE_SAYS: &str = "Each comparison is counted, and raises the bar for all.";
pub(crate) const RANGES: &str = "Ranges are 80 %. A count that a rule stopped flatters: its range is the one that holds however often one looks.";
pub(crate) const SETS: &str = "Latest sets";

// Setup.
pub(crate) const SETUP: &str = "Setup";
pub(crate) const PLAYER: &str = "Player";
pub(crate) const PLAYERS: &str = "Players on this device";
pub(crate) const NAME: &str = "Name";
pub(crate) const UNITS: &str = "Inches and miles an hour";
pub(crate) const LEFT_HANDED: &str = "Left-handed: mirrors Undo";
pub(crate) const END_MASS: &str = "End mass of the shaft, g";
pub(crate) const REACH: &str = "Reach from a rail, m";
pub(crate) const REACH_IN: &str = "Reach from a rail, in";
pub(crate) const HARDEST: &str = "Strongest comfortable hit, m/s";
pub(crate) const HARDEST_MPH: &str = "Strongest comfortable hit, mph";
pub(crate) const MOST_DRAW: &str = "Most draw, in radii of the ball";
pub(crate) const TARGET: &str = "A proof asks for a chance above, %";
pub(crate) const STRICT: &str = "The stricter rule: half as many false passes, more attempts";
pub(crate) const SAVE: &str = "Save";
pub(crate) const READING: &str = "Reading the file …";
pub(crate) const CLOCK_BEHIND: &str = "Something here was noted at a later time than this device says it is: set its clock. Order and counts hold.";
pub(crate) const TABLES: &str = "Tables";
pub(crate) const ADD_TABLE: &str = "Add a table";
pub(crate) const ADD_PLAYER: &str = "Add a player";
pub(crate) const PLACE: &str = "Where it stands";
pub(crate) const MEASURED: &str = "As measured";
pub(crate) const MOUTHS: &str = "Mouths of the pockets";
pub(crate) const MOUTHS_HOW: &str = "From jaw point to jaw point at the height of the noses. Without a ruler: two balls side by side, one touching its jaw; fill the rest with coins and measure those:";
pub(crate) const ONE_BY_ONE: &str = "One by one";
pub(crate) const POCKETS: [&str; 6] =
    ["Head, left", "Head, right", "Side, left", "Side, right", "Foot, left", "Foot, right"];
pub(crate) const CLOTH: &str = "Speed of the cloth";
pub(crate) const CLOTH_HOW: &str = "Roll a ball. From any moment at which it rolls without sliding: how far it still goes, and in how many seconds. Once there and once back; type the means.";
pub(crate) const RAILS: &str = "Rebound of the rails";
pub(crate) const RAILS_HOW: &str = "Measure the cloth first. Roll a ball straight at the foot rail, one diamond from a long rail. Start the watch at a mark, stop it at the rail; then measure how far it comes back. Lengths are from the rail's nose to the ball's centre.";
pub(crate) const CUE_BALL: &str = "An odd cue ball";
pub(crate) const CUE_BALL_HOW: &str = "Only if it differs from the other balls, as on many coin tables.";
pub(crate) const POTTED: &str = "Potted balls";
pub(crate) const POTTED_RETURNED: &str = "come back";
pub(crate) const POTTED_KEPT: &str = "are kept until paid for again";
pub(crate) const NOT_KNOWN: &str = "not known";
pub(crate) const ROLL_OFF: &str = "Where balls roll off, in your words";
pub(crate) const RETIRE: &str = "No longer offer it";
pub(crate) const RETIRE_SAYS: &str =
    "What was shot on it stays on record. It is not offered for new visits any more.";
pub(crate) const IN_USE: &str = "in use";
pub(crate) const USE: &str = "Use";
pub(crate) const DATA: &str = "Data";
pub(crate) const EXPORT: &str = "Save a backup file";
pub(crate) const IMPORT: &str = "Read a backup file";
pub(crate) const ERASE: &str = "Erase this player";
pub(crate) const ERASE_SAYS: &str = "goes with everything on record, for good: from this device, and from the record on this machine where it is shared with one. Nothing brings that back here, not even a backup: devices remember who was erased.";
pub(crate) const ERASE_YES: &str = "Erase for good";
pub(crate) const KEEP_IT: &str = "Keep it";
pub(crate) const DISPLAY: &str = "Display";
pub(crate) const LIGHT: &str = "Daylight colours";
pub(crate) const TICK: &str = "A short tick at each tap";
pub(crate) const NOT_SECURE: &str = "This page came over plain http from another machine: it works while the network does. Use without a network, installing, and keeping the screen awake need https, or the app on this same device.";
pub(crate) const MAY_BE_CLEARED: &str = "This browser may clear what is stored here, some after 7 days without a visit. Add Longrail to the home screen, and save a backup file now and then.";

/// What lengths are asked for in.
#[derive(Clone, Copy)]
pub(crate) struct Lengths {
    pub(crate) surface: [&'static str; 2],
    pub(crate) kinds: [&'static str; 2],
    pub(crate) cloth: [&'static str; 2],
    pub(crate) rails: [&'static str; 3],
    pub(crate) cue_ball: [&'static str; 2],
    /// How a mouth is typed that was measured with balls.
    pub(crate) mouths_as: &'static str,
}

/// In inches, or in metres and millimetres.
pub(crate) const fn lengths(imperial: bool) -> Lengths {
    if imperial {
        Lengths {
            surface: ["Length, nose to nose, in", "Width, in"],
            kinds: ["All corners, in", "Both sides, in"],
            cloth: ["It went, in", "Seconds"],
            rails: ["Mark to nose, in", "Seconds", "Back, in"],
            cue_ball: ["Diameter, in", "Weight, g"],
            mouths_as: "2+0.14 is two balls and 0.14 in.",
        }
    } else {
        Lengths {
            surface: ["Length, nose to nose, m", "Width, m"],
            kinds: ["All corners, mm", "Both sides, mm"],
            cloth: ["It went, m", "Seconds"],
            rails: ["Mark to nose, m", "Seconds", "Back, m"],
            cue_ball: ["Diameter, mm", "Weight, g"],
            mouths_as: "2+3.5 is two balls and 3.5 mm.",
        }
    }
}

pub(crate) const fn purpose(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::DrillWork => "Drill work",
        Purpose::NewSkill => "New skill",
        Purpose::Test => "Test",
        Purpose::MatchPlay => "Match play",
    }
}

pub(crate) const fn cue_end(end: CueEnd) -> &'static str {
    match end {
        CueEnd::Short => "Short",
        CueEnd::Long => "Long",
        CueEnd::Off => "Beside",
    }
}

pub(crate) const fn rung_state(state: RungState) -> &'static str {
    match state {
        RungState::Passed => "passed once",
        RungState::Below => "taken as read",
        RungState::Work => "to work at",
        RungState::Prove => "to prove",
        RungState::Ahead => "ahead",
    }
}

pub(crate) const fn screen(route: crate::app::Route) -> &'static str {
    use crate::app::Route;
    match route {
        Route::Today => "Today",
        Route::Table => "Table",
        Route::Ladders => "Ladders",
        Route::Evidence => "Evidence",
        Route::Setup => "Setup",
    }
}

/// "rung 3 of 9".
pub(crate) fn rung_of(rung: &str, rungs: u32) -> String {
    if rungs == 0 { format!("rung {rung}") } else { format!("rung {rung} of {rungs}") }
}

/// Odds as people read them: two decimals, and words at the ends.
pub(crate) fn odds(chance: f64) -> String {
    if chance < 0.01 {
        "hardly ever".to_owned()
    } else if chance > 0.99 {
        "nearly always".to_owned()
    } else {
        format!("{chance:.2}")
    }
}

/// "0.46 to 0.53".
pub(crate) fn range(low: f64, high: f64) -> String {
    format!("{low:.2} to {high:.2}")
}

/// "0.29 for 3 in a row; 0.66 without that; 0.41 to 0.52 by the rails, which are not measured".
pub(crate) fn beside_odds(
    in_a_row: Option<(u32, f64)>,
    plain: Option<f64>,
    rails: Option<(f64, f64)>,
) -> String {
    let in_a_row = in_a_row.map(|(count, all)| format!("{} for {count} in a row", odds(all)));
    let plain = plain.map(|chance| format!("{} without that", odds(chance)));
    let rails = rails.map(|(low, high)| format!("{} by the rails, which are not measured", range(low, high)));
    [in_a_row, plain, rails].into_iter().flatten().collect::<Vec<_>>().join("; ")
}

/// What bounds of speed are typed in.
pub(crate) const fn speeds(imperial: bool) -> [&'static str; 2] {
    if imperial { ["From, mph", "To, mph"] } else { ["From, m/s", "To, m/s"] }
}

/// "Ann shoots".
pub(crate) fn shoots(name: &str) -> String {
    format!("{name} shoots")
}

/// " · Ben 5 of 9".
pub(crate) fn before(name: &str, made: u32, tried: u32) -> String {
    format!(" · {name} {}", of(made, tried))
}

/// "Take off: no side".
pub(crate) fn take_off(constraint: &str) -> String {
    format!("Take off: {constraint}")
}

/// "24 of 37".
pub(crate) fn of(made: u32, tried: u32) -> String {
    format!("{made} of {tried}")
}

/// "Start: drill work, 25 min".
pub(crate) fn start(purpose_: Option<Purpose>, minutes: u32) -> String {
    match purpose_ {
        Some(what) => format!("Start: {}, {minutes} min", purpose(what).to_ascii_lowercase()),
        None => format!("Start, {minutes} min"),
    }
}

/// "Visit for drill work, since 18:40".
pub(crate) fn visit(purpose_: Purpose, minutes: u32) -> String {
    format!("Visit for {}, {minutes} minutes at hand", purpose(purpose_).to_ascii_lowercase())
}

/// "12 entries are nowhere but on this device."
pub(crate) fn not_backed_up(events: u64) -> String {
    match events {
        0 => "Everything is in a backup.".to_owned(),
        1 => "1 entry is nowhere but on this device.".to_owned(),
        events => format!("{events} entries are nowhere but on this device."),
    }
}

/// "Computing Straight stop: 40 %."
pub(crate) fn computing(title: &str, done: u32, of: u32) -> String {
    if of == 0 {
        format!("Computing {title} …")
    } else {
        format!("Computing {title}: {} %", 100 * u64::from(done) / u64::from(of))
    }
}

/// What the window is called: "Today – Longrail".
pub(crate) fn title(route: crate::app::Route) -> String {
    format!("{} – Longrail", screen(route))
}

/// With a capital letter at the front. Our own texts begin with plain letters: all of Unicode's capitals would be 3 kB.
pub(crate) fn sentence(text: &str) -> String {
    let mut text = text.to_owned();
    if let Some(first) = text.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    text
}

/// What a screen reader says of the tally.
pub(crate) fn tally(made: u32, tried: u32, next: &str) -> String {
    format!("{made} of {tried}. {next}")
}

/// What came of reading a file.
pub(crate) fn taken(new: u64, known: u64, erased: u64, refused: usize) -> String {
    let erased = if erased > 0 {
        format!(" {erased} are of players who were erased, and stay out.")
    } else {
        String::new()
    };
    format!("{new} entries are new, {known} were here already, {refused} lines were refused.{erased}")
}

/// What came of reading a file, with the first line that was refused.
pub(crate) fn told_in_a_line((says, refused): (String, Vec<String>)) -> String {
    refused.into_iter().next().map_or(says.clone(), |first| format!("{says} {first}"))
}

/// "In ladders: 3 of 13 in use".
pub(crate) fn in_use((used, all): (u32, u32)) -> String {
    format!("{used} of {all} in use")
}

/// "every 5 attempts".
pub(crate) fn turns(each: u32) -> String {
    match each {
        0 => NO_TURNS.to_owned(),
        1 => "Each attempt".to_owned(),
        each => format!("Every {each}"),
    }
}

pub(crate) const SPEED_BOUNDS: &str = "Bounds of speed";
pub(crate) const BLOCKER: &str = "A ball in the way";
pub(crate) const BLOCKER_AT: [&str; 2] = ["Diamonds from head", "Diamonds from right"];
pub(crate) const NOT_SEEN_OR_OFF: &str = "Cue ball missed, or side not seen";
pub(crate) const WAITING: &str = "One moment …";
pub(crate) const OR_READ: &str = "Or go on with what another device has:";
pub(crate) const OR_USE: &str = "Or go on as somebody who is on record here:";
pub(crate) const NOT_SAVED: &str = "The file could not be made. Nothing was changed; try again.";
pub(crate) const NOT_READ: &str = "The file could not be read. Nothing was changed; try again.";
pub(crate) const NOT_COMPARABLE: &str = "Two sets of work at one rung can be compared once they are there.";
pub(crate) const RUNG: &str = "Rung";
pub(crate) const EIGHTY: &str = "80 %";
pub(crate) const NOW_THERE: &str = "Odds there now:";
pub(crate) const ODDS_NOW: &str = "Odds now";
pub(crate) const FLATTERS: &str = "stopped at a pass: flatters";
pub(crate) const TIME_OF_VISIT: &str = "Time of the visit";

/// Attempts of which the count that passes is said beforehand.
const FIFTY: usize = 50;

/// What else passes: "So would 26 of 37. From the start: 34 of 50."
pub(crate) fn counts(lane: &longrail_app_link::Lane) -> String {
    let mut says = String::new();
    if !lane.at_now.is_empty() {
        says = format!("So would {}. ", lane.at_now);
    }
    if lane.walk.len() < FIFTY && !lane.at_fifty.is_empty() {
        says = format!("{says}From the start: {}.", lane.at_fifty);
    }
    says
}

/// What is wrong with a count.
pub(crate) fn not_a_count(made: &str, tried: &str) -> String {
    format!("{made:?} of {tried:?} is no count: two whole numbers, the first not above the second.")
}

/// Where a ball lies, in every measure.
pub(crate) fn place(ball: &longrail_app_link::Ball) -> String {
    let part = |way: &longrail_app_link::Way| {
        if way.diamonds.is_empty() {
            format!("on the {} rail", way.rail)
        } else {
            format!("{} from {} ({}, {} balls)", way.diamonds, way.rail, way.tape, way.balls)
        }
    };
    format!("{}: {}, {}", self::ball(&ball.id), part(&ball.short), part(&ball.long))
}

/// "812 entries, saved last on 2026-11-03."
pub(crate) fn kept(events: u64, backed_up: &str) -> String {
    if backed_up.is_empty() {
        format!("{events} entries on this device.")
    } else {
        format!("{events} entries on this device, saved last on {backed_up}.")
    }
}

/// "812 entries are in longrail-2026-11-03.jsonl."
pub(crate) fn exported(name: &str, events: u64) -> String {
    format!("{events} entries are in {name}. Keep it somewhere else than on this device.")
}

/// "Cue ball", "Ball 9", "Blocker 1".
pub(crate) fn ball(id: &str) -> String {
    if id == "cue" {
        "Cue ball".to_owned()
    } else if id.starts_with("blocker") {
        sentence(id)
    } else {
        format!("Ball {id}")
    }
}

/// What stands on a drawn ball: "9", or "b1" for the first blocker.
pub(crate) fn disc(id: &str) -> String {
    id.replace("blocker ", "b")
}

/// "Ladders to begin (12)".
pub(crate) fn to_begin(count: usize) -> String {
    format!("{TO_BEGIN} ({count})")
}

/// "4:05".
pub(crate) fn clock(seconds: f64) -> String {
    format!("{:.0}:{:02.0}", (seconds / 60.0).floor(), (seconds % 60.0).floor())
}

/// "4:05 of 20": the block, and the minutes that were meant for it.
pub(crate) fn of_block(minutes: u32) -> String {
    if minutes == 0 { String::new() } else { format!(" of {minutes}") }
}

/// "visit 12 of 60 min".
pub(crate) fn of_visit(seconds: f64, minutes: u32) -> String {
    format!("visit {:.0} of {minutes} min", (seconds / 60.0).floor())
}
