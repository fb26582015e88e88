// Studies of a few lines on a small scene, read from text.
#pragma once

#include <gtest/gtest.h>

#include <string>

#include "command/program.h"
#include "study/study_file.h"

namespace cabinfield::test {

/// A small invented car in a box, with every kind of entry that edits can change.
inline const std::string small_scene = R"(cabinfield: 1
title: A small car (invented)
cabin:
  box: {length: 2.0 m, width: 1.4 m, height: 1.1 m}
  materials: {all: {specific_impedance: 20}, floor: carpet}
  blocks:
    - name: dash
      profile: [{x: -0.1, z: 0.7, face: top}, {x: 0.5, z: 0.7, face: brow}, [0.5, 0.4], [-0.1, 0.4]]
      y: [-0.8, 0.8]
    - {name: seat_left, profile: [[1.2, 0.2], [1.2, 0.5], [1.4, 0.5], [1.4, 0.2]], y: [-0.6, -0.2]}
    - {name: seat_right, mirror_of: seat_left}
seats:
  driver: {head: [1.1, -0.4, 0.9]}
  passenger: {mirror_of: driver}
tape:
  - {from: seats.driver, to: drivers.mid_left, length: 0.78 m}
  - {from: seats.driver, to: seats.passenger, length: 0.80 m}
drivers:
  mid_left:
    model: midbass_165
    position: [0.7, -0.7, 0.3]
    surface: left
    setback: 5 mm
    aim: {point: [1.1, 0.1, 0.9]}
    loading: {door: {volume: 20 L, leak: 15 cm2}}
  mid_right: {mirror_of: mid_left}
  sub:
    model: sub_250_single
    position: [1.75, 0, 0.3]
    surface: tub.top
    loading: {box: tub}
boxes:
  tub: {sealed: 30 L, outside: {at: [1.75, 0, 0], size: [0.4, 0.5, 0.3]}}
channels:
  left:
    drives: [mid_left]
    signal: left
    highpass: {family: butterworth, order: 2, frequency: 80 Hz}
    lowpass: {family: bessel, order: 3, frequency: 2 kHz}
    equaliser: [{shape: peak, frequency: 100 Hz, gain: -3 dB, q: 2}, {shape: peak, frequency: 300 Hz, gain: 2 dB}]
  right: {like: left, drives: [mid_right], signal: right}
  sub: {drives: [sub], signal: mono}
groups:
  fronts: {members: [left, right], gain: -1 dB}
  lows: {members: [sub], lowpass: {family: butterworth, order: 4, frequency: 90 Hz}}
presets:
  one: &one {listen: {driver: 1}, channels: {left: {delay: 1 ms}}}
  two: {<<: *one, listen: {driver: 1, passenger: 1}}
compute: {frequencies: {list: [50 Hz, 100 Hz, 200 Hz, 400 Hz]}, field: images, image_order: 1}
)";

/// The small scene in a temporary folder, and studies of it.
class SmallStudy : public testing::Test {
 protected:
  SmallStudy() { folder_.write("scene.yaml", small_scene); }

  /// Lines 1 and 2 are the head of a study; `text` begins in line 3.
  StudyFile read(const std::string& text) const {
    return read_study_text("cabinfield_study: 1\nscene: scene.yaml\n" + text, folder_.file("study.yaml"));
  }
  /// With a measure at the end.
  Study sound(const std::string& text) const {
    StudyFile file = read(text + "judge: [{measure: evenness, band: [50 Hz, 400 Hz]}]\n");
    for (const Fault& fault : file.faults.sorted()) ADD_FAILURE() << to_string(fault) << "\n" << text;
    return file.study.value_or(Study{});
  }
  /// Faults without the file name: "3:12: message", one per line.
  std::string faults(const std::string& text) const {
    std::string lines;
    for (const Fault& fault : read(text).faults.sorted()) {
      std::string line = to_string(fault);
      if (line.starts_with(folder_.file("study.yaml:"))) line.erase(0, folder_.file("study.yaml:").size());
      lines += line + "\n";
    }
    return lines;
  }

  TemporaryFolder folder_;
};

}  // namespace cabinfield::test
