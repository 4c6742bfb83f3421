#include "tests/ui/canvas/canvas_fixture.h"

namespace leeward::ui {
namespace {

using testing::at;

TEST_F(Canvas, ClickingDrawsAnAreaIntoTheDocument) {
  DrawTool tool(session_, canvas_, Kind::bedding);
  canvas_.setTool(&tool);
  int done = 0;
  QObject::connect(&tool, &DrawTool::done, [&] { ++done; });
  const Path ring{at(60, 640), at(120, 640), at(120, 720), at(60, 720)};
  for (const LocalXY p : ring) click(p);
  QTest::keyClick(&canvas_, Qt::Key_Return);
  ASSERT_EQ(count(Kind::bedding), 2U);
  const Feature& f = *session_.document()->of(Kind::bedding).back();
  EXPECT_EQ(f.shape.type, ShapeType::area);
  ASSERT_EQ(f.shape.path().size(), 4U);
  for (std::size_t i = 0; i < 4; ++i)
    EXPECT_LT(distance_m(f.shape.path()[i], ring[i]), metresPerPx());
  EXPECT_EQ(f.name, "Bedding 2");
  EXPECT_EQ(session_.selection(), f.uid);
  EXPECT_EQ(done, 1);
  canvas_.setTool(&select_);
}

TEST_F(Canvas, EveryKindCanBeDrawn) {
  for (const KindInfo& k : all_kinds()) {
    const std::size_t before = count(k.kind);
    DrawTool tool(session_, canvas_, k.kind);
    canvas_.setTool(&tool);
    // far from every corner, so that nothing snaps
    click(at(60, 340), Qt::ControlModifier);
    if (!(k.point && !k.area)) {
      click(at(120, 345), Qt::ControlModifier);
      click(at(100, 410), Qt::ControlModifier);
      QTest::keyClick(&canvas_, Qt::Key_Return);
    }
    EXPECT_EQ(count(k.kind), before + 1) << k.table;
    canvas_.setTool(&select_);
  }
}

TEST_F(Canvas, BackspaceTakesTheLastPointBackAndEscapeGivesUp) {
  DrawTool tool(session_, canvas_, Kind::deer_trail);
  canvas_.setTool(&tool);
  click(at(60, 340)), click(at(120, 345)), click(at(200, 100));
  QTest::keyClick(&canvas_, Qt::Key_Backspace);
  QTest::keyClick(&canvas_, Qt::Key_Return);
  ASSERT_EQ(count(Kind::deer_trail), 2U);
  EXPECT_EQ(session_.document()->of(Kind::deer_trail).back()->shape.path().size(), 2U);
  click(at(60, 100)), click(at(90, 120));
  QTest::keyClick(&canvas_, Qt::Key_Escape);
  EXPECT_EQ(count(Kind::deer_trail), 2U);
  canvas_.setTool(&select_);
}

TEST_F(Canvas, DrawingSnapsToACorner) {
  DrawTool tool(session_, canvas_, Kind::deer_trail);
  canvas_.setTool(&tool);
  click(at(60, 340));
  click(at(153, 502));
  QTest::keyClick(&canvas_, Qt::Key_Return);
  EXPECT_EQ(session_.document()->of(Kind::deer_trail).back()->shape.path().back(), at(150, 500));
  canvas_.setTool(&select_);
}

TEST_F(Canvas, DraggingAStandIsOneUndoStep) {
  const Uid stand = session_.document()->of(Kind::stand).front()->uid;
  drag(at(360, 400), at(420, 460));
  const LocalXY now = session_.document()->find(stand)->shape.position();
  EXPECT_LT(distance_m(now, at(420, 460)), 2 * metresPerPx());
  EXPECT_EQ(session_.selection(), stand);
  drag(at(420, 460), at(440, 460));
  session_.undo();
  EXPECT_LT(distance_m(session_.document()->find(stand)->shape.position(), now), 1e-9);
  session_.undo();
  EXPECT_EQ(session_.document()->find(stand)->shape.position(), at(360, 400));
  EXPECT_FALSE(session_.canUndo());
}

TEST_F(Canvas, AVertexMovesIsAddedAndRemoved) {
  click(at(220, 560));
  ASSERT_EQ(session_.selected()->name, "Clover");
  drag(at(150, 500), at(120, 470));
  EXPECT_LT(distance_m(session_.selected()->shape.path()[0], at(120, 470)), 2 * metresPerPx());
  QTest::mouseDClick(&canvas_, Qt::LeftButton, {}, px(at(300, 560)));
  ASSERT_EQ(session_.selected()->shape.path().size(), 5U);
  QTest::keyClick(&canvas_, Qt::Key_Delete);
  EXPECT_EQ(session_.selected()->shape.path().size(), 4U) << "Del removes the active corner first";
  click(at(150, 620), Qt::AltModifier);
  EXPECT_EQ(session_.selected()->shape.path().size(), 3U);
}

TEST_F(Canvas, DeleteRemovesTheSelectedFeature) {
  click(at(375, 410));
  ASSERT_EQ(session_.selected()->name, "Scrape one");
  QTest::keyClick(&canvas_, Qt::Key_Delete);
  EXPECT_EQ(count(Kind::mock_scrape), 0U);
  session_.undo();
  EXPECT_EQ(count(Kind::mock_scrape), 1U);
}

TEST_F(Canvas, TheSmallCircleTurnsAStand) {
  click(at(420, 600));
  const QPoint middle = px(at(420, 600));
  QTest::mousePress(&canvas_, Qt::LeftButton, {}, middle + QPoint(0, -38));
  QTest::mouseMove(&canvas_, middle + QPoint(20, -30));
  QTest::mouseMove(&canvas_, middle + QPoint(38, 0));
  QTest::mouseRelease(&canvas_, Qt::LeftButton, {}, middle + QPoint(38, 0));
  EXPECT_NEAR(session_.selected()->as<StandAttrs>().facing_deg, 90, 2);
}

TEST_F(Canvas, DraggingEmptyGroundPansWithoutAnEdit) {
  const QPointF before = canvas_.transform().toDevice(at(0, 0));
  const Ref<Document> doc = session_.document();
  const QPoint from = px(at(90, 740));
  QTest::mousePress(&canvas_, Qt::LeftButton, {}, from);
  QTest::mouseMove(&canvas_, from + QPoint(20, 10));
  QTest::mouseMove(&canvas_, from + QPoint(60, 30));
  QTest::mouseRelease(&canvas_, Qt::LeftButton, {}, from + QPoint(60, 30));
  const QPointF moved = canvas_.transform().toDevice(at(0, 0)) - before;
  EXPECT_NEAR(moved.x(), 60, 1e-6);
  EXPECT_NEAR(moved.y(), 30, 1e-6);
  EXPECT_EQ(session_.document(), doc);
}

TEST_F(Canvas, TheDialTurnsTheWind) {
  std::vector<std::pair<double, bool>> turns;
  QObject::connect(&canvas_, &MapCanvas::windTurned,
                   [&](double from, bool finished) { turns.emplace_back(from, finished); });
  const QPoint middle(canvas_.width() - 64, 64);
  QTest::mousePress(&canvas_, Qt::LeftButton, {}, middle + QPoint(0, -44));
  QTest::mouseMove(&canvas_, middle + QPoint(44, 2));
  QTest::mouseRelease(&canvas_, Qt::LeftButton, {}, middle + QPoint(0, 44));
  ASSERT_EQ(turns.size(), 3U);
  EXPECT_EQ(turns[0].first, 0);
  EXPECT_EQ(turns[1].first, 95);
  EXPECT_EQ(turns[2], std::pair(180.0, true));
}

TEST_F(Canvas, PanningDoesNotDrawTheMapAgain) {
  canvas_.setTerrain(testing::small_terrain());
  canvas_.grab();
  const QPoint from = px(at(90, 740));
  QTest::mousePress(&canvas_, Qt::MiddleButton, {}, from);
  QTest::mouseMove(&canvas_, from + QPoint(10, 0));  // draws the margins
  const QImage before = canvas_.grab().toImage();
  const int drawn = canvas_.redraws();
  QTest::mouseMove(&canvas_, from + QPoint(50, 0));
  const QImage after = canvas_.grab().toImage();
  QTest::mouseRelease(&canvas_, Qt::MiddleButton, {}, from + QPoint(50, 0));
  EXPECT_EQ(canvas_.redraws(), drawn);
  int different = 0;  // the same map, 40 pixels further
  for (int y = 300; y < 500; ++y)
    for (int x = 300; x < 500; ++x) different += before.pixel(x, y) != after.pixel(x + 40, y);
  EXPECT_EQ(different, 0);
}

}  // namespace
}  // namespace leeward::ui
