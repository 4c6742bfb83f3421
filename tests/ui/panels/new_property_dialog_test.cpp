// A property from files in four steps: what each step asks for, what it shows, what it refuses.
#include "ui/panels/new_property_dialog.h"

#include "tests/support/small_property.h"

#include <QComboBox>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QStackedWidget>
#include <QTemporaryDir>
#include <QTest>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

class NewPropertySteps : public ::testing::Test {
 protected:
  NewPropertySteps() : dialog_(nullptr) {
    const GridSpec ground{testing::kWest, testing::kSouth + 800, 4, 200, 200};
    EXPECT_TRUE(io::write_geotiff(path("ground.tif").toStdString(),
                                  testing::seeded_ground(ground, 5), "EPSG:32615"));
    const io::Picture picture{200, 200, std::vector<std::uint32_t>(200 * 200, 0xFF6C7A4A)};
    EXPECT_TRUE(io::write_rgb_geotiff(path("aerial.tif").toStdString(), picture, ground.box(),
                                      "EPSG:32615"));
    QImage plain(40, 40, QImage::Format_RGB32);
    plain.fill(Qt::red);
    EXPECT_TRUE(plain.save(path("plain.png")));
    dialog_.show();
    static_cast<void>(QTest::qWaitForWindowExposed(&dialog_));
  }
  QString path(const char* name) const { return folder_.filePath(QLatin1String(name)); }
  int step() { return dialog_.findChild<QStackedWidget*>()->currentIndex(); }
  void press(const QString& words) {
    for (QPushButton* b : dialog_.findChildren<QPushButton*>())
      if (b->text() == words && b->isVisible()) return QTest::mouseClick(b, Qt::LeftButton);
    FAIL() << words.toStdString();
  }
  QLineEdit* field(const QString& name) {
    for (QLineEdit* e : dialog_.findChildren<QLineEdit*>())
      if (e->accessibleName() == name) return e;
    return nullptr;
  }
  bool said(const QString& words) {
    for (const QLabel* l : dialog_.findChildren<QLabel*>())
      if (l->isVisible() && l->text().contains(words)) return true;
    return false;
  }
  void settle() {
    ASSERT_TRUE(QTest::qWaitFor([&] { return dialog_.looked(); }, 20000));
  }

  QTemporaryDir folder_;
  NewPropertyDialog dialog_;
};

TEST_F(NewPropertySteps, AskOneThingAtATimeAndShowTheFiles) {
  EXPECT_TRUE(said(QStringLiteral("Step 1 of 4")));
  press(QStringLiteral("Next"));
  EXPECT_EQ(step(), 0);
  EXPECT_TRUE(said(QStringLiteral("where the property file is to be saved")));
  QTest::keyClicks(field(QStringLiteral("Save as")), path("made"));
  QTest::keyClick(field(QStringLiteral("Save as")), Qt::Key_Return);  // Next is the default
  EXPECT_EQ(step(), 1);
  dialog_.addAerials({path("aerial.tif")});
  settle();
  EXPECT_TRUE(said(QStringLiteral("200 × 200 pixels of 13.1 ft, 0.50 by 0.50 miles")));
  press(QStringLiteral("Next"));
  EXPECT_EQ(step(), 2);
  dialog_.setElevation(path("ground.tif"));
  settle();
  press(QStringLiteral("Next"));
  EXPECT_EQ(step(), 3);
  EXPECT_TRUE(said(QStringLiteral("My property is made as made.gpkg")));
  EXPECT_FALSE(said(QStringLiteral("Careful")));
  press(QStringLiteral("Back"));
  EXPECT_EQ(step(), 2);
  press(QStringLiteral("Next"));
  press(QStringLiteral("Make property"));
  EXPECT_EQ(dialog_.result(), QDialog::Accepted);
  const auto made = io::make_property(dialog_.request(), dialog_.file());
  ASSERT_TRUE(made) << made.error().message;
  EXPECT_EQ(made->document.rasters->size(), 2U);
}

TEST_F(NewPropertySteps, SayWhyAFileCannotBeUsedAndThatSomethingMustHaveAPlace) {
  QTest::keyClicks(field(QStringLiteral("Save as")), path("made"));
  press(QStringLiteral("Next"));
  dialog_.addAerials({path("plain.png")});
  settle();
  press(QStringLiteral("Next"));
  EXPECT_EQ(step(), 1);
  EXPECT_TRUE(said(QStringLiteral("plain.png does not say where it lies")));
  auto* list = dialog_.findChild<QListWidget*>();
  list->setCurrentRow(0);
  press(QStringLiteral("Remove"));
  press(QStringLiteral("Next"));
  EXPECT_EQ(step(), 2);
  press(QStringLiteral("Next"));
  EXPECT_EQ(step(), 2);
  EXPECT_TRUE(said(QStringLiteral("so that the property has a place on earth")));
}

}  // namespace
}  // namespace leeward::ui
