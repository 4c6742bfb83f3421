// A plain picture is tied to the ground as a person does it: spots of it and of the map are clicked
// in turn, what the points miss is looked at, and the picture lies where they say.
#include "tests/support/small_property.h"
#include "ui/panels/photo_view.h"
#include "ui/panels/tie_dialog.h"
#include "ui/window/main_window.h"

#include <QDropEvent>
#include <QImage>
#include <QLabel>
#include <QLineEdit>
#include <QMimeData>
#include <QPainter>
#include <QPushButton>
#include <QTableWidget>
#include <QTemporaryDir>
#include <QTest>
#include <QUrl>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

using testing::at;

class TieWindow : public ::testing::Test {
 protected:
  TieWindow() : window_({}) {
    window_.resize(1280, 800);
    window_.adopt(std::make_unique<EditSession>(make_ref<Document>(testing::small_property())));
    window_.setArrive(testing::kEvening);
    window_.show();
    static_cast<void>(QTest::qWaitForWindowActive(&window_));
    QImage picture(400, 200, QImage::Format_RGB32);
    picture.fill(Qt::blue);
    QPainter(&picture).fillRect(0, 0, 200, 200, Qt::red);
    EXPECT_TRUE(picture.save(folder_.filePath(QStringLiteral("photo.png"))));
  }
  TieDialog* dropped() {
    QMimeData data;
    data.setUrls({QUrl::fromLocalFile(folder_.filePath(QStringLiteral("photo.png")))});
    QDragEnterEvent enter({300, 300}, Qt::CopyAction, &data, Qt::LeftButton, {});
    QCoreApplication::sendEvent(&window_, &enter);
    QDropEvent event({300, 300}, Qt::CopyAction, &data, Qt::LeftButton, {});
    QCoreApplication::sendEvent(&window_, &event);
    TieDialog* found = nullptr;
    static_cast<void>(QTest::qWaitFor(
        [&] { return (found = window_.findChild<TieDialog*>()) && found->isVisible(); }, 20000));
    return found;
  }
  // The picture lies turned by nothing, two metres a pixel, its corner at (100, 500).
  static LocalXY ground(double x, double y) { return at(100 + 2 * x, 500 - 2 * y); }
  void clickPicture(TieDialog* d, double x, double y) {
    auto* view = d->findChild<PhotoView*>();
    const double scale = std::min(view->width() / 400.0, view->height() / 200.0);
    const QPointF corner((view->width() - 400 * scale) / 2, (view->height() - 200 * scale) / 2);
    QTest::mouseClick(view, Qt::LeftButton, {}, (corner + QPointF(x, y) * scale).toPoint());
  }
  void clickMap(LocalXY p) {
    QTest::mouseClick(window_.canvas(), Qt::LeftButton, {},
                      window_.canvas()->transform().toDevice(p).toPoint());
  }
  static QPushButton* button(TieDialog* d, const QString& words) {
    for (QPushButton* b : d->findChildren<QPushButton*>())
      if (b->text() == words) return b;
    return nullptr;
  }
  std::size_t rasters() { return window_.session()->document()->rasters->size(); }

  QTemporaryDir folder_;
  MainWindow window_;
};

TEST_F(TieWindow, ADroppedPhotoIsTiedByClicksInThePictureAndOnTheMap) {
  TieDialog* d = dropped();
  ASSERT_TRUE(d);
  QPushButton* place = button(d, QStringLiteral("Place the picture"));
  ASSERT_TRUE(place);
  for (const auto& [x, y] : {std::pair{20.0, 20.0}, {380.0, 20.0}, {20.0, 180.0}, {380.0, 180.0}}) {
    clickPicture(d, x, y);
    EXPECT_FALSE(place->isEnabled() && d->points().size() < 3);
    clickMap(ground(x, y));
  }
  ASSERT_EQ(d->points().size(), 4U);
  EXPECT_TRUE(place->isEnabled());
  auto* table = d->findChild<QTableWidget*>();
  EXPECT_TRUE(table->item(3, 2)->text().endsWith(QStringLiteral("ft")));
  ASSERT_EQ(d->outline().size() % 4, 0U);
  EXPECT_LT(distance_m(d->outline().front(), ground(0, 0)), 12);  // clicks are whole pixels
  // A mark can be dragged on the map; a wrong one shows.
  d->moveMark(4, ground(380, 180) + LocalXY{80, 0});
  const QString off = table->item(3, 2)->text();
  EXPECT_GT(off.left(off.indexOf(QLatin1Char(' '))).toDouble(), 40);
  d->moveMark(4, ground(380, 180));
  const std::size_t before = rasters();
  QTest::mouseClick(place, Qt::LeftButton);
  ASSERT_TRUE(QTest::qWaitFor([&] { return rasters() > before; }, 20000));
  const RasterLayer layer = *window_.session()->document()->rasters->back();
  EXPECT_EQ(layer.role, RasterRole::aerial);
  const auto colour = [&](LocalXY p) {
    const auto seen =
        io::render_layer(layer, folder_.filePath(QStringLiteral("x.gpkg")).toStdString(),
                         "EPSG:32615", {p.x - 1, p.y - 1, p.x + 1, p.y + 1}, 3, 3);
    return seen ? seen->argb[4] : 1U;
  };
  EXPECT_EQ(colour(ground(100, 100)), QColor(Qt::red).rgba());
  EXPECT_EQ(colour(ground(300, 100)), QColor(Qt::blue).rgba());
  EXPECT_EQ(colour(ground(300, 230)) >> 24U, 0U);
  window_.session()->undo();
  EXPECT_EQ(rasters(), before);
}

TEST_F(TieWindow, WorksByKeysAndTypedPlacesAndIsGivenUpByEsc) {
  TieDialog* d = dropped();
  ASSERT_TRUE(d);
  auto* view = d->findChild<PhotoView*>();
  view->setFocus();
  QTest::keyClick(view, Qt::Key_Right);
  QTest::keyClick(view, Qt::Key_Return);
  auto* typed = d->findChild<QLineEdit*>();
  typed->setFocus();
  QTest::keyClicks(typed, QStringLiteral("nowhere"));
  QTest::keyClick(typed, Qt::Key_Return);
  EXPECT_TRUE(d->points().empty());
  const LonLat ll = Frame::make("EPSG:32615")->to_wgs84(at(400, 400));
  typed->clear();
  QTest::keyClicks(typed, QStringLiteral("%1, %2").arg(ll.lat, 0, 'f', 6).arg(ll.lon, 0, 'f', 6));
  QTest::keyClick(typed, Qt::Key_Return);
  ASSERT_EQ(d->points().size(), 1U);
  EXPECT_LT(distance_m(d->points()[0].ground, at(400, 400)), 0.2);
  EXPECT_GT(d->points()[0].px_x, 200);
  QTest::mouseClick(button(d, QStringLiteral("Remove the point")), Qt::LeftButton);
  EXPECT_TRUE(d->points().empty());
  QTest::keyClick(window_.canvas(), Qt::Key_Escape);
  EXPECT_TRUE(QTest::qWaitFor([&] { return window_.findChild<TieDialog*>() == nullptr; }));
}

}  // namespace
}  // namespace leeward::ui
