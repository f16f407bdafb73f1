//! The record through the command line and the store, from an empty folder on.

// Helpers of tests may stop where they stand, as tests do.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

/// A device with a home folder of its own.
struct Device {
    folder: TempDir,
}

impl Device {
    fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    fn home(&self) -> PathBuf {
        self.folder.path().join("home")
    }

    fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_longrail"))
            .args(arguments)
            .current_dir(self.folder.path())
            .env("LONGRAIL_HOME", self.home())
            .env_remove("LONGRAIL_RECORD")
            .env("TZ", "UTC")
            .output()
            .unwrap()
    }

    /// The JSON that the command answers; it must succeed.
    fn answer(&self, arguments: &[&str]) -> Value {
        let mut all = arguments.to_vec();
        all.push("--json");
        let out = self.run(&all);
        assert!(out.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&out.stderr));
        serde_json::from_slice(&out.stdout).unwrap()
    }

    /// Refused with this code and these words.
    fn refused(&self, arguments: &[&str], code: i32, words: &str) {
        let out = self.run(arguments);
        let said = String::from_utf8(out.stderr).unwrap();
        assert_eq!(out.status.code(), Some(code), "{arguments:?}: {said}");
        assert!(said.contains(words), "{said}");
    }

    /// A player at a 9-ft table, in a visit.
    fn at_the_table() -> Self {
        let device = Self::new();
        device.answer(&["player", "add", "Ann", "--start", "solid"]);
        device.answer(&["table", "add", "Nine", "--size", "9ft"]);
        device.visit();
        device
    }

    fn visit(&self) {
        self.answer(&["session", "begin", "drill-work", "--minutes", "60", "--table", "Nine"]);
    }

    fn prove(&self, rung: &str) {
        self.answer(&["set", "begin", DRILL, "--prove", "--rung", rung]);
    }
}

const DRILL: &str = "long-straight-pot";

/// Counts from the study of progression, 1.7: "promote at >= 34" and "step back at <= 13" of 50.
#[test]
fn a_batch_of_34_of_50_promotes_33_does_not_and_13_steps_back() {
    for (count, verdict, promoted) in [
        ("34/50", "promote", true),
        ("33/50", "undecided", false),
        ("13/50", "step_back", false),
        ("14/50", "undecided", false),
    ] {
        let device = Device::at_the_table();
        device.prove("3");
        let scored = device.answer(&["score", count]);
        assert_eq!(scored["sheet"]["verdict"], verdict, "{count}");
        let ended = device.answer(&["set", "end"]);
        assert_eq!(ended["promoted"], promoted, "{count}: {ended}");
        let evidence = device.answer(&["evidence", DRILL]);
        let sheet = &evidence["ladders"][0]["rungs"][0]["open_sheet"];
        assert_eq!(sheet.is_null(), promoted, "an accepted promotion ends its sheet: {evidence}");
        if promoted {
            device.answer(&["undo", "--promotion"]);
            let said = device.run(&["evidence", DRILL]);
            let said = String::from_utf8(said.stdout).unwrap();
            assert!(said.contains("rung 3 once") && said.contains("called back since"), "{said}");
        }
        device.refused(&["undo", "--promotion"], 3, "no promotion");
    }
}

