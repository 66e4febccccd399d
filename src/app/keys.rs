//! Everything that can be done from the keyboard, in one table: what it is called, what it does and
//! the keys for it. Menus, tooltips, the list of keys and the key handling all read this table.

use egui::{Key, KeyboardShortcut, Modifiers};

pub use super::action::Action;

/// One row of the table.
#[derive(Clone, Copy, Debug)]
pub struct KeyRow {
    /// What is done.
    pub action: Action,
    /// Under which heading it stands.
    pub group: &'static str,
    /// What it is called, as a menu says it.
    pub name: &'static str,
    /// What it does, as a tooltip says it.
    pub tip: &'static str,
    /// The keys for it; the first is the one shown.
    pub keys: &'static [KeyboardShortcut],
}

const fn plain(key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(Modifiers::NONE, key)
}

const fn shift(key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(Modifiers::SHIFT, key)
}

const fn command(key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(Modifiers::COMMAND, key)
}

const fn command_shift(key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(Modifiers::COMMAND.plus(Modifiers::SHIFT), key)
}

macro_rules! rows {
    ($($group:literal { $($action:ident $name:literal $tip:literal [$($key:expr),+];)+ })+) => {
        &[$($(KeyRow {
            action: Action::$action,
            group: $group,
            name: $name,
            tip: $tip,
            keys: &[$($key),+],
        },)+)+]
    };
}

