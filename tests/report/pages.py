#!/usr/bin/env -S /usr/bin/python3 -B
"""Makes the input of page_test.mjs: pages, broken files, and the numbers that h5py and numpy find in the same files.

    pages.py CABINFIELD HATCHBACK.h5 SYNTHETIC.h5 FOLDER
"""
import base64
import json
import pathlib
import re
import shutil
import subprocess
import sys
import zlib

import h5py
import numpy as np

SCENES = pathlib.Path(__file__).resolve().parents[2] / "scenes"
HOSTILE = 'Car "one" <script>window.broken = true</script> & <img src=x onerror="window.broken = true"> \u05de\u05db\u05d5\u05e0\u05d9\u05ea \U0001f697 it\'s'
OPEN = """cabinfield: 1
title: No cabin yet
seats: {driver: {head: [1.2, -0.4, 1.0]}}
drivers: {mid: {model: midbass_165, position: [0.5, -0.6, 0.4], aim: {seat: driver}}}
channels: {mid: {drives: [mid]}}
"""
SMALL = """cabinfield: 1
title: A small car (invented)
cabin:
  box: {length: 2.0 m, width: 1.4 m, height: 1.1 m}
  materials: {all: {specific_impedance: 20}, floor: carpet}
  blocks:
    - name: dash
      profile: [{x: -0.1, z: 0.7, face: top}, {x: 0.5, z: 0.7, face: brow}, [0.5, 0.4], [-0.1, 0.4]]
      y: [-0.8, 0.8]
seats: {driver: {head: [1.1, -0.4, 0.9]}, passenger: {mirror_of: driver}}
drivers:
  mid_left: {model: midbass_165, position: [0.7, -0.7, 0.3], surface: left, loading: {sealed: 8 L}}
  mid_right: {mirror_of: mid_left}
  centre: {model: mid_75, position: [0.25, 0, 0.7], surface: dash.top, loading: {sealed: 1 L}}
channels:
  left: {drives: [mid_left], signal: left}
  right: {drives: [mid_right], signal: right}
  centre: {drives: [centre], signal: mono, highpass: {family: butterworth, order: 2, frequency: 300 Hz}}
compute: {frequencies: {from: 200 Hz, to: 4 kHz, per_octave: 6}, field: images, image_order: 1}
"""
SMALL_STUDY = """cabinfield_study: 1
title: Where the centre goes in a small car
scene: small.yaml
move:
  - driver: centre
    places:
      dash_middle: as_drawn
      dash_rear: {position: [0.4, 0.1, 0.7]}
      dash_left: {position: [0.25, -0.3, 0.7]}
vary:
  - {name: centre_plays, mute: [centre]}
judge:
  - {measure: evenness, band: [300 Hz, 3 kHz], weight: 2}
  - {measure: seat_spread, band: [300 Hz, 3 kHz]}
paint: {driver: centre, over: dash.top, spacing: 150 mm, judge_by: evenness}
doubt: {draws: 20}
"""
MONO, LEFT_EAR = 2, 0


def run(*arguments, status=(0,)):
    done = subprocess.run(list(map(str, arguments)), capture_output=True, text=True)
    if done.returncode not in status:
        sys.exit(f"{arguments}: status {done.returncode}\n{done.stdout}{done.stderr}")
    return done.stdout


def coarse(scene):
    """A shipped scene at fewer frequencies and with the wave simulation up to 100 Hz only: quick, but every section has data."""
    text = (SCENES / f"{scene}.yaml").read_text()
    return re.sub(r"\ncompute:\n", "\ncompute:\n  wave_top: 100 Hz\n", re.sub(r"per_octave: \d+", "per_octave: 12", text))


def changed(source, target, change):
    shutil.copyfile(source, target)
    with h5py.File(target, "r+") as file:
        change(file)


def retitled(file):
    file.attrs["title"] = HOSTILE
    text = file["scene/resolved"].asstr()[()] if "scene/resolved" in file else ""
    del file["scene/resolved"]
    file["scene/resolved"] = text + "\nbrief:\n  keep: [" + json.dumps(HOSTILE) + "]\n" if "\nbrief" not in text else text
    file["checks/words"][0] = HOSTILE


PLAN = ("system", "limits", "amplifier", "battery", "cable", "load_case", "limit_kind", "third_octave", "wiring_index")


def unplanned(file):
    """Removes everything about the system."""
    for name in PLAN:
        if name in file:
            del file[name]


