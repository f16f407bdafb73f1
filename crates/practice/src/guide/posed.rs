//! A drill on a table, at one corner.

use longrail_math::order;
use longrail_physics::ball::CUE;
use longrail_physics::{Ball, World};

use super::GuideError;
use crate::card::Card;
use crate::constraints::Constraints;
use crate::drill::{Drill, Rung, RungNumber, Setup};
use crate::event::Task;
use crate::id::EventId;
use crate::measure::{FromRails, from_rails};

/// A drill on a table, at one corner.
#[derive(Clone, Debug)]
pub struct Posed {
    /// The drill.
    pub drill: Drill,
    /// The corner.
    pub setup: Setup,
    /// What the card is called.
    pub card_id: EventId,
    /// The card.
    pub card: Card,
    /// The table as physics takes it.
    pub world: World,
}

impl Posed {
    /// Puts the drill on the table.
    ///
    /// # Errors
    /// What is wrong with the card.
    pub fn new(drill: Drill, setup: Setup, (card_id, card): (EventId, Card)) -> Result<Self, GuideError> {
        let world = card.world()?;
        Ok(Self { drill, setup, card_id, card, world })
    }

    /// A rung, ready to be set up.
    ///
    /// # Errors
    /// If the ladder has no such rung, or it cannot lie on this table.
    pub fn rung(&self, number: RungNumber) -> Result<Rung, GuideError> {
        Ok(self.drill.rung(&self.world, self.card.cue_ball(), self.setup, number.value())?)
    }

    /// Its task at a rung, under constraints.
    pub fn task(&self, rung: RungNumber, constraints: &Constraints) -> Task {
        Task {
            drill: self.drill.id.clone(),
            drill_version: self.drill.version,
            rung,
            setup: self.setup,
            constraints: constraints.to_string(),
            card: self.card_id,
        }
    }

    /// The balls of a rung, and where they lie: the cue ball, those of the drill, those in the way.
    pub fn places(&self, rung: &Rung) -> Vec<(String, FromRails)> {
        let spec = self.world.table().spec();
        let mut balls: Vec<&Ball> = rung.layout.balls().iter().collect();
        let place = |ball: &Ball| (ball.id != CUE, !self.drill.balls.contains_key(&ball.id));
        order::sort_by(&mut balls, |a, b| place(a).cmp(&place(b)).then_with(|| a.id.cmp(&b.id)));
        balls.into_iter().map(|ball| (ball.id.clone(), from_rails(spec, ball))).collect()
    }
}
