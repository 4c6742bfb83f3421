#include "ui/panels/print_dialog.h"

#include "ui/panels/look.h"
#include "ui/style/type.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDialogButtonBox>
#include <QFormLayout>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

namespace leeward::ui {
namespace {

constexpr double kOffered[] = {2000, 2400,  3000,  4000,  5000,  6000,
                               8000, 10000, 12000, 15000, 20000, 24000};

template <class E>
QComboBox* wordsBox(E now) {
  auto* box = new QComboBox;
  for (const auto& [value, words] : EnumWords<E>::words) {
    box->addItem(capital(text(words)), static_cast<int>(value));
    if (value == now) box->setCurrentIndex(box->count() - 1);
  }
  return box;
}

}  // namespace

PrintDialog::PrintDialog(const Document& document, const Uid& selected, Trade trade,
                         QWidget* parent)
    : QDialog(parent), before_(document.settings->layout), selected_(selected) {
  setWindowTitle(tr("Print hunt map"));
  paper_ = wordsBox(before_.paper);
  turned_ = new QComboBox;
  turned_->addItems({tr("Tall"), tr("Wide")});
  turned_->setCurrentIndex(before_.landscape ? 1 : 0);
  scale_ = new QComboBox;
  scale_->setEditable(true);
  scale_->addItem(tr("As large as fits"));
  for (const double s : kOffered) scale_->addItem(QStringLiteral("1 : %L1").arg(s, 0, 'f', 0));
  if (before_.scale_denominator > 0)
    scale_->setEditText(QStringLiteral("1 : %L1").arg(before_.scale_denominator, 0, 'f', 0));
  whose_ = new QComboBox;
  whose_->addItem(tr("Ways of all stands"));
  const Ref<Feature> stand = document.find(selected);
  if (stand && stand->kind() == Kind::stand) {
    whose_->addItem(tr("Ways of %1 only").arg(text(display_name(*stand))));
    whose_->setCurrentIndex(1);
  }
  trade_ = wordsBox(trade);
  aerial_ = new QCheckBox(tr("Aerial picture under the map"));
  aerial_->setChecked(before_.aerial);
  auto* form = new QFormLayout;
  form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
  form->setVerticalSpacing(9);
  form->addRow(tr("&Paper"), paper_);
  form->addRow(tr("&Turned"), turned_);
  form->addRow(tr("&Scale"), scale_);
  form->addRow(tr("&Ways"), whose_);
  form->addRow(tr("&Walk"), trade_);
  form->addRow(QString(), aerial_);
  auto* note =
      new QLabel(tr("The map holds for the hour on the strip and its wind. Directions of fire are "
                    "taken away on it, never cleared."));
  note->setWordWrap(true);
  note->setObjectName(QStringLiteral("soft"));
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel);
  buttons->button(QDialogButtonBox::Ok)->setText(tr("Choose file…"));
  connect(buttons, &QDialogButtonBox::accepted, this, &QDialog::accept);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  auto* column = new QVBoxLayout(this);
  column->addLayout(form);
  column->addWidget(note);
  column->addWidget(buttons);
}

PrintLayout PrintDialog::layout() const {
  PrintLayout out = before_;
  out.paper = static_cast<PaperSize>(paper_->currentData().toInt());
  out.landscape = turned_->currentIndex() == 1;
  QString digits;
  for (const QChar c : scale_->currentText().section(QLatin1Char(':'), -1)) {
    if (c.isDigit()) digits += c;
  }
  out.scale_denominator = digits.toDouble();  // no digits: as large as fits
  out.trade = static_cast<Trade>(trade_->currentData().toInt());
  out.aerial = aerial_->isChecked();
  return out;
}

std::vector<Uid> PrintDialog::stands() const {
  return whose_->currentIndex() == 1 ? std::vector<Uid>{selected_} : std::vector<Uid>{};
}

}  // namespace leeward::ui
