//! `slotwright stray`: what one head alone of its model holds.

use clap::Args;
use serde::Serialize;

use super::args::FrameArgs;
use super::frames::Situation;
use super::{Failure, Report, json};
use crate::check::stray::{self, Stray, strays};
use crate::finding::{Finding, Place, Severity, one_line};
use crate::rig::FixtureId;

/// Below the options of `stray`.
pub const HELP: &str = "\
Compares heads of one model and mode over one frame. Where more than half of them hold the same and one alone
holds something else, it is told of the channels that twins mostly share: speed of pan and tilt, built-in
programs, control (resets, lamp, switches), what spins, the shutter. Of all other channels values in no range are
told, and heads that are alone in a range (as a note: that may be meant). Where nothing is stray, what sets a head
apart is not in the data.

Slots are counted from each head's first, which is 1.

Exit codes: 0 nothing stray, or notes alone; 1 a stray slot, or a bad file; 2 wrong usage.

JSON (`--json`):
  [{severity, kind, fixture, slot, channel, value, usual, twins, what, mend}]
  kind is speed, program, control, spin, shutter, gap or range; value and usual are at the channel's full
  resolution, null where nothing was sent or the twins do not agree; twins is how many hold the usual value

Examples:
  slotwright stray
  slotwright stray my-show.ron --frame desk.txt --fixture 104";

/// What `stray` takes.
#[derive(Args, Debug)]
pub struct StrayArgs {
    /// Which show and frames.
    #[command(flatten)]
    pub frame: FrameArgs,
    /// Only this fixture, by its number, compared with all its twins; may be given again
    #[arg(long = "fixture", value_name = "ID")]
    pub fixtures: Vec<FixtureId>,
    /// Print JSON instead of text
    #[arg(long)]
    pub json: bool,
}

#[derive(Serialize)]
struct StrayJson<'a> {
    severity: &'static str,
    kind: &'static str,
    fixture: FixtureId,
    slot: u16,
    channel: &'a str,
    value: Option<u32>,
    usual: Option<u32>,
    twins: usize,
    what: &'a str,
    mend: &'a str,
}

pub(super) fn run(args: &StrayArgs) -> Result<Report, Failure> {
    let situation = Situation::load(&args.frame)?;
    let Situation { show, plan, frames, decoded, .. } = &situation;
    let only = situation.places(&args.fixtures)?;
    let found = strays(&show.rig, plan, frames, decoded, &only);
    let mut said = situation.said.clone();
    let asked = if only.is_empty() { (0..show.rig.len()).collect() } else { only.clone() };
    let why: Vec<_> = asked.iter().map(|place| stray::uncompared(plan, *place)).collect();
    if !only.is_empty() {
        for (place, why) in only.iter().zip(&why) {
            let (Some(fixture), Some(why)) = (show.rig.get(*place), why) else { continue };
            let what = format!("it is compared with no twins: {why}");
            let mend = "compare it with another by `slotwright read` and two `--fixture`";
            said.push(Finding::warning(Place::item(fixture.words()), what, mend));
        }
    }
    let compared = why.iter().any(Option::is_none);
    let bad = found.iter().any(|stray| stray.severity() > Severity::Note);
    let out = match args.json {
        true => {
            let rows: Vec<StrayJson<'_>> =
                found.iter().map(|stray| as_json(&situation, stray)).collect();
            json::lines(&rows)
        }
        false if found.is_empty() && compared => format!("{}\n", stray::NONE),
        false if found.is_empty() => {
            "nothing to compare: three heads of one model and mode, with addresses, are needed\n"
                .to_owned()
        }
        false => found.iter().map(line).collect(),
    };
    Ok(Report { out, said, bad })
}

fn line(stray: &Stray) -> String {
    let severity = stray.severity().word();
    format!("{severity}: {} [{}]\n", one_line(&stray.what), stray.kind.word())
}

fn as_json<'a>(situation: &'a Situation, stray: &'a Stray) -> StrayJson<'a> {
    let mode = situation.plan.fixtures().get(stray.fixture).and_then(|of| of.mode.as_ref());
    let channel = mode.and_then(|mode| mode.channels.get(stray.channel));
    StrayJson {
        severity: stray.severity().word(),
        kind: stray.kind.word(),
        fixture: situation.show.rig.get(stray.fixture).map_or(0, |fixture| fixture.id),
        slot: stray.offset,
        channel: channel.map_or("", |channel| &channel.name),
        value: stray.value,
        usual: stray.usual,
        twins: stray.twins,
        what: &stray.what,
        mend: &stray.mend,
    }
}
