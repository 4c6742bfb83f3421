// ExplainPanel: the selected stand in words and numbers; without one, all stands side by side at
// the hour. The numbers behind a sentence are one press away.
#pragma once

#include "core/eval/results.h"

#include <QWidget>

#include <array>
#include <set>

class QLabel;
class QPushButton;
class QTextBrowser;
class QUrl;

namespace leeward {
struct Sentence;
}

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

 protected:
  void changeEvent(QEvent* event) override;

 private:
  void follow(const QUrl& link);
  void render();
  /// A sentence, and behind a link its numbers. `key` stays the same from hour to hour.
  QString sentenceHtml(const Sentence& sentence, const QString& key) const;
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
  Uid selection_;
  QString shown_;
  std::set<QString> open_;  ///< Keys of the sentences whose numbers are shown.
};

}  // namespace leeward::ui
