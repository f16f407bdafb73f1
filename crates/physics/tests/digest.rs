//! The same bits for ever: a thousand seeded shots fold to the committed number.

use longrail_physics::digest::corpus_digest;

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
