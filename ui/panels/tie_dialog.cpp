#include "ui/panels/tie_dialog.h"

#include "ui/panels/look.h"
#include "ui/panels/photo_view.h"
#include "ui/style/type.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QFormLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QTableWidget>
#include <QVBoxLayout>

namespace leeward::ui {

TieDialog::TieDialog(const QString& name, const QImage& image, QSize full, Words words,
                     UnitSystem units, QWidget* parent)
    : QDialog(parent), full_(full), words_(std::move(words)), units_(units) {
  setWindowTitle(tr("Tie %1 to the ground").arg(name));
  setModal(false);
  auto* column = new QVBoxLayout(this);
  next_ = new QLabel;
  next_->setWordWrap(true);
  next_->setAccessibleName(tr("What to do next"));
  column->addWidget(next_);
  view_ = new PhotoView;
  view_->setPicture(image, full);
  column->addWidget(view_, 1);
  QFormLayout* form = formLayout();
  typed_ = new QLineEdit;
  typed_->setPlaceholderText(tr("latitude, longitude: 43.99, -86.98"));
  addNamedRow(form, tr("Or type its place"), typed_);
  fit_ = new QComboBox;
  fit_->addItem(tr("Straight: moved, turned, scaled, leant (3 points)"));
  fit_->addItem(tr("Bent: second degree (6 points)"));
  fit_->addItem(tr("Bent more: third degree (10 points)"));
  addNamedRow(form, tr("Fit"), fit_);
  column->addLayout(form);
  table_ = new QTableWidget(0, 3);
  table_->setAccessibleName(tr("Points"));
  table_->setHorizontalHeaderLabels({tr("In the picture"), tr("On the ground"), tr("Off by")});
  table_->horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  table_->horizontalHeader()->setSectionResizeMode(1, QHeaderView::Stretch);
  table_->setSelectionBehavior(QAbstractItemView::SelectRows);
  table_->setSelectionMode(QAbstractItemView::SingleSelection);
  table_->setEditTriggers(QAbstractItemView::NoEditTriggers);
  table_->setTabKeyNavigation(false);
  table_->setMaximumHeight(typeLength(150));
  column->addWidget(table_);
  outcome_ = new QLabel;
  outcome_->setWordWrap(true);
  outcome_->setAccessibleName(tr("How well the points agree"));
  column->addWidget(outcome_);
  problem_ = problemLabel();
  column->addWidget(problem_);
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Cancel);
  ok_ = buttons->addButton(tr("Place the picture"), QDialogButtonBox::AcceptRole);
  remove_ = buttons->addButton(tr("Remove the point"), QDialogButtonBox::ActionRole);
  for (QPushButton* b : {ok_, remove_}) b->setAutoDefault(false);
  column->addWidget(buttons);
  connect(buttons, &QDialogButtonBox::accepted, this, &QDialog::accept);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  connect(remove_, &QPushButton::clicked, this, &TieDialog::removeChosen);
  connect(view_, &PhotoView::marked, this, &TieDialog::markSpot);
  connect(typed_, &QLineEdit::returnPressed, this, &TieDialog::typed);
  connect(fit_, &QComboBox::currentIndexChanged, this, &TieDialog::refresh);
  connect(table_, &QTableWidget::itemSelectionChanged, this, &TieDialog::chosenChanged);
  resize(typeLength(500), typeLength(720));
  refresh();
}

io::TieFit TieDialog::fit() const { return static_cast<io::TieFit>(fit_->currentIndex()); }

std::vector<io::ControlPoint> TieDialog::points() const {
  std::vector<io::ControlPoint> out;
  for (const Pair& p : pairs_)
    if (p.ground) out.push_back({p.spot.x(), p.spot.y(), *p.ground});
  return out;
}

std::vector<TieTool::Mark> TieDialog::marks() const {
  std::vector<TieTool::Mark> out;
  for (size_t i = 0; i < pairs_.size(); ++i) {
    if (!pairs_[i].ground) continue;
    const LocalXY at = *pairs_[i].ground;
    const size_t n = out.size();
    out.push_back(
        {at, tie_ ? tie_->lands[n] : at, static_cast<int>(i) + 1, static_cast<int>(i) == chosen_});
  }
  return out;
}

