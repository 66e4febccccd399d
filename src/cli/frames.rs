//! The show that a command works on, and what its slots stand at.

use std::path::Path;

use super::args::FrameArgs;
use super::{Failure, input};
use crate::decode::{Decoded, Plan};
use crate::finding::{Finding, Place, Severity, listed, nearest};
use crate::rig::FixtureId;
use crate::show::{Look, Show, demo_show, demo_show_in, read_show_in};
use crate::stage::Scene;
use crate::wire::text::parse_frame_text;
use crate::wire::{Frames, Universe};

/// A show with its slots set, decoded.
pub(super) struct Situation {
    /// The show.
    pub show: Show,
    /// What is held of every universe.
    pub frames: Frames,
    /// Where the levels come from, in words: `look "Dawn", 2 slots set`.
    pub from: String,
    /// What was worth saying about the files.
    pub said: Vec<Finding>,
    /// The compiled rig.
    pub plan: Plan,
    /// What the frames came to.
    pub decoded: Decoded,
}

impl Situation {
    /// Reads the show and the frames that `args` name, and decodes them.
    pub(super) fn load(args: &FrameArgs) -> Result<Self, Failure> {
        let (show, mut said) = load_show(args.show.as_deref())?;
        let universes = universes(args)?;
        let (mut frames, mut from) = start(args, &show)?;
        for (path, universe) in args.frames.iter().zip(universes) {
            apply_file(path, universe, &mut frames, &mut said)?;
            from.push(match input::is_standard(path) {
                true => "standard input".to_owned(),
                false => format!("frame {}", path.display()),
            });
        }
        for set in &args.slots {
            frames.set(set.universe, set.slot, set.value);
        }
        match args.slots.len() {
            0 => {}
            1 => from.push("1 slot set".to_owned()),
            n => from.push(format!("{n} slots set")),
        }
        let plan = Plan::new(&show.rig, &show.profiles);
        let mut decoded = plan.start();
        plan.decode(&frames, &mut decoded);
        Ok(Self { show, frames, from: from.join(", "), said, plan, decoded })
    }

    /// What there is to draw.
    pub(super) fn scene(&self) -> Scene {
        let Self { show, frames, plan, decoded, .. } = self;
        Scene::new(&show.room, &show.rig, plan, frames, decoded)
    }

    /// The places in the rig of the fixtures with these numbers, in the rig's order.
    pub(super) fn places(&self, ids: &[FixtureId]) -> Result<Vec<usize>, Failure> {
        let rig = &self.show.rig;
        if let Some(id) = ids.iter().find(|id| rig.iter().all(|fixture| fixture.id != **id)) {
            let there: Vec<String> = rig.iter().map(|fixture| fixture.id.to_string()).collect();
            return Err(Failure::Usage(Finding::error(
                Place::item("--fixture"),
                format!("the show has no fixture `{id}`"),
                format!("it has {}", listed(there.iter().map(String::as_str))),
            )));
        }
        Ok((0..rig.len()).filter(|place| ids.contains(&rig[*place].id)).collect())
    }
}

/// Reads a show, the demo without a path, and keeps of the findings what can explain a reading.
pub(super) fn load_show(path: Option<&Path>) -> Result<(Show, Vec<Finding>), Failure> {
    let (library, known) = (input::library(), input::is_known_drawing);
    match path {
        // Whatever lies in the user's folder, there is a demo.
        None => {
            let demo = demo_show_in(&library, &known).or_else(|_| demo_show(&known))?;
            Ok((demo, Vec::new()))
        }
        Some(path) => {
            let (show, mut said) = read_show_in(path, &library, &known)?;
            // What the show gets wrong can explain a reading. The rest is for `check`: here it would
            // bury what the frame asks.
            said.retain(|finding| {
                let own = finding.place.file.as_deref() == Some(path);
                finding.severity > if own { Severity::Note } else { Severity::Warning }
            });
            Ok((show, said))
        }
    }
}

/// The universe of each frame file.
fn universes(args: &FrameArgs) -> Result<Vec<Option<Universe>>, Failure> {
    let files = args.frames.len();
    match args.universes.as_slice() {
        [] => Ok(vec![None; files]),
        [one] if files > 0 => Ok(vec![Some(*one); files]),
        all if all.len() == files => Ok(all.iter().copied().map(Some).collect()),
        all => {
            let what = match files {
                0 => "a universe is given, and no frame file that it could be of".to_owned(),
                1 => format!("{} universes are given for one frame file", all.len()),
                _ => format!("{} universes are given for {files} frame files", all.len()),
            };
            let mend = "give it once for all --frame files, or once for each in the same order";
            Err(Failure::Usage(Finding::error(Place::item("--universe"), what, mend)))
        }
    }
}

/// The levels before any frame file, and where they come from.
fn start(args: &FrameArgs, show: &Show) -> Result<(Frames, Vec<String>), Failure> {
    let Some(name) = &args.look else {
        if !args.frames.is_empty() {
            return Ok((Frames::default(), Vec::new()));
        }
        // A show that was never edited stands at its first look: then that has a name to give.
        let words = match show.looks.iter().find(|look| look.frames == show.levels) {
            Some(look) => format!("look \"{}\"", look.name),
            None => "the levels it was saved with".to_owned(),
        };
        return Ok((show.levels.clone(), vec![words]));
    };
    let look = look(show, name, "--look")?;
    Ok((look.frames.clone(), vec![format!("look \"{}\"", look.name)]))
}

/// A look of the show by its name, which was given with `flag`.
pub(super) fn look<'a>(show: &'a Show, name: &str, flag: &str) -> Result<&'a Look, Failure> {
    let names = || show.looks.iter().map(|look| look.name.as_str());
    let near = || nearest(name, names()).map(|near| format!("did you mean `{near}`? "));
    show.look(name).ok_or_else(|| {
        Failure::Usage(Finding::error(
            Place::item(flag),
            format!("the show has no look `{name}`"),
            format!("{}it has {}", near().unwrap_or_default(), listed(names())),
        ))
    })
}

fn apply_file(
    path: &Path,
    universe: Option<Universe>,
    frames: &mut Frames,
    said: &mut Vec<Finding>,
) -> Result<(), Failure> {
    let text = input::read_text(path)?;
    let read = parse_frame_text(&text, universe, Some(input::name(path)))?;
    read.apply(frames);
    said.extend(read.findings);
    Ok(())
}
