//! The picture of a shot: a table, balls, their courses and what happened on the way.

use longrail_math::{Vec2, order};
use longrail_physics::table::Table;

use crate::balls::{Look, disc, label};
use crate::describe::describe;
use crate::dimensions::{self, Dimension};
use crate::frame::{Frame, Style};
use crate::marks::{self, Mark};
use crate::paths::{CLEARANCE, Pen, visible_segments};
use crate::placement::{Obstacles, Wanted};
use crate::svg::{Attributes, Svg};
use crate::tags::{self, Name};
use crate::tracks::{Track, open_gaps};
use crate::{figures, goal, root, table};

/// What a picture of a shot shows. Lengths are metres in the frame of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct ShotPicture<'a> {
    /// The table.
    pub table: &'a Table,
    /// The balls before the shot.
    pub balls: Vec<PictureBall>,
    /// The courses of those that move, in the order in which they begin to: the first of an object ball is
    /// dashed, the second dash-dotted, later ones dotted.
    pub paths: Vec<PicturePath>,
    /// What else is shown.
    pub marks: Vec<Mark>,
    /// The picture's name, for whoever hears it.
    pub title: String,
    /// A sentence that says the picture's numbers; [`describe`] makes one where this is empty.
    pub description: String,
}

impl<'a> ShotPicture<'a> {
    /// A picture of the table and nothing on it.
    pub fn of(table: &'a Table) -> Self {
        Self {
            table,
            balls: Vec::new(),
            paths: Vec::new(),
            marks: Vec::new(),
            title: String::new(),
            description: String::new(),
        }
    }
}

/// A ball before and after the shot.
#[derive(Clone, Debug, PartialEq)]
pub struct PictureBall {
    /// `cue`, `1` to `15`, or any other name.
    pub id: String,
    /// Its radius.
    pub radius_m: f64,
    /// Its centre before the shot.
    pub start: Vec2,
    /// Its centre when all is at rest; `None` if it was pocketed or left the table.
    pub rest: Option<Vec2>,
}

impl PictureBall {
    /// A ball that stays where it is.
    pub fn resting(id: &str, radius_m: f64, at: Vec2) -> Self {
        Self { id: id.to_owned(), radius_m, start: at, rest: Some(at) }
    }
}

/// The course of one ball.
#[derive(Clone, Debug, PartialEq)]
pub struct PicturePath {
    /// Index among the balls of the picture.
    pub ball: usize,
    /// From event to event; each leg begins where the one before it ends.
    pub legs: Vec<PathLeg>,
}

/// A part of a course between two events.
#[derive(Clone, Debug, PartialEq)]
pub struct PathLeg {
    /// Centres of the ball, one after the other; two for a straight leg.
    pub points: Vec<Vec2>,
    /// Whether the ball is off the bed.
    pub flying: bool,
}

/// A ball in picture units.
struct Placed<'a> {
    ball: &'a PictureBall,
    look: Look,
    at: Vec2,
    radius: f64,
}

/// A course with the pen that draws it.
struct Course {
    ball: usize,
    pen: Pen,
    track: Track,
}

