//! The same bits for ever: a thousand seeded shots fold to the committed number.

#![allow(clippy::unwrap_used)]

use longrail_physics::digest::{Sample, corpus_digest, sample};
use longrail_physics::{Engine, Layout};

#[test]
fn a_thousand_seeded_shots_fold_to_the_committed_digest() {
    let committed = include_str!("../../../tests/reference/shot_digest.txt").trim();
    assert_eq!(
        format!("{:016x}", corpus_digest(1000)),
        committed,
        "results have moved; if that is meant, write the new digest to tests/reference/shot_digest.txt and say \
         in the changelog by how much"
    );
}

#[test]
fn every_seeded_shot_plays_to_its_end() {
    let mut engine = Engine::new();
    let mut played = 0;
    for index in 0..5000 {
        let Some(Sample { world, balls, stroke, cue }) = sample(index) else { continue };
        let layout = Layout::new(&world, &balls).unwrap();
        let outcome = engine.play(&world, &layout, Some(&stroke), &cue, &mut ());
        assert_eq!(outcome, Ok(()), "sample {index}");
        played += 1;
    }
    assert!(played > 4900, "only {played} samples can be set up");
}
