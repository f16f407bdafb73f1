//! Numbers of players and names that this program has met, so that an append need not ask for them.
//!
//! They never change while they are used: a number goes only with an erased record, in which nothing is written any more.

use longrail_practice::id::PlayerId;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Names remembered of a player, and players. When there are more, all of them are forgotten, which costs a question each.
const MOST: usize = 1_024;

type Names = BTreeMap<u128, i64>;

/// What is known. Copies share it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Known(Arc<Mutex<BTreeMap<PlayerId, (i64, Names)>>>);

impl Known {
    /// The number of a player, and those of some names, as far as they are known.
    pub(crate) fn of(&self, player: PlayerId, names: impl Iterator<Item = u128>) -> Option<(i64, Names)> {
        let known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let (number, all) = known.get(&player)?;
        Some((*number, names.filter_map(|name| all.get(&name).map(|number| (name, *number))).collect()))
    }

    /// Remembers what a transaction has used that was committed.
    pub(crate) fn learn(&self, player: PlayerId, number: i64, names: Names) {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if known.len() >= MOST && !known.contains_key(&player) {
            known.clear();
        }
        let (there, all) = known.entry(player).or_default();
        *there = number;
        if all.len() + names.len() > MOST {
            all.clear();
        }
        all.extend(names);
    }
}

#[cfg(test)]
mod tests {
    use super::{Known, MOST};
    use longrail_practice::id::PlayerId;

    #[test]
    fn what_was_learnt_is_known_and_never_too_much_is() {
        let (known, player) = (Known::default(), PlayerId::from_bits(1));
        assert_eq!(known.of(player, [7].into_iter()), None);
        known.learn(player, 4, [(7, 70), (8, 80)].into());
        assert_eq!(known.clone().of(player, [7, 9].into_iter()), Some((4, [(7, 70)].into())));
        for name in 0..5_000 {
            known.learn(player, 4, [(name, 1)].into());
            known.learn(PlayerId::from_bits(name + 2), 5, [].into());
        }
        let known = known.0.lock().unwrap();
        assert!(known.len() <= MOST && known.values().all(|(_, names)| names.len() <= MOST));
    }
}
