//! The picture of docs/golf.md: `cargo run -p longrail-stats --example golf > docs/golf.svg`.
//!
//! Putts of professionals as counted, and the curves fitted to them. Marks as everywhere: what is counted is a filled
//! disc, with a bar where its interval can be seen; what is modelled is dashed.
#![allow(clippy::print_stdout, reason = "an example prints")]

#[path = "../tests/common/mod.rs"]
mod common;
#[path = "../tests/common/putts.rs"]
mod putts;

use longrail_math::fx;
use longrail_stats::rate::jeffreys;
use longrail_stats::{Count, Level};
use putts::{Putts, angle, angle_fit, binomial_fit, both, rate_fit};
use std::fmt::Write;

const GROUND: &str = "#f1f5f3";
const INK: &str = "#13201c";
const INK2: &str = "#43514c";
const HAIR: &str = "#c6d1cc";
const CHALK: &str = "#1b579a";
const CORAL: &str = "#a01b58";

/// A rectangle of the picture with its scales.
struct Panel {
    left: f64,
    top: f64,
    width: f64,
    height: f64,
    /// Feet at the right end; the left end is 0.
    feet: f64,
    /// Values at the lower and the upper end.
    low: f64,
    high: f64,
}

impl Panel {
    fn x(&self, feet: f64) -> f64 {
        self.left + self.width * feet / self.feet
    }

    fn y(&self, value: f64) -> f64 {
        self.top + self.height * (self.high - value) / (self.high - self.low)
    }

    /// Title, scales with hairlines; `every` is in feet, `step` in the units of the upright scale.
    fn frame(&self, svg: &mut String, title: &str, every: f64, step: f64, value: impl Fn(f64) -> String) {
        text(svg, (self.left, self.top - 20.0), "start", INK, 700, title);
        for k in count(self.low / step)..=count(self.high / step) {
            let at = f64::from(k) * step;
            let (y, right) = (self.y(at), self.left + self.width);
            line(svg, (self.left, y), (right, y), HAIR);
            text(svg, (self.left - 8.0, y + 5.0), "end", INK2, 400, &value(at));
        }
        for k in 0..=count(self.feet / every) {
            let feet = f64::from(k) * every;
            let (x, bottom) = (self.x(feet), self.top + self.height);
            line(svg, (x, bottom), (x, bottom + 5.0), INK2);
            text(svg, (x, bottom + 22.0), "middle", INK2, 400, &feet.to_string());
        }
        let middle = self.left + 0.5 * self.width;
        text(svg, (middle, self.top + self.height + 44.0), "middle", INK2, 400, "feet from the hole");
    }

    /// A modelled curve from `from` to the right end.
    fn curve(&self, svg: &mut String, colour: &str, from: f64, value: impl Fn(f64) -> f64) {
        let points: Vec<String> = (0..=200)
            .map(|k| {
                let feet = from + (self.feet - from) * f64::from(k) / 200.0;
                format!("{:.1},{:.1}", self.x(feet), self.y(value(feet)))
            })
            .collect();
        // Writing to a string cannot fail; so everywhere here.
        let _ = writeln!(
            svg,
            r#"<polyline points="{}" fill="none" stroke="{colour}" stroke-width="2.2" stroke-dasharray="9 4"/>"#,
            points.join(" ")
        );
    }

    /// A counted rate: a disc, and its interval as a bar with end ticks.
    fn counted(&self, svg: &mut String, feet: f64, count: Count) {
        let Some(rate) = count.rate() else { return };
        let (x, range) = (self.x(feet), jeffreys(count, Level::P80));
        let (low, high) = (self.y(range.low), self.y(range.high));
        line(svg, (x, low), (x, high), INK);
        line(svg, (x - 4.0, low), (x + 4.0, low), INK);
        line(svg, (x - 4.0, high), (x + 4.0, high), INK);
        dot(svg, (x, self.y(rate)), INK);
    }
}

/// A whole number that a scale of this picture needs; all are small.
#[allow(clippy::cast_possible_truncation)]
fn count(value: f64) -> i32 {
    value.round() as i32
}

fn text(svg: &mut String, at: (f64, f64), anchor: &str, colour: &str, weight: u32, words: &str) {
    let _ = writeln!(
        svg,
        r#"<text x="{:.1}" y="{:.1}" text-anchor="{anchor}" fill="{colour}" font-weight="{weight}">{words}</text>"#,
        at.0, at.1
    );
}

fn line(svg: &mut String, from: (f64, f64), to: (f64, f64), colour: &str) {
    let _ = writeln!(
        svg,
        r#"<line x1="{:.1}" y1="{:.1}" x2="{:.1}" y2="{:.1}" stroke="{colour}"/>"#,
        from.0, from.1, to.0, to.1
    );
}

