//! Numbers that people type, in their units.

use longrail_practice::field::FieldError;
use longrail_practice::measure::{INCH_M, MPH_MPS, decimals};
use longrail_stroke::StrokeError;

use crate::record::Trouble;

/// What typed lengths and speeds are in.
#[derive(Clone, Copy)]
pub(super) struct Typed {
    /// The small unit of length, and millimetres in it.
    small: &'static str,
    pub(super) small_mm: f64,
    /// The large one, and metres in it.
    large: &'static str,
    pub(super) large_m: f64,
    /// That of speed, and m/s in it.
    speed: &'static str,
    pub(super) speed_mps: f64,
}

const METRIC: Typed =
    Typed { small: "mm", small_mm: 1.0, large: "m", large_m: 1.0, speed: "m/s", speed_mps: 1.0 };
const IMPERIAL: Typed = Typed {
    small: "in",
    small_mm: 1e3 * INCH_M,
    large: "in",
    large_m: INCH_M,
    speed: "mph",
    speed_mps: MPH_MPS,
};

pub(super) const fn typed_in(imperial: bool) -> Typed {
    if imperial { IMPERIAL } else { METRIC }
}

/// A number as a field shows it.
pub(super) fn shown(value: f64, unit: f64) -> String {
    decimals(value / unit, 3)
}

/// What is wrong with a form: a field of it in the words and units of the form, anything else as it says itself.
pub(super) fn told(error: impl Into<Trouble>, field: Option<FieldError>, units: Typed) -> Trouble {
    field.and_then(|field| of_field(&field, units)).unwrap_or_else(|| error.into())
}

/// The field of a form that a stroke or a constraint is refused for.
pub(super) fn of_stroke(error: &StrokeError) -> Option<FieldError> {
    let StrokeError::OutOfRange { field, value, least, most, unit } = *error else { return None };
    Some(FieldError::OutOfRange { field: field.to_owned(), value, least, most, unit })
}

fn of_field(error: &FieldError, units: Typed) -> Option<Trouble> {
    let FieldError::OutOfRange { field, value, least, most, .. } = error else { return None };
    let Typed { small, large, speed, .. } = units;
    let small_m = 1e-3 * units.small_mm;
    let (what, unit, name) = match field.as_str() {
        "size.length_m" => ("The length", units.large_m, large),
        "size.width_m" => ("The width", units.large_m, large),
        "cloth.distance_m" => ("The way on the cloth", units.large_m, large),
        "cloth.seconds" => ("The time on the cloth", 1.0, "s"),
        "rails.away_m" => ("From the mark to the nose", units.large_m, large),
        "rails.seconds" => ("The time to the rail", 1.0, "s"),
        "rails.back_m" => ("The way back", units.large_m, large),
        "cue_ball.radius_m" => ("The cue ball's diameter", 0.5 * small_m, small),
        "cue_ball.mass_kg" => ("The cue ball's weight", 1e-3, "g"),
        "reach_m" => ("The reach", units.large_m, large),
        "cue.end_mass_g" => ("The end mass", 1.0, "g"),
        "speed.softest_mps" => ("The softest hit", units.speed_mps, speed),
        "speed.hardest_mps" => ("The hardest hit", units.speed_mps, speed),
        "usual.hardest_mps" => ("The strongest hit", units.speed_mps, speed),
        "usual.most_draw" => ("The most draw", 1.0, "radii"),
        "proof.target" => ("The chance that a proof asks for", 0.01, "%"),
        mouth if mouth.ends_with("room_mm") => ("The room beside the balls", units.small_mm, small),
        mouth if mouth.ends_with("balls") => ("The balls in the mouth", 1.0, "balls"),
        mouth if mouth.starts_with("mouths.") => ("The mouth", small_m, small),
        _ => return None,
    };
    let number = |value: f64| decimals(value / unit, 2);
    let which = field.strip_prefix("mouths.").and_then(|rest| rest.split('.').next());
    let which = which.map(|pocket| format!(" {pocket}")).unwrap_or_default();
    Some(Trouble::Typed(format!(
        "{what}{which} is {} {name}; it must be {} to {} {name}.",
        number(*value),
        number(*least),
        number(*most)
    )))
}

/// Numbers that belong together: all of them, or none.
pub(super) fn all<const N: usize>(what: &str, texts: &[String; N]) -> Result<Option<[f64; N]>, Trouble> {
    let mut numbers = [0.0; N];
    let mut typed = 0;
    for (text, number_) in texts.iter().zip(&mut numbers) {
        if let Some(read) = number(what, text)? {
            *number_ = read;
            typed += 1;
        }
    }
    match typed {
        0 => Ok(None),
        typed if typed == N => Ok(Some(numbers)),
        _ => {
            let all = if N == 2 { "both numbers" } else { "all three numbers" };
            Err(Trouble::Typed(format!("{what} takes {all}: type the rest too, or none.")))
        }
    }
}

/// A number as people type it: "2.5", "2,5", "2½", "2 1/2"; none for nothing.
pub(super) fn number(what: &str, text: &str) -> Result<Option<f64>, Trouble> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let mut plain = text.replace(',', ".");
    for (sign, fraction) in [("¼", " 1/4"), ("½", " 1/2"), ("¾", " 3/4")] {
        plain = plain.replace(sign, fraction);
    }
    let mut sum = Some(0.0);
    for part in plain.split_whitespace() {
        sum = sum.and_then(|sum: f64| Some(sum + fraction(part)?));
    }
    let read = sum.filter(|number| number.is_finite());
    read.map(Some).ok_or_else(|| Trouble::Typed(format!("{what} is {text:?}, which is no number.")))
}

/// "2.5", or "1/2".
fn fraction(text: &str) -> Option<f64> {
    let (over, under) = text.split_once('/').unwrap_or((text, "1"));
    Some(over.parse::<f64>().ok()? / under.parse::<f64>().ok()?)
}
