#include "ui/panels/judgement_dialog.h"

#include "core/eval/deer.h"
#include "core/eval/judgement.h"
#include "ui/panels/look.h"
#include "ui/style/type.h"

#include <QDate>
#include <QDialogButtonBox>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLocale>
#include <QPushButton>
#include <QTabWidget>
#include <QTableWidget>
#include <QVBoxLayout>

#include <algorithm>

namespace leeward::ui {
namespace {

QTableWidget* tableOf(const QString& name, const QStringList& heads, int stretched) {
  auto* table = new QTableWidget(0, static_cast<int>(heads.size()));
  table->setHorizontalHeaderLabels(heads);
  table->setAccessibleName(name);
  table->verticalHeader()->hide();
  table->horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  table->horizontalHeader()->setSectionResizeMode(stretched, QHeaderView::Stretch);
  table->setWordWrap(true);
  return table;
}

/// Puts words into a cell. An item that is there stays: a table must not lose the one that it tells
/// of while it tells of it.
QTableWidgetItem* write(QTableWidget* table, int row, int column, const QString& words,
                        bool editable = true) {
  QTableWidgetItem* item = table->item(row, column);
  if (!item) {
    item = new QTableWidgetItem;
    table->setItem(row, column, item);
  }
  if (!editable) item->setFlags(item->flags() & ~Qt::ItemIsEditable);
  item->setText(words);
  return item;
}

QString cell(const QTableWidget* table, int row, int column) {
  const QTableWidgetItem* item = table->item(row, column);
  return item ? item->text().trimmed() : QString();
}

QString numberText(double v) { return QString::number(v, 'g', 6); }

QWidget* page(std::initializer_list<QWidget*> widgets) {
  auto* out = new QWidget;
  auto* column = new QVBoxLayout(out);
  for (QWidget* w : widgets) column->addWidget(w);
  return out;
}

}  // namespace

QString knotsText(const std::vector<CurveKnot>& knots) {
  QStringList parts;
  for (const CurveKnot& k : knots)
    parts << QStringLiteral("%1: %2 %").arg(numberText(k.hours), numberText(100 * k.chance));
  return parts.join(QStringLiteral(", "));
}

Result<std::vector<CurveKnot>> parseKnots(const QString& words) {
  std::vector<CurveKnot> out;
  for (const QString& part : words.split(QLatin1Char(','), Qt::SkipEmptyParts)) {
    QString chance = part.section(QLatin1Char(':'), 1).trimmed();
    chance.remove(QLatin1Char('%'));
    bool good_hours = false, good_chance = false;
    const double hours = part.section(QLatin1Char(':'), 0, 0).trimmed().toDouble(&good_hours);
    const double percent = chance.trimmed().toDouble(&good_chance);
    if (!good_hours || !good_chance)
      return fail(ErrorCode::parse, "'" + part.trimmed().toStdString() +
                                        "' is not understood: write hours and chance like "
                                        "-2: 15 %, 1.5: 85 %");
    out.push_back({hours, percent / 100});
  }
  return out;
}

JudgementDialog::JudgementDialog(EditSession& session, QWidget* parent)
    : QDialog(parent),
      session_(session),
      constants_(tableOf(tr("Constants"),
                         {tr("What"), tr("Value"), tr("Usual"), tr("Unit"), tr("Source")}, 4)),
      curves_(
          tableOf(tr("Curves"), {tr("Deer in"), tr("Hours from sunrise or sunset: chance")}, 1)),
      rut_(
          tableOf(tr("Rut"), {tr("Phase"), tr("From"), tr("Until"), tr("Bucks by day, times")}, 0)),
      problem_(problemLabel()) {
  setWindowTitle(tr("What the figures rest on"));
  resize(900, 620);
  auto* tabs = new QTabWidget;
  tabs->addTab(constantsPage(), tr("Constants"));
  tabs->addTab(curvesPage(), tr("A deer's day"));
  tabs->addTab(rutPage(), tr("Rut"));
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  auto* column = new QVBoxLayout(this);
  column->addWidget(tabs, 1);
  column->addWidget(problem_);
  column->addWidget(buttons);
  fill();
  connect(constants_, &QTableWidget::cellChanged, this, &JudgementDialog::takeConstants);
  connect(curves_, &QTableWidget::cellChanged, this, &JudgementDialog::takeCurves);
  connect(rut_, &QTableWidget::cellChanged, this, &JudgementDialog::takeRut);
  if (session.readOnly())
    for (QTableWidget* t : {constants_, curves_, rut_})
      t->setEditTriggers(QAbstractItemView::NoEditTriggers);
}

QWidget* JudgementDialog::constantsPage() {
  return page({softLabel(tr("None of these is a measurement of deer. They order stands and ways of "
                            "this property; clear a value to take the usual one again.")),
               constants_});
}

QWidget* JudgementDialog::curvesPage() {
  return page(
      {softLabel(tr("The chance that deer are there, linear between the hours given and "
                    "flat beyond: mornings from sunrise, evenings from sunset. Clear a line "
                    "to take the usual one again (deer move most at dawn and dusk: Webb and "
                    "others 2010; the numbers are common practice, no source).")),
       curves_});
}

QWidget* JudgementDialog::rutPage() {
  auto* add = new QPushButton(tr("Add a phase"));
  auto* remove = new QPushButton(tr("Remove"));
  for (QPushButton* b : {add, remove}) b->setEnabled(!session_.readOnly());
  connect(add, &QPushButton::clicked, this, [this] {
    Settings next = *session_.document()->settings;
    const std::string today = QDate::currentDate().toString(Qt::ISODate).toStdString();
    next.rut.push_back({"Phase", today, today, 1.5});
    apply("Add a phase of the rut", std::move(next));
  });
  connect(remove, &QPushButton::clicked, this, [this] {
    Settings next = *session_.document()->settings;
    const int row = rut_->currentRow();
    if (row < 0 || row >= static_cast<int>(next.rut.size())) return;
    next.rut.erase(next.rut.begin() + row);
    apply("Remove a phase of the rut", std::move(next));
  });
  auto* row = new QWidget;
  auto* line = new QHBoxLayout(row);
  line->setContentsMargins(0, 0, 0, 0);
  line->addWidget(add);
  line->addWidget(remove);
  line->addStretch(1);
  return page({softLabel(tr("Dates like 2026-11-09. In a phase trails carry that many times the "
                            "deer by day, and beds of bucks hold that many times fewer.")),
               rut_, row});
}

void JudgementDialog::fill() {
  filling_ = true;
  const Settings& s = *session_.document()->settings;
  Judgement own = judgement_of(s), usual;
  const auto rows = judgement_rows(own), usual_rows = judgement_rows(usual);
  constants_->setRowCount(static_cast<int>(rows.size()));
  for (int i = 0; i < constants_->rowCount(); ++i) {
    const JudgementRow& row = rows[static_cast<size_t>(i)];
    write(constants_, i, 0, text(row.words), false)->setData(Qt::UserRole, text(row.key));
    QTableWidgetItem* value = write(constants_, i, 1, numberText(*row.value));
    const double usually = *usual_rows[static_cast<size_t>(i)].value;
    QFont font = value->font();
    font.setBold(*row.value != usually);
    value->setFont(font);
    write(constants_, i, 2, numberText(usually), false);
    write(constants_, i, 3, text(row.unit), false);
    write(constants_, i, 4, text(row.source), false);
  }
  const auto curves = deer_curves(s);
  curves_->setRowCount(static_cast<int>(curves.size()));
  for (int i = 0; i < curves_->rowCount(); ++i) {
    write(curves_, i, 0, text(curves[static_cast<size_t>(i)].name), false);
    write(curves_, i, 1, knotsText(curves[static_cast<size_t>(i)].knots));
  }
  rut_->setRowCount(static_cast<int>(s.rut.size()));
  for (int i = 0; i < rut_->rowCount(); ++i) {
    const RutPhase& r = s.rut[static_cast<size_t>(i)];
    int column = 0;
    for (const QString& words : {text(r.name), text(r.from), text(r.until), numberText(r.daylight)})
      write(rut_, i, column++, words);
  }
  filling_ = false;
}

void JudgementDialog::apply(const char* label, Settings next) {
  const Status done = session_.apply({label, {put(std::move(next))}, {}});
  showProblem(problem_, done ? std::string() : done.error().message);
  fill();
}

void JudgementDialog::takeConstants() {
  if (filling_) return;
  Judgement usual;
  const auto rows = judgement_rows(usual);
  Settings next = *session_.document()->settings;
  next.constants.clear();
  for (int i = 0; i < constants_->rowCount(); ++i) {
    const QString words = cell(constants_, i, 1);
    bool good = false;
    const double value = words.toDouble(&good);
    if (words.isEmpty()) continue;
    if (!good) return showProblem(problem_, "'" + words.toStdString() + "' is not a number");
    const JudgementRow& row = rows[static_cast<size_t>(i)];
    if (numberText(value) != numberText(*row.value)) next.constants.push_back({row.key, value});
  }
  apply("Set a constant", std::move(next));
}

void JudgementDialog::takeCurves() {
  if (filling_) return;
  Settings next = *session_.document()->settings;
  const auto usual = deer_curves(Settings());
  next.curves.clear();
  for (int i = 0; i < curves_->rowCount(); ++i) {
    auto knots = parseKnots(cell(curves_, i, 1));
    if (!knots) return showProblem(problem_, knots.error().message);
    const DeerCurve& curve = usual[static_cast<size_t>(i)];
    if (!knots->empty() && knotsText(*knots) != knotsText(curve.knots))
      next.curves.push_back({curve.name, *std::move(knots)});
  }
  apply("Set a deer's day", std::move(next));
}

void JudgementDialog::takeRut() {
  if (filling_) return;
  Settings next = *session_.document()->settings;
  for (int i = 0; i < rut_->rowCount() && i < static_cast<int>(next.rut.size()); ++i) {
    for (const int column : {1, 2}) {
      if (!QDate::fromString(cell(rut_, i, column), Qt::ISODate).isValid())
        return showProblem(problem_, "'" + cell(rut_, i, column).toStdString() +
                                         "' is not a date: write it like 2026-11-09");
    }
    bool good = false;
    const double daylight = cell(rut_, i, 3).toDouble(&good);
    if (!good)
      return showProblem(problem_, "'" + cell(rut_, i, 3).toStdString() + "' is not a number");
    next.rut[static_cast<size_t>(i)] = {cell(rut_, i, 0).toStdString(),
                                        cell(rut_, i, 1).toStdString(),
                                        cell(rut_, i, 2).toStdString(), daylight};
  }
  apply("Change a phase of the rut", std::move(next));
}

}  // namespace leeward::ui
