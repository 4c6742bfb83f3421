#include "ui/panels/plan_view.h"

#include "core/eval/explain.h"
#include "ui/panels/chart_picture.h"
#include "ui/panels/look.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QCheckBox>
#include <QEvent>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QProgressBar>
#include <QPushButton>
#include <QSpinBox>
#include <QSplitter>
#include <QTableWidget>
#include <QTextBrowser>
#include <QVBoxLayout>

#include <algorithm>

namespace leeward::ui {
namespace {

constexpr int kUidRole = Qt::UserRole;

/// A sign and a word: the sign alone would have to be learnt, colour is never used.
QString verdictText(const PlanCell& c) {
  switch (c.verdict) {
    case Verdict::better:
      return QObject::tr("▲ better");
    case Verdict::even:
      return QObject::tr("= even");
    case Verdict::leave_alone:
      return QObject::tr("▽ leave alone");
    case Verdict::withheld:
      return QObject::tr("✕ withheld");
  }
  return {};
}

QString cellText(const PlanCell& c) {
  QString out = verdictText(c);
  if (c.verdict == Verdict::withheld) return out;
  if (c.rank > 0) out += QObject::tr("  no. %1").arg(c.rank);
  out += QStringLiteral("\n%1").arg(c.score, 0, 'f', 3);
  if (c.watch_only) out += QObject::tr("  watch");
  return out;
}

QString headText(const Document& d, const PlanSit& sit) {
  const QString date = text(date_text(sit.leave, d.settings->time_zone));
  const QString wind = sit.air.known
                           ? text(compass_point(sit.air.from_true_deg)) + QLatin1Char(' ') +
                                 text(speed_text(sit.air.speed_10m_mps, d.settings->units))
                           : QObject::tr("no wind");
  return QStringLiteral("%1\n%2\n%3")
      .arg(date.section(QLatin1Char(' '), 0, 2),
           sit.morning ? QObject::tr("morning") : QObject::tr("evening"), wind);
}

QString partsText(const PlanParts& p) {
  const auto part = [](const char* name, double v) {
    return QStringLiteral("%1 %2").arg(QObject::tr(name)).arg(v, 0, 'f', 2);
  };
  return QStringList{part("in", p.in),           part("sit", p.sit),       part("out", p.out),
                     part("traffic", p.traffic), part("steady", p.steady), part("light", p.light),
                     part("rest", p.rest)}
      .join(QStringLiteral(" × "));
}

}  // namespace

PlanView::PlanView(QWidget* parent)
    : QWidget(parent),
      days_(new QSpinBox),
      make_(new QPushButton(tr("Make the plan"))),
      cancel_(new QPushButton(tr("Cancel"))),
      progress_(new QProgressBar),
      hide_(new QCheckBox(tr("Hide stands that are never better or even"))),
      state_(softLabel({})),
      table_(new QTableWidget),
      why_(new QTextBrowser),
      show_(new QPushButton(tr("Show on the map"))) {
  setWindowTitle(tr("Plan of the coming sits"));
  resize(980, 620);
  days_->setRange(1, 7);
  days_->setValue(7);
  days_->setSuffix(tr(" days"));
  days_->setAccessibleName(tr("Days to plan"));
  progress_->setRange(0, 100);
  table_->setAccessibleName(tr("Stands against sits"));
  table_->setSelectionMode(QAbstractItemView::SingleSelection);
  table_->setEditTriggers(QAbstractItemView::NoEditTriggers);
  table_->setWordWrap(true);
  table_->horizontalHeader()->setSectionsClickable(true);
  table_->horizontalHeader()->setToolTip(tr("Press to put the best stand of a sit on top"));
  why_->setAccessibleName(tr("Reasons"));
  why_->setFocusPolicy(Qt::StrongFocus);
  auto* top = new QHBoxLayout;
  for (QWidget* w : std::initializer_list<QWidget*>{days_, make_, progress_, cancel_})
    top->addWidget(w);
  top->addStretch(1);
  top->addWidget(hide_);
  auto* split = new QSplitter(Qt::Vertical);
  split->addWidget(table_);
  split->addWidget(why_);
  split->setStretchFactor(0, 3);
  split->setStretchFactor(1, 1);
  auto* column = new QVBoxLayout(this);
  column->addLayout(top);
  column->addWidget(state_);
  column->addWidget(split, 1);
  column->addWidget(show_, 0, Qt::AlignRight);
  connect(make_, &QPushButton::clicked, this, &PlanView::makeAsked);
  connect(cancel_, &QPushButton::clicked, this, &PlanView::cancelAsked);
  connect(hide_, &QCheckBox::toggled, this, &PlanView::fill);
  connect(show_, &QPushButton::clicked, this, &PlanView::choose);
  offerPicture(table_, {tr("Plan"), [this] { return wholeTable(*table_); }});
  connect(table_, &QTableWidget::currentCellChanged, this, &PlanView::explain);
  connect(table_, &QTableWidget::cellActivated, this, &PlanView::choose);
  connect(table_->horizontalHeader(), &QHeaderView::sectionClicked, this, &PlanView::sortBy);
  setBusy(false);
}

int PlanView::days() const { return days_->value(); }

void PlanView::setPlan(const Ref<Document>& of, const Ref<Plan>& plan, const Ref<Document>& now) {
  of_ = of;
  plan_ = plan;
  now_ = now;
  sorted_by_ = -1;
  fill();
  showState();
}

void PlanView::setDocument(const Ref<Document>& now) {
  now_ = now;
  showState();
}

void PlanView::setBusy(bool busy) {
  busy_ = busy;
  progress_->setVisible(busy);
  cancel_->setVisible(busy);
  make_->setEnabled(!busy);
  if (busy) progress_->setValue(0);
  showState();
}

void PlanView::setProgress(double share) { progress_->setValue(static_cast<int>(100 * share)); }

void PlanView::showState() {
  QString words;
  if (!plan_) {
    words = tr("No plan is made yet.");
  } else if (of_->of(Kind::stand).empty()) {
    words = tr("No stand is drawn: there is nothing to plan.");
  } else if (now_ && now_->revision != plan_->revision) {
    words = tr("▲ The property has changed since this plan was made: make it again.");
  } else {
    words =
        tr("Scores are relative: they order these sits. Equal numbers are ties within the "
           "uncertainty. Not validated for deer.");
  }
  state_->setText(words);
}

std::vector<Ref<Feature>> PlanView::rowsToShow() const {
  std::vector<Ref<Feature>> out;
  for (const auto& stand : of_->of(Kind::stand)) {
    const bool ever = std::any_of(plan_->cells.begin(), plan_->cells.end(), [&](const PlanCell& c) {
      return c.stand == stand->uid && c.verdict <= Verdict::even;
    });
    if (ever || !hide_->isChecked()) out.push_back(stand);
  }
  if (sorted_by_ < 0) return out;
  const auto worth = [&](const Ref<Feature>& f) {
    const PlanCell* c = plan_->find(static_cast<std::size_t>(sorted_by_), f->uid);
    if (!c) return -3.0;
    return c->score - (c->verdict == Verdict::withheld      ? 2
                       : c->verdict == Verdict::leave_alone ? 1
                                                            : 0);
  };
  std::stable_sort(out.begin(), out.end(), [&](const Ref<Feature>& a, const Ref<Feature>& b) {
    return worth(a) > worth(b);
  });
  return out;
}

void PlanView::fillRow(int row, const Feature& stand) {
  auto* name = new QTableWidgetItem(text(display_name(stand)));
  name->setData(kUidRole, text(stand.uid.str()));
  table_->setVerticalHeaderItem(row, name);
  for (std::size_t i = 0; i < plan_->sits.size(); ++i) {
    const PlanCell* c = plan_->find(i, stand.uid);
    if (!c) continue;
    auto* item = new QTableWidgetItem(cellText(*c));
    item->setData(kUidRole, text(stand.uid.str()));
    if (c->verdict == Verdict::better) {
      QFont bold = item->font();
      bold.setBold(true);
      item->setFont(bold);
    }
    if (c->verdict >= Verdict::leave_alone) item->setForeground(theme().soft);
    table_->setItem(row, static_cast<int>(i), item);
  }
}

void PlanView::fill() {
  table_->clear();
  if (!plan_ || !of_) return;
  const auto rows = rowsToShow();
  table_->setRowCount(static_cast<int>(rows.size()));
  table_->setColumnCount(static_cast<int>(plan_->sits.size()));
  for (std::size_t i = 0; i < plan_->sits.size(); ++i) {
    QString words = headText(*of_, plan_->sits[i]);
    if (static_cast<int>(i) == sorted_by_) words += QStringLiteral(" ▼");
    table_->setHorizontalHeaderItem(static_cast<int>(i), new QTableWidgetItem(words));
  }
  for (std::size_t r = 0; r < rows.size(); ++r) fillRow(static_cast<int>(r), *rows[r]);
  table_->resizeColumnsToContents();
  table_->resizeRowsToContents();
  if (!rows.empty()) table_->setCurrentCell(0, std::max(0, sorted_by_));
  explain();
}

void PlanView::changeEvent(QEvent* event) {
  QWidget::changeEvent(event);
  if (event->type() == QEvent::StyleChange) fill();
}

void PlanView::sortBy(int column) {
  sorted_by_ = column == sorted_by_ ? -1 : column;
  fill();
}

const PlanCell* PlanView::current() const {
  const QTableWidgetItem* item = table_->currentItem();
  if (!plan_ || !item) return nullptr;
  return plan_->find(static_cast<std::size_t>(item->column()),
                     Uid(item->data(kUidRole).toString().toStdString()));
}

void PlanView::explain() {
  const PlanCell* c = current();
  show_->setEnabled(c != nullptr);
  if (!c) return why_->clear();
  const PlanSit& sit = plan_->sits[c->sit];
  const Ref<Feature> stand = of_->find(c->stand);
  const std::string& zone = of_->settings->time_zone;
  QString html = QStringLiteral("<p><b>%1</b>, %2 %3–%4: %5</p>")
                     .arg(stand ? text(display_name(*stand)).toHtmlEscaped() : QString(),
                          text(date_text(sit.leave, zone)), text(clock_text(sit.arrive, zone)),
                          text(clock_text(sit.leave, zone)), verdictText(*c));
  for (const std::string& why : c->reasons)
    html += QStringLiteral("<p>%1</p>").arg(text(why).toHtmlEscaped());
  if (c->verdict != Verdict::withheld) {
    html += QStringLiteral("<p>%1 = %2 (%3 – %4)</p>")
                .arg(partsText(c->parts))
                .arg(c->score, 0, 'f', 3)
                .arg(c->low, 0, 'f', 3)
                .arg(c->high, 0, 'f', 3);
  }
  html += QStringLiteral("<p>%1</p>")
              .arg(text(explain_air(sit.air, of_->settings->units)).toHtmlEscaped());
  for (const std::string& doubt : sit.doubts)
    html += QStringLiteral("<p>▲ %1</p>").arg(text(doubt).toHtmlEscaped());
  why_->setHtml(html);
}

void PlanView::choose() {
  if (const PlanCell* c = current()) emit chosen(plan_->sits[c->sit].arrive, c->stand);
}

}  // namespace leeward::ui
