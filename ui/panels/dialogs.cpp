#include "ui/panels/dialogs.h"

#include "ui/panels/look.h"
#include "ui/panels/zone_units.h"
#include "ui/style/type.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QSignalBlocker>
#include <QSpinBox>
#include <QVBoxLayout>

#include <cmath>

namespace leeward::ui {
namespace {

double paceUnit_mps(UnitSystem units) { return units == UnitSystem::us ? kMpsPerMph : 1; }

/// `was` where the field still shows it.
double kept(const QDoubleSpinBox* spin, double per_shown, double was) {
  const double half_digit = 0.5 * std::pow(10, -spin->decimals());
  return std::abs(spin->value() - was / per_shown) <= half_digit ? was : spin->value() * per_shown;
}

}  // namespace

// --- settings ------------------------------------------------------------------------------------

SettingsDialog::SettingsDialog(EditSession& session, QWidget* parent)
    : QDialog(parent),
      session_(session),
      name_(new QLineEdit(text(session.document()->settings->name))),
      zone_(zoneBox(session.document()->settings->time_zone)),
      units_(unitsBox(session.document()->settings->units)),
      legal_(new QCheckBox(tr("I have looked them up for this place and season"))),
      before_(new QSpinBox),
      after_(new QSpinBox),
      sit_(new QSpinBox),
      surroundings_(new QCheckBox(tr("All dwellings and roads around are drawn"))),
      pace_(new QDoubleSpinBox),
      glare_(new QDoubleSpinBox),
      settle_(new QSpinBox),
      check_(new QSpinBox),
      pick_up_(new QCheckBox(tr("May be a pick-up, where vehicles are routine"))),
      beyond_(new QCheckBox(tr("The neighbour lets me cross his ground"))),
      problem_(problemLabel()) {
  const Settings& s = *session.document()->settings;
  setWindowTitle(tr("Property settings"));
  for (QSpinBox* spin : {before_, after_}) spin->setRange(-120, 120), spin->setSuffix(tr(" min"));
  before_->setValue(s.legal_before_sunrise_min.value_or(30));
  after_->setValue(s.legal_after_sunset_min.value_or(30));
  legal_->setChecked(s.legal_before_sunrise_min && s.legal_after_sunset_min);
  const auto enable = [this](bool on) { before_->setEnabled(on), after_->setEnabled(on); };
  connect(legal_, &QCheckBox::toggled, this, enable);
  enable(legal_->isChecked());
  sit_->setRange(15, 1440);
  sit_->setSingleStep(15);
  sit_->setSuffix(tr(" min"));
  sit_->setValue(s.sit_minutes);
  surroundings_->setChecked(s.surroundings_drawn);
  pace_->setRange(0.1, 20);
  pace_->setSingleStep(0.1);
  pace_->setDecimals(1);
  pace_->setSuffix(s.units == UnitSystem::us ? tr(" mph") : tr(" m/s"));
  pace_->setValue(s.deer_pace_mps / paceUnit_mps(s.units));
  glare_->setRange(0, 90);
  glare_->setDecimals(0);
  glare_->setSuffix(tr("°"));
  glare_->setValue(s.glare_within_deg);
  settle_->setRange(0, 600);
  settle_->setSuffix(tr(" min"));
  settle_->setValue(s.settle_min);
  check_->setRange(0, 120);
  check_->setSpecialValueText(tr("not reminded"));
  check_->setSuffix(tr(" months"));
  check_->setValue(s.safety_check_months.value_or(0));
  pick_up_->setChecked(s.pick_up);
  pick_up_->setToolTip(tr("No loaded weapon in or on a vehicle: check local law"));
  beyond_->setChecked(s.beyond_boundary);
  auto* form = formLayout();
  addNamedRow(form, tr("Name"), name_);
  addNamedRow(form, tr("Time zone"), zone_);
  addNamedRow(form, tr("Units"), units_);
  addNamedRow(form, tr("Sit lasts"), sit_);
  addNamedRow(form, tr("Settled before light"), settle_);
  addNamedRow(form, tr("Safety check lasts"), check_);
  addNamedRow(form, tr("Way out"), pick_up_);
  addNamedRow(form, tr("Boundary"), beyond_);
  addNamedRow(form, tr("A deer walks at"), pace_);
  addNamedRow(form, tr("Sun dazzles within"), glare_);
  addNamedRow(form, tr("Legal hours"), legal_);
  addNamedRow(form, tr("Begin before sunrise"), before_);
  addNamedRow(form, tr("End after sunset"), after_);
  addNamedRow(form, tr("Surroundings"), surroundings_);
  form->addRow(
      softLabel(tr("Legal shooting hours are your own entry: check local law. Until the dwellings "
                   "and roads around are said to be all drawn, ground without them counts as "
                   "unknown.")));
  form->addRow(problem_);
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel);
  buttons->button(QDialogButtonBox::Ok)->setEnabled(!session.readOnly());
  connect(buttons, &QDialogButtonBox::accepted, this, &SettingsDialog::accept);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  auto* column = new QVBoxLayout(this);
  column->addLayout(form);
  column->addWidget(buttons);
  resize(500, sizeHint().height());
}

void SettingsDialog::accept() {
  Settings next = *session_.document()->settings;
  next.name = name_->text().toStdString();
  next.time_zone = zone_->currentText().toStdString();
  next.units = unitsOf(units_);
  next.sit_minutes = sit_->value();
  next.settle_min = settle_->value();
  next.safety_check_months.reset();
  if (check_->value() > 0) next.safety_check_months = check_->value();
  next.pick_up = pick_up_->isChecked();
  next.beyond_boundary = beyond_->isChecked();
  next.surroundings_drawn = surroundings_->isChecked();
  next.deer_pace_mps =
      kept(pace_, paceUnit_mps(session_.document()->settings->units), next.deer_pace_mps);
  next.glare_within_deg = kept(glare_, 1, next.glare_within_deg);
  next.legal_before_sunrise_min.reset();
  next.legal_after_sunset_min.reset();
  if (legal_->isChecked()) {
    next.legal_before_sunrise_min = before_->value();
    next.legal_after_sunset_min = after_->value();
  }
  const Status done = session_.apply({"Change settings", {put(std::move(next))}, {}});
  if (done) return QDialog::accept();
  showProblem(problem_, done.error().message);
}

}  // namespace leeward::ui
