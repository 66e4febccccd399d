//! What the checks say about the profile as it stands; a click goes where it is.

use egui::{RichText, ScrollArea, Sense, Ui, vec2};

use super::act::edit;
use super::form::{button, heading, typed};
use super::{Bench, BenchCommand, Focus, Section};
use crate::app::command::Command;
use crate::app::theme::{BAR, Palette, severity_mark, small};
use crate::finding::{Finding, Severity};
use crate::profile::place::PathInFile;
use crate::profile::{Accepted, ProfileEdit};

/// Draws the list, the worst findings first.
pub(super) fn findings_list(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    let mut order: Vec<usize> = (0..bench.findings.len()).collect();
    order.sort_by_key(|i| {
        let finding = &bench.findings[*i].1;
        (finding.accepted.is_some(), std::cmp::Reverse(finding.severity))
    });
    let open = || bench.findings.iter().filter(|(_, finding)| finding.accepted.is_none());
    let count = |severity| open().filter(|(_, finding)| finding.severity == severity).count();
    let words = match open().count() {
        0 => "Findings: none".to_owned(),
        _ => {
            let parts = [Severity::Error, Severity::Warning, Severity::Note]
                .map(|severity| (count(severity), severity.word()));
            let parts = parts.into_iter().filter(|(count, _)| *count > 0);
            let parts: Vec<String> = parts
                .map(|(n, word)| format!("{n} {word}{}", if n == 1 { "" } else { "s" }))
                .collect();
            parts.join(", ")
        }
    };
    heading(ui, &words);
    ScrollArea::vertical().id_salt("findings").auto_shrink(false).show(ui, |ui| {
        ui.set_width(ui.available_width() - BAR);
        for i in order {
            ui.push_id(i, |ui| finding_row(ui, bench, i, commands));
        }
    });
}

fn finding_row(ui: &mut Ui, bench: &Bench, index: usize, commands: &mut Vec<Command>) {
    let palette = Palette::of(ui.visuals());
    let (path, finding) = &bench.findings[index];
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let (mark, _) = ui.allocate_exact_size(vec2(10.0, 14.0), Sense::hover());
        severity_mark(ui.painter(), finding.severity, mark.center(), 7.0, &palette);
        let place = finding.place.to_string();
        let before = if finding.accepted.is_some() { "accepted: " } else { "" };
        let words = match place.is_empty() {
            true => format!("{before}{}", finding.what),
            false => format!("{before}{place}: {}", finding.what),
        };
        let ink = if finding.accepted.is_some() { palette.weak_text } else { palette.text };
        ui.vertical(|ui| {
            ui.spacing_mut().item_spacing.y = 1.0;
            let label = egui::Label::new(RichText::new(words).font(small()).color(ink)).wrap();
            let row = ui.add(label.sense(Sense::click())).on_hover_text(hint(finding));
            if row.hovered() {
                ui.ctx().set_cursor_icon(egui::CursorIcon::PointingHand);
            }
            if row.clicked() {
                let focus = focus_of(path, &bench.focus);
                let range = focus.range;
                commands.push(BenchCommand::Show(Box::new(focus)).into());
                commands.extend(range.map(|range| BenchCommand::Try(range).into()));
            }
            acceptance(ui, bench, finding, commands);
        });
    });
}

/// Why it matters, what to do about it, and for which reason it was accepted.
fn hint(finding: &Finding) -> String {
    let reason = finding.accepted.as_ref().map(|reason| format!("accepted: {reason}"));
    let parts = [finding.why.as_str(), &finding.mend, reason.as_deref().unwrap_or_default()];
    let parts: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    format!("{}\nClick to go there.", parts.join("\n"))
}

/// Lets a finding be accepted with a reason, or not any more.
fn acceptance(ui: &mut Ui, bench: &Bench, finding: &Finding, commands: &mut Vec<Command>) {
    if finding.code.is_empty() || finding.severity == Severity::Error {
        return;
    }
    ui.style_mut().override_font_id = Some(small());
    let item = finding.place.item.clone().unwrap_or_default();
    let accepted = &bench.profile().accepted;
    if finding.accepted.is_some() {
        if button(ui, "Take back", "Do not accept this any more", true) {
            let kept = accepted.iter().filter(|known| !known.covers(finding.code, &item));
            commands.push(edit(ProfileEdit::SetAccepted(kept.cloned().collect())));
        }
        return;
    }
    let menu = ui.menu_button("Accept", |ui| {
        ui.label("Why it is as it should be:");
        if let Some(reason) = typed(ui, "Reason to accept it", "", 220.0) {
            let new = Accepted {
                code: finding.code.to_owned(),
                at: item,
                reason: reason.trim().to_owned(),
            };
            let all = accepted.iter().cloned().chain([new]).collect();
            commands.push(edit(ProfileEdit::SetAccepted(all)));
            ui.close();
        }
    });
    menu.response.on_hover_text("Keep it as it is, with a reason that the profile remembers");
}

/// Where a path leads on the bench.
pub(super) fn focus_of(path: &PathInFile, before: &Focus) -> Focus {
    let mut focus = before.clone();
    match path.first_field() {
        Some("modes") => {
            focus.mode = path.index_in("modes").unwrap_or(focus.mode);
            let channel = path.index_in("channels");
            focus.section = if channel.is_some() { Section::Channel } else { Section::Mode };
            focus.channel = channel.unwrap_or(0);
            focus.range = path.index_in("ranges");
        }
        Some("wheels") => {
            focus.section = Section::Wheels;
            focus.wheel = path.key_in("wheels").map(str::to_owned).or(focus.wheel);
        }
        Some("drawings") => {
            focus.section = Section::Wheels;
            focus.drawing = path.key_in("drawings").map(str::to_owned);
        }
        Some("cells") => focus.section = Section::Cells,
        Some("on_loss") => focus.section = Section::Loss,
        _ => focus.section = Section::Fixture,
    }
    focus
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_finding_leads_to_its_part_of_the_bench() {
        let top = PathInFile::top();
        let range = top.field("modes").index(1).field("channels").index(3).field("ranges").index(2);
        let focus = focus_of(&range.field("does"), &Focus::default());
        assert_eq!((focus.mode, focus.channel, focus.range), (1, 3, Some(2)));
        assert_eq!(focus.section, Section::Channel);
        let wheel = focus_of(&top.field("wheels").field("colour"), &focus);
        assert_eq!((wheel.section, wheel.wheel.as_deref()), (Section::Wheels, Some("colour")));
        assert_eq!(
            focus_of(&top.field("modes").index(0).field("slots"), &focus).section,
            Section::Mode
        );
        assert_eq!(focus_of(&top.field("optics"), &focus).section, Section::Fixture);
    }
}
