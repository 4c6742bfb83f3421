// How work begins and what the user sets: keys, recent files, a property from nothing, a second
// window on one file.
#include "tests/support/small_property.h"
#include "ui/panels/keys_dialog.h"
#include "ui/panels/place_dialog.h"
#include "ui/session/preferences.h"
#include "ui/tools/draw_tool.h"
#include "ui/window/main_window.h"

#include <QApplication>
#include <QKeySequenceEdit>
#include <QLabel>
#include <QLineEdit>
#include <QMenu>
#include <QMenuBar>
#include <QMessageBox>
#include <QPushButton>
#include <QTemporaryDir>
#include <QTest>
#include <QTimer>
#include <QTreeWidget>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

class Start : public ::testing::Test {
 protected:
  ~Start() override {
    preferences::forgetKeys();
    preferences::clearRecentFiles();
  }
  static void show(MainWindow& window) {
    window.show();
    static_cast<void>(QTest::qWaitForWindowActive(&window));
  }
  static void adopt(MainWindow& window) {
    window.adopt(std::make_unique<EditSession>(make_ref<Document>(testing::small_property())));
  }
  static QAction* action(const MainWindow& window, const QString& name) {
    for (QAction* a : window.findChildren<QAction*>())
      if (a->objectName() == name) return a;
    return nullptr;
  }
  std::filesystem::path file(const char* name) {
    return folder_.filePath(QLatin1String(name)).toStdString();
  }
  QTemporaryDir folder_;
};

TEST_F(Start, AKeyIsChangedAndTakenFromItsHolderWithAWord) {
  MainWindow window({});
  adopt(window);
  show(window);
  QAction* zoom = action(window, QStringLiteral("What is selected"));
  QAction* stand = action(window, QStringLiteral("draw stand"));
  ASSERT_TRUE(zoom && stand);
  ASSERT_EQ(stand->shortcut(), QKeySequence(QStringLiteral("S")));
  KeysDialog dialog({zoom, stand}, &window);
  dialog.show();
  auto* edit = dialog.findChild<QKeySequenceEdit*>();
  edit->setKeySequence(QKeySequence(QStringLiteral("S")));
  bool said = false;
  for (const QLabel* label : dialog.findChildren<QLabel*>())
    said = said || (label->isVisible() && label->text().contains(QStringLiteral("has this key")));
  EXPECT_TRUE(said);
  const auto press = [&](const char* words) {
    for (QPushButton* b : dialog.findChildren<QPushButton*>())
      if (b->text() == QLatin1String(words)) QTest::mouseClick(b, Qt::LeftButton);
  };
  press("Set");
  EXPECT_EQ(zoom->shortcut(), QKeySequence(QStringLiteral("S")));
  EXPECT_TRUE(stand->shortcut().isEmpty());
  MainWindow next({});
  EXPECT_EQ(action(next, QStringLiteral("What is selected"))->shortcut(),
            QKeySequence(QStringLiteral("S")))
      << "it is kept";
  press("All their own");
  EXPECT_EQ(stand->shortcut(), QKeySequence(QStringLiteral("S")));
  EXPECT_EQ(zoom->shortcut(), QKeySequence(QStringLiteral("Ctrl+9")));
}

TEST_F(Start, NoTwoCommandsShareAKey) {
  MainWindow window({});
  std::map<QString, QString> seen;
  for (const QAction* a : window.findChildren<QAction*>()) {
    const QString key = a->shortcut().toString();
    if (key.isEmpty() || a->objectName().isEmpty()) continue;
    EXPECT_TRUE(seen.emplace(key, a->objectName()).second)
        << key.toStdString() << ": " << a->objectName().toStdString() << " and "
        << seen[key].toStdString();
  }
  EXPECT_GT(seen.size(), 40U);
}

TEST_F(Start, RecentFilesAreListedAndCleared) {
  const auto path = file("one.gpkg");
  { ASSERT_TRUE(EditSession::create(path, testing::small_property())); }
  {
    MainWindow before({});
    ASSERT_TRUE(before.openFile(path));
    ASSERT_EQ(preferences::recentFiles().size(), 1);
    ViewState view = before.canvas()->view();
    view.locked.set(static_cast<std::size_t>(Kind::road));
    view.brightness = 20;
    emit before.canvas()->viewChanged(view);
  }
  MainWindow window({});
  ASSERT_TRUE(window.openFile(path));
  EXPECT_TRUE(window.canvas()->view().locked[static_cast<std::size_t>(Kind::road)]);
  EXPECT_EQ(window.canvas()->view().brightness, 20) << "the view is kept with the file";
  QMenu* recent = nullptr;
  for (QMenu* m : window.findChildren<QMenu*>())
    if (m->title() == QStringLiteral("Open &recent")) recent = m;
  ASSERT_TRUE(recent);
  emit recent->aboutToShow();
  ASSERT_EQ(recent->actions().size(), 3);
  EXPECT_TRUE(recent->actions()[0]->text().startsWith(QStringLiteral("one")));
  recent->actions()[2]->trigger();
  EXPECT_TRUE(preferences::recentFiles().isEmpty());
  EXPECT_EQ(preferences::keptView(path, {}).brightness, 0);
}

