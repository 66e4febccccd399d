//! `slotwright why`: why fixtures are dark, or why their light is as it is.

use clap::Args;

use super::after::Later;
use super::args::{AfterArgs, FrameArgs};
use super::frames::Situation;
use super::table::{self, Columns};
use super::{Failure, Report, why_json};
use crate::check::why::words::percent;
use crate::check::why::{Mend, Moment, NearKind, OUTSIDE, Stage, Verdict, Why};
use crate::finding::rounded;
use crate::rig::FixtureId;

/// Below the options of `why`.
pub const HELP: &str = "\
Without --fixture: one line for every fixture, dark ones first. With it: the way of the light from its source
to where it lands, and for each link the share of the light that it lets through and the slot, value and range that
made it so; every cause, nearest the source first, with what would show that it is not the one; the smallest
change of slots that gives light; what else may make it look dark; and what no frame can tell.

A change is proposed only after it was run through the same pipeline that draws the stage. It is never a reset, a
built-in program or putting the lamp out, and a strobe only where nothing else gives light. A level goes to full.
A head is dark if no light leaves it as the mean over a flash. What was never sent is taken to be at rest, and told.

JSON (`--json`): `fixtures`, each with `id`, `verdict` (`lit`, `dark`, `runs itself`, `not patched`, or `unread`
without a profile), `sentence`, `flux_lm`, `full_lm`, `links`, `causes`, `near`, `landing` and `outside`; and `mend`,
which is worked out for fixtures that are named, and is `null` where there is light. A link has a `stage`, perhaps a
`wheel`, `lets_through` (0..1; `null` is not known), `blocks`, and `made_by`: channels with slots, values and range.

Examples:
  slotwright why
  slotwright why my-show.ron --slot 1/7=9 --fixture 101
  slotwright why my-show.ron --look \"Harbour dawn\" --json
  slotwright why my-show.ron --timed cue.csv --after 2.5 --fixture 101";

/// What `why` takes.
#[derive(Args, Debug, Default)]
pub struct WhyArgs {
    /// Which show and frames.
    #[command(flatten)]
    pub frame: FrameArgs,
    /// When to look at the fixtures.
    #[command(flatten)]
    pub when: AfterArgs,
    /// All there is to say of this fixture, by its number; may be given again. Example: `--fixture 101`
    #[arg(long = "fixture", value_name = "ID")]
    pub fixtures: Vec<FixtureId>,
    /// Print JSON; its form is described in `slotwright help why`
    #[arg(long)]
    pub json: bool,
}

/// What is known of one fixture.
pub(super) struct Answer<'a> {
    /// The fixture, as a place in the rig.
    pub place: usize,
    /// `None` where its profile or mode is not to be had.
    pub why: Option<Why<'a>>,
    /// Worked out only for fixtures that were named.
    pub mend: Option<Mend>,
}

pub(super) fn run(args: &WhyArgs) -> Result<Report, Failure> {
    let mut situation = Situation::load(&args.frame)?;
    let named = !args.fixtures.is_empty();
    let places = match named {
        false => (0..situation.show.rig.len()).collect(),
        true => situation.places(&args.fixtures)?,
    };
    let later = Later::load(&mut situation, &args.when)?;
    let said = std::mem::take(&mut situation.said);
    let moment = Moment {
        rig: &situation.show.rig,
        plan: &situation.plan,
        frames: &situation.frames,
        decoded: &situation.decoded,
    };
    let answer = |place: usize| {
        let why = match later.as_ref().and_then(|later| later.motion_of(place)) {
            Some((head, t_s)) => moment.at(place, head, t_s),
            None => moment.settled(place),
        };
        let mend = why.as_ref().filter(|_| named).and_then(|why| moment.mend(why));
        Answer { place, why, mend }
    };
    let answers: Vec<Answer<'_>> = places.into_iter().map(answer).collect();
    let out = match (args.json, named) {
        (true, _) => why_json::answers(&situation, &answers),
        (false, true) => {
            let all = answers.iter().map(|answer| one(&situation, answer));
            all.collect::<Vec<_>>().join("\n")
        }
        (false, false) => list(&situation, later.as_ref(), answers),
    };
    Ok(Report { out, said, bad: false })
}

/// In which order fixtures are listed: what is dark first.
fn rank(answer: &Answer<'_>) -> u8 {
    match answer.why.as_ref().map(|why| why.verdict) {
        Some(Verdict::Dark) => 0,
        Some(Verdict::RunsItself) => 1,
        None => 2,
        Some(Verdict::NotPatched) => 3,
        Some(Verdict::Lit) => 4,
    }
}

