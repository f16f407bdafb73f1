//! The commands about made and missed, as a person or a program meets them: through the built command, held against
//! values from outside.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Output;

use serde_json::Value;

fn longrail(arguments: &[&str]) -> Output {
    common::longrail(arguments, "")
}

fn text(arguments: &[&str]) -> String {
    let out = longrail(arguments);
    assert!(out.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&out.stderr));
    assert!(out.stderr.is_empty(), "{arguments:?}");
    String::from_utf8(out.stdout).unwrap()
}

fn json(arguments: &[&str]) -> Value {
    serde_json::from_str(&text(&[arguments, &["--json"]].concat())).unwrap()
}

/// The number at a path such as "/jeffreys/low".
fn at(value: &Value, path: &str) -> f64 {
    value.pointer(path).and_then(Value::as_f64).unwrap_or_else(|| panic!("{path} in {value}"))
}

fn close(ours: f64, theirs: f64, tolerance: f64, what: &str) {
    assert!((ours - theirs).abs() <= tolerance, "{what}: {ours} instead of {theirs}");
}

fn reference(file: &str) -> csv::Reader<std::fs::File> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference").join(file);
    csv::Reader::from_path(path).unwrap()
}

/// What the command says for one row of `stats_checks.csv`; nothing for functions that no command shows.
fn shown(function: &str, inputs: &BTreeMap<&str, &str>) -> Option<f64> {
    let given = |key: &str| inputs[key];
    let one = || format!("{}/{}", given("s"), given("n"));
    let pair = || (format!("{}/{}", given("s1"), given("n1")), format!("{}/{}", given("s2"), given("n2")));
    let rate = |path: &str| at(&json(&["rate", &one(), "--level", given("conf")]), path);
    let compare = |path: &str| {
        let (first, second) = pair();
        at(&json(&["compare", &first, &second]), &format!("/comparisons/0{path}"))
    };
    let race = |path: &str| at(&json(&["race", given("to"), given("opp_to"), "--rack", given("p")]), path);
    Some(match function {
        "posterior_prob_above" if given("a") == "0.5" && given("b") == "0.5" => {
            at(&json(&["rate", &one(), "--target", given("target")]), "/chance_above_target")
        }
        "wilson_lower" => rate("/wilson/low"),
        "wilson_upper" => rate("/wilson/high"),
        "clopper_pearson_lower" => rate("/clopper_pearson/low"),
        "jeffreys_lower" => rate("/jeffreys/low"),
        "jeffreys_upper" => rate("/jeffreys/high"),
        "confidence_sequence_lower" | "confidence_sequence_upper" => {
            assert_eq!(given("alpha"), "0.05");
            let end = if function.ends_with("lower") { "low" } else { "high" };
            let answer = json(&["rate", &one(), "--level", "0.95", "--stopped"]);
            at(&answer, &format!("/confidence_sequence/{end}"))
        }
        "fisher_two_sided_p" => compare("/fisher_two_sided_p"),
        "newcombe_diff_lower" => compare("/difference_interval_95/low"),
        "newcombe_diff_upper" => compare("/difference_interval_95/high"),
        "prob_p2_greater_p1" => compare("/chance_second_greater"),
        "log_e_promote" => at(&json(&["proof", &one(), "--target", given("p0")]), "/promotion/log_evidence"),
        "log_e_step_back" => {
            assert_eq!(given("q0"), "0.4");
            at(&json(&["proof", &one(), "--target", "0.5"]), "/step_back/log_evidence")
        }
        "race_win_prob" => race("/win_chance"),
        "race_expected_racks" => race("/expected_racks"),
        "run_out_per_ball" => {
            assert_eq!(given("rack_p"), "0.5");
            at(&json(&["race", "7", "--balls", given("balls")]), "/ball_chance_for_even_race")
        }
        _ => return None,
    })
}

