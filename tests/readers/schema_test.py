"""The JSON Schemas against every scene, model and bad input of the project: schema_test.py CASES_PROGRAM TOP_FOLDER

Each file must be judged by its schema as the reader judges it by its declared keys (see schema_cases_main.cpp): whatever the
reader finds wrong by them is wrong to the schema too, but for units, order and what depends on other values; and nothing else is.
"""
import glob
import json
import subprocess
import sys

import jsonschema


def main(program, top):
    files = [f"scene:{f}" for f in sorted(glob.glob(f"{top}/scenes/*.yaml")) + sorted(glob.glob(f"{top}/tests/bad/*.yaml"))]
    files += [f"study:{f}" for f in sorted(glob.glob(f"{top}/scenes/studies/*.yaml"))]
    for kind, folder in (("driver", "drivers"), ("material", "materials"), ("filling", "fillings"), ("shape", "shapes"),
                         ("amplifier", "amplifiers"), ("processor", "processors"), ("battery", "batteries")):
        files += [f"{kind}:{f}" for f in sorted(glob.glob(f"{top}/models/{folder}/*.yaml"))]
    told = json.loads(subprocess.run([program, *files], check=True, capture_output=True, text=True).stdout)
    validators = {}
    for kind, schema in told["schemas"].items():
        jsonschema.Draft7Validator.check_schema(schema)
        validators[kind] = jsonschema.Draft7Validator(schema)
    wrong, tally = [], {}
    for case in told["cases"]:
        tally[case["says"]] = tally.get(case["says"], 0) + 1
        if case["says"] == "unreadable":
            continue
        errors = list(validators[case["kind"]].iter_errors(case["document"]))
        if bool(errors) != (case["says"] == "invalid"):
            first = f": {errors[0].json_path}: {errors[0].message[:200]}" if errors else ""
            wrong.append(f"{case['file']}: the reader says {case['says']}, the schema does not{first}")
        if "/tests/bad/" not in case["file"] and case["says"] != "valid":
            wrong.append(f"{case['file']}: a file of the project itself is {case['says']}")
    print(", ".join(f"{count} {says}" for says, count in sorted(tally.items())), "-",
          ", ".join(f"{kind} {len(json.dumps(schema)) // 1000} kB" for kind, schema in told["schemas"].items()))
    print("\n".join(wrong))
    return 1 if wrong or tally.get("invalid", 0) < 20 or tally.get("valid", 0) < 40 else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