/// The picture as SVG text.
pub fn shot_svg(picture: &ShotPicture<'_>, style: &Style) -> String {
    let frame = Frame::new(picture.table, style);
    let placed: Vec<Option<Placed<'_>>> = picture.balls.iter().map(|ball| in_picture(ball, &frame)).collect();
    let courses = courses(picture, &placed, &frame, style);

    let mut svg = Svg::new();
    let title =
        if picture.title.is_empty() { "Table seen from above, true to scale" } else { &picture.title };
    let sentence =
        if picture.description.is_empty() { describe(picture) } else { picture.description.clone() };
    root::open(&mut svg, frame.size(), style, true, title, &sentence);
    table::draw(&mut svg, picture.table, &frame, style.theme, |svg| {
        goal::draw_pockets(svg, &picture.marks, picture.table, &frame, style.theme);
    });
    goal::draw(&mut svg, &picture.marks, picture.table, &frame, style.theme);
    let mut obstacles = obstacles(picture, &placed, &courses, &frame);
    let measured = dimensions::lay(&picture.marks, &obstacles, picture.table, &frame);
    dimensions::draw_lines(&mut svg, &measured, &frame, style.theme);
    // Where two courses run along each other, the dashes of the object ball lie on the cue ball's line.
    for course in courses.iter().filter(|course| is_cue(&placed, course)) {
        draw_course(&mut svg, picture, course);
    }
    for course in courses.iter().rev().filter(|course| !is_cue(&placed, course)) {
        draw_course(&mut svg, picture, course);
    }
    // Marks name balls by their index, whether or not their start can be drawn.
    let names: Vec<Name> = picture.balls.iter().map(|ball| name_of(ball, None, &frame)).collect();
    let radii: Vec<f64> = names.iter().map(|name| name.wanted.radius).collect();
    draw_rests(&mut svg, &placed, &frame, style);
    marks::draw(&mut svg, &picture.marks, &radii, picture.table, &frame, style.theme);
    marks::draw_pocketed(&mut svg, &picture.marks, &names, picture.table, &frame, style.theme);
    for ball in placed.iter().flatten() {
        let group = Attributes::new().text("data-ball", &ball.ball.id);
        svg.open("g", &group);
        disc(&mut svg, &frame, style.theme, ball.look, ball.at, ball.radius);
        svg.close();
    }
    // Figures have less choice than tags, so they come first.
    obstacles.figures = figures::place(&measured, &obstacles, dimensions::figure_size(&frame));
    obstacles.paths.extend(measured.iter().map(Dimension::segments));
    let mut obstacles = draw_names(&mut svg, &placed, obstacles, !measured.is_empty(), &frame, style);
    dimensions::draw_figures(&mut svg, &measured, &obstacles.figures, &frame, style.theme);
    let discs = obstacles.figures.iter().map(|figure| (figure.centre, figure.half.norm()));
    obstacles.discs.extend(discs);
    // Last, because an arrow can move along its line to keep clear of a tag, but a tag has less choice.
    for course in &courses {
        course.pen.draw_arrows(&mut svg, &course.track, &obstacles.discs, style.theme.palette().cloth_lit);
    }
    svg.finish()
}

/// A radius that can be drawn, in metres.
fn radius_of(ball: &PictureBall) -> f64 {
    if ball.radius_m.is_finite() { ball.radius_m.clamp(0.001, 0.1) } else { 0.001 }
}

/// The ball in picture units, unless nobody knows where it is.
fn in_picture<'a>(ball: &'a PictureBall, frame: &Frame) -> Option<Placed<'a>> {
    ball.start.is_finite().then(|| Placed {
        ball,
        look: Look::of(&ball.id),
        at: frame.to_picture(ball.start),
        radius: radius_of(ball) * frame.scale(),
    })
}

fn name_of(ball: &PictureBall, disc: Option<usize>, frame: &Frame) -> Name {
    let wanted = Wanted { disc, at: frame.to_picture(ball.start), radius: radius_of(ball) * frame.scale() };
    Name { id: ball.id.clone(), label: label(&ball.id), look: Look::of(&ball.id), wanted }
}

