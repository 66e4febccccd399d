//! What is done on the bench: edits, undo, the selection that goes along, and the keys.

use egui::Context;

use super::{
    Bench, BenchCommand, BenchThen, Focus, Page, Section, blank_profile, free_name, is_bench_action,
};
use crate::app::command::Command;
use crate::app::files::{Purpose, is_known_drawing};
use crate::app::keys::Action;
use crate::app::profiles::choices;
use crate::app::state::State;
use crate::finding::Severity;
use crate::profile::edit::ranges::{layer, new_range};
use crate::profile::edit::{ChannelAt, ProfileEdit, place_after_move};
use crate::profile::model::{Channel, Mode, max_value};
use crate::profile::{Effect, Profile};
use crate::show::ProfileDocument;

impl State {
    /// Goes to the bench or back to the stage. The first time, the bench opens on the profile of the
    /// selected fixture.
    pub(in crate::app) fn turn_page(&mut self) {
        if self.page == Page::Bench {
            self.page = Page::Stage;
        } else {
            if self.bench.is_none() {
                let fixture = self.selection.first().and_then(|i| self.show().rig.get(*i));
                let known = fixture.and_then(|fixture| {
                    let profile = self.show().profiles.get(&fixture.profile)?;
                    let mode = profile.modes.iter().position(|mode| mode.name == fixture.mode)?;
                    Some((Profile::clone(profile), mode))
                });
                let (profile, mode) = known.unwrap_or_else(|| (blank_profile(), 0));
                self.put_on_bench(ProfileDocument::new(profile));
                self.show_mode(mode);
            }
            self.page = Page::Bench;
        }
        self.clock.look_away();
        if let Some(bench) = &mut self.bench {
            bench.head.clock.look_away();
        }
        self.slots.focused = false;
        self.status = None;
    }

    /// Puts another profile on the bench.
    pub(in crate::app) fn put_on_bench(&mut self, document: ProfileDocument) {
        // Which panels are shown, and how bright, stays as it was.
        let before = self.bench.as_ref().map(|bench| &bench.head.preferences);
        let preferences = before.unwrap_or(&self.preferences).clone();
        self.bench = Some(Box::new(Bench::new(document, preferences)));
    }

    fn show_mode(&mut self, mode: usize) {
        if let Some(bench) = &mut self.bench
            && bench.focus.mode != mode
        {
            bench.focus = Focus { mode, ..Focus::default() };
            bench.rebuild(true);
            bench.light();
            bench.focus.range = bench.range_in_force();
        }
    }

    /// Does what a panel of the bench asked for.
    pub(in crate::app) fn apply_bench(&mut self, ctx: &Context, command: BenchCommand) {
        match command {
            BenchCommand::Edit { edit, gesture } => {
                self.edit_profile(edit, gesture);
            }
            BenchCommand::OpenLibrary(key) => {
                let known = choices(self.show(), self.document.library());
                if let Some(profile) = known.get(&key) {
                    let document = Box::new(ProfileDocument::new(Profile::clone(profile)));
                    self.leave_profile(ctx, BenchThen::Document { document, findings: Vec::new() });
                }
            }
            BenchCommand::Open(path) => self.jobs.read_profile(ctx, path),
            BenchCommand::Show(focus) => self.show_focus(*focus),
            command => self.apply_to_bench(ctx, command),
        }
    }

    fn apply_to_bench(&mut self, ctx: &Context, command: BenchCommand) {
        let Some(bench) = &mut self.bench else { return };
        match command {
            BenchCommand::EndGesture => bench.gesture = None,
            BenchCommand::Head(command) => {
                bench.head.apply(ctx, *command);
                bench.head.selection = vec![0];
            }
            BenchCommand::SetValue { channel, value } => bench.give(ctx, channel, value),
            BenchCommand::Try(range) => {
                bench.focus.range = Some(range);
                bench.try_range(ctx);
            }
            BenchCommand::Rest => bench.rest(),
            BenchCommand::Light => bench.light(),
            BenchCommand::CopyMode | BenchCommand::NewMode => {
                if let Some(edit) = bench.another_mode(command == BenchCommand::CopyMode) {
                    self.edit_profile(edit, false);
                }
            }
            BenchCommand::NewChannel => {
                if let Some(edit) = bench.another_channel() {
                    self.edit_profile(edit, false);
                }
            }
            _ => {}
        }
    }

