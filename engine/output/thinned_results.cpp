#include "output/thinned_results.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <map>
#include <optional>
#include <set>
#include <span>
#include <variant>

#include "base/constants.h"
#include "output/layout.h"
#include "storage/hdf5_file.h"
#include "storage/hdf5_reader.h"

namespace cabinfield {
namespace {

/// Fewest frequencies of a useful response.
constexpr std::size_t fewest_frequencies = 60;
/// First bytes of every HDF5 file (HDF5 File Format Specification 3.0, section II.A).
constexpr std::array<unsigned char, 8> signature{0x89, 'H', 'D', 'F', '\r', '\n', 0x1a, '\n'};

struct Omissions {
  std::set<std::string> without;   ///< datasets and axes
  std::size_t frequency_step = 1;  ///< 2: every second frequency stays
};

std::vector<std::byte> bytes_of(const std::string& path) {
  std::error_code failed;
  if (std::filesystem::is_directory(path, failed))
    throw UnreadableFile(path + ": it is a folder, not a results file");
  if (!std::filesystem::exists(path, failed)) throw UnreadableFile(path + ": no such file");
  std::ifstream stream(path, std::ios::binary | std::ios::ate);
  if (!stream) throw UnreadableFile(path + ": cannot be read: no permission?");
  std::vector<std::byte> bytes(static_cast<std::size_t>(std::max<std::streamoff>(0, stream.tellg())));
  stream.seekg(0);
  stream.read(reinterpret_cast<char*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
  if (!stream) throw UnreadableFile(path + ": cannot be read to its end");
  return bytes;
}

/// File size according to the superblock (same specification); 0 for a file shorter than that.
std::size_t stated_size(std::span<const std::byte> bytes) {
  constexpr std::size_t version_at = 8, old_end_at = 40, new_end_at = 28, width = 8;
  if (bytes.size() < old_end_at + width) return 0;
  const std::size_t end_at = std::to_integer<int>(bytes[version_at]) < 2 ? old_end_at : new_end_at;
  std::uint64_t size = 0;
  for (std::size_t index = width; index-- > 0;)
    size = size << 8 | std::to_integer<std::uint64_t>(bytes[end_at + index]);
  return size;
}

void refuse_foreign(const std::string& path, std::span<const std::byte> bytes) {
  if (bytes.empty()) throw UnreadableFile(path + ": the file is empty");
  const bool signed_so = bytes.size() >= signature.size() &&
                         std::equal(signature.begin(), signature.end(), bytes.begin(),
                                    [](unsigned char a, std::byte b) { return std::byte{a} == b; });
  if (!signed_so) throw UnreadableFile(path + ": not an HDF5 file, so no results file of cabinfield");
  const std::size_t stated = stated_size(bytes);
  if (stated == 0 || bytes.size() < stated)
    throw UnreadableFile(fmt::format("{}: cut short: {} of {} bytes are there", path, bytes.size(),
                                     stated == 0 ? "more" : std::to_string(stated)));
}

std::vector<int> format_version(const Hdf5Reader& reader) {
  return reader.integer_attribute("format_version");
}

bool is_study(const Hdf5Reader& reader) { return reader.attribute("file_format") == "cabinfield-study"; }

void refuse_other_formats(const std::string& path, const Hdf5Reader& reader) {
  if (!is_study(reader) && reader.attribute("file_format") != "cabinfield-results")
    throw UnreadableFile(path + ": an HDF5 file of another kind, not a results file of cabinfield");
  const std::vector<int> version = format_version(reader);
  if (version.size() != 2 || version[0] != results_format_major)
    throw UnreadableFile(fmt::format("{}: written in format {}; this program reads format {}.x", path,
                                     fmt::join(version, "."), results_format_major));
}

/// Every `step`-th entry along each axis for which a step is given.
template <typename T>
std::vector<T> strided(const std::vector<T>& values, const std::vector<std::size_t>& shape,
                       const std::vector<std::size_t>& step) {
  std::vector<T> selected;
  std::vector<std::size_t> at(shape.size(), 0);
  for (const T& value : values) {
    bool keep = true;
    for (std::size_t axis = 0; axis < shape.size(); ++axis) keep = keep && at[axis] % step[axis] == 0;
    if (keep) selected.push_back(value);
    for (std::size_t axis = shape.size(); axis-- > 0;) {
      if (++at[axis] < shape[axis]) break;
      at[axis] = 0;
    }
  }
  return selected;
}

/// Numbers or texts, whichever the dataset holds.
decltype(DatasetValues::data) read_any(const Hdf5Reader& reader, const std::string& path) {
  switch (reader.kind(path)) {
    case DatasetKind::real:
      return reader.doubles(path);
    case DatasetKind::integer:
      return reader.integers(path);
    default:
      return reader.texts(path);
  }
}

std::vector<std::byte> written(const std::string& path, const Omissions& omissions) {
  const Hdf5Reader reader(path);
  Hdf5File file;
  file.attribute("file_format", reader.attribute("file_format"));
  file.attribute("format_version", format_version(reader));
  for (const char* name : {"program_version", "created", "title"})
    file.attribute(name, reader.attribute(name));
  std::map<std::string, Hdf5Dataset> axes;
  for (const LayoutEntry& entry : results_layout()) {
    if (omissions.without.contains(entry.path) || !reader.has(entry.path)) continue;
    std::vector<std::size_t> shape = reader.shape(entry.path);
    if (shape.size() != entry.axes.size())
      throw UnreadableFile(fmt::format("{}: {} does not have the axes of a results file", path, entry.path));
    if (!std::all_of(entry.axes.begin(), entry.axes.end(),
                     [&](const std::string& axis) { return entry.is_axis() || axes.contains(axis); }))
      continue;
    std::vector<std::size_t> step(shape.size(), 1);
    for (std::size_t axis = 0; axis < shape.size(); ++axis)
      if (entry.axes[axis] == "frequency") step[axis] = omissions.frequency_step;
    const auto values = read_any(reader, entry.path);
    Hdf5Dataset dataset = std::visit(
        [&](const auto& all) {
          const auto selected = strided(all, shape, step);
          for (std::size_t axis = 0; axis < shape.size(); ++axis)
            shape[axis] = (shape[axis] + step[axis] - 1) / step[axis];
          return file.write(entry.path, shape, std::span(selected.data(), selected.size()));
        },
        values);
    if (!entry.units.empty()) dataset.attribute("units", entry.units);
    dataset.attribute("long_name", entry.long_name);
    if (entry.is_axis()) {
      dataset.become_axis(entry.axes.front());
      axes.emplace(entry.axes.front(), std::move(dataset));
    } else {
      for (std::size_t axis = 0; axis < entry.axes.size(); ++axis)
        dataset.attach(axis, axes.at(entry.axes[axis]));
    }
  }
  axes.clear();
  return file.bytes();
}

}  // namespace

ThinnedResults thinned_results(const std::string& path, std::size_t largest) {
  ThinnedResults result{bytes_of(path), ""};
  refuse_foreign(path, result.bytes);
  std::optional<Hdf5Reader> reader;
  try {
    reader.emplace(path);
  } catch (const UnreadableFile&) {
    throw UnreadableFile(path + ": damaged: the HDF5 library cannot open it");
  }
  refuse_other_formats(path, *reader);
  if (is_study(*reader)) {
    if (result.bytes.size() > largest)
      throw UnreadableFile(
          fmt::format("{}: a study of {:.0f} MB, and only results are thinned: allow more --megabytes", path,
                      static_cast<double>(result.bytes.size()) / 1e6));
    return result;
  }
  Omissions omissions;
  std::vector<std::string> words;
  const auto too_large = [&] { return result.bytes.size() > largest; };
  const auto leave_out = [&](const std::vector<std::string>& datasets, const std::string& what) {
    if (!too_large() || !std::any_of(datasets.begin(), datasets.end(),
                                     [&](const std::string& dataset) { return reader->has(dataset); }))
      return;
    omissions.without.insert(datasets.begin(), datasets.end());
    result.bytes = written(path, omissions);
    if (what == "maps") std::erase(words, "maps of single drivers");
    words.push_back(what);
  };
  const std::size_t frequencies = reader->has("/frequency") ? reader->shape("/frequency").at(0) : 0;
  const auto halve = [&] {
    omissions.frequency_step *= 2;
    result.bytes = written(path, omissions);
  };
  const auto can_halve = [&] {
    return too_large() && frequencies / (2 * omissions.frequency_step) >= fewest_frequencies;
  };
  leave_out({"/field/impulse", "/impulse_time"}, "impulse responses");
  leave_out({"/map/of_driver"}, "maps of single drivers");
  if (can_halve()) halve();
  leave_out({"/map/of_driver", "/map/of_channel", "/map/point", "/map/triangle", "/map/triangle_surface",
             "/map_frequency", "/map_surface", "/map_point_index", "/map_triangle_index"},
            "maps");
  while (can_halve()) halve();
  if (omissions.frequency_step > 1)
    words.push_back(fmt::format("all but one in {} frequencies", omissions.frequency_step));
  result.left_out = fmt::format("{}", fmt::join(words, ", "));
  return result;
}

}  // namespace cabinfield
