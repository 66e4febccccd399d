//! What to look at next.

use std::collections::{BTreeMap, BTreeSet};

use super::{Note, Probe, Seen, Setting};

/// The values at which every slot is looked at first. Wide apart, since a range narrower than this
/// does nothing that a person would miss for long; finer ones follow where something changed.
pub const COARSE: [u8; 8] = [32, 64, 96, 128, 160, 192, 224, 255];

/// The values of a second slot at which light is looked for while another one is at full.
const PAIRED: [u8; 4] = [32, 64, 128, 255];

/// The most steps in which light is looked for with two slots at a time.
const MOST_PAIRED: usize = 1200;

/// Which part of the plan a step belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pass {
    /// Every slot at 0.
    Rest,
    /// One slot, all others at 0.
    Alone,
    /// Two slots: no slot alone gave light.
    Pairs,
    /// One slot, with what gives light held on.
    Lit,
}

impl Pass {
    /// What the part is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::Rest => "At rest",
            Self::Alone => "One slot at a time",
            Self::Pairs => "Looking for light",
            Self::Lit => "Again, with light",
        }
    }
}

/// One thing to do: set the slots, look, note what was seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// Which part of the plan it belongs to.
    pub pass: Pass,
    /// The slot that is looked at; `None` while all are at 0.
    pub slot: Option<u16>,
    /// Its value.
    pub value: u8,
    /// The slots that are held at other values than 0 meanwhile, in order.
    pub held: Vec<Setting>,
    /// It lies between two values that did different things.
    pub finer: bool,
}

impl Step {
    /// Every slot that is not at 0, in order: what to send.
    pub fn settings(&self) -> Vec<Setting> {
        let mut all = self.held.clone();
        all.extend(self.slot.map(|slot| (slot, self.value)));
        all.sort_unstable();
        all
    }

    /// What to do, as a sentence.
    pub fn words(&self) -> String {
        let Some(slot) = self.slot else {
            return "Set every slot to 0.".to_owned();
        };
        let value = self.value;
        match self.held.as_slice() {
            [] => format!("Set slot {slot} to {value}; every other slot to 0."),
            held => {
                let held: Vec<String> = held.iter().map(|(s, v)| format!("{s} at {v}")).collect();
                let held = held.join(" and slot ");
                format!("Set slot {slot} to {value}; keep slot {held}, every other slot at 0.")
            }
        }
    }
}

/// What was seen of one slot while the same slots were held: the note of each value that was looked
/// at or left out.
type Looked<'a> = BTreeMap<u8, &'a Seen>;

/// Notes by slot and by what was held.
struct Index<'a> {
    looked: BTreeMap<(u16, &'a [Setting]), Looked<'a>>,
    avoided: BTreeSet<Setting>,
}

impl<'a> Index<'a> {
    fn of(notes: &'a [Note]) -> Self {
        let mut index = Self { looked: BTreeMap::new(), avoided: BTreeSet::new() };
        for note in notes {
            let Some(slot) = note.slot else { continue };
            let looked = index.looked.entry((slot, &note.held)).or_default();
            for value in note.from..=note.to {
                // What was seen says more than that the rest was left out.
                if note.seen != Seen::NotLooked || !looked.contains_key(&value) {
                    looked.insert(value, &note.seen);
                }
                if note.seen.is_to_be_avoided() {
                    index.avoided.insert((slot, value));
                }
            }
        }
        index
    }

