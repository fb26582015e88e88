"""Computes ratios from the raw benchmark file: ratios.py RAW.json NUMPY_BEFORE NUMPY_AFTER OUT.json WAVES_FOLDER"""
import json
import math
import pathlib
import sys

FREQUENCIES = 200

# Multiply-adds of one term with table-lined walls (three axes, about five hits each): phase by doubling 2, air 13, walls 21, sum 3.
MULTIPLY_ADDS_PER_TERM = 39


SCENES = ("hatchback", "people_carrier", "saloon")

# Target of each figure: below, or at least. Only for the scenes listed.
SHOULD_BE = {
    "waves_hatchback_mesh_to_transfer_s": ("<", 5),
    "waves_hatchback_memory_gb": ("<", 1.5),
    "waves_people_carrier_mesh_to_transfer_s": ("<", 10),
}
for scene in SCENES[:2]:
    SHOULD_BE |= {
        f"waves_{scene}_direct_over_reduced": (">=", 15),
        f"waves_{scene}_direct_over_reduced_on_a_given_mesh": (">=", 15),
        f"waves_{scene}_direct_one_core_over_reduced": (">=", 15),
        f"waves_{scene}_scipy_spsolve_over_reduced": (">=", 100),
        f"waves_{scene}_scipy_symmetric_over_reduced": (">=", 100),
        f"waves_{scene}_other_material_s": ("<", 0.2),
        f"waves_{scene}_one_more_place_us": ("<", 100),
        f"waves_{scene}_worst_error_of_drivers": ("<", 0.025),
        f"waves_{scene}_worst_error_of_200_places": ("<", 0.025),
    }
    SHOULD_BE[f"waves_{scene}_ten_thousand_places_s"] = ("<", 2)
    SHOULD_BE[f"waves_{scene}_solving_each_over_places"] = (">=", 1000)
SHOULD_BE["study_500_places_over_the_whole_band_s"] = ("<", 30)


def verdict(name, value):
    """The target of a figure, and whether it is reached."""
    if name not in SHOULD_BE:
        return ""
    way, limit = SHOULD_BE[name]
    reached = value < limit if way == "<" else value >= limit
    return f"  {way} {limit}: {'yes' if reached else 'NO'}"


def read(path):
    with open(path) as file:
        return json.load(file)


def power(rows, of, over, cases):
    """Exponent of one quantity over another, by least squares on logarithms."""
    pairs = [(math.log(row[over]), math.log(row[of])) for row in rows if cases(row)]
    mean_x, mean_y = (sum(pair[i] for pair in pairs) / len(pairs) for i in (0, 1))
    return sum((x - mean_x) * (y - mean_y) for x, y in pairs) / sum((x - mean_x) ** 2 for x, _ in pairs)


def wave_ratios(folder):
    """Figures of the wave field, and the time of scipy for two of the scenes at the same frequencies."""
    result = {}
    for scene in SCENES:
        row = read(folder / f"{scene}.json")
        result |= {f"waves_{scene}_{name}": value for name, value in row.items()}
        result[f"waves_{scene}_solving_each_over_places"] = 1e4 * row["mesh_to_transfer_s"] / row["ten_thousand_places_s"]
        script_path = folder / scene / "scipy.json"
        if not script_path.exists():
            continue
        script = read(script_path)
        ours = row["mesh_to_transfer_s"]
        # One core, scipy by default: spsolve with one right-hand side, SuperLU in symmetric mode with all ears.
        result[f"waves_{scene}_scipy_spsolve_over_reduced"] = FREQUENCIES * script["spsolve_s"] / ours
        result[f"waves_{scene}_scipy_symmetric_over_reduced"] = FREQUENCIES / ours * (
            script["symmetric_factor_s"] + row["ears"] * script["symmetric_right_side_s"])
        result[f"waves_{scene}_scipy_largest_residual"] = script["largest_residual"]
    study = read(folder / "study.json")
    result |= {f"study_{name}": value for name, value in study.items()}
    result["study_variant_time_many_over_few"] = study["variant_ms_of_many"] / study["variant_ms_of_few"]
    result["study_memory_many_over_few"] = study["memory_many_gb"] / study["memory_few_gb"]
    result["study_500_places_over_the_whole_band_s"] = 500 * study["whole_band_s"] / study["whole_band_places"]
    growth = read(folder / "growth.json")
    for row in growth:
        case = f"waves_box_{row['volume_m3']:g}_m3_{row['top_hz']:g}_hz"
        result |= {f"{case}_{name}": row[name] for name in ("seconds", "unknowns")}
    for of in ("seconds", "unknowns"):
        result[f"waves_{of}_power_of_volume"] = power(growth, of, "volume_m3", lambda row: row["top_hz"] == 400)
        result[f"waves_{of}_power_of_top"] = power(growth, of, "top_hz", lambda row: row["volume_m3"] == 3)
    result["waves_seconds_power_of_unknowns"] = power(growth, "seconds", "unknowns", lambda row: True)
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
        brute = rows.get(f"search/{order}/0")  # if it can be run at all
        if row and brute:
            result[f"search_order_{order}_time_brute_over_pruned"] = brute["real_time"] / row["real_time"]
    for name in ("hatchback", "pickup", "people_carrier", "box"):
        row = rows.get(f"scene/{name}/real_time")
        if row:
            result[f"scene_{name}_ms"] = row["real_time"]
    result.update(wave_ratios(pathlib.Path(waves_folder)))
    for name, value in result.items():
        print(f"{name:55s} {value:.4g}{verdict(name, value)}")
    with open(out_path, "w") as file:
        json.dump(result, file, indent=1)
    print(f"written: {out_path}")


if __name__ == "__main__":
    main()
