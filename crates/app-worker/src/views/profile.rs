//! What is typed in Setup: numbers as text, and back.

use longrail_app_link::{Player, Table, TypedIn};
use longrail_physics::table::PocketId;
use longrail_practice::card::{Card, CardError, CueBall, Mouth, Potted, Rebound, Size, Stopwatch};
use longrail_practice::id::EventId;
use longrail_practice::player::{Hand, Profile, ProfileError, Units};
use longrail_stroke::stroke::Reference;

use super::typed::{Typed, all, number, shown, told, typed_in};
use crate::record::Trouble;

/// A player as screens show one.
pub(crate) fn player(profile: &Profile) -> Player {
    let imperial = profile.imperial();
    let units = typed_in(imperial);
    let text = |value: Option<f64>, unit: f64| value.map(|value| shown(value, unit)).unwrap_or_default();
    let start = profile.start.and_then(|start| Reference::ALL.iter().position(|one| *one == start));
    Player {
        id: String::new(),
        name: profile.name.clone(),
        start: start.and_then(|start| u32::try_from(start).ok()),
        imperial,
        typed_in: if imperial { TypedIn::Imperial } else { TypedIn::Metric },
        left_handed: profile.hand == Hand::Left,
        end_mass_g: text(profile.cue.end_mass_g, 1.0),
        reach: text(profile.reach_m, units.large_m),
        hardest: text(profile.usual.hardest_mps, units.speed_mps),
        most_draw: text(profile.usual.most_draw, 1.0),
        target: shown(profile.proof.target, 0.01),
        strict: profile.proof.strict,
    }
}

/// The profile with what was typed. What was not touched stays as it was, to the last digit.
pub(crate) fn profile_of(typed: &Player, before: &Profile) -> Result<Profile, Trouble> {
    let mut profile = before.clone();
    let units = typed_in(typed.typed_in == TypedIn::Imperial);
    typed.name.trim().clone_into(&mut profile.name);
    profile.start = typed.start.and_then(|start| Reference::ALL.get(usize::try_from(start).ok()?).copied());
    profile.units = if typed.imperial { Units::Imperial } else { Units::Metric };
    profile.hand = if typed.left_handed { Hand::Left } else { Hand::Right };
    let fields = [
        ("The end mass", &typed.end_mass_g, 1.0, &mut profile.cue.end_mass_g),
        ("The reach", &typed.reach, units.large_m, &mut profile.reach_m),
        ("The strongest hit", &typed.hardest, units.speed_mps, &mut profile.usual.hardest_mps),
        ("The most draw", &typed.most_draw, 1.0, &mut profile.usual.most_draw),
    ];
    for (what, text, unit, value) in fields {
        if value.map(|value| shown(value, unit)).unwrap_or_default() != *text {
            *value = number(what, text)?.map(|number| number * unit);
        }
    }
    if shown(profile.proof.target, 0.01) != typed.target {
        let target = number("The chance that a proof asks for", &typed.target)?;
        profile.proof.target = target.map_or(0.5, |percent| percent / 100.0);
    }
    profile.proof.strict = typed.strict;
    profile.check().map_err(|error| {
        let field = if let ProfileError::Field(field) = &error { Some(field.clone()) } else { None };
        told(error, field, units)
    })?;
    Ok(profile)
}

/// A table as screens show one.
pub(crate) fn table(id: EventId, card: &Card, imperial: bool) -> Table {
    let units = typed_in(imperial);
    let long = |metres: f64| shown(metres, units.large_m);
    let (size, surface) = match &card.size {
        Size::Named(name) => (name.clone(), Default::default()),
        Size::Measured { length_m, width_m } => (String::new(), [long(*length_m), long(*width_m)]),
    };
    let pockets = PocketId::ALL.map(|id| card.mouths.get(id).map(|mouth| mouth.text(units.small_mm)));
    // One width for all of a kind, where they have one.
    let alike = |sides: bool| {
        let mut texts = PocketId::ALL
            .into_iter()
            .zip(&pockets)
            .filter(|(id, _)| id.is_side() == sides)
            .map(|(_, text)| text);
        let first = texts.next().cloned().flatten();
        first.filter(|first| texts.all(|text| text.as_ref() == Some(first))).unwrap_or_default()
    };
    Table {
        id: id.to_string(),
        name: card.name.clone(),
        place: card.place.clone(),
        imperial,
        size,
        surface,
        corners: alike(false),
        sides: alike(true),
        pockets: pockets.map(Option::unwrap_or_default),
        cloth: card
            .cloth
            .map(|cloth| [long(cloth.distance_m), shown(cloth.seconds, 1.0)])
            .unwrap_or_default(),
        rails: card
            .rails
            .map(|rails| [long(rails.away_m), shown(rails.seconds, 1.0), long(rails.back_m)])
            .unwrap_or_default(),
        cue_ball: card
            .cue_ball
            .map(|ball| [shown(2e3 * ball.radius_m, units.small_mm), shown(1e3 * ball.mass_kg, 1.0)])
            .unwrap_or_default(),
        keeps: card.potted.map(|potted| potted == Potted::Kept),
        roll_off: card.roll_off.clone(),
        assumed: card.unmeasured(imperial),
    }
}

