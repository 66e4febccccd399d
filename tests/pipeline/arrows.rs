//! The house rules of the source: which module may use which, what the pure stages never touch, and how long a
//! file may grow.

use std::fmt::Write as _;
use std::path::Path;

/// The modules, from the top down. A module uses only those below it.
const LAYERS: [&str; 14] = [
    "app", "cli", "paper", "check", "show", "cue", "stage", "light", "motion", "decode", "rig",
    "profile", "wire", "finding",
];

/// The modules that run on time and bytes given as arguments.
const PURE: [&str; 9] =
    ["cue", "stage", "light", "motion", "decode", "rig", "profile", "wire", "finding"];

/// What a pure module never touches: the window, files, sockets, clocks.
const IMPURE: [&str; 7] =
    ["egui", "eframe", "std::fs", "std::net", "Instant", "SystemTime", "std::process"];

/// Lines in a file, at most.
const LONGEST: usize = 520;

/// The code of a file: without comments, and without the tests at its end, which may read what they like.
fn code(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let lines = text.lines().enumerate().map(|(i, line)| (i + 1, line));
    lines
        .take_while(|(_, line)| line.trim_end() != "#[cfg(test)]")
        .map(|(i, line)| (i, line.split("//").next().unwrap_or_default()))
}

/// The modules that a line names after `root` (`crate::` or `slotwright::`), in a group as well.
fn named_after<'a>(root: &str, line: &'a str) -> Vec<&'a str> {
    let mut names = Vec::new();
    for (at, _) in line.match_indices(root) {
        let whole_word = !line[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_');
        let rest = &line[at + root.len()..];
        if !whole_word {
            continue;
        }
        match rest.strip_prefix('{') {
            Some(group) => names.extend(heads_of_group(group)),
            None => names.extend(first_word(rest)),
        }
    }
    names
}

fn first_word(text: &str) -> Option<&str> {
    let end = text.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(text.len());
    Some(&text[..end]).filter(|word| !word.is_empty())
}

/// The first word of every part of `a::b, c::{d, e}}`, up to the brace that closes the group.
fn heads_of_group(group: &str) -> Vec<&str> {
    let (mut depth, mut start, mut heads) = (0, 0, Vec::new());
    for (i, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            ',' | '}' if depth == 0 => {
                heads.extend(first_word(group[start..i].trim_start()));
                start = i + 1;
                if c == '}' {
                    break;
                }
            }
            '}' => depth -= 1,
            _ => {}
        }
    }
    heads
}

/// What is wrong with a file, one line each. `path` is relative to the source folder.
fn offences(path: &str, text: &str) -> Vec<String> {
    let mut found = Vec::new();
    let lines = text.lines().count();
    if lines > LONGEST {
        found.push(format!("{path}: {lines} lines where a file has at most {LONGEST}"));
    }
    let Some((module, _)) = path.split_once('/') else { return found };
    let Some(level) = LAYERS.iter().position(|layer| *layer == module) else {
        found.push(format!("{path}: `{module}` is in no place of the order of modules"));
        return found;
    };
    // A group of names may run over lines; joined, each statement is one line.
    let mut statement = String::new();
    for (number, line) in code(text) {
        if PURE.contains(&module) {
            for word in IMPURE.iter().filter(|word| has_word(line, word)) {
                found.push(format!("{path}:{number}: `{word}` in a module without side effects"));
            }
        }
        let _ = write!(statement, "{} ", line.trim());
        let open = statement.matches('{').count() > statement.matches('}').count();
        if statement.trim_start().starts_with("use ") && open {
            continue;
        }
        let mut names = named_after("crate::", &statement);
        names.extend(named_after("slotwright::", &statement));
        names.extend(out_of(path, &statement));
        for name in names {
            if LAYERS.iter().position(|layer| *layer == name).is_some_and(|at| at < level) {
                found.push(format!("{path}:{number}: `{module}` uses `{name}`, which is above it"));
            }
        }
        statement.clear();
    }
    found
}

