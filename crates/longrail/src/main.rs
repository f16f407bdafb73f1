//! The command line of Longrail.

fn main() {}
