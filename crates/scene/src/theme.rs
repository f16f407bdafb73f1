//! The three themes as named colours: dark (a room with one lamp), light (daylight), paper (a photocopy).

#![allow(clippy::unreadable_literal, reason = "colours read best as style sheets write them")]

use crate::colour::Rgb;

/// Which set of colours a picture is drawn in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Theme {
    /// A dark room with a lamp over the bed.
    #[default]
    Dark,
    /// Daylight.
    Light,
    /// Black on white, to be read after a poor photocopy.
    Paper,
}

impl Theme {
    /// All three.
    pub const ALL: [Self; 3] = [Self::Dark, Self::Light, Self::Paper];

    /// The name in file names and on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::Dark => "dark",
            Self::Light => "light",
            Self::Paper => "paper",
        }
    }

    /// The colours of the theme.
    pub fn palette(self) -> &'static Palette {
        match self {
            Self::Dark => &DARK,
            Self::Light => &LIGHT,
            Self::Paper => &PAPER,
        }
    }
}

/// The named colours of a theme.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Palette {
    /// Background of a page.
    pub room: Rgb,
    /// Background of a control.
    pub wall: Rgb,
    /// Background of what is chosen.
    pub wall2: Rgb,
    /// Text, and everything counted.
    pub ink: Rgb,
    /// Text of less weight.
    pub ink2: Rgb,
    /// Hairlines, which carry no meaning.
    pub line: Rgb,
    /// Outline of controls.
    pub edge: Rgb,
    /// Where you stand.
    pub brass: Rgb,
    /// What a model computed.
    pub chalk: Rgb,
    /// Caution; always dashed as well.
    pub coral: Rgb,
    /// Ground of the main action.
    pub made: Rgb,
    /// Text on the main action.
    pub made_ink: Rgb,
    /// The bed under the lamp.
    pub cloth_lit: Rgb,
    /// The bed away from the lamp.
    pub cloth: Rgb,
    /// Rubber.
    pub cushion: Rgb,
    /// Top of the rail.
    pub wood: Rgb,
    /// Outer edge of the rail, and the rim of a pocket.
    pub wood_edge: Rgb,
    /// A sight on the rail.
    pub sight: Rgb,
    /// Inside of a pocket.
    pub hole: Rgb,
    /// Lines drawn on the cloth, and the outline of balls.
    pub mark: Rgb,
    /// Ring round a tag, and the casing of a coloured path.
    pub ring: Rgb,
    /// Opacity of the nose line.
    pub nose_opacity: f64,
    /// Opacity of the head string.
    pub string_opacity: f64,
    /// Opacity of the spots.
    pub spot_opacity: f64,
}

const DARK: Palette = Palette {
    room: Rgb::hex(0x0d1312),
    wall: Rgb::hex(0x161e1c),
    wall2: Rgb::hex(0x22302c),
    ink: Rgb::hex(0xf4efe4),
    ink2: Rgb::hex(0xbcc6c0),
    line: Rgb::hex(0x31403b),
    edge: Rgb::hex(0x7c8f88),
    brass: Rgb::hex(0xefbc62),
    chalk: Rgb::hex(0x98c6f3),
    coral: Rgb::hex(0xff9f82),
    made: Rgb::hex(0x2f736d),
    made_ink: Rgb::hex(0xfdf8ec),
    cloth_lit: Rgb::hex(0x265c59),
    cloth: Rgb::hex(0x1a4342),
    cushion: Rgb::hex(0x143635),
    wood: Rgb::hex(0x33261c),
    wood_edge: Rgb::hex(0x6b5440),
    sight: Rgb::hex(0xefe4c9),
    hole: Rgb::hex(0x050807),
    mark: Rgb::hex(0xf4efe4),
    ring: Rgb::hex(0x0d1312),
    nose_opacity: 0.55,
    string_opacity: 0.25,
    spot_opacity: 0.45,
};

const LIGHT: Palette = Palette {
    room: Rgb::hex(0xf1f5f3),
    wall: Rgb::hex(0xffffff),
    wall2: Rgb::hex(0xe2ebe7),
    ink: Rgb::hex(0x13201c),
    ink2: Rgb::hex(0x43514c),
    line: Rgb::hex(0xc6d1cc),
    edge: Rgb::hex(0x61706a),
    brass: Rgb::hex(0x7a5100),
    chalk: Rgb::hex(0x1b579a),
    coral: Rgb::hex(0xa01b58),
    made: Rgb::hex(0x1c5d58),
    made_ink: Rgb::hex(0xffffff),
    cloth_lit: Rgb::hex(0xcbe5e0),
    cloth: Rgb::hex(0xbcdad4),
    cushion: Rgb::hex(0x9cc4bd),
    wood: Rgb::hex(0x7d6551),
    wood_edge: Rgb::hex(0x54412f),
    sight: Rgb::hex(0xfffaf0),
    hole: Rgb::hex(0x1c211f),
    mark: Rgb::hex(0x13201c),
    ring: Rgb::hex(0x13201c),
    nose_opacity: 0.55,
    string_opacity: 0.25,
    spot_opacity: 0.45,
};

