#include "tests/ui/canvas/canvas_fixture.h"
#include "ui/tools/carve_tool.h"

namespace leeward::ui {
namespace {

using testing::at;
constexpr auto kFree = Qt::ControlModifier;

class Drawing : public Canvas {
 protected:
  void begin(Kind kind) {
    tool_ = std::make_unique<DrawTool>(session_, canvas_, kind);
    canvas_.setTool(tool_.get());
  }
  void carve(Carve what, const std::string& name) {
    session_.select(Uid::from_seed(name));
    tool_ = std::make_unique<CarveTool>(session_, canvas_, what, session_.selection());
    canvas_.setTool(tool_.get());
    QObject::connect(&session_, &EditSession::told, [this](const QString& w) { told_ = w; });
  }
  ~Drawing() override { canvas_.setTool(nullptr); }
  void hover(LocalXY p, Qt::KeyboardModifiers m = {}) {
    QMouseEvent move(QEvent::MouseMove, px(p), canvas_.mapToGlobal(px(p)), Qt::NoButton, {}, m);
    QCoreApplication::sendEvent(&canvas_, &move);
  }
  void press(const char* keys) { QTest::keyClicks(&canvas_, QLatin1String(keys)); }
  void enter() { QTest::keyClick(&canvas_, Qt::Key_Return); }
  const Path& last(Kind kind) { return session_.document()->of(kind).back()->shape.path(); }
  const Feature& named(const std::string& name) {
    return *session_.document()->find(Uid::from_seed(name));
  }
  QImage picture() { return canvas_.grab().toImage(); }

