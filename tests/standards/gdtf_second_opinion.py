"""A second opinion on exported fixture descriptions (DIN SPEC 15800).

Files that the program exports are read by the library pygdtf, and what that says of every function and of every
wheel slot that values select (slots, first and last value, the channel it depends on, attribute, physical ends, names
of wheel slots) is compared one by one with the channel chart that the program prints of the profile; parts of cells
with the places that the profile gives them. Every value in an exported file has the width of its channel, because pygdtf does not rescale values.

Usage: gdtf_second_opinion.py PATH_OF_SLOTWRIGHT
"""

import csv
import io
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import pygdtf

GAP = "Gap in the chart"

# What stands for the last slot of a mode that no channel describes.
UNDESCRIBED = "Slot not described"

# The chart's words for values that no range covers.
GAP_IN_CHART = "not in the chart"

# A condition as the chart prints it behind a function.
WHILE = re.compile(r"^(.*) \(while (.+) is (\d+)\.\.(\d+)\)$")

# pygdtf adds a channel of one function of this name for a slot that no channel has; a function of an exported
# file always has a number behind its name.
ADDED = "NoFeature"

# A neutral head: widths of 1 to 4 slots, reversed and scattered slots, falling pairs, gaps at either end.
NEUTRAL = """(
  maker: "Neutral", model: "ALDER",
  head: Moving(pan: (travel_deg: 540.0), tilt: (travel_deg: 270.0)),
  source: White(flux_lm: 1000.0, cct_k: 5000.0), optics: (beam_deg: 10.0, field_deg: 15.0),
  wheels: {"pattern": (slots: [Open, Pattern("star", "star"), Pattern("bars", "bars")])},
  modes: [(name: "m", slots: 16, channels: [
    (name: "Pan", at: [1, 2], ranges: [(from: 0, to: 255, does: Pan(deg: (-270.0, 270.0)))]),
    (name: "Tilt", at: [4, 3], ranges: [(from: 0, to: 255, does: Tilt(deg: (135.0, -135.0)))]),
    (name: "Level", at: [5, 9, 6], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))]),
    (name: "Shutter", at: [7], ranges: [
      (from: 10, to: 15, does: Shut), (from: 16, to: 31, does: Open),
      (from: 32, to: 95, does: Strobe(hz: (0.5, 18.0))),
      (from: 101, to: 200, does: Strobe(hz: (9.0, 1.0), shape: Swell))]),
    (name: "Turning", at: [10, 11], ranges: [
      (fine_from: 0, fine_to: 32767, does: Turn(wheel: "pattern", deg: (0.0, 360.0))),
      (fine_from: 32768, fine_to: 49663, does: Spin(wheel: "pattern", rpm: (-80.0, -0.5))),
      (fine_from: 49664, fine_to: 65535, does: Spin(wheel: "pattern", rpm: (0.5, 80.0)))]),
    (name: "Zoom", at: [12, 13, 14, 15], ranges: [(from: 0, to: 255, does: Zoom(deg: (40.0, 8.0)))]),
    (name: "Iris", at: [16], ranges: [(from: 0, to: 199, does: Iris(percent: (100.0, 5.0)))]),
  ])],
)"""

# Where the cells of the head below sit, in metres.
CELLS = {1: (-0.25, 0.0), 2: (0.0, 0.125), 3: (0.25, -0.125)}

# A neutral head: ranges that depend on a channel of two slots, wheels with every kind of slot, cells.
DEPENDENT = """(
  maker: "Neutral", model: "BIRCH", head: Fixed, cells: [(-0.25, 0.0), (0.0, 0.125), (0.25, -0.125)],
  source: White(flux_lm: 1000.0, cct_k: 5000.0), optics: (beam_deg: 10.0, field_deg: 15.0),
  wheels: {
    "pattern": (slots: [Open, Pattern("star", "star"), Tint("red", "#ff2200"), Blocked("dark")]),
    "prism": (slots: [Open, Prism(name: "5 facets", facets: 5, spread_deg: 3.0)]),
    "texture": (slots: [Open, Animation("flames", "bars")]),
  },
  modes: [(name: "m", slots: 12, channels: [
    (name: "Kind", at: [1, 2], ranges: [
      (from: 0, to: 99, does: Unknown, label: "slow"), (from: 100, to: 255, does: Unknown, label: "fast")]),
    (name: "Rate", at: [3], ranges: [
      (from: 0, to: 9, does: Open),
      (from: 10, to: 255, does: Strobe(hz: (1.0, 5.0)), when: [("Kind", 0, 99)]),
      (from: 10, to: 200, does: Strobe(hz: (20.0, 5.0)), when: [("Kind", 100, 255)])]),
    (name: "Pattern", at: [4], ranges: [
      (from: 0, to: 9, does: Slot(wheel: "pattern", slot: 1)),
      (from: 10, to: 19, does: Slot(wheel: "pattern", slot: 2), label: "the star"),
      (from: 20, to: 29, does: Split(wheel: "pattern", between: (2, 3))),
      (from: 30, to: 39, does: Slot(wheel: "pattern", slot: 4)),
      (from: 50, to: 255, does: Shake(wheel: "pattern", slot: 3, hz: (2.0, 1.0)))]),
    (name: "Prism", at: [5, 8], ranges: [
      (from: 0, to: 127, does: Slot(wheel: "prism", slot: 1)),
      (from: 128, to: 255, does: Slot(wheel: "prism", slot: 2), when: [("Kind", 100, 255)])]),
    (name: "Texture", at: [6], ranges: [
      (from: 0, to: 99, does: Slot(wheel: "texture", slot: 1)),
      (from: 100, to: 255, does: Slot(wheel: "texture", slot: 2))]),
    (name: "Cell 1", at: [7], cell: 1, ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))]),
    (name: "Cell 2", at: [9], cell: 2, ranges: [(from: 0, to: 255, does: Dimmer(percent: (100.0, 0.0)))]),
    (name: "Cell 3", at: [10], cell: 3, ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))]),
  ])],
)"""

