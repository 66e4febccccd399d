//! Draws and reads DMX512 lighting rigs offline: the window and the command line.

use std::process::ExitCode;
use std::time::Duration;

use clap::Parser as _;
use slotwright::app::{WindowOptions, run_window};
use slotwright::cli::{self, Cli, args::WindowArgs};

fn main() -> ExitCode {
    match Cli::try_parse() {
        Ok(Cli { command: Some(command), .. }) => cli::run(&command),
        Ok(Cli { command: None, window }) => open_window(window),
        Err(error) => {
            // Help is a result and a mistake is not: the error knows where each belongs. If nobody
            // listens there, there is nobody to tell.
            let _ = error.print();
            ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2))
        }
    }
}

fn open_window(args: WindowArgs) -> ExitCode {
    if let Some(show) = &args.show
        && let Some(finding) = cli::mistyped_command(show)
    {
        return cli::usage_error(&finding);
    }
    let options = WindowOptions {
        show: args.show.clone(),
        exit_after: args.exit_after.and_then(|s| Duration::try_from_secs_f64(s).ok()),
        screenshot: args.screenshot,
    };
    match run_window(options) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => cli::without_window(args.show.as_deref(), &error.to_string()),
    }
}
