#include "output/vtk_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <span>

#include "base/base64.h"
#include "base/constants.h"

namespace cabinfield {
namespace {

static_assert(std::endian::native == std::endian::little);

/// Level written for silence.
constexpr double quietest_db = -100;

double level_db(Complex pressure_pa) {
  return std::max(quietest_db, 20 * std::log10(std::abs(pressure_pa) / reference_pressure_pa));
}

/// Escapes text for an XML attribute.
std::string escaped(const std::string& text) {
  std::string result;
  for (char letter : text) switch (letter) {
      case '&':
        result += "&amp;";
        break;
      case '<':
        result += "&lt;";
        break;
      case '>':
        result += "&gt;";
        break;
      case '"':
        result += "&quot;";
        break;
      default:
        result += static_cast<unsigned char>(letter) < 0x20 ? ' ' : letter;
    }
  return result;
}

template <typename T>
std::string array(const std::string& name, const char* type, int components, std::span<const T> values) {
  const std::uint64_t size = values.size_bytes();
  std::vector<std::byte> bytes(sizeof size + size);
  std::memcpy(bytes.data(), &size, sizeof size);
  if (size > 0) std::memcpy(bytes.data() + sizeof size, values.data(), size);
  return fmt::format(
      "<DataArray type=\"{}\" Name=\"{}\" NumberOfComponents=\"{}\" format=\"binary\">\n{}\n</DataArray>\n",
      type, escaped(name), components, base64(bytes));
}

std::string sound_arrays(const FieldMaps& maps, const Table<Complex, 3>& table,
                         const std::vector<std::string>& names, const char* kind) {
  std::string lines;
  const std::size_t points = maps.point_m.size();
  for (std::size_t n = 0; n < names.size(); ++n)
    for (std::size_t f = 0; f < maps.frequency_hz.size(); ++f) {
      const Complex* row = table.row(n, f);
      std::vector<double> level(points);
      std::transform(row, row + points, level.begin(), level_db);
      const std::string of = fmt::format("{} {} {:g} Hz", kind, names[n], maps.frequency_hz[f]);
      lines += array<double>(of + " level dB", "Float64", 1, level);
      lines += array<double>(of + " pressure Pa", "Float64", 2,
                             {reinterpret_cast<const double*>(row), 2 * points});
    }
  return lines;
}

}  // namespace

std::vector<std::byte> vtk_map_file(const Results& results) {
  const FieldMaps& maps = results.maps;
  std::vector<std::int64_t> corner, end;
  for (const auto& triangle : maps.triangle) {
    corner.insert(corner.end(), triangle.begin(), triangle.end());
    end.push_back(static_cast<std::int64_t>(corner.size()));
  }
  constexpr std::uint8_t vtk_triangle = 5;
  const std::vector<std::uint8_t> kind(maps.triangle.size(), vtk_triangle);
  const std::vector<std::int32_t> surface(maps.triangle_surface.begin(), maps.triangle_surface.end());

  std::string xml =
      "<?xml version=\"1.0\"?>\n<VTKFile type=\"UnstructuredGrid\" version=\"1.0\" "
      "byte_order=\"LittleEndian\" header_type=\"UInt64\">\n<UnstructuredGrid>\n";
  xml += fmt::format("<Piece NumberOfPoints=\"{}\" NumberOfCells=\"{}\">\n<PointData>\n", maps.point_m.size(),
                     maps.triangle.size());
  xml += sound_arrays(maps, maps.driver_pa, results.driver, "driver");
  xml += sound_arrays(maps, maps.channel_pa, results.channel, "channel");
  xml += "</PointData>\n<CellData>\n" + array<std::int32_t>("surface", "Int32", 1, surface);
  xml += "</CellData>\n<Points>\n" +
         array<double>("Points", "Float64", 3, {maps.point_m.data()->data(), 3 * maps.point_m.size()});
  xml += "</Points>\n<Cells>\n" + array<std::int64_t>("connectivity", "Int64", 1, corner) +
         array<std::int64_t>("offsets", "Int64", 1, end) + array<std::uint8_t>("types", "UInt8", 1, kind);
  xml += "</Cells>\n</Piece>\n</UnstructuredGrid>\n</VTKFile>\n";
  const auto* first = reinterpret_cast<const std::byte*>(xml.data());
  return {first, first + xml.size()};
}

}  // namespace cabinfield