const BLACK: Rgb = Rgb::hex(0x000000);
const WHITE: Rgb = Rgb::hex(0xffffff);

/// No grey lighter than 40 % black but the rubber: a copier would drop it.
const PAPER: Palette = Palette {
    room: WHITE,
    wall: WHITE,
    wall2: WHITE,
    ink: BLACK,
    ink2: BLACK,
    line: Rgb::hex(0x808080),
    edge: BLACK,
    brass: BLACK,
    chalk: BLACK,
    coral: BLACK,
    made: BLACK,
    made_ink: WHITE,
    cloth_lit: WHITE,
    cloth: WHITE,
    cushion: Rgb::hex(0xe0e0e0),
    wood: WHITE,
    wood_edge: BLACK,
    sight: BLACK,
    hole: BLACK,
    mark: BLACK,
    ring: BLACK,
    nose_opacity: 1.0,
    string_opacity: 0.45,
    spot_opacity: 0.6,
};

#[cfg(test)]
mod tests {
    use super::*;

    /// Pair, then the ratio that the visual language states for dark and light, then what is needed.
    type Row = (&'static str, fn(&Palette) -> (Rgb, Rgb), f64, f64, f64);

    const TABLE: [Row; 18] = [
        ("ink on room", |p| (p.ink, p.room), 16.3, 15.2, 4.5),
        ("ink on wall", |p| (p.ink, p.wall), 14.8, 16.7, 4.5),
        ("ink on wall2", |p| (p.ink, p.wall2), 11.9, 13.8, 4.5),
        ("ink2 on room", |p| (p.ink2, p.room), 10.7, 7.5, 4.5),
        ("ink2 on wall", |p| (p.ink2, p.wall), 9.6, 8.3, 4.5),
        ("brass on room", |p| (p.brass, p.room), 10.7, 6.3, 4.5),
        ("chalk on room", |p| (p.chalk, p.room), 10.4, 6.6, 4.5),
        ("coral on room", |p| (p.coral, p.room), 9.4, 6.8, 4.5),
        ("madeink on made", |p| (p.made_ink, p.made), 5.2, 7.6, 4.5),
        ("mark on clothlit", |p| (p.mark, p.cloth_lit), 6.6, 12.6, 4.5),
        ("mark on cloth", |p| (p.mark, p.cloth), 9.5, 11.2, 4.5),
        ("edge on room", |p| (p.edge, p.room), 5.4, 4.7, 3.0),
        ("edge on wall", |p| (p.edge, p.wall), 4.9, 5.2, 3.0),
        ("made on room", |p| (p.made, p.room), 3.3, 6.9, 3.0),
        ("chalk on clothlit", |p| (p.chalk, p.cloth_lit), 4.2, 5.5, 3.0),
        ("brass on cloth", |p| (p.brass, p.cloth), 6.2, 4.6, 3.0),
        ("coral on cloth", |p| (p.coral, p.cloth), 5.4, 5.0, 3.0),
        ("sight on wood", |p| (p.sight, p.wood), 11.5, 5.2, 3.0),
    ];

    #[test]
    fn every_contrast_is_the_one_stated_and_is_enough() {
        for (pair, colours, dark, light, needed) in TABLE {
            for (theme, stated) in [(Theme::Dark, dark), (Theme::Light, light)] {
                let (front, ground) = colours(theme.palette());
                let ratio = front.contrast(ground);
                // The language rounds down, so that it never claims more than there is.
                assert!((-0.001..0.1).contains(&(ratio - stated)), "{pair}, {}: {ratio:.2}", theme.name());
                assert!(ratio >= needed, "{pair}, {}: {ratio:.2} is too little", theme.name());
            }
            let (front, ground) = colours(Theme::Paper.palette());
            assert!(front.contrast(ground) >= needed, "{pair} on paper");
        }
    }

    #[test]
    fn paper_has_no_colour_and_no_pale_grey_but_the_rubber() {
        let p = Theme::Paper.palette();
        let all = [p.room, p.ink, p.line, p.brass, p.chalk, p.coral, p.cloth, p.cushion, p.wood, p.mark];
        for colour in all {
            assert!(colour.0 == colour.1 && colour.1 == colour.2, "{colour} is not a grey");
            let pale = colour.0 > 0x99 && colour.0 < 0xff;
            assert!(!pale || colour == p.cushion, "{colour} would be lost by a copier");
        }
        for opacity in [p.nose_opacity, p.string_opacity, p.spot_opacity] {
            assert!(opacity >= 0.4);
        }
    }
}