/// The table, in the order of the list of keys.
pub const TABLE: &[KeyRow] = rows! {
    "File" {
        New "New show" "An empty room without fixtures" [command(Key::N)];
        Open "Open\u{2026}" "Choose a show file and open it" [command(Key::O)];
        OpenDemo "Open the demo show" "The show that comes with the program"
            [command_shift(Key::O)];
        Save "Save" "Write the show to its file" [command(Key::S)];
        SaveAs "Save as\u{2026}" "Choose a file and write the show to it" [command_shift(Key::S)];
        Import "Import a fixture\u{2026}"
            "Make a profile of a fixture description of the open standard, a .gdtf file"
            [command_shift(Key::I)];
        Describe "Export a fixture\u{2026}"
            "Make a fixture description of the open standard, a .gdtf file, of the profile on the bench or of the selected fixture"
            [command_shift(Key::X)];
        OpenTimed "Open timed frames\u{2026}"
            "Choose a file of lines `seconds,universe,slot,value` and play it" [command(Key::F)];
        CloseTimed "Close the timed frames" "Back to the show's own slots"
            [command_shift(Key::F)];
        Quit "Quit" "Close the window; unsaved changes are asked about" [command(Key::Q)];
    }
    "Edit" {
        Undo "Undo" "Take back the last edit" [command(Key::Z)];
        Redo "Redo" "Make again what was taken back" [command_shift(Key::Z), command(Key::Y)];
        SelectAll "Select all fixtures" "Select every fixture" [command(Key::A)];
        SelectNone "Select nothing" "Let go of the selection" [plain(Key::Escape)];
        NextFixture "Next fixture" "Select the fixture after the selected one" [plain(Key::N)];
        PreviousFixture "Previous fixture" "Select the fixture before the selected one"
            [shift(Key::N)];
        GoToSlots "Go to the slots" "Type values into the slots, from the selected fixture's first"
            [command(Key::G)];
        Setup "Fixture setup" "Label, address, place and how the selected fixture hangs"
            [command(Key::I)];
        ChangeModel "Change model\u{2026}"
            "What would become of the show if the selected fixtures were another model or mode"
            [command(Key::M)];
        AddFixtures "Add fixtures\u{2026}" "Choose a profile, how many, their addresses and places"
            [plain(Key::Insert), command(Key::P)];
        DuplicateFixtures "Copy fixtures"
            "Copy the selected fixtures to the next free numbers and addresses" [command(Key::D)];
        RemoveFixtures "Remove fixtures" "Take the selected fixtures out; it can be undone"
            [plain(Key::Delete)];
    }
    "Looks" {
        NewLook "Keep as new look" "Keep what the slots stand at as a new look"
            [command(Key::L)];
        UpdateLook "Update look" "Put what the slots stand at into the current look"
            [command(Key::U)];
        RenameLook "Rename look" "Give the current look another name" [plain(Key::F2)];
        DeleteLook "Delete look" "Delete the current look; it can be undone"
            [command(Key::Delete)];
        NextLook "Next look" "Recall the look after the current one" [plain(Key::L)];
        PreviousLook "Previous look" "Recall the look before the current one" [shift(Key::L)];
    }
    "Cues" {
        DryRun "Dry run" "Play the list on show through faster than real time, and tell what will look wrong"
            [command_shift(Key::D)];
        ExportList "Export the list\u{2026}" "Write the list on show as timed frames, run straight through"
            [command_shift(Key::L)];
        CueSheet "Cue sheet\u{2026}" "Write the list on show as a page with a picture of the stage a cue, which prints well"
            [command_shift(Key::H)];
        CompareCues "Compare\u{2026}" "What differs between the list on show and another list, another show, or another model or mode"
            [command_shift(Key::K)];
        CueGrid "Cue grid" "The cues and the channels of the selected fixtures as a table"
            [command(Key::K)];
        JumpToCue "Jump to a cue\u{2026}" "Type the number of a cue to send it on its way, with everything as it would then stand"
            [command(Key::J)];
        CueFlash "Flash" "While the key is held: the levels of the list on show at once, in full"
            [plain(Key::V)];
        CueFaster "List faster" "Run the list on show faster" [plain(Key::I)];
        CueSlower "List slower" "Run the list on show slower" [shift(Key::I)];
        GrandUp "Grand level up" "More of all levels of all lists, by 5 %" [plain(Key::U)];
        GrandDown "Grand level down" "Less of all levels of all lists, by 5 %" [shift(Key::U)];
        CueGo "Go" "Send the next cue of the list on show on its way" [plain(Key::G)];
        CueBack "Back" "Send the cue before on its way again" [shift(Key::G)];
        CuePause "Pause the list" "Stop the time of the list on show, or let it go on"
            [plain(Key::J)];
        CueRelease "Release the list" "Let go of the list on show: its levels go, the rest stays"
            [shift(Key::J)];
        EndCues "Release all" "Let go of every list: the show's own slots are in force again"
            [plain(Key::O)];
        CuesToSlots "Take into the slots"
            "Let go of every list and keep what it put on the stage in the slots"
            [shift(Key::O)];
        RecordCue "Record a cue" "Keep what the stage shows as a cue behind the current one"
            [command(Key::R)];
        UpdateCue "Update the cue" "Put what the stage shows into the current cue"
            [command_shift(Key::R)];
        DeleteCue "Delete the cue" "Delete the current cue; it can be undone"
            [command_shift(Key::Delete)];
    }
    "Time" {
        Play "Play or pause" "Let heads take the time they take, or freeze them at this instant"
            [plain(Key::Space)];
        StepOn "Step a frame" "Let 1/44 s pass, the time of a full frame" [plain(Key::Period)];
        StepBack "Step a frame back" "Go back 1/44 s: look at what was" [plain(Key::Comma)];
        Arrive "Jump to arrived" "Every head is where it is asked to be; time plays no part"
            [plain(Key::A)];
        CutSignal "Cut signal"
            "Keep every frame from the fixtures to see what each does without, or let frames through"
            [plain(Key::X)];
        Faster "Faster" "Let time pass ten times as fast, up to 10x" [plain(Key::T)];
        Slower "Slower" "Let time pass a tenth as fast, down to 0.1x" [shift(Key::T)];
        LoopTimed "Loop the timed frames" "Begin again after the last frame, or do not"
            [plain(Key::R)];
        ExportPlot "Export the plot\u{2026}" "Write what was recorded of the selected heads as CSV"
            [command_shift(Key::E)];
    }
    "Sweep" {
        Sweep "Sweep"
            "Run the channel touched last from 0 to its greatest value, or hold the sweep and go on"
            [plain(Key::W)];
        NextBoundary "Next boundary" "Step the sweep to where the next range begins"
            [plain(Key::B)];
        LastBoundary "Last boundary" "Step the sweep back to where a range begins"
            [shift(Key::B)];
        SweepPace "Pace of a sweep" "5, 10, 20 or 60 s for the whole channel" [plain(Key::Y)];
        KeepSwept "Keep the value" "End the sweep and keep the value it stands at"
            [plain(Key::K)];
        EndSweep "End the sweep"
            "Restore the value from before the sweep; Escape does so too" [shift(Key::W)];
    }
    "View" {
        Fit "Fit the room" "Show the whole room in both views" [plain(Key::F)];
        SwapSide "Swap front and side view" "Show the other elevation below the plan"
            [plain(Key::S)];
        ZoomIn "Zoom in" "Look closer" [plain(Key::Plus), plain(Key::Equals)];
        ZoomOut "Zoom out" "See more of the room" [plain(Key::Minus)];
        Brighter "Expose more" "Brighten the picture of the light by a third of a stop"
            [plain(Key::E)];
        Darker "Expose less" "Darken the picture of the light by a third of a stop"
            [shift(Key::E)];
        AutoExposure "Expose automatically" "Let the program choose how bright light is drawn"
            [command(Key::E)];
        MoreHaze "More haze" "Show more of the beams in the air" [plain(Key::H)];
        LessHaze "Less haze" "Show less of the beams in the air" [shift(Key::H)];
        ToggleLists "Looks and fixtures" "Show or hide the lists at the left" [command(Key::Num1)];
        ToggleReading "Reading" "Show or hide the reading at the right" [command(Key::Num2)];
        ToggleSlots "Slots" "Show or hide the slots below" [command(Key::Num3)];
        TogglePlot "Plot" "Show or hide the courses of the selected heads over time"
            [plain(Key::P)];
        ToggleCues "Cues" "Show or hide the cue lists" [command(Key::Num4)];
        Chart "Channel chart" "The chart of the selected fixture's mode, with its values marked"
            [plain(Key::C)];
        SwapTheme "Swap light and dark window" "The stage stays dark: it shows light"
            [command(Key::T)];
    }
    "Explain" {
        Why "Why so?" "The way of the light of the fixture that is read, what holds it back, and what would give light"
            [plain(Key::Q)];
        Watch "Watch\u{2026}" "Conditions at which time stops while it plays, and all times at which they are true"
            [command_shift(Key::W)];
        Stray "Stray slots" "Slots in which one head of a model is alone among its twins"
            [command_shift(Key::Y)];
        Difference "Difference" "What differs between any two looks, cues, instants or what stands on the stage"
            [command_shift(Key::V)];
        Misfit "Misfit\u{2026}" "What may be wrong with a head that does not do what its frame says, and the next test"
            [command_shift(Key::M)];
        Drills "Drills" "Exercises on a practice head, with hints, grades and progress"
            [plain(Key::F5)];
    }
    "Tools" {
        Probe "Probe a head\u{2026}" "Find out what a head does for which there is no chart"
            [command_shift(Key::U)];
        Table "Profile from a table\u{2026}" "Make a draft profile of the channel table of a manual"
            [command_shift(Key::T)];
        BenchTable "Put the draft on the bench" "Edit the draft that was made of a table"
            [command_shift(Key::B)];
    }
    "Bench" {
        Bench "Bench or stage" "Build and edit a profile, or go back to the show; on the bench, keys \
            for files and undo are about the profile" [command(Key::B)];
        SplitRange "Split the range" "Split the selected range at the cursor of the test head"
            [plain(Key::D)];
        MergeRanges "Merge with the next range" "Join the selected range and the next one"
            [plain(Key::M)];
        NextRange "Next range" "Select the range after the selected one, and let the test head do it"
            [plain(Key::CloseBracket)];
        PreviousRange "Previous range"
            "Select the range before the selected one, and let the test head do it"
            [plain(Key::OpenBracket)];
    }
    "Help" {
        Guide "Guide" "Short pages from the frame to the light, with examples to put on the stage"
            [plain(Key::F3)];
        Keys "Keys" "Every key and what it does" [plain(Key::F1)];
        Profiles "Profiles" "Where profiles are found, and what is wrong with their files"
            [command_shift(Key::F1)];
        About "About Slotwright" "What this is, what it is not, and its licences"
            [shift(Key::F1)];
    }
};

