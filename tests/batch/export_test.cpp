#include "tests/batch/batch_support.h"

#include <gmock/gmock.h>
#include <nlohmann/json.hpp>

#include <filesystem>

namespace leeward {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;
using ::testing::Not;

class Export : public testing::BatchTest {
 protected:
  static std::string demo() { return LEEWARD_DEMO; }
};

TEST_F(Export, TheDemoGoesToAPhoneWithOrWithoutItsStands) {
  for (const char* name : {"m.gpx", "m.kmz"}) {
    const auto a = batch("export " + demo() + " --output " + file(name));
    ASSERT_EQ(a.code, 0) << a.err;
    EXPECT_THAT(call("ogrinfo -ro -al " + file(name)).out, HasSubstr("Clover ladder in"));
  }
  const auto a = batch("export " + demo() + " --no-stands --output " + file("m.geojson"));
  ASSERT_EQ(a.code, 0) << a.err;
  const json j = json::parse(text_of(file("m.geojson")));
  EXPECT_GT(j["features"].size(), 40U);
  for (const json& f : j["features"]) {
    EXPECT_NE(f["properties"]["kind"], "stand");
    EXPECT_NE(f["properties"]["kind"], "way");
    EXPECT_NE(f["properties"]["kind"], "shooting_lane");
  }
}

TEST_F(Export, AWrongKindOrEndingIsNamedWithTheMend) {
  const auto kind = batch("export " + demo() + " --kind tent --output " + file("m.gpx"));
  EXPECT_EQ(kind.code, 2);
  EXPECT_THAT(kind.err, HasSubstr("'tent' is not a kind; there are boundary"));
  const auto ending = batch("export " + demo() + " --output " + file("m.txt"));
  EXPECT_EQ(ending.code, 2);
  EXPECT_THAT(ending.err, HasSubstr(".geojson"));
  EXPECT_FALSE(std::filesystem::exists(file("m.txt")));
}

}  // namespace
}  // namespace leeward
