// The plan of the coming sits: stands in rows, mornings and evenings in columns. Choosing a cell
// and showing it sets the map to that stand and hour.
#pragma once

#include "core/eval/plan.h"

#include <QWidget>

class QCheckBox;
class QLabel;
class QProgressBar;
class QPushButton;
class QSpinBox;
class QTableWidget;
class QTextBrowser;

namespace leeward::ui {

class PlanView : public QWidget {
  Q_OBJECT

 public:
  explicit PlanView(QWidget* parent = nullptr);

  /// `now`: the document on the screen; a plan of another revision is said to be old.
  void setPlan(const Ref<Document>& of, const Ref<Plan>& plan, const Ref<Document>& now);
  void setDocument(const Ref<Document>& now);
  void setBusy(bool busy);
  void setProgress(double share);
  int days() const;

 signals:
  void makeAsked();
  void cancelAsked();
  void chosen(Instant arrive, const Uid& stand);

 protected:
  void changeEvent(QEvent* event) override;

 private:
  void fill();
  void fillRow(int row, const Feature& stand);
  std::vector<Ref<Feature>> rowsToShow() const;
  void sortBy(int column);
  void explain();
  void choose();
  const PlanCell* current() const;
  void showState();

  Ref<Document> of_, now_;
  Ref<Plan> plan_;
  bool busy_ = false;
  int sorted_by_ = -1;  ///< Column; -1: the document's order.
  QSpinBox* days_;
  QPushButton* make_;
  QPushButton* cancel_;
  QProgressBar* progress_;
  QCheckBox* hide_;
  QLabel* state_;
  QTableWidget* table_;
  QTextBrowser* why_;
  QPushButton* show_;
};

}  // namespace leeward::ui
