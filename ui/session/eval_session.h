// EvalSession: keeps the results in step with the document, the terrain and the hour. One worker
// owns the engine; the newest question wins; answers come back on the UI thread.
//
//   change -> quick question -> answer -> [wind pending, nothing newer, no drag] -> the same
//   question with the land's effect on the wind solved -> answer. Any change interrupts the second
//   question.
#pragma once

#include "core/eval/engine.h"
#include "core/eval/latest_wins.h"

#include <QElapsedTimer>
#include <QObject>
#include <QString>

#include <cstdint>

namespace leeward::ui {

/// THREADS: the UI thread only.
class EvalSession : public QObject {
  Q_OBJECT

 public:
  /// A question that waits longer than this is no longer superseded but answered.
  static constexpr qint64 kLongestWaitMs = 250;

  explicit EvalSession(Ref<Document> document);

  void setDocument(Ref<Document> document);
  void setTerrain(Ref<Terrain> terrain);
  void setArrive(Instant arrive);
  void setTrade(Trade trade);
  /// While a drag lasts every answer is finished and shown, and no wind is solved.
  void setDragging(bool dragging);

  Instant arrive() const { return arrive_; }
  Trade trade() const { return trade_; }
  Ref<Terrain> terrain() const { return terrain_; }
  /// The newest answer; nullptr before the first.
  Ref<Results> results() const { return results_; }
  /// True while a question is open, be it for the quick answer or for the better one.
  bool busy() const { return ask_pending_ || answered_ != asked_; }
  /// True while the newest question is the one that solves the wind.
  bool solving() const { return solve_asked_ && answered_ != asked_; }
  /// Milliseconds from question to answer of the newest answer.
  double lastMs() const { return last_ms_; }

 signals:
  void resultsChanged();
  void busyChanged();
  void hourChanged();
  void progressed(double share, const QString& what);

 private:
  struct Job {
    Snapshot snapshot;
    std::uint64_t number = 0;
  };
  void ask();
  void submit();
  void finishIfInterim();
  Job question(bool in_full);
  void run(const Job& job, const std::stop_token& stop);
  void answer(std::uint64_t number, Ref<Results> results);

  Ref<Document> document_;
  Ref<Terrain> terrain_ = make_ref<Terrain>();
  Instant arrive_{};
  Trade trade_ = Trade::balanced;
  bool dragging_ = false;
  bool ask_pending_ = false;
  bool solve_asked_ = false;  ///< The newest question solves the wind.
  std::uint64_t asked_ = 0;
  std::uint64_t answered_ = 0;
  QElapsedTimer waiting_since_;
  double last_ms_ = 0;
  Ref<Results> results_;
  Engine engine_;  ///< Touched by the worker only.
  LatestWins<Job> worker_;
};

}  // namespace leeward::ui