#[test]
fn the_commands_show_the_reference_values() {
    let mut held: BTreeMap<String, u32> = BTreeMap::new();
    for row in reference("stats_checks.csv").deserialize::<BTreeMap<String, String>>() {
        let row = row.unwrap();
        let inputs = row["inputs"].split(';').filter_map(|part| part.split_once('=')).collect();
        if let Some(ours) = shown(&row["function"], &inputs) {
            let (theirs, tolerance) = (row["expected"].parse().unwrap(), row["tolerance"].parse().unwrap());
            close(ours, theirs, tolerance, &format!("{} ({})", row["id"], row["source"]));
            *held.entry(row["function"].clone()).or_default() += 1;
        }
    }
    assert_eq!(held.len(), 17, "{held:?}");
}

#[test]
fn the_table_of_counts_is_the_published_one() {
    let mut theirs = String::new();
    let mut file = reference("promotion_table.csv");
    for record in std::iter::once(file.headers().unwrap().clone()).chain(file.records().map(Result::unwrap)) {
        theirs += &record.iter().take(5).collect::<Vec<_>>().join(",");
        theirs.push('\n');
    }
    assert_eq!(text(&["counts", "--csv"]), theirs);
    let ours = json(&["counts"]);
    let mut rows = 0;
    for (ours, theirs) in ours["rows"].as_array().unwrap().iter().zip(theirs.lines().skip(1)) {
        let fields =
            ["tried", "promote_at_least", "strict_at_least", "step_back_at_most", "strict_step_back_at_most"];
        for (field, theirs) in fields.iter().zip(theirs.split(',')) {
            assert_eq!(ours[field].as_u64(), theirs.parse().ok(), "{field} in {ours}");
        }
        rows += 1;
    }
    assert_eq!(rows, 100);
    // Study of progression, section 1.7: other targets.
    for (target, row, makes) in [("0.6", 20, 18), ("0.6", 100, 72), ("70%", 50, 43), ("0.8", 100, 89)] {
        let table = json(&["counts", "--target", target]);
        assert_eq!(table["rows"][row - 1]["promote_at_least"], makes, "{target}");
    }
}

#[test]
fn a_rate_that_a_rule_stopped_is_shown_by_its_confidence_sequence_alone() {
    let answer = json(&["rate", "34/50", "--stopped"]);
    for field in ["rate", "posterior_mean", "chance_above_target", "jeffreys", "wilson", "clopper_pearson"] {
        assert!(answer.get(field).unwrap().is_null(), "{field}");
    }
    let page = text(&["rate", "34/50", "--stopped"]);
    assert!(page.contains("flatters") && !page.contains("68") && !page.contains("Jeffreys"), "{page}");
}

#[test]
fn a_count_is_shown_as_it_is_and_too_short_a_one_without_a_rate() {
    assert!(text(&["rate", "5/5"]).contains("5 of 5, 100.0 %"));
    assert!(text(&["rate", "0/5"]).contains("0 of 5, 0.0 %"));
    let page = text(&["rate", "2/3"]);
    assert!(page.contains("too few for a rate") && !page.contains("66.7"), "{page}");
}

#[test]
fn a_change_is_put_in_the_words_of_its_threshold() {
    // Chances under Jeffreys priors (study of progression, section 2): .8975, .9797, .9927; bars 1 - .10/k, 1 - .05/k,
    // 1 - .01/k.
    for (first, second, elsewhere, words) in [
        ("30/50", "36/50", "0", "not settled (leans up)"),
        ("36/50", "30/50", "0", "not settled (leans down)"),
        ("25/50", "35/50", "0", "likely up"),
        ("25/50", "35/50", "1", "likely up"),
        ("25/50", "35/50", "2", "leaning up"),
        ("30/50", "41/50", "0", "clear: up"),
        ("41/50", "30/50", "0", "clear: down"),
        ("30/50", "41/50", "1", "likely up"),
        ("20/40", "20/40", "0", "not settled"),
    ] {
        let arguments = ["compare", first, second, "--comparisons", elsewhere];
        assert_eq!(json(&arguments)["comparisons"][0]["words"], words, "{arguments:?}");
        assert!(text(&arguments).contains(words), "{arguments:?}");
    }
}

