//! What the window keeps from one run to the next.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::plot::PlotSettings;
use super::stage_panel::StageSettings;
use super::sweep::Pace;

/// What is kept from one run to the next. Nothing in it belongs to a show.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Preferences {
    /// Looks and fixtures are shown.
    pub lists: bool,
    /// The reading is shown.
    pub reading: bool,
    /// The cues are shown, in the place of looks and fixtures where there is no room for both.
    pub cues: bool,
    /// The slots are shown.
    pub slots: bool,
    /// The window is light; the stage stays dark.
    pub light: bool,
    /// How the stage is shown.
    pub stage: StageSettings,
    /// How courses over time are shown.
    pub plot: PlotSettings,
    /// How fast a channel is swept.
    pub sweep: Pace,
    /// Show files opened or saved, the last one first.
    pub recent: Vec<PathBuf>,
}

impl Default for Preferences {
    fn default() -> Self {
        Self {
            lists: true,
            reading: true,
            cues: false,
            slots: true,
            light: false,
            stage: StageSettings::default(),
            plot: PlotSettings::default(),
            sweep: Pace::default(),
            recent: Vec::new(),
        }
    }
}

/// How many recent files are kept.
const RECENT: usize = 8;

impl Preferences {
    /// Puts a file first among the recent ones.
    pub fn remember(&mut self, path: &Path) {
        let path = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        self.recent.retain(|known| *known != path);
        self.recent.insert(0, path);
        self.recent.truncate(RECENT);
    }
}
