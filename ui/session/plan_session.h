// PlanSession: makes the plan of the coming sits in the background, with progress and cancel.
#pragma once

#include "core/eval/plan.h"
#include "ui/session/background.h"

#include <QObject>

namespace leeward::ui {

/// THREADS: the UI thread only.
class PlanSession : public QObject {
  Q_OBJECT

 public:
  PlanSession();
  /// Replaces what is being made.
  void make(const Ref<Document>& document, const Ref<Terrain>& terrain, Instant first, Trade trade,
            int days);
  void cancel() { background_.cancel(); }
  bool busy() const { return background_.busy(); }
  /// The newest plan and the document that it is of; nullptr before the first.
  Ref<Plan> plan() const { return plan_; }
  Ref<Document> document() const { return document_; }

 signals:
  void progressed(double share);
  void made();
  void busyChanged();

 private:
  Ref<Plan> plan_;
  Ref<Document> document_;
  Engine engine_;          ///< Touched by the worker only; it keeps what it can from plan to plan.
  Background background_;  ///< Last: it joins before the engine goes.
};

}  // namespace leeward::ui
