#include "ui/panels/visit_dialog.h"

#include "core/eval/explain.h"
#include "ui/panels/look.h"
#include "ui/style/type.h"

#include <QComboBox>
#include <QDateTimeEdit>
#include <QDialogButtonBox>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QVBoxLayout>

namespace leeward::ui {
namespace {

QString nameOf(const Document& d, const Uid& uid) {
  const Ref<Feature> f = d.find(uid);
  return f ? text(display_name(*f)) : QString();
}

QString lineOf(const Document& d, const Visit& v) {
  const std::string& zone = d.settings->time_zone;
  QStringList parts = {
      text(date_text(v.at, zone)) + QLatin1Char(' ') + text(clock_text(v.at, zone)),
      capital(text(word(v.type)))};
  if (!v.place.empty()) parts << nameOf(d, v.place);
  QStringList entered;
  for (const Uid& uid : v.entered)
    if (const QString name = nameOf(d, uid); !name.isEmpty()) entered << name;
  if (!entered.isEmpty())
    parts << QObject::tr("through %1").arg(entered.join(QStringLiteral(", ")));
  for (const std::string& words : {v.who, v.remarks})
    if (!words.empty()) parts << text(words);
  return parts.join(QStringLiteral(" · "));
}

}  // namespace

VisitDialog::VisitDialog(EditSession& session, Instant at, QWidget* parent)
    : QDialog(parent),
      session_(session),
      log_(new QListWidget),
      type_(new QComboBox),
      at_(new QDateTimeEdit),
      place_(new QComboBox),
      entered_(new QListWidget),
      who_(new QLineEdit),
      remarks_(new QLineEdit),
      problem_(problemLabel()) {
  setWindowTitle(tr("Log of entries"));
  resize(820, 560);
  log_->setAccessibleName(tr("Entries, newest first"));
  for (const auto& [v, w] : EnumWords<VisitType>::words)
    type_->addItem(capital(text(w)), static_cast<int>(v));
  const CivilTime c = to_civil(at, session.document()->settings->time_zone);
  at_->setDisplayFormat(QStringLiteral("yyyy-MM-dd HH:mm"));
  at_->setCalendarPopup(true);
  at_->setDateTime(QDateTime(QDate(c.year, c.month, c.day), QTime(c.hour, c.minute)));
  fillPlaces();
  auto* form = formLayout();
  addNamedRow(form, tr("What"), type_);
  addNamedRow(form, tr("When"), at_);
  addNamedRow(form, tr("Where"), place_);
  addNamedRow(form, tr("Walked through"), entered_);
  addNamedRow(form, tr("Who"), who_);
  addNamedRow(form, tr("Remarks"), remarks_);
  auto* put_in = new QPushButton(tr("Enter"));
  auto* take_out = new QPushButton(tr("Remove the chosen entry"));
  connect(put_in, &QPushButton::clicked, this, &VisitDialog::add);
  connect(take_out, &QPushButton::clicked, this, &VisitDialog::remove);
  auto* left = new QVBoxLayout;
  left->addWidget(log_, 1);
  left->addWidget(take_out);
  auto* right = new QVBoxLayout;
  right->addLayout(form, 1);
  right->addWidget(
      softLabel(tr("Sits, camera visits, work, shots and searches all rest what was "
                   "entered: the plan lowers it for some days.")));
  right->addWidget(problem_);
  right->addWidget(put_in);
  auto* columns = new QHBoxLayout;
  columns->addLayout(left, 3);
  columns->addLayout(right, 2);
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  auto* column = new QVBoxLayout(this);
  column->addLayout(columns, 1);
  column->addWidget(buttons);
  for (QWidget* w : {put_in, take_out}) w->setEnabled(!session.readOnly());
  refill();
}

void VisitDialog::fillPlaces() {
  const Document& d = *session_.document();
  place_->addItem(tr("nowhere in particular"), QString());
  for (const Kind kind : {Kind::stand, Kind::camera, Kind::mock_scrape, Kind::food, Kind::bedding})
    for (const auto& f : d.of(kind)) place_->addItem(text(display_name(*f)), text(f->uid.str()));
  for (const Kind kind : {Kind::bedding, Kind::sanctuary, Kind::food, Kind::deer_trail}) {
    for (const auto& f : d.of(kind)) {
      auto* item = new QListWidgetItem(text(display_name(*f)), entered_);
      item->setData(Qt::UserRole, text(f->uid.str()));
      item->setFlags(item->flags() | Qt::ItemIsUserCheckable);
      item->setCheckState(Qt::Unchecked);
    }
  }
}

void VisitDialog::refill() {
  log_->clear();
  const Document& d = *session_.document();
  for (auto it = d.visits->rbegin(); it != d.visits->rend(); ++it) {
    auto* item = new QListWidgetItem(lineOf(d, **it), log_);
    item->setData(Qt::UserRole, text((*it)->uid.str()));
  }
}

void VisitDialog::add() {
  Visit v;
  v.uid = Uid::random();
  v.type = static_cast<VisitType>(type_->currentData().toInt());
  const QDate day = at_->date();
  auto at = from_civil(day.year(), day.month(), day.day(), at_->time().hour(), at_->time().minute(),
                       session_.document()->settings->time_zone);
  if (!at) return showProblem(problem_, at.error().message);
  v.at = *at;
  v.place = Uid(place_->currentData().toString().toStdString());
  for (int i = 0; i < entered_->count(); ++i)
    if (entered_->item(i)->checkState() == Qt::Checked)
      v.entered.emplace_back(entered_->item(i)->data(Qt::UserRole).toString().toStdString());
  v.who = who_->text().toStdString();
  v.remarks = remarks_->text().toStdString();
  const Status done = session_.apply({"Enter a visit", {put(std::move(v))}, {}});
  showProblem(problem_, done ? std::string() : done.error().message);
  refill();
}

void VisitDialog::remove() {
  const QListWidgetItem* item = log_->currentItem();
  if (!item) return;
  const Uid uid(item->data(Qt::UserRole).toString().toStdString());
  static_cast<void>(session_.apply({"Remove a visit", {Remove{uid}}, {}}));
  refill();
}

}  // namespace leeward::ui
