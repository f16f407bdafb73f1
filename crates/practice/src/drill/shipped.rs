//! The drills that come with the program.

/// Name and text of every file in the folder `drills`, in the order of their names.
pub const SHIPPED: &[(&str, &str)] = &[
    ("bank-across.toml", include_str!("../../../../drills/bank-across.toml")),
    ("cut-lengthening.toml", include_str!("../../../../drills/cut-lengthening.toml")),
    ("cut-thinner.toml", include_str!("../../../../drills/cut-thinner.toml")),
    ("hide-behind-two-balls.toml", include_str!("../../../../drills/hide-behind-two-balls.toml")),
    ("lag-lengthening.toml", include_str!("../../../../drills/lag-lengthening.toml")),
    ("long-straight-pot.toml", include_str!("../../../../drills/long-straight-pot.toml")),
    ("rail-ball-lengthening.toml", include_str!("../../../../drills/rail-ball-lengthening.toml")),
    ("side-pocket-thinner.toml", include_str!("../../../../drills/side-pocket-thinner.toml")),
    ("spot-ball-lengthening.toml", include_str!("../../../../drills/spot-ball-lengthening.toml")),
    ("straight-draw-lengthening.toml", include_str!("../../../../drills/straight-draw-lengthening.toml")),
    ("straight-follow-lengthening.toml", include_str!("../../../../drills/straight-follow-lengthening.toml")),
    ("straight-stop-lengthening.toml", include_str!("../../../../drills/straight-stop-lengthening.toml")),
    ("zone-by-one-rail.toml", include_str!("../../../../drills/zone-by-one-rail.toml")),
];
