#!/usr/bin/env -S /usr/bin/python3 -B
"""Makes what page_test.mjs opens: pages, broken files, and the numbers that h5py and numpy find in the same files.

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
MONO, LEFT_EAR = 2, 0


def run(*arguments, status=(0,)):
    done = subprocess.run(list(map(str, arguments)), capture_output=True, text=True)
    if done.returncode not in status:
        sys.exit(f"{arguments}: status {done.returncode}\n{done.stdout}{done.stderr}")
    return done.stdout


def coarse(scene):
    """A scene that ships, at fewer frequencies and with waves to 100 Hz only: quick, and every section has something to show."""
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


def impulse(response, frequency, arrival):
    """What a click gives: interpolated with the travel time taken out, 48 kHz, 8192 samples, faded over the top sixth of an
    octave; numpy's transform."""
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
    """Level of a band with equal weight to every octave, by a fine trapezium over log frequency."""
    octave, fine = np.log2(frequency), np.linspace(np.log2(low), np.log2(high), 20001)
    return 10 * np.log10(np.trapz(np.interp(fine, octave, power), fine) / (fine[-1] - fine[0]) / 20e-6 ** 2)


def expectations(path):
    """Fingerprints of every dataset, and a few results of working with them."""
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
        # Left, right and mono channels all give their whole to a signal alike left and right.
        rest = np.mean(abs(signal[preset, MONO, 0] - channel[preset, loudest, 0]) ** 2, axis=0)
        driver = int(np.argmax(file["settings/drives"][loudest]))
        arrival = file["paths/arrival"][0, LEFT_EAR, driver] + file["settings/delay"][preset, loudest]
        click, start = impulse(channel[preset, loudest, 0, LEFT_EAR], frequency, arrival)
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
                  "drives": file["settings/drives"][:].tolist(), "click": list(click), "click_start": start,
                  "outcomes": list(file["checks/outcome"].asstr()[:]), "ear_position": file["geometry/ear_position"][:].tolist(),
                  "driver_position": file["geometry/driver_position"][:].tolist()}
        if "map" in file:
            pressure = complex_of("map/of_channel")[:, 1].sum(axis=0)
            level = 20 * np.log10(np.maximum(abs(pressure), 1e-6) / 20e-6)
            found["map"] = {"most": level.max(), "least": level.min()}
    return found


def carried(page):
    """The files in a page, unpacked."""
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
    report("two", folder / "saloon.h5", folder / "pickup.h5")
    run(program, "report", "--empty", "-o", folder / "empty.html")
    said = run(program, "report", hatchback, "--megabytes", "3", "-o", folder / "thinned.html")
    broken_files(folder, synthetic)
    shutil.copyfile(synthetic, folder / "whole.h5")

    # What the page carries is the file, byte for byte; thinned, a file that every reader takes.
    [(name, thinned, content)] = carried(folder / "hatchback.html")
    assert content == pathlib.Path(hatchback).read_bytes() and name == "hatchback.h5" and thinned == "", name
    assert len(carried(folder / "two.html")) == 2 and carried(folder / "empty.html") == []
    [(name, thinned, content)] = carried(folder / "thinned.html")
    assert thinned and thinned in said, said
    assert len(content) <= 3e6, f"{len(content)} bytes, at most 3 MB were asked for"
    (folder / "thinned.h5").write_bytes(content)
    with h5py.File(folder / "thinned.h5") as less, h5py.File(hatchback) as whole:
        step = int(re.search(r"all but one in (\d+) frequencies", thinned)[1])
        assert np.array_equal(less["frequency"][:], whole["frequency"][::step])
        assert np.array_equal(less["response/channel"][:], whole["response/channel"][..., ::step, :])
        assert np.array_equal(less["paths/arrival"][:], whole["paths/arrival"][:])
        assert less["response/channel"].dims[4][0].name == "/frequency" and dict(less["frequency"].attrs)["units"] == "Hz"
        assert "map" not in less and less.attrs["title"] == whole.attrs["title"]

    expected = {name: expectations(path) for name, path in (("hatchback", hatchback), ("saloon", folder / "saloon.h5"))}
    expected["hostile"] = {"title": HOSTILE}
    (folder / "expected.json").write_text(json.dumps(expected))


if __name__ == "__main__":
    if len(sys.argv) != 5:
        sys.exit(__doc__)
    main(*sys.argv[1:])
