//! The chart of a ladder: modelled odds from rung to rung, and where they pass a target.

mod axes;
mod counted;
mod curve;
mod legend;

use longrail_math::Vec2;

use crate::frame::Style;
use crate::svg::Svg;
use crate::{root, text};
use axes::Axes;

/// Modelled odds of a rung.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RungOdds {
    /// The chance, 0 to 1.
    pub made: f64,
    /// Lower end of what it may be.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// What was counted on a rung.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Counted {
    /// The rung, counted from the first as 0; a fraction lies between two.
    pub rung: f64,
    /// Made.
    pub made: u32,
    /// Tried.
    pub tried: u32,
    /// Lower end of what the chance may be by this count alone, 0 to 1.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// What the chart of a ladder shows.
#[derive(Clone, Debug, PartialEq)]
pub struct LadderChart {
    /// The rungs from the first on; `None` where no hit makes it.
    pub rungs: Vec<Option<RungOdds>>,
    /// What was counted, if anything.
    pub counted: Vec<Counted>,
    /// The chance that is looked for, 0 to 1.
    pub target: f64,
    /// Where the odds pass it, counted from the first rung as 0, if they do.
    pub crossing: Option<f64>,
    /// What the band from `low` to `high` is.
    pub band: String,
    /// The picture's name, for whoever hears it.
    pub title: String,
    /// A sentence that says the picture's numbers.
    pub description: String,
    /// The sentence over the chart.
    pub reading: String,
    /// What stands under the chart, a paragraph each: what moves from rung to rung, and what the odds rest on.
    pub captions: Vec<String>,
}

/// Space round the chart, in pixels.
const MARGIN: f64 = 12.0;

