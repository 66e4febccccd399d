//! From a control of the window to the page about it.

use egui::{Align2, FontId, Rect, Sense, Ui, WidgetInfo};

use super::GuideAsk;
use crate::app::command::Command;
use crate::app::theme::Palette;
use crate::decode::CompiledChannel;
use crate::paper::guide::Guide;
use crate::profile::Effect;

/// The page about a channel, if there is one, and the heading: what its ranges do comes before how many slots
/// it has.
fn page_about(channel: &CompiledChannel) -> Option<(&'static str, Option<&'static str>)> {
    let any = |of: fn(&Effect) -> bool| channel.ranges.iter().any(|range| of(&range.does));
    if any(|does| matches!(does, Effect::Shut | Effect::Open | Effect::Strobe { .. })) {
        Some(("shutters", Some("closed-open-strobe")))
    } else if channel.ranges.iter().any(|range| range.wheel.is_some()) {
        Some(("wheels", None))
    } else if channel.offsets.len() > 1 {
        Some(("coarse-fine", Some("two-slots-one-number")))
    } else {
        None
    }
}

/// Makes the name of a channel lead to the page about it. Under the pointer it shows a question mark; keys go
/// by F3, so that it takes no place in the order of Tab.
pub(in crate::app) fn channel_mark(
    ui: &Ui,
    name: Rect,
    channel: &CompiledChannel,
) -> Option<Command> {
    let (page, heading) = page_about(channel)?;
    let title = &Guide::embedded().page(page)?.title;
    let response = ui.interact(name, ui.scope_id().with("guide"), Sense::CLICK);
    let words = format!("Guide to {}", channel.name);
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Link, true, &words));
    if response.hovered() {
        let palette = Palette::of(ui.visuals());
        let painter = ui.painter();
        let mark = Rect::from_center_size(
            name.right_center() - egui::vec2(7.0, 1.0),
            egui::vec2(13.0, 14.0),
        );
        painter.rect_filled(mark, 2.0, palette.hover);
        painter.text(
            mark.center(),
            Align2::CENTER_CENTER,
            "?",
            FontId::proportional(11.0),
            palette.accent,
        );
        ui.ctx().set_cursor_icon(egui::CursorIcon::Help);
    }
    let clicked = response.on_hover_text(format!("Click for the guide: {title}")).clicked();
    clicked.then(|| show(page, heading))
}

/// A small button that leads to a page, at a heading.
pub(in crate::app) fn guide_mark(
    ui: &mut Ui,
    page: &str,
    heading: Option<&str>,
    commands: &mut Vec<Command>,
) {
    let Some(title) = Guide::embedded().page(page).map(|page| &page.title) else { return };
    let button = ui.small_button("?").on_hover_text(format!("Guide: {title}"));
    button.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, format!("Guide: {title}")));
    if button.clicked() {
        commands.push(show(page, heading));
    }
}

fn show(page: &str, heading: Option<&str>) -> Command {
    let heading = heading.map(str::to_owned);
    Command::Guide(GuideAsk::Show { page: page.to_owned(), heading })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decode::CompiledMode;
    use crate::profile::Library;

    #[test]
    fn channels_lead_to_pages_and_headings_that_there_are() {
        let mut led = std::collections::BTreeSet::new();
        for profile in Library::embedded().profiles() {
            for mode in &profile.modes {
                let mode = CompiledMode::new(profile, mode);
                for channel in &mode.channels {
                    let Some((page, heading)) = page_about(channel) else { continue };
                    let there = Guide::embedded().page(page).unwrap();
                    assert!(heading.is_none_or(|heading| there.has_heading(heading)), "{page}");
                    led.insert(page);
                }
            }
        }
        assert_eq!(led.into_iter().collect::<Vec<_>>(), ["coarse-fine", "shutters", "wheels"]);
    }
}