    /// The value of a slot to look at next while these are held, and whether it is a finer one. `lit`
    /// says that what is held gives light.
    fn next_value(&self, slot: u16, held: &[Setting], lit: bool) -> Option<(u8, bool)> {
        let empty = Looked::new();
        let looked = self.looked.get(&(slot, held)).unwrap_or(&empty);
        let open =
            |value: &u8| !looked.contains_key(value) && !self.avoided.contains(&(slot, *value));
        if let Some(value) = COARSE.iter().find(|value| open(value)) {
            return Some((*value, false));
        }
        // At 0 everything is as it was at rest.
        let rest = (0, &Seen::Nothing);
        let known: Vec<(u8, &Seen)> = std::iter::once(rest)
            .chain(
                looked.iter().map(|(value, seen)| (*value, *seen)).filter(|(value, _)| *value > 0),
            )
            .filter(|(_, seen)| **seen != Seen::NotLooked)
            .collect();
        // Where nothing changed, the light is as it was before.
        let as_before = |seen: &Seen| match seen {
            Seen::Nothing => true,
            Seen::LightOn => lit,
            Seen::LightOff => !lit,
            _ => false,
        };
        let alike = |a: &Seen, b: &Seen| a.goes_with(b) || as_before(a) && as_before(b);
        known.windows(2).find_map(|pair| {
            let ((a, before), (b, after)) = (pair[0], pair[1]);
            let middle = a + (b - a) / 2;
            // Where a reset begins is not worth five resets: what lies before it stays unknown.
            let harmless = !before.is_to_be_avoided() && !after.is_to_be_avoided();
            let differ = harmless && b - a > 1 && !alike(before, after);
            (differ && open(&middle)).then_some((middle, true))
        })
    }

    /// Whether anything at all was seen of a slot alone.
    fn acts_alone(&self, slot: u16) -> bool {
        let looked = self.looked.get(&(slot, &[][..]));
        let acts = |seen: &&Seen| !matches!(seen, Seen::Nothing | Seen::NotLooked | Seen::LightOff);
        looked.is_some_and(|looked| looked.values().any(acts))
    }
}

impl Probe {
    /// What to do next; `None` when there is nothing left to look at.
    pub fn next_step(&self) -> Option<Step> {
        self.find_step()
    }

    /// The next steps as they follow if nothing unexpected is seen, at most `most` of them.
    pub fn steps_ahead(&self, most: usize) -> Vec<Step> {
        let mut probe = self.clone();
        let mut steps: Vec<Step> = Vec::new();
        while steps.len() < most {
            let Some(step) = probe.find_step() else { break };
            let expected = probe.expected(&step);
            probe.note(&step, expected, None);
            steps.push(step);
        }
        steps
    }

    /// The slots that are to be held for light, where it is known how there is any; none where there
    /// is light at rest.
    pub fn light(&self) -> Option<Vec<Setting>> {
        let gives = |note: &&Note| matches!(note.seen, Seen::LightOn | Seen::Brighter);
        if self.notes.iter().any(|note| note.slot.is_none() && note.seen == Seen::LightOn) {
            return Some(Vec::new());
        }
        let first = self.notes.iter().filter(|note| note.slot.is_some()).find(gives)?;
        let alike = |note: &&Note| (note.slot, &note.held) == (first.slot, &first.held);
        let brighter = self.notes.iter().filter(alike).filter(|note| note.seen == Seen::Brighter);
        let value = brighter.map(|note| note.to).max();
        let value = value.unwrap_or(first.from + (first.to - first.from) / 2);
        let mut held = first.held.clone();
        held.extend(first.slot.map(|slot| (slot, value)));
        held.sort_unstable();
        Some(held)
    }

    fn find_step(&self) -> Option<Step> {
        if self.notes.iter().all(|note| note.slot.is_some()) {
            return Some(Step {
                pass: Pass::Rest,
                slot: None,
                value: 0,
                held: vec![],
                finer: false,
            });
        }
        let index = Index::of(&self.notes);
        let light = self.light();
        let lit = |held: &[Setting]| {
            light.as_ref().is_some_and(|light| light.iter().all(|setting| held.contains(setting)))
        };
        let step = |pass, slot, held: &[Setting]| {
            let (value, finer) = index.next_value(slot, held, lit(held))?;
            Some(Step { pass, slot: Some(slot), value, held: held.to_vec(), finer })
        };
        if let Some(step) = (1..=self.slots).find_map(|slot| step(Pass::Alone, slot, &[])) {
            return Some(step);
        }
        let Some(light) = &light else { return self.pair(&index) };
        (1..=self.slots).find_map(|slot| {
            let others: Vec<Setting> =
                light.iter().filter(|(held, _)| *held != slot).copied().collect();
            if others.is_empty() { None } else { step(Pass::Lit, slot, &others) }
        })
    }

