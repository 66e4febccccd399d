//! Runs the program in a fresh folder and keeps what it says.

use std::io::Write as _;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

use tempfile::TempDir;

/// A head with a 16-bit pan, a shutter with a gap and a plain dimmer. No real fixture's chart.
pub const HEAD: &str = r#"(
  maker: "Neutral", model: "ROWAN-6",
  head: Moving(
    pan: (travel_deg: 540.0, speed_deg_s: 200.0, accel_deg_s2: 600.0),
    tilt: (travel_deg: 270.0, speed_deg_s: 200.0, accel_deg_s2: 600.0),
  ),
  source: White(flux_lm: 10000.0, cct_k: 6500.0),
  optics: (beam_deg: 14.0, field_deg: 20.0),
  modes: [(
    name: "six", slots: 6,
    channels: [
      (name: "Pan", at: [1, 2], default: 0x8000, ranges: [(from: 0, to: 255, does: Pan(deg: (-270.0, 270.0)))]),
      (name: "Tilt", at: [3, 6], default: 0x8000, ranges: [(from: 0, to: 255, does: Tilt(deg: (-135.0, 135.0)))]),
      (name: "Shutter", at: [4], default: 40, ranges: [
        (from: 0, to: 31, does: Shut, label: "closed"),
        (from: 32, to: 63, does: Open, label: "open"),
        (from: 64, to: 95, does: Strobe(hz: (1.0, 20.0)), label: "strobe, slow to fast"),
      ]),
      (name: "Dimmer", at: [5], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0), curve: Linear))]),
    ],
  )],
)
"#;

/// Two of these heads, and two looks.
pub const SHOW: &str = r#"(
  format: 1, name: "Test barn",
  profile_files: ["head.ron"],
  room: (width_m: 10.0, depth_m: 8.0, front_m: 2.0, height_m: 6.0),
  fixtures: [
    (id: 7, label: "Left", profile: "Neutral ROWAN-6", mode: "six", universe: 1, slot: 11, at: (-2.0, 3.0, 5.0), hang: Hung),
    (id: 9, label: "Right", profile: "Neutral ROWAN-6", mode: "six", universe: 2, slot: 1, at: (2.0, 3.0, 5.0), hang: Hung),
  ],
  looks: [
    (name: "Both on", universes: {
      1: [(at: 11, values: [128, 0, 128, 40, 255, 0])],
      2: [(at: 1, values: [128, 0, 128, 40, 255, 0])],
    }),
    (name: "Left flashes", universes: {1: [(at: 11, values: [0, 0, 128, 95, 255, 0])]}),
  ],
)
"#;

/// A folder that holds `show.ron` and `head.ron`.
pub struct Bench {
    folder: TempDir,
}

/// What one run came to.
pub struct Ran {
    /// What was typed.
    pub line: String,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
    /// Exit code.
    pub code: i32,
}

impl Bench {
    pub fn new() -> Self {
        let bench = Self { folder: tempfile::tempdir().unwrap() };
        bench.write("head.ron", HEAD);
        bench.write("show.ron", SHOW);
        bench
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        std::fs::write(self.path(name), text).unwrap();
    }

    /// The program, in the folder, with no display to open a window on.
    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_slotwright"));
        command.args(args).current_dir(self.folder.path());
        for name in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"] {
            command.env_remove(name);
        }
        // Whatever profiles lie in the home of whoever runs the tests, they are no part of them.
        command.env("SLOTWRIGHT_PROFILES", "");
        command
    }

    pub fn run(&self, args: &[&str]) -> Ran {
        self.run_with(args, b"")
    }

    /// Runs it with something on standard input.
    pub fn run_with(&self, args: &[&str], input: &[u8]) -> Ran {
        run(self.command(args), args, input)
    }

    /// Runs it with some variables of the environment set.
    pub fn run_in(&self, args: &[&str], variables: &[(&str, &str)]) -> Ran {
        let mut command = self.command(args);
        command.envs(variables.iter().copied());
        run(command, args, b"")
    }
}

fn run(mut command: Command, args: &[&str], input: &[u8]) -> Ran {
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that does not read its input closes the pipe: that is not this test's matter.
    let _ = child.stdin.take().unwrap().write_all(input);
    Ran::new(args, child.wait_with_output().unwrap())
}

impl Ran {
    fn new(args: &[&str], output: Output) -> Self {
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        Self {
            line: format!("slotwright {}", args.join(" ")),
            out: text(output.stdout),
            err: text(output.stderr),
            code: output.status.code().unwrap_or(-1),
        }
    }

    /// Ended with this code, and without a panic.
    #[track_caller]
    pub fn code(self, code: i32) -> Self {
        assert!(self.code == code && !self.err.contains("panicked"), "code {code} wanted\n{self}");
        self
    }

    /// Standard output holds all of these.
    #[track_caller]
    pub fn out(self, parts: &[&str]) -> Self {
        for part in parts {
            assert!(self.out.contains(part), "`{part}` should be in the output\n{self}");
        }
        self
    }

    /// Standard error holds all of these.
    #[track_caller]
    pub fn err(self, parts: &[&str]) -> Self {
        for part in parts {
            assert!(self.err.contains(part), "`{part}` should be in the errors\n{self}");
        }
        self
    }

    /// Nothing on standard error.
    #[track_caller]
    pub fn quiet(self) -> Self {
        assert!(self.err.is_empty(), "nothing should be said\n{self}");
        self
    }

    /// Standard output as JSON.
    #[track_caller]
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|error| panic!("{error}\n{self}"))
    }
}

impl std::fmt::Display for Ran {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { line, out, err, code } = self;
        write!(f, "$ {line}\n-- exit code {code}\n-- output\n{out}\n-- errors\n{err}")
    }
}

/// The first row of a table that begins with a channel's name, with single blanks.
#[track_caller]
pub fn row(out: &str, channel: &str) -> String {
    let line = out.lines().find(|line| line.trim_start().starts_with(channel));
    let line = line.unwrap_or_else(|| panic!("no row for {channel} in\n{out}"));
    line.split_whitespace().collect::<Vec<_>>().join(" ")
}
