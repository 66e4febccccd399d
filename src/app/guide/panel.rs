//! The guide as a panel beside the stage: a bar, the list of pages or what a search finds, and a page.

use egui::{Align, Label, Layout, RichText, ScrollArea, TextEdit, Ui};

use super::blocks::Pen;
use super::{GuideAsk, GuideState};
use crate::app::command::Command;
use crate::app::keys::Action;
use crate::app::state::State;
use crate::app::theme::{Palette, small, strong};
use crate::paper::guide::Guide;

/// Draws the guide.
pub(in crate::app) fn guide_panel(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let guide = &mut state.guide;
    bar(ui, guide, commands);
    ui.separator();
    if !guide.search.trim().is_empty() {
        hits(ui, guide, commands);
        return;
    }
    match guide.here.page.filter(|page| *page < Guide::embedded().pages.len()) {
        Some(page) => one_page(ui, guide, page, commands),
        None => contents(ui, commands),
    }
}

/// While an example is on the stage: a button that puts the person's own show back.
pub(in crate::app) fn back_button(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let Some((own, _)) = state.guide.own() else { return };
    let tip = format!("Put {} back on the stage, as it was", own.show().name);
    let words = RichText::new("Back to my show").color(Palette::of(ui.visuals()).accent);
    if ui.button(words).on_hover_text(tip).clicked() {
        commands.push(Command::Guide(GuideAsk::Leave));
    }
}

fn bar(ui: &mut Ui, guide: &mut GuideState, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let mut ask = |ui: &mut Ui, words: &str, tip: &str, can: bool, ask: GuideAsk| {
            let button = ui.add_enabled(can, egui::Button::new(words)).on_hover_text(tip);
            if button.clicked() {
                commands.push(Command::Guide(ask));
            }
        };
        let (back, forward) = (!guide.back.is_empty(), !guide.forward.is_empty());
        ask(ui, "Pages", "The list of pages", guide.here.page.is_some(), GuideAsk::Contents);
        ask(ui, "Back", "Where you were before", back, GuideAsk::Back);
        ask(ui, "Forward", "Where you were before going back", forward, GuideAsk::Forward);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let tip = Action::Guide.tip(ui.ctx());
            if ui.button("Close").on_hover_text(tip).clicked() {
                commands.push(Command::Do(Action::Guide));
            }
        });
    });
    let search = TextEdit::singleline(&mut guide.search)
        .hint_text("Search the guide")
        .desired_width(f32::INFINITY);
    ui.add(search).accessible_name("Search the guide");
}

fn contents(ui: &mut Ui, commands: &mut Vec<Command>) {
    ScrollArea::vertical().id_salt("guide contents").auto_shrink(false).show(ui, |ui| {
        ui.label(RichText::new("Guide").heading());
        ui.add(Label::new("From the frame to the light, in short pages. Each has an example that you can put on the stage; your own show waits meanwhile and loses nothing.").wrap());
        ui.add_space(8.0);
        for page in &Guide::embedded().pages {
            if ui.link(RichText::new(&page.title).font(strong())).clicked() {
                commands.push(go(&page.name, None));
            }
            ui.add_space(6.0);
        }
    });
}

fn go(page: &str, heading: Option<String>) -> Command {
    Command::Guide(GuideAsk::Show { page: page.to_owned(), heading })
}

fn hits(ui: &mut Ui, guide: &GuideState, commands: &mut Vec<Command>) {
    let hits = Guide::embedded().search(&guide.search);
    if hits.is_empty() {
        ui.weak("No place has all of these words.");
        return;
    }
    let palette = Palette::of(ui.visuals());
    ScrollArea::vertical().id_salt("guide hits").auto_shrink(false).show(ui, |ui| {
        for hit in hits {
            if ui.link(RichText::new(&hit.title).font(strong())).clicked() {
                commands.push(go(&hit.page, hit.heading.clone()));
            }
            let excerpt = RichText::new(&hit.excerpt).font(small()).color(palette.weak_text);
            ui.add(Label::new(excerpt).wrap());
            ui.add_space(6.0);
        }
    });
}

fn one_page(ui: &mut Ui, guide: &mut GuideState, nth: usize, commands: &mut Vec<Command>) {
    let pages = &Guide::embedded().pages;
    let page = &pages[nth];
    let mut area = ScrollArea::vertical().id_salt(("guide", nth)).auto_shrink(false);
    if guide.scroll && guide.here.heading.is_none() {
        area = area.vertical_scroll_offset(0.0);
        guide.scroll = false;
    }
    area.show(ui, |ui| {
        // Room for the bar, so that no word lies under it.
        ui.set_width((ui.available_width() - 10.0).max(120.0));
        ui.add(Label::new(RichText::new(&page.title).heading()).wrap());
        ui.add_space(4.0);
        let mut pen = Pen { guide, page, nth, commands };
        for block in &page.blocks {
            pen.block(ui, block);
        }
        ui.separator();
        let beside = [
            ("Before: ", nth.checked_sub(1).and_then(|before| pages.get(before))),
            ("Next: ", pages.get(nth + 1)),
        ];
        for (words, beside) in beside {
            if let Some(beside) = beside
                && ui.link(format!("{words}{}", beside.title)).clicked()
            {
                commands.push(go(&beside.name, None));
            }
        }
        ui.add_space(12.0);
    });
    // A heading that is not there leaves the page at its place.
    guide.scroll = false;
}
