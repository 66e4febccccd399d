//! `slotwright trace`: what heads do over time.

use std::path::Path;

use super::after::{Played, play, start};
use super::args::TraceArgs;
use super::beside::{At, Starts, beside};
use super::frames::Situation;
use super::read::paragraph;
use super::trace_rows::{Row, csv, table};
use super::{Failure, Report, input};
use crate::decode::Reading;
use crate::finding::{Finding, Place, one_line};
use crate::motion::{HeadMotion, Order, Playback, RigMotion, time_estimate};
use crate::show::disk::write_file;

/// The most rows that are worked out, of all fixtures together.
const MOST_ROWS: f64 = 1e6;

/// How long is waited for what never arrives, in seconds.
const LONGEST_WAIT_S: f64 = 60.0;

/// What happens to the rig.
enum Course {
    /// One frame at time 0, and then time.
    Held(Box<RigMotion>),
    /// Timed frames.
    Played(Box<Playback>),
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

fn reading<'a>(situation: &'a Situation, at: At<'a>, fixture: usize) -> Option<Reading<'a>> {
    situation.plan.reading(fixture, at.frames, at.decoded)
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
    let starts = Starts::of(course.at(&situation).motion, situation.show.rig.len());
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
        let head = at.motion.head(one.at).zip(reading(&situation, at, one.at));
        one.estimate = head.and_then(|(head, reading)| time_estimate(head, &reading.asked()));
    }
    let mut notes = beside(&situation, at, &starts, &places);
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
    let Some(path) = &args.timed else {
        let (mut motion, from) = start(situation, args.from.as_deref())?;
        let Situation { plan, frames, decoded, .. } = situation;
        motion.frame(0.0, plan, frames, decoded);
        let words = format!("{} from {from}", situation.from);
        return Ok((Course::Held(Box::new(motion)), words));
    };
    let Played { playback, words, findings } = play(situation, path, args.from.as_deref())?;
    said.extend(findings);
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
        Order::Lamp { .. } | Order::Latch { .. } => hold.due_s(),
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
    situation.show.rig.get(fixture).filter(|fixture| fixture.address.is_some())?;
    let asked = reading(situation, at, fixture)?.asked();
    Some(Row::new(at.motion.head(fixture)?, &asked, t_s))
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
