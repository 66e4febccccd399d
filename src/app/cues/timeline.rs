//! The straight run of a list under the stage: when its cues start and fade, and where it stands.

use std::sync::Arc;

use egui::{Align2, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2};

use super::act::CueAsk;
use super::lead::Key;
use super::marks::timeline_marks;
use crate::app::command::Command;
use crate::app::state::State;
use crate::app::theme::{Palette, small, small_number};
use crate::cue::{Compiled, CompiledCue, Run, Tracks};

/// The straight run of one list.
pub struct Timeline {
    key: Key,
    list: usize,
    /// The run.
    pub run: Arc<Run>,
}

impl Timeline {
    /// Whether it is of a list in this state.
    pub(super) fn is_of(&self, (key, list): (Key, usize)) -> bool {
        (self.key, self.list) == (key, list)
    }
}

impl State {
    /// Works out the straight run of the list on show, if that is another than before.
    pub(in crate::app) fn ready_timeline(&mut self) {
        let (key, list) = (self.cue_key(), self.cues.list);
        let show = self.document.show();
        if show.cues.lists.get(list).is_none() {
            self.cues.timeline = None;
        } else if self.cues.timeline.as_ref().is_none_or(|of| (of.key, of.list) != (key, list)) {
            let tracks = Arc::new(Tracks::new(&self.plan));
            let compiled = Compiled::new(&show.cues, list, &show.rig, &self.plan, &tracks);
            let run = Arc::new(Run::new(tracks, vec![Arc::new(compiled)]));
            self.cues.timeline = Some(Timeline { key, list, run });
        }
    }

    /// Where the list on show stands in its straight run, in seconds.
    fn straight_s(&self, run: &Run) -> Option<f64> {
        let (list, lead) = (self.cues.list, self.cues.lead()?);
        if lead.straight() == Some(list) {
            return Some(lead.now_s());
        }
        let player = lead.player(list)?;
        let (at, for_s) = (player.at()?, player.for_s(lead.now_s())?);
        let mut starts = run.starts().iter().skip_while(|start| start.cue != at);
        let at_s = starts.next()?.at_s;
        let next_s = starts.next().map_or(run.end_s(), |next| next.at_s);
        Some((at_s + for_s).min(next_s))
    }
}

/// From when to when a cue moves dark heads ahead, in seconds from its start.
fn moved_ahead(cue: &CompiledCue) -> Option<(f64, f64)> {
    let spans = cue.ahead.iter().map(|ahead| (ahead.delay_s, ahead.delay_s + ahead.fade_s));
    spans.reduce(|(from, to), (first, last)| (from.min(first), to.max(last)))
}

/// Draws the timeline of the list on show.
pub fn timeline_strip(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let Some(timeline) = &state.cues.timeline else { return };
    let run = &timeline.run;
    let Some(list) = run.lists().first() else { return };
    let palette = Palette::of(ui.visuals());
    let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click_and_drag());
    let now_s = state.straight_s(run);
    response.widget_info(|| {
        let value = now_s.unwrap_or_default();
        WidgetInfo::labeled(
            Role::Canvas,
            true,
            format!("Timeline of {}, at {value:.1} s", list.name),
        )
    });
    let end_s = run.end_s().max(1e-3);
    let x = |t_s: f64| rect.left() + (t_s / end_s) as f32 * rect.width();
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 3.0, palette.field);
    let mut free = rect.left();
    for start in run.starts() {
        let Some(cue) = list.cues.get(start.cue) else { continue };
        let from = x(start.at_s);
        let to = x(start.at_s + cue.takes_s).max(from + 1.0);
        let span =
            Rect::from_min_max(pos2(from, rect.bottom() - 9.0), pos2(to, rect.bottom() - 3.0));
        painter.rect_filled(span, 1.0, palette.strong_line);
        painter.vline(from, rect.y_range(), Stroke::new(1.0, palette.line));
        if let Some((first_s, last_s)) = moved_ahead(cue) {
            let (left, right) = (x(start.at_s + first_s), x(start.at_s + last_s));
            let line = left..=right.max(left + 2.0);
            painter.hline(line, rect.bottom() - 11.0, Stroke::new(2.0, palette.accent));
        }
        let words = cue.number.to_string();
        let width = 7.0 * words.len() as f32 + 6.0;
        if from >= free {
            let at = pos2(from + 3.0, rect.top() + 3.0);
            painter.text(at, Align2::LEFT_TOP, words, small_number(), palette.weak_text);
            free = from + width;
        }
    }
    if let Some(now_s) = now_s {
        painter.vline(x(now_s), rect.y_range(), Stroke::new(2.0, palette.accent));
        let right = x(now_s) > rect.center().x;
        let align = if right { Align2::RIGHT_CENTER } else { Align2::LEFT_CENTER };
        let at = pos2(x(now_s) + if right { -5.0 } else { 5.0 }, rect.center().y);
        let words = format!("{now_s:.1} s");
        let galley = painter.layout_no_wrap(words, small(), palette.text);
        let words = align.anchor_size(at, galley.size());
        painter.rect_filled(words.expand(2.0), 2.0, palette.field);
        painter.galley(words.min, galley, palette.text);
    }
    let bar = ui.scope_id().with("timeline");
    ui.scope_builder(egui::UiBuilder::new().id_salt(bar).max_rect(rect), |ui| {
        timeline_marks(ui, state, x, rect.center().y + 2.0, commands);
    });
    let pointed = response.interact_pointer_pos();
    if let Some(at) = pointed.filter(|_| response.dragged() || response.clicked()) {
        let share = f64::from((at.x - rect.left()) / rect.width()).clamp(0.0, 1.0);
        commands.push(Command::Cues(CueAsk::Seek(share * end_s)));
    }
    response.on_hover_text(format!(
        "The list run straight through, {end_s:.0} s: drag to go to any instant; Play goes on from there. \
        Grey: fades; the thin line above: dark heads that are moved ahead"
    ));
}