/// By the counts of `promotion_table.csv` of the study (column promote): the earliest promotion is 7 of 7. The first order always
/// stays one make below what the table asks; the second begins with seven makes. Both end at 33 of 50.
#[test]
fn tapped_the_order_decides() {
    let table = include_str!("../../../tests/reference/promotion_table.csv");
    let needed: Vec<Option<u32>> = table
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_digit()))
        .map(|line| line.split(',').nth(1).and_then(|cell| cell.trim().parse().ok()))
        .collect();
    let needs = |n: usize| needed.get(n - 1).copied().flatten().unwrap_or(u32::MAX);
    // As many makes as early as can be without ever reaching the table's count.
    let (mut order, mut made) = (String::new(), 0);
    for n in 1..=50 {
        let makes = made + 1 < needs(n);
        order.push(if makes { '1' } else { '0' });
        made += u32::from(makes);
    }
    assert_eq!((made, order.len()), (33, 50), "{order}");
    let quiet = Device::at_the_table();
    quiet.prove("3");
    let scored = quiet.answer(&["score", "--shots", &order]);
    assert_eq!(
        (&scored["made"], &scored["tried"], &scored["sheet"]["verdict"]),
        (&33.into(), &50.into(), &"undecided".into())
    );
    let latched = Device::at_the_table();
    latched.prove("3");
    let order = format!("{}{}", "1".repeat(7), order_of(26, 43));
    let scored = latched.answer(&["score", "--shots", &order]);
    assert_eq!(
        (&scored["made"], &scored["tried"], &scored["sheet"]["verdict"]),
        (&33.into(), &50.into(), &"promote".into())
    );
    assert!(latched.answer(&["set", "end"])["settled"].as_str().unwrap().contains("at 7 of 7"));
}

/// So many made of so many, misses first.
fn order_of(made: usize, tried: usize) -> String {
    format!("{}{}", "0".repeat(tried - made), "1".repeat(made))
}

/// Study of progression, section 2: 30/50 then 36/50: Pr(p2 > p1) .897498, Newcombe 95 % −.064469 to +.293708.
#[test]
fn thirty_then_thirty_six_of_fifty_is_not_settled_and_unlike_tables_are_refused() {
    let device = Device::at_the_table();
    for count in ["30/50", "36/50"] {
        device.answer(&["set", "begin", DRILL, "--rung", "2"]);
        device.answer(&["score", count]);
        device.answer(&["set", "end"]);
    }
    let changes = device.answer(&["changes", "1", "2"]);
    let near = |value: &Value, known: f64| (value.as_f64().unwrap() - known).abs() < 5e-6;
    assert!(near(&changes["chance_second_greater"], 0.897_498), "{changes}");
    assert!(
        near(&changes["difference_interval_95"][0], -0.064_469)
            && near(&changes["difference_interval_95"][1], 0.293_708)
    );
    assert!(changes["words"].as_str().unwrap().contains("not settled"), "{changes}");
    assert!(changes["words"].as_str().unwrap().contains("up"), "{changes}");
    let picture = device.folder.path().join("evidence.svg");
    device.answer(&["evidence", DRILL, "--svg", picture.to_str().unwrap()]);
    assert!(std::fs::read_to_string(&picture).unwrap().contains("data-part=\"counted\""));
    // Looked at again it is the same comparison.
    assert_eq!(device.answer(&["changes", "1", "2"])["comparisons_opened"], 1);
    device.answer(&["table", "add", "Seven", "--size", "7ft"]);
    device.answer(&["set", "begin", DRILL, "--rung", "2", "--table", "Seven"]);
    device.answer(&["score", "36/50"]);
    device.answer(&["set", "end"]);
    device.refused(&["changes", "1", "3"], 3, "not like with like");
    assert_eq!(
        device.answer(&["changes", "1", "2"])["comparisons_opened"],
        1,
        "what was refused is no comparison"
    );
    let carried = device.answer(&["changes", "1", "3", "--by-stroke"]);
    assert!(carried["reading"].as_str().unwrap().contains("predicts"), "{carried}");
}

#[test]
fn undo_takes_back_the_last_entry_and_a_warm_up_is_left_out() {
    let device = Device::at_the_table();
    device.answer(&["set", "begin", DRILL, "--rung", "1", "--prove", "--warm-up", "2"]);
    device.refused(&["score", "5/8"], 3, "the next 2 attempts are warm-up");
    device.refused(&["score", "made", "--with", "Ben"], 3, "full screen");
    device.answer(&["score", "missed"]);
    device.answer(&["score", "left", "--cue", "short"]);
    let scored = device.answer(&["score", "made"]);
    assert_eq!((&scored["made"], &scored["tried"]), (&1.into(), &1.into()));
    let undone = device.answer(&["undo"]);
    assert!(undone["reading"].as_str().unwrap().starts_with("Took back: made."), "{undone}");
    assert_eq!((&undone["made"], &undone["tried"]), (&0.into(), &0.into()));
    device.refused(&["score", "37/36"], 3, "36");
    device.refused(&["score", "lucky"], 3, "neither a count");
    device.refused(&["session", "begin", "test", "--minutes", "20"], 3, "still open");
}

