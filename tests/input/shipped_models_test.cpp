// Every model that comes with the program reads without a fault, holds together, and says that it is
// invented.
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>

#include "driver/thiele_small.h"
#include "input/model_library.h"
#include "input/scene_keys.h"

namespace cabinfield {
namespace {

const std::string models = CABINFIELD_SOURCE_DIR "/models";

TEST(ShippedDrivers, AreConsistentAndSayThatTheyAreInvented) {
  const ModelLibrary library({models});
  const auto names = library.names("drivers");
  EXPECT_GE(names.size(), 10u);
  for (const std::string& name : names) {
    Faults faults;
    const auto model = library.driver(name, faults);
    ASSERT_TRUE(model) << name << ": " << to_string(faults.faults().front());
    EXPECT_NE(model->note.find("nvented"), std::string::npos) << name;
    const ThieleSmallSpec& t = model->thiele_small;
    const ThieleSmallGiven given{t.Fs_hz, t.Qes,    t.Qms,     t.Qts,      t.Vas_m3, t.Re_ohm, t.Le_h,
                                 t.Sd_m2, t.Mms_kg, t.Cms_m_n, t.Rms_kg_s, t.Bl_tm,  t.Xmax_m};
    const Air air = air_at({});
    const auto derived = derive_thiele_small(given, air);
    EXPECT_TRUE(derived.errors.empty()) << name << ": " << derived.errors.front();
    // 2 %: the rounding of a data sheet to three figures, several times over.
    const auto near = [&](const std::optional<double>& stated, double derived_value, const char* what) {
      if (stated) {
        EXPECT_NEAR(*stated, derived_value, 0.02 * derived_value) << name << " " << what;
      }
    };
    near(t.Bl_tm, derived.set.Bl_tm, "Bl");
    near(t.Vas_m3, derived.set.Vas_m3, "Vas");
    near(t.Cms_m_n, derived.set.Cms_m_n, "Cms");
    near(t.Mms_kg, derived.set.Mms_kg, "Mms");
    // Half-space efficiency of car drivers lies between a subwoofer's 0.1 % and a tweeter's 5 % (common
    // practice, no source).
    EXPECT_GT(reference_efficiency(derived.set, air), 5e-4) << name;
    EXPECT_LT(reference_efficiency(derived.set, air), 0.05) << name;
    EXPECT_TRUE(model->mounting.cutout_m && model->mounting.depth_m) << name;
  }
}

TEST(ShippedFillings, ReadWithoutAFault) {
  int count = 0;
  for (const auto& entry : std::filesystem::directory_iterator(models + "/fillings")) {
    Faults faults;
    const std::string text = read_text_file(entry.path().string(), faults);
    const Node root = parse_document(text, entry.path().string(), faults);
    Reading reading{faults};
    const FillingSpec filling = filling_keys().read(root, reading);
    EXPECT_FALSE(faults.any()) << to_string(faults.faults().front());
    EXPECT_NE(filling.note.find("nvented"), std::string::npos) << entry.path();
    ++count;
  }
  EXPECT_GE(count, 3);
}

}  // namespace
}  // namespace cabinfield
