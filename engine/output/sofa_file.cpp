#include "output/sofa_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <stdexcept>
#include <string_view>

#include "storage/hdf5_file.h"
#include "storage/whole_file.h"

namespace cabinfield {
namespace {

constexpr std::size_t ears = 2;

/// The frame of a listener who looks forward is x forward, y left, z up: half a turn about z from the
/// vehicle's.
const Vector3 listener_view(-1, 0, 0);

void require(bool good, const std::string& what) {
  if (!good) throw std::invalid_argument("impulse responses for a SOFA file: " + what);
}

bool finite(const Vector3& vector) { return vector.allFinite(); }

void check(const SofaFile& sofa) {
  require(!sofa.listener.empty() && !sofa.emitter.empty() && !sofa.impulse.empty(), "there are none");
  require(sofa.sample_rate_hz > 0 && std::isfinite(sofa.sample_rate_hz),
          "the sample rate must be above 0 Hz");
  const auto& shape = sofa.impulse.shape();
  require(shape[0] == sofa.listener.size() && shape[1] == ears && shape[2] == sofa.emitter.size(),
          fmt::format("{} x {} x {} of them for {} listeners, {} ears and {} emitters", shape[0], shape[1],
                      shape[2], sofa.listener.size(), ears, sofa.emitter.size()));
  for (double sample : sofa.impulse.values())
    require(std::isfinite(sample), "a sample is not a finite number");
  for (const SofaEmitter& emitter : sofa.emitter)
    require(finite(emitter.position_m) && finite(emitter.view) && emitter.view.norm() > 0,
            "emitter '" + emitter.name + "' has no valid position or direction");
  for (const SofaListener& listener : sofa.listener)
    require(finite(listener.ear_position_m[0]) && finite(listener.ear_position_m[1]),
            "listener '" + listener.name + "' has no valid position");
}

std::string date_text(std::time_t time) {
  std::tm parts{};
  gmtime_r(&time, &parts);
  std::array<char, 32> text{};
  std::strftime(text.data(), text.size(), "%Y-%m-%d %H:%M:%S", &parts);
  return text.data();
}

Vector3 head_of(const SofaListener& listener) {
  return 0.5 * (listener.ear_position_m[0] + listener.ear_position_m[1]);
}

/// A unit vector normal to `view`, as near to vertical as possible, else forward. A piston is round, so that
/// its roll has no meaning.
Vector3 up_of(const Vector3& view) {
  const Vector3 wanted =
      std::abs(view.normalized().z()) < 0.999 ? Vector3::UnitZ() : Vector3(-Vector3::UnitX());
  return (wanted - wanted.dot(view) / view.squaredNorm() * view).normalized();
}

/// Writes the dimensions of AES69, named by letters, and variables along them.
class Writer {
 public:
  explicit Writer(const SofaFile& sofa) : file_(Hdf5Form::netcdf) {
    const auto& shape = sofa.impulse.shape();
    add_dimension('I', 1);
    add_dimension('C', 3);
    add_dimension('R', ears);
    add_dimension('E', shape[2]);
    add_dimension('N', shape[3]);
    add_dimension('M', shape[0]);
    add_dimension('S', longest_name(sofa));
  }

  void attribute(const std::string& name, const std::string& text) { file_.attribute(name, text); }

  Hdf5Dataset variable(const std::string& name, std::string_view dimensions,
                       const std::vector<double>& values) {
    Hdf5File::Shape shape;
    for (char letter : dimensions) shape.push_back(extent_.at(letter));
    Hdf5Dataset dataset = file_.write("/" + name, shape, values);
    attach(dataset, dimensions);
    return dataset;
  }

  void position(const std::string& name, std::string_view dimensions, const std::vector<double>& metres) {
    Hdf5Dataset dataset = variable(name, dimensions, metres);
    dataset.attribute("Type", "cartesian");
    dataset.attribute("Units", "metre");
  }

  void names(const std::string& name, std::string_view dimensions, const std::vector<std::string>& texts) {
    Hdf5Dataset dataset = file_.write_characters("/" + name, texts, extent_.at('S'));
    attach(dataset, dimensions);
  }

  std::vector<std::byte> bytes() const { return file_.bytes(); }

 private:
  static std::size_t longest_name(const SofaFile& sofa) {
    std::size_t longest = 1;
    for (const SofaEmitter& emitter : sofa.emitter) longest = std::max(longest, emitter.name.size());
    for (const SofaListener& listener : sofa.listener) longest = std::max(longest, listener.name.size());
    return longest;
  }

  void add_dimension(char letter, std::size_t extent) {
    Hdf5Dataset axis = file_.write_extent(std::string("/") + letter, extent);
    // The text with which the netCDF-4 library marks a dimension without a variable; readers parse the extent
    // from it.
    axis.become_axis(fmt::format("This is a netCDF dimension but not a netCDF variable.{:10}", extent));
    extent_.emplace(letter, extent);
    axis_.emplace(letter, std::move(axis));
  }