    fn show_focus(&mut self, focus: Focus) {
        let Some(bench) = &mut self.bench else { return };
        let other_mode = bench.focus.mode != focus.mode;
        let other = other_mode || bench.focus.channel != focus.channel;
        if bench.focus.drawing != focus.drawing {
            bench.opening.clear();
        }
        bench.focus = focus;
        bench.gesture = None;
        bench.keep_focus();
        if other_mode {
            bench.rebuild(true);
        }
        if other && bench.focus.range.is_none() {
            bench.focus.range = bench.range_in_force();
        }
    }

    /// Makes an edit of the profile. Says why where that cannot be done, and returns whether it could.
    pub(super) fn edit_profile(&mut self, edit: ProfileEdit, gesture: bool) -> bool {
        let Some(bench) = &mut self.bench else { return false };
        if !gesture {
            bench.gesture = None;
        } else if bench.gesture.is_none() {
            bench.gesture = Some(bench.document.new_gesture());
        }
        let made = edit.clone();
        match bench.document.apply(edit, bench.gesture, &is_known_drawing) {
            Ok(true) => {
                bench.go_along(&made);
                bench.changed();
                self.status = None;
                true
            }
            Ok(false) => true,
            Err(finding) => {
                self.say(Severity::Error, finding.to_string());
                false
            }
        }
    }

    /// Does what a key or a menu asked for while the bench is shown.
    pub(in crate::app) fn act_on_bench(&mut self, ctx: &Context, action: Action) {
        let typing =
            ctx.text_edit_focused().then(|| ctx.memory(|memory| memory.focused())).flatten();
        if let (Some(field), Some(bench)) = (typing, &mut self.bench) {
            // What is being typed comes first: it would be left out of what is saved.
            ctx.memory_mut(|memory| memory.surrender_focus(field));
            bench.deferred = Some(action);
            ctx.request_repaint();
            return;
        }
        match action {
            action if is_bench_action(action) => self.act_on_profile(ctx, action),
            Action::Bench
            | Action::Quit
            | Action::SwapTheme
            | Action::Table
            | Action::BenchTable
            | Action::Guide
            | Action::Keys
            | Action::Profiles
            | Action::Describe
            | Action::About => {
                self.act(ctx, action);
            }
            Action::SelectNone => {}
            Action::Play
            | Action::StepOn
            | Action::Arrive
            | Action::Faster
            | Action::Slower
            | Action::TogglePlot
            | Action::Fit
            | Action::SwapSide
            | Action::ZoomIn
            | Action::ZoomOut
            | Action::Brighter
            | Action::Darker
            | Action::AutoExposure
            | Action::MoreHaze
            | Action::LessHaze
            | Action::ToggleLists
            | Action::ToggleReading
            | Action::Why => {
                if let Some(bench) = &mut self.bench {
                    bench.head.act(ctx, action);
                }
            }
            _ => {
                let key = Action::Bench.key_words(ctx);
                self.say(Severity::Note, format!("that is done on the stage ({key})"));
            }
        }
    }

    fn act_on_profile(&mut self, ctx: &Context, action: Action) {
        match action {
            Action::New => self.leave_profile(ctx, BenchThen::New),
            Action::Open => {
                let near = self.bench.as_ref().and_then(|bench| bench.document.path());
                self.jobs.choose(ctx, Purpose::OpenProfile, near);
            }
            Action::Save => self.save_profile(ctx),
            Action::SaveAs => {
                let near = self.bench.as_ref().and_then(|bench| bench.document.path());
                self.jobs.choose(ctx, Purpose::SaveProfile, near);
            }
            Action::Undo => self.step_profile("undone", ProfileDocument::undo),
            Action::Redo => self.step_profile("made again", ProfileDocument::redo),
            Action::SplitRange => self.split_range(),
            Action::MergeRanges => match self.bench.as_ref().and_then(|bench| bench.range_at()) {
                Some(at) => drop(self.edit_profile(ProfileEdit::MergeRange(at), false)),
                None => self.say(Severity::Note, "click a range first"),
            },
            Action::NextRange | Action::PreviousRange => {
                if let Some(bench) = &mut self.bench {
                    bench.step_range(action == Action::NextRange);
                    bench.try_range(ctx);
                }
            }
            _ => {}
        }
    }

    fn step_profile(&mut self, how: &str, take: fn(&mut ProfileDocument) -> Option<String>) {
        let Some(bench) = &mut self.bench else { return };
        bench.gesture = None;
        match take(&mut bench.document) {
            Some(what) => {
                bench.changed();
                self.say(Severity::Note, format!("{how}: {what}"));
            }
            None => self.say(Severity::Note, format!("nothing to be {how}")),
        }
    }

