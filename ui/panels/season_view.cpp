#include "ui/panels/season_view.h"

#include "core/eval/explain.h"
#include "ui/panels/chart_picture.h"
#include "ui/panels/look.h"
#include "ui/render/season_rose.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QDateEdit>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QPainter>
#include <QProgressBar>
#include <QPushButton>
#include <QStyledItemDelegate>
#include <QTableWidget>
#include <QVBoxLayout>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr int kUidRole = Qt::UserRole, kShareRole = Qt::UserRole + 1;

QString nameOf(const Document& document, const Uid& stand) {
  const Ref<Feature> f = document.find(stand);
  return f ? QString::fromStdString(display_name(*f)) : QObject::tr("a removed stand");
}

/// A bar as long as the share, with the count written beside it.
class BarDelegate : public QStyledItemDelegate {
 public:
  using QStyledItemDelegate::QStyledItemDelegate;
  void paint(QPainter* painter, const QStyleOptionViewItem& option,
             const QModelIndex& index) const override {
    QStyledItemDelegate::paint(painter, option, index);
    const QRect box = option.rect.adjusted(4, 0, -4, -4);
    const int height = 5;
    const QRect whole(box.left(), box.bottom() - height, box.width(), height);
    const double share = std::clamp(index.data(kShareRole).toDouble(), 0.0, 1.0);
    const QColor ink = option.state.testFlag(QStyle::State_Selected)
                           ? option.palette.color(QPalette::HighlightedText)
                           : option.palette.color(QPalette::Text);
    painter->save();
    painter->setPen(ink);
    painter->drawRect(whole);
    painter->fillRect(QRectF(whole.left(), whole.top(), whole.width() * share, height), ink);
    painter->restore();
  }
  QSize sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const override {
    return QStyledItemDelegate::sizeHint(option, index) + QSize(0, 12);
  }
};

QDateEdit* dayEdit(const QString& name, int month, int day) {
  auto* edit = new QDateEdit(QDate(2024, month, day));  // a leap year has every day
  edit->setDisplayFormat(QStringLiteral("d MMM"));
  edit->setAccessibleName(name);
  return edit;
}

QTableWidgetItem* countItem(int some, int all) {
  const double share = all > 0 ? static_cast<double>(some) / all : 0;
  auto* item = new QTableWidgetItem(
      QObject::tr("%1 of %2 (%3 %)").arg(some).arg(all).arg(std::lround(100 * share)));
  item->setData(kShareRole, share);
  item->setTextAlignment(Qt::AlignLeft | Qt::AlignTop);
  return item;
}

}  // namespace

class SeasonView::Rose : public QWidget {
 public:
  Rose() {
    setMinimumSize(220, 220);
    setAccessibleName(QObject::tr("Rose of the season's winds"));
    setFocusPolicy(Qt::StrongFocus);  // its menu is reached by keys
  }
  void show(const Ref<Season>& season, const SeasonStand* stand) {
    season_ = season;
    stand_ = stand;
    update();
  }

 protected:
  void paintEvent(QPaintEvent*) override {
    QPainter painter(this);
    if (hasFocus()) {
      painter.setPen(QPen(theme().accent, 2));
      painter.drawRect(QRectF(rect()).adjusted(1, 1, -1, -1));
    }
    if (!season_ || !stand_) return;
    const QPointF middle = QRectF(rect()).center();
    const double radius = std::min(width(), height()) / 2.0 - 18;
    painter.setPen(palette().color(QPalette::WindowText));
    painter.drawText(QRectF(middle.x() - 20, middle.y() - radius - 18, 40, 16), Qt::AlignCenter,
                     QObject::tr("N"));
    drawSeasonRose(painter, middle, radius, 0, *season_, *stand_);
  }

 private:
  Ref<Season> season_;
  const SeasonStand* stand_ = nullptr;
};

