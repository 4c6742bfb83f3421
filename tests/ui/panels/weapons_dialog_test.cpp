#include "ui/panels/weapons_dialog.h"

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

TEST(Rings, AreReadInDisplayUnits) {
  const auto rings = parseRings(QStringLiteral("10, 20,30"), 1 / kMetresPerYard);
  ASSERT_TRUE(rings.has_value());
  ASSERT_EQ(rings->size(), 3U);
  EXPECT_NEAR((*rings)[2], 27.432, 1e-9);
  EXPECT_TRUE(parseRings(QString(), 1)->empty());
}

TEST(Rings, AWrongWordIsNamed) {
  const auto rings = parseRings(QStringLiteral("10, twenty"), 1);
  ASSERT_FALSE(rings.has_value());
  EXPECT_NE(rings.error().message.find("twenty"), std::string::npos);
}

}  // namespace
}  // namespace leeward::ui
