// Pictures of the map and of charts: on the clipboard by keys and menus, and as files.
#include "tests/support/small_property.h"
#include "ui/panels/chart_picture.h"
#include "ui/window/main_window.h"

#include <QAction>
#include <QApplication>
#include <QClipboard>
#include <QHeaderView>
#include <QTableWidget>
#include <QTemporaryDir>
#include <QTest>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

QImage clipboard() { return QApplication::clipboard()->image(); }

QAction* actionOf(QWidget& widget, const char* words) {
  for (QAction* a : widget.actions())
    if (a->text().contains(QLatin1String(words))) return a;
  return nullptr;
}

TEST(Pictures, OfTheMapByAKeyAndOfItsChartsByTheirMenus) {
  MainWindow window({});
  window.adopt(std::make_unique<EditSession>(make_ref<Document>(testing::small_property())));
  window.setArrive(testing::kEvening);
  window.show();
  static_cast<void>(QTest::qWaitForWindowActive(&window));
  ASSERT_TRUE(QTest::qWaitFor([&] { return window.settled(); }, 20000));
  QTest::keyClick(&window, Qt::Key_C, Qt::ControlModifier | Qt::ShiftModifier);
  EXPECT_EQ(clipboard().size(), window.canvas()->size());
  QAction* dial = actionOf(*window.canvas(), "Copy Wind dial");
  ASSERT_TRUE(dial);
  dial->trigger();
  EXPECT_LT(clipboard().width(), 300);
  EXPECT_GT(clipboard().width(), 80);
  QAction* ranges = nullptr;
  for (QAction* a : window.findChildren<QAction*>())
    if (a->text() == QStringLiteral("Copy Range card")) ranges = a;
  ASSERT_TRUE(ranges);
  EXPECT_FALSE(ranges->isEnabled()) << "no stand is selected";
  window.session()->select(Uid::from_seed("Edge ladder"));
  EXPECT_TRUE(ranges->isEnabled());
  ranges->trigger();
  EXPECT_NEAR(clipboard().width(), 130 / 25.4 * 200, 1);
  EXPECT_NEAR(clipboard().height(), 78 / 25.4 * 200, 1);
}

TEST(Pictures, OfATableHoldAllOfItsRows) {
  QTableWidget table(60, 3);
  table.setItem(59, 2, new QTableWidgetItem(QStringLiteral("last")));
  table.resize(200, 120);
  table.show();
  const QImage whole = wholeTable(table);
  EXPECT_GE(whole.height(), table.verticalHeader()->length());
  EXPECT_GE(whole.width(), table.horizontalHeader()->length());
  EXPECT_EQ(table.height(), 120);
  offerPicture(&table, {QStringLiteral("Plan"), [&] { return wholeTable(table); }});
  QApplication::clipboard()->clear();
  table.setFocus();
  actionOf(table, "Copy picture: Plan")->trigger();
  EXPECT_EQ(clipboard().size(), whole.size());
  EXPECT_EQ(table.contextMenuPolicy(), Qt::ActionsContextMenu);
}

TEST(Pictures, AreWrittenWholeWithNothingElseInTheFile) {
  const QTemporaryDir folder;
  QImage image(40, 30, QImage::Format_RGB32);
  image.fill(Qt::darkGreen);
  const QString to = folder.filePath(QStringLiteral("chart.png"));
  ASSERT_TRUE(writePicture(image, to.toStdString()));
  EXPECT_EQ(QImage(to).convertToFormat(QImage::Format_RGB32), image);
  QFile file(to);
  ASSERT_TRUE(file.open(QIODevice::ReadOnly));
  EXPECT_FALSE(file.readAll().contains("tEXt"));
  const Status failed = writePicture(image, "/no/such/folder/chart.png");
  ASSERT_FALSE(failed);
  EXPECT_NE(failed.error().message.find("chart.png"), std::string::npos);
}

}  // namespace
}  // namespace leeward::ui
