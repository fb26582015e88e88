"""The command line: read everything, draw everything, and only then write."""
import argparse
import logging
import os
import re
import sys
import tempfile
import warnings

# The plotting library tells of its font cache and folders; nobody who asked for pictures needs that.
logging.getLogger("matplotlib").setLevel(logging.ERROR)
warnings.filterwarnings("ignore", message="Glyph .* missing from")

from plotting import arrivals, cabin, contributions, maps, painted, ranking, response, style  # noqa: E402
from plotting.results_file import Reader, ResultsError, read_open, read_with  # noqa: E402
from plotting.study_file import Study, is_study, read_study  # noqa: E402

DONE, WRONG_INPUT, MACHINE_FAILED = 0, 2, 3

EXAMPLE = """example:
  tools/plot hatchback.h5 -o pictures
writes pictures/cabin.png, arrivals.png, response_as_drawn.png and so on, each as SVG too; of a study's file
ranking.png, contributions.png and painted.png."""


def fraction_of_an_octave(text):
    """"1/12" or "12" as 12; "none" as None."""
    if text == "none":
        return None
    match = re.fullmatch(r"(?:1/)?(\d{1,2})", text)
    if not match or not 1 <= int(match[1]) <= 48:
        raise argparse.ArgumentTypeError(f"'{text}' is not 'none' or a fraction from 1/1 to 1/48")
    return int(match[1])


def arguments_from(words):
    parser = argparse.ArgumentParser(
        prog="plot", description="Draws the cabin, the arrivals and the responses of a results file, or what a study found, "
                                  "as PNG and SVG.",
        epilog=EXAMPLE, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("results", metavar="R.h5", help="file of cabinfield predict or cabinfield study")
    parser.add_argument("-o", dest="folder", metavar="DIR", required=True, help="folder for the pictures, made if missing")
    parser.add_argument("--smoothing", type=fraction_of_an_octave, default=12, metavar="1/N",
                        help="power average of the responses over 1/N octave, or none (default 1/12)")
    return parser.parse_args(words)


def file_names(presets):
    """A file name for each preset: letters and digits of its name, and a number where two would be alike."""
    names = []
    for preset in presets:
        name = "response_" + (re.sub(r"\W+", "_", preset).strip("_")[:80] or "preset")
        while name.lower() in (taken.lower() for taken in names):
            name += "_2"
        names.append(name)
    return names


def draw_all(results, smoothing):
    """[(name, figure)] of what the file allows, and what was left out and why."""
    pictures, left_out = [], []
    if results.triangle is not None or results.driver_position is not None or results.ear_position is not None:
        pictures.append(("cabin", cabin.draw(results)))
    else:
        left_out.append("no cabin picture: the file holds no cabin, drivers or seats")
    if results.arrival is not None and results.path_length is not None:
        pictures.append(("arrivals", arrivals.draw(results)))
    else:
        left_out.append("no arrival picture: the file holds no paths from drivers to seats")
    if results.signal_power is not None or results.channel_power is not None:
        for number, name in enumerate(file_names(results.preset)):
            pictures.append((name, response.draw(results, number, smoothing)))
    else:
        left_out.append("no response pictures: the file holds no responses")
    if maps.there(results):
        for number, frequency in enumerate(results.map_frequency):
            name = f"map_{frequency:g}_Hz".replace(".", "_")
            pictures.append((name, maps.draw(results, number)))
            if maps.faces_viewer(results).any():
                pictures.append((name + "_surfaces", maps.draw_surfaces(results, number)))
    return pictures, left_out


def draw_study(study):
    """The same of a study's file."""
    pictures, left_out = [], []
    for name, module, words in (("ranking", ranking, "no ranking: no variant was judged"),
                                ("contributions", contributions, "no picture of what channels add: the file holds no such levels"),
                                ("painted", painted, "no painted surface: the study paints none")):
        if module.there(study):
            pictures.append((name, module.draw(study)))
        else:
            left_out.append(words)
    return pictures, left_out


def read_either(path):
    return read_with(path, lambda file: read_study(path, file) if is_study(file) else read_open(Reader(path, file)))


def write_whole(path, content):
    """The file appears whole or not at all."""
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


def main(words):
    arguments = arguments_from(words)
    try:
        results = read_either(arguments.results)
        with style.drawing():
            pictures, left_out = (draw_study(results) if isinstance(results, Study)
                                  else draw_all(results, arguments.smoothing))
            if not pictures:
                raise ResultsError(f"{arguments.results}: nothing in it that could be drawn")
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
