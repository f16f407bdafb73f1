//! A stroke inferred from attempts.
//!
//! 1. For each rung, the chance of every outcome is a function of the errors of aim and speed, once the tip's are averaged
//!    over: a [`Surface`]. It is worked out once, with some thousands of shots, and then answers for any spread; [`key()`]
//!    names it for whoever stores it.
//! 2. The spread σ of aim, its bias μ, the spread of speed and the lapse λ have a grid of possible values with prior
//!    weights; each attempt multiplies the weights by its chance: a [`Posterior`]. The grid follows the weights, so that its
//!    steps stay a third of what is uncertain.
//! 3. Between sessions ln σ drifts; on another table, or in another family of shots, it is off by an [`Offset`].
//! 4. A newcomer is placed by a few blocks of attempts where they tell most: [`placement`].
//!
//! Method, prior and their operating characteristics: the study of progression, 3.1 to 3.4 and 4.1. Without the side of the
//! misses σ and |μ| cannot be told apart; what is inferred then is an *effective spread*, and no bias is claimed.

mod axis;
mod cells;
mod key;
mod likely;
mod offset;
mod outcome;
pub mod placement;
mod posterior;
mod prior;
mod response;
mod state;
mod surface;
mod surface_text;

pub use axis::Parameter;
pub use key::{key, row_key};
pub use offset::{Offset, TABLE_SD};
pub use outcome::{Chances, Seen, Tally};
pub use posterior::{Inferred, Posterior};
pub use prior::{LAPSES, Prior};
pub use surface::Surface;
