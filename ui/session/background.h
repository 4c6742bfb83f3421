// Background: one piece of long work at a time, off the UI thread, that can be cancelled.
#pragma once

#include "core/eval/latest_wins.h"

#include <QObject>

#include <functional>

namespace leeward::ui {

/// THREADS: the UI thread only.
class Background : public QObject {
  Q_OBJECT

 public:
  /// What to do with the outcome, on the UI thread.
  using Finish = std::function<void()>;
  /// The work, on the background thread; it must not touch widgets.
  using Work = std::function<Finish(std::stop_token)>;

  Background();
  /// Replaces what runs or waits.
  void start(Work work);
  /// Asks the running work to stop; its outcome is thrown away.
  void cancel();
  bool busy() const { return asked_ != done_; }

 signals:
  void finished();

 private:
  struct Job {
    Work work;
    int number = 0;
  };
  int asked_ = 0;
  int done_ = 0;
  LatestWins<Job> worker_;
};

}  // namespace leeward::ui