/// Modules reached by climbing out of the file's own with `super::`.
fn out_of<'a>(path: &str, statement: &'a str) -> Vec<&'a str> {
    let file_is_module = path.ends_with("/mod.rs");
    let up = path.matches('/').count() + usize::from(!file_is_module) - 1;
    let climb = "super::".repeat(up.max(1));
    named_after(&climb, statement)
}

/// Whether `word` stands in the line by itself.
fn has_word(line: &str, word: &str) -> bool {
    line.match_indices(word).any(|(at, _)| {
        let part = |c: char| c.is_alphanumeric() || c == '_';
        !line[..at].ends_with(part) && !line[at + word.len()..].starts_with(part)
    })
}

fn visit(root: &Path, folder: &Path, found: &mut Vec<String>, files: &mut usize) {
    let mut entries: Vec<_> = std::fs::read_dir(folder)
        .expect("a folder of the source")
        .map(|entry| entry.expect("an entry of it").path())
        .collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            visit(root, &path, found, files);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            let text = std::fs::read_to_string(&path).expect("a source file");
            let name = path.strip_prefix(root).expect("inside the source folder");
            found.extend(offences(&name.to_string_lossy().replace('\\', "/"), &text));
            *files += 1;
        }
    }
}

#[test]
fn arrows_only_point_down_and_the_core_stays_pure() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let (mut found, mut files) = (Vec::new(), 0);
    visit(&root, &root, &mut found, &mut files);
    assert!(files > 40, "only {files} files were read");
    assert!(found.is_empty(), "\n{}", found.join("\n"));
}

#[track_caller]
fn caught(path: &str, text: &str, what: &str) {
    let found = offences(path, text);
    assert!(found.iter().any(|offence| offence.contains(what)), "{text:?} gave {found:?}");
}

#[track_caller]
fn allowed(path: &str, text: &str) {
    assert_eq!(offences(path, text), Vec::<String>::new(), "{text:?}");
}

#[test]
fn an_arrow_that_points_up_is_caught() {
    for text in [
        "use crate::stage::Room;",
        "use crate::{profile::Profile, stage::Room};",
        "use crate::{\n    profile::{Profile, Range},\n    app,\n};",
        "fn f() -> crate::show::Show { todo() }",
        "use slotwright::light::Beam;",
        "use super::super::motion::Pose;",
    ] {
        caught("decode/plan.rs", text, "`decode` uses");
    }
    caught("finding.rs/x.rs", "", "in no place");
    caught("wire/mod.rs", "use super::rig::Rig;", "`wire` uses `rig`");
    caught("new/mod.rs", "", "in no place");
}

#[test]
fn an_arrow_that_points_down_is_allowed() {
    allowed("app/panel.rs", "use crate::{stage::Room, show};");
    allowed("decode/plan.rs", "use crate::{\n    profile::{light, Range},\n    wire,\n};");
    allowed("decode/plan.rs", "/// See [`crate::stage::Room`].\nuse super::compile::Find;");
    allowed("decode/plan.rs", "use mycrate::stage::Room;");
    allowed("main.rs", "use slotwright::app;");
    // Tests may look at everything.
    allowed("wire/frame.rs", "fn f() {}\n#[cfg(test)]\nmod tests { use crate::rig::Rig; }");
}

#[test]
fn a_side_effect_in_a_pure_module_is_caught() {
    caught("stage/draw.rs", "use egui::Color32;", "`egui`");
    caught("wire/frame.rs", "let now = Instant::now();", "`Instant`");
    caught("profile/read.rs", "std::fs::read_to_string(path)", "`std::fs`");
    allowed("show/load.rs", "std::fs::read_to_string(path)");
    allowed("stage/draw.rs", "let at = Instantly; // egui draws it later");
}

#[test]
fn a_file_that_grows_too_long_is_caught() {
    caught("app/mod.rs", &"\n".repeat(LONGEST + 1), "521 lines");
    allowed("app/mod.rs", &"\n".repeat(LONGEST));
}
