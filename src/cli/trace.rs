//! `slotwright trace`: what heads do over time.

use std::path::Path;
use std::sync::Arc;

use super::after::start;
use super::args::TraceArgs;
use super::frames::{Situation, look};
use super::trace_rows::{Row, csv, table};
use super::{Failure, Report, input};
use crate::decode::{Decoded, Reading};
use crate::finding::{Finding, Place, one_line};
use crate::motion::{HeadMotion, Order, Playback, RigMotion, compare, time_estimate};
use crate::show::disk::write_file;
use crate::wire::{Frames, parse_timed_frames};

/// The most rows that are worked out, of all fixtures together.
const MOST_ROWS: f64 = 1e6;

/// How long is waited for what never arrives, in seconds.
const LONGEST_WAIT_S: f64 = 60.0;

/// Arrivals this close together are one, in seconds.
const TOGETHER_S: f64 = 0.05;

/// What happens to the rig.
enum Course {
    /// One frame at time 0, and then time.
    Held(Box<RigMotion>),
    /// Timed frames.
    Played(Box<Playback>),
}

/// The rig at a time.
#[derive(Clone, Copy)]
struct At<'a> {
    motion: &'a RigMotion,
    frames: &'a Frames,
    decoded: &'a Decoded,
}

impl Course {
    /// Goes to a time. One frame can only go forward.
    fn go(&mut self, situation: &Situation, t_s: f64) {
        match self {
            Self::Held(motion) => motion.advance(t_s),
            Self::Played(playback) => playback.seek(&situation.plan, t_s),
        }
    }

    fn at<'a>(&'a self, situation: &'a Situation) -> At<'a> {
        match self {
            Self::Held(motion) => {
                At { motion, frames: &situation.frames, decoded: &situation.decoded }
            }
            Self::Played(playback) => At {
                motion: playback.motion(),
                frames: playback.frames(),
                decoded: playback.decoded(),
            },
        }
    }

    /// The time of the last frame.
    fn last_frame_s(&self) -> f64 {
        match self {
            Self::Held(_) => 0.0,
            Self::Played(playback) => playback.timed().duration_s(),
        }
    }
}

impl At<'_> {
    fn reading<'a>(&'a self, situation: &'a Situation, fixture: usize) -> Option<Reading<'a>> {
        situation.plan.reading(fixture, self.frames, self.decoded)
    }
}

/// The course of one fixture.
pub(super) struct Traced<'a> {
    /// The fixture, as a place in the rig.
    pub at: usize,
    /// Its wheels by name.
    pub wheels: Vec<&'a str>,
    /// What was assumed of its times.
    pub estimate: Option<String>,
    /// One for each time.
    pub rows: Vec<Row>,
}

pub(super) fn run(args: &TraceArgs) -> Result<Report, Failure> {
    let mut situation = load(args)?;
    let mut said = std::mem::take(&mut situation.said);
    let places = situation.places(&args.fixtures)?;
    let (mut course, words) = course(args, &situation, &mut said)?;
    let step_s = f64::from(args.step) / 1000.0;
    let steps = steps(args, &mut course, &situation, &places)?;

    let mut traced: Vec<Traced<'_>> =
        places.iter().map(|at| Traced::new(&situation, *at)).collect();
    for step in 0..=steps {
        let t_s = f64::from(step) * step_s;
        course.go(&situation, t_s);
        let at = course.at(&situation);
        for one in &mut traced {
            one.rows.extend(row(&situation, at, one.at, t_s));
        }
    }
    let at = course.at(&situation);
    for one in &mut traced {
        let head = at.motion.head(one.at).zip(at.reading(&situation, one.at));
        one.estimate = head.and_then(|(head, reading)| time_estimate(head, &reading.asked()));
    }
    let mut notes = arrivals(&situation, at, &traced);
    let out = match args.csv.as_deref() {
        None => table(&situation, &words, &traced) + &paragraph(&notes),
        Some(path) => {
            notes.extend(traced.iter().filter_map(|one| {
                let id = situation.show.rig[one.at].id;
                one.estimate.as_ref().map(|words| format!("fixture {id}: an estimate: {words}"))
            }));
            written(path, csv(&situation, &traced), &notes, &mut said)?
        }
    };
    Ok(Report { out, said, bad: false })
}

fn load(args: &TraceArgs) -> Result<Situation, Failure> {
    let mut frame = args.frame.clone();
    if args.to.is_some() {
        frame.look.clone_from(&args.to);
    }
    Situation::load(&frame).map_err(|failure| match failure {
        // The look was given by another name than that under which it is looked for.
        Failure::Usage(mut finding)
            if args.to.is_some() && finding.place.item.as_deref() == Some("--look") =>
        {
            finding.place = Place::item("--to");
            Failure::Usage(finding)
        }
        failure => failure,
    })
}

/// What happens to the rig, and the same in words.
fn course(
    args: &TraceArgs,
    situation: &Situation,
    said: &mut Vec<Finding>,
) -> Result<(Course, String), Failure> {
    let (mut motion, from) = start(situation, args.from.as_deref())?;
    let Situation { show, plan, frames, decoded, .. } = situation;
    let Some(path) = &args.timed else {
        motion.frame(0.0, plan, frames, decoded);
        let words = format!("{} from {from}", situation.from);
        return Ok((Course::Held(Box::new(motion)), words));
    };
    let read = parse_timed_frames(&input::read_text(path)?, Some(input::name(path)))?;
    said.extend(read.findings);
    let held = match &args.from {
        Some(name) => look(show, name, "--from")?.frames.clone(),
        None => Frames::default(),
    };
    let name = input::name(path).display();
    let words = format!("timed frames {name}, {} of them, from {from}", read.timed.len());
    let playback = Playback::new(Arc::new(read.timed), &show.rig, plan, &held);
    Ok((Course::Played(Box::new(playback)), words))
}

