//! The blocks of a page, drawn.

use egui::text::LayoutJob;
use egui::{
    Align, FontSelection, Frame, Label, Margin, RichText, Sense, Stroke, Ui, Vec2, WidgetInfo, vec2,
};

use super::{GuideAsk, GuideState};
use crate::app::command::Command;
use crate::app::theme::{Palette, number, severity_mark, small, strong};
use crate::finding::Severity;
use crate::paper::guide::{Block, Claim, ClaimOf, Drawing, Inks, Page, Span, Target};
use crate::stage::Ink;

/// What the blocks of a page are drawn with.
pub(super) struct Pen<'a> {
    pub guide: &'a mut GuideState,
    pub page: &'a Page,
    /// The page, as a place among the pages.
    pub nth: usize,
    pub commands: &'a mut Vec<Command>,
}

impl Pen<'_> {
    pub(super) fn block(&mut self, ui: &mut Ui, block: &Block) {
        let palette = Palette::of(ui.visuals());
        match block {
            Block::Heading { words, anchor } => {
                ui.add_space(10.0);
                let heading = ui.add(Label::new(RichText::new(words).font(strong())).wrap());
                if self.guide.scroll && self.guide.here.heading.as_ref() == Some(anchor) {
                    heading.scroll_to_me(Some(Align::TOP));
                    self.guide.scroll = false;
                }
                ui.add_space(2.0);
            }
            Block::Paragraph(words) => {
                self.spans(ui, words, false);
                ui.add_space(6.0);
            }
            Block::Item(words) => {
                ui.horizontal_top(|ui| {
                    ui.spacing_mut().item_spacing.x = 6.0;
                    ui.label("\u{2022}");
                    ui.vertical(|ui| self.spans(ui, words, false));
                });
                ui.add_space(3.0);
            }
            Block::Source(words) => {
                let frame = Frame::new().inner_margin(Margin { left: 10, ..Margin::ZERO });
                let rect = frame.show(ui, |ui| self.spans(ui, words, true)).response.rect;
                let stroke = Stroke::new(2.0, palette.line);
                ui.painter().vline(rect.left() + 2.0, rect.y_range(), stroke);
                ui.add_space(6.0);
            }
            Block::Caution(words) => {
                let frame = Frame::new()
                    .stroke(Stroke::new(1.0, palette.warning))
                    .inner_margin(8)
                    .corner_radius(2);
                frame.show(ui, |ui| {
                    ui.horizontal_top(|ui| {
                        let (rect, _) = ui.allocate_exact_size(vec2(12.0, 16.0), Sense::hover());
                        let (painter, size) = (ui.painter(), 11.0);
                        let at = rect.center();
                        severity_mark(painter, Severity::Warning, at, size, &palette);
                        ui.vertical(|ui| self.spans(ui, words, false));
                    });
                });
                ui.add_space(6.0);
            }
            Block::Example(moment) => self.example(ui, *moment, &palette),
            Block::Drawing(drawing) => self.drawing(ui, *drawing, &palette),
        }
    }

    /// Words in their styles, in lines as wide as there is room.
    fn spans(&mut self, ui: &mut Ui, spans: &[Span], weak: bool) {
        let palette = Palette::of(ui.visuals());
        // The first line is as high as its words only where that is said before it begins.
        let high = std::mem::replace(&mut ui.spacing_mut().interact_size.y, 0.0);
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = Vec2::ZERO;
            let plain = |words: &str| {
                let words = RichText::new(words);
                if weak { words.font(small()).color(palette.weak_text) } else { words }
            };
            let mut taken = 0;
            for (i, span) in spans.iter().enumerate() {
                let text = &span.words[std::mem::take(&mut taken)..];
                let mut words = plain(text);
                if span.strong {
                    words = words.font(strong());
                } else if span.code {
                    words = words.font(number());
                }
                let Some(target) = &span.target else {
                    ui.add(Label::new(words));
                    continue;
                };
                // A full stop behind a link is a thing of its own to the layout: it must not begin a line.
                let next = spans.get(i + 1).filter(|next| next.target.is_none());
                taken = next.map_or(0, |next| points(&next.words));
                let behind = next.map(|next| plain(&next.words[..taken])).filter(|_| taken > 0);
                self.target(ui, target, span, (words, behind), &palette);
            }
        });
        ui.spacing_mut().interact_size.y = high;
    }

    fn target(
        &mut self,
        ui: &mut Ui,
        target: &Target,
        span: &Span,
        (words, behind): (RichText, Option<RichText>),
        palette: &Palette,
    ) {
        let joined = |ui: &Ui, words: RichText| joined(ui, words, behind);
        match target {
            Target::Page { page, heading } => {
                let link = ui.link(joined(ui, words.underline().color(palette.accent)));
                if link.on_hover_text("Go there").clicked() {
                    let (page, heading) = (page.clone(), heading.clone());
                    self.commands.push(Command::Guide(GuideAsk::Show { page, heading }));
                }
            }
            Target::Do(moment) => {
                let here = self.guide.standing == Some((self.nth, *moment));
                let mark = if here { "\u{25cf}" } else { "\u{25b8}" };
                let words =
                    RichText::new(format!("{mark}\u{a0}{}", on_one_line(&span.words))).underline();
                let link = ui.link(joined(ui, words.color(palette.accent)));
                link.widget_info(|| WidgetInfo::labeled(egui::Role::Link, true, &span.words));
                if link.on_hover_text(self.step_words(*moment)).clicked() {
                    self.stand(*moment, false);
                }
            }
            Target::Claim(claim) => {
                let words =
                    RichText::new(on_one_line(&span.words)).background_color(palette.field_alt);
                let label = ui.add(Label::new(joined(ui, words)).sense(Sense::hover()));
                if label.hovered() {
                    label.on_hover_text(self.claim_words(claim));
                }
            }
            Target::Key(_) => {
                ui.add(Label::new(joined(ui, words.background_color(palette.field_alt))));
            }
        }
    }

    /// What a step does, for its tooltip.
    fn step_words(&self, moment: usize) -> String {
        let steps = self.page.moments.get(moment).map(|moment| moment.step.as_slice());
        let steps = steps.unwrap_or_default().iter();
        let steps: Vec<String> =
            steps.map(|(universe, slot, value)| format!("{universe}/{slot} to {value}")).collect();
        let more = match self.guide.standing {
            Some(_) => "",
            None => "; your own show stays as it is",
        };
        format!("Put the example on the stage and set slot {}{more}", steps.join(", "))
    }

    fn claim_words(&self, claim: &Claim) -> String {
        match (&claim.of, claim.truth(self.page)) {
            (ClaimOf::Calc(sum), Ok(value)) => format!("Worked out: {sum} = {value}"),
            (_, Ok(truth)) => format!("The program says of the example: {}", truth.trim()),
            (_, Err(why)) => why,
        }
    }

    fn stand(&mut self, moment: usize, anew: bool) {
        self.commands.push(Command::Guide(GuideAsk::Stand { page: self.nth, moment, anew }));
    }

    fn example(&mut self, ui: &mut Ui, moment: usize, palette: &Palette) {
        let title = self.page.moments.get(moment).map_or("", |moment| moment.title.as_str());
        // The example goes on up to where the next one begins.
        let examples = self.page.blocks.iter().filter_map(|block| match block {
            Block::Example(other) => Some(*other),
            _ => None,
        });
        let end = examples.filter(|other| *other > moment).min().unwrap_or(usize::MAX);
        let standing = self.guide.standing.filter(|(page, _)| *page == self.nth);
        let standing = standing.is_some_and(|(_, at)| (moment..end).contains(&at));
        let frame = Frame::new().fill(palette.field).inner_margin(8).corner_radius(2);
        frame.show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.label(RichText::new(format!("Example: {title}")).font(strong()));
            ui.horizontal_wrapped(|ui| {
                if !standing {
                    let tip = "Put the example on the stage. Your own show stays as it is";
                    if ui.button("Open on the stage").on_hover_text(tip).clicked() {
                        self.stand(moment, false);
                    }
                    return;
                }
                let tip = "Put your own show back on the stage, as it was";
                if ui.button("Back to my show").on_hover_text(tip).clicked() {
                    self.commands.push(Command::Guide(GuideAsk::Leave));
                }
                let tip = "Forget what you changed in the example";
                if ui.button("Start anew").on_hover_text(tip).clicked() {
                    self.stand(moment, true);
                }
            });
        });
        ui.add_space(6.0);
    }

    fn drawing(&mut self, ui: &mut Ui, drawing: Drawing, palette: &Palette) {
        let size = vec2(ui.available_width().min(560.0), drawing.height());
        let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(egui::Role::Image, true, drawing.words()));
        if ui.is_rect_visible(rect) {
            let inks = Inks {
                back: ink(palette.panel),
                line: ink(palette.strong_line),
                text: ink(palette.text),
                accent: ink(palette.accent),
            };
            let picture = drawing.picture(size.x, &inks);
            self.guide.canvas.paint(&ui.painter().with_clip_rect(rect), rect.min, &picture);
        }
        ui.add_space(6.0);
    }
}

/// How many bytes of punctuation a text begins with.
fn points(text: &str) -> usize {
    text.find(|c: char| !".,;:!?)\"".contains(c)).unwrap_or(text.len())
}

/// Short words that stay on one line, such as a number and its unit; whole phrases may break.
fn on_one_line(words: &str) -> String {
    if words.len() < 24 { words.replace(' ', "\u{a0}") } else { words.to_owned() }
}

/// Words, and the punctuation that stands behind them, as one text.
fn joined(ui: &Ui, words: RichText, behind: Option<RichText>) -> LayoutJob {
    let mut job = LayoutJob::default();
    for text in [Some(words), behind].into_iter().flatten() {
        text.append_to(&mut job, ui.style(), FontSelection::Default, Align::BOTTOM);
    }
    job
}

fn ink(colour: egui::Color32) -> Ink {
    Ink::rgb(colour.r(), colour.g(), colour.b())
}