/// What the pointer does on the stage: gestures and their effect. They have no row in [`TABLE`]
/// since no key stands for them.
pub const POINTER: &[(&str, &str)] = &[
    ("Click", "select the fixture or beam under the pointer"),
    ("Shift+click", "add it to the selection, or take it out"),
    ("Drag", "move the view"),
    ("Shift+drag", "select what lies in a box"),
    ("Wheel", "zoom about the pointer"),
    ("Arrow keys", "move the view, once the stage was clicked"),
    ("Drag on a ruler", "set the channel; with Shift finely"),
    ("Click the arrow of a channel", "sweep it, or hold the sweep"),
    ("Drag on a slot", "change its value; sideways, choose a span"),
    ("Wheel on a slot", "change its value, once it was clicked"),
    ("Double click on a look", "give it another name"),
    ("Drop a file on the window", "open it: a show, timed frames (.csv) or a fixture (.gdtf)"),
    ("Drag on the plot", "look back at what was, or go through the timed frames"),
    ("Drag a boundary", "move the end of a range on the bench; with Shift finely"),
    ("Alt+arrow keys", "move the end of the selected range, once its bar was clicked"),
    ("Drag a channel", "move it in the bench's list"),
];

impl Action {
    /// Its row of the table.
    pub fn row(self) -> &'static KeyRow {
        TABLE.iter().find(|row| row.action == self).unwrap_or(&TABLE[0])
    }

    /// The key shown for it, in the words of the system at hand.
    pub fn key_words(self, ctx: &egui::Context) -> String {
        self.row().keys.first().map_or_else(String::new, |key| words(ctx, key))
    }

    /// What a tooltip says: what it does, and its key.
    pub fn tip(self, ctx: &egui::Context) -> String {
        format!("{} ({})", self.row().tip, self.key_words(ctx))
    }

    /// Whether whoever has the keyboard wants this key for itself.
    fn belongs_to(self, holder: Holder, key: &KeyboardShortcut) -> bool {
        match holder {
            Holder::Nobody => false,
            Holder::Text => {
                let letter = !key.modifiers.command && key.logical_key != Key::F1;
                letter
                    || matches!(self, Self::Undo | Self::Redo | Self::SelectAll | Self::DeleteLook)
            }
            Holder::Slots => matches!(
                self,
                Self::SelectAll | Self::ZoomIn | Self::ZoomOut | Self::RemoveFixtures
            ),
        }
    }
}