    fn split_range(&mut self) {
        let Some(bench) = &self.bench else { return };
        match (bench.range_at(), bench.split_value()) {
            (Some(at), Some(value)) => {
                self.edit_profile(ProfileEdit::SplitRange { at, value }, false);
            }
            (Some(_), None) => self.say(Severity::Note, "put the cursor inside the range first"),
            (None, _) => self.say(Severity::Note, "click a range first"),
        }
    }
}

impl Bench {
    /// Takes in that the profile is another one.
    fn changed(&mut self) {
        self.edits += 1;
        self.keep_focus();
        self.check();
        self.rebuild(false);
    }

    /// Where the selected range would be split: at the cursor, in steps of the coarse slot where these
    /// part it.
    pub(in crate::app) fn split_value(&self) -> Option<u32> {
        let channel = self.channel()?;
        let (first, last) = self.range()?.bounds(channel.at.len())?;
        let value = self.value(self.focus.channel)?;
        let coarse = value & !max_value(channel.at.len().saturating_sub(1));
        let fits = |value: &u32| *value > first && *value <= last;
        [coarse, value].into_iter().find(fits)
    }

    /// The range of the selected channel that the test head's values ask for.
    pub(super) fn range_in_force(&self) -> Option<usize> {
        let channel = self.channel()?;
        let value = self.value(self.focus.channel)?;
        channel.ranges.iter().position(|range| {
            let bounds = range.bounds(channel.at.len());
            let here = bounds.is_some_and(|(first, last)| (first..=last).contains(&value));
            here && self.meet(&range.when).is_empty()
        })
    }

    fn step_range(&mut self, up: bool) {
        let Some(channel) = self.channel() else { return };
        let width = channel.at.len();
        let mut order: Vec<usize> = (0..channel.ranges.len()).collect();
        order.sort_by_key(|i| channel.ranges[*i].bounds(width));
        let here = self.focus.range.and_then(|range| order.iter().position(|i| *i == range));
        let count = order.len();
        let next = match (here, up) {
            (_, _) if count == 0 => return,
            (Some(at), true) => (at + 1) % count,
            (Some(at), false) => (at + count - 1) % count,
            (None, true) => 0,
            (None, false) => count - 1,
        };
        self.focus.range = Some(order[next]);
        self.focus.section = Section::Channel;
    }

    /// Lets the test head do what the selected range does: at its middle, with what it depends on.
    fn try_range(&mut self, ctx: &Context) {
        let (Some(channel), Some(range)) = (self.channel(), self.range()) else { return };
        let Some((first, last)) = range.bounds(channel.at.len()) else { return };
        let value = self.value(self.focus.channel);
        let inside = value.is_some_and(|value| (first..=last).contains(&value));
        let middle = first + (last - first) / 2;
        let own = (!inside).then_some((self.focus.channel, middle));
        let wanted: Vec<_> = self.meet(&range.when).into_iter().chain(own).collect();
        for (channel, value) in wanted {
            self.give(ctx, channel, value);
        }
    }

    /// Gives a channel of the test head a value, and selects the range there.
    fn give(&mut self, ctx: &Context, channel: usize, value: u32) {
        if let Some(command) = self.set_value(channel, value, true) {
            self.head.apply(ctx, command);
            self.head.selection = vec![0];
        }
        if channel == self.focus.channel
            && let Some(range) = self.range()
            && let Some(found) = self.range_at_value(&range.when.clone(), value)
        {
            self.focus.range = Some(found);
        }
    }

    /// Lets go of what is not there any more.
    fn keep_focus(&mut self) {
        let profile = self.document.profile().clone();
        let focus = &mut self.focus;
        focus.mode = focus.mode.min(profile.modes.len().saturating_sub(1));
        let channels = profile.modes.get(focus.mode).map_or(&[][..], |mode| &mode.channels);
        focus.channel = focus.channel.min(channels.len().saturating_sub(1));
        let ranges = channels.get(focus.channel).map_or(0, |channel| channel.ranges.len());
        focus.range = focus.range.filter(|range| *range < ranges);
        if focus.wheel.as_ref().is_none_or(|name| !profile.wheels.contains_key(name)) {
            focus.wheel = profile.wheels.keys().next().cloned();
        }
        focus.drawing = focus.drawing.take().filter(|name| profile.drawings.contains_key(name));
    }