/// A sheet that is full and has passed takes nothing more; the pass is taken when the set ends.
#[test]
fn a_pass_is_not_lost_behind_the_hundredth_attempt() {
    let device = Device::at_the_table();
    device.prove("1");
    // Study of progression, 1.7: 63 of 100 promote.
    device.answer(&["score", "80/100"]);
    device.refused(&["score", "3/3"], 3, "is full and has passed");
    device.refused(&["score", "made"], 3, "end the set");
    assert_eq!(device.answer(&["set", "end"])["promoted"], true);
}

#[test]
fn a_visit_that_was_left_ends_with_its_last_entry() {
    let device = Device::new();
    device.answer(&["player", "add", "Ann"]);
    device.answer(&["table", "add", "Nine"]);
    device.answer(&["session", "begin", "drill-work", "--minutes", "60", "--at", "2026-11-03T18:00"]);
    device.answer(&["set", "begin", DRILL, "--rung", "2", "--at", "2026-11-03T18:05"]);
    device.answer(&["score", "6/10", "--at", "2026-11-03T18:25"]);
    device.refused(&["score", "made", "--at", "2026-11-03T17:00"], 3, "before the open visit began");
    device.refused(&["score", "made", "--at", "1850-01-01T10:00"], 3, "from 2000-01-01");
    device.answer(&["session", "end"]);
    assert_eq!(device.answer(&["ledger"])["weeks"][0]["minutes"]["drill_work"], 25);
}

#[test]
fn a_visit_has_its_purpose_first_and_its_minutes_are_in_the_ledger() {
    let device = Device::new();
    assert!(device.answer(&["today"])["commands"][0].as_str().unwrap().contains("player add"));
    device.refused(&["session", "begin", "drill-work", "--minutes", "20"], 3, "longrail player add");
    device.answer(&["player", "add", "Ann"]);
    device.refused(&["set", "begin", DRILL], 3, "longrail table add");
    device.answer(&["table", "add", "Nine"]);
    device.refused(&["set", "begin", DRILL], 3, "begin one with its purpose first");
    let at = |time: &'static str| ["--at", time];
    let [flag, begin] = at("2026-11-03T18:00");
    device.answer(&["session", "begin", "drill-work", "--minutes", "60", flag, begin]);
    device.answer(&["session", "block", "match-play", "--at", "2026-11-03T18:40"]);
    device.refused(&["set", "begin", DRILL], 3, "match play");
    device.answer(&["session", "end", "--focus", "4", "--line", "calm", "--at", "2026-11-03T19:00"]);
    device.answer(&["study", "30", "read about throw", "--at", "2026-11-04T20:00"]);
    let ledger = device.answer(&["ledger"]);
    // ISO 8601: 3 November 2026 is in week 45 (Python 3.11: datetime.date(2026, 11, 3).isocalendar()).
    assert_eq!(ledger["weeks"][0]["week"], "2026-W45");
    let minutes = &ledger["weeks"][0]["minutes"];
    assert_eq!(
        (&minutes["drill_work"], &minutes["match_play"], &minutes["study"]),
        (&40.into(), &20.into(), &30.into())
    );
    device.refused(&["session", "end"], 3, "no visit is open");
    let shared = device.answer(&["journal", "add", "--worked", "slower last stroke"]);
    assert!(shared["reading"].as_str().unwrap().contains("your eyes only"));
    assert_eq!(device.answer(&["journal"])["entries"][0]["entry"]["private"], true);
}

