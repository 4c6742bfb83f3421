#include "tests/ui/canvas/canvas_fixture.h"

namespace leeward::ui {
namespace {

using testing::at;

class Selecting : public Canvas {
 protected:
  Uid uid(const char* name) const { return Uid::from_seed(name); }
  LocalXY place(const char* name) const {
    return session_.document()->find(uid(name))->shape.parts[0][0];
  }
  void shiftDrag(LocalXY from, LocalXY to) {
    QTest::mousePress(&canvas_, Qt::LeftButton, Qt::ShiftModifier, px(from));
    QTest::mouseMove(&canvas_, px(from + (to - from) * 0.5));
    QTest::mouseMove(&canvas_, px(to));
    QTest::mouseRelease(&canvas_, Qt::LeftButton, Qt::ShiftModifier, px(to));
  }
};

TEST_F(Selecting, ShiftClickAddsAndTakesOut) {
  click(at(420, 600));
  click(at(10, 10), Qt::ShiftModifier);
  EXPECT_EQ(session_.selectedUids(), (std::vector{uid("Wall stand"), uid("South gate")}));
  click(at(420, 600), Qt::ShiftModifier);
  EXPECT_EQ(session_.selectedUids(), (std::vector{uid("South gate")}));
}

TEST_F(Selecting, ABoxTakesWhatLiesWhollyInIt) {
  shiftDrag(at(340, 380), at(440, 620));
  std::set<Uid> got(session_.selectedUids().begin(), session_.selectedUids().end());
  EXPECT_EQ(got, (std::set{uid("Edge ladder"), uid("Wall stand"), uid("Scrape one")}));
}

TEST_F(Selecting, ManyMoveTogetherAndAreDeletedTogether) {
  session_.selectAll({uid("Edge ladder"), uid("Clover"), uid("Wall stand")});
  drag(at(420, 600), at(450, 630));
  EXPECT_LT(distance_m(place("Edge ladder"), at(390, 430)), 3 * metresPerPx());
  EXPECT_LT(distance_m(place("Clover"), at(180, 530)), 3 * metresPerPx());
  EXPECT_EQ(session_.undoLabel(), QStringLiteral("Move 3 features"));
  QTest::keyClick(&canvas_, Qt::Key_Delete);
  EXPECT_EQ(count(Kind::stand), 0U);
  EXPECT_EQ(count(Kind::food), 0U);
  session_.undo(), session_.undo();
  EXPECT_EQ(place("Clover"), at(150, 500));
  EXPECT_FALSE(session_.canUndo());
}

TEST_F(Selecting, AFurtherClickTakesWhatLiesBelow) {
  click(at(600, 560));
  EXPECT_EQ(session_.selected()->name, "East bed");
  click(at(600, 560));
  EXPECT_EQ(session_.selected()->name, "Big woods");
  click(at(600, 560));
  EXPECT_EQ(session_.selected()->name, "East bed") << "and round again";
}

TEST_F(Selecting, JoinedTrailsStayJoinedAndCtrlParts) {
  Feature spur = testing::seeded(Kind::human_path,
                                 Shape::line({at(400, 520), at(420, 440), at(460, 420)}), "Spur");
  ASSERT_TRUE(session_.apply({"Add", {put(spur)}, {}}));
  session_.select(uid("Bed to clover"));
  drag(at(400, 520), at(380, 480));
  const auto end = [&] { return session_.document()->find(uid("Spur"))->shape.path()[0]; };
  const auto bend = [&] {
    return session_.document()->find(uid("Bed to clover"))->shape.path()[1];
  };
  EXPECT_LT(distance_m(bend(), at(380, 480)), 2 * metresPerPx());
  EXPECT_EQ(end(), bend());
  session_.undo();
  EXPECT_EQ(end(), at(400, 520));
  EXPECT_EQ(bend(), at(400, 520)) << "one step";
  QTest::mousePress(&canvas_, Qt::LeftButton, Qt::ControlModifier, px(at(400, 520)));
  QMouseEvent move(QEvent::MouseMove, px(at(380, 480)), canvas_.mapToGlobal(px(at(380, 480))),
                   Qt::NoButton, Qt::LeftButton, Qt::ControlModifier);
  QCoreApplication::sendEvent(&canvas_, &move);
  QTest::mouseRelease(&canvas_, Qt::LeftButton, Qt::ControlModifier, px(at(380, 480)));
  EXPECT_NE(bend(), at(400, 520));
  EXPECT_EQ(end(), at(400, 520));
}

TEST_F(Selecting, ABarriersGapIsDraggedAlongIt) {
  session_.select(uid("Wall"));
  drag(at(330, 550), at(336, 640));
  const auto& gaps = session_.selected()->as<BarrierAttrs>().gaps;
  ASSERT_EQ(gaps.size(), 1U);
  EXPECT_NEAR(gaps[0].at_m, 190, 2 * metresPerPx());
  EXPECT_EQ(gaps[0].width_m, 6);
  drag(at(330, 640), at(330, 760));
  EXPECT_DOUBLE_EQ(session_.selected()->as<BarrierAttrs>().gaps[0].at_m, 247) << "not off its end";
}

TEST_F(Selecting, LockedKindsAreNeitherPickedNorChanged) {
  ViewState view = canvas_.view();
  view.locked.set(static_cast<std::size_t>(Kind::stand));
  canvas_.setView(view);
  session_.setLocked(view.locked);
  click(at(420, 600));
  EXPECT_NE(session_.selection(), uid("Wall stand"));
  session_.select(uid("Wall stand"));
  QString why;
  QObject::connect(&session_, &EditSession::refused, [&](const QString& w) { why = w; });
  QTest::keyClick(&canvas_, Qt::Key_Delete);
  EXPECT_EQ(count(Kind::stand), 2U);
  EXPECT_TRUE(why.contains(QStringLiteral("locked"))) << why.toStdString();
}

TEST_F(Selecting, CtrlAndArrowsNudge) {
  session_.select(uid("Wall stand"));
  QTest::keyClick(&canvas_, Qt::Key_Right, Qt::ControlModifier);
  QTest::keyClick(&canvas_, Qt::Key_Up, Qt::ControlModifier | Qt::ShiftModifier);
  const LocalXY now = place("Wall stand");
  EXPECT_NEAR(now.x, at(420, 600).x + metresPerPx(), 1e-6);
  EXPECT_NEAR(now.y, at(420, 600).y + 10 * metresPerPx(), 1e-6);
}

}  // namespace
}  // namespace leeward::ui
