#include "ui/panels/history_panel.h"

namespace leeward::ui {

HistoryPanel::HistoryPanel(QWidget* parent) : QListWidget(parent) {
  setAccessibleName(tr("Steps of this session"));
  setToolTip(tr("A click or Enter goes to the property as it was after that step"));
  setFrameShape(QFrame::NoFrame);
  const auto picked = [this](const QListWidgetItem* item) {
    emit stepPicked(static_cast<std::size_t>(row(item)));
  };
  connect(this, &QListWidget::itemClicked, this, picked);
  connect(this, &QListWidget::itemActivated, this, picked);
}

void HistoryPanel::setSteps(const QStringList& labels, std::size_t at) {
  while (count() > labels.size()) delete takeItem(count() - 1);
  while (count() < labels.size()) addItem(QString());
  const int now = static_cast<int>(at);
  for (int i = 0; i < count(); ++i) {
    QListWidgetItem* step = item(i);
    step->setText(labels[i]);
    QFont font = this->font();
    font.setBold(i == now);
    font.setItalic(i > now);  // undone
    step->setFont(font);
    step->setData(Qt::AccessibleTextRole, i > now    ? tr("%1, undone").arg(labels[i])
                                          : i == now ? tr("%1, now").arg(labels[i])
                                                     : labels[i]);
  }
  setCurrentRow(now);
}

}  // namespace leeward::ui
