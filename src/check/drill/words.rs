//! Exercises, hints and keys in words.

use super::answer::letter;
use super::outcome::{Outcome, Part, facet_words};
use super::{Exercise, Facet, Task, TestHead, key_ranges};
use crate::decode::CompiledMode;

impl Exercise {
    /// What is asked, in sentences.
    pub fn question(&self, mode: &CompiledMode) -> Vec<String> {
        match &self.task {
            Task::Set { wanted, .. } => {
                let mut said = vec!["Set the head to this, with its light on:".to_owned()];
                said.extend(
                    facet_words(wanted, mode).into_iter().map(|words| format!("- {words}")),
                );
                said
            }
            Task::Which { was, seen, .. } => {
                let mut said = vec!["One slot was moved, and this changed:".to_owned()];
                said.extend(changes(was, "before", seen, mode));
                said.push("Which slot of the head did that?".to_owned());
                said
            }
            Task::What { slots, slot, .. } => {
                let value = super::head::byte(slots, *slot);
                vec![format!("What will {value} on slot {slot} of the head do?")]
            }
            Task::Fault { address, meant, seen, lit, .. } => {
                let was = Outcome { facets: meant.clone(), commands: Vec::new(), overridden: None };
                let footprint = mode.footprint;
                let mut said = vec![format!(
                    "Three heads stand behind each other, {footprint} slots each; this one is patched at \
                     address {address}. The frame is right, but the head does not do what it asks:"
                )];
                if !*lit {
                    said.push("- it is dark".to_owned());
                }
                if let Some(by) = &seen.overridden {
                    said.push(format!("- something else runs it: {}", by.words()));
                }
                let changed = seen.differing(&was, 1.0);
                let lines = changes(&was, "asked", &changed, mode);
                let more = lines.len().saturating_sub(6);
                said.extend(lines.into_iter().take(6));
                if more > 0 {
                    said.push(format!("- and {more} more"));
                }
                said.push("What is wrong?".to_owned());
                said
            }
            Task::Address { footprints, taken } => {
                let sizes: Vec<String> = footprints.iter().map(u16::to_string).collect();
                vec![format!(
                    "Slots {}..{} are taken. Give start addresses in this universe to heads of {} slots, in \
                     this order, so that no two share a slot.",
                    taken.first,
                    taken.first + taken.slots - 1,
                    sizes.join(", ")
                )]
            }
            Task::Switches { on } => {
                let on: Vec<String> = on
                    .iter()
                    .enumerate()
                    .filter(|(_, on)| **on)
                    .map(|(i, _)| (i + 1).to_string())
                    .collect();
                vec![format!(
                    "Of nine address switches these are on: {}. Switch 1 is the least, and the sum is the start \
                     address. Which address is it?",
                    on.join(", ")
                )]
            }
            Task::Packet { break_us, mark_us, slots } => vec![format!(
                "A packet has a break of {break_us} µs, a mark after break of {mark_us} µs, the start code and \
                 {slots} slots. How long is it from the start of the break to the end of the last slot, in \
                 microseconds?"
            )],
        }
    }