fn list(situation: &Situation, later: Option<&Later>, mut answers: Vec<Answer<'_>>) -> String {
    answers.sort_by_key(rank);
    let rows: Vec<[String; 3]> = answers
        .iter()
        .map(|answer| {
            let fixture = &situation.show.rig[answer.place];
            let words = match &answer.why {
                Some(why) => {
                    // The sentence says itself that a lamp is not known of.
                    let near = why.near(&situation.show.room).into_iter();
                    let near = near.filter(|_| why.verdict == Verdict::Lit);
                    let near = near.filter(|near| near.kind != NearKind::LampUnknown);
                    let near: String = near.map(|near| format!("; {}", near.words)).collect();
                    why.sentence() + &near
                }
                None => "not known: no such profile or mode".to_owned(),
            };
            [fixture.id.to_string(), fixture.label.clone(), words]
        })
        .collect();
    let widths = Columns { give_way: &[1] }
        .widths(&rows.iter().map(|[id, label, _]| [id.clone(), label.clone()]).collect::<Vec<_>>());
    let label = widths[1].min(24);
    let mut out = situation.show.name.clone();
    let later = later.map_or_else(String::new, |later| format!(", {}", later.words));
    out = format!("{}\n", table::cut(&format!("{out}: {}{later}", situation.from), table::LINE));
    for [id, name, words] in &rows {
        let name = table::cut(name, label);
        let head = format!("  {id:<width$}  {name:<label$}  ", width = widths[0]);
        let width = table::LINE.saturating_sub(head.chars().count()).max(30);
        for (nth, line) in table::wrapped(words, width).iter().enumerate() {
            match nth {
                0 => out.push_str(&format!("{head}{line}\n")),
                _ => {
                    out.push_str(&format!("{:indent$}{line}\n", "", indent = head.chars().count()))
                }
            }
        }
    }
    if rows.is_empty() {
        out.push_str("no fixtures\n");
    }
    out
}

/// What makes light look like none, in words.
fn near(situation: &Situation, why: &Why<'_>) -> Vec<String> {
    why.near(&situation.show.room).into_iter().map(|near| near.words).collect()
}

/// All there is to say of one fixture.
fn one(situation: &Situation, answer: &Answer<'_>) -> String {
    let fixture = &situation.show.rig[answer.place];
    let mut page = Page::default();
    let title = format!("{}  {}", fixture.id, fixture.label);
    page.0 = format!("{}\n", table::cut(title.trim_end(), table::LINE));
    let Some(why) = &answer.why else {
        page.line(2, "not known: no such profile or mode");
        return page.0;
    };
    let footprint = why.reading.mode.footprint;
    let span = super::read::span(fixture, footprint);
    page.line(2, &format!("{}, mode {}, {span}", fixture.profile, fixture.mode));
    page.line(2, &why.sentence());
    if let Some(mend) = &answer.mend {
        let words = mend.words();
        let told = if words.is_empty() { "nothing to change".to_owned() } else { words };
        page.line(2, &format!("to give light: {told}"));
        for change in &mend.changes {
            let shared = change.shared_with.iter();
            let shared: Vec<String> =
                shared.map(|place| situation.show.rig[*place].id.to_string()).collect();
            if !shared.is_empty() {
                page.line(2, &format!("slot {} is read by {} too", change.slot, shared.join(", ")));
            }
        }
    }
    page.0.push('\n');
    page.0.push_str(&chain(situation, why));
    let causes = why.causes();
    if !causes.is_empty() {
        page.0.push('\n');
        page.line(
            2,
            if causes.len() == 1 { "the cause:" } else { "the causes, nearest the source first:" },
        );
    }
    for cause in &causes {
        page.line(4, &format!("{}: {}", why.link_name(&cause.link), why.because(cause)));
        page.line(6, &format!("to disprove it, {}", why.disproof(cause)));
    }
    let near = near(situation, why);
    if !near.is_empty() {
        page.0.push('\n');
    }
    near.iter().for_each(|words| page.line(2, words));
    page.0.push('\n');
    page.line(2, "not visible in the data, if the head does something else: look at");
    OUTSIDE.iter().for_each(|words| page.line(4, words));
    page.0
}

/// The links as a table, the first block marked.
fn chain(situation: &Situation, why: &Why<'_>) -> String {
    let landing = why.landing(&situation.show.room);
    let first = why.first_block().copied();
    let titles = ["link", "lets through", "", "made so by"].map(str::to_owned);
    let rows = why.telling_links().map(|link| {
        let through = match (link.stage, link.lets_through) {
            (Stage::Distance | Stage::Surface, _) => String::new(),
            (_, Some(share)) => percent(share),
            (_, None) => "not known".to_owned(),
        };
        let words = match (link.stage, &landing) {
            (Stage::Distance, Some(landing)) => landing.words(),
            (Stage::Surface, Some(landing)) => format!("{} lx there", rounded(landing.lux, 1)),
            (Stage::Distance | Stage::Surface, None) => "not known".to_owned(),
            _ => why.link_words(link),
        };
        let mark = if Some(*link) == first && why.verdict != Verdict::Lit { "<- here" } else { "" };
        [why.link_name(link), through, mark.to_owned(), words]
    });
    let rows: Vec<[String; 4]> = [titles].into_iter().chain(rows).collect();
    let widths = Columns { give_way: &[3, 0] }.widths(&rows);
    rows.iter().map(|row| table::line(row, &widths)).collect()
}

/// Lines that fit a terminal.
#[derive(Default)]
struct Page(String);

impl Page {
    fn line(&mut self, indent: usize, words: &str) {
        for (nth, line) in table::wrapped(words, table::LINE - indent - 2).iter().enumerate() {
            let indent = indent + if nth == 0 { 0 } else { 2 };
            self.0.push_str(&format!("{:indent$}{line}\n", ""));
        }
    }
}
