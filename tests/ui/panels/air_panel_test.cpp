#include "ui/panels/air_panel.h"

#include "tests/support/small_property.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QLabel>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

class Air : public ::testing::Test {
 protected:
  Air() : document_(testing::small_property()) {
    air_.known = true;
    air_.stability = Stability::e;
    panel_.resize(340, 300);
    panel_.QWidget::show();
  }
  void show(bool read_only = false) { panel_.show(document_, air_, 0, read_only); }
  QComboBox* stability() { return panel_.findChild<QComboBox*>(); }
  QDoubleSpinBox* limit() {
    for (QDoubleSpinBox* box : panel_.findChildren<QDoubleSpinBox*>())
      if (box->decimals() == 3) return box;
    return nullptr;
  }
  bool says(const char* words) {
    for (const QLabel* label : panel_.findChildren<QLabel*>())
      if (label->isVisibleTo(&panel_) && label->text().contains(QString::fromUtf8(words)))
        return true;
    return false;
  }
  Document document_;
  AirNow air_;
  AirPanel panel_;
};

TEST_F(Air, TheKeysClassIsNamedUntilOneIsPickedByHand) {
  show();
  EXPECT_EQ(stability()->currentIndex(), 0);
  EXPECT_TRUE(stability()->currentText().endsWith(QLatin1Char('E')));
  std::optional<int> picked = -1;
  QObject::connect(&panel_, &AirPanel::stabilityPicked,
                   [&](std::optional<int> class_) { picked = class_; });
  emit stability()->activated(6);
  EXPECT_EQ(picked, std::optional<int>(5));
  emit stability()->activated(0);
  EXPECT_EQ(picked, std::nullopt);
  Settings s = *document_.settings;
  s.stability = 1;
  document_ = testing::edited(document_, {put(s)});
  show();
  EXPECT_EQ(stability()->currentIndex(), 2);
  EXPECT_TRUE(stability()->currentText().startsWith(QLatin1Char('B')));
}

TEST_F(Air, TheScentLimitIsShownAndEntered) {
  show();
  ASSERT_TRUE(limit());
  EXPECT_DOUBLE_EQ(limit()->value(), document_.settings->scent_limit);
  double entered = 0;
  QObject::connect(&panel_, &AirPanel::scentLimitEntered, [&](double v) { entered = v; });
  show();
  EXPECT_EQ(entered, 0) << "showing is not entering";
  limit()->setValue(0.2);
  EXPECT_DOUBLE_EQ(entered, 0.2);
  EXPECT_DOUBLE_EQ(limit()->minimum(), 0.001);
  EXPECT_DOUBLE_EQ(limit()->maximum(), 1);
}

TEST_F(Air, DoubtsAndAPendingWindAreSaid) {
  show();
  EXPECT_FALSE(says("▲"));
  air_.doubts = {"The forecast gives no cloud; half is assumed."};
  show();
  EXPECT_TRUE(says("▲ The forecast gives no cloud"));
  EXPECT_FALSE(says("being worked out"));
  panel_.setWindPending(true);
  EXPECT_TRUE(says("being worked out"));
  panel_.setWindPending(false);
  EXPECT_FALSE(says("being worked out"));
}

TEST_F(Air, ReadOnlyTakesNothing) {
  show(true);
  EXPECT_FALSE(stability()->isEnabled());
  EXPECT_FALSE(limit()->isEnabled());
}

}  // namespace
}  // namespace leeward::ui
