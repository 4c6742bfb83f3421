// Bringing files in as a person does: dropped on the window, looked over, taken.
#include "core/io/map_export.h"
#include "core/io/property_store.h"
#include "tests/support/small_property.h"
#include "ui/panels/import_dialog.h"
#include "ui/window/main_window.h"

#include <QComboBox>
#include <QDir>
#include <QDropEvent>
#include <QFile>
#include <QMimeData>
#include <QProcess>
#include <QPushButton>
#include <QStatusBar>
#include <QTableWidget>
#include <QTemporaryDir>
#include <QTest>
#include <QUrl>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

class ImportWindow : public ::testing::Test {
 protected:
  ImportWindow() : window_({}) {
    window_.adopt(std::make_unique<EditSession>(make_ref<Document>(testing::small_property())));
    window_.setArrive(testing::kEvening);
    window_.show();
    static_cast<void>(QTest::qWaitForWindowActive(&window_));
  }
  QString write(const QString& name, const QByteArray& bytes) {
    QFile file(folder_.filePath(name));
    EXPECT_TRUE(file.open(QIODevice::WriteOnly));
    file.write(bytes);
    return file.fileName();
  }
  void drop(const QStringList& files) {
    QMimeData data;
    QList<QUrl> urls;
    for (const QString& f : files) urls << QUrl::fromLocalFile(f);
    data.setUrls(urls);
    QDragEnterEvent enter({200, 200}, Qt::CopyAction, &data, Qt::LeftButton, {});
    QCoreApplication::sendEvent(&window_, &enter);
    EXPECT_TRUE(enter.isAccepted());
    QDropEvent event({200, 200}, Qt::CopyAction, &data, Qt::LeftButton, {});
    QCoreApplication::sendEvent(&window_, &event);
  }
  ImportDialog* dialog() {
    ImportDialog* found = nullptr;
    static_cast<void>(QTest::qWaitFor(
        [&] { return (found = window_.findChild<ImportDialog*>()) && found->isVisible(); }, 20000));
    return found;
  }
  void accept(ImportDialog* d) {
    for (QPushButton* b : d->findChildren<QPushButton*>())
      if (b->text() == QStringLiteral("Take them")) QTest::mouseClick(b, Qt::LeftButton);
  }
  static QComboBox* named(ImportDialog* d, const QString& name) {
    for (QComboBox* box : d->findChildren<QComboBox*>())
      if (box->accessibleName() == name) return box;
    return nullptr;
  }
  /// Degrees of a place 100 m into the property.
  static QByteArray lonLat(double x, double y) {
    const LonLat ll = Frame::make("EPSG:32615")->to_wgs84(testing::at(x, y));
    return QByteArray::number(ll.lon, 'f', 7) + ',' + QByteArray::number(ll.lat, 'f', 7);
  }
  std::size_t count(Kind kind) { return window_.session()->document()->of(kind).size(); }

  QTemporaryDir folder_;
  MainWindow window_;
};

TEST_F(ImportWindow, ADroppedTableIsMappedByItsColumnAndTakenInOneStep) {
  drop({write(QStringLiteral("spots.csv"), "name,type,lon,lat\nOak,stand," + lonLat(100, 300) +
                                               "\nPost,gate," + lonLat(120, 300) + "\nElm,stand," +
                                               lonLat(140, 300) + "\n")});
  ImportDialog* d = dialog();
  ASSERT_TRUE(d);
  QComboBox* by = named(d, QStringLiteral("Told apart by"));
  by->setFocus();
  const int column = by->findText(QStringLiteral("Column type"));
  ASSERT_GT(column, 0);
  for (int i = 0; i < column; ++i) QTest::keyClick(by, Qt::Key_Down);
  ASSERT_EQ(by->currentIndex(), column);
  auto* table = d->findChild<QTableWidget*>();
  ASSERT_EQ(table->rowCount(), 2);
  EXPECT_EQ(table->item(0, 1)->text(), QStringLiteral("2 points"));
  EXPECT_EQ(qobject_cast<QComboBox*>(table->cellWidget(1, 2))->currentText(),
            QStringLiteral("Gate"));
  accept(d);
  EXPECT_EQ(count(Kind::stand), 4U);
  EXPECT_EQ(count(Kind::gate), 2U);
  EXPECT_EQ(window_.session()->undoLabel(), QStringLiteral("Import spots.csv"));
  EXPECT_TRUE(window_.statusBar()->currentMessage().startsWith(QStringLiteral("3 taken")));
  window_.session()->undo();
  EXPECT_EQ(count(Kind::stand), 2U);
  EXPECT_FALSE(window_.session()->canUndo());
}