/// The card with what was typed; a new one if there was none before. What was not touched stays as it was measured.
pub(crate) fn card_of(typed: &Table, before: Option<&Card>) -> Result<Card, Trouble> {
    let units = typed_in(typed.imperial);
    let name = typed.name.trim();
    let mut card = before.cloned().unwrap_or_else(|| Card::new(name, "9ft"));
    let was = before.map(|card| table(EventId::from_bits(0), card, typed.imperial)).unwrap_or_default();
    name.clone_into(&mut card.name);
    typed.place.trim().clone_into(&mut card.place);
    if typed.size.is_empty() && (typed.surface != was.surface || !was.size.is_empty()) {
        let [length, width] = all("The playing surface", &typed.surface)?.ok_or_else(|| {
            Trouble::Typed(
                "The playing surface takes both: its length and its width, from nose to nose.".to_owned(),
            )
        })?;
        card.size = Size::Measured { length_m: length * units.large_m, width_m: width * units.large_m };
    } else if !typed.size.is_empty() {
        card.size = Size::Named(typed.size.clone());
    }
    for (index, id) in PocketId::ALL.into_iter().enumerate() {
        let kind = if id.is_side() { (&typed.sides, &was.sides) } else { (&typed.corners, &was.corners) };
        // One pocket by itself goes before all of its kind.
        let own = (&typed.pockets[index], &was.pockets[index]);
        if let Some((text, _)) = [own, kind].into_iter().find(|(text, was)| text != was)
            && let Some(mouth) = card.mouths.named_mut(id.name())
        {
            *mouth = mouth_of(id, text, units)?;
        }
    }
    if typed.cloth != was.cloth {
        let cloth = all("The cloth", &typed.cloth)?;
        card.cloth = cloth.map(|[way, seconds]| Stopwatch { distance_m: way * units.large_m, seconds });
    }
    if typed.rails != was.rails {
        let rails = all("The rebound", &typed.rails)?;
        card.rails = rails.map(|[away, seconds, back]| Rebound {
            away_m: away * units.large_m,
            seconds,
            back_m: back * units.large_m,
        });
    }
    if typed.cue_ball != was.cue_ball {
        let ball = all("The cue ball", &typed.cue_ball)?;
        card.cue_ball = ball.map(|[diameter, grams]| CueBall {
            radius_m: 0.5e-3 * diameter * units.small_mm,
            mass_kg: 1e-3 * grams,
        });
    }
    card.potted = typed.keeps.map(|keeps| if keeps { Potted::Kept } else { Potted::Returned });
    typed.roll_off.trim().clone_into(&mut card.roll_off);
    card.check().map_err(|error| {
        let field = if let CardError::Field(field) = &error { Some(field.clone()) } else { None };
        told(error, field, units)
    })?;
    Ok(card)
}