#[test]
fn several_sets_raise_the_bar_and_say_so() {
    let sets = ["compare", "25/50", "35/50", "36/50", "30/50"];
    let answer = json(&sets);
    assert_eq!(answer["comparisons_opened"], 3);
    // 1 - .05/3.
    close(at(&answer, "/likely_from"), 0.983_333_333, 1e-8, "bar");
    assert_eq!(answer["comparisons"][0]["words"], "leaning up");
    let page = text(&sets);
    assert!(page.contains("98.333 %") && page.contains("comparisons opened      3"), "{page}");
    let after = text(&["compare", "25/50", "35/50", "--picked-after"]);
    assert!(after.lines().take(3).collect::<String>().contains("picked after looking"), "{after}");
}

#[test]
fn a_set_that_a_rule_stopped_is_refused_with_the_reason() {
    refused(&["compare", "30/50", "36/50", "--stopped", "2"], "36/50 was collected until a rule stopped it");
}

#[test]
fn more_attempts_at_the_rates_seen_settle_a_comparison_and_one_fewer_does_not() {
    // 5/10 and 8/10 grow to whole counts each ten attempts: held against the chances of the grown counts themselves.
    let more = at(&json(&["compare", "5/10", "8/10"]), "/comparisons/0/more_attempts_each");
    let chance = |tens: f64| {
        let tens = 1.0 + tens;
        let set = |made: f64| format!("{}/{}", made * tens, 10.0 * tens);
        at(&json(&["compare", &set(5.0), &set(8.0)]), "/comparisons/0/chance_second_greater")
    };
    assert!(chance((more / 10.0).ceil()) >= 0.95);
    assert!(chance(((more - 1.0) / 10.0).floor()) < 0.95, "{more}");
}

#[test]
fn the_earliest_decisions_are_those_of_the_study() {
    // Study of progression, section 1.7: 7 of 7, strict 9 of 9, step back 0 of 8.
    for (shots, strict, advice) in [
        ("111111", false, "undecided"),
        ("1111111", false, "promote"),
        ("++++ +++", false, "promote"),
        ("11111111", true, "undecided"),
        ("111111111", true, "promote"),
        ("0000000", false, "undecided"),
        ("--------", false, "step_back"),
        ("1111111,0000000000", false, "promote"),
    ] {
        let mut arguments = vec!["proof", "--shots", shots];
        if strict {
            arguments.push("--strict");
        }
        assert_eq!(json(&arguments)["advice"], advice, "{arguments:?}");
    }
    for (entries, advice) in [
        (&["34/50"][..], "promote"),
        (&["33/50"], "undecided"),
        (&["13/50"], "step_back"),
        (&["50/100"], "stay"),
        // One look at the end does not see the seven makes it may have begun with; two looks do.
        (&["10/20"], "undecided"),
        (&["7/7", "3/13"], "promote"),
    ] {
        assert_eq!(json(&[&["proof"], entries].concat())["advice"], advice, "{entries:?}");
    }
}

#[test]
fn a_sheet_tells_its_chance_of_a_false_promotion() {
    // Study of progression, section 1.2, exact by dynamic programming: .0674 and .0293 on a sheet.
    close(at(&json(&["proof", "3/5"]), "/false_promotion_chance"), 0.0674, 0.000_05, "usual");
    close(at(&json(&["proof", "3/5", "--strict"]), "/false_promotion_chance"), 0.0293, 0.000_05, "strict");
    assert!(text(&["proof", "3/5"]).contains("6.7 %"));
}

