//! The long texts of `slotwright help`.

/// Below the list of commands.
pub const TOP: &str = "\
Examples:
  slotwright                               open the window on the demo show
  slotwright my-show.ron                   open the window on a show
  slotwright read --fixture 101            what the demo show asks of fixture 101
  slotwright read my-show.ron --frame desk.txt --universe 2
  slotwright draw --out stage.png          draw the stage to a file
  slotwright read --fixture 101 --after 0.5     where it has got to after half a second
  slotwright trace my-show.ron --from Dawn --to Storm --fixture 101
  slotwright check my-show.ron             look for mistakes
  slotwright chart \"Tarnfell S1 Spot\" --mode compact       print a channel chart
  slotwright value \"Tarnfell S1 Spot\" --mode full --channel Pan \"129 deg\"
  slotwright sweep \"Tarnfell S1 Spot\" --mode full --channel Shutter --out shutter.html
  slotwright sheet my-show.ron --list Main --out main.html       print a cue list
  slotwright compare my-show.ron my-show-v2.ron     what differs, cue by cue
  slotwright change --fixture 101 --to \"Tarnfell S1 Spot\" --mode compact
  slotwright table chart.txt --out head.ron     a draft profile from a manual's channel table

Exit codes: 0 good, 1 a bad file or an error found by a check, 2 wrong usage.

Slotwright previews; it does not certify. Where light, weight or power could hurt somebody, follow
the local codes, the fixture's manual and a competent person.";

/// What a frame file is. Stands in the help of every command that takes one.
macro_rules! frames {
    () => {
        "\
Frame files:
  A frame file is plain text in one of two forms. `#` begins a comment in both.

  Values: up to 512 decimal values, 0..255, separated by blanks, commas or line ends. The first is
  slot 1. `--universe N` says whose they are. Where there are 513 values, the first is the start
  code: this is said, and a start code other than 0 carries no levels (ANSI E1.11, 8.5.1).
      255 0 128 64
      12, 12, 12

  Slots: CSV lines of universe, slot and value. A first line `universe,slot,value` makes it this
  form for certain. Only the slots that are named count as sent.
      universe,slot,value
      1,17,128
      2,1,255

Not sent is not 0:
  A slot that no frame ever reached is `not sent`: nothing is known of it, and the light shown
  takes its channel to stand as it does at rest. A slot that an earlier frame reached and the last
  one did not is `kept`: it holds what it had."
    };
}

/// Below the options of `draw`.
pub const FRAMES: &str = frames!();

/// Below the options of `read`.
pub const READ: &str = concat!(
    frames!(),
    "

Columns of the table:
  slots          the channel's slots in the universe, coarse first
  value          the bytes of those slots, and the number that they make together
  range          first and last value of the range that the number lies in
  what it does   that range in the words of the chart
  asked          the number that it asks for, in physical units; nothing where there is none
  now            with `--after`: what the fixture does by then; nothing where the channel drives no
                 part of it

Now (`--after SECONDS`):
  The frame is sent at time 0 to heads that stand at rest, or as a look has them (`--from LOOK`), and
  held. With `--timed FILE` the timed frames of a CSV file are played until then instead; `slotwright
  help trace` describes them. Below each fixture stands when it arrives, and what is held or under way:
  a reset, a lamp. With `--silent-from SECONDS` no frame comes from then on, and each head does what its
  profile says it does without a signal. Of several named fixtures (`--fixture`) of one mode the arrivals are compared: where
  they differ, the slots that differ are named, and where none does, the data is not the cause.
  Pan and tilt are told as their channels would ask for them, before swap, invert and offset. A
  dimmer is the light it lets through, after its curve and with its master. Times that the profile
  does not give are assumed, and an estimate says which.

JSON (`--json`):
  {show, fixtures: [{id, label, profile, mode, universe, address,
    channels: [{name, slots, value, held, range: {from, to, label}, effect, physical, unit}],
    asked, estimates}]}

  universe, address   numbers; null while the fixture is not patched
  slots               the channel's slots in the universe, coarse first; a slot past 512 is null
  value               the channel's slots as one number, coarse first (0..255 for one slot, 0..65535
                      for two, and so on); null when it is not known
  held                `sent`; `kept` from an earlier frame; `never_sent`; `no_slot` (not patched, or
                      past slot 512)
  range               from and to at the same resolution as the value; null when the value is in no
                      range or not known, or when a slot that the range depends on is not sent
  effect              what the range does: `pan`, `dimmer`, `strobe`, `slot`, ...; null as range is
  physical, unit      what is asked, in `deg`, `%`, `Hz`, `rpm`, `deg/s`, `s`, `K` or `slot` (a place
                      on a wheel, from 1); null for an effect without a number, such as `open`
  asked               the same for the whole fixture, typed; null where the profile or mode is not to
                      be had

  estimates           what was assumed about its light because the profile does not say, in words
  now                 with `--after` only; in a channel: null, or {words, value, unit}: what its part
                      does by then; value and unit are null where there is no number; a shutter's is
                      the share of light let through at that instant
                      in a fixture: {after_s, state, light, pan_deg, tilt_deg, pan_arrives_s,
                      tilt_arrives_s, lamp, estimate}: state is a list of words; light is 0..1;
                      pan_deg and tilt_deg are angles of the axes, after swap, invert and offset;
                      arrivals are in seconds after the frame, null without a position to go to; lamp
                      is `ready` (none to strike), `on`, `striking`, `hot`, `off` or `unknown`;
                      estimate is what was assumed of its times, or null

  What `asked` holds; shares are 0..1, and what no channel asks is \"unasked\" or null:
    pan, tilt           \"unasked\", {to: {deg}}, {spin: {rpm}} or \"stay\"
    aim_speed           \"unasked\", \"follow\", {rate: {deg_s}}, {time: {s}} or {share: {share}}
    dark_while_aiming, dark_while_wheels
                        true or false
    cells               for each: level (null without a dimmer), emitters (in the profile's order),
                        filters (cyan, magenta, yellow), temperature_k, and shutter: \"unasked\",
                        \"shut\", \"open\" or {flash: {hz, shape, timing}}
    wheels              for each: its name as wheel; place: \"unasked\", {at: {place}},
                        {shake: {slot, hz}}, {scroll: {rpm}}, \"stay\" or {random: {hz}}; turn, as pan
    zoom_deg, focus, iris, iris_pulse_hz, frost, frame_turn_deg
                        numbers
    blades              top, right, bottom, left: depth and turn_deg of each
    commands            {reset: {part, hold_s, takes_s}}, {lamp: {on, hold_s}},
                        {latch: {switch, on, hold_s}} and {use_curve: {curve, hold_s}}
    overridden_by       null, {program: {name, channel}}, {sound: {channel}} or {follow: {channel}}
    taken_at_rest       the channels, counted from 1, that have no value or one in no range
  Names may be added in later versions; none of these will change its meaning."
);