/// How many steps there are to look at.
fn steps(
    args: &TraceArgs,
    course: &mut Course,
    situation: &Situation,
    places: &[usize],
) -> Result<u32, Failure> {
    let for_s = args.seconds.unwrap_or_else(|| {
        let last_s = course.last_frame_s();
        course.go(situation, last_s);
        let heads = places.iter().filter_map(|at| course.at(situation).motion.head(*at));
        heads.map(ends_s).fold(last_s, f64::max).min(last_s + LONGEST_WAIT_S)
    });
    let steps = (for_s * 1000.0 / f64::from(args.step) - 1e-6).ceil().max(0.0);
    let rows = (steps + 1.0) * places.len() as f64;
    if rows > MOST_ROWS {
        let what = format!("{for_s} s in steps of {} ms are {rows} rows", args.step);
        let mend = format!("at most {MOST_ROWS} are worked out; give a longer --step");
        return Err(Failure::Usage(Finding::error(Place::item("--seconds"), what, mend)));
    }
    Ok(steps as u32)
}

/// When nothing more happens to a head by itself: everything has arrived, what is held has acted, and
/// what that set going is over.
fn ends_s(head: &HeadMotion) -> f64 {
    let holds = head.holds().filter(|hold| !hold.done).map(|hold| match hold.order {
        Order::Reset { takes_s, .. } => hold.due_s() + takes_s,
        Order::Lamp { .. } | Order::Latch { .. } | Order::UseCurve { .. } => hold.due_s(),
    });
    let reset = head.reset().map(|reset| reset.end_s);
    holds.chain(reset).chain([head.arrives_s().last_s()]).fold(0.0, f64::max)
}

impl<'a> Traced<'a> {
    fn new(situation: &'a Situation, at: usize) -> Self {
        let planned = situation.plan.fixtures().get(at).and_then(|planned| planned.mode.as_deref());
        let wheels = planned.map_or(&[][..], |mode| &mode.wheels);
        let wheels = wheels.iter().map(String::as_str).collect();
        Self { at, wheels, estimate: None, rows: Vec::new() }
    }
}

/// What a fixture is asked and does. `None` where no frame reaches it, or its profile is not to be had.
fn row(situation: &Situation, at: At<'_>, fixture: usize, t_s: f64) -> Option<Row> {
    let patched = situation.show.rig.get(fixture).filter(|fixture| fixture.address.is_some())?;
    let asked = at.reading(situation, fixture)?.asked();
    Some(Row::new(at.motion.head(fixture)?, patched, &asked, t_s))
}

/// When the fixtures arrive after the last frame, and if not together, whether the data is the cause.
fn arrivals(situation: &Situation, at: At<'_>, traced: &[Traced<'_>]) -> Vec<String> {
    let Some((one, others)) = traced.split_first() else { return Vec::new() };
    let arrives = |s: Option<f64>| match s {
        Some(s) => format!("{:.2} s", s.max(0.0)),
        None => "never".to_owned(),
    };
    let lines = others.iter().map(|other| {
        let ids = [one.at, other.at].map(|at| situation.show.rig[at].id);
        let pair = format!("{} and {}", ids[0], ids[1]);
        let places = (one.at, other.at);
        let compared = compare(at.motion, &situation.plan, at.frames, at.decoded, places);
        let Some(compared) = compared else {
            return format!("{pair} are not of one mode, and are not compared");
        };
        let (a, b) = compared.aim_s;
        let together = match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() < TOGETHER_S,
            (a, b) => a == b,
        };
        if together && compared.same_target {
            return format!("{pair} arrive together with pan and tilt: {}", arrives(a));
        }
        let target = if compared.same_target { "" } else { ", at different places" };
        let why = match (compared.differ.is_empty(), set_apart(situation, one, other)) {
            (true, Some(apart)) => format!("no slot differs; {apart}"),
            _ => compared.words(),
        };
        format!(
            "{pair} arrive with pan and tilt at {} and {}{target}: {why}",
            arrives(a),
            arrives(b)
        )
    });
    lines.collect()
}

/// What besides the data makes the courses of two fixtures differ, where that is known.
fn set_apart(situation: &Situation, one: &Traced<'_>, other: &Traced<'_>) -> Option<&'static str> {
    let rig = &situation.show.rig;
    let (a, b) = (rig.get(one.at)?, rig.get(other.at)?);
    if (a.aim, a.in_head) != (b.aim, b.in_head) {
        return Some("their swap, invert or offset does");
    }
    let (first, second) = (one.rows.first()?, other.rows.first()?);
    first.starts_elsewhere(second).then_some("they started from different places")
}

fn paragraph(lines: &[String]) -> String {
    let lines: String = lines.iter().map(|line| format!("{}\n", one_line(line))).collect();
    if lines.is_empty() { lines } else { format!("\n{lines}") }
}

/// Puts the CSV where it belongs. Returns what is left to print.
fn written(
    path: &Path,
    csv: String,
    notes: &[String],
    said: &mut Vec<Finding>,
) -> Result<String, Failure> {
    if input::is_standard(path) {
        said.extend(notes.iter().map(|words| Finding::note(Place::default(), words, "")));
        return Ok(csv);
    }
    write_file(path, csv.as_bytes())?;
    let rows = csv.lines().count().saturating_sub(1);
    let name = path.to_string_lossy();
    Ok(format!("wrote {} ({rows} rows)\n", one_line(&name)) + &paragraph(notes))
}
