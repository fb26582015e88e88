#include "study/study_records.h"

#include <limits>

namespace cabinfield {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

void append(std::vector<double>& flat, const std::vector<double>& values) {
  flat.insert(flat.end(), values.begin(), values.end());
}

/// Takes values from the front of a flat record.
std::vector<double> take(std::span<const double>& flat, std::size_t count) {
  const std::vector<double> values(flat.begin(), flat.begin() + static_cast<std::ptrdiff_t>(count));
  flat = flat.subspan(count);
  return values;
}

}  // namespace

void VariantRecord::append_to(std::vector<double>& flat, const RecordShape& shape) const {
  if (!possible) {
    flat.insert(flat.end(), flat_size(shape), none);
    return;
  }
  append(flat, measured.over_seats);
  append(flat, measured.at_seat);
  append(flat, measured.detail);
  flat.push_back(static_cast<double>(openings_missed));
  flat.push_back(1);
}

VariantRecord VariantRecord::from(std::span<const double> flat, const RecordShape& shape) {
  VariantRecord record;
  record.possible = flat.back() == 1;
  if (!record.possible) return record;
  record.measured.over_seats = take(flat, shape.measures);
  record.measured.at_seat = take(flat, shape.measures * shape.seats);
  record.measured.detail = take(flat, shape.measures * shape.seats);
  record.openings_missed = static_cast<std::size_t>(flat.front());
  return record;
}

PointRecord PointRecord::without_value(const RecordShape& shape) {
  return {none, std::vector<double>(shape.seats, none)};
}

void PointRecord::append_to(std::vector<double>& flat, const RecordShape&) const {
  flat.push_back(value);
  append(flat, at_seat);
}

PointRecord PointRecord::from(std::span<const double> flat, const RecordShape& shape) {
  const double value = flat.front();
  flat = flat.subspan(1);
  return {value, take(flat, shape.seats)};
}

void SampleRecord::append_to(std::vector<double>& flat, const RecordShape&) const {
  append(flat, over_seats);
  flat.push_back(static_cast<double>(openings_missed));
  append(flat, level_db);
}

SampleRecord SampleRecord::from(std::span<const double> flat, const RecordShape& shape) {
  SampleRecord record;
  record.over_seats = take(flat, shape.measures);
  record.openings_missed = static_cast<std::size_t>(take(flat, 1).front());
  record.level_db = take(flat, shape.seats * shape.bands);
  return record;
}

}  // namespace cabinfield
