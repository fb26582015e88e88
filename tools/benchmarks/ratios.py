"""Turns the raw benchmark file into the ratios that matter: ratios.py RAW.json NUMPY_BEFORE NUMPY_AFTER OUT.json WAVES_FOLDER"""
import json
import math
import pathlib
import sys

FREQUENCIES = 200
EARS = 8  # of the hatchback

# Multiply-adds of one term with table-lined walls (three axes, about five hits each): phase by doubling 2, air 13, walls 21, sum 3.
MULTIPLY_ADDS_PER_TERM = 39


def power(rows, name, cases):
    """Exponent of the seconds over a quantity, by least squares on logarithms."""
    pairs = [(math.log(row[name]), math.log(row["seconds"])) for row in rows if cases(row)]
    mean_x, mean_y = (sum(pair[i] for pair in pairs) / len(pairs) for i in (0, 1))
    return sum((x - mean_x) * (y - mean_y) for x, y in pairs) / sum((x - mean_x) ** 2 for x, _ in pairs)


def wave_ratios(folder):
    """The wave field's figures, and what scipy would take for the hatchback at as many frequencies."""
    with open(folder / "waves.json") as file:
        waves = json.load(file)
    with open(folder / "scipy.json") as file:
        script = json.load(file)
    result = {f"waves_{scene}_{name}": value for scene, row in waves.items() if scene != "growth"
              for name, value in row.items()}
    ours = waves["hatchback"]["mesh_to_transfer_s"]
    result["waves_hatchback_scipy_spsolve_over_ours"] = FREQUENCIES * script["spsolve_s"] / ours
    result["waves_hatchback_scipy_symmetric_over_ours"] = (
        FREQUENCIES * (script["symmetric_factor_s"] + EARS * script["symmetric_right_side_s"]) / ours)
    result["waves_growth_power_of_volume"] = power(waves["growth"], "volume_m3", lambda row: row["top_hz"] == 400)
    result["waves_growth_power_of_top"] = power(waves["growth"], "top_hz", lambda row: row["volume_m3"] == 3)
    return result


def main():
    raw_path, before, after, out_path, waves_folder = sys.argv[1:]
    with open(raw_path) as file:
        rows = {row["run_name"]: row for row in json.load(file)["benchmarks"] if row.get("aggregate_name") == "median"}

    def lattice(order, per_octave, sources, wall):
        return rows[f"lattice/{order}/{per_octave}/{sources}/{wall}"]

    script = (float(before) + float(after)) / 2
    base = lattice(20, 48, 1, 0)
    peak = rows["multiply_add_peak"]["multiply_adds"]
    result = {
        "engine_terms_per_second": base["terms"],
        "numpy_terms_per_second": script,
        "engine_over_numpy_per_core": base["terms"] / script,
        "share_of_multiply_add_peak": base["terms"] * MULTIPLY_ADDS_PER_TERM / peak,
        "constant_walls_over_lined": lattice(20, 48, 1, 1)["terms"] / base["terms"],
        "complex_walls_over_lined": lattice(20, 48, 1, 2)["terms"] / base["terms"],
        "rate_order_10_over_20": lattice(10, 48, 1, 0)["terms"] / base["terms"],
        "rate_order_40_over_20": lattice(40, 48, 1, 0)["terms"] / base["terms"],
        "rate_half_the_frequencies": lattice(20, 24, 1, 0)["terms"] / base["terms"],
        "rate_four_sources": lattice(20, 48, 4, 0)["terms"] / base["terms"],
    }
    for order in (1, 2, 3, 4, 5):
        row = rows.get(f"search/{order}/1")
        if row:
            result[f"search_order_{order}_us_per_path"] = 1e6 / row["paths"]
            result[f"search_order_{order}_us_per_candidate"] = 1e6 / row["candidates"]
            result[f"search_order_{order}_images_brute_over_pruned"] = row["brute_images"] / row["images"]
        brute = rows.get(f"search/{order}/0")  # where it can be run at all
        if row and brute:
            result[f"search_order_{order}_time_brute_over_pruned"] = brute["real_time"] / row["real_time"]
    for name in ("hatchback", "pickup", "people_carrier", "box"):
        row = rows.get(f"scene/{name}/real_time")
        if row:
            result[f"scene_{name}_ms"] = row["real_time"]
    result.update(wave_ratios(pathlib.Path(waves_folder)))
    for name, value in result.items():
        print(f"{name:45s} {value:.4g}")
    with open(out_path, "w") as file:
        json.dump(result, file, indent=1)
    print(f"written: {out_path}")


if __name__ == "__main__":
    main()
