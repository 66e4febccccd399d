//! What was made of a table: each range with how far it can be trusted, and each line.

use super::super::effect::Effect;
use super::super::model::{Profile, Range};
use super::super::physical::Physical;
use super::super::write::to_ron;
use super::effects::Confidence;
use super::rows::{LineUse, Use};
use crate::finding::one_line;
use crate::wire::slots_written;

/// Doubtful ranges that the comment above a draft lists at most.
const MOST_LISTED: usize = 200;

/// What was made of a table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TableReport {
    /// Every range of the draft, in the order of its modes, channels and values.
    pub ranges: Vec<RangeEntry>,
    /// Every line that is not blank, and what became of it.
    pub lines: Vec<LineUse>,
    /// What the table does not say and the draft had to have.
    pub assumed: Vec<String>,
}

/// One range of the draft.
#[derive(Clone, Debug, PartialEq)]
pub struct RangeEntry {
    /// The line that it was read from, from 1.
    pub line: u32,
    /// The mode.
    pub mode: String,
    /// The channel.
    pub channel: String,
    /// The channel's slots in the mode, coarse first.
    pub slots: Vec<u16>,
    /// Its values and what they do.
    pub range: Range,
    /// The table gives the physical values of the effect.
    pub stated: bool,
    /// How far it can be trusted.
    pub confidence: Confidence,
    /// Why it is not sure. Empty for what is.
    pub why: String,
}

impl RangeEntry {
    /// Its first and last value as printed: of the coarse slot, or of the whole channel.
    pub fn values(&self) -> (i64, i64) {
        let Range { from, to, fine_from, fine_to, .. } = &self.range;
        (fine_from.or(*from).unwrap_or(0), fine_to.or(*to).unwrap_or(0))
    }

    /// Its channel with the slots before it: `1/2 Pan`.
    pub fn channel_words(&self) -> String {
        format!("{} {}", slots_written(&self.slots), self.channel)
    }

    /// The physical pair of its effect.
    pub fn physical(&self) -> Option<Physical> {
        self.range.does.physical()
    }

    /// Its effect in words: the key, what it moves, its physical ends.
    pub fn effect_words(&self) -> String {
        let does = &self.range.does;
        let mut text = does.key().to_owned();
        match does {
            Effect::Emitter { name, .. } | Effect::Program { name } => {
                text.push_str(&format!(" {name}"))
            }
            Effect::Filter { name, .. } => text.push_str(&format!(" {}", name.word())),
            Effect::Latch { switch, on, .. } => {
                text.push_str(&format!(" {} {}", switch.word(), if *on { "on" } else { "off" }));
            }
            _ => {}
        }
        for slot in does.wheel_slots() {
            text.push_str(&format!(" {slot}"));
        }
        if let Some(Physical { span: (a, b), unit, .. }) = self.physical() {
            let about = if self.stated { "" } else { "about " };
            if a == b {
                text.push_str(&format!(", {about}{}", unit.format(a)));
            } else {
                text.push_str(&format!(", {about}{} to {}", unit.format(a), unit.format(b)));
            }
        }
        if let Some(Some(hold_s)) = does.hold_s() {
            text.push_str(&format!(", hold {hold_s} s"));
        }
        text
    }
}

impl TableReport {
    /// How many ranges have a confidence.
    pub fn count(&self, confidence: Confidence) -> usize {
        self.ranges.iter().filter(|entry| entry.confidence == confidence).count()
    }

    /// The lines that were not understood.
    pub fn not_understood(&self) -> impl Iterator<Item = &LineUse> {
        self.lines.iter().filter(|line| matches!(line.used, Use::NotUnderstood(_)))
    }

    /// The draft as a profile file: what is doubtful stands as comments above it.
    pub fn to_ron(&self, profile: &Profile) -> String {
        let mut text = String::from(
            "// A draft from a channel table. Look at everything that is listed here before using it.\n",
        );
        let mut line = |words: &str| {
            text.push_str("// ");
            text.push_str(one_line(words).trim_end());
            text.push('\n');
        };
        for assumed in &self.assumed {
            line(&format!("Not in the table: {assumed}."));
        }
        let doubtful = self.ranges.iter().filter(|entry| entry.confidence != Confidence::Sure);
        for entry in doubtful.clone().take(MOST_LISTED) {
            let (from, to) = entry.values();
            let RangeEntry { mode, channel, confidence, why, .. } = entry;
            let words = entry.effect_words();
            line(&format!(
                "Line {}: {mode}, {channel}, {from}..{to}: {words}: {}: {why}.",
                entry.line,
                confidence.word()
            ));
        }
        match doubtful.count().saturating_sub(MOST_LISTED) {
            0 => {}
            more => line(&format!("And {more} more.")),
        }
        for lost in self.not_understood().take(MOST_LISTED) {
            line(&format!(
                "Line {} was not understood ({}): {}",
                lost.line,
                lost.used.reason(),
                lost.text
            ));
        }
        text + &to_ron(profile)
    }
}
