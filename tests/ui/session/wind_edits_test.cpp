#include "ui/session/wind_edits.h"

#include "tests/support/small_property.h"
#include "ui/session/edit_session.h"

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

TEST(StabilityStep, IsOneUndoableEdit) {
  EditSession session(make_ref<Document>(testing::small_property()));
  ASSERT_TRUE(session.apply(stabilityStep(*session.document(), 5)).has_value());
  EXPECT_EQ(session.document()->settings->stability, std::optional<int>(5));
  EXPECT_EQ(session.undoLabel(), QStringLiteral("Stability by hand"));
  ASSERT_TRUE(session.apply(stabilityStep(*session.document(), {})).has_value());
  EXPECT_EQ(session.document()->settings->stability, std::nullopt);
  session.undo();
  session.undo();
  EXPECT_EQ(session.document()->settings->stability, std::nullopt);
  EXPECT_FALSE(session.canUndo());
}

TEST(ScentLimitStep, StepsMergeAndStayInRange) {
  EditSession session(make_ref<Document>(testing::small_property()));
  const double before = session.document()->settings->scent_limit;
  for (const double limit : {0.1, 0.2, 7.0})
    ASSERT_TRUE(session.apply(scentLimitStep(*session.document(), limit)).has_value());
  EXPECT_DOUBLE_EQ(session.document()->settings->scent_limit, 1);
  session.undo();
  EXPECT_DOUBLE_EQ(session.document()->settings->scent_limit, before);
}

}  // namespace
}  // namespace leeward::ui