#[test]
fn the_log_goes_out_and_comes_in_whole_and_twice_does_no_harm() {
    let device = Device::at_the_table();
    device.prove("2");
    device.answer(&["score", "--shots", "110"]);
    device.answer(&["set", "end"]);
    device.answer(&["record", "export", "log.jsonl"]);
    let file = device.folder.path().join("log.jsonl");
    let other = Device::new();
    let import = |times: usize| {
        let out = other.answer(&["record", "import", file.to_str().unwrap()]);
        (out["new"].as_u64().unwrap(), out["known"].as_u64().unwrap(), times)
    };
    let (new, known, _) = import(1);
    assert!(new > 6 && known == 0);
    assert_eq!(import(2), (0, new, 2));
    let evidence = |device: &Device| device.answer(&["evidence", DRILL])["ladders"][0]["rungs"].clone();
    assert_eq!(evidence(&other), evidence(&device));
    assert_eq!(other.answer(&["record", "check"])["events"], new);
    // A line that is none is told with its number; the others are in.
    std::fs::write(&file, format!("{{}}\n{}", std::fs::read_to_string(&file).unwrap())).unwrap();
    other.refused(&["record", "import", file.to_str().unwrap()], 3, "1 lines");
    device.answer(&["record", "erase", "Ann", "--for-good"]);
    device.answer(&["record", "export", "end.jsonl", "--all"]);
    other.answer(&["record", "import", device.folder.path().join("end.jsonl").to_str().unwrap()]);
    other.refused(&["evidence"], 3, "was erased");
}

#[test]
fn a_table_of_attempts_is_shown_before_it_is_taken() {
    let device = Device::at_the_table();
    device.answer(&["session", "end"]);
    let paper = device.folder.path().join("paper.csv");
    let text = format!(
        "date,table,drill,rung,made,tried,aim\n2026-11-01,Nine,{DRILL},2,30,50,proof\n2026-11-01,Nine,{DRILL},99,3,5,\n\
         yesterday,Nine,{DRILL},2,3,5,\n2026-11-02,Nine,{DRILL},2,6,10,work\n"
    );
    std::fs::write(&paper, text).unwrap();
    let shown = device.answer(&["record", "import", "paper.csv"]);
    assert_eq!(
        (&shown["taken"], &shown["sets"], shown["refused"].as_array().unwrap().len()),
        (&false.into(), &2.into(), 2)
    );
    device.refused(&["evidence", DRILL, "--table", "Ten"], 0, "");
    let taken = device.answer(&["record", "import", "paper.csv", "--take"]);
    assert_eq!((&taken["made"], &taken["tried"]), (&36.into(), &60.into()));
    assert_eq!(device.answer(&["record", "import", "paper.csv", "--take"])["known"], 2);
    device.answer(&["record", "export", "out.csv", "--csv"]);
    let out = std::fs::read_to_string(device.folder.path().join("out.csv")).unwrap();
    let again = device.answer(&["record", "import", "out.csv"]);
    assert_eq!(
        (&again["sets"], &again["own"]),
        (&0.into(), &2.into()),
        "its own rows are on record: {again}"
    );
    std::fs::write(&paper, "date;table;drill\n").unwrap();
    device.refused(&["record", "import", "paper.csv"], 3, "with commas");
    assert!(out.contains(&format!("2026-11-01,12:00,Nine,{DRILL},")) && out.lines().count() == 3, "{out}");
}

#[test]
fn a_card_that_becomes_another_table_gets_a_card_of_its_own() {
    let device = Device::at_the_table();
    let kept = device.answer(&["table", "change", "Nine", "--cloth", "2.54", "7.2"]);
    let before = device.answer(&["table"])["tables"][0]["id"].clone();
    assert_eq!(kept["id"], before);
    let new = device.answer(&["table", "change", "Nine", "--size", "7ft"]);
    assert_ne!(new["id"], before);
    assert!(new["reading"].as_str().unwrap().contains("another table now"), "{new}");
    device.refused(&["table", "change", "Nine", "--pocket", "left=114"], 3, "is no pocket");
    device.refused(&["table", "show", "Ten"], 3, "no table is called");
}