// A chosen pair's spot moves; else, and while a spot waits for its place, the waiting one does.
void TieDialog::markSpot(QPointF at) {
  if (chosen_ < 0) {
    pairs_.push_back({});
    chosen_ = static_cast<int>(pairs_.size()) - 1;
  }
  pairs_[static_cast<size_t>(chosen_)].spot = at;
  showProblem(problem_, "");
  refresh();
}

void TieDialog::place(LocalXY at) {
  if (chosen_ < 0)
    return showProblem(problem_, tr("Mark a spot in the picture first").toStdString());
  pairs_[static_cast<size_t>(chosen_)].ground = at;
  chosen_ = -1;  // the next mark begins a new pair
  showProblem(problem_, "");
  refresh();
}

void TieDialog::moveMark(int number, LocalXY at) {
  pairs_[static_cast<size_t>(number - 1)].ground = at;
  refresh();
}

void TieDialog::typed() {
  const auto at = words_.place_of(typed_->text());
  if (!at)
    return showProblem(problem_,
                       tr("Type the place as latitude and longitude: 43.99, -86.98").toStdString());
  place(*at);
  typed_->clear();
}

void TieDialog::chosenChanged() {
  const auto rows = table_->selectionModel()->selectedRows();
  const int row = rows.isEmpty() ? -1 : rows.first().row();
  if (row == chosen_) return;
  chosen_ = row;
  refresh();
}

void TieDialog::removeChosen() {
  const int row = chosen_ >= 0 ? chosen_ : static_cast<int>(pairs_.size()) - 1;
  if (row < 0) return;
  pairs_.erase(pairs_.begin() + row);
  chosen_ = -1;
  refresh();
}

QString TieDialog::shownMiss(double metres) const {
  return units_ == UnitSystem::us ? tr("%1 ft").arg(metres / kMetresPerFoot, 0, 'f', 1)
                                  : tr("%1 m").arg(metres, 0, 'f', 1);
}

void TieDialog::refresh() {
  const auto given = points();
  const size_t least = io::least_points(fit());
  tie_.reset();
  outcome_->clear();
  if (given.size() >= least) {
    auto tie = io::fit_picture(given, fit(), full_.width(), full_.height());
    if (tie)
      tie_ = *std::move(tie);
    else
      outcome_->setText(capital(text(tie.error().message)) + QStringLiteral("."));
  } else {
    const size_t more = least - given.size();
    outcome_->setText(more == 1 ? tr("One more point for this fit.")
                                : tr("%1 more points for this fit.").arg(more));
  }
  if (tie_ && given.size() == least)
    outcome_->setText(tr("Just enough points always agree. Another shows how well they do."));
  else if (tie_)
    outcome_->setText(tr("The points are off by %1 (root mean square); a pixel is %2.")
                          .arg(shownMiss(tie_->rms_m), shownMiss(tie_->cell_m)));
  const bool waiting = chosen_ >= 0 && !pairs_[static_cast<size_t>(chosen_)].ground;
  next_->setText(
      waiting ? tr("Now click the same spot on the map, or type its place and press Enter.")
      : chosen_ >= 0
          ? tr("Point %1: click anew in the picture or on the map to move it.").arg(chosen_ + 1)
          : tr("Click a spot in the picture that can be found on the map as well: a "
               "corner of a field, a crossing, a lone tree. Spread the points widely."));
  const QSignalBlocker quiet(table_);
  table_->setRowCount(static_cast<int>(pairs_.size()));
  size_t n = 0;
  std::vector<PhotoView::Mark> spots;
  for (size_t i = 0; i < pairs_.size(); ++i) {
    const Pair& p = pairs_[i];
    const int row = static_cast<int>(i);
    spots.push_back({p.spot, row + 1, row == chosen_});
    const QString miss = p.ground && tie_ ? shownMiss(tie_->miss_m[n]) : QString();
    n += p.ground ? 1 : 0;
    const QString cells[] = {tr("%1, %2").arg(p.spot.x(), 0, 'f', 0).arg(p.spot.y(), 0, 'f', 0),
                             p.ground ? words_.words_of(*p.ground) : tr("not yet"), miss};
    for (int c = 0; c < 3; ++c) table_->setItem(row, c, new QTableWidgetItem(cells[c]));
  }
  if (chosen_ >= 0)
    table_->selectRow(chosen_);
  else
    table_->clearSelection();
  view_->setMarks(std::move(spots));
  remove_->setEnabled(!pairs_.empty());
  ok_->setEnabled(tie_.has_value());
  emit changed();
}

}  // namespace leeward::ui
