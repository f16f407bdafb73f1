//! What several screens show.

mod field;
mod lane;
mod odds;
mod rail;
mod sheet;
mod waiting;

pub(crate) use field::{Check, Field};
pub(crate) use lane::{Drawn, draw};
pub(crate) use odds::{Odds, Waves};
pub(crate) use rail::{Minutes, Navigation, RungSight, Rungs, class_of, offered};
pub(crate) use sheet::Sheet;
pub(crate) use waiting::Waiting;
