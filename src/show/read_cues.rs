//! Reading the cue lists of a show, and everything in them that does not fit together.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::sync::Arc;

use super::check_show::Check;
use super::cue_file::{CueFile, ListFile, ReferenceFile, SetFile, TimesFile, ValuesFile};
use crate::cue::{
    Changes, Compiled, Cue, CueList, CueNumber, Cues, Loop, Movement, Next, Reference, Time, Times,
    Tracks, Unresolved, Value,
};
use crate::decode::Plan;
use crate::finding::{Finding, Place, Severity, number as shown};
use crate::profile::Accepted;
use crate::profile::place::PathInFile;
use crate::rig::Rig;

/// The longest time that a cue can take or wait, in seconds: a day.
const MOST_S: f64 = 86_400.0;

/// The fastest movement, in turns a second; the line carries 44 packets of a full universe a second.
const MOST_HZ: f64 = 100.0;

/// Reads the lists and references of a show file.
pub(super) fn read(
    lists: &[ListFile],
    references: &[ReferenceFile],
    accepted: &[Accepted],
    check: &mut Check,
) -> Cues {
    let top = PathInFile::top();
    let path = top.field("references");
    let mut names = HashSet::new();
    let references = references.iter().enumerate().map(|(i, raw)| {
        let (path, item) = (path.index(i), format!("reference \"{}\"", raw.name));
        named(&path, &item, "reference", &raw.name, &mut names, check);
        reference(raw, &path, &item, check)
    });
    let references: Vec<Reference> = references.collect();
    let path = top.field("lists");
    let mut names = HashSet::new();
    let lists = lists.iter().enumerate().map(|(i, raw)| {
        let (path, item) = (path.index(i), format!("list \"{}\"", raw.name));
        named(&path, &item, "cue list", &raw.name, &mut names, check);
        list(raw, &path, &item, check)
    });
    let lists = lists.collect();
    for (i, Accepted { code, reason, .. }) in accepted.iter().enumerate() {
        if reason.trim().is_empty() {
            let what = format!("`{code}` is accepted without a reason");
            let mend = "say why it is as it should be";
            let path = top.field("accepted").index(i).field("reason");
            check.found.push(path, Finding::warning(Place::default(), what, mend));
        }
    }
    Cues { lists, references, accepted: accepted.to_vec(), watches: Vec::new() }
}

fn named<'a>(
    path: &PathInFile,
    item: &str,
    what: &str,
    name: &'a str,
    names: &mut HashSet<&'a str>,
    check: &mut Check,
) {
    if name.trim().is_empty() {
        check.error(&path.field("name"), item, format!("the {what} has no name"), "give it one");
    } else if !names.insert(name) {
        let what = format!("another {what} is called `{name}` already");
        check.error(&path.field("name"), item, what, "give each its own name");
    }
}

fn list(raw: &ListFile, path: &PathInFile, item: &str, check: &mut Check) -> CueList {
    let cues_path = path.field("cues");
    let mut cues: Vec<(CueNumber, Cue)> = Vec::new();
    let mut numbers = HashSet::new();
    let mut before: Option<CueNumber> = None;
    for (i, raw) in raw.cues.iter().enumerate() {
        let path = cues_path.index(i);
        let item = format!("{item}, cue {}", shown(raw.number));
        let Some(number) = number(raw.number, &path.field("number"), &item, check) else {
            continue;
        };
        if !numbers.insert(number) {
            let what = format!("another cue has the number `{number}` already");
            check.error(&path.field("number"), &item, what, "give each cue its own number");
        }
        if before.is_some_and(|before| number < before) {
            let what = format!("cue {number} stands below a later one");
            let mend =
                "it is run in the order of its number, and written so when the show is saved";
            let finding = Finding::note(Place::item(item.as_str()), what, mend);
            check.found.push(path.field("number"), finding);
        }
        before = Some(number);
        cues.push((number, cue(raw, number, &path, &item, check)));
    }
    cues.sort_by_key(|(number, _)| *number);
    let cues: Vec<Cue> = cues.into_iter().map(|(_, cue)| cue).collect();
    if let Some(dark) = raw.dark_moves {
        seconds(dark.fade_s, &path.field("dark_moves").field("fade_s"), item, check);
    }
    let (name, notes) = (raw.name.clone(), raw.notes.clone());
    let loops = loops(raw, &cues, path, item, check);
    CueList { name, notes, dark_moves: raw.dark_moves, loops, cues }
}

fn number(raw: f64, path: &PathInFile, item: &str, check: &mut Check) -> Option<CueNumber> {
    let number = CueNumber::from_decimal(raw);
    if number.is_none() {
        let what = format!("`{}` is no number of a cue", shown(raw));
        check.error(path, item, what, "they are 0.001..999999.999, with three decimals at most");
    }
    number
}

