#!/usr/bin/env bash
# A study by two processes gives the same file as by one: communicator.sh PROGRAM FOLDER
set -euo pipefail
program=$1
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
cat >scene.yaml <<'END'
cabinfield: 1
cabin: {box: {length: 2.0 m, width: 1.4 m, height: 1.1 m}, materials: {all: {absorption: {250 Hz: 0.3}}}}
seats: {driver: {head: [1.2, -0.3, 0.8]}}
drivers:
  one:
    model: {thiele_small: {Fs: 60 Hz, Qes: 0.5, Qms: 4, Vas: 12 L, Re: 3.2 ohm, Sd: 130 cm2}}
    position: [0.5, -0.7, 0.3]
    surface: left
channels: {one: {drives: [one], signal: mono}}
compute: {field: images, image_order: 4, frequencies: {from: 50 Hz, to: 1 kHz, per_octave: 6}}
END
cat >study.yaml <<'END'
cabinfield_study: 1
scene: scene.yaml
move: [{driver: one, grid: {over: left, spacing: 40 mm}}]
judge: [{measure: evenness, seats: [driver], band: [60 Hz, 800 Hz], weight: 1}]
paint: {driver: one, over: right, spacing: 60 mm, judge_by: {measure: level, seats: [driver], band: [60 Hz, 800 Hz]}}
doubt: {draws: 3}
END
export SOURCE_DATE_EPOCH=0
"$program" study study.yaml -o one.h5 --quiet
mpirun --allow-run-as-root --oversubscribe --bind-to none -n 2 "$program" study study.yaml -o two.h5 --threads 1 --quiet
cmp one.h5 two.h5
[ ! -e two.h5.part ]
# A process that fails does not leave the other waiting.
status=0
mpirun --allow-run-as-root --oversubscribe --bind-to none -n 2 "$program" study study.yaml -o no-such-folder/two.h5 --quiet 2>err || status=$?
[ "$status" -ne 0 ] && grep -q no-such-folder err
