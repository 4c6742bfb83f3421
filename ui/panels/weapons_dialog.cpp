#include "ui/panels/weapons_dialog.h"

#include "ui/panels/look.h"
#include "ui/style/type.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QFormLayout>
#include <QGroupBox>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QSignalBlocker>
#include <QVBoxLayout>

#include <algorithm>
#include <cmath>
#include <optional>

namespace leeward::ui {
namespace {

constexpr double kNotEntered = -1;

/// A distance that may be left open: one step below 0 it says so.
QDoubleSpinBox* openDistance(const QString& unit, double most) {
  auto* spin = new QDoubleSpinBox;
  spin->setRange(kNotEntered, most);
  spin->setDecimals(0);
  spin->setSuffix(unit);
  spin->setSpecialValueText(QObject::tr("not entered"));
  spin->setKeyboardTracking(false);
  return spin;
}

void fill(QDoubleSpinBox* spin, std::optional<double> metres, double per_metre) {
  spin->setValue(metres ? *metres * per_metre : kNotEntered);
}

/// The entry in metres; `was` where the field still shows it, so that rounding to whole display
/// units changes nothing.
std::optional<double> entryOf(const QDoubleSpinBox* spin, std::optional<double> was,
                              double per_metre) {
  if (spin->value() < 0) return std::nullopt;
  if (was && std::lround(*was * per_metre) == std::lround(spin->value())) return was;
  return spin->value() / per_metre;
}

}  // namespace

Result<std::vector<double>> parseRings(const QString& words, double units_per_metre) {
  std::vector<double> rings;
  for (const QString& part : words.split(QLatin1Char(','), Qt::SkipEmptyParts)) {
    bool good = false;
    const double value = part.trimmed().toDouble(&good);
    if (!good)
      return fail(ErrorCode::parse, "'" + part.trimmed().toStdString() +
                                        "' is not a number: write distances like 10, 20, 30");
    rings.push_back(value / units_per_metre);
  }
  return rings;
}

WeaponsDialog::WeaponsDialog(EditSession& session, QWidget* parent)
    : QDialog(parent),
      session_(session),
      list_(new QListWidget),
      name_(new QLineEdit),
      type_(new QComboBox),
      inner_(new QDoubleSpinBox),
      outer_(new QDoubleSpinBox),
      rings_(new QLineEdit),
      problem_(problemLabel()),
      form_(new QWidget) {
  list_->setAccessibleName(tr("Weapons"));
  setWindowTitle(tr("Weapons"));
  resize(720, 740);
  connect(list_, &QListWidget::currentRowChanged, this, &WeaponsDialog::showCurrent);
  auto* right = new QVBoxLayout(form_);
  right->setContentsMargins(0, 0, 0, 0);
  right->addWidget(reachForm());
  right->addWidget(safetyForm());
  right->addWidget(problem_);
  right->addStretch(1);

  auto* add = new QPushButton(tr("Add"));
  auto* remove = new QPushButton(tr("Remove"));
  connect(add, &QPushButton::clicked, this, &WeaponsDialog::addWeapon);
  connect(remove, &QPushButton::clicked, this, &WeaponsDialog::removeWeapon);
  auto* left = new QVBoxLayout;
  left->addWidget(list_, 1);
  auto* row = new QHBoxLayout;
  row->addWidget(add);
  row->addWidget(remove);
  left->addLayout(row);
  auto* columns = new QHBoxLayout;
  columns->addLayout(left, 2);
  columns->addWidget(form_, 4);
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  auto* column = new QVBoxLayout(this);
  column->addLayout(columns, 1);
  column->addWidget(buttons);
  for (QWidget* w : std::initializer_list<QWidget*>{form_, add, remove})
    w->setEnabled(!session.readOnly());
  refill();
  list_->setCurrentRow(0);
}

QWidget* WeaponsDialog::reachForm() {
  for (const auto& [v, w] : EnumWords<WeaponType>::words)
    type_->addItem(capital(QString::fromUtf8(w)), static_cast<int>(v));
  for (QDoubleSpinBox* spin : {inner_, outer_}) {
    spin->setRange(0, 2000);
    spin->setDecimals(0);
    spin->setSuffix(unit());
    spin->setKeyboardTracking(false);
    connect(spin, &QDoubleSpinBox::valueChanged, this, &WeaponsDialog::applyCurrent);
  }
  connect(name_, &QLineEdit::editingFinished, this, &WeaponsDialog::applyCurrent);
  connect(rings_, &QLineEdit::editingFinished, this, &WeaponsDialog::applyCurrent);
  connect(type_, &QComboBox::activated, this, &WeaponsDialog::applyCurrent);
  auto* form = formLayout();
  addNamedRow(form, tr("Name"), name_);
  addNamedRow(form, tr("Kind"), type_);
  addNamedRow(form, tr("Reach from"), inner_);
  addNamedRow(form, tr("Reach to"), outer_);
  addNamedRow(form, tr("Rings at"), rings_);
  form->addRow(QString(),
               softLabel(tr("Up to five distances in%1, rising, like 10, 20, 30").arg(unit())));
  auto* box = new QWidget;
  box->setLayout(form);
  return box;
}

QWidget* WeaponsDialog::safetyForm() {
  auto* form = formLayout();
  form->setVerticalSpacing(space(1));
  travel_ = openDistance(unit(), 20000);
  addNamedRow(form, tr("Projectile may travel"), travel_);
  for (int k = 0; k < kSetbackCount; ++k) {
    QDoubleSpinBox*& spin = setbacks_[static_cast<size_t>(k)];
    spin = openDistance(unit(), 20000);
    addNamedRow(form,
                tr("No shot near a %1").arg(QString::fromUtf8(word(static_cast<SetbackFrom>(k)))),
                spin);
  }
  for (QDoubleSpinBox* spin : safetyFields())
    connect(spin, &QDoubleSpinBox::valueChanged, this, &WeaponsDialog::applyCurrent);
  auto* box = new QGroupBox(tr("Safety: your own entries"));
  auto* column = new QVBoxLayout(box);
  column->addLayout(form);
  column->addWidget(
      softLabel(tr("Look these up in your local law and enter them; none is offered here. 0 is an "
                   "entry, an empty one keeps the whole ring closed.")));
  column->addWidget(softLabel(
      tr("For reading, from study guides of US hunter and bowhunter education: arrows may travel "
         "200 to 400 yd, shotgun pellets 500 yd, slugs over 1/2 mile, .22 rimfire over 1 1/4 "
         "miles, high-power rifles over 3 miles. Yours may go farther.")));
  return box;
}

QString WeaponsDialog::unit() const {
  return session_.document()->settings->units == UnitSystem::us ? tr(" yd") : tr(" m");
}

std::vector<QDoubleSpinBox*> WeaponsDialog::safetyFields() const {
  std::vector<QDoubleSpinBox*> out(setbacks_.begin(), setbacks_.end());
  out.push_back(travel_);
  return out;
}

double WeaponsDialog::perMetre() const {
  return session_.document()->settings->units == UnitSystem::us ? 1 / kMetresPerYard : 1;
}

Ref<Weapon> WeaponsDialog::current() const {
  const QListWidgetItem* item = list_->currentItem();
  return item ? session_.document()->find_weapon(
                    Uid(item->data(Qt::UserRole).toString().toStdString()))
              : nullptr;
}

void WeaponsDialog::refill() {
  const QSignalBlocker block(list_);
  const int row = list_->currentRow();
  list_->clear();
  for (const auto& w : *session_.document()->weapons) {
    auto* item = new QListWidgetItem(text(w->name), list_);
    item->setData(Qt::UserRole, text(w->uid.str()));
  }
  list_->setCurrentRow(std::min(std::max(row, 0), list_->count() - 1));
  showCurrent();
}

void WeaponsDialog::showCurrent() {
  filling_ = true;
  const Ref<Weapon> w = current();
  form_->setVisible(w != nullptr);
  if (w) {
    name_->setText(text(w->name));
    type_->setCurrentIndex(type_->findData(static_cast<int>(w->type)));
    inner_->setValue(w->inner_m * perMetre());
    outer_->setValue(w->outer_m * perMetre());
    QStringList rings;
    for (const double r : w->rings_m) rings << QString::number(r * perMetre(), 'g', 6);
    rings_->setText(rings.join(QStringLiteral(", ")));
    fill(travel_, w->max_travel_m, perMetre());
    for (size_t k = 0; k < setbacks_.size(); ++k) fill(setbacks_[k], w->setback_m[k], perMetre());
  }
  showProblem(problem_, {});
  filling_ = false;
}

void WeaponsDialog::applyCurrent() {
  const Ref<Weapon> old = current();
  if (filling_ || !old) return;
  auto rings = parseRings(rings_->text(), perMetre());
  if (!rings) return showProblem(problem_, rings.error().message);
  Weapon next = *old;
  next.name = name_->text().toStdString();
  next.type = static_cast<WeaponType>(type_->currentData().toInt());
  next.inner_m = inner_->value() / perMetre();
  next.outer_m = outer_->value() / perMetre();
  next.rings_m = *std::move(rings);
  next.max_travel_m = entryOf(travel_, old->max_travel_m, perMetre());
  for (size_t k = 0; k < setbacks_.size(); ++k)
    next.setback_m[k] = entryOf(setbacks_[k], old->setback_m[k], perMetre());
  const Status done = session_.apply({"Change a weapon", {put(std::move(next))}, {}});
  showProblem(problem_, done ? std::string() : done.error().message);
  if (done) list_->currentItem()->setText(name_->text());
}

void WeaponsDialog::addWeapon() {
  Weapon w;
  w.uid = Uid::random();
  w.name = "Bow";
  if (!session_.apply({"Add a weapon", {put(std::move(w))}, {}})) return;
  refill();
  list_->setCurrentRow(list_->count() - 1);
  name_->setFocus();
  name_->selectAll();
}

void WeaponsDialog::removeWeapon() {
  const Ref<Weapon> w = current();
  if (w && session_.apply({"Remove a weapon", {Remove{w->uid}}, {}})) refill();
}

}  // namespace leeward::ui