fn loops(
    raw: &ListFile,
    cues: &[Cue],
    path: &PathInFile,
    item: &str,
    check: &mut Check,
) -> Vec<Loop> {
    let mut loops: Vec<Loop> = Vec::new();
    for (i, raw) in raw.loops.iter().enumerate() {
        let path = path.field("loops").index(i);
        let mut end = |field: &str, raw: f64| {
            let number = number(raw, &path.field(field), item, check)?;
            if cues.binary_search_by_key(&number, |cue| cue.number).is_err() {
                let what = format!("a loop names cue {number}, which there is not");
                check.error(&path.field(field), item, what, "name cues of this list");
                return None;
            }
            Some(number)
        };
        let (from, to) = (end("from", raw.from), end("to", raw.to));
        let passes = match raw.passes {
            None => None,
            Some(passes) => {
                match u32::try_from(passes).ok().filter(|p| (1..=100_000).contains(p)) {
                    Some(passes) => Some(passes),
                    None => {
                        let what = format!("a loop cannot be run `{passes}` times");
                        let mend = "give 1..100000, or leave `passes` out to run it without end";
                        check.error(&path.field("passes"), item, what, mend);
                        continue;
                    }
                }
            }
        };
        let (Some(from), Some(to)) = (from, to) else { continue };
        if from > to {
            let what = format!("a loop ends at cue {to}, before it begins at cue {from}");
            check.error(&path.field("to"), item, what, "let `from` be the first cue of the span");
            continue;
        }
        // One within the other is a loop in a loop; half overlapped there is no saying what comes next.
        let crosses = |other: &Loop| {
            other.from < from && from <= other.to && other.to < to
                || from < other.from && other.from <= to && to < other.to
                || other.to == to
        };
        if let Some(other) = loops.iter().find(|other| crosses(other)) {
            let what = format!(
                "the loop {from}..{to} and the loop {}..{} get in each other's way",
                other.from, other.to
            );
            let mend = "let one lie within the other and end before it, or both apart";
            check.error(&path, item, what, mend);
            continue;
        }
        let span = || cues.iter().filter(|cue| (from..=to).contains(&cue.number));
        if passes.is_none() && span().all(goes_on_at_once) {
            let what = format!("the loop {from}..{to} is run without end, and takes no time");
            let mend =
                "give a cue of it a time or let one wait for somebody, or say how often it is run";
            let finding = Finding::warning(Place::item(item), what, mend);
            check.found.push(path.clone(), finding);
        }
        loops.push(Loop { from, to, passes });
    }
    loops
}

/// Whether the next cue comes in the instant that this one does.
fn goes_on_at_once(cue: &Cue) -> bool {
    let Times { all, up, down, aim, colour, beam } = cue.times;
    let own = [up, down, aim, colour, beam].into_iter().flatten();
    let takes_s = own.map(Time::end_s).fold(all.end_s(), f64::max);
    match cue.next {
        Next::Go => false,
        Next::Wait(s) => s <= 0.0,
        Next::Follow(s) => s + takes_s <= 0.0,
    }
}

fn cue(raw: &CueFile, number: CueNumber, path: &PathInFile, item: &str, check: &mut Check) -> Cue {
    times(&raw.times, &path.field("times"), item, check);
    if let Next::Follow(s) | Next::Wait(s) = raw.next {
        seconds(s, &path.field("next"), item, check);
    }
    if let Some(s) = raw.stands_s {
        seconds(s, &path.field("stands_s"), item, check);
    }
    for (i, movement) in raw.movements.iter().enumerate() {
        self::movement(movement, &path.field("movements").index(i), item, check);
    }
    Cue {
        number,
        name: raw.name.clone(),
        notes: raw.notes.clone(),
        asserts: raw.asserts,
        times: raw.times.into(),
        curve: raw.curve,
        snap: raw.snap,
        next: raw.next,
        stands_s: raw.stands_s,
        changes: changes(&raw.set, &path.field("set"), item, check),
        movements: raw.movements.clone(),
        still: raw.still.clone(),
    }
}

fn seconds(s: f64, path: &PathInFile, item: &str, check: &mut Check) {
    if !(0.0..=MOST_S).contains(&s) {
        let what = format!("`{}` is no time that a cue can take", shown(s));
        check.error(path, item, what, format!("give seconds from 0 to {MOST_S}"));
    }
}