#[test]
fn a_declared_warm_up_is_left_out_in_each_visit() {
    let answer = json(&["proof", "--shots", "001111,00111", "--warm-up", "2"]);
    assert_eq!((&answer["advice"], &answer["tried"]), (&"promote".into(), &7.into()));
    assert_eq!((&answer["warm_up_left_out"], &answer["visits"]), (&4.into(), &2.into()));
}

#[test]
fn two_visits_wait_for_the_second_and_are_said_to_be_unstudied() {
    let first = json(&["proof", "7/7", "--two-visits"]);
    assert_eq!((&first["advice"], &first["waits_for_second_visit"]), (&"undecided".into(), &true.into()));
    assert_eq!(json(&["proof", "7/7,", "1/1", "--two-visits"])["advice"], "promote");
    assert!(text(&["proof", "7/7", "--two-visits"]).contains("was not studied"));
}

#[test]
fn a_new_sheet_comes_with_its_reason() {
    for (arguments, reason) in [
        (&["7/7"][..], "promoted"),
        (&["50/100"], "full"),
        (&["3/5", "--days", "28"], "lay_off"),
        (&["3/5", "--changed"], "conditions_changed"),
        (&["0/8", "--stepped-back"], "stepped_back"),
    ] {
        assert_eq!(json(&[&["proof"], arguments].concat())["new_sheet"], reason, "{arguments:?}");
    }
    assert!(json(&["proof", "3/5", "--days", "27"])["new_sheet"].is_null());
}

#[test]
fn races_are_those_of_the_study() {
    // Study of progression, section 7.
    for (own, other, rack, win) in
        [("3", "3", "0.30", 0.163_080), ("11", "11", "55%", 0.679_003), ("9", "9", "0.45", 0.337_436)]
    {
        close(at(&json(&["race", own, other, "--rack", rack]), "/win_chance"), win, 1e-6, own);
    }
    for (own, other, even) in [("5", "7", 0.411_890), ("5", "9", 0.350_163), ("4", "7", 0.355_100)] {
        close(at(&json(&["race", own, other]), "/even_rack_chance"), even, 1e-6, own);
    }
    for (own, rack) in [("3", 0.673), ("7", 0.613), ("11", 0.590)] {
        close(at(&json(&["race", own]), "/rack_chance_for_80_percent"), rack, 5e-4, own);
    }
    for (balls, chance) in [("3", 0.7937), ("5", 0.8706), ("10", 0.9330)] {
        close(at(&json(&["race", "7", "--balls", balls]), "/ball_chance_for_even_race"), chance, 5e-5, balls);
    }
}

/// One line on standard error, code 3, nothing on standard output.
fn refused(arguments: &[&str], part: &str) {
    let out = longrail(arguments);
    let line = String::from_utf8(out.stderr).unwrap();
    assert_eq!(out.status.code(), Some(3), "{arguments:?}: {line}");
    assert_eq!(line.lines().count(), 1, "{arguments:?}: {line}");
    assert!(line.contains(part), "{arguments:?}: {line}");
    assert!(out.stdout.is_empty(), "{arguments:?}");
}

