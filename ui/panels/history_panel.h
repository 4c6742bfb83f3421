// HistoryPanel: the session's steps by name; a click or Enter goes there.
#pragma once

#include <QListWidget>

namespace leeward::ui {

class HistoryPanel : public QListWidget {
  Q_OBJECT

 public:
  explicit HistoryPanel(QWidget* parent = nullptr);
  /// `at`: the step the property stands at; those after it are undone.
  void setSteps(const QStringList& labels, std::size_t at);

 signals:
  void stepPicked(std::size_t step);
};

}  // namespace leeward::ui