#[test]
fn constraints_are_priced_before_the_first_attempt_and_keep_evidence_apart() {
    let device = Device::at_the_table();
    let begun = device.answer(&[
        "set",
        "begin",
        DRILL,
        "--rung",
        "2",
        "--constraint",
        "pocket 0.9",
        "--constraint",
        "streak 2",
    ]);
    let (plain, all) =
        (begun["chance_without_constraints"].as_f64().unwrap(), begun["chance_of_all"].as_f64().unwrap());
    let each = begun["chance"]["mean"].as_f64().unwrap();
    assert!(each < plain && (all - each * each).abs() < 1e-12, "{begun}");
    device.answer(&["score", "5/10"]);
    device.answer(&["set", "begin", DRILL, "--rung", "2"]);
    device.answer(&["score", "6/10"]);
    assert_eq!(device.answer(&["evidence", DRILL])["ladders"].as_array().unwrap().len(), 2);
    device.refused(&["set", "begin", DRILL, "--constraint", "left-handed"], 3, "left-handed");
}

#[test]
fn who_scores_for_another_decides_nothing_for_them() {
    let device = Device::at_the_table();
    device.answer(&["session", "end"]);
    device.answer(&["player", "add", "Ben"]);
    device.answer(&["player", "use", "Ann"]);
    let ben = |arguments: &[&str]| device.answer(&[arguments, &["--player", "Ben"]].concat());
    ben(&["session"]);
    // The table at which both stand comes along; what is known of it stays Ann's to say.
    ben(&["session", "begin", "drill-work", "--minutes", "30", "--table", "Nine"]);
    device.refused(&["table", "retire", "Nine", "--player", "Ben"], 3, "may not write");
    ben(&["set", "begin", DRILL, "--rung", "2", "--prove"]);
    ben(&["score", "34/50"]);
    assert_eq!(ben(&["set", "end"])["promoted"], false, "a pass is the player's own to take");
    device.refused(&["journal", "add", "--worked", "x", "--player", "Ben"], 3, "may not write");
}

#[test]
fn a_damaged_record_is_told_and_rescued() {
    let device = Device::at_the_table();
    device.prove("2");
    device.answer(&["score", "6/10"]);
    let file = device.home().join("record.db");
    let mut bytes = std::fs::read(&file).unwrap();
    bytes[..4096].fill(0xA5);
    std::fs::write(&file, bytes).unwrap();
    device.refused(&["evidence"], 5, "is damaged");
    let rescued = device.answer(&["record", "rescue", "home/record.db", "new.db"]);
    // Profile, card, visit, block, set, count.
    assert_eq!(rescued["events"], 6, "{rescued}");
    let again = device.answer(&["evidence", DRILL, "--record", "new.db", "--player", "Ann"]);
    assert_eq!(again["ladders"][0]["rungs"][0]["tally"]["proof_made"], 6);
    assert!(Path::new(&file).exists());
}

#[test]
fn today_says_what_to_do_with_its_reason() {
    let device = Device::at_the_table();
    assert!(device.answer(&["today"])["proposals"][0]["command"].as_str().unwrap().contains("set begin"));
    device.prove("3");
    device.answer(&["score", "20/37"]);
    device.answer(&["set", "end"]);
    let today = device.answer(&["today"]);
    let proposals: Vec<&str> =
        today["proposals"].as_array().unwrap().iter().map(|one| one["why"].as_str().unwrap()).collect();
    assert!(proposals.iter().any(|why| why.starts_with("Go on proving rung 3")), "{today}");
    assert!(proposals.iter().any(|why| why.starts_with("Work at rung")), "{today}");
    device.answer(&["table", "add", "Ten"]);
    let command = device.answer(&["today"])["proposals"][0]["command"].as_str().unwrap().to_owned();
    assert!(command.ends_with("--table \"Nine\""), "{command}");
    device.answer(&["table", "retire", "Nine"]);
    let why = device.answer(&["today"])["proposals"][0]["why"].as_str().unwrap().to_owned();
    assert!(why.starts_with("No ladder"), "{why}");
}