    /// How an answer is written.
    pub fn answer_form(&self) -> &'static str {
        match self.task {
            Task::Set { .. } => "slot=value, as 7=40 8=255",
            Task::Which { .. } | Task::What { .. } | Task::Fault { .. } => "the letter",
            Task::Address { .. } => "addresses in order, as 1 17 33",
            Task::Switches { .. } => "the address",
            Task::Packet { .. } => "microseconds, as 22760, or 22.76 ms",
        }
    }

    /// The letter of a choice.
    pub fn letter(place: usize) -> String {
        letter(place)
    }

    /// Hints, from a nudge to most of the answer. Each costs [`super::HINT_COST`] of the points.
    pub fn hints(&self, head: &mut TestHead) -> Vec<String> {
        let mode = head.mode.clone();
        match &self.task {
            Task::Set { .. } => {
                let keys = key_ranges(self, head);
                let of = |channel: usize| mode.channels.get(channel).map_or("", |c| &c.name);
                let names: Vec<&str> = keys.iter().map(|key| of(key.channel)).collect();
                let slots: Vec<String> = keys.iter().map(|key| key.slot.to_string()).collect();
                let values: Vec<String> =
                    keys.iter().map(|key| format!("slot {}: {}", key.slot, key.words())).collect();
                vec![
                    format!("It takes {}.", names.join(", ")),
                    format!("Set slot {}.", slots.join(", ")),
                    values.join("; "),
                ]
            }
            Task::Which { seen, .. } => {
                let words = seen.first().map(|facet| facet.part_words(&mode)).unwrap_or_default();
                let named = mode.channels.iter().filter(|channel| {
                    let touches = |range: &crate::decode::CompiledRange| {
                        range.effects().any(|effect| touches(effect.key(), seen))
                    };
                    channel.ranges.iter().any(touches)
                });
                let names: Vec<&str> = named.map(|channel| channel.name.as_str()).take(6).collect();
                let names = match names.is_empty() {
                    true => "Look in the chart for the channel of that part.".to_owned(),
                    false => format!("Look at {}.", names.join(", ")),
                };
                vec![format!("Look in the chart for {words}."), names]
            }
            Task::What { slot, .. } => {
                let channel = mode.channel_at(*slot).and_then(|(c, _)| mode.channels.get(c));
                let name = channel.map_or("", |channel| channel.name.as_str());
                let ranges = channel.map_or(0, |channel| channel.ranges.len());
                vec![format!("Slot {slot} is {name}."), format!("{name} has {ranges} ranges.")]
            }
            Task::Fault { lit, .. } => vec![
                "Is it one part that is off, or many at once? Many at once is an address or a mode.".to_owned(),
                match lit {
                    true => "Hold each part that is off against the slot that asks for it.".to_owned(),
                    false => "Follow the light: which slot holds it back?".to_owned(),
                },
            ],
            Task::Address { .. } => vec![
                "A head of n slots at address a ends at slot a + n - 1; the next can begin behind it."
                    .to_owned(),
                "Mind the slots that are taken, and slot 512.".to_owned(),
            ],
            Task::Switches { .. } => vec![
                "Each switch counts twice the one before it.".to_owned(),
                "1, 2, 4, 8, 16, 32, 64, 128, 256".to_owned(),
            ],
            Task::Packet { .. } => vec![
                "A slot is 11 bits of 4 µs: 44 µs (ANSI E1.11).".to_owned(),
                "The start code takes a slot's time too.".to_owned(),
            ],
        }
    }

    /// The answer key in words: a right answer, and the ranges in which others are right too.
    pub fn key(&self, head: &mut TestHead) -> Vec<String> {
        let mut said = Vec::new();
        if let Some(answer) = self.right_answer() {
            let why = self.grade(head, &answer).said;
            let words = match &answer {
                super::Answer::Pick(place) => {
                    let choice = self.choices().get(*place).map_or("", |c| c.words.as_str());
                    format!("{}: {choice}", answer.words())
                }
                _ => answer.words(),
            };
            said.push(words);
            if !matches!(self.task, Task::Set { .. } | Task::What { .. }) {
                said.extend(why);
            }
        }
        let mode = head.mode.clone();
        said.extend(key_ranges(self, head).iter().map(|key| {
            let name = mode.channels.get(key.channel).map_or("", |c| c.name.as_str());
            format!("slot {} ({name}): {}", key.slot, key.words())
        }));
        said
    }

    /// Whether the answer is a light that flashes.
    pub fn flashes(&self) -> bool {
        let flashing = |facets: &[Facet]| {
            facets.iter().any(|f| matches!(f.part, Part::Shutter(_)) && f.number.is_some())
        };
        match &self.task {
            Task::Set { wanted, .. } => flashing(wanted),
            Task::Which { seen, .. } => flashing(seen),
            Task::Fault { seen, .. } => flashing(&seen.facets),
            _ => false,
        }
    }
}

/// Whether an effect of this name moves one of these parts.
fn touches(key: &str, seen: &[Facet]) -> bool {
    seen.iter().any(|facet| match facet.part {
        Part::Pan => key.starts_with("pan"),
        Part::Tilt => key.starts_with("tilt"),
        Part::AimSpeed => key.starts_with("aim"),
        Part::Level(_) => key == "dimmer",
        Part::Shutter(_) => {
            ["shut", "open", "strobe", "pulse", "random-strobe", "burst"].contains(&key)
        }
        Part::Emitter(..) => key == "emitter",
        Part::Filter(..) => key == "filter",
        Part::Temperature(_) => key == "temperature",
        Part::Wheel(_) => ["slot", "split", "glide", "shake", "scroll", "halt"].contains(&key),
        Part::WheelTurn(_) => ["turn", "spin", "spin-stop", "shake"].contains(&key),
        Part::Zoom => key == "zoom",
        Part::Focus => key == "focus",
        Part::Iris | Part::IrisPulse => key.starts_with("iris"),
        Part::Frost => key == "frost",
        Part::Blade(_) | Part::BladeTurn(_) => key.starts_with("blade"),
        Part::FrameTurn => key == "frame-turn",
        Part::DarkWhileMoving => key.starts_with("dark"),
    })
}

/// What differs, with what it was `then`.
fn changes(was: &Outcome, then: &str, now: &[Facet], mode: &CompiledMode) -> Vec<String> {
    let before: Vec<Facet> =
        now.iter().filter_map(|facet| was.facet(facet.part).copied()).collect();
    let (before, after) = (facet_words(&before, mode), facet_words(now, mode));
    let after = after.into_iter().map(|words| {
        let part = words.split(": ").next().unwrap_or("");
        let was = before.iter().find_map(|b| b.strip_prefix(part)?.strip_prefix(": "));
        match was {
            Some(was) => format!("- {words} ({then}: {was})"),
            None => format!("- {words}"),
        }
    });
    after.collect()
}
