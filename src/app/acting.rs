//! What each action of the window does: the one place that hands actions on to the part that carries them out.

use egui::Context;

use super::command::How;
use super::dialogs::{Dialog, Then};
use super::files::Purpose;
use super::keys::Action;
use super::state::{Exposure, State};
use crate::finding::Severity;
use crate::show::Document;

impl State {
    pub(super) fn act(&mut self, ctx: &Context, action: Action) {
        match action {
            Action::Bench => self.turn_page(),
            Action::New => self.leave(ctx, Then::New),
            Action::Import => self.jobs.choose(ctx, Purpose::Import, self.document.path()),
            Action::Open => self.jobs.choose(ctx, Purpose::Open, self.document.path()),
            Action::OpenDemo => self.leave(ctx, Then::Demo),
            Action::Save => self.save(ctx),
            Action::SaveAs => {
                self.jobs.choose(ctx, Purpose::Save, self.document.path());
            }
            Action::Quit => self.leave(ctx, Then::Quit),
            Action::Undo => self.step("undone", Document::undo),
            Action::Redo => self.step("made again", Document::redo),
            Action::SelectAll => {
                self.select((0..self.show().rig.len()).collect(), How::Replace);
            }
            Action::SelectNone => self.select(Vec::new(), How::Replace),
            Action::NextFixture => self.step_selection(1),
            Action::PreviousFixture => self.step_selection(-1),
            Action::Setup => {
                self.setup.open = !self.setup.open;
                self.preferences.reading |= self.setup.open;
            }
            Action::ChangeModel => self.toggle_change(),
            Action::Chart => self.toggle_chart(),
            Action::AddFixtures | Action::DuplicateFixtures | Action::RemoveFixtures => {
                self.act_on_rig(ctx, action);
            }
            Action::NewLook
            | Action::UpdateLook
            | Action::RenameLook
            | Action::DeleteLook
            | Action::NextLook
            | Action::PreviousLook => self.act_on_look(action),
            Action::GoToSlots => {
                self.preferences.slots = true;
                self.slots.take_keyboard(self.first_slot());
            }
            Action::ToggleLists => self.preferences.lists = !self.preferences.lists,
            Action::ToggleReading => self.preferences.reading = !self.preferences.reading,
            Action::ToggleSlots => self.preferences.slots = !self.preferences.slots,
            Action::SwapTheme => self.preferences.light = !self.preferences.light,
            Action::Play
            | Action::StepOn
            | Action::StepBack
            | Action::Arrive
            | Action::CutSignal
            | Action::Faster
            | Action::Slower
            | Action::OpenTimed
            | Action::CloseTimed
            | Action::LoopTimed
            | Action::TogglePlot
            | Action::ExportPlot => self.act_on_time(ctx, action),
            Action::ToggleCues => self.preferences.cues = !self.preferences.cues,
            Action::Describe => self.choose_description(ctx),
            Action::DryRun => self.toggle_dry_run(ctx),
            Action::CueSheet => self.choose_sheet(ctx),
            Action::CompareCues => self.toggle_comparison(),
            Action::ExportList => self.jobs.choose(ctx, Purpose::List, self.document.path()),
            Action::CueGo
            | Action::CueBack
            | Action::CuePause
            | Action::CueRelease
            | Action::EndCues
            | Action::CuesToSlots
            | Action::RecordCue
            | Action::UpdateCue
            | Action::DeleteCue
            | Action::CueGrid
            | Action::JumpToCue
            | Action::CueFlash
            | Action::CueFaster
            | Action::CueSlower
            | Action::GrandUp
            | Action::GrandDown => self.act_on_cue(action),
            Action::Sweep
            | Action::NextBoundary
            | Action::LastBoundary
            | Action::SweepPace
            | Action::KeepSwept
            | Action::EndSweep => self.act_on_sweep(action),
            Action::Why => self.toggle_why(),
            Action::Watch => self.toggle_watch(),
            Action::Difference => self.toggle_diff(),
            Action::Stray => self.toggle_stray(),
            Action::Misfit => self.toggle_misfit(),
            Action::Drills => self.toggle_drills(),
            Action::Probe => self.toggle_probe(),
            Action::Table | Action::BenchTable => self.act_on_table(ctx, action),
            Action::Profiles => self.show_profiles(),
            Action::SplitRange
            | Action::MergeRanges
            | Action::NextRange
            | Action::PreviousRange => self.say(Severity::Note, "that is done on the bench"),
            Action::Guide => self.toggle_guide(),
            Action::Keys => self.dialog = Some(Dialog::Keys),
            Action::About => self.dialog = Some(Dialog::About),
            Action::Fit
            | Action::SwapSide
            | Action::ZoomIn
            | Action::ZoomOut
            | Action::Brighter
            | Action::Darker
            | Action::AutoExposure
            | Action::MoreHaze
            | Action::LessHaze => {
                let room = &self.document.show().room;
                self.stage.act(action, &mut self.preferences.stage, room);
                if action == Action::AutoExposure {
                    self.show_light(Exposure::Anew);
                }
            }
        }
    }
}