  void attach(Hdf5Dataset& dataset, std::string_view dimensions) {
    for (std::size_t i = 0; i < dimensions.size(); ++i) dataset.attach(i, axis_.at(dimensions[i]));
  }

  Hdf5File file_;
  std::map<char, Hdf5Dataset> axis_;
  std::map<char, std::size_t> extent_;
};

void write_global_attributes(Writer& writer, const SofaFile& sofa) {
  const std::string created = date_text(sofa.created);
  writer.attribute("Conventions", "SOFA");
  writer.attribute("Version", "2.1");
  writer.attribute("SOFAConventions", "SingleRoomMIMOSRIR");
  writer.attribute("SOFAConventionsVersion", "1.0");
  writer.attribute("DataType", "FIR-E");
  writer.attribute("RoomType", "reverberant");
  writer.attribute(
      "RoomDescription",
      "Vehicle cabin. Axes as in ISO 4130: x rearward, y to the vehicle's right, z up, in metres.");
  writer.attribute("Title", sofa.title);
  writer.attribute("Comment", sofa.comment);
  writer.attribute("History", sofa.history);
  writer.attribute("DateCreated", created);
  writer.attribute("DateModified", created);
  writer.attribute("APIName", "cabinfield");
  writer.attribute("APIVersion", sofa.program_version);
  writer.attribute("ApplicationName", "cabinfield");
  writer.attribute("ApplicationVersion", sofa.program_version);
  writer.attribute("AuthorContact", "");
  writer.attribute("Organization", "");
  writer.attribute("DatabaseName", sofa.title);
  // The standard's wording for a file without a licence.
  writer.attribute("License", "No license provided, ask the author for permission");
  writer.attribute("ListenerShortName", "seat");
  writer.attribute("ReceiverDescription", "left ear, right ear");
}

void append(std::vector<double>& numbers, const Vector3& vector) {
  numbers.insert(numbers.end(), vector.begin(), vector.end());
}

void write_listeners(Writer& writer, const SofaFile& sofa) {
  std::vector<std::string> names;
  std::vector<double> heads;
  // [R,C,M]: the measurement runs fastest.
  std::vector<double> receivers(ears * 3 * sofa.listener.size());
  for (std::size_t m = 0; m < sofa.listener.size(); ++m) {
    const SofaListener& listener = sofa.listener[m];
    names.push_back(listener.name);
    append(heads, head_of(listener));
    for (std::size_t ear = 0; ear < ears; ++ear) {
      const Vector3 offset = listener.ear_position_m[ear] - head_of(listener);
      const std::array<double, 3> own{-offset.x(), -offset.y(), offset.z()};
      for (std::size_t c = 0; c < 3; ++c) receivers[(ear * 3 + c) * sofa.listener.size() + m] = own[c];
    }
  }
  writer.position("ListenerPosition", "MC", heads);
  writer.position("ListenerView", "IC", {listener_view.x(), listener_view.y(), listener_view.z()});
  writer.variable("ListenerUp", "IC", {0, 0, 1});
  writer.position("ReceiverPosition", "RCM", receivers);
  writer.names("ListenerDescriptions", "MS", names);
}

void write_emitters(Writer& writer, const SofaFile& sofa) {
  std::vector<std::string> names;
  std::vector<double> positions, views, ups;
  for (const SofaEmitter& emitter : sofa.emitter) {
    names.push_back(emitter.name);
    append(positions, emitter.position_m);
    append(views, emitter.view.normalized());
    append(ups, up_of(emitter.view));
  }
  writer.position("SourcePosition", "IC", {0, 0, 0});
  writer.position("SourceView", "IC", {1, 0, 0});
  writer.variable("SourceUp", "IC", {0, 0, 1});
  writer.position("EmitterPosition", "ECI", positions);
  writer.position("EmitterView", "ECI", views);
  writer.variable("EmitterUp", "ECI", ups);
  writer.names("EmitterDescriptions", "ES", names);
}

void write_responses(Writer& writer, const SofaFile& sofa) {
  const auto& [listeners, receivers, emitters, length] = sofa.impulse.shape();
  Table<double, 4> emitter_last({listeners, receivers, length, emitters});
  for (std::size_t m = 0; m < listeners; ++m)
    for (std::size_t r = 0; r < receivers; ++r)
      for (std::size_t e = 0; e < emitters; ++e)
        for (std::size_t n = 0; n < length; ++n) emitter_last(m, r, n, e) = sofa.impulse(m, r, e, n);
  writer.variable("Data.IR", "MRNE", emitter_last.values());
  writer.variable("Data.SamplingRate", "I", {sofa.sample_rate_hz}).attribute("Units", "hertz");
  writer.variable("Data.Delay", "IRE", std::vector<double>(receivers * emitters, 0.0));
}

}  // namespace

void write_sofa_file(const std::string& path, const SofaFile& sofa) {
  check(sofa);
  Writer writer(sofa);
  write_global_attributes(writer, sofa);
  write_listeners(writer, sofa);
  write_emitters(writer, sofa);
  write_responses(writer, sofa);
  write_whole_file(path, writer.bytes());
}

}  // namespace cabinfield
