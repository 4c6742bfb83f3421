#include "ui/panels/strip_dialog.h"

#include "core/base/units.h"
#include "ui/panels/look.h"
#include "ui/style/type.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QFormLayout>
#include <QVBoxLayout>

namespace leeward::ui {

StripDialog::StripDialog(const QString& along, UnitSystem units, QWidget* parent)
    : QDialog(parent), metres_per_shown_(units == UnitSystem::us ? kMetresPerFoot : 1) {
  setWindowTitle(tr("Strip along %1").arg(along));
  auto* column = new QVBoxLayout(this);
  QFormLayout* form = formLayout();
  kind_ = new QComboBox;
  for (const KindInfo& k : all_kinds())
    if (k.area) kind_->addItem(capital(text(k.noun)), static_cast<int>(k.kind));
  kind_->setCurrentIndex(kind_->findData(static_cast<int>(Kind::food)));
  width_ = new QDoubleSpinBox;
  width_->setRange(0.5, 1000);
  width_->setDecimals(1);
  width_->setValue(units == UnitSystem::us ? 20 : 6);
  width_->setSuffix(units == UnitSystem::us ? tr(" ft") : tr(" m"));
  addNamedRow(form, tr("It becomes"), kind_);
  addNamedRow(form, tr("Width"), width_);
  column->addLayout(form);
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel);
  connect(buttons, &QDialogButtonBox::accepted, this, &QDialog::accept);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  column->addWidget(buttons);
}

Kind StripDialog::kind() const { return static_cast<Kind>(kind_->currentData().toInt()); }
double StripDialog::width_m() const { return width_->value() * metres_per_shown_; }

}  // namespace leeward::ui