def planned(file):
    """Adds the results for a system: an output for each channel, a supply in two load cases, maximum levels."""
    count = {axis: len(file[axis]) for axis in ("preset", "channel", "seat", "frequency")}
    text = lambda path, values: file.create_dataset(path, data=np.array(values, dtype=object), dtype=h5py.string_dtype())
    unplanned(file)
    for axis, names in {"amplifier": ["front_amp", "<b>rear</b>_amp"], "battery": ["start", "second"], "cable": ["second to front_amp"],
                        "load_case": ["music, engine running", "full bass, engine off"], "limit_kind": ["none", "amplifier voltage", "excursion"]}.items():
        text(axis, names)
    thirds = 1000 * 10 ** (np.arange(-16, 13) / 10)
    file["third_octave"] = thirds
    channels = np.arange(count["channel"])
    for name, values in {"feed_amplifier": np.where(channels < 6, 0, -1), "feed_output": channels % 6 + 1, "feed_bridged_with": channels * 0,
                         "feed_processor_output": channels + 1, "feed_proposed": (channels == 1) * 1}.items():
        file[f"system/{name}"] = values.astype(np.int32)
    for name, value in {"least_load": 3.38, "least_load_frequency": 391.7, "sine_power": 75.4, "power_of_use": 41.2}.items():
        file[f"system/{name}"] = np.full(count["channel"], value)
    text("system/feed_reason", [f"reason {channel}" for channel in channels])
    for name, values in {"amplifier_voltage": [[13.97, 13.2], [12.6, 12.4]], "amplifier_current": [[6.2, 7.1], [43.3, 49.6]],
                         "battery_current": [[-11.7, -16.6], [0, 48.1]], "cable_current": [[33.0], [43.3]], "cable_drop": [[0.12], [0.24]]}.items():
        file[f"system/{name}"] = np.array(values)
    file["system/battery_opens"] = np.array([[0, 0], [0, 1]], np.int32)
    for name, value in {"cable_temperature": 44.2, "cable_limit": 117.0, "cable_fuse": 50.0}.items():
        file[f"system/{name}"] = np.array([value])
    text("system/cable_least_metric", ["10 mm2"])
    text("system/cable_least_gauge", ["8 AWG"])
    file["system/playing_time"], file["system/load_mass"] = 12251.7, 29.9
    file["system/front_axle_mass"], file["system/rear_axle_mass"] = 8.6, 21.3
    shape = (count["preset"], count["channel"], count["seat"], count["frequency"])
    level = 100 + np.zeros(shape)
    level[:, -1] = -200
    file["limits/sine_level"] = level
    file["limits/sine_kind"] = np.full((shape[0], shape[1], shape[3]), 2, np.int32)
    for name, value in {"system_sine_level": 112, "system_music_level": 96}.items():
        file[f"limits/{name}"] = np.full((count["preset"], count["seat"], len(thirds)), value, float)
    for name, value in {"system_music_a": 104.4, "system_music_c": 111.6, "exposure": 0.11}.items():
        file[f"limits/{name}"] = np.full((count["preset"], count["seat"]), value)
    file["limits/system_music_kind"] = np.full(count["preset"], 2, np.int32)
    file["limits/system_music_channel"] = np.full(count["preset"], 1, np.int32)


