// SOFA files read back by libmysofa, by netCDF and by ncdump.
#include "output/sofa_file.h"

#include <gtest/gtest.h>
#include <mysofa.h>

#include <array>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <limits>
#include <map>
#include <memory>
#include <stdexcept>

#include "base/fault.h"

namespace cabinfield {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t seats = 3, ears = 2, emitters = 4, samples = 1500;

/// Distinct for every index, and exact in the 32-bit numbers that libmysofa returns.
double sample_at(std::size_t seat, std::size_t ear, std::size_t emitter, std::size_t n) {
  return static_cast<double>(((seat * ears + ear) * emitters + emitter) * samples + n) / 16 - 700;
}

SofaFile invented(double sample_rate_hz) {
  SofaFile sofa;
  sofa.title = "Invented cabin, Größe M";
  sofa.comment = "1 is 1 Pa for 2.83 V";
  sofa.history = "computed from mirror images";
  sofa.program_version = "0.1.0";
  sofa.created = 1000000000;
  sofa.sample_rate_hz = sample_rate_hz;
  const std::array<const char*, seats> seat_names{"driver", "passenger", "rear_left"};
  for (std::size_t seat = 0; seat < seats; ++seat) {
    const Vector3 head(1.4 + 0.3 * static_cast<double>(seat), seat % 2 == 0 ? -0.375 : 0.375, 1.0);
    // The vehicle's y points to its right, so the left ear of one who looks forward is at the smaller y.
    sofa.listener.push_back({seat_names[seat], {head - Vector3(0, 0.0875, 0), head + Vector3(0, 0.0875, 0)}});
  }
  sofa.emitter = {{"mid_left", {0.7, -0.7, 0.25}, {0, 1, 0}},
                  {"mid_right", {0.7, 0.7, 0.25}, {0, -2, 0}},
                  {"centre", {0.5, 0, 0.85}, {0.6, 0, 0.8}},
                  {"lid", {2.6, 0.1, 0.5}, {0, 0, 1}}};
  sofa.impulse = Table<double, 4>({seats, ears, emitters, samples});
  for (std::size_t m = 0; m < seats; ++m)
    for (std::size_t r = 0; r < ears; ++r)
      for (std::size_t e = 0; e < emitters; ++e)
        for (std::size_t n = 0; n < samples; ++n) sofa.impulse(m, r, e, n) = sample_at(m, r, e, n);
  return sofa;
}

class Sofa : public testing::Test {
 protected:
  void SetUp() override {
    std::string pattern = (fs::temp_directory_path() / "cabinfield_sofa_XXXXXX").string();
    ASSERT_NE(mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
    file_ = (folder_ / "cabin.sofa").string();
  }
  void TearDown() override { fs::remove_all(folder_); }

  std::string bytes() const {
    std::ifstream stream(file_, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
  }
  bool runs(const std::string& script) const {
    const std::string path = (folder_ / "read.py").string();
    std::ofstream(path) << script;
    return std::system(("/usr/bin/python3 " + path).c_str()) == 0;
  }

  fs::path folder_;
  std::string file_;
};

using Loaded = std::unique_ptr<MYSOFA_HRTF, void (*)(MYSOFA_HRTF*)>;

Loaded loaded(const std::string& path, int& error) {
  return {mysofa_load(path.c_str(), &error), mysofa_free};
}

std::string attribute(MYSOFA_ATTRIBUTE* attributes, std::string name) {
  const char* value = mysofa_getAttribute(attributes, name.data());
  return value != nullptr ? value : "(none)";
}

std::vector<float> numbers(const MYSOFA_ARRAY& array) {
  return {array.values, array.values + array.elements};
}

TEST_F(Sofa, LibmysofaReadsEveryValue) {
  for (double rate : {48000.0, 96000.0}) {
    write_sofa_file(file_, invented(rate));
    int error = -1;
    const Loaded sofa = loaded(file_, error);
    ASSERT_EQ(error, MYSOFA_OK);
    ASSERT_NE(sofa, nullptr);
    EXPECT_EQ(sofa->I, 1u);
    EXPECT_EQ(sofa->C, 3u);
    EXPECT_EQ(sofa->R, ears);
    EXPECT_EQ(sofa->E, emitters);
    EXPECT_EQ(sofa->N, samples);
    EXPECT_EQ(sofa->M, seats);
    EXPECT_EQ(numbers(sofa->DataSamplingRate), std::vector<float>{static_cast<float>(rate)});
    EXPECT_EQ(attribute(sofa->DataSamplingRate.attributes, "Units"), "hertz");
    EXPECT_EQ(numbers(sofa->DataDelay), std::vector<float>(ears * emitters, 0.0f));
    ASSERT_EQ(sofa->DataIR.elements, seats * ears * samples * emitters);
    std::size_t i = 0;
    for (std::size_t m = 0; m < seats; ++m)
      for (std::size_t r = 0; r < ears; ++r)
        for (std::size_t n = 0; n < samples; ++n)
          for (std::size_t e = 0; e < emitters; ++e)
            ASSERT_EQ(static_cast<double>(sofa->DataIR.values[i++]), sample_at(m, r, e, n))
                << m << r << n << e;
  }
}

TEST_F(Sofa, LibmysofaReadsAllPositions) {
  write_sofa_file(file_, invented(48000));
  int error = -1;
  const Loaded sofa = loaded(file_, error);
  ASSERT_EQ(error, MYSOFA_OK);
  EXPECT_EQ(numbers(sofa->ListenerPosition),
            (std::vector<float>{1.4f, -0.375f, 1, 1.7f, 0.375f, 1, 2.0f, -0.375f, 1}));
  EXPECT_EQ(numbers(sofa->ListenerView), (std::vector<float>{-1, 0, 0}));
  EXPECT_EQ(numbers(sofa->ListenerUp), (std::vector<float>{0, 0, 1}));
  EXPECT_EQ(numbers(sofa->SourcePosition), (std::vector<float>{0, 0, 0}));
  EXPECT_EQ(numbers(sofa->EmitterPosition),
            (std::vector<float>{0.7f, -0.7f, 0.25f, 0.7f, 0.7f, 0.25f, 0.5f, 0, 0.85f, 2.6f, 0.1f, 0.5f}));
  const auto receivers = numbers(sofa->ReceiverPosition);
  ASSERT_EQ(receivers.size(), ears * 3 * seats);
  for (std::size_t r = 0; r < ears; ++r)
    for (std::size_t c = 0; c < 3; ++c)
      for (std::size_t m = 0; m < seats; ++m) {
        // The left ear first, to the listener's left (AES69: y of the listener's own axes).
        const float expected = c != 1 ? 0 : r == 0 ? 0.0875f : -0.0875f;
        EXPECT_NEAR(receivers[(r * 3 + c) * seats + m], expected, 1e-7) << r << c << m;
      }
  for (const MYSOFA_ARRAY* array :
       {&sofa->ListenerPosition, &sofa->ReceiverPosition, &sofa->SourcePosition, &sofa->EmitterPosition}) {
    EXPECT_EQ(attribute(array->attributes, "Type"), "cartesian");
    EXPECT_EQ(attribute(array->attributes, "Units"), "metre");
  }
}

TEST_F(Sofa, LibmysofaReadsTheConvention) {
  write_sofa_file(file_, invented(48000));
  int error = -1;
  const Loaded sofa = loaded(file_, error);
  ASSERT_EQ(error, MYSOFA_OK);
  // Names from AES69-2022 (from memory).
  const std::map<std::string, std::string> expected{{"Conventions", "SOFA"},
                                                    {"Version", "2.1"},
                                                    {"SOFAConventions", "SingleRoomMIMOSRIR"},
                                                    {"SOFAConventionsVersion", "1.0"},
                                                    {"DataType", "FIR-E"},
                                                    {"RoomType", "reverberant"},
                                                    {"Title", "Invented cabin, Größe M"},
                                                    {"DateCreated", "2001-09-09 01:46:40"},
                                                    {"DateModified", "2001-09-09 01:46:40"},
                                                    {"APIName", "cabinfield"},
                                                    {"APIVersion", "0.1.0"},
                                                    {"Comment", "1 is 1 Pa for 2.83 V"},
                                                    {"History", "computed from mirror images"},
                                                    {"AuthorContact", ""},
                                                    {"Organization", ""}};
  for (const auto& [name, value] : expected) EXPECT_EQ(attribute(sofa->attributes, name), value) << name;
  EXPECT_EQ(attribute(sofa->attributes, "License").rfind("No license provided", 0), 0u);
  // Its check takes free-field head-related responses alone; the name of the convention is all it objects to.
  EXPECT_EQ(mysofa_check(sofa.get()), MYSOFA_INVALID_ATTRIBUTES);
}

TEST_F(Sofa, LongResponsesAreReadToo) {
  // 6 seats, 12 drivers, a third of a second: 18 MB.
  SofaFile sofa = invented(48000);
  sofa.listener.resize(6, sofa.listener.front());
  sofa.emitter.resize(12, sofa.emitter.front());
  sofa.impulse = Table<double, 4>({6, 2, 12, 16000});
  for (std::size_t i = 0; i < sofa.impulse.size(); ++i) sofa.impulse.values()[i] = static_cast<double>(i);
  write_sofa_file(file_, sofa);
  int error = -1;
  const Loaded read = loaded(file_, error);
  ASSERT_EQ(error, MYSOFA_OK);
  ASSERT_EQ(read->DataIR.elements, sofa.impulse.size());
  for (std::size_t n : {0u, 1u, 15999u})
    for (std::size_t e : {0u, 11u})
      EXPECT_EQ(static_cast<double>(read->DataIR.values[((5 * 2 + 1) * 16000 + n) * 12 + e]),
                sofa.impulse(5, 1, e, n));
}

TEST_F(Sofa, OneSeatAndOneEmitterAreReadToo) {
  SofaFile sofa = invented(48000);
  sofa.listener.resize(1);
  sofa.emitter.resize(1);
  sofa.impulse = Table<double, 4>({1, 2, 1, 8}, 0.25);
  write_sofa_file(file_, sofa);
  int error = -1;
  const Loaded read = loaded(file_, error);
  ASSERT_EQ(error, MYSOFA_OK);
  EXPECT_EQ(read->M * read->E, 1u);
  EXPECT_EQ(numbers(read->DataIR), std::vector<float>(16, 0.25f));
}

TEST_F(Sofa, NetcdfReadsTheSame) {
  write_sofa_file(file_, invented(96000));
  EXPECT_TRUE(runs(
      "import netCDF4, numpy\n"
      "d = netCDF4.Dataset('" +
      file_ +
      "')\n"
      "sizes = {name: len(axis) for name, axis in d.dimensions.items()}\n"
      "assert sizes == dict(I=1, C=3, R=2, E=4, N=1500, M=3, S=9), sizes\n"
      "assert not set(sizes) & set(d.variables), d.variables\n"
      "ir = d['Data.IR']\n"
      "assert ir.dimensions == ('M', 'R', 'N', 'E') and ir.dtype == numpy.float64\n"
      "expected = numpy.arange(3*2*4*1500).reshape(3, 2, 4, 1500)/16 - 700\n"
      "assert (ir[:] == expected.transpose(0, 1, 3, 2)).all()\n"
      "assert d['Data.SamplingRate'][:] == [96000]\n"
      "assert list(netCDF4.chartostring(d['EmitterDescriptions'][:])) == ['mid_left', 'mid_right', 'centre', "
      "'lid']\n"
      "assert list(netCDF4.chartostring(d['ListenerDescriptions'][:])) == ['driver', 'passenger', "
      "'rear_left']\n"
      "assert d['EmitterPosition'].Type == 'cartesian' and d['EmitterPosition'].Units == 'metre'\n"
      "view, up = d['EmitterView'][:, :, 0], d['EmitterUp'][:, :, 0]\n"
      "assert abs(view - [[0, 1, 0], [0, -1, 0], [0.6, 0, 0.8], [0, 0, 1]]).max() < 1e-15\n"
      "assert abs(up - [[0, 0, 1], [0, 0, 1], [-0.8, 0, 0.6], [-1, 0, 0]]).max() < 1e-15\n"
      "assert d.Conventions == 'SOFA' and d.Title == 'Invented cabin, Größe M' and d.AuthorContact == ''\n"
      "assert d.data_model == 'NETCDF4'\n"
      "numbers = [v for v in d.variables.values() if v.dtype == numpy.float64]\n"
      "assert all(numpy.isfinite(v[:]).all() for v in numbers)\n"));
}

TEST_F(Sofa, NcdumpReadsIt) {
  write_sofa_file(file_, invented(48000));
  const std::string text = (folder_ / "dump.txt").string();
  ASSERT_EQ(std::system(("ncdump -h " + file_ + " >" + text + " 2>&1").c_str()), 0);
  std::ifstream stream(text);
  const std::string dump{std::istreambuf_iterator<char>(stream), {}};
  for (const char* line : {"\tI = 1 ;\n",
                           "\tC = 3 ;\n",
                           "\tR = 2 ;\n",
                           "\tE = 4 ;\n",
                           "\tN = 1500 ;\n",
                           "\tM = 3 ;\n",
                           "\tS = 9 ;\n",
                           "\tdouble Data.IR(M, R, N, E) ;\n",
                           "\tdouble Data.SamplingRate(I) ;\n",
                           "\tdouble Data.Delay(I, R, E) ;\n",
                           "\tdouble ListenerPosition(M, C) ;\n",
                           "\tdouble ListenerView(I, C) ;\n",
                           "\tdouble ListenerUp(I, C) ;\n",
                           "\tdouble ReceiverPosition(R, C, M) ;\n",
                           "\tdouble SourcePosition(I, C) ;\n",
                           "\tdouble EmitterPosition(E, C, I) ;\n",
                           "\tdouble EmitterView(E, C, I) ;\n",
                           "\tdouble EmitterUp(E, C, I) ;\n",
                           "\tchar EmitterDescriptions(E, S) ;\n",
                           "\tchar ListenerDescriptions(M, S) ;\n",
                           "\t\t:SOFAConventions = \"SingleRoomMIMOSRIR\" ;\n",
                           "\t\tData.SamplingRate:Units = \"hertz\" ;\n"})
    EXPECT_NE(dump.find(line), std::string::npos) << line << "\n" << dump;
  EXPECT_EQ(dump.find("string "), std::string::npos) << dump;
}

TEST_F(Sofa, SameResponsesSameBytes) {
  write_sofa_file(file_, invented(48000));
  const std::string first = bytes();
  write_sofa_file(file_, invented(48000));
  EXPECT_EQ(bytes(), first);
}

TEST_F(Sofa, InvalidDataIsRejectedAndTheOldFileStays) {
  std::ofstream(file_) << "old";
  const SofaFile good = invented(48000);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refused = [&](auto&& spoil) {
    SofaFile sofa = good;
    spoil(sofa);
    EXPECT_THROW(write_sofa_file(file_, sofa), std::invalid_argument);
  };
  refused([](SofaFile& sofa) { sofa.listener.pop_back(); });
  refused([](SofaFile& sofa) { sofa.emitter.pop_back(); });
  refused([](SofaFile& sofa) { sofa.impulse = Table<double, 4>({3, 1, 4, 8}); });
  refused([](SofaFile& sofa) { sofa = SofaFile{}; });
  refused([](SofaFile& sofa) { sofa.impulse = Table<double, 4>({3, 2, 4, 0}); });
  refused([&](SofaFile& sofa) { sofa.impulse(2, 1, 3, 77) = nan; });
  refused([&](SofaFile& sofa) { sofa.impulse(2, 1, 3, 77) = std::numeric_limits<double>::infinity(); });
  refused([](SofaFile& sofa) { sofa.sample_rate_hz = 0; });
  refused([&](SofaFile& sofa) { sofa.sample_rate_hz = nan; });
  refused([&](SofaFile& sofa) { sofa.emitter[1].position_m.x() = nan; });
  refused([](SofaFile& sofa) { sofa.emitter[1].view.setZero(); });
  refused([&](SofaFile& sofa) { sofa.listener[1].ear_position_m[1].z() = nan; });
  EXPECT_EQ(bytes(), "old");
}

TEST_F(Sofa, MissingFolderIsNamed) {
  const std::string path = (folder_ / "missing" / "cabin.sofa").string();
  try {
    write_sofa_file(path, invented(48000));
    FAIL();
  } catch (const MachineError& error) {
    EXPECT_EQ(std::string(error.what()), path + ": cannot be written: its folder does not exist");
  }
}

}  // namespace
}  // namespace cabinfield
