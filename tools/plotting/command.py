"""The command line: reads everything, draws everything, and only then writes."""
import argparse
import logging
import os
import re
import sys
import tempfile
import warnings

# Silences messages of the plotting library about its font cache and folders.
logging.getLogger("matplotlib").setLevel(logging.ERROR)
warnings.filterwarnings("ignore", message="Glyph .* missing from")

from plotting import arrivals, cabin, contributions, maps, placement_map, ranking, response, style  # noqa: E402
from plotting.results_file import Reader, ResultsError, read_open, read_with  # noqa: E402
from plotting.study_file import Study, is_study, read_study  # noqa: E402

DONE, WRONG_INPUT, MACHINE_FAILED = 0, 2, 3

EXAMPLE = """example:
  tools/plot hatchback.h5 -o pictures
writes pictures/cabin.png, arrivals.png, response_as_drawn.png and so on, each also as SVG. From a study file
it writes ranking.png, contributions.png and painted.png (the placement map)."""


def fraction_of_an_octave(text):
    """12 for "1/12" or "12"; None for "none"."""
    if text == "none":
        return None
    match = re.fullmatch(r"(?:1/)?(\d{1,2})", text)
    if not match or not 1 <= int(match[1]) <= 48:
        raise argparse.ArgumentTypeError(f"'{text}' is not a fraction of an octave: give 1/1 to 1/48, or none")
    return int(match[1])


def arguments_from(argv):
    parser = argparse.ArgumentParser(
        prog="plot", description="Draws the cabin, the arrival times and the responses of a results file, or the findings of "
                                  "a study, as PNG and SVG.",
        epilog=EXAMPLE, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("results", metavar="R.h5", help="file written by cabinfield predict or cabinfield study")
    parser.add_argument("-o", dest="folder", metavar="DIR", required=True, help="folder for the pictures; created if missing")
    parser.add_argument("--smoothing", type=fraction_of_an_octave, default=12, metavar="1/N",
                        help="smoothing of the responses: power average over 1/N octave, or none (default 1/12)")
    return parser.parse_args(argv)


def file_names(presets):
    """A file name for each preset: the letters and digits of its name, with _2 added where two would be equal."""
    names = []
    for preset in presets:
        name = "response_" + (re.sub(r"\W+", "_", preset).strip("_")[:80] or "preset")
        while name.lower() in (taken.lower() for taken in names):
            name += "_2"
        names.append(name)
    return names


def draw_all(results, smoothing):
    """[(name, figure)] for everything in the file, and messages that say what was left out and why."""
    pictures, left_out = [], []
    if results.triangle is not None or results.driver_position is not None or results.ear_position is not None:
        pictures.append(("cabin", cabin.draw(results)))
    else:
        left_out.append("no cabin picture: the file has no cabin, speakers or seats")
    if results.arrival is not None and results.path_length is not None:
        pictures.append(("arrivals", arrivals.draw(results)))
    else:
        left_out.append("no arrival picture: the file has no paths from speakers to seats")
    if results.signal_power is not None or results.channel_power is not None:
        for number, name in enumerate(file_names(results.preset)):
            pictures.append((name, response.draw(results, number, smoothing)))
    else:
        left_out.append("no response pictures: the file has no responses")
    if maps.available(results):
        for number, frequency in enumerate(results.map_frequency):
            name = f"map_{frequency:g}_Hz".replace(".", "_")
            pictures.append((name, maps.draw(results, number)))
            if maps.faces_viewer(results).any():
                pictures.append((name + "_surfaces", maps.draw_surfaces(results, number)))
    return pictures, left_out


def draw_study(study):
    """The same for a study file."""
    pictures, left_out = [], []
    for name, module, message in (("ranking", ranking, "no ranking picture: the study judged no variant"),
                                  ("contributions", contributions, "no contributions picture: the file has no /contribution"),
                                  ("painted", placement_map, "no placement map: the study has no paint:")):
        if module.available(study):
            pictures.append((name, module.draw(study)))
        else:
            left_out.append(message)
    return pictures, left_out


def read_either(path):
    return read_with(path, lambda file: read_study(path, file) if is_study(file) else read_open(Reader(path, file)))


def write_whole(path, content):
    """Writes the file whole or not at all."""
    descriptor, partial = tempfile.mkstemp(dir=os.path.dirname(path), prefix=".plot-")
    try:
        with os.fdopen(descriptor, "wb") as stream:
            stream.write(content)
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(partial, 0o666 & ~mask)
        os.replace(partial, path)
    except BaseException:
        os.unlink(partial)
        raise


def main(argv):
    arguments = arguments_from(argv)
    try:
        results = read_either(arguments.results)
        with style.drawing():
            pictures, left_out = (draw_study(results) if isinstance(results, Study)
                                  else draw_all(results, arguments.smoothing))
            if not pictures:
                raise ResultsError(f"{arguments.results}: the file has nothing to draw")
            contents = [(f"{name}.{kind}", style.rendered(figure, kind)) for name, figure in pictures
                        for kind in ("png", "svg")]
    except ResultsError as error:
        print(error, file=sys.stderr)
        return WRONG_INPUT
    try:
        os.makedirs(arguments.folder, exist_ok=True)
        for name, content in contents:
            path = os.path.join(arguments.folder, name)
            write_whole(path, content)
            print(path)
    except OSError as error:
        print(f"{arguments.folder}: cannot write the pictures: {error.strerror or error}", file=sys.stderr)
        return MACHINE_FAILED
    for line in left_out:
        print(line, file=sys.stderr)
    return DONE
