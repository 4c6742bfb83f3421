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
