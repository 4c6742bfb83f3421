// ExplainPanel: the selected stand in words and numbers; without one, all stands side by side at
// the hour.
#pragma once

#include "core/eval/results.h"

#include <QWidget>

#include <array>

class QLabel;
class QPushButton;
class QTextBrowser;

namespace leeward::ui {

class ExplainPanel : public QWidget {
  Q_OBJECT

 public:
  explicit ExplainPanel(QWidget* parent = nullptr);
  void show(Ref<Document> document, Ref<Results> results, const Uid& selection);
  void setTrade(Trade trade);

 signals:
  void tradePicked(Trade trade);
  void standPicked(const Uid& stand);

 private:
  QString standHtml(const StandResult& stand) const;
  QString tableHtml() const;
  QString otherHtml(const Feature& feature) const;
  QString notesHtml() const;

  Ref<Document> document_;
  Ref<Results> results_;
  QLabel* trade_label_;
  QWidget* trade_row_;
  std::array<QPushButton*, kTradeCount> trades_{};
  QTextBrowser* words_;
  QString shown_;
};

}  // namespace leeward::ui