/// The chart as SVG text, as wide as asked for; how the table lies does not matter.
pub fn ladder_svg(chart: &LadderChart, style: &Style) -> String {
    let width = if style.width_px.is_finite() { style.width_px.clamp(160.0, 8000.0) } else { 320.0 };
    let size = text::size_for(width);
    let line = text::LEADING * size;
    let reading_size = text::reading_size_for(width);
    let reading = text::height(&chart.reading, width - 2.0 * MARGIN, reading_size);
    let legend_top = MARGIN + reading + if reading > 0.0 { 8.0 } else { 0.0 };
    let legend = legend::of(chart);
    let rows = legend::rows(&legend, width - 2.0 * MARGIN, size);
    let legend_height = rows.last().map_or(0.0, |last| last.y) + line;
    let top = legend_top + legend_height + 14.0;
    let axes = Axes {
        left: MARGIN + text::width("100 %", size) + 6.0,
        right: width - MARGIN,
        top,
        bottom: top + (0.52 * width).clamp(170.0, 420.0),
        rungs: chart.rungs.len(),
        size,
    };
    let below = axes.bottom + 14.0 + 2.0 * line + 8.0;
    let room = width - 2.0 * MARGIN;
    let captions: f64 = chart.captions.iter().map(|words| text::height(words, room, size) + 4.0).sum();
    let mut svg = Svg::new();
    let extent = (width, below + captions + MARGIN);
    let title = if chart.title.is_empty() { "Odds along a ladder" } else { &chart.title };
    root::open(&mut svg, extent, style, false, title, &chart.description);
    root::ground(&mut svg, extent, style.theme.palette().room);
    let ink = style.theme.palette().ink;
    text::paragraph(&mut svg, &chart.reading, Vec2::new(MARGIN, MARGIN), room, reading_size, ink);
    legend::draw(&mut svg, &legend, &rows, (legend_top, size), style);
    axes::draw(&mut svg, chart, &axes, style);
    curve::draw_band(&mut svg, chart, &axes, style);
    curve::draw_curve(&mut svg, chart, &axes, style);
    curve::draw_rungs(&mut svg, chart, &axes, style);
    counted::draw(&mut svg, chart, &axes, style);
    curve::draw_crossing(&mut svg, chart, &axes, style);
    let mut y = below;
    for words in &chart.captions {
        y = text::paragraph(&mut svg, words, Vec2::new(MARGIN, y), room, size, style.theme.palette().ink2)
            + 4.0;
    }
    svg.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theme::Theme;

    fn chart(made: &[Option<f64>], crossing: Option<f64>) -> LadderChart {
        let rung = |made: f64| RungOdds { made, low: made - 0.02, high: made + 0.02 };
        LadderChart {
            rungs: made.iter().map(|made| made.map(rung)).collect(),
            counted: Vec::new(),
            target: 0.5,
            crossing,
            band: "80 %".to_owned(),
            title: String::new(),
            description: "a < b".to_owned(),
            reading: "Even at rung 2".to_owned(),
            captions: vec!["Each rung: ¼ & more".to_owned()],
        }
    }

    /// The numbers of an attribute of the first element that is such a part.
    fn numbers(text: &str, part: &str, name: &str) -> Vec<f64> {
        let line = text.lines().find(|line| line.contains(&format!("data-part=\"{part}\""))).expect("a part");
        let value = line.split(&format!("{name}=\"")).nth(1).and_then(|rest| rest.split('"').next());
        value.expect("an attribute").split([' ', ',']).filter_map(|word| word.parse().ok()).collect()
    }

    #[test]
    fn odds_halfway_lie_halfway_between_the_rungs_and_the_per_cents() {
        let text = ladder_svg(&chart(&[Some(1.0), Some(0.5), Some(0.0)], None), &Style::default());
        let curve = numbers(&text, "curve", "points");
        assert!((curve[2] - 0.5 * (curve[0] + curve[4])).abs() < 0.011, "{curve:?}");
        assert!((curve[3] - 0.5 * (curve[1] + curve[5])).abs() < 0.011, "{curve:?}");
        assert!((numbers(&text, "target", "y1")[0] - curve[3]).abs() < 0.011);
    }

    #[test]
    fn a_rung_without_a_hit_parts_the_curve() {
        let rungs = [Some(0.9), Some(0.7), None, Some(0.3), Some(0.2)];
        let text = ladder_svg(&chart(&rungs, None), &Style::default());
        assert_eq!(text.matches("data-part=\"curve\"").count(), 2);
        assert!(text.contains("no hit makes it"));
    }

    #[test]
    fn the_place_of_the_crossing_is_counted_from_one() {
        let text = ladder_svg(&chart(&[Some(0.9), Some(0.6), Some(0.4)], Some(1.5)), &Style::default());
        assert!(text.contains(">rung 2.5<"), "{text}");
    }

    #[test]
    fn a_count_stands_at_its_rate_on_its_rung_and_a_few_attempts_have_no_disc() {
        let count = |rung, made, tried| Counted { rung, made, tried, low: 0.4, high: 0.6 };
        let counted = vec![count(1.0, 5, 10), count(0.0, 1, 2), count(f64::NAN, 1, 2)];
        let chart = LadderChart { counted, ..chart(&[Some(1.0), Some(0.5), Some(0.0)], None) };
        let text = ladder_svg(&chart, &Style::default());
        let curve = numbers(&text, "curve", "points");
        // Behind that of the legend.
        let disc = text.lines().rfind(|line| line.contains("<circle")).expect("a disc");
        assert!(disc.contains(&format!("cx=\"{}\"", crate::svg::number(curve[2]))), "{disc}");
        assert!(disc.contains(&format!("cy=\"{}\"", crate::svg::number(curve[3]))), "{disc}");
        // One disc in the legend, one on the chart; a bar more than discs.
        assert_eq!((text.matches("<circle").count(), text.matches("data-part=\"counted\"").count()), (2, 3));
    }

    #[test]
    fn words_are_escaped_and_nonsense_is_drawn_all_the_same() {
        let rungs = [Some(f64::NAN), None, Some(7.0)];
        for theme in Theme::ALL {
            let text = ladder_svg(
                &chart(&rungs, Some(f64::NAN)),
                &Style { theme, width_px: f64::NAN, ..Style::default() },
            );
            assert!(text.contains("a &lt; b") && text.contains("&amp; more") && !text.contains("NaN"));
            assert!(text.ends_with("</svg>\n"));
        }
        let none = LadderChart { rungs: Vec::new(), ..chart(&[], None) };
        assert!(ladder_svg(&none, &Style::default()).ends_with("</svg>\n"));
    }
}