    /// Lets the selection go along with an edit that was just made.
    fn go_along(&mut self, edit: &ProfileEdit) {
        let profile = self.document.profile().clone();
        let focus = &mut self.focus;
        match edit {
            ProfileEdit::AddChannel { at, .. } => {
                focus.channel = at.channel;
                (focus.section, focus.range) = (Section::Channel, Some(0));
            }
            ProfileEdit::MoveChannel { at, to } => {
                focus.channel = place_after_move(focus.channel, at.channel, *to);
            }
            ProfileEdit::RemoveChannel(at) if at.channel < focus.channel => focus.channel -= 1,
            ProfileEdit::RemoveChannel(_) => focus.range = None,
            ProfileEdit::AddMode { at, .. } => {
                *focus = Focus { section: Section::Mode, mode: *at, ..focus.clone() };
                (focus.channel, focus.range) = (0, None);
            }
            ProfileEdit::MoveMode { to, .. } => focus.mode = *to,
            ProfileEdit::SplitRange { at, .. } => focus.range = Some(at.range + 1),
            ProfileEdit::RemoveRange(_) => focus.range = None,
            ProfileEdit::AddRange { range, .. } => {
                let mode = profile.modes.get(focus.mode);
                let ranges = mode.and_then(|mode| mode.channels.get(focus.channel));
                focus.range =
                    ranges.and_then(|c| c.ranges.iter().position(|other| *other == **range));
            }
            ProfileEdit::MergeRange(at) => {
                let mode = profile.modes.get(focus.mode);
                let count = mode
                    .and_then(|mode| mode.channels.get(focus.channel))
                    .map_or(0, |channel| channel.ranges.len());
                focus.range = Some(at.range.min(count.saturating_sub(1)));
            }
            ProfileEdit::AddWheel { name } | ProfileEdit::RenameWheel { to: name, .. } => {
                focus.wheel = Some(name.clone());
            }
            ProfileEdit::SetDrawing { name, .. } | ProfileEdit::RenameDrawing { to: name, .. } => {
                focus.drawing = Some(name.clone());
            }
            _ => {}
        }
    }

    fn another_mode(&self, copy: bool) -> Option<ProfileEdit> {
        let profile = self.profile();
        let taken = profile.modes.iter().map(|mode| mode.name.as_str());
        let at = self.focus.mode + 1;
        let mode = if copy {
            let mode = self.mode()?;
            Mode { name: free_name(&format!("{} copy", mode.name), taken), ..mode.clone() }
        } else {
            Mode { name: free_name("new mode", taken), slots: 1, channels: Vec::new() }
        };
        Some(ProfileEdit::AddMode { at, mode: Box::new(mode) })
    }

    /// A channel of one slot behind the selected one, of which nothing is known yet.
    fn another_channel(&self) -> Option<ProfileEdit> {
        let mode = self.mode()?;
        let count = mode.channels.len();
        let place = if count == 0 { 0 } else { (self.focus.channel + 1).min(count) };
        let used = |slot: &u16| mode.channels.iter().any(|channel| channel.at.contains(slot));
        let slot = (1..=u16::MAX).find(|slot| !used(slot))?;
        let name = free_name("Channel", mode.channels.iter().map(|c| c.name.as_str()));
        let channel = Channel {
            name,
            at: vec![slot],
            default: 0,
            snap: false,
            cell: None,
            ranges: vec![new_range(0, 255, 1, Effect::Unknown, Vec::new())],
        };
        let at = ChannelAt { mode: self.focus.mode, channel: place };
        Some(ProfileEdit::AddChannel { at, channel: Box::new(channel) })
    }

    /// The stretch of values around the cursor that no range of the selected one's layer covers, as an
    /// edit that fills it with a range of which nothing is known yet.
    pub(super) fn fill_gap(&self) -> Option<ProfileEdit> {
        let channel = self.channel()?;
        let width = channel.at.len();
        let value = self.value(self.focus.channel)?;
        let chosen = self.focus.range.or((!channel.ranges.is_empty()).then_some(0));
        let when = chosen.map_or_else(Vec::new, |i| channel.ranges[i].when.clone());
        let layer = chosen.map_or_else(Vec::new, |range| layer(channel, range));
        if layer.iter().any(|(_, first, last)| (*first..=*last).contains(&value)) {
            return None;
        }
        let first = layer.iter().filter(|(.., last)| *last < value).map(|(.., last)| last + 1);
        let last =
            layer.iter().filter(|(_, first, _)| *first > value).map(|(_, first, _)| first - 1);
        let (first, last) =
            (first.max().unwrap_or(0), last.min().unwrap_or_else(|| channel.max_value()));
        let range = Box::new(new_range(first, last, width, Effect::Unknown, when));
        Some(ProfileEdit::AddRange { at: self.channel_at(), range })
    }
}

/// The command for an edit that is a step of its own.
pub(super) fn edit(edit: ProfileEdit) -> Command {
    BenchCommand::Edit { edit, gesture: false }.into()
}
