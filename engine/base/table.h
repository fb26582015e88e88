// A row-major array of any rank with its shape, returned by solvers and written to files.
#pragma once

#include <array>
#include <cassert>
#include <cstddef>
#include <vector>

namespace cabinfield {

/// Rank-N row-major array. Indexing is unchecked in release builds.
template <typename T, std::size_t Rank>
class Table {
 public:
  using Shape = std::array<std::size_t, Rank>;

  Table() = default;
  explicit Table(const Shape& shape, T fill = T{}) : shape_(shape), values_(count(shape), fill) {}

  const Shape& shape() const { return shape_; }
  std::size_t size() const { return values_.size(); }
  bool empty() const { return values_.empty(); }
  const std::vector<T>& values() const { return values_; }
  std::vector<T>& values() { return values_; }

  template <typename... Index>
  T& operator()(Index... index) {
    return values_[offset({static_cast<std::size_t>(index)...})];
  }
  template <typename... Index>
  const T& operator()(Index... index) const {
    return values_[offset({static_cast<std::size_t>(index)...})];
  }

  /// Start of the run along the last axis at the given leading indices.
  template <typename... Index>
  T* row(Index... leading) {
    static_assert(sizeof...(Index) + 1 == Rank);
    return values_.data() + offset({static_cast<std::size_t>(leading)..., 0});
  }
  template <typename... Index>
  const T* row(Index... leading) const {
    static_assert(sizeof...(Index) + 1 == Rank);
    return values_.data() + offset({static_cast<std::size_t>(leading)..., 0});
  }

  friend bool operator==(const Table&, const Table&) = default;

 private:
  static std::size_t count(const Shape& shape) {
    std::size_t product = 1;
    for (std::size_t extent : shape) product *= extent;
    return product;
  }
  std::size_t offset(const Shape& index) const {
    std::size_t position = 0;
    for (std::size_t axis = 0; axis < Rank; ++axis) {
      assert(index[axis] < shape_[axis]);
      position = position * shape_[axis] + index[axis];
    }
    return position;
  }

  Shape shape_{};
  std::vector<T> values_;
};

}  // namespace cabinfield
