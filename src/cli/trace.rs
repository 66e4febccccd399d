//! `slotwright trace`: what heads do over time.

use std::path::Path;

use super::args::TraceArgs;
use super::beside::{Starts, beside};
use super::course::{At, Course, Given};
use super::frames::Situation;
use super::read::paragraph;
use super::trace_rows::{Row, csv, table};
use super::{Failure, Report, input};
use crate::finding::{Finding, Place, one_line};
use crate::motion::{HeadMotion, Order, time_estimate};
use crate::show::disk::write_file;

/// The most rows that are worked out, of all fixtures together.
const MOST_ROWS: f64 = 1e6;

/// How long is waited for what never arrives, in seconds.
const LONGEST_WAIT_S: f64 = 60.0;

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
    let given = Given {
        from: args.from.as_deref(),
        timed: args.timed.as_deref(),
        silent_from_s: args.silent_from,
    };
    let mut course = Course::load(&situation, given, &mut said)?;
    let starts = Starts::of(course.at(&situation).motion, situation.show.rig.len());
    course.begin(&situation);
    let words = format!("{} {}", course.sent, course.from);
    let step_s = f64::from(args.step) / 1000.0;
    let steps = steps(args, course.clone(), &situation, &places)?;

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

/// How many steps there are to look at.
fn steps(
    args: &TraceArgs,
    mut course: Course,
    situation: &Situation,
    places: &[usize],
) -> Result<u32, Failure> {
    let for_s = args.seconds.unwrap_or_else(|| {
        let last_s = course.last_s(situation);
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
        _ => hold.due_s(),
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
    let asked = at.reading(situation, fixture)?.asked();
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
