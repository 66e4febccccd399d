//! Draws and reads DMX512 lighting rigs offline: the window and the command line.

use std::process::ExitCode;
use std::time::Duration;

use clap::Parser as _;
use slotwright::app::{WindowError, WindowOptions, run_window};
use slotwright::cli::{self, Cli, args::WindowArgs};

fn main() -> ExitCode {
    match Cli::try_parse() {
        Ok(Cli { command: Some(command), .. }) => cli::run(&command),
        Ok(Cli { command: None, window }) => open_window(&window),
        Err(error) => {
            // Help is a result and a mistake is not: the error knows where each belongs. If nobody
            // listens there, there is nobody to tell.
            let _ = error.print();
            ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2))
        }
    }
}

/// Opens the window, or reads the show where there is no display to open it on.
fn open_window(args: &WindowArgs) -> ExitCode {
    let show = args.show.as_deref();
    if let Some(finding) = show.and_then(cli::mistyped_command) {
        return cli::usage_error(&finding);
    }
    if !may_have_display() {
        return cli::without_window(show, NO_DISPLAY);
    }
    let options = WindowOptions {
        show: args.show.clone(),
        exit_after: args.exit_after.and_then(|s| Duration::try_from_secs_f64(s).ok()),
        screenshot: args.screenshot.clone(),
    };
    match run_window(options) {
        Ok(()) => ExitCode::SUCCESS,
        // The system's own reason names source files and tells nobody anything.
        Err(WindowError::NoDisplay(_)) => cli::without_window(show, NO_DISPLAY),
        Err(error) => cli::without_window(show, &error.to_string()),
    }
}

const NO_DISPLAY: &str = "there is no display to open a window on";

/// Whether it is worth asking for a window. On Linux the environment says where the display is, and
/// asking without one ends in the system's own words; elsewhere only asking can tell.
fn may_have_display() -> bool {
    let named = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let names = ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"];
    !cfg!(target_os = "linux") || names.into_iter().any(named)
}