    /// Two slots that may give light together. A dimmer and a shutter mostly lie side by side, so
    /// neighbours come first; slots that do something by themselves are left alone.
    fn pair(&self, index: &Index<'_>) -> Option<Step> {
        let quiet: Vec<u16> = (1..=self.slots).filter(|slot| !index.acts_alone(*slot)).collect();
        let mut tried = 0;
        for apart in 1..quiet.len() {
            for at in 0..quiet.len() - apart {
                let (a, b) = (quiet[at], quiet[at + apart]);
                for (full, other) in [(a, b), (b, a)] {
                    let held = [(full, 255)];
                    let looked = index.looked.get(&(other, &held[..]));
                    for value in PAIRED {
                        // Both at full come once.
                        if value == 255 && full == b {
                            continue;
                        }
                        tried += 1;
                        if tried > MOST_PAIRED {
                            return None;
                        }
                        if looked.is_none_or(|looked| !looked.contains_key(&value)) {
                            return Some(Step {
                                pass: Pass::Pairs,
                                slot: Some(other),
                                value,
                                held: held.to_vec(),
                                finer: false,
                            });
                        }
                    }
                }
            }
        }
        None
    }

    /// What a step would show if nothing changed there: what its neighbour below showed.
    fn expected(&self, step: &Step) -> Seen {
        let same = |note: &&Note| (note.slot, &note.held) == (step.slot, &step.held);
        let below = self.notes.iter().filter(same).filter(|note| note.to < step.value);
        below.max_by_key(|note| note.to).map_or(Seen::Nothing, |note| note.seen.clone())
    }

