//! A colour to choose: a sample that opens hue, saturation and brightness, as sliders.

use egui::ecolor::Hsva;
use egui::{
    Color32, CornerRadius, Popup, PopupCloseBehavior, Role, Sense, Slider, Stroke, StrokeKind, Ui,
    WidgetInfo, vec2,
};

use super::form::Form;
use crate::app::theme::Palette;
use crate::light::Rgb;
use crate::profile::srgb;

/// Draws the sample of a colour as `#rrggbb`; a click opens the sliders, which change it.
pub(super) fn colour_field(ui: &mut Ui, form: &mut Form, name: &str, hex: &mut String) {
    let [r, g, b] = Rgb::from_hex(hex).map_or([255; 3], Rgb::to_srgb8);
    let (rect, response) = ui.allocate_exact_size(vec2(32.0, 20.0), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    let palette = Palette::of(ui.visuals());
    let radius = CornerRadius::same(2);
    let rim = if response.has_focus() || response.hovered() {
        Stroke::new(2.0, palette.accent)
    } else {
        Stroke::new(1.0, palette.strong_line)
    };
    ui.painter().rect(rect, radius, Color32::from_rgb(r, g, b), rim, StrokeKind::Inside);
    let response = response.on_hover_text("The colour that white light becomes. Click to choose.");
    // Grey has no hue and black no saturation either: they stay what they were while it is open.
    let id = response.id.with("hsv");
    let kept: Option<Hsva> = ui.data(|data| data.get_temp(id));
    let held = Hsva::from_srgb([r, g, b]);
    let mut hsv = kept.filter(|kept| kept.to_srgb() == [r, g, b]).unwrap_or(held);
    let popup = Popup::menu(&response).close_behavior(PopupCloseBehavior::CloseOnClickOutside);
    let mut changed = false;
    popup.show(|ui| {
        ui.spacing_mut().slider_width = 160.0;
        let (mut hue, mut saturation, mut value) = (hsv.h * 360.0, hsv.s * 100.0, hsv.v * 100.0);
        for (words, number, most, unit) in [
            ("Hue", &mut hue, 360.0, "\u{b0}"),
            ("Saturation", &mut saturation, 100.0, " %"),
            ("Brightness", &mut value, 100.0, " %"),
        ] {
            let slider = Slider::new(number, 0.0..=most).fixed_decimals(0).suffix(unit).text(words);
            let response = ui.add(slider);
            form.note(&response);
            changed |= response.changed();
        }
        hsv = Hsva::new(hue / 360.0, saturation / 100.0, value / 100.0, 1.0);
    });
    if changed {
        *hex = srgb::text(hsv.to_srgb());
        ui.data_mut(|data| data.insert_temp(id, hsv));
    }
}
