//! A picture read back from its text.

use longrail_math::Vec2;
use roxmltree::{Document, Node};

/// Numbers have two decimals, so a coordinate is right to half of the last and a difference to all of it.
pub(crate) const HUNDREDTH: f64 = 0.010_001;

pub(crate) fn parts<'a, 'i>(
    document: &'a Document<'i>,
    part: &'a str,
) -> impl Iterator<Item = Node<'a, 'i>> + 'a {
    document.descendants().filter(move |node| node.attribute("data-part") == Some(part))
}

pub(crate) fn read(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap_or_else(|| panic!("no {name} in {node:?}")).parse().unwrap()
}

pub(crate) fn centre(node: Node<'_, '_>) -> Vec2 {
    Vec2::new(read(node, "cx"), read(node, "cy"))
}

/// Centre and radius of every tag.
pub(crate) fn tags(document: &Document<'_>) -> Vec<(Vec2, f64)> {
    parts(document, "tag")
        .map(|tag| tag.first_element_child().unwrap())
        .map(|c| (centre(c), read(c, "r")))
        .collect()
}

/// Centre and radius of every ball before the shot.
pub(crate) fn balls(document: &Document<'_>) -> Vec<(Vec2, f64)> {
    parts(document, "ball")
        .filter(|ball| ball.parent().unwrap().attribute("data-ball").is_some())
        .map(|ball| (centre(ball), read(ball, "r")))
        .collect()
}