TEST_F(ImportWindow, ATableWithUnknownColumnsAsksForThem) {
  drop({write(QStringLiteral("odd.csv"), "what,a,b\nOak," + lonLat(100, 300) + "\n")});
  ImportDialog* d = dialog();
  ASSERT_TRUE(d);
  QComboBox* x = named(d, QStringLiteral("East, or longitude"));
  QComboBox* y = named(d, QStringLiteral("North, or latitude"));
  ASSERT_TRUE(x && y && x->isVisible());
  QTest::keyClicks(x, QStringLiteral("a"));
  emit x->activated(x->currentIndex());
  QTest::keyClicks(y, QStringLiteral("b"));
  emit y->activated(y->currentIndex());
  auto* table = d->findChild<QTableWidget*>();
  ASSERT_EQ(table->rowCount(), 1);
  auto* kind = qobject_cast<QComboBox*>(table->cellWidget(0, 2));
  kind->setCurrentIndex(kind->findText(QStringLiteral("Camera")));
  emit kind->activated(kind->currentIndex());
  accept(d);
  ASSERT_EQ(count(Kind::camera), 1U);
  EXPECT_LT(distance_m(window_.session()->document()->of(Kind::camera)[0]->shape.position(),
                       testing::at(100, 300)),
            0.05);
}

// A stand written in each format that can be taken out, dropped on the window and taken in again.
TEST_F(ImportWindow, EveryFormatComesInAndOneStepTakesItOut) {
  Feature oak = make_feature(Kind::stand, Shape::point(testing::at(300, 500)));
  oak.name = "Oak";
  const io::ExportMap map{"Out", {make_ref<Feature>(oak)}, {}, {}, {}};
  const auto frame = Frame::make("EPSG:32615");
  ASSERT_TRUE(frame);
  const auto at = [&](const char* name) {
    return std::filesystem::path(folder_.filePath(QLatin1String(name)).toStdString());
  };
  ASSERT_TRUE(io::write_map_gpx(at("out.gpx"), *frame, map));
  ASSERT_TRUE(io::write_kml(at("out.kml"), *frame, map, std::nullopt));
  ASSERT_TRUE(io::write_kml(at("out.kmz"), *frame, map, std::nullopt));
  ASSERT_TRUE(io::write_geojson(at("out.geojson"), *frame, map));
  ASSERT_TRUE(io::write_shapefiles(at("shapes.zip"), "EPSG:32615", map));
  ASSERT_EQ(
      QProcess::execute(QStringLiteral("unzip"),
                        {QStringLiteral("-qjo"), folder_.filePath(QStringLiteral("shapes.zip")),
                         QStringLiteral("-d"), folder_.path()}),
      0);
  Document only;
  only.settings = window_.session()->document()->settings;
  only.features[static_cast<std::size_t>(Kind::stand)] =
      make_ref<Rows<Feature>>(Rows<Feature>{make_ref<Feature>(oak)});
  ASSERT_TRUE(io::write_copy(only, {}, at("out.gpkg")));
  const std::size_t before = count(Kind::stand);
  for (const char* name :
       {"out.gpx", "out.kml", "out.kmz", "out.geojson", "stand_point.shp", "out.gpkg"}) {
    ASSERT_TRUE(std::filesystem::exists(at(name))) << name;
    drop({folder_.filePath(QLatin1String(name))});
    ImportDialog* d = dialog();
    ASSERT_TRUE(d) << name;
    auto* table = d->findChild<QTableWidget*>();
    ASSERT_EQ(table->rowCount(), 1) << name;
    auto* kind = qobject_cast<QComboBox*>(table->cellWidget(0, 2));
    kind->setCurrentText(QStringLiteral("Stand"));
    emit kind->activated(kind->currentIndex());
    accept(d);
    ASSERT_TRUE(QTest::qWaitFor([&] { return !window_.findChild<ImportDialog*>(); })) << name;
    ASSERT_EQ(count(Kind::stand), before + 1) << name;
    const Feature& came = *window_.session()->document()->of(Kind::stand).back();
    EXPECT_LT(distance_m(came.shape.position(), oak.shape.position()), 0.05) << name;
    EXPECT_EQ(came.name, "Oak") << name;
    window_.session()->undo();
    EXPECT_EQ(count(Kind::stand), before) << name;
  }
}

TEST_F(ImportWindow, FilesDroppedTogetherComeOneAfterTheOther) {
  const QByteArray parcel =
      R"({"type":"FeatureCollection","name":"parcels","features":[{"type":"Feature","properties":{"owner":"x"},"geometry":{"type":"Polygon","coordinates":[[[)" +
      lonLat(0, 0) + "],[" + lonLat(300, 0) + "],[" + lonLat(300, 300) + "],[" + lonLat(0, 0) +
      "]]]}}]}";
  drop({write(QStringLiteral("parcels.geojson"), parcel),
        write(QStringLiteral("notes.txt"), "nothing"),
        write(QStringLiteral("spots.csv"), "name,lon,lat\nPin," + lonLat(90, 90) + "\n")});
  ImportDialog* d = dialog();
  ASSERT_TRUE(d);
  EXPECT_TRUE(d->windowTitle().contains(QStringLiteral("parcels")));
  accept(d);
  EXPECT_EQ(count(Kind::boundary), 2U) << "a parcel is taken for a boundary";
  EXPECT_TRUE(QTest::qWaitFor(
      [&] {
        d = dialog();
        return d && d->windowTitle().contains(QStringLiteral("spots"));
      },
      20000));
  QTest::keyClick(d, Qt::Key_Escape);
  EXPECT_EQ(count(Kind::note), 0U);
}

}  // namespace
}  // namespace leeward::ui