# The attribute of each unit and how many of the chart's units one of the file's is.
SCALES = {"deg": 1.0, "Hz": 1.0, "K": 1.0, "%": 100.0, "rpm": 1.0 / 6.0}

# What a function of the chart is written as.
ATTRIBUTES = {
    "Pan": {"Pan"}, "Tilt": {"Tilt"}, "Level": {"Dimmer"}, "Zoom": {"Zoom"}, "Iris": {"Iris"},
    "Shutter": {"Shutter1", "Shutter1Strobe", "Shutter1StrobePulse"},
    "Turning": {"Gobo1Pos", "Gobo1PosRotate"},
    "Red": {"ColorAdd_R"}, "Green": {"ColorAdd_G"}, "Blue": {"ColorAdd_B"}, "White": {"ColorAdd_W"},
    "Amber": {"ColorAdd_RY"}, "Kind": {"Function"}, "Rate": {"Shutter1", "Shutter1Strobe"},
    "Pattern": {"Gobo1", "Gobo1SelectShake"}, "Prism": {"Prism1"}, "Texture": {"AnimationWheel1"},
    "Cell 1": {"Dimmer"}, "Cell 2": {"Dimmer"}, "Cell 3": {"Dimmer"},
}


def full(text, width, is_last):
    """A value of the chart, coarse or slot by slot (`128/64`), at the channel's full resolution."""
    parts = [int(part) for part in text.split("/")]
    if len(parts) == 1 and width > 1:
        parts += [255 if is_last else 0] * (width - 1)
    value = 0
    for part in parts:
        value = value << 8 | part
    return value


def chart_rows(program, profile, mode):
    """What the program says: (slots, first, last, condition) with the channel, the function, its ends and their unit.

    A condition is the slots of another channel with its first and last coarse value.
    """
    command = [program, "chart", profile, "--mode", mode, "--format", "csv"]
    text = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    lines = list(csv.DictReader(io.StringIO(text)))
    of_channel = {row["channel"]: slots_of(row) for row in lines}
    rows = {}
    for row in lines:
        slots, function, condition = slots_of(row), row["function"], None
        depends = WHILE.match(function)
        if depends:
            function, master, low, high = depends.groups()
            condition = (of_channel[master], int(low), int(high))
        first = full(row["from"], len(slots), False)
        last = full(row["to"], len(slots), True)
        ends = (row["physical from"], row["physical to"], row["unit"])
        rows[slots, first, last, condition] = (row["channel"], function, ends)
    return rows


def slots_of(row):
    return tuple(int(slot) for slot in row["slot"].split("/"))


def condition_of(function, of_link):
    """The slots of the channel that a function depends on, with its first and last coarse value."""
    link = str(function.mode_master)
    if link == "None":
        return None
    slots = of_link[link]
    fine = 256 ** (len(slots) - 1)
    low, high = (value.get_value(full=True) for value in (function.mode_from, function.mode_to))
    if low % fine or (high + 1) % fine:
        raise ValueError(f"{function.name} depends on part of a coarse value: {low}..{high}")
    return slots, low // fine, high // fine


def selected(wheel, named):
    """The wheel slot that a set selects, as the chart names it."""
    at = named.wheel_slot_index
    ends = (named.physical_from.value, named.physical_to.value)
    if ends == (0.5, 0.5):
        return f"{wheel[at - 1]} / {wheel[at % len(wheel)]}"
    return wheel[at - 1]