/// Who has the keyboard, and with it some keys for itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Holder {
    /// Nobody who wants keys.
    #[default]
    Nobody,
    /// A text field.
    Text,
    /// The grid of slots.
    Slots,
}

/// A key in words, such as `Ctrl+S`; a bracket as it stands on the key.
pub fn words(ctx: &egui::Context, key: &KeyboardShortcut) -> String {
    let words = ctx.format_shortcut(key);
    match key.logical_key {
        Key::OpenBracket | Key::CloseBracket => {
            words.replace(key.logical_key.name(), key.logical_key.symbol_or_name())
        }
        _ => words,
    }
}

/// Takes the actions whose keys were pressed out of the input, but for those that belong to whoever
/// has the keyboard.
pub fn pressed(ctx: &egui::Context, holder: Holder) -> Vec<Action> {
    let mut shortcuts: Vec<(&KeyboardShortcut, Action)> = TABLE
        .iter()
        .flat_map(|row| row.keys.iter().map(|key| (key, row.action)))
        .filter(|(_, action)| *action != Action::SelectNone)
        .filter(|(key, action)| !action.belongs_to(holder, key))
        .collect();
    // A shortcut also matches when more modifiers are held than it names, so the ones that name
    // most have to look first.
    shortcuts.sort_by_key(|(key, _)| {
        std::cmp::Reverse(u8::from(key.modifiers.shift) + u8::from(key.modifiers.command))
    });
    ctx.input_mut(|input| {
        let mut taken = Vec::new();
        for (key, action) in shortcuts {
            // A key pressed twice within a slow pass was pressed twice.
            let times = input.count_and_consume_key(key.modifiers, key.logical_key);
            taken.extend(std::iter::repeat_n(action, times));
        }
        taken
    })
}

/// Whether Escape was pressed and nothing else made use of it. Ask after everything was drawn.
pub fn let_go(ctx: &egui::Context) -> bool {
    ctx.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bracket_is_written_as_it_stands_on_the_key() {
        let ctx = egui::Context::default();
        assert_eq!(Action::NextRange.key_words(&ctx), "]");
        assert_eq!(Action::PreviousRange.key_words(&ctx), "[");
    }

    #[test]
    fn no_key_stands_for_two_actions() {
        let keys: Vec<_> = TABLE.iter().flat_map(|row| row.keys).collect();
        for (i, key) in keys.iter().enumerate() {
            assert!(!keys[i + 1..].contains(key), "{key:?} is taken twice");
        }
    }

    #[test]
    fn every_action_has_a_name_a_tip_and_a_key() {
        for row in TABLE {
            assert_eq!(row.action.row().name, row.name, "one row an action");
            assert!(!row.tip.is_empty() && !row.keys.is_empty(), "{row:?}");
        }
    }

    #[test]
    fn a_key_pressed_twice_in_one_pass_counts_twice() {
        let ctx = egui::Context::default();
        let event = egui::Event::Key {
            key: Key::L,
            physical_key: None,
            pressed: true,
            repeat: false,
            modifiers: Modifiers::NONE,
        };
        let input = egui::RawInput { events: vec![event; 2], ..Default::default() };
        let mut taken = Vec::new();
        let mut out = ctx.run_ui(input, |ui| taken.extend(pressed(ui, Holder::Nobody)));
        out.textures_delta.clear();
        assert_eq!(taken, [Action::NextLook; 2]);
    }

    #[test]
    fn shifted_keys_are_not_taken_for_plain_ones() {
        let ctx = egui::Context::default();
        let press = |modifiers| egui::RawInput {
            events: vec![egui::Event::Key {
                key: Key::Z,
                physical_key: None,
                pressed: true,
                repeat: false,
                modifiers,
            }],
            ..Default::default()
        };
        for (modifiers, expected) in [
            (Modifiers::COMMAND, Action::Undo),
            (Modifiers::COMMAND | Modifiers::SHIFT, Action::Redo),
        ] {
            let mut taken = Vec::new();
            let mut out =
                ctx.run_ui(press(modifiers), |ui| taken.extend(pressed(ui, Holder::Nobody)));
            out.textures_delta.clear();
            assert_eq!(taken, [expected]);
        }
    }
}
