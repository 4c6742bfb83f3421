#include "ui/session/eval_session.h"

#include <QTimer>

#include <utility>

namespace leeward::ui {

EvalSession::EvalSession(Ref<Document> document)
    : document_(std::move(document)),
      worker_([this](const Job& job, const std::stop_token& stop) { run(job, stop); }) {}

void EvalSession::setDocument(Ref<Document> document) {
  if (document == document_) return;
  document_ = std::move(document);
  ask();
}

void EvalSession::setTerrain(Ref<Terrain> terrain) {
  terrain_ = std::move(terrain);
  ask();
}

void EvalSession::setArrive(Instant arrive) {
  if (arrive == arrive_) return;
  arrive_ = arrive;
  emit hourChanged();
  ask();
}

void EvalSession::setTrade(Trade trade) {
  if (trade == trade_) return;
  trade_ = trade;
  emit hourChanged();
  ask();
}

void EvalSession::setDragging(bool dragging) {
  if (dragging == dragging_) return;
  dragging_ = dragging;
  // Later: the drag's last edit, if there is one, asks first.
  if (!dragging_) QTimer::singleShot(0, this, &EvalSession::finishIfInterim);
}

void EvalSession::ask() {
  if (ask_pending_) return;  // several changes of one event make one question
  if (!busy() || solving()) waiting_since_.start();
  ask_pending_ = true;
  QTimer::singleShot(0, this, &EvalSession::submit);
}

EvalSession::Job EvalSession::question(bool in_full) {
  solve_asked_ = in_full;
  Snapshot snapshot{document_, terrain_, scene_at(*document_, arrive_, trade_)};
  snapshot.in_full = in_full;
  return {std::move(snapshot), ++asked_};
}

void EvalSession::submit() {
  ask_pending_ = false;
  const bool was_busy = busy(), was_solving = solving();
  const bool starving = was_busy && waiting_since_.elapsed() > kLongestWaitMs;
  const bool finish = !was_solving && (dragging_ || starving);
  worker_.submit(question(false), finish ? WhenSuperseded::finish : WhenSuperseded::stop);
  if (!was_busy) emit busyChanged();
}

void EvalSession::finishIfInterim() {
  if (dragging_ || busy() || solve_asked_ || !results_ || !results_->interim) return;
  waiting_since_.start();
  worker_.submit(question(true), WhenSuperseded::stop);
  emit busyChanged();
}

void EvalSession::run(const Job& job, const std::stop_token& stop) {
  auto results = engine_.evaluate(job.snapshot, stop, [this](double share, const char* what) {
    QMetaObject::invokeMethod(
        this, [this, share, what] { emit progressed(share, QString::fromUtf8(what)); },
        Qt::QueuedConnection);
  });
  if (!results) return;  // superseded: the newer question will be answered
  QMetaObject::invokeMethod(
      this, [this, number = job.number, answer = *results] { this->answer(number, answer); },
      Qt::QueuedConnection);
}

void EvalSession::answer(std::uint64_t number, Ref<Results> results) {
  if (number <= answered_) return;
  answered_ = number;
  last_ms_ = static_cast<double>(waiting_since_.nsecsElapsed()) * 1e-6;
  waiting_since_.restart();
  results_ = std::move(results);
  finishIfInterim();
  emit resultsChanged();
  if (!busy()) emit busyChanged();
}

}  // namespace leeward::ui