fn dot(svg: &mut String, at: (f64, f64), colour: &str) {
    let _ = writeln!(svg, r#"<circle cx="{:.1}" cy="{:.1}" r="4" fill="{colour}"/>"#, at.0, at.1);
}

fn main() {
    let (early, late) = (putts::putts("golf_putting_1996.csv"), putts::putts("golf_putting_2018.csv"));
    let sigma = fx::exp(angle_fit(&early).values[0]);
    let [rate, plain] = [rate_fit(&late), binomial_fit(&late, [0.02, 0.1])]
        .map(|fit| (fx::exp(fit.values[0]), fx::exp(fit.values[1])));

    let mut svg = String::new();
    let _ = writeln!(
        svg,
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 960 830" font-size="16" font-family="'Atkinson Hyperlegible Next', system-ui, 'Segoe UI', Roboto, 'Noto Sans', sans-serif">
<title>Putts of professionals: counted and modelled</title>
<desc>Share of putts holed by distance. 1996: a spread of angle of {:.2} degrees alone follows the counts up to 20 feet. 2018: {:.2} degrees with a relative error of length of {:.3} follows them up to 75 feet; the plain binomial fit, {:.2} degrees and {:.3}, misses the middle by up to {:.1} points.</desc>
<rect width="960" height="830" fill="{GROUND}"/>"#,
        sigma.to_degrees(),
        rate.0.to_degrees(),
        rate.1,
        plain.0.to_degrees(),
        plain.1,
        100.0 * late.iter().map(|&(x, c)| off(x, c, plain).abs()).fold(0.0, f64::max)
    );
    let legend = "disc: counted, with its 80 % interval where it can be seen; dashed: modelled";
    text(&mut svg, (930.0, 816.0), "end", INK2, 400, legend);
    shares(&mut svg, &early, &late, sigma, rate, plain);
    differences(&mut svg, &late, rate, plain);
    println!("{svg}</svg>");
}

/// Fitted less counted.
fn off(feet: f64, count: Count, (sigma_rad, sigma): (f64, f64)) -> f64 {
    both(feet, sigma_rad, sigma) - count.rate().unwrap_or(f64::NAN)
}

/// The two panels of shares.
fn shares(svg: &mut String, early: &Putts, late: &Putts, sigma: f64, rate: (f64, f64), plain: (f64, f64)) {
    let panel =
        |left, feet| Panel { left, top: 66.0, width: 380.0, height: 330.0, feet, low: 0.0, high: 1.0 };
    let share = |value: f64| format!("{:.0} %", 100.0 * value);
    let first = panel(70.0, 20.0);
    first.frame(svg, "Holed, 1996", 5.0, 0.25, share);
    first.curve(svg, CHALK, 0.2, |x| angle(x, sigma));
    for &(feet, count) in early {
        first.counted(svg, feet, count);
    }
    let name = format!("angle {:.2}° alone", sigma.to_degrees());
    text(svg, (first.x(7.2), first.y(0.62)), "start", CHALK, 700, &name);

    let second = panel(550.0, 80.0);
    second.frame(svg, "Holed, 2018", 20.0, 0.25, share);
    second.curve(svg, CORAL, 0.2, |x| both(x, plain.0, plain.1));
    second.curve(svg, CHALK, 0.2, |x| both(x, rate.0, rate.1));
    for &(feet, count) in late {
        second.counted(svg, feet, count);
    }
    let name = |(angle, length): (f64, f64)| format!("angle {:.2}°, length {length:.3}", angle.to_degrees());
    text(svg, (second.x(17.0), second.y(0.72)), "start", CHALK, 700, &name(rate));
    text(svg, (second.x(17.0), second.y(0.65)), "start", INK2, 400, "with an unexplained error");
    text(svg, (second.x(17.0), second.y(0.46)), "start", CORAL, 700, &name(plain));
    text(svg, (second.x(17.0), second.y(0.39)), "start", INK2, 400, "plain binomial");
}

/// The panel of differences, where the two fits of 2018 part.
fn differences(svg: &mut String, late: &Putts, rate: (f64, f64), plain: (f64, f64)) {
    let panel =
        Panel { left: 70.0, top: 510.0, width: 860.0, height: 240.0, feet: 80.0, low: -4.0, high: 4.0 };
    panel.frame(svg, "Fitted less counted, 2018, in points", 10.0, 2.0, |v| {
        if v == 0.0 { "0".to_owned() } else { format!("{v:+.0}") }
    });
    let zero = panel.y(0.0);
    line(svg, (panel.left, zero), (panel.left + panel.width, zero), INK);
    text(svg, (panel.x(22.0), panel.y(-3.2)), "start", CORAL, 700, "plain binomial");
    text(svg, (panel.x(21.0), panel.y(0.55)), "start", CHALK, 700, "with an unexplained error");
    for (fit, colour) in [(plain, CORAL), (rate, CHALK)] {
        let at = |&(x, c): &(f64, Count)| (panel.x(x), panel.y(100.0 * off(x, c, fit)));
        let places: Vec<(f64, f64)> = late.iter().map(at).collect();
        let points: Vec<String> = places.iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect();
        let _ = writeln!(
            svg,
            r#"<polyline points="{}" fill="none" stroke="{colour}" stroke-width="2.2" stroke-dasharray="9 4"/>"#,
            points.join(" ")
        );
        // A diamond: a modelled value.
        for (x, y) in places {
            let _ = writeln!(
                svg,
                r#"<path d="M{:.1} {y:.1}L{x:.1} {:.1}L{:.1} {y:.1}L{x:.1} {:.1}Z" fill="{colour}"/>"#,
                x - 5.0,
                y - 5.0,
                x + 5.0,
                y + 5.0
            );
        }
    }
}