/// The mouth of a pocket.
fn mouth_of(id: PocketId, text: &str, units: Typed) -> Result<Option<Mouth>, Trouble> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    Mouth::read(&text.replace(',', "."), units.small_mm).map(Some).ok_or_else(|| {
        Trouble::Typed(format!(
            "The mouth {} is {text:?}: type its width, or balls and the room beside them, as 2+3.5.",
            id.name()
        ))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn measured() -> Card {
        let mut card = Card::new("Table 4", "9ft");
        card.size = Size::Measured { length_m: 2.5437, width_m: 1.2741 };
        card.mouths.foot_left = Some(Mouth::Fit { balls: 2, room_mm: 3.5 });
        card.mouths.side_right = Some(Mouth::Width(0.127_33));
        card.cloth = Some(Stopwatch { distance_m: 2.54, seconds: 7.2 });
        card.rails = Some(Rebound { away_m: 1.27, seconds: 1.6, back_m: 1.0 });
        card.cue_ball = Some(CueBall { radius_m: 0.0294, mass_kg: 0.18 });
        card.potted = Some(Potted::Kept);
        card
    }

    #[test]
    fn what_is_shown_and_not_touched_changes_nothing_in_either_unit() {
        let card = measured();
        for imperial in [false, true] {
            let shown = table(EventId::from_bits(7), &card, imperial);
            assert_eq!(card_of(&shown, Some(&card)).unwrap(), card);
        }
        let mut profile = Profile { reach_m: Some(0.8123), ..Profile::new("Ann") };
        profile.usual.hardest_mps = Some(5.4321);
        for units in [Units::Metric, Units::Imperial] {
            profile.units = units;
            assert_eq!(profile_of(&player(&profile), &profile).unwrap(), profile);
        }
        // The units themselves can be changed while numbers in the old ones are shown.
        let typed = Player { imperial: false, ..player(&profile) };
        assert_eq!(profile_of(&typed, &profile).unwrap(), Profile { units: Units::Metric, ..profile });
    }

    #[test]
    fn inches_are_25_4_mm_and_one_pocket_goes_before_all_of_its_kind() {
        let mut typed = table(EventId::from_bits(0), &measured(), true);
        // 4.5 in are 114.3 mm, 100 in are 2.54 m (WPA's mouth and playing surface).
        typed.corners = "4.5".to_owned();
        typed.pockets[0] = "2+0,1".to_owned();
        typed.surface = ["100".to_owned(), "50".to_owned()];
        let card = card_of(&typed, Some(&measured())).unwrap();
        assert_eq!(card.size, Size::Measured { length_m: 2.54, width_m: 1.27 });
        let corners: Vec<_> = PocketId::ALL.into_iter().filter(|id| !id.is_side()).collect();
        assert_eq!(card.mouths.get(corners[0]), Some(Mouth::Fit { balls: 2, room_mm: 2.54 }));
        for id in &corners[1..] {
            assert_eq!(card.mouths.get(*id), Some(Mouth::Width(0.1143)), "{}", id.name());
        }
        assert_eq!(card.mouths.side_right, measured().mouths.side_right);
    }

    #[test]
    fn numbers_that_belong_together_are_asked_for_together() {
        let mut typed = table(EventId::from_bits(0), &measured(), false);
        typed.rails[1] = String::new();
        let said = card_of(&typed, Some(&measured())).unwrap_err().to_string();
        assert_eq!(said, "The rebound takes all three numbers: type the rest too, or none.");
        typed.rails = Default::default();
        assert_eq!(card_of(&typed, Some(&measured())).unwrap().rails, None);
        typed.size = "8ft".to_owned();
        assert_eq!(card_of(&typed, Some(&measured())).unwrap().size, Size::Named("8ft".to_owned()));
        (typed.size, typed.surface[0]) = (String::new(), String::new());
        let said = card_of(&typed, Some(&measured())).unwrap_err().to_string();
        assert!(said.starts_with("The playing surface takes both numbers"), "{said}");
        typed.surface = Default::default();
        let said = card_of(&typed, Some(&measured())).unwrap_err().to_string();
        assert!(said.contains("length and its width"), "{said}");
        // What is out of range is said in the units of the form: 0.4 in are 10 mm, and mouths have 70 to 200 mm.
        typed = table(EventId::from_bits(0), &measured(), true);
        typed.pockets[1] = "0.4".to_owned();
        let said = card_of(&typed, Some(&measured())).unwrap_err().to_string();
        assert_eq!(said, "The mouth head-right is 0.4 in; it must be 2.76 to 7.87 in.");
        typed = table(EventId::from_bits(0), &measured(), false);
        typed.corners = "wide".to_owned();
        let said = card_of(&typed, Some(&measured())).unwrap_err().to_string();
        assert!(said.contains("is \"wide\": type its width"), "{said}");
    }

    #[test]
    fn a_comma_is_a_point_and_nonsense_is_told_with_what_was_typed() {
        let mut typed = player(&Profile::new("Ann"));
        typed.reach = "0,7".to_owned();
        assert_eq!(profile_of(&typed, &Profile::new("Ann")).unwrap().reach_m, Some(0.7));
        for (text, metres) in [("½", 0.5), ("1 1/4", 1.25), ("1¼", 1.25), (" .9", 0.9)] {
            typed.reach = text.to_owned();
            assert_eq!(profile_of(&typed, &Profile::new("Ann")).unwrap().reach_m, Some(metres), "{text}");
        }
        for text in ["1/0", "1 x", "/", "1//2"] {
            typed.reach = text.to_owned();
            assert!(profile_of(&typed, &Profile::new("Ann")).is_err(), "{text}");
        }
        typed.reach = "far".to_owned();
        let said = profile_of(&typed, &Profile::new("Ann")).unwrap_err().to_string();
        assert_eq!(said, "The reach is \"far\", which is no number.");
        typed.reach = "9".to_owned();
        assert_eq!(
            profile_of(&typed, &Profile::new("Ann")).unwrap_err().to_string(),
            "The reach is 9 m; it must be 0.3 to 2 m."
        );
    }
}
