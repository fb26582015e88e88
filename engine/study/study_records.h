// Results of single variants, placement-map points and Monte Carlo samples, and their flat form: the list of
// numbers that the checkpoint stores and that processes exchange.
//
// Letters: M measures, S seats, B third-octave bands. NaN: no such value.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "listening/measures.h"

namespace cabinfield {

/// Dimensions that all records of a study share.
struct RecordShape {
  std::size_t measures = 0, seats = 0, bands = 0;
};

/// A judged variant. Flat: over_seats [M], at_seat [M,S], detail [M,S], openings missed, 1; all NaN for an
/// impossible variant.
struct VariantRecord {
  bool possible = false;
  Measured measured;
  std::size_t openings_missed = 0;

  static std::size_t flat_size(const RecordShape& shape) {
    return shape.measures * (1 + 2 * shape.seats) + 2;
  }
  void append_to(std::vector<double>& flat, const RecordShape& shape) const;
  static VariantRecord from(std::span<const double> flat, const RecordShape& shape);
};

/// One point of a placement map. Flat: value, at_seat [S]; all NaN where there is no value.
struct PointRecord {
  double value;
  std::vector<double> at_seat;

  static PointRecord without_value(const RecordShape& shape);
  static std::size_t flat_size(const RecordShape& shape) { return 1 + shape.seats; }
  void append_to(std::vector<double>& flat, const RecordShape& shape) const;
  static PointRecord from(std::span<const double> flat, const RecordShape& shape);
};

/// One Monte Carlo sample of a variant. Flat: over_seats [M], openings missed, level_db [S,B].
struct SampleRecord {
  std::vector<double> over_seats;
  std::size_t openings_missed = 0;
  std::vector<double> level_db;

  static std::size_t flat_size(const RecordShape& shape) {
    return shape.measures + 1 + shape.seats * shape.bands;
  }
  void append_to(std::vector<double>& flat, const RecordShape& shape) const;
  static SampleRecord from(std::span<const double> flat, const RecordShape& shape);
};

/// Records one after another.
template <typename Record>
std::vector<double> flattened(const std::vector<Record>& records, const RecordShape& shape) {
  std::vector<double> flat;
  flat.reserve(records.size() * Record::flat_size(shape));
  for (const Record& record : records) record.append_to(flat, shape);
  return flat;
}

/// The inverse of `flattened`.
template <typename Record>
std::vector<Record> unflattened(const std::vector<double>& flat, const RecordShape& shape) {
  const std::size_t size = Record::flat_size(shape);
  std::vector<Record> records;
  for (std::size_t at = 0; at + size <= flat.size(); at += size)
    records.push_back(Record::from(std::span(flat).subspan(at, size), shape));
  return records;
}

}  // namespace cabinfield