def file_rows(path, mode):
    """What pygdtf says: (slots, first, last, condition) with name, attribute, ends and the wheel slot; and the parts.

    The parts are the part that each channel acts on, by its slots, and the place of each part in the one around it.
    """
    rows, acts_on, places = {}, {}, {}
    with pygdtf.FixtureType(str(path)) as fixture:
        wheels = {wheel.name: [slot.name for slot in wheel.wheel_slots] for wheel in fixture.wheels}
        found = next(one for one in fixture.dmx_modes if one.name == mode)
        channels = found._dmx_channels
        of_link = {f"{c.geometry}_{c.logical_channels[0].attribute}": tuple(c.offset) for c in channels}
        for channel in channels:
            slots = tuple(channel.offset)
            acts_on[slots] = channel.geometry
            for logical in channel.logical_channels:
                for function in logical.channel_functions:
                    if function.name == ADDED or function.name.startswith(UNDESCRIBED):
                        continue
                    condition = condition_of(function, of_link)
                    attribute = str(function.attribute)
                    wheel = wheels.get(str(function.wheel))
                    sets = function.channel_sets if wheel else []
                    for named in sets or [None]:
                        part = named or function
                        first, last = (value.get_value(full=True) for value in (part.dmx_from, part.dmx_to))
                        ends = (part.physical_from.value, part.physical_to.value)
                        slot = named and (named.name or selected(wheel, named))
                        rows[slots, first, last, condition] = (function.name, attribute, ends, slot)
        parts = list(fixture.geometries)
        while parts:
            part = parts.pop()
            places[part.name] = (part.position.matrix[0][3], part.position.matrix[1][3])
            parts.extend(part.geometries)
    return rows, acts_on, places


def differences(program, profile, mode, path):
    """Every difference between the two, and how much was compared."""
    chart, (file, acts_on, places) = chart_rows(program, profile, mode), file_rows(path, mode)
    wrong, compared = [], 0
    gaps = {key for key, (name, *_) in file.items() if name.startswith(GAP)}
    chart_gaps = {key for key, (_, function, _) in chart.items() if function == GAP_IN_CHART}
    # Where ranges depend on other channels, the file has gaps by condition and the chart by setting.
    depending = {slots for slots, _, _, condition in chart if condition}
    apart = {key for key in gaps ^ chart_gaps if key[0] not in depending}
    wrong += [f"{key}: a gap on one side only" for key in sorted(apart, key=str)]
    ranges = set(chart) - chart_gaps
    for key in sorted(ranges ^ (set(file) - gaps), key=str):
        wrong.append(f"{key}: the chart has {chart.get(key)}, the file has {file.get(key)}")
    for key in sorted(ranges & set(file), key=str):
        compared += 1
        channel, function, (low, high, unit) = chart[key]
        _, attribute, (first, last), slot = file[key]
        if channel in ATTRIBUTES and attribute not in ATTRIBUTES[channel]:
            wrong.append(f"{key}: `{channel}` is written as `{attribute}`")
        if slot and not function.startswith(slot):
            wrong.append(f"{key}: `{function}` selects `{slot}` in the file")
        if channel.startswith("Cell "):
            part = acts_on[key[0]]
            at = CELLS[int(channel.removeprefix("Cell "))]
            if part != channel or places[part] != at:
                wrong.append(f"{key}: `{channel}` acts on `{part}` at {places.get(part)}, not at {at}")
        if low == "":
            continue
        scale = SCALES.get(unit)
        if scale is None:
            wrong.append(f"{key}: no scale for the unit `{unit}`")
            continue
        for said, read in ((low, first), (high, last)):
            # The chart rounds what it prints to six significant digits at least.
            if read is None or abs(float(said) - read * scale) > 1e-4 * max(1.0, abs(float(said))):
                wrong.append(f"{key}: `{channel}` at an end: {said} {unit} in the chart, {read} in the file")
    return wrong, compared


def main(program):
    with tempfile.TemporaryDirectory() as folder:
        own = []
        for name, text in (("alder.ron", NEUTRAL), ("birch.ron", DEPENDENT)):
            own.append(Path(folder, name))
            own[-1].write_text(text, encoding="utf-8")
        cases = [(str(own[0]), "m", 12), (str(own[1]), "m", 17), ("Saltgrave Cobble", "six", 6)]
        bad = 0
        for number, (profile, mode, least) in enumerate(cases):
            path = Path(folder, f"{number}.gdtf")
            subprocess.run([program, "export", profile, "--out", str(path)], check=True,
                           stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            wrong, compared = differences(program, profile, mode, path)
            if compared < least:
                wrong.append(f"only {compared} functions were compared, {least} at least were meant")
            print(f"{Path(profile).name}, {mode}: {compared} functions compared, {len(wrong)} differ")
            for line in wrong:
                print(f"  {line}")
            bad += len(wrong)
        return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
