"""A second opinion on exported fixture descriptions (DIN SPEC 15800).

Files that the program exports are read by the library pygdtf, and what that says of every function (slots,
first and last value, attribute, physical ends) is compared one by one with the channel chart that the program prints
of the profile. Every value in an exported file has the width of its channel, because pygdtf does not rescale values.

Usage: gdtf_second_opinion.py PATH_OF_SLOTWRIGHT
"""

import csv
import io
import subprocess
import sys
import tempfile
from pathlib import Path

import pygdtf

GAP = "Gap in the chart"

# The chart's words for values that no range covers.
GAP_IN_CHART = "not in the chart"

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

# The attribute of each unit and how many of the chart's units one of the file's is.
SCALES = {"deg": 1.0, "Hz": 1.0, "K": 1.0, "%": 100.0, "rpm": 1.0 / 6.0}

# What a function of the chart is written as.
ATTRIBUTES = {
    "Pan": {"Pan"}, "Tilt": {"Tilt"}, "Level": {"Dimmer"}, "Zoom": {"Zoom"}, "Iris": {"Iris"},
    "Shutter": {"Shutter1", "Shutter1Strobe", "Shutter1StrobePulse"},
    "Turning": {"Gobo1Pos", "Gobo1PosRotate"},
    "Red": {"ColorAdd_R"}, "Green": {"ColorAdd_G"}, "Blue": {"ColorAdd_B"}, "White": {"ColorAdd_W"},
    "Amber": {"ColorAdd_RY"},
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
    """What the program says: (slots, first, last) with the channel, its physical ends and their unit."""
    command = [program, "chart", profile, "--mode", mode, "--format", "csv"]
    text = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    rows = {}
    for row in csv.DictReader(io.StringIO(text)):
        slots = tuple(int(slot) for slot in row["slot"].split("/"))
        first = full(row["from"], len(slots), False)
        last = full(row["to"], len(slots), True)
        ends = (row["physical from"], row["physical to"], row["unit"])
        rows[slots, first, last] = (row["channel"], row["function"], ends)
    return rows


def file_rows(path, mode):
    """What pygdtf says: (slots, first, last) with the name, the attribute and the physical ends."""
    rows = {}
    with pygdtf.FixtureType(str(path)) as fixture:
        found = next(one for one in fixture.dmx_modes if one.name == mode)
        for channel in found._dmx_channels:
            slots = tuple(channel.offset)
            for logical in channel.logical_channels:
                for function in logical.channel_functions:
                    if function.name == ADDED:
                        continue
                    first = function.dmx_from.get_value(full=True)
                    last = function.dmx_to.get_value(full=True)
                    ends = (function.physical_from.value, function.physical_to.value)
                    rows[slots, first, last] = (function.name, str(function.attribute), ends)
    return rows


def differences(program, profile, mode, path):
    """Every difference between the two, and how many functions were compared."""
    chart, file = chart_rows(program, profile, mode), file_rows(path, mode)
    wrong, compared = [], 0
    gaps = {key for key, (name, *_) in file.items() if name.startswith(GAP)}
    chart_gaps = {key for key, (_, function, _) in chart.items() if function == GAP_IN_CHART}
    wrong += [f"{key}: a gap on one side only" for key in sorted(gaps ^ chart_gaps)]
    ranges = set(chart) - chart_gaps
    for key in sorted(ranges ^ (set(file) - gaps)):
        wrong.append(f"{key}: the chart has {chart.get(key)}, the file has {file.get(key)}")
    for key in sorted(ranges & set(file)):
        compared += 1
        channel, _, (low, high, unit) = chart[key]
        _, attribute, (first, last) = file[key]
        if channel in ATTRIBUTES and attribute not in ATTRIBUTES[channel]:
            wrong.append(f"{key}: `{channel}` is written as `{attribute}`")
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
        neutral = Path(folder, "alder.ron")
        neutral.write_text(NEUTRAL, encoding="utf-8")
        cases = [(str(neutral), ["m"], 12), ("Saltgrave Cobble", ["six"], 6)]
        bad = 0
        for number, (profile, modes, least) in enumerate(cases):
            path = Path(folder, f"{number}.gdtf")
            subprocess.run([program, "export", profile, "--out", str(path)], check=True,
                           stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            for mode in modes:
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