SeasonView::SeasonView(QWidget* parent)
    : QWidget(parent),
      file_(new QPushButton(tr("Choose records of a weather station…"))),
      from_(dayEdit(tr("First day of the season"), 10, 1)),
      until_(dayEdit(tr("Last day of the season"), 12, 31)),
      count_(new QPushButton(tr("Count"))),
      cancel_(new QPushButton(tr("Cancel"))),
      progress_(new QProgressBar),
      problem_(problemLabel()),
      state_(softLabel(tr("Hourly records of past years (NOAA ISD, TMY3, EPW, or a table with "
                          "wind_dir and wind_speed) tell on how many sits each stand keeps within "
                          "its scent limit."))),
      table_(new QTableWidget(0, 2)),
      rose_(new Rose),
      words_(softLabel({})) {
  setWindowTitle(tr("What a season gives"));
  resize(860, 560);
  progress_->setRange(0, 100);
  table_->setAccessibleName(tr("Stands of the season"));
  table_->setHorizontalHeaderLabels({tr("Mornings"), tr("Evenings")});
  table_->horizontalHeader()->setSectionResizeMode(QHeaderView::Stretch);
  table_->setSelectionBehavior(QAbstractItemView::SelectRows);
  table_->setSelectionMode(QAbstractItemView::SingleSelection);
  table_->setEditTriggers(QAbstractItemView::NoEditTriggers);
  table_->setItemDelegate(new BarDelegate(table_));
  auto* top = new QHBoxLayout;
  top->addWidget(file_, 1);
  top->addWidget(new QLabel(tr("from")));
  top->addWidget(from_);
  top->addWidget(new QLabel(tr("to")));
  top->addWidget(until_);
  for (QWidget* w : std::initializer_list<QWidget*>{count_, progress_, cancel_}) top->addWidget(w);
  auto* side = new QVBoxLayout;
  side->addWidget(rose_);
  side->addWidget(words_);
  side->addStretch(1);
  auto* middle = new QHBoxLayout;
  middle->addWidget(table_, 3);
  middle->addLayout(side, 2);
  auto* column = new QVBoxLayout(this);
  column->addLayout(top);
  column->addWidget(problem_);
  column->addWidget(state_);
  column->addLayout(middle, 1);
  connect(file_, &QPushButton::clicked, this, [this] {
    const QString file =
        QFileDialog::getOpenFileName(this, tr("Records of a weather station"), QString(),
                                     tr("Hourly records (*.csv *.epw *.txt);;All files (*)"));
    if (!file.isEmpty()) setRecords(file.toStdString());
  });
  connect(count_, &QPushButton::clicked, this, &SeasonView::countAsked);
  connect(cancel_, &QPushButton::clicked, this, &SeasonView::cancelAsked);
  offerPicture(table_, {tr("Season"), [this] { return wholeTable(*table_); }});
  offerPicture(rose_, {tr("Wind rose"), [this] { return rose_->grab().toImage(); }});
  connect(table_, &QTableWidget::currentCellChanged, this, &SeasonView::choose);
  setBusy(false);
}

void SeasonView::showEvent(QShowEvent* event) {
  QWidget::showEvent(event);
  emit shownOrHidden();
}
void SeasonView::hideEvent(QHideEvent* event) {
  QWidget::hideEvent(event);
  emit shownOrHidden();
}

void SeasonView::setRecords(const std::filesystem::path& file) {
  records_ = file;
  file_->setText(QString::fromStdString(file.filename().string()));
  count_->setEnabled(true);
}

SeasonDays SeasonView::days() const {
  return {from_->date().month(), from_->date().day(), until_->date().month(), until_->date().day()};
}

void SeasonView::setBusy(bool busy) {
  progress_->setVisible(busy);
  cancel_->setVisible(busy);
  count_->setVisible(!busy);
  count_->setEnabled(!records_.empty());
  if (busy) progress_->setValue(0);
}

void SeasonView::setProgress(double share) { progress_->setValue(static_cast<int>(100 * share)); }

void SeasonView::showFailure(const QString& why) { showProblem(problem_, why.toStdString()); }

void SeasonView::setSeason(const Ref<Document>& of, const Ref<Season>& season,
                           const std::vector<std::string>& notes) {
  of_ = of;
  season_ = season;
  showProblem(problem_, {});
  QString words = tr("%1 mornings and %2 evenings with a known wind, %3 of them calm (fit for no "
                     "stand); sits without a record: %4. A station's wind is not your ground's.")
                      .arg(season->mornings)
                      .arg(season->evenings)
                      .arg(season->calm)
                      .arg(season->unknown);
  for (const std::string& n : notes) words += QLatin1Char(' ') + QString::fromStdString(n);
  state_->setText(words);
  fill();
}

void SeasonView::fill() {
  table_->setRowCount(static_cast<int>(season_->stands.size()));
  for (int r = 0; r < table_->rowCount(); ++r) {
    const SeasonStand& s = season_->stands[static_cast<std::size_t>(r)];
    auto* name = new QTableWidgetItem(nameOf(*of_, s.stand));
    name->setData(kUidRole, QString::fromStdString(s.stand.str()));
    table_->setVerticalHeaderItem(r, name);
    table_->setItem(r, 0, countItem(s.mornings, season_->mornings));
    table_->setItem(r, 1, countItem(s.evenings, season_->evenings));
  }
  table_->resizeRowsToContents();
  if (table_->rowCount() > 0) table_->setCurrentCell(0, 0);
  choose();
}

void SeasonView::choose() {
  const int row = table_->currentRow();
  if (!season_ || row < 0 || row >= static_cast<int>(season_->stands.size())) {
    rose_->show(nullptr, nullptr);
    return;
  }
  const SeasonStand& s = season_->stands[static_cast<std::size_t>(row)];
  rose_->show(season_, &s);
  QStringList best;
  for (std::size_t k = 0; k < s.share.size(); ++k)
    if (season_->from[k] > 0 && s.share[k] >= 0.5)
      best << QString::fromStdString(compass_point(22.5 * static_cast<double>(k)));
  words_->setText(
      tr("Petals: where the wind came from, as long as its share of all sits; dark: the "
         "share on which %1 could be taken.\nMostly fit: %2.")
          .arg(nameOf(*of_, s.stand),
               best.isEmpty() ? tr("no wind") : best.join(QStringLiteral(", "))));
  emit standChosen(s.stand);
}

}  // namespace leeward::ui