def study(path):
    """Writes a study of six variants, one impossible, three leading (the scene as drawn among them), 40 samples, a placement map."""
    with h5py.File(path, "w") as file:
        text = lambda name, values: file.create_dataset(name, data=np.array(values, dtype=object), dtype=h5py.string_dtype())
        one = lambda name, value: file.create_dataset(name, data=value, dtype=h5py.string_dtype())
        file.attrs["file_format"], file.attrs["title"] = "cabinfield-study", HOSTILE
        file.attrs["format_version"] = np.array([1, 0], np.int32)
        file.attrs["program_version"], file.attrs["created"] = "0.1.0", "2026-01-01T00:00:00Z"
        one("study/source", "cabinfield_study: 1\n")
        one("study/scene", "cabinfield: 1\n")
        text("seat", ["driver", "passenger"])
        text("measure", ["evenness", "side <i>of</i> the voice"])
        text("measures/unit", ["dB", "degree"])
        text("axis", ["centre"])
        frequency = 10 * 2 ** (np.arange(132) / 12)
        file["frequency"] = frequency
        labels = ["dash", "fascia", "under the dash", "pillar", "roof", ""]
        text("variants/label", labels)
        file["variants/rank"] = np.array([1, 0, 3, 4, -1, 2], np.int32)
        file["variants/points"] = np.array([-2.5, -1.25, -6, -8, np.nan, -4])
        file["variants/broken_limits"] = np.array([0, 0, 1, 0, 0, 0], np.int32)
        value = np.array([[3.1, -12], [2.2, 7], [5, 30], [6, 45], [np.nan, np.nan], [4, 1]])
        file["variants/value"] = value
        file["leading/variant"] = np.array([1, 0, 5], np.int32)
        text("leading/label", ["fascia", "dash", ""])
        level = 90 + 3 * np.arange(3)[:, None, None] + np.sin(np.log2(frequency))[None, None] + np.arange(2)[None, :, None]
        file["leading/response"] = level
        bands = 1000 * 10 ** (np.arange(-16, 13) / 10)
        file["leading/band_middle"] = bands
        for side, shift in (("low", -2), ("median", 0), ("high", 2)):
            file[f"draws/value_{side}"] = value[[1, 0, 5]] + shift
            file[f"draws/level_{side}"] = np.broadcast_to(93 + shift, (3, 2, len(bands))).astype(float)
        file["draws/count"] = np.int32(40)
        file["draws/times_best"], file["draws/times_better"] = np.array([30, 8, 2], np.int32), np.array([36, 20, -1], np.int32)
        text("impossible/why", ["it does not fit the opening"])
        file["impossible/variant"] = np.array([4], np.int32)
        grid = np.array([[0.2 + 0.1 * i, -0.3 + 0.1 * j, 0.8] for i in range(4) for j in range(7)])
        file["paint/position"] = grid
        worth = 2 + grid[:, 0] + grid[:, 1] ** 2
        worth[0] = np.nan
        file["paint/value"] = worth
        corner = lambda i, j: i * 7 + j
        file["paint/triangle"] = np.array([t for i in range(3) for j in range(6) for t in ((corner(i, j), corner(i + 1, j), corner(i + 1, j + 1)),
                                                                                        (corner(i, j), corner(i + 1, j + 1), corner(i, j + 1)))], np.int32)
        one("paint/judged_by", "evenness")
        one("paint/unit", "dB")
        one("paint/surface", "dash.top")


def impulse(response, frequency, arrival):
    """Impulse response by numpy's transform: interpolated with the travel time removed, 48 kHz, 8192 samples, faded out over the
    top sixth of an octave."""
    rate, length, before = 48000, 8192, 0.003
    bins = np.fft.rfftfreq(length, 1 / rate)
    turned = response * np.exp(2j * np.pi * frequency * arrival)
    spectrum = np.interp(bins, frequency, turned.real) + 1j * np.interp(bins, frequency, turned.imag)
    spectrum = np.where(bins < frequency[0], turned[0] * bins / frequency[0], spectrum)
    fade_from = frequency[-1] * 2 ** (-1 / 6)
    fade = np.where(bins > fade_from, 0.5 + 0.5 * np.cos(np.pi * np.log(np.maximum(bins, 1e-9) / fade_from) / np.log(2 ** (1 / 6))), 1)
    spectrum = np.where(bins <= frequency[-1], spectrum * fade, 0)
    spectrum[0] = spectrum[-1] = 0
    return np.fft.irfft(spectrum * np.exp(-2j * np.pi * bins * before), length), arrival - before


def band_level(power, frequency, low, high):
    """Level of a band with equal weight for every octave, by a fine trapezoidal rule over log frequency."""
    octave, fine = np.log2(frequency), np.linspace(np.log2(low), np.log2(high), 20001)
    return 10 * np.log10(np.trapz(np.interp(fine, octave, power), fine) / (fine[-1] - fine[0]) / 20e-6 ** 2)