#[test]
fn bad_input_gets_one_line_that_says_what_to_do() {
    for (count, part) in [
        ("0/0", "at least one"),
        ("51/50", "made cannot exceed tried"),
        ("abc", "such as 34/50"),
        ("-1/5", "0 or more"),
        ("1e9/1e9", "whole numbers"),
        ("1000000000/1000000000", "at most 10000000"),
        ("99999999999999999999/5", "at most 10000000"),
        ("NaN", "such as 34/50"),
        ("3.5/7", "whole numbers"),
        ("1/2/3", "such as 34/50"),
        ("", "such as 34/50"),
    ] {
        refused(&["rate", count], part);
        refused(&["compare", "3/5", count], part);
        if !count.is_empty() {
            refused(&["proof", count], part);
        }
    }
    for target in ["0", "1", "NaN", "inf", "-0.5", "1.5", "half", "100%"] {
        for command in [&["rate", "3/5"][..], &["proof", "3/5"], &["counts"]] {
            refused(&[command, &["--target", target]].concat(), "greater than 0 and less than 1");
        }
        refused(&["rate", "3/5", "--level", target], "level");
        refused(&["race", "7", "--rack", target], "rack");
    }
    refused(&["proof", "3/5", "--target", "0.001"], "from 0.01 to 0.99");
    refused(&["counts", "--target", "0.05"], "target rate is 0.05; it must be from 0.11");
    refused(&["proof"], "nothing to judge");
    refused(&["proof", ""], "nothing to judge");
    refused(&["proof", "--shots", ""], "no shot");
    refused(&["proof", "--shots", " , "], "no shot");
    refused(&["proof", "--shots", "1101x"], "\"x\"");
    refused(&["proof", "50/100", "1/1"], "start a new one");
    refused(&["proof", "3/5", "--warm-up", "11"], "at most 10");
    refused(&["proof", "20/30", "--warm-up", "5"], "enter the warm-up by itself");
    refused(&["proof", "3/5", "--days", "NaN"], "0 or more");
    refused(&["proof", "3/5", "--days", "-1"], "0 or more");
    refused(&["compare", "3/5", "4/5", "--stopped", "3"], "1 to 2");
    refused(&["compare", "3/5", "4/5", "--stopped", "0"], "1 to 2");
    refused(&["race", "0"], "from 1 to 10000");
    refused(&["race", "7", "0"], "from 1 to 10000");
    refused(&["race", "-7"], "0 or more");
    refused(&["race", "7", "--balls", "0"], "1 or more");
}

#[test]
fn what_cannot_stand_together_is_a_mistake_of_the_command_line() {
    for arguments in [
        &["proof", "3/5", "--shots", "11"][..],
        &["counts", "--csv", "--json"],
        &["compare", "3/5"],
        &["rate", "3/5", "--jsn"],
        &["race"],
    ] {
        let out = longrail(arguments);
        assert_eq!(out.status.code(), Some(2), "{arguments:?}");
        assert!(out.stdout.is_empty(), "{arguments:?}");
    }
}

#[test]
fn every_page_begins_with_one_sentence_and_fits_80_columns() {
    for arguments in [
        &["rate", "34/50"][..],
        &["rate", "1/1"],
        &["rate", "9999999/10000000", "--stopped", "--level", "0.999"],
        &["compare", "30/50", "36/50"],
        &["compare", "30/50", "36/50", "41/50", "--picked-after", "--comparisons", "400"],
        &["compare", "0/10", "10/10"],
        &["proof", "34/50"],
        &["proof", "0/8"],
        &["proof", "50/100"],
        &["proof", "5/5", "--warm-up", "5"],
        &["proof", "3/20", "--strict", "--two-visits"],
        &["proof", "40/97"],
        &["proof", "2/2", "--target", "0.05"],
        &["proof", "3/5", "--days", "40"],
        &["counts"],
        &["counts", "--target", "0.99"],
        &["race", "7", "--rack", "0.4"],
        &["race", "5", "7"],
        &["race", "10000"],
    ] {
        let page = text(arguments);
        let reading = json(arguments)["reading"].as_str().unwrap().to_owned();
        let first: Vec<&str> = page.lines().take_while(|line| !line.is_empty()).collect();
        assert_eq!(first.join(" "), reading, "{arguments:?}");
        assert!(reading.ends_with('.') && !reading.contains(". "), "{reading}");
        assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
        assert!(!page.contains("NaN") && !page.contains("inf "), "{page}");
    }
}

#[test]
fn completions_know_the_commands() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = text(&["completions", shell]);
        for word in ["rate", "compare", "proof", "counts", "race", "picked-after", "warm-up"] {
            assert!(script.contains(word), "{word} for {shell}");
        }
    }
}
