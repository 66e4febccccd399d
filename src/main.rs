//! Draws and reads DMX512 lighting rigs offline: the window and the command line.

use std::process::ExitCode;

use clap::Parser as _;
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
    cli::without_window(args.show.as_deref(), "there is no display to open a window on")
}