def expectations(path):
    """Samples of every dataset, and a few results computed from them."""
    found = {"datasets": {}, "texts": {}}
    with h5py.File(path) as file:
        def visit(name, item):
            if not isinstance(item, h5py.Dataset):
                return
            if h5py.check_string_dtype(item.dtype):
                found["texts"]["/" + name] = [str(text) for text in np.atleast_1d(item.asstr()[()])]
                return
            flat = np.atleast_1d(item[()]).astype(float).ravel()
            picks = sorted({0, len(flat) // 3, len(flat) // 2, len(flat) - 1})
            found["datasets"]["/" + name] = {"shape": list(item.shape), "picks": [[at, flat[at]] for at in picks],
                                             "least": flat.min(), "most": flat.max()}
        file.visititems(visit)
        names = {axis: list(file[axis].asstr()[:]) for axis in ("seat", "driver", "channel", "preset")}
        frequency = file["frequency"][:]
        complex_of = lambda name: file[name][..., 0] + 1j * file[name][..., 1]
        channel, signal = complex_of("response/channel"), complex_of("response/signal")
        preset = min(1, len(names["preset"]) - 1)
        loudest = int(np.argmax(np.mean(abs(channel[preset, :, 0]), axis=(1, 2))))
        power = np.mean(abs(signal[preset, MONO, 0]) ** 2, axis=0)
        # Left, right and mono channels all play a mono signal at full gain.
        rest = np.mean(abs(signal[preset, MONO, 0] - channel[preset, loudest, 0]) ** 2, axis=0)
        driver = int(np.argmax(file["settings/drives"][loudest]))
        arrival = file["paths/arrival"][0, LEFT_EAR, driver] + file["settings/delay"][preset, loudest]
        impulse_response, start = impulse(channel[preset, loudest, 0, LEFT_EAR], frequency, arrival)
        bands = {}
        for middle in (125, 1000, 4000):
            exact = 1000 * 10 ** (round(np.log2(middle / 1000)) * 0.3)
            low, high = exact / 10 ** 0.15, exact * 10 ** 0.15
            bands[middle] = {"sum": band_level(power, frequency, low, high),
                             "added": band_level(power, frequency, low, high) - band_level(rest, frequency, low, high)}
        found |= {"names": names, "title": file.attrs["title"], "preset": preset, "loudest": loudest, "frequency": list(frequency),
                  "sum_db": list(10 * np.log10(np.maximum(power, 1e-12) / 20e-6 ** 2)), "bands": bands,
                  "length": file["paths/length"][:].tolist(), "arrival": file["paths/arrival"][:].tolist(),
                  "delay": file["settings/delay"][:].tolist(), "gain": file["settings/gain"][:].tolist(), "mute": file["settings/mute"][:].tolist(),
                  "drives": file["settings/drives"][:].tolist(), "impulse": list(impulse_response), "impulse_start": start,
                  "outcomes": list(file["checks/outcome"].asstr()[:]), "ear_position": file["geometry/ear_position"][:].tolist(),
                  "driver_position": file["geometry/driver_position"][:].tolist()}
        if "map" in file:
            pressure = complex_of("map/of_channel")[:, 1].sum(axis=0)
            level = 20 * np.log10(np.maximum(abs(pressure), 1e-6) / 20e-6)
            found["map"] = {"most": level.max(), "least": level.min()}
    return found


def has_plan(path):
    with h5py.File(path) as file:
        return "system" in file or "limits" in file


def carried(page):
    """The files inside a page, decompressed."""
    pattern = r'<script type="text/plain" data-results="([^"]*)" data-thinned="([^"]*)">([^<]*)</script>'
    return [(name, thinned, zlib.decompress(base64.b64decode(text), -15)) for name, thinned, text in re.findall(pattern, page.read_text())]


def broken_files(folder, source):
    whole = pathlib.Path(source).read_bytes()
    bad = folder / "bad"
    bad.mkdir(exist_ok=True)
    (bad / "nothing.h5").write_bytes(b"")
    (bad / "text.h5").write_bytes(b"cabinfield: 1\n" * 100)
    (bad / "start.h5").write_bytes(whole[:20])
    (bad / "cut.h5").write_bytes(whole[:len(whole) * 2 // 3])
    (bad / "scrambled.h5").write_bytes(whole[:96] + b"\xff" * 4000 + whole[4096:])
    with h5py.File(bad / "foreign.h5", "w") as file:
        file["data"] = [1, 2, 3]

    def newer(file):
        file.attrs["format_version"] = np.array([2, 0], np.int32)

    def short(file):
        values = file["paths/arrival"][..., :-1]
        del file["paths/arrival"]
        file["paths/arrival"] = values

    def no_number(file):
        file["paths/arrival"][0, 0, 0] = np.nan

    def outside(file):
        file["geometry/triangle"][0, 0] = 10 ** 6

    def kind(file):
        del file["seat"]
        file["seat"] = [1, 2, 3, 4]

    for name, change in (("newer", newer), ("shape", short), ("no_number", no_number), ("outside", outside), ("kind", kind)):
        changed(source, bad / f"{name}.h5", change)
    with h5py.File(source) as file:
        start = file["response/signal"].id.get_chunk_info(0).byte_offset
    (bad / "inside.h5").write_bytes(whole[:start] + b"\xff" * 200 + whole[start + 200:])


def main(program, hatchback, synthetic, folder):
    folder = pathlib.Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    report = lambda page, *files: run(program, "report", *files, "-o", folder / f"{page}.html")
    for scene in ("saloon", "people_carrier", "pickup", "box"):
        (folder / f"{scene}.yaml").write_text(coarse(scene))
        run(program, "predict", folder / f"{scene}.yaml", "-o", folder / f"{scene}.h5", "--quiet", status=(0, 1))
        report(scene, folder / f"{scene}.h5")
    (folder / "open.yaml").write_text(OPEN)
    run(program, "predict", folder / "open.yaml", "-o", folder / "open.h5", "--quiet", status=(0, 1))
    report("open", folder / "open.h5")
    changed(synthetic, folder / "hostile.h5", retitled)
    shutil.copyfile(folder / "hostile.h5", folder / 'a "name" <b>&.h5')
    report("hostile", folder / 'a "name" <b>&.h5')
    report("hatchback", hatchback)
    report("synthetic", synthetic)
    changed(synthetic, folder / "planned.h5", planned)
    report("planned", folder / "planned.h5")
    changed(synthetic, folder / "bare.h5", unplanned)
    report("bare", folder / "bare.h5")
    (folder / "small.yaml").write_text(SMALL)
    (folder / "small_study.yaml").write_text(SMALL_STUDY)
    for old in folder.glob("small.h5*"):
        old.unlink()
    run(program, "study", folder / "small_study.yaml", "-o", folder / "small.h5", "--quiet", status=(0, 1))
    report("small", folder / "small.h5")
    study(folder / "study.h5")
    report("study", folder / "study.h5")
    report("two", folder / "saloon.h5", folder / "pickup.h5")
    run(program, "report", "--empty", "-o", folder / "empty.html")
    said = run(program, "report", hatchback, "--megabytes", "3", "-o", folder / "thinned.html")
    broken_files(folder, synthetic)
    shutil.copyfile(synthetic, folder / "whole.h5")

    # The page contains the file byte for byte; a thinned file is still valid for every reader.
    [(name, thinned, content)] = carried(folder / "hatchback.html")
    assert content == pathlib.Path(hatchback).read_bytes() and name == "hatchback.h5" and thinned == "", name
    assert len(carried(folder / "two.html")) == 2 and carried(folder / "empty.html") == []
    [(name, thinned, content)] = carried(folder / "thinned.html")
    assert thinned and thinned in said, said
    assert len(content) <= 3e6, f"{len(content)} bytes; the limit is 3 MB"
    (folder / "thinned.h5").write_bytes(content)
    with h5py.File(folder / "thinned.h5") as less, h5py.File(hatchback) as whole:
        step = int(re.search(r"all but one in (\d+) frequencies", thinned)[1])
        assert np.array_equal(less["frequency"][:], whole["frequency"][::step])
        assert np.array_equal(less["response/channel"][:], whole["response/channel"][..., ::step, :])
        assert np.array_equal(less["paths/arrival"][:], whole["paths/arrival"][:])
        assert less["response/channel"].dims[4][0].name == "/frequency" and dict(less["frequency"].attrs)["units"] == "Hz"
        assert "map" not in less and less.attrs["title"] == whole.attrs["title"]

    expected = {name: expectations(path) for name, path in (("hatchback", hatchback), ("saloon", folder / "saloon.h5"))}
    files = {"hatchback": hatchback, "synthetic": synthetic} | {name: folder / f"{name}.h5" for name in ("saloon", "people_carrier", "pickup", "box", "open", "hostile", "thinned", "bare")}
    expected["planned"] = [name for name, path in files.items() if has_plan(path)]
    expected["hostile"] = {"title": HOSTILE}
    (folder / "expected.json").write_text(json.dumps(expected))


if __name__ == "__main__":
    if len(sys.argv) != 5:
        sys.exit(__doc__)
    main(*sys.argv[1:])