/// Presses keys on a full screen; `script` of util-linux gives it a terminal. Says what the screen wrote.
#[cfg(target_os = "linux")]
fn on_screen(device: &Device, arguments: &str, keys: &[u8]) -> String {
    use std::io::{Read, Write};
    use std::process::Stdio;
    let command = format!("stty cols 80 rows 24; {} score {arguments}", env!("CARGO_BIN_EXE_longrail"));
    let mut child = Command::new("timeout")
        .args(["60", "script", "--quiet", "--return", "--command", &command, "/dev/null"])
        .env("LONGRAIL_HOME", device.home())
        .env("TERM", "xterm")
        .env("SHELL", "/bin/sh")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let (mut input, mut output) = (child.stdin.take().unwrap(), child.stdout.take().unwrap());
    let (mut said, mut part, mut pressed) = (String::new(), [0; 4096], false);
    loop {
        let read = output.read(&mut part).unwrap();
        if read == 0 {
            break;
        }
        said.push_str(&String::from_utf8_lossy(&part[..read]));
        // Earlier keys would go to the terminal's own line editing.
        if !pressed && said.contains("\u{1b}[?1049h") {
            input.write_all(keys).unwrap();
            pressed = true;
        }
    }
    assert!(child.wait().unwrap().success(), "{said}");
    said
}

#[test]
#[cfg(target_os = "linux")]
fn keys_on_the_full_screen_are_attempts_and_the_set_ends_with_its_three_lines() {
    let device = Device::at_the_table();
    device.prove("2");
    // Made, made, missed left, short, made, back, a count, the end asked for twice, any key.
    let said = on_screen(&device, "", b"\r\r\x1b[Ds\rub10/12\ree ");
    assert!(said.contains("Made 12 of 15 at rung 2"), "{said}");
    let sets = device.answer(&["evidence", DRILL])["sets"].clone();
    // Made 12, and one miss whose ball went left: where the cue ball ended says less than that.
    assert_eq!(sets[0]["seen"]["counts"][1], 1, "{sets}");
    device.refused(&["score"], 3, "no set is open");
}

#[test]
#[cfg(target_os = "linux")]
fn learners_who_share_a_table_take_turns() {
    let device = Device::at_the_table();
    device.prove("2");
    device.answer(&["player", "add", "Ben"]);
    device.answer(&["table", "add", "Nine"]);
    device.visit();
    device.prove("1");
    device.answer(&["player", "use", "Ann"]);
    // Ann makes it, Ben misses, Ann makes it and takes it back, then leaves.
    on_screen(&device, "--with Ben", b"\r\x1b[C\ruq");
    let set = |player: &str| device.answer(&["set", "--player", player])["open"].clone();
    let (ann, ben) = (set("Ann"), set("Ben"));
    assert_eq!((&ann["made"], &ann["tried"]), (&1.into(), &1.into()), "{ann}");
    assert_eq!((&ben["made"], &ben["tried"]), (&0.into(), &1.into()), "{ben}");
    device.answer(&["record", "export", "ben.csv", "--csv", "--player", "Ben"]);
    let table = std::fs::read_to_string(device.folder.path().join("ben.csv")).unwrap();
    assert!(table.contains("missed right") && table.contains("somebody else"), "{table}");
}

#[test]
fn a_screen_needs_a_terminal_and_open_sets() {
    let device = Device::at_the_table();
    device.refused(&["score", "--with", "Ben"], 3, "nobody is called \"Ben\"");
    device.refused(&["score"], 3, "no set is open");
    device.prove("2");
    // Without a terminal the way to enter a count is named.
    device.refused(&["score"], 5, "36/50");
}
