//! Reading a shot.

use std::fmt;

use longrail_math::{Vec2, Vec3};
use serde::Deserialize;
use serde::de::{self, Deserializer, MapAccess, Visitor};
use serde_json::error::Category;

use super::{Problem, Refusal};
use crate::ball::{Ball, MASS_KG, RADIUS_M};
use crate::conditions::{BallFriction, Conditions, CushionModel, NoseContact};
use crate::cue::{Clearance, Cue, Stroke};
use crate::error::ShotError;
use crate::layout::Layout;
use crate::table::{PocketId, Size, Table, TableSpec};
use crate::world::World;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Shot {
    #[serde(default)]
    table: TableCard,
    #[serde(default)]
    ball: BallKind,
    #[serde(default)]
    physics: Physics,
    #[serde(default)]
    cue: CueCard,
    balls: Vec<BallCard>,
    #[serde(default)]
    stroke: Option<StrokeCard>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct TableCard {
    size: Option<String>,
    length_m: Option<f64>,
    width_m: Option<f64>,
    corner_mouth_m: Option<f64>,
    side_mouth_m: Option<f64>,
    corner_shelf_m: Option<f64>,
    side_shelf_m: Option<f64>,
    corner_facing_deg: Option<f64>,
    side_facing_deg: Option<f64>,
    corner_drop_radius_m: Option<f64>,
    side_drop_radius_m: Option<f64>,
    pockets: Mouths,
}

/// Mouths of single pockets, by name.
#[derive(Default)]
struct Mouths([Option<f64>; 6]);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MouthCard {
    mouth_m: f64,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct BallKind {
    radius_m: Option<f64>,
    mass_kg: Option<f64>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct Physics {
    gravity_mps2: Option<f64>,
    sliding_friction: Option<f64>,
    rolling_friction: Option<f64>,
    spin_deceleration_rad_s2: Option<f64>,
    ball_restitution: Option<f64>,
    ball_friction: Option<Friction>,
    cushion: CushionCard,
    facing: FacingCard,
    flight: FlightCard,
}

struct Friction(BallFriction);

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct FitCard {
    a: Option<f64>,
    b: Option<f64>,
    c_s_per_m: Option<f64>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct CushionCard {
    model: Option<Model>,
    restitution: Option<f64>,
    friction: Option<f64>,
    height_m: Option<f64>,
    contact: Option<ContactCard>,
    tolerance: Option<f64>,
}

#[derive(Deserialize, Clone, Copy)]
#[serde(rename_all = "kebab-case")]
enum Model {
    Impulse,
    SingleImpulse,
    Simple,
}

#[derive(Deserialize, Clone, Copy)]
#[serde(rename_all = "kebab-case")]
enum ContactCard {
    Nose,
    Radius,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct FacingCard {
    restitution: Option<f64>,
    friction: Option<f64>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct FlightCard {
    bed_restitution: Option<f64>,
    lift_from_ball_friction: Option<bool>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct CueCard {
    squirt: Option<bool>,
    end_mass_kg: Option<f64>,
    clearance: Option<ClearanceCard>,
    shaft_radius_m: Option<f64>,
}

#[derive(Deserialize, Clone, Copy)]
#[serde(rename_all = "kebab-case")]
enum ClearanceCard {
    Ideal,
    Raise,
    Refuse,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BallCard {
    id: String,
    x_m: Option<f64>,
    y_m: Option<f64>,
    along: Option<f64>,
    across: Option<f64>,
    radius_m: Option<f64>,
    mass_kg: Option<f64>,
    #[serde(default)]
    vx_mps: f64,
    #[serde(default)]
    vy_mps: f64,
    #[serde(default)]
    wx_rad_s: f64,
    #[serde(default)]
    wy_rad_s: f64,
    #[serde(default)]
    wz_rad_s: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StrokeCard {
    speed_mps: f64,
    direction_deg: f64,
    #[serde(default)]
    tip_right: f64,
    #[serde(default)]
    tip_up: f64,
    #[serde(default)]
    elevation_deg: f64,
}

/// Reads and checks a shot.
///
/// # Errors
/// [`Refusal`] with the place and what is expected there.
pub fn read(input: &str) -> Result<Problem, Refusal> {
    let mut deserializer = serde_json::Deserializer::from_str(input);
    let shot: Shot = serde_path_to_error::deserialize(&mut deserializer).map_err(|error| {
        if matches!(error.inner().classify(), Category::Syntax | Category::Eof) {
            return Refusal::Form(format!("this is not JSON: {}", error.inner()));
        }
        let path = error.path().to_string();
        let place = if path == "." { String::new() } else { format!("{path}: ") };
        Refusal::Form(format!("{place}{}", error.inner()))
    })?;
    deserializer.end().map_err(|error| Refusal::Form(format!("after the shot: {error}")))?;

    let table = Table::new(table_spec(&shot.table)?)?;
    let world = World::new(table, conditions(&shot.physics))?;
    let spec = *world.table().spec();
    let balls = shot
        .balls
        .into_iter()
        .map(|card| ball(card, &shot.ball, &spec))
        .collect::<Result<Vec<_>, Refusal>>()?;
    let layout = Layout::new(&world, &balls)?;
    let default = Cue::default();
    let cue = Cue {
        squirt: shot.cue.squirt.unwrap_or(default.squirt),
        end_mass_kg: shot.cue.end_mass_kg.unwrap_or(default.end_mass_kg),
        clearance: match shot.cue.clearance {
            None => default.clearance,
            Some(ClearanceCard::Ideal) => Clearance::Ideal,
            Some(ClearanceCard::Raise) => Clearance::Raise,
            Some(ClearanceCard::Refuse) => Clearance::Refuse,
        },
        shaft_radius_m: shot.cue.shaft_radius_m.unwrap_or(default.shaft_radius_m),
    };
    cue.check()?;
    let stroke = shot.stroke.map(|card| Stroke {
        speed_mps: card.speed_mps,
        direction_deg: card.direction_deg,
        tip_right: card.tip_right,
        tip_up: card.tip_up,
        elevation_deg: card.elevation_deg,
    });
    if let Some(stroke) = &stroke {
        stroke.check()?;
        if layout.cue_ball().is_none() {
            return Err(ShotError::NoCueBall.into());
        }
    }
    Ok(Problem { world, layout, stroke, cue }.made_playable()?)
}

fn table_spec(card: &TableCard) -> Result<TableSpec, ShotError> {
    let size = Size::named(card.size.as_deref().unwrap_or("9ft"))?;
    let default = TableSpec::of_size(size);
    Ok(TableSpec {
        length_m: card.length_m.unwrap_or(default.length_m),
        width_m: card.width_m.unwrap_or(default.width_m),
        corner_mouth_m: card.corner_mouth_m.unwrap_or(default.corner_mouth_m),
        side_mouth_m: card.side_mouth_m.unwrap_or(default.side_mouth_m),
        mouths_m: card.pockets.0,
        corner_shelf_m: card.corner_shelf_m.unwrap_or(default.corner_shelf_m),
        side_shelf_m: card.side_shelf_m.unwrap_or(default.side_shelf_m),
        corner_facing_deg: card.corner_facing_deg.unwrap_or(default.corner_facing_deg),
        side_facing_deg: card.side_facing_deg.unwrap_or(default.side_facing_deg),
        corner_drop_radius_m: card.corner_drop_radius_m.unwrap_or(default.corner_drop_radius_m),
        side_drop_radius_m: card.side_drop_radius_m.unwrap_or(default.side_drop_radius_m),
    })
}

fn conditions(card: &Physics) -> Conditions {
    let mut c = Conditions::default();
    set(&mut c.gravity_mps2, card.gravity_mps2);
    set(&mut c.sliding_friction, card.sliding_friction);
    set(&mut c.rolling_friction, card.rolling_friction);
    set(&mut c.spin_deceleration_rad_s2, card.spin_deceleration_rad_s2);
    set(&mut c.ball_restitution, card.ball_restitution);
    set(&mut c.ball_friction, card.ball_friction.as_ref().map(|friction| friction.0));
    let model = card.cushion.model.map(|model| match model {
        Model::Impulse => CushionModel::Impulse,
        Model::SingleImpulse => CushionModel::SingleImpulse,
        Model::Simple => CushionModel::Simple,
    });
    set(&mut c.cushion.model, model);
    set(&mut c.cushion.restitution, card.cushion.restitution);
    set(&mut c.cushion.friction, card.cushion.friction);
    set(&mut c.cushion.height_m, card.cushion.height_m);
    let contact = card.cushion.contact.map(|contact| match contact {
        ContactCard::Nose => NoseContact::Nose,
        ContactCard::Radius => NoseContact::Radius,
    });
    set(&mut c.cushion.contact, contact);
    set(&mut c.cushion.tolerance, card.cushion.tolerance);
    set(&mut c.facing.restitution, card.facing.restitution);
    set(&mut c.facing.friction, card.facing.friction);
    set(&mut c.flight.bed_restitution, card.flight.bed_restitution);
    set(&mut c.flight.lift_from_ball_friction, card.flight.lift_from_ball_friction);
    c
}

fn set<T>(field: &mut T, given: Option<T>) {
    if let Some(given) = given {
        *field = given;
    }
}

fn ball(card: BallCard, kind: &BallKind, spec: &TableSpec) -> Result<Ball, Refusal> {
    let (x, y) = match (card.x_m, card.y_m, card.along, card.across) {
        (Some(x), Some(y), None, None) => (x, y),
        (None, None, Some(along), Some(across)) => spec.from_diamonds(along, across),
        _ => {
            return Err(Refusal::Form(format!(
                "ball {:?} needs a place: either \"x_m\" and \"y_m\" in metres, or \"along\" (0 to 8) and \
                 \"across\" (0 to 4) in diamonds",
                card.id
            )));
        }
    };
    Ok(Ball {
        id: card.id,
        position: Vec2::new(x, y),
        velocity: Vec2::new(card.vx_mps, card.vy_mps),
        spin: Vec3::new(card.wx_rad_s, card.wy_rad_s, card.wz_rad_s),
        radius_m: card.radius_m.or(kind.radius_m).unwrap_or(RADIUS_M),
        mass_kg: card.mass_kg.or(kind.mass_kg).unwrap_or(MASS_KG),
    })
}

impl<'de> Deserialize<'de> for Friction {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Either;
        impl<'de> Visitor<'de> for Either {
            type Value = Friction;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a number, or an object with a, b and c_s_per_m")
            }
            fn visit_f64<E: de::Error>(self, value: f64) -> Result<Friction, E> {
                Ok(Friction(BallFriction::Constant(value)))
            }
            fn visit_u64<E: de::Error>(self, value: u64) -> Result<Friction, E> {
                // Anything above 1 is refused later; the rounding of huge numbers does not matter.
                #[allow(clippy::cast_precision_loss)]
                self.visit_f64(value as f64)
            }
            fn visit_i64<E: de::Error>(self, value: i64) -> Result<Friction, E> {
                #[allow(clippy::cast_precision_loss)]
                self.visit_f64(value as f64)
            }
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Friction, A::Error> {
                let card = FitCard::deserialize(de::value::MapAccessDeserializer::new(map))?;
                let BallFriction::Fit { a, b, c_s_per_m } = BallFriction::default() else {
                    return Err(de::Error::custom("no default friction law"));
                };
                Ok(Friction(BallFriction::Fit {
                    a: card.a.unwrap_or(a),
                    b: card.b.unwrap_or(b),
                    c_s_per_m: card.c_s_per_m.unwrap_or(c_s_per_m),
                }))
            }
        }
        deserializer.deserialize_any(Either)
    }
}

impl<'de> Deserialize<'de> for Mouths {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct ByName;
        impl<'de> Visitor<'de> for ByName {
            type Value = Mouths;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object with pockets by name")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Mouths, A::Error> {
                let mut mouths = Mouths::default();
                while let Some(name) = map.next_key::<String>()? {
                    let Some(id) = PocketId::named(&name) else {
                        let known = PocketId::ALL.map(PocketId::name).join(", ");
                        let message = format!("there is no pocket {name:?}; the pockets are {known}");
                        return Err(de::Error::custom(message));
                    };
                    mouths.0[id as usize] = Some(map.next_value::<MouthCard>()?.mouth_m);
                }
                Ok(mouths)
            }
        }
        deserializer.deserialize_map(ByName)
    }
}
