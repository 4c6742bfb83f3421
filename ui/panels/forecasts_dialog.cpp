#include "ui/panels/forecasts_dialog.h"

#include "core/base/units.h"
#include "core/eval/explain.h"
#include "core/io/station_records.h"
#include "ui/panels/look.h"
#include "ui/style/type.h"

#include <QDialogButtonBox>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QPushButton>
#include <QTableWidget>
#include <QVBoxLayout>

#include <cmath>

namespace leeward::ui {
namespace {

QString figure(double value, const QString& words) {
  return std::isnan(value) ? QStringLiteral("–") : words.arg(std::lround(value));
}

// How much stronger or weaker it blew than was said.
QString strength(double too_strong_mps, UnitSystem units) {
  if (std::isnan(too_strong_mps)) return QStringLiteral("–");
  if (std::abs(too_strong_mps) < 0.05) return QObject::tr("the same");
  const std::string off = speed_text(std::abs(too_strong_mps), units);
  return too_strong_mps > 0 ? QObject::tr("%1 too much").arg(text(off))
                            : QObject::tr("%1 too little").arg(text(off));
}

}  // namespace

ForecastsDialog::ForecastsDialog(EditSession& session, QWidget* parent)
    : QDialog(parent),
      session_(session),
      table_(new QTableWidget),
      state_(softLabel(QString())),
      problem_(problemLabel()),
      records_(new QPushButton(tr("Compare with records of a station…"))),
      remove_(new QPushButton(tr("Forget the chosen one"))) {
  setWindowTitle(tr("Stored forecasts"));
  resize(860, 420);
  table_->setAccessibleName(tr("Stored forecasts, newest first"));
  table_->setColumnCount(6);
  table_->setHorizontalHeaderLabels({tr("Made"), tr("Hours"), tr("Direction off"), tr("Within 30°"),
                                     tr("Wind said"), tr("Forecast")});
  table_->horizontalHeader()->setStretchLastSection(true);
  table_->verticalHeader()->hide();
  table_->setSelectionBehavior(QAbstractItemView::SelectRows);
  table_->setSelectionMode(QAbstractItemView::SingleSelection);
  table_->setEditTriggers(QAbstractItemView::NoEditTriggers);
  table_->setTabKeyNavigation(false);
  connect(records_, &QPushButton::clicked, this, &ForecastsDialog::chooseRecords);
  connect(remove_, &QPushButton::clicked, this, &ForecastsDialog::remove);
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  auto* row = new QHBoxLayout;
  row->addWidget(records_);
  row->addWidget(remove_);
  row->addStretch(1);
  row->addWidget(buttons);
  auto* column = new QVBoxLayout(this);
  column->addWidget(state_);
  column->addWidget(table_, 1);
  column->addWidget(problem_);
  column->addLayout(row);
  refill();
}

void ForecastsDialog::compareWith(const QString& records) {
  records_->setEnabled(false);
  problem_->clear();
  state_->setText(tr("Reading the records…"));
  reading_.start([this, file = records.toStdString(),
                  zone = session_.document()->settings->time_zone](const std::stop_token&) {
    auto read = std::make_shared<Result<io::StationRecords>>(io::read_station_records(file, zone));
    return [this, read] {
      records_->setEnabled(true);
      if (*read) {
        measured_ = std::move((*read)->hours);
        against_ = text((*read)->format);
      } else {
        showProblem(problem_, read->error().message);
      }
      refill();
    };
  });
}

void ForecastsDialog::chooseRecords() {
  const QString file =
      QFileDialog::getOpenFileName(this, tr("Records of a weather station"), QString(),
                                   tr("Hourly records (*.csv *.epw *.txt);;All files (*)"));
  if (!file.isEmpty()) compareWith(file);
}

void ForecastsDialog::refill() {
  const Document& d = *session_.document();
  const std::string& zone = d.settings->time_zone;
  state_->setText(
      against_.isEmpty()
          ? tr("Of each hour the newest forecast holds. Older ones stay, to be compared with what "
               "newer ones said of the same hours, or with what a station near by measured.")
          : tr("Compared with what a station measured (%1), in hours in which both winds blow.")
                .arg(against_));
  const auto judged = judge_forecasts(d, session_.convergenceDeg(), measured_);
  table_->setRowCount(static_cast<int>(judged.size()));
  for (int i = 0; i < table_->rowCount(); ++i) {
    const ForecastRecord& r = judged[static_cast<size_t>(i)];
    const Instant made = made_at(*r.forecast);
    const QString when =
        text(date_text(made, zone)) + QLatin1Char(' ') + text(clock_text(made, zone));
    const QString cells[] = {r.forecast->issued ? when : tr("%1 (imported)").arg(when),
                             tr("%1, %2 compared").arg(r.hours).arg(r.compared),
                             figure(r.turn_deg, tr("%1°")),
                             figure(100 * r.within_30_deg, tr("%1 %")),
                             strength(r.too_strong_mps, d.settings->units),
                             text(r.forecast->source)};
    for (int c = 0; c < table_->columnCount(); ++c) {
      auto* item = new QTableWidgetItem(cells[c]);
      item->setData(Qt::UserRole, text(r.forecast->uid.str()));
      table_->setItem(i, c, item);
    }
  }
  table_->resizeColumnsToContents();
  if (table_->rowCount() > 0) table_->selectRow(0);
  remove_->setEnabled(!session_.readOnly() && table_->rowCount() > 0);
}

void ForecastsDialog::remove() {
  const QTableWidgetItem* item = table_->item(table_->currentRow(), 0);
  if (!item) return;
  const Uid uid(item->data(Qt::UserRole).toString().toStdString());
  if (session_.apply({"Forget a forecast", {Remove{uid}}, {}})) refill();
}

}  // namespace leeward::ui
