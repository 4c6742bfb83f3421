#include "ui/panels/explain_panel.h"

#include "core/eval/explain.h"
#include "tests/support/small_property.h"

#include <QTest>
#include <QTextBrowser>

#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>

namespace leeward::ui {
namespace {

class Explain : public ::testing::Test {
 protected:
  Explain()
      : document_(make_ref<Document>(testing::small_property())),
        results_(testing::evaluate_cold(*document_, testing::small_terrain())),
        stand_(Uid::from_seed("Edge ladder")) {
    panel_.resize(360, 900);
    panel_.QWidget::show();
    panel_.show(document_, results_, stand_);
    browser_ = panel_.findChild<QTextBrowser*>();
    const auto all = explain_stand(*document_, *results_, *results_->find(stand_));
    const auto with =
        std::find_if(all.begin(), all.end(), [](const Sentence& s) { return !s.detail.empty(); });
    if (with != all.end()) detail_ = QString::fromStdString(with->detail);
  }
  bool shows(const QString& words) {  // spaces apart: lines break where they like
    return browser_->toPlainText().simplified().contains(words.simplified());
  }
  Ref<Document> document_;
  Ref<Results> results_;
  Uid stand_;
  ExplainPanel panel_;
  QTextBrowser* browser_ = nullptr;
  QString detail_;
};

TEST_F(Explain, NumbersAreOneKeyAwayAndGoAgain) {
  ASSERT_FALSE(detail_.isEmpty()) << "the sentences on the air have numbers";
  EXPECT_FALSE(shows(detail_));
  browser_->setFocus();
  QTest::keyClick(browser_, Qt::Key_Tab);  // to the first link
  QTest::keyClick(browser_, Qt::Key_Return);
  EXPECT_TRUE(shows(detail_)) << browser_->toPlainText().toStdString();
  QTest::keyClick(browser_, Qt::Key_Return);
  EXPECT_FALSE(shows(detail_));
}

TEST_F(Explain, OpenNumbersStayOpenWhenTheHourChanges) {
  ASSERT_FALSE(detail_.isEmpty());
  browser_->setFocus();
  QTest::keyClick(browser_, Qt::Key_Tab);
  QTest::keyClick(browser_, Qt::Key_Return);
  ASSERT_TRUE(shows(detail_));
  const Ref<Results> later = testing::evaluate_cold(*document_, testing::small_terrain(),
                                                    testing::kEvening + std::chrono::hours{1});
  panel_.show(document_, later, stand_);
  EXPECT_TRUE(shows(QStringLiteral("▾"))) << browser_->toPlainText().toStdString();
}

}  // namespace
}  // namespace leeward::ui