/// Below the options of `trace`.
pub const TRACE: &str = concat!(
    "\
The frame (`--to LOOK`, or the frame options) is sent at time 0 to heads that stand at rest or as a
look has them (`--from LOOK`), and held. With `--timed` the frames of a file are played instead:
  slotwright trace my-show.ron --timed cue.csv --fixture 101 --csv course.csv

Timed frames:
  CSV lines of seconds, universe, slot and value, by rising time; `#` begins a comment. A first line
  `seconds,universe,slot,value` may stand above them. Only what changes need be written: a slot holds
  its value until a later line changes it, and one that no line names was never sent. All lines of one
  time are one frame. A gap between two lines is no loss of the signal: the line is taken to go on
  repeating what it holds.
      seconds,universe,slot,value
      0,1,17,128
      2.5,1,17,255

Columns of the table, one row a step:
  s              seconds from the first frame
  pan, tilt      what is asked, and now: the angle as the channel would ask for it, before swap,
                 invert and offset
  dimmer         light that the dimmer of the first cell lets through
  shutter        light that its shutter lets through at that instant, in or between flashes
  wheels         the place of each that moves, from 1; a fraction lies between two slots
  state          when it arrives, what is held, a reset, the lamp

CSV (`--csv FILE`): one line a step and fixture, with a first line of names. What is not known or not
asked is empty. `light_percent` is what leaves the first lit cell of all: dimmer, shutter, lamp.

Without a signal (`--silent-from S`):
  From then on no frame comes. Once the time-out of its profile is over (1.25 s where it gives none,
  the longest break to break that a receiver accepts, ANSI E1.11), each head holds what it had, goes
  dark, or fades to a look of its own, as its profile says.

Of several fixtures of one mode the arrivals are compared: where they differ, the slots that differ
are named with who holds what, and where none does, the data is not the cause.

",
    frames!()
);

/// Below the options of `library`.
pub const LIBRARY: &str = "\
Your own profiles are the `.ron` files in the folder that SLOTWRIGHT_PROFILES names, or without it in
slotwright/profiles in $XDG_DATA_HOME or ~/.local/share, and in folders of it. Shows find them by
maker and model, and so do the commands that take a profile:
  SLOTWRIGHT_PROFILES=~/heads slotwright library
  slotwright check \"Tarnfell S1 Spot\"

Of several profiles of one name a show takes the one in its own files (`profile_files`), then the one
in your folder, then the one that comes with the program; which one is hidden is said in a note.";

/// Below the options of `check`.
pub const CHECK: &str = "\
A PATH is a file, or the name of a profile that `slotwright library` lists.

A profile is told from a show by the names of its fields: `maker`, `modes`; `format`, `fixtures`.
A show is checked together with the profile files that it names.

Each finding is one line: file:line:column, what it is about, how much it matters, what was found and
what would be right, why it matters in parentheses, and in brackets the name of its kind. `error`
cannot work as written and makes the exit code 1; `warning` is legal and will surprise somebody;
`note` is worth knowing.

A profile can accept a warning or note that is as its author means it. It is then shown with `--all`
only. `at` is what the finding is about, or the beginning of it up to a comma; without it, such a
finding is accepted anywhere in the profile:
  accepted: [
    (code: \"default-dark\", at: \"mode \\\"full\\\", channel \\\"Shutter\\\"\", reason: \"the chart rests closed\"),
  ],

Example: slotwright check --all my-head.ron

JSON (`--json`):
  {files: [{path, kind, findings: [{severity, file, line, column, item, code, what, why, mend,
   accepted}]}], errors, warnings, notes}
  kind is `profile`, `show` or null; file, line, column, item and code are null where not known; line
  and column count from 1, columns in characters; why and mend are empty where there is nothing to
  say; accepted is null, or with `--all` the reason. The counts leave out what was accepted.";
