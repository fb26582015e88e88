#include "predict/cabin_cache.h"

#include <fmt/format.h>
#define XXH_INLINE_ALL
#include <xxhash.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>
#include <span>

#include "base/fault.h"
#include "base/parallel.h"
#include "geometry/shape_members.h"
#include "storage/hdf5_file.h"
#include "storage/hdf5_reader.h"
#include "storage/whole_file.h"

namespace cabinfield {
namespace {

constexpr const char* format_name = "cabinfield-kept-cabin";
constexpr std::array<int, 2> format_version{2, 0};

/// Incremental hash of values.
class Hash {
 public:
  Hash() : state_(XXH3_createState(), &XXH3_freeState) { XXH3_128bits_reset(state_.get()); }

  void add(const void* bytes, std::size_t size) { XXH3_128bits_update(state_.get(), bytes, size); }
  void add(double value) { add(&value, sizeof value); }
  void add(int value) { add(&value, sizeof value); }
  void add(const std::string& text) {
    add(static_cast<int>(text.size()));
    add(text.data(), text.size());
  }
  template <typename T>
  void add_all(const std::vector<T>& values) {
    add(static_cast<int>(values.size()));
    if (!values.empty()) add(values.data(), values.size() * sizeof(T));
  }

  std::string text() const {
    const XXH128_hash_t hash = XXH3_128bits_digest(state_.get());
    return fmt::format("{:016x}{:016x}", hash.high64, hash.low64);
  }

 private:
  std::unique_ptr<XXH3_state_t, decltype(&XXH3_freeState)> state_;
};

/// What of a shape decides the mesh and its faces; materials do not.
struct ShapeHash {
  Hash& hash;
  void coordinate(GeometryRole, double value) { hash.add(value); }
  void size(double value) { hash.add(value); }
  void name(const std::string& text) { hash.add(text); }
  void topology(int value) { hash.add(value); }
  void material(int) {}
  void derived(GeometryRole, double) {}
};

std::string hash_of(const OperatorTerm& term) {
  Hash hash;
  hash.add_all(term.nonzero);
  hash.add_all(term.value);
  return hash.text();
}

std::string hash_of(std::span<const std::byte> bytes) {
  Hash hash;
  hash.add(bytes.data(), bytes.size());
  return hash.text();
}

/// The HDF5 library may crash on a damaged file, so the checksum is compared first.
void check_hash(const std::string& path) {
  constexpr std::size_t digits = 32;
  if (!std::filesystem::is_regular_file(path))
    throw UnreadableFile(fmt::format("{}: is not a regular file", path));
  std::ifstream stream(path, std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(stream), {}};
  const std::size_t size = bytes.size() < digits ? 0 : bytes.size() - digits;
  if (size == 0 || bytes.compare(size, digits, hash_of(std::as_bytes(std::span(bytes.data(), size)))) != 0)
    throw UnreadableFile(fmt::format("{}: is damaged, or is not a solved cabin", path));
}

/// The contents as flat arrays, in one order for writing and reading.
struct Contents {
  std::vector<double> node, ear, basis, projected, mode, mode_wavenumber, shift, scalar;
  std::vector<int> tetrahedron, region, boundary, sheet, term;
  std::vector<std::string> term_hash, note;