  std::unique_ptr<Tool> tool_;
  QString told_;
};

TEST_F(Drawing, ATrailSnapsToAnothersEdgeAndBothShareANode) {
  begin(Kind::human_path);
  click(at(60, 340), kFree);
  click(at(460, 543));  // beside the trail's first stretch
  enter();
  const LocalXY node = last(Kind::human_path).back();
  EXPECT_LT(distance_m(named("Bed to clover").shape, node), 1e-6);
  ASSERT_EQ(named("Bed to clover").shape.path().size(), 4U);
  EXPECT_EQ(named("Bed to clover").shape.path()[1], node);
  session_.undo();
  EXPECT_EQ(named("Bed to clover").shape.path().size(), 3U) << "one step";
}

TEST_F(Drawing, TheMapShowsWhatADrawnPointSnapsTo) {
  begin(Kind::deer_trail);
  hover(at(60, 700));
  const QImage away = picture();
  hover(at(329, 702));  // the end of the wall
  const QImage on = picture();
  const QPoint mark = px(at(330, 700));
  int changed = 0;
  for (int dx = -9; dx <= 9; ++dx)
    changed += away.pixel(mark + QPoint(dx, 0)) != on.pixel(mark + QPoint(dx, 0));
  EXPECT_GT(changed, 2);
}

TEST_F(Drawing, ShiftHoldsAnglesOfFifteenDegreesToTheLastEdge) {
  begin(Kind::deer_trail);
  click(at(60, 60), kFree);
  click(at(160, 64), kFree);
  click(at(163, 150), Qt::ShiftModifier);
  enter();
  const Path& p = last(Kind::deer_trail);
  ASSERT_EQ(p.size(), 3U);
  EXPECT_NEAR(turn_deg(bearing(p[0], p[1]), bearing(p[1], p[2])), -90, 1e-6);
}

TEST_F(Drawing, ATypedLengthAndBearingPlacesThePoint) {
  begin(Kind::deer_trail);
  click(at(60, 60), kFree);
  hover(at(100, 60), kFree);
  press("50");
  enter();  // 50 yards the way the pointer shows
  press("100/0");
  enter();  // true north
  enter();
  const Path& p = last(Kind::deer_trail);
  ASSERT_EQ(p.size(), 3U);
  EXPECT_NEAR(distance_m(p[0], p[1]), 50 * 0.9144, 1e-6);
  EXPECT_NEAR(bearing(p[0], p[1]).degrees(), 90, 2);
  EXPECT_NEAR(distance_m(p[1], p[2]), 100 * 0.9144, 1e-6);
  EXPECT_NEAR(wrap_180(bearing(p[1], p[2]).degrees() + session_.convergenceDeg()), 0, 1e-6);
}

TEST_F(Drawing, EscapeTakesTheTypedLengthBackFirst) {
  begin(Kind::deer_trail);
  click(at(60, 60), kFree);
  press("5");
  QTest::keyClick(&canvas_, Qt::Key_Escape);
  click(at(90, 60), kFree);
  enter();
  EXPECT_EQ(last(Kind::deer_trail).size(), 2U);
}

TEST(TypedEdge, IsALengthABearingOrBoth) {
  EXPECT_NEAR(*parseEdge(QStringLiteral("12.5"), UnitSystem::metric)->length_m, 12.5, 1e-12);
  EXPECT_NEAR(*parseEdge(QStringLiteral("10"), UnitSystem::us)->length_m, 9.144, 1e-12);
  const auto both = parseEdge(QStringLiteral("10/270"), UnitSystem::metric);
  EXPECT_EQ(both->true_deg, 270);
  EXPECT_FALSE(parseEdge(QStringLiteral("/45"), UnitSystem::us)->length_m);
  for (const char* bad : {"", "/", "1/2/3", "0", "10/400", ".."})
    EXPECT_FALSE(parseEdge(QLatin1String(bad), UnitSystem::us)) << bad;
}

TEST_F(Drawing, DraggingDrawsFreehandAndDropsWhatIsNotNeeded) {
  begin(Kind::deer_trail);
  QTest::mousePress(&canvas_, Qt::LeftButton, {}, px(at(60, 60)));
  for (int i = 1; i <= 60; ++i) QTest::mouseMove(&canvas_, px(at(60 + i * 2, 60)));
  for (int i = 1; i <= 60; ++i) QTest::mouseMove(&canvas_, px(at(180, 60 + i * 2)));
  QTest::mouseRelease(&canvas_, Qt::LeftButton, {}, px(at(180, 180)));
  enter();
  const Path& p = last(Kind::deer_trail);
  EXPECT_GE(p.size(), 3U);
  EXPECT_LE(p.size(), 5U) << "one bend";
  EXPECT_NEAR(path_length_m(p), 240, 8);
}

TEST_F(Drawing, ACrossedOutlineIsRepairedWithAWord) {
  QString told;
  QObject::connect(&session_, &EditSession::told, [&](const QString& w) { told = w; });
  begin(Kind::food);
  for (const LocalXY p : {at(60, 60), at(120, 120), at(120, 60), at(60, 120)}) click(p, kFree);
  enter();
  EXPECT_EQ(count(Kind::food), 3U);
  EXPECT_TRUE(told.contains(QStringLiteral("repaired"))) << told.toStdString();
  session_.undo();
  EXPECT_EQ(count(Kind::food), 1U);
}

TEST_F(Drawing, AStrokeSplitsATrail) {
  carve(Carve::split, "Bed to clover");
  drag(at(460, 500), at(460, 600), 20);
  ASSERT_EQ(count(Kind::deer_trail), 2U);
  EXPECT_EQ(session_.selectedUids().size(), 2U);
  EXPECT_EQ(session_.undoLabel(), QStringLiteral("Split Bed to clover"));
}

TEST_F(Drawing, AnAreaSplitsByClicksAndAMissIsSaid) {
  carve(Carve::split, "Clover");
  click(at(60, 560), kFree), click(at(90, 560), kFree), enter();
  EXPECT_EQ(count(Kind::food), 1U);
  EXPECT_TRUE(told_.contains(QStringLiteral("edge to edge"))) << told_.toStdString();
  click(at(120, 560), kFree), click(at(325, 575), kFree), enter();
  EXPECT_EQ(count(Kind::food), 2U);
}

TEST_F(Drawing, AHoleIsCutAndAnEdgeReshaped) {
  carve(Carve::hole, "Clover");
  for (const LocalXY p : {at(180, 530), at(220, 530), at(220, 570), at(180, 570)}) click(p, kFree);
  enter();
  EXPECT_NEAR(area_m2(named("Clover").shape), 150 * 120 - 40 * 40, 200);
  carve(Carve::reshape, "Clover");
  for (const LocalXY p : {at(170, 640), at(170, 600), at(280, 600), at(280, 640)}) click(p, kFree);
  enter();
  EXPECT_NEAR(area_m2(named("Clover").shape), 150 * 120 - 40 * 40 - 110 * 20, 300);
  EXPECT_EQ(named("Clover").shape.parts.size(), 2U) << "the hole stays";
}

}  // namespace
}  // namespace leeward::ui
