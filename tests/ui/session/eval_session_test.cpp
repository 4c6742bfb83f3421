#include "ui/session/eval_session.h"

#include "tests/support/small_property.h"
#include "ui/session/edit_session.h"

#include <QTest>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

constexpr int kPatienceMs = 30000;

TEST(EvalSession, AnswersTheNewestQuestion) {
  const Ref<Document> first = make_ref<Document>(testing::small_property());
  EvalSession eval(first);
  eval.setTerrain(testing::small_terrain());
  eval.setArrive(testing::kEvening);
  Ref<Document> last = first;
  for (int i = 0; i < 5; ++i) {
    Feature moved = *last->of(Kind::stand).front();
    moved.shape = Shape::point(testing::at(300 + 10 * i, 400));
    last = make_ref<Document>(testing::edited(*last, {put(moved)}));
    eval.setDocument(last);
    QTest::qWait(3);
  }
  ASSERT_TRUE(QTest::qWaitFor([&] { return eval.results() && !eval.busy(); }, kPatienceMs));
  EXPECT_EQ(eval.results()->revision, last->revision);
  EXPECT_EQ(eval.results()->scene.arrive, testing::kEvening);
}

TEST(EvalSession, AStreamOfQuestionsDoesNotStarveTheAnswer) {
  Ref<Document> doc = make_ref<Document>(testing::small_property());
  EvalSession eval(doc);
  eval.setTerrain(testing::small_terrain());
  eval.setArrive(testing::kEvening);
  ASSERT_TRUE(QTest::qWaitFor([&] { return eval.results() && !eval.busy(); }, kPatienceMs));
  int answers = 0;
  QObject::connect(&eval, &EvalSession::resultsChanged, [&] { ++answers; });
  QElapsedTimer timer;
  timer.start();
  for (int i = 0; timer.elapsed() < 4000; ++i) {  // faster than any answer can be
    eval.setArrive(testing::kEvening + std::chrono::minutes{i % 200});
    QTest::qWait(1);
  }
  EXPECT_GE(answers, 2) << "answers come while the questions still change";
}

TEST(EvalSession, ShowsAQuickAnswerAndThenTheOneWithTheLandsWind) {
  EvalSession eval(make_ref<Document>(testing::small_property()));
  std::vector<bool> pending, interim, busy;
  QObject::connect(&eval, &EvalSession::resultsChanged, [&] {
    pending.push_back(eval.results()->wind_pending);
    interim.push_back(eval.results()->interim);
    busy.push_back(eval.busy());
  });
  int idle = 0;
  QObject::connect(&eval, &EvalSession::busyChanged, [&] { idle += !eval.busy(); });
  eval.setTerrain(testing::small_terrain());
  eval.setArrive(testing::kEvening);
  ASSERT_TRUE(QTest::qWaitFor([&] { return eval.results() && !eval.busy(); }, kPatienceMs));
  EXPECT_EQ(pending, (std::vector{true, false}));
  EXPECT_EQ(busy, (std::vector{true, false})) << "busy until the better answer";
  EXPECT_EQ(idle, 1);
  // The wind of this ground is solved now: another hour's quick answer has it, and the full one
  // adds the other trades.
  eval.setArrive(testing::kEvening + std::chrono::minutes{15});
  ASSERT_TRUE(QTest::qWaitFor([&] { return !eval.busy(); }, kPatienceMs));
  EXPECT_EQ(pending, (std::vector{true, false, false, false}));
  EXPECT_EQ(interim, (std::vector{true, false, true, false}));
}

TEST(EvalSession, ANewQuestionInterruptsTheSolvingAndIsAnsweredInItsPlace) {
  Ref<Document> doc = make_ref<Document>(testing::small_property());
  EvalSession eval(doc);
  eval.setTerrain(testing::small_terrain());
  eval.setArrive(testing::kEvening);
  ASSERT_TRUE(QTest::qWaitFor([&] { return eval.results() && eval.solving(); }, kPatienceMs));
  std::vector<std::uint64_t> revisions;
  QObject::connect(&eval, &EvalSession::resultsChanged,
                   [&] { revisions.push_back(eval.results()->revision); });
  Feature moved = *doc->of(Kind::stand).front();
  moved.shape = Shape::point(testing::at(310, 410));
  const Ref<Document> next = make_ref<Document>(testing::edited(*doc, {put(moved)}));
  ASSERT_NE(next->revision, doc->revision);
  eval.setDocument(next);
  ASSERT_TRUE(QTest::qWaitFor([&] { return !eval.busy(); }, kPatienceMs));
  ASSERT_FALSE(revisions.empty());
  for (const std::uint64_t r : revisions) EXPECT_EQ(r, next->revision);
  EXPECT_FALSE(eval.results()->wind_pending);
}

TEST(EvalSession, TheWindIsNotSolvedWhileADragLasts) {
  EvalSession eval(make_ref<Document>(testing::small_property()));
  eval.setDragging(true);
  eval.setTerrain(testing::small_terrain());
  eval.setArrive(testing::kEvening);
  ASSERT_TRUE(QTest::qWaitFor([&] { return eval.results() && !eval.busy(); }, kPatienceMs));
  EXPECT_TRUE(eval.results()->wind_pending);
  EXPECT_FALSE(QTest::qWaitFor([&] { return eval.busy(); }, 50));
  eval.setDragging(false);
  ASSERT_TRUE(QTest::qWaitFor([&] { return eval.solving(); }, kPatienceMs));
  ASSERT_TRUE(QTest::qWaitFor([&] { return !eval.busy(); }, kPatienceMs));
  EXPECT_FALSE(eval.results()->wind_pending);
}

TEST(EditSession, DropsAnEditThatChangesNothing) {
  EditSession session(make_ref<Document>(testing::small_property()));
  const Feature same = *session.document()->of(Kind::stand).front();
  ASSERT_TRUE(session.apply({"Nothing", {put(same)}, {}}).has_value());
  EXPECT_FALSE(session.canUndo());
}

TEST(EditSession, UndoOfADeletedSelectionBringsItBack) {
  EditSession session(make_ref<Document>(testing::small_property()));
  const Uid stand = session.document()->of(Kind::stand).front()->uid;
  session.select(stand);
  ASSERT_TRUE(session.apply({"Delete", {Remove{stand}}, {}}).has_value());
  EXPECT_TRUE(session.selection().empty());
  session.undo();
  EXPECT_TRUE(session.document()->find(stand));
}

TEST(EditSession, RefusesInWords) {
  EditSession session(make_ref<Document>(testing::small_property()));
  QString why;
  QObject::connect(&session, &EditSession::refused, [&](const QString& w) { why = w; });
  Feature crossed = *session.document()->of(Kind::food).front();
  std::swap(crossed.shape.parts[0][1], crossed.shape.parts[0][2]);
  EXPECT_FALSE(session.apply({"Cross", {put(crossed)}, {}}).has_value());
  EXPECT_TRUE(why.contains(QStringLiteral("Clover"))) << why.toStdString();
}

}  // namespace
}  // namespace leeward::ui