  template <typename Visit>
  void each(const Visit& visit) {
    visit("/mesh/node", node);
    visit("/mesh/tetrahedron", tetrahedron);
    visit("/mesh/region", region);
    visit("/mesh/boundary", boundary);
    visit("/mesh/sheet", sheet);
    visit("/mesh/note", note);
    visit("/ear_position", ear);
    visit("/columns/basis", basis);
    visit("/columns/projected", projected);
    visit("/columns/mode", mode);
    visit("/columns/mode_wavenumber", mode_wavenumber);
    visit("/columns/shift", shift);
    visit("/columns/scalar", scalar);
    visit("/columns/term", term);
    visit("/columns/term_seal", term_hash);
  }
};

std::vector<double> flat(const std::vector<Vector3>& points) {
  std::vector<double> values;
  for (const Vector3& point : points) values.insert(values.end(), point.data(), point.data() + 3);
  return values;
}

std::vector<Vector3> points(const std::vector<double>& values) {
  std::vector<Vector3> result;
  for (std::size_t i = 0; i + 2 < values.size(); i += 3)
    result.emplace_back(values[i], values[i + 1], values[i + 2]);
  return result;
}

Contents contents_of(const WaveCabin& solved) {
  Contents contents;
  const Mesh& mesh = solved.space->mesh();
  const ReducedOrderModel& reduced = solved.reduced;
  contents.node = flat(mesh.node);
  for (const auto& corners : mesh.tetrahedron)
    contents.tetrahedron.insert(contents.tetrahedron.end(), corners.begin(), corners.end());
  contents.region = mesh.region;
  for (const BoundaryTriangle& triangle : mesh.boundary) {
    contents.boundary.insert(contents.boundary.end(), triangle.node.begin(), triangle.node.end());
    contents.boundary.push_back(triangle.face);
  }
  for (const SheetTriangle& triangle : mesh.sheet) {
    contents.sheet.insert(contents.sheet.end(), triangle.node.begin(), triangle.node.end());
    contents.sheet.push_back(triangle.partition);
  }
  contents.note = mesh.notes;
  contents.ear = flat(solved.ears);
  contents.basis.assign(reduced.basis.data(), reduced.basis.data() + reduced.basis.size());
  contents.mode.assign(reduced.mode.data(), reduced.mode.data() + reduced.mode.size());
  contents.mode_wavenumber = reduced.mode_wavenumber_per_m;
  contents.shift = reduced.shift_hz;
  contents.scalar = {reduced.effectivity, reduced.estimate.error, reduced.estimate.frequency_hz};
  // Projected terms are stored: computed again from the basis they would differ by rounding.
  for (std::size_t t = 0; t < solved.matrices->terms().size(); ++t) {
    const OperatorTerm& term = solved.matrices->terms()[t];
    const Eigen::MatrixXd& matrix = reduced.projected[t];
    contents.projected.insert(contents.projected.end(), matrix.data(), matrix.data() + matrix.size());
    contents.term.push_back(static_cast<int>(term.kind));
    contents.term_hash.push_back(hash_of(term));
  }
  return contents;
}

}  // namespace

std::string cabin_key(const Cabin& cabin, const std::vector<Vector3>& ears, const WaveOptions& options) {
  Hash hash;
  hash.add(std::string(CABINFIELD_VERSION));
  for (int part : format_version) hash.add(part);
  ShapeHash of_shape{hash};
  visit_members(cabin.shape(), of_shape);
  for (double value : flat(ears)) hash.add(value);
  hash.add(options.top_hz);
  hash.add(options.refinement);
  return hash.text();
}

std::string cached_cabin_path(const std::string& folder, const std::string& key) {
  return (std::filesystem::path(folder) / ("cabin-" + key.substr(0, 12) + ".h5")).string();
}

void write_cached_cabin(const std::string& path, const std::string& key, const WaveCabin& solved) {
  Contents contents = contents_of(solved);
  Hdf5File file;
  file.attribute("file_format", format_name);
  file.attribute("format_version", format_version);
  file.attribute("program_version", CABINFIELD_VERSION);
  file.attribute("key", key);
  contents.each([&](const char* name, auto& values) {
    if (!values.empty()) file.write(name, {values.size()}, std::span(values.data(), values.size()));
  });
  // The HDF5 library ignores bytes after the end of its data.
  std::vector<std::byte> bytes = file.bytes();
  const std::string checksum = hash_of(bytes);
  const auto letters = std::as_bytes(std::span(checksum));
  bytes.insert(bytes.end(), letters.begin(), letters.end());
  write_whole_file(path, bytes);
}

namespace {

Contents read_contents(const std::string& path, const std::string& key) {
  const Hdf5Reader file(path);
  if (file.attribute("file_format") != format_name)
    throw UnreadableFile(fmt::format("{}: is not a solved cabin", path));
  if (file.attribute("key") != key)
    throw UnreadableFile(fmt::format("{}: belongs to another cabin or another version of the program", path));
  Contents contents;
  contents.each([&](const char* name, auto& values) {
    if (!file.has(name)) return;
    using Values = std::decay_t<decltype(values)>;
    if constexpr (std::is_same_v<Values, std::vector<double>>)
      values = file.doubles(name);
    else if constexpr (std::is_same_v<Values, std::vector<int>>)
      values = file.integers(name);
    else
      values = file.texts(name);
  });
  return contents;
}

Contents checked_contents(const std::string& path, const std::string& key) {
  check_hash(path);
  try {
    return read_contents(path, key);
  } catch (const MachineError&) {
    // The library opened the file and then failed: the file is damaged.
    throw UnreadableFile(fmt::format("{}: is damaged", path));
  }
}

}  // namespace

std::optional<WaveCabin> read_cached_cabin(const std::string& path, const std::string& key,
                                           const Cabin& cabin) {
  if (!std::filesystem::exists(path)) return std::nullopt;
  // Step 1: mesh, space and matrices.
  const Contents contents = checked_contents(path, key);
  WaveCabin solved;
  Mesh mesh;
  mesh.node = points(contents.node);
  for (std::size_t i = 0; i + 3 < contents.tetrahedron.size(); i += 4)
    mesh.tetrahedron.push_back({contents.tetrahedron[i], contents.tetrahedron[i + 1],
                                contents.tetrahedron[i + 2], contents.tetrahedron[i + 3]});
  mesh.region = contents.region;
  for (std::size_t i = 0; i + 3 < contents.boundary.size(); i += 4)
    mesh.boundary.push_back({{contents.boundary[i], contents.boundary[i + 1], contents.boundary[i + 2]},
                             contents.boundary[i + 3]});
  for (std::size_t i = 0; i + 3 < contents.sheet.size(); i += 4)
    mesh.sheet.push_back(
        {{contents.sheet[i], contents.sheet[i + 1], contents.sheet[i + 2]}, contents.sheet[i + 3]});
  mesh.notes = contents.note;
  solved.ears = points(contents.ear);
  solved.space = std::make_shared<FiniteElementSpace>(std::move(mesh));
  solved.matrices = std::make_shared<WaveMatrices>(*solved.space, cabin);

  // Step 2: the reduced basis. Terms are stored under a hash; a term with other faces is projected again.
  ReducedOrderModel& reduced = solved.reduced;
  const Eigen::Index degrees_of_freedom = solved.space->degrees_of_freedom();
  const Eigen::Index basis_vectors = static_cast<Eigen::Index>(contents.basis.size()) / degrees_of_freedom;
  reduced.basis = Eigen::Map<const BasisMatrix>(contents.basis.data(), degrees_of_freedom, basis_vectors);
  reduced.mode_wavenumber_per_m = contents.mode_wavenumber;
  reduced.mode = Eigen::Map<const Eigen::MatrixXd>(
      contents.mode.data(), basis_vectors, static_cast<Eigen::Index>(contents.mode_wavenumber.size()));
  reduced.shift_hz = contents.shift;
  reduced.effectivity = contents.scalar.at(0);
  reduced.estimate = {contents.scalar.at(1), contents.scalar.at(2)};
  const auto& terms = solved.matrices->terms();
  reduced.projected.resize(terms.size());
  parallel_for(terms.size(), [&](std::size_t t) {
    const auto same = std::find(contents.term_hash.begin(), contents.term_hash.end(), hash_of(terms[t]));
    const std::size_t stored = static_cast<std::size_t>(same - contents.term_hash.begin());
    if (same != contents.term_hash.end() && contents.term[stored] == static_cast<int>(terms[t].kind))
      reduced.projected[t] = Eigen::Map<const Eigen::MatrixXd>(
          contents.projected.data() + stored * static_cast<std::size_t>(basis_vectors * basis_vectors),
          basis_vectors, basis_vectors);
    else
      reduced.projected[t] = projected_term(*solved.matrices, terms[t], reduced.basis);
  });
  reduced.ear.resize(basis_vectors, static_cast<Eigen::Index>(solved.ears.size()));
  for (std::size_t e = 0; e < solved.ears.size(); ++e)
    reduced.ear.col(static_cast<Eigen::Index>(e)) = reduced.coordinates(solved.space->at(solved.ears[e]));
  return solved;
}

}  // namespace cabinfield
