#include "ui/panels/emergency_dialog.h"

#include "ui/style/type.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPlainTextEdit>
#include <QVBoxLayout>

#include <cmath>

namespace leeward::ui {

EmergencyDialog::EmergencyDialog(const Document& document, QWidget* parent)
    : QDialog(parent),
      before_(*document.settings),
      meeting_(new QComboBox),
      words_(new QLineEdit(text(before_.emergency.meeting_words))),
      due_(new QLineEdit(text(before_.emergency.due_back))),
      late_(new QLineEdit(text(before_.emergency.call_if_late))),
      numbers_(new QPlainTextEdit(text(before_.emergency.numbers))),
      step_(new QDoubleSpinBox) {
  setWindowTitle(tr("Emergency plan"));
  fillPlaces(document);
  numbers_->setPlaceholderText(tr("One a line: whom, and the number"));
  numbers_->setTabChangesFocus(true);
  step_->setRange(0.3, 1.5);
  step_->setSingleStep(0.05);
  step_->setDecimals(2);
  step_->setSuffix(tr(" m"));
  step_->setValue(before_.pace_m);
  auto* form = new QFormLayout;
  form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
  form->setVerticalSpacing(space(2));
  form->addRow(tr("Helpers are &met at"), meeting_);
  form->addRow(tr("How to &find it"), words_);
  form->addRow(tr("&Numbers"), numbers_);
  form->addRow(tr("All are &back by"), due_);
  form->addRow(tr("If somebody is &late"), late_);
  form->addRow(tr("A &step on cards is"), step_);
  auto* note = new QLabel(tr(
      "It is printed as it stands here, with the place in USNG and degrees. Who sits where comes "
      "from the stands."));
  note->setWordWrap(true);
  note->setObjectName(QStringLiteral("soft"));
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel);
  connect(buttons, &QDialogButtonBox::accepted, this, &QDialog::accept);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  auto* column = new QVBoxLayout(this);
  column->addLayout(form);
  column->addWidget(note);
  column->addWidget(buttons);
  resize(460, sizeHint().height());
}

void EmergencyDialog::fillPlaces(const Document& document) {
  const auto add = [&](const QString& name, std::optional<LocalXY> at) {
    meeting_->addItem(name);
    places_.push_back(at);
    if (at == before_.emergency.meeting) meeting_->setCurrentIndex(meeting_->count() - 1);
  };
  add(tr("not entered"), std::nullopt);
  for (const Kind kind : {Kind::gate, Kind::note, Kind::dwelling})
    for (const auto& f : document.of(kind))
      add(text(display_name(*f)),
          f->shape.type == ShapeType::point ? f->shape.position() : anchor(f->shape));
  if (before_.emergency.meeting && meeting_->currentIndex() == 0)
    add(tr("the place entered before"), before_.emergency.meeting);
}

Settings EmergencyDialog::settings() const {
  Settings out = before_;
  EmergencyPlan& e = out.emergency;
  e.meeting = places_[static_cast<size_t>(meeting_->currentIndex())];
  e.meeting_words = words_->text().trimmed().toStdString();
  e.numbers = numbers_->toPlainText().trimmed().toStdString();
  e.due_back = due_->text().trimmed().toStdString();
  e.call_if_late = late_->text().trimmed().toStdString();
  if (std::abs(step_->value() - before_.pace_m) > 0.005) out.pace_m = step_->value();
  return out;
}

}  // namespace leeward::ui
