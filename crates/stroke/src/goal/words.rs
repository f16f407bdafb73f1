//! A goal as a line of English.

use std::fmt;

use longrail_physics::ball::CUE;
use longrail_physics::table::{PocketId, Rail};

use super::{Goal, Wish, Zone};

impl fmt::Display for Goal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, wish) in self.wishes.iter().enumerate() {
            if i > 0 {
                write!(f, "; ")?;
            }
            write!(f, "{wish}")?;
        }
        if self.scratch_counts {
            write!(f, "; a scratch is no failure")?;
        }
        if self.others_may_drop {
            write!(f, "; other balls may drop")?;
        }
        Ok(())
    }
}

impl fmt::Display for Wish {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Pot { ball, pocket, banks, clean } => {
                write!(f, "pot the {ball} in ")?;
                match pocket {
                    Some(pocket) => write!(f, "{}", place(*pocket))?,
                    None => write!(f, "any pocket")?,
                }
                match banks {
                    0 => {}
                    1 => write!(f, " off one rail")?,
                    more => write!(f, " off {more} rails")?,
                }
                if *clean { write!(f, " without touching the jaws") } else { Ok(()) }
            }
            Self::First { ball } => write!(f, "hit the {ball} first"),
            Self::Full { ball, within } => {
                write!(f, "hit the {ball} full, within {:.0} % of a miss", within * 100.0)
            }
            Self::Touch { rail } => write!(f, "the cue ball touches the {} rail", rail.name()),
            Self::Rails { at_least, at_most } => match at_most {
                Some(most) if most == at_least => write!(f, "the cue ball touches exactly {}", rails(*most)),
                Some(most) if *at_least == 0 => write!(f, "the cue ball touches at most {}", rails(*most)),
                Some(most) => write!(f, "the cue ball touches {at_least} to {}", rails(*most)),
                None => write!(f, "the cue ball touches at least {}", rails(*at_least)),
            },
            Self::AvoidBall { ball } => write!(f, "the cue ball does not touch the {ball}"),
            Self::AvoidRail { rail } => write!(f, "the cue ball does not touch the {} rail", rail.name()),
            Self::Pass { zone } => write!(f, "the cue ball passes {zone}"),
            Self::Stop { zone } => write!(f, "the cue ball stops {zone}"),
            Self::StopNear { ball, diamonds } => {
                write!(f, "the cue ball stops within {} of the {ball}", length(*diamonds))
            }
            Self::Lag { ball, rail, diamonds } => {
                let who = if ball == CUE { "the cue ball".to_owned() } else { format!("the {ball}") };
                write!(f, "{who} stops within {} of the {} rail", length(*diamonds), rail.name())
            }
            Self::Hide { ball } => write!(f, "the {ball} is hidden from the cue ball at the end"),
            Self::Break { at_least: 1 } => write!(f, "a ball drops"),
            Self::Break { at_least } => write!(f, "at least {at_least} balls drop"),
        }
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Circle { along, across, radius } => {
                write!(f, "within {} of the point {}", length(*radius), from_rails(*along, *across))
            }
            Self::Polygon { corners } => {
                write!(f, "in the zone with the corners")?;
                for (i, [along, across]) in corners.iter().enumerate() {
                    write!(f, "{} {}/{}", if i > 0 { "," } else { "" }, rounded(*along), rounded(*across))?;
                }
                write!(f, " (from the head rail/from the right rail)")
            }
        }
    }
}

fn place(pocket: PocketId) -> &'static str {
    match pocket {
        PocketId::HeadLeft => "the left head corner",
        PocketId::HeadRight => "the right head corner",
        PocketId::SideLeft => "the left side pocket",
        PocketId::SideRight => "the right side pocket",
        PocketId::FootLeft => "the left foot corner",
        PocketId::FootRight => "the right foot corner",
    }
}

fn rails(count: u32) -> String {
    if count == 1 { "1 rail".to_owned() } else { format!("{count} rails") }
}

/// To thousandths of a diamond, a third of a millimetre: what a mirrored place leaves of the number that was meant.
fn rounded(diamonds: f64) -> f64 {
    (1e3 * diamonds).round() / 1e3
}

/// A length in diamonds: quarters as fractions, anything else with two decimals.
///
/// ```
/// use longrail_stroke::goal::diamonds;
/// assert_eq!([diamonds(3.25), diamonds(0.5), diamonds(2.0), diamonds(1.3)], ["3¼", "½", "2", "1.30"]);
/// ```
pub fn diamonds(length: f64) -> String {
    let whole = length.floor();
    let fraction = match length - whole {
        part if part.abs() < 1e-9 => "",
        part if (part - 0.25).abs() < 1e-9 => "¼",
        part if (part - 0.5).abs() < 1e-9 => "½",
        part if (part - 0.75).abs() < 1e-9 => "¾",
        _ => return format!("{length:.2}"),
    };
    if whole == 0.0 && !fraction.is_empty() { fraction.to_owned() } else { format!("{whole}{fraction}") }
}

/// A point in diamonds, told from the rails that are nearest, as the balls to set up are: "2 from the head, 1¾ from the left
/// rail".
pub(crate) fn from_rails(along: f64, across: f64) -> String {
    let (along, across) = (rounded(along), rounded(across));
    let (short, rail) = if along > 4.0 { (8.0 - along, Rail::Foot) } else { (along, Rail::Head) };
    let (long, side) = if across > 2.0 { (4.0 - across, Rail::Left) } else { (across, Rail::Right) };
    format!(
        "{} from the {}, {} from the {} rail",
        diamonds(rounded(short)),
        rail.name(),
        diamonds(rounded(long)),
        side.name()
    )
}

fn length(diamonds: f64) -> String {
    if diamonds == 1.0 { "1 diamond".to_owned() } else { format!("{diamonds} diamonds") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_is_told_from_the_nearest_rails() {
        assert_eq!(from_rails(7.15, 3.25), "0.85 from the foot, ¾ from the left rail");
        assert_eq!(from_rails(4.0, 2.0), "4 from the head, 2 from the right rail");
    }

    #[test]
    fn a_goal_reads_as_a_line() {
        let goal = Goal::pot("1", PocketId::FootLeft)
            .and(Wish::Stop { zone: Zone::Circle { along: 2.0, across: 2.0, radius: 1.0 } });
        assert_eq!(
            goal.to_string(),
            "pot the 1 in the left foot corner; the cue ball stops within 1 diamond of the point 2 from the head, 2 from the right \
             rail"
        );
    }
}