TEST_F(Start, ASecondWindowOnOneFileIsReadOnlyAndSaysSo) {
  const auto path = file("shared.gpkg");
  { ASSERT_TRUE(EditSession::create(path, testing::small_property())); }
  MainWindow first({});
  ASSERT_TRUE(first.openFile(path));
  MainWindow second({});
  QString notice;
  QTimer::singleShot(0, [&] {
    for (QWidget* w : QApplication::topLevelWidgets()) {
      auto* box = qobject_cast<QMessageBox*>(w);
      if (!box || !box->isVisible()) continue;
      notice = box->text();
      box->close();
    }
  });
  ASSERT_TRUE(second.openFile(path));
  show(second);
  EXPECT_FALSE(notice.isEmpty());
  EXPECT_TRUE(second.session()->readOnly());
  EXPECT_TRUE(second.windowTitle().contains(QStringLiteral("read-only")));
  const auto before = second.session()->document();
  QTest::keyClick(&second, Qt::Key_S);
  QTest::mouseClick(second.canvas(), Qt::LeftButton, {},
                    second.canvas()->transform().toDevice(testing::at(100, 380)).toPoint());
  second.session()->select(Uid::from_seed("Clover"));
  QTest::keyClick(second.canvas(), Qt::Key_Delete);
  EXPECT_EQ(second.session()->document(), before);
  EXPECT_FALSE(first.session()->readOnly());
}

TEST(Place, IsReadAsPeopleWriteIt) {
  for (const char* words :
       {"43.99, -86.98", "43.99 -86.98", "43.99N, 86.98W", "43.99° N;86.98° w"}) {
    const auto at = parsePlace(QString::fromUtf8(words));
    ASSERT_TRUE(at) << words;
    EXPECT_EQ(at->lat, 43.99) << words;
    EXPECT_EQ(at->lon, -86.98) << words;
  }
  for (const char* bad : {"", "43.99", "here", "91, 10", "10, 200", "1,2,3"})
    EXPECT_FALSE(parsePlace(QLatin1String(bad))) << bad;
}

TEST_F(Start, APropertyFromNothingOpensAtItsPlaceAndCanBeDrawnAtOnce) {
  PlaceDialog dialog(nullptr);
  dialog.show();
  const QList<QLineEdit*> edits = dialog.findChildren<QLineEdit*>();
  const auto type = [&](const char* name, const QString& words) {
    for (QLineEdit* e : edits) {
      if (e->accessibleName() != QLatin1String(name)) continue;
      e->selectAll();
      QTest::keyClicks(e, words);
    }
  };
  const auto begin = [&] {
    for (QPushButton* b : dialog.findChildren<QPushButton*>())
      if (b->text() == QStringLiteral("Begin to draw")) QTest::mouseClick(b, Qt::LeftButton);
  };
  type("Save as", QString::fromStdString(file("bare").string()));
  begin();
  EXPECT_TRUE(dialog.isVisible()) << "without a place";
  type("A place on it", QStringLiteral("43.99, -86.98"));
  begin();
  ASSERT_FALSE(dialog.isVisible());
  EXPECT_EQ(dialog.file().extension(), ".gpkg");
  MainWindow window({});
  preferences::keepPlace(dialog.file(), dialog.place());
  window.adopt(*EditSession::create(dialog.file(), dialog.document()));
  show(window);
  const LonLat middle = window.session()->frame()->to_wgs84(window.canvas()->transform().centre());
  EXPECT_NEAR(middle.lat, 43.99, 1e-6);
  EXPECT_NEAR(middle.lon, -86.98, 1e-6);
  QTest::keyClick(&window, Qt::Key_S);
  QTest::mouseClick(window.canvas(), Qt::LeftButton, {}, QPoint(200, 200));
  EXPECT_EQ(window.session()->document()->of(Kind::stand).size(), 1U);
}

TEST_F(Start, UnitsSwitchAtOnce) {
  MainWindow window({});
  adopt(window);
  show(window);
  const auto said = [&](const char* unit) {
    window.session()->select(Uid::from_seed("Clover"));
    for (const QLabel* label : window.findChildren<QLabel*>())
      if (label->text().endsWith(QLatin1String(unit))) return true;
    return false;
  };
  EXPECT_TRUE(said(" ac"));
  QTest::keyClick(&window, Qt::Key_U, Qt::ControlModifier);
  EXPECT_FALSE(said(" ac"));
  EXPECT_TRUE(said(" ha"));
}

}  // namespace
}  // namespace leeward::ui