    /// How many steps are behind, and about how many there are in all.
    pub fn progress(&self) -> (usize, usize) {
        let done = self.notes.len();
        let twice = self.light().is_none_or(|held| !held.is_empty());
        let all = 1 + usize::from(self.slots) * COARSE.len() * if twice { 2 } else { 1 };
        (done, all.max(done))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Probes a head that does `does` for a whole frame of settings, to the end. Gives the probe and
    /// how many steps it took.
    pub(crate) fn run(slots: u16, does: impl Fn(&Step, &dyn Fn(u16) -> u8) -> Seen) -> Probe {
        let mut probe = Probe::new("Wold", "Nameless", slots);
        while let Some(step) = probe.next_step() {
            let settings = step.settings();
            let at = |slot: u16| {
                settings.iter().find(|(known, _)| *known == slot).map_or(0, |(_, value)| *value)
            };
            let seen = does(&step, &at);
            probe.note(&step, seen, None);
            assert!(probe.notes.len() < 5000, "the plan never ends");
        }
        probe
    }

    #[test]
    fn it_begins_at_rest_and_takes_one_slot_at_a_time() {
        let mut probe = Probe::new("Wold", "Nameless", 2);
        let first = probe.next_step().unwrap();
        assert_eq!((first.pass, first.slot, first.settings()), (Pass::Rest, None, vec![]));
        let steps = probe.steps_ahead(1000);
        for step in steps.iter().filter(|step| step.pass == Pass::Alone) {
            assert_eq!(step.settings().len(), 1, "{step:?}");
        }
        let values: Vec<u8> = steps[1..9].iter().map(|step| step.value).collect();
        assert_eq!(values, COARSE);
        probe.note(&first, Seen::Nothing, None);
        assert_eq!(probe.next_step().unwrap().words(), "Set slot 1 to 32; every other slot to 0.");
    }

    #[test]
    fn it_gets_finer_where_something_changed_down_to_one_value() {
        // Open from 20 to 99, shut above.
        let probe = run(1, |step, at| match at(1) {
            _ if step.slot.is_none() => Seen::Nothing,
            20..=99 => Seen::LightOn,
            _ => Seen::Nothing,
        });
        let known: BTreeMap<u8, &Seen> =
            probe.notes.iter().map(|note| (note.from, &note.seen)).collect();
        for (value, lit) in [(19, false), (20, true), (99, true), (100, false)] {
            assert_eq!(known[&value] == &Seen::LightOn, lit, "{value}");
        }
        // Eight values and two boundaries of five halvings each, and the rest.
        assert!(probe.notes.len() <= 1 + 8 + 2 * 5, "{}", probe.notes.len());
    }

    #[test]
    fn with_light_every_other_slot_is_looked_at_again() {
        let probe = run(3, |step, at| match step.slot {
            Some(2) if at(2) > 0 => Seen::Brighter,
            Some(3) if at(2) > 0 && at(3) >= 100 => Seen::Colour("red".to_owned()),
            _ => Seen::Nothing,
        });
        assert_eq!(probe.light(), Some(vec![(2, 255)]));
        let red = probe.notes.iter().filter(|note| note.seen == Seen::Colour("red".to_owned()));
        assert_eq!(red.map(|note| note.from).min(), Some(100));
        assert!(probe.notes.iter().any(|note| note.slot == Some(1) && note.held == [(2, 255)]));
        assert!(probe.notes.iter().all(|note| note.slot != Some(2) || note.held.is_empty()));
    }

    #[test]
    fn light_that_needs_two_slots_is_found_and_each_is_looked_at_under_the_other() {
        // A shutter on 4 that is open from 32 to 63, and a dimmer on 5.
        let probe = run(6, |step, at| {
            let lit = (32..=63).contains(&at(4)) && at(5) > 0;
            match step.slot {
                Some(5) if lit => Seen::Brighter,
                Some(4) if lit => Seen::LightOn,
                _ => Seen::Nothing,
            }
        });
        let light = probe.light().unwrap();
        assert_eq!(light.len(), 2, "{light:?}");
        let open =
            probe.notes.iter().filter(|note| note.slot == Some(4) && note.seen == Seen::LightOn);
        let open: Vec<u8> = open.map(|note| note.from).collect();
        assert_eq!((open.iter().min(), open.iter().max()), (Some(&32), Some(&63)));
    }

    #[test]
    fn a_value_that_resets_the_head_is_not_sent_again() {
        let probe = run(2, |step, at| match step.slot {
            Some(1) => Seen::Brighter,
            Some(2) if at(2) >= 224 => Seen::Homes,
            _ => Seen::Nothing,
        });
        let homed = probe.notes.iter().filter(|note| note.seen == Seen::Homes);
        assert!(homed.clone().count() > 0);
        assert!(homed.clone().all(|note| note.held.is_empty()), "seen once, alone");
    }

    #[test]
    fn a_slot_can_be_left_out_and_a_step_taken_back() {
        let mut probe = Probe::new("Wold", "Nameless", 2);
        let rest = probe.next_step().unwrap();
        probe.note(&rest, Seen::Nothing, None);
        let first = probe.next_step().unwrap();
        probe.skip_slot(&first);
        assert_eq!(probe.next_step().unwrap().slot, Some(2));
        probe.notes.pop();
        assert_eq!(probe.next_step(), Some(first));
    }

    #[test]
    fn the_longest_head_ends_too() {
        let mut probe = Probe::new("Wold", "Long", 512);
        let rest = probe.next_step().unwrap();
        probe.note(&rest, Seen::Nothing, None);
        for slot in 1..=512 {
            let step = Step { slot: Some(slot), ..rest.clone() };
            probe.skip_slot(&step);
        }
        let pairs = probe.next_step().unwrap();
        assert_eq!((pairs.pass, pairs.slot, pairs.value), (Pass::Pairs, Some(2), 32));
    }
}