fn times(raw: &TimesFile, path: &PathInFile, item: &str, check: &mut Check) {
    seconds(raw.fade_s, &path.field("fade_s"), item, check);
    seconds(raw.delay_s, &path.field("delay_s"), item, check);
    let parts: [(&str, Option<Time>); 5] = [
        ("up", raw.up),
        ("down", raw.down),
        ("aim", raw.aim),
        ("colour", raw.colour),
        ("beam", raw.beam),
    ];
    for (part, time) in parts {
        let Some(Time { fade_s, delay_s }) = time else { continue };
        seconds(fade_s, &path.field(part).field("fade_s"), item, check);
        seconds(delay_s, &path.field(part).field("delay_s"), item, check);
    }
}

fn movement(raw: &Movement, path: &PathInFile, item: &str, check: &mut Check) {
    let fields =
        [("hz", raw.hz, MOST_HZ), ("size", raw.size, 36_000.0), ("spread", raw.spread, 1000.0)];
    for (field, value, most) in fields {
        if !(-most..=most).contains(&value) {
            let what = format!("a movement cannot have a `{field}` of `{}`", shown(value));
            check.error(
                &path.field(field),
                item,
                what,
                format!("give a number from -{most} to {most}"),
            );
        }
    }
}

fn changes(raw: &[SetFile], path: &PathInFile, item: &str, check: &mut Check) -> Changes {
    let mut changes = Changes::new();
    for (i, set) in raw.iter().enumerate() {
        let path = path.index(i);
        let values = values(&set.values, &path.field("values"), item, check);
        for (j, fixture) in set.fixtures.iter().enumerate() {
            let channels = changes.entry(*fixture).or_default();
            let twice = values.keys().find(|channel| channels.contains_key(*channel));
            if let Some(channel) = twice {
                let what = format!("fixture {fixture} gets two values for `{channel}`");
                check.error(&path.field("fixtures").index(j), item, what, "leave one of them");
            }
            channels.extend(values.clone());
        }
    }
    changes
}

fn values(
    raw: &ValuesFile,
    path: &PathInFile,
    item: &str,
    check: &mut Check,
) -> BTreeMap<String, Value> {
    let mut values = BTreeMap::new();
    for (channel, text) in raw {
        match text.parse::<Value>() {
            Ok(value) => {
                values.insert(channel.clone(), value);
            }
            Err(why) => {
                let item = format!("{item}, channel \"{channel}\"");
                check.error(&path.field(channel.as_str()), &item, why, "write it as it is typed");
            }
        }
    }
    values
}

fn reference(raw: &ReferenceFile, path: &PathInFile, item: &str, check: &mut Check) -> Reference {
    let all = values(&raw.all, &path.field("all"), item, check);
    let own = changes(&raw.own, &path.field("own"), item, check);
    let every = all.values().chain(own.values().flat_map(BTreeMap::values));
    let likes: BTreeSet<&str> = every
        .filter_map(|value| match value {
            Value::Like(name) => Some(name.as_str()),
            _ => None,
        })
        .collect();
    if let Some(like) = likes.first() {
        let what = format!("it says `like {like}`, and a reference gives values only");
        check.error(path, item, what, "write the values themselves");
    }
    Reference { name: raw.name.clone(), kind: raw.kind, all, own }
}

/// Says what of the lists cannot be resolved on a rig: warnings, so that such a show can be opened and
/// mended. `raw` is what `cues` were read from.
pub(super) fn resolve(cues: &Cues, raw: &[ListFile], rig: &Rig, plan: &Plan, check: &mut Check) {
    let tracks = Arc::new(Tracks::new(plan));
    for (i, (list, raw)) in cues.lists.iter().zip(raw).enumerate() {
        let path = PathInFile::top().field("lists").index(i).field("cues");
        let place = |(at, raw): (usize, &CueFile)| Some((CueNumber::from_decimal(raw.number)?, at));
        let places: HashMap<CueNumber, usize> =
            raw.cues.iter().enumerate().filter_map(place).collect();
        for Unresolved { cue, fixture, channel, mut finding } in
            Compiled::new(cues, i, rig, plan, &tracks).unresolved
        {
            finding.severity = finding.severity.min(Severity::Warning);
            let Some(at) = list.cues.get(cue).and_then(|cue| places.get(&cue.number)).copied()
            else {
                continue;
            };
            let mut path = path.index(at);
            let sets = &raw.cues[at].set;
            let own = |set: &SetFile| {
                let names = channel.as_ref().is_none_or(|channel| set.values.contains_key(channel));
                set.fixtures.contains(&fixture) && names
            };
            if let Some(set) = sets.iter().position(own) {
                path = path.field("set").index(set);
                path = match &channel {
                    Some(channel) => path.field("values").field(channel.as_str()),
                    None => path.field("fixtures"),
                };
            }
            check.found.push(path, finding);
        }
    }
}