fn is_cue(placed: &[Option<Placed<'_>>], course: &Course) -> bool {
    placed[course.ball].as_ref().is_some_and(|ball| ball.look == Look::Cue)
}

/// The courses, the uppermost first: the cue ball's, then the object balls' in their order.
fn courses(
    picture: &ShotPicture<'_>,
    placed: &[Option<Placed<'_>>],
    frame: &Frame,
    style: &Style,
) -> Vec<Course> {
    let mut courses = Vec::new();
    let mut order = 0;
    for path in &picture.paths {
        let Some(Some(ball)) = placed.get(path.ball) else { continue };
        let mut track = Track::new(path, frame);
        let rest = ball.ball.rest.filter(|rest| rest.is_finite()).map(|rest| frame.to_picture(rest));
        if let (Some(rest), Some(end)) = (rest, track.end())
            && (rest - end).norm() < ball.radius
        {
            // The circle of rest stays open.
            track.shorten(ball.radius);
        }
        let rank = (ball.look != Look::Cue).then_some(order);
        order += usize::from(rank.is_some());
        let pen = Pen::new(rank, ball.look, style.theme, frame);
        courses.push((rank, Course { ball: path.ball, pen, track }));
    }
    // `None`, the cue ball, sorts first.
    order::sort_by(&mut courses, |a, b| a.0.cmp(&b.0));
    let widths: Vec<f64> = courses.iter().map(|(_, course)| course.pen.width).collect();
    let (mut tracks, rest): (Vec<Track>, Vec<(usize, Pen)>) =
        courses.into_iter().map(|(_, course)| (course.track, (course.ball, course.pen))).unzip();
    open_gaps(&mut tracks, &widths, CLEARANCE * frame.weight());
    tracks.into_iter().zip(rest).map(|(track, (ball, pen))| Course { ball, pen, track }).collect()
}

fn draw_course(svg: &mut Svg, picture: &ShotPicture<'_>, course: &Course) {
    let id = picture.balls.get(course.ball).map_or("", |ball| &ball.id);
    course.pen.draw(svg, &course.track, id);
}

/// Where a ball comes to rest, in picture units, if it is elsewhere than it started.
fn rest_of(ball: &Placed<'_>, frame: &Frame) -> Option<Vec2> {
    let rest = ball.ball.rest.filter(|rest| rest.is_finite())?;
    ((rest - ball.ball.start).norm() > 0.0005).then(|| frame.to_picture(rest))
}

fn draw_rests(svg: &mut Svg, placed: &[Option<Placed<'_>>], frame: &Frame, style: &Style) {
    for ball in placed.iter().flatten() {
        let Some(at) = rest_of(ball, frame) else { continue };
        let rank = (ball.look != Look::Cue).then_some(0);
        let pen = Pen::new(rank, ball.look, style.theme, frame);
        marks::draw_rest(svg, at, ball.radius, pen.colour, pen.casing(), frame);
    }
}

fn obstacles(
    picture: &ShotPicture<'_>,
    placed: &[Option<Placed<'_>>],
    courses: &[Course],
    frame: &Frame,
) -> Obstacles {
    let mut circles: Vec<(Vec2, f64)> = Vec::new();
    for ball in placed.iter().flatten() {
        circles.extend(rest_of(ball, frame).map(|at| (at, ball.radius)));
    }
    for mark in &picture.marks {
        if let Mark::Ghost { at, radius_m } = mark
            && at.is_finite()
        {
            circles.push((frame.to_picture(*at), radius_m * frame.scale()));
        }
    }
    Obstacles {
        discs: placed.iter().flatten().map(|ball| (ball.at, ball.radius)).collect(),
        circles,
        paths: courses.iter().map(|course| visible_segments(&course.track)).collect(),
        figures: Vec::new(),
        bed: frame.surface(0.0),
    }
}

/// Names the balls, the cue ball too where it is to be `set_up` like the others; what was drawn is added to the obstacles.
fn draw_names(
    svg: &mut Svg,
    placed: &[Option<Placed<'_>>],
    mut obstacles: Obstacles,
    set_up: bool,
    frame: &Frame,
    style: &Style,
) -> Obstacles {
    let (mut tagged, mut stopped) = (Vec::new(), Vec::new());
    for (disc, ball) in placed.iter().flatten().enumerate() {
        let name = name_of(ball.ball, Some(disc), frame);
        if name.label.is_empty() {
            if set_up && !tags::fits_in_ball(ball.radius) {
                tagged.push(name);
            }
            continue;
        }
        if let Some(at) = rest_of(ball, frame) {
            stopped.push(Name { wanted: Wanted { disc: None, at, radius: ball.radius }, ..name.clone() });
        }
        if tags::fits_in_ball(ball.radius) {
            tags::draw_in_ball(svg, &name, style.theme);
        } else {
            tagged.push(name);
        }
    }
    if !tagged.is_empty() {
        obstacles = tags::draw(svg, &tagged, obstacles, frame, style.theme);
    }
    // A single course needs no second number.
    if stopped.len() > 1 {
        tags::draw_rests(svg, &stopped, &obstacles, frame, style.theme);
    }
    obstacles
}
