// One sitting as a person has it: a property from files, every kind drawn, snapped, all undone and
// redone, a file brought in, the hunt map printed, the property opened again.
#include "core/io/new_property.h"
#include "tests/support/small_property.h"
#include "ui/panels/import_dialog.h"
#include "ui/print/hunt_map.h"
#include "ui/tools/draw_tool.h"
#include "ui/window/main_window.h"

#include <QDropEvent>
#include <QFile>
#include <QMimeData>
#include <QPushButton>
#include <QTemporaryDir>
#include <QTest>
#include <QUrl>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

using testing::at;

class WholeSitting : public ::testing::Test {
 protected:
  std::filesystem::path file(const char* name) {
    return folder_.filePath(QLatin1String(name)).toStdString();
  }
  Document fromFiles() {
    const GridSpec ground{testing::kWest, testing::kSouth + 800, 4, 200, 200};
    EXPECT_TRUE(
        io::write_geotiff(file("ground.tif"), testing::seeded_ground(ground, 5), "EPSG:32615"));
    io::Picture picture{200, 200, std::vector<std::uint32_t>(200 * 200, 0xFF6C7A4A)};
    EXPECT_TRUE(io::write_rgb_geotiff(file("aerial.tif"), picture, ground.box(), "EPSG:32615"));
    io::NewProperty request;
    request.name = "Whole";
    request.elevation = file("ground.tif");
    request.aerials = {file("aerial.tif")};
    auto made = io::make_property(request, file("whole.gpkg"));
    EXPECT_TRUE(made) << made.error().message;
    return made->document;
  }
  void click(LocalXY p, Qt::KeyboardModifiers m = {}) {
    QTest::mouseClick(window_->canvas(), Qt::LeftButton, m,
                      window_->canvas()->transform().toDevice(p).toPoint());
  }
  void drawEveryKind() {
    double x = 60;
    for (const KindInfo& k : all_kinds()) {
      QTest::keyClicks(window_.get(), QString(QLatin1Char(styleOf(k.kind).mark)));
      const double y = 300;
      click(at(x, y), Qt::ControlModifier);
      if (!(k.point && !k.area)) {
        const bool whole = k.kind == Kind::boundary;
        click(at(x + (whole ? 700 : 24), y + 4), Qt::ControlModifier);
        click(at(x + 20, y + (whole ? 450 : 60)), Qt::ControlModifier);
        QTest::keyClick(window_->canvas(), Qt::Key_Return);
      }
      QCoreApplication::processEvents();  // back to the select tool
      EXPECT_EQ(session().document()->of(k.kind).size(), 1U) << k.table;
      x += 40;
    }
  }
  void bringIn() {
    const LonLat ll = session().frame()->to_wgs84(at(400, 600));
    QFile gpx(folder_.filePath(QStringLiteral("in.gpx")));
    ASSERT_TRUE(gpx.open(QIODevice::WriteOnly));
    gpx.write(QStringLiteral("<gpx version=\"1.1\" creator=\"x\" "
                             "xmlns=\"http://www.topografix.com/GPX/1/1\"><wpt lat=\"%1\" "
                             "lon=\"%2\"><name>Pin</name></wpt></gpx>")
                  .arg(ll.lat, 0, 'f', 7)
                  .arg(ll.lon, 0, 'f', 7)
                  .toUtf8());
    gpx.close();
    QMimeData data;
    data.setUrls({QUrl::fromLocalFile(gpx.fileName())});
    QDragEnterEvent enter({300, 300}, Qt::CopyAction, &data, Qt::LeftButton, {});
    QCoreApplication::sendEvent(window_.get(), &enter);
    QDropEvent drop({300, 300}, Qt::CopyAction, &data, Qt::LeftButton, {});
    QCoreApplication::sendEvent(window_.get(), &drop);
    ASSERT_TRUE(QTest::qWaitFor(
        [&] {
          const auto* d = window_->findChild<ImportDialog*>();
          return d && d->isVisible();
        },
        20000));
    for (QPushButton* b : window_->findChild<ImportDialog*>()->findChildren<QPushButton*>())
      if (b->text() == QStringLiteral("Take them")) QTest::mouseClick(b, Qt::LeftButton);
    EXPECT_EQ(session().document()->of(Kind::note).size(), 2U);
  }
  EditSession& session() { return *window_->session(); }

  QTemporaryDir folder_;
  std::unique_ptr<MainWindow> window_ = std::make_unique<MainWindow>(std::filesystem::path());
};

TEST_F(WholeSitting, IsSavedUndoneRedoneAndOpenedAgainAsItWas) {
  window_->adopt(*EditSession::create(file("whole.gpkg"), fromFiles()));
  window_->show();
  ASSERT_TRUE(QTest::qWaitForWindowActive(window_.get()));
  ASSERT_TRUE(QTest::qWaitFor([&] { return window_->settled(); }, 60000));
  window_->canvas()->fitTo({at(0, 0).x, at(0, 0).y, at(800, 800).x, at(800, 800).y});
  const Document empty = *session().document();
  drawEveryKind();
  const LocalXY end =
      session().document()->of(Kind::deer_trail)[0]->shape.path().back();  // and a second from
                                                                           // there
  QTest::keyClicks(window_.get(), QStringLiteral("T"));
  click(end + LocalXY{1, 1});
  click(at(400, 700), Qt::ControlModifier);
  QTest::keyClick(window_->canvas(), Qt::Key_Return);
  QCoreApplication::processEvents();
  EXPECT_EQ(session().document()->of(Kind::deer_trail)[1]->shape.path().front(), end) << "snapped";
  bringIn();
  window_->activateWindow();
  ASSERT_TRUE(QTest::qWaitForWindowActive(window_.get()));
  const Document full = *session().document();

  int steps = 0;
  for (; session().canUndo() && steps < 100; ++steps)
    QTest::keyClick(window_.get(), Qt::Key_Z, Qt::ControlModifier);
  EXPECT_EQ(steps, kKindCount + 2);
  EXPECT_TRUE(same_content(*session().document(), empty));
  for (int i = 0; session().canRedo() && i < 100; ++i)
    QTest::keyClick(window_.get(), Qt::Key_Z, Qt::ControlModifier | Qt::ShiftModifier);
  EXPECT_TRUE(same_content(*session().document(), full));

  ASSERT_TRUE(QTest::qWaitFor([&] { return window_->settled(); }, 120000));
  HuntMapRequest request;
  request.document = session().document();
  request.terrain = window_->evaluation()->terrain();
  request.results = window_->evaluation()->results();
  request.property_file = session().file();
  request.stands = {session().document()->of(Kind::stand)[0]->uid};
  const Status printed = writeHuntMapPdf(request, file("map.pdf"), {});
  ASSERT_TRUE(printed) << printed.error().message;
  EXPECT_GT(std::filesystem::file_size(file("map.pdf")), 20000U);

  ASSERT_TRUE(session().flush());
  window_.reset();
  auto again = EditSession::open(file("whole.gpkg"));
  ASSERT_TRUE(again) << again.error().message;
  EXPECT_FALSE((*again)->readOnly());
  EXPECT_TRUE(same_content(*(*again)->document(), full));
}

}  // namespace
}  // namespace leeward::ui
