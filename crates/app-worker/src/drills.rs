//! The shipped drills.

use std::collections::BTreeMap;

use longrail_practice::drill::Drill;

/// As `build.rs` read them.
const SHIPPED: &str = include_str!(concat!(env!("OUT_DIR"), "/drills.json"));

/// All of them, by id.
pub(crate) fn shipped() -> BTreeMap<String, Drill> {
    // What was written by this type is read by it: a test's to find, if not.
    let drills: Vec<Drill> = serde_json::from_str(SHIPPED).unwrap_or_default();
    let mut shipped = BTreeMap::new();
    for drill in drills {
        shipped.insert(drill.id.clone(), drill);
    }
    shipped
}

#[cfg(test)]
mod tests {
    use super::shipped;

    #[test]
    fn every_shipped_drill_is_here_as_its_file_says() {
        let files = longrail_practice::drill::SHIPPED;
        let here = shipped();
        assert_eq!(here.len(), files.len());
        for (file, text) in files {
            let drill = longrail_practice::drill::Drill::read(file, text).unwrap();
            assert_eq!(here.get(&drill.id), Some(&drill));
        }
    }
}
