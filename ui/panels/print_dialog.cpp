#include "ui/panels/print_dialog.h"

#include "ui/panels/look.h"
#include "ui/style/type.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QFormLayout>
#include <QGridLayout>
#include <QHBoxLayout>
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
  setWindowTitle(tr("Print"));
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
  buildSheets(*form);
  form->addRow(tr("&Paper"), paper_);
  auto* measures = new QHBoxLayout;
  for (QDoubleSpinBox** box : {&width_, &height_}) {
    *box = new QDoubleSpinBox;
    (*box)->setRange(kLeastPaper_mm, kMostPaper_mm);
    (*box)->setDecimals(0);
    (*box)->setSuffix(tr(" mm"));
    measures->addWidget(*box);
  }
  width_->setValue(before_.custom_width_mm);
  height_->setValue(before_.custom_height_mm);
  form->addRow(tr("Width, height"), measures);
  form->addRow(tr("&Turned"), turned_);
  form->addRow(tr("&Scale"), scale_);
  form->addRow(tr("&Ways"), whose_);
  form->addRow(tr("&Walk"), trade_);
  form->addRow(QString(), aerial_);
  buildLooks(*form);
  auto* note =
      new QLabel(tr("The map holds for the hour on the strip and its wind. Directions of fire are "
                    "taken away on it, never cleared."));
  note->setWordWrap(true);
  note->setObjectName(QStringLiteral("soft"));
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel);
  choose_ = buttons->button(QDialogButtonBox::Ok);
  choose_->setText(tr("Choose file…"));
  connect(buttons, &QDialogButtonBox::accepted, this, &QDialog::accept);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  auto* column = new QVBoxLayout(this);
  column->addLayout(form);
  column->addWidget(note);
  column->addWidget(buttons);
  connect(paper_, &QComboBox::currentIndexChanged, this, &PrintDialog::refresh);
  for (QCheckBox* box : {map_, cards_, plan_, work_})
    connect(box, &QCheckBox::toggled, this, &PrintDialog::refresh);
  refresh();
}

void PrintDialog::buildSheets(QFormLayout& form) {
  map_ = new QCheckBox(tr("Hunt map"));
  cards_ = new QCheckBox(tr("A card a stand"));
  plan_ = new QCheckBox(tr("Plan of three days"));
  work_ = new QCheckBox(tr("Work list"));
  map_->setChecked(true);
  auto* grid = new QGridLayout;
  grid->setVerticalSpacing(9);
  grid->addWidget(map_, 0, 0);
  grid->addWidget(cards_, 0, 1);
  grid->addWidget(plan_, 1, 0);
  grid->addWidget(work_, 1, 1);
  form.addRow(tr("Sheets"), grid);
}

void PrintDialog::buildLooks(QFormLayout& form) {
  contours_ = new QCheckBox(tr("Contours"));
  contours_->setChecked(before_.contours);
  whole_ = new QCheckBox(tr("Several pages where one cannot hold the ground"));
  large_ = new QCheckBox(tr("Large type"));
  large_->setChecked(before_.large_type);
  look_ = new QComboBox;
  look_->addItems({tr("In colour"), tr("For a red headlamp"), tr("For a grey printer")});
  look_->setCurrentIndex(static_cast<int>(before_.look));
  turn_ = new QDoubleSpinBox;
  turn_->setRange(-180, 180);
  turn_->setDecimals(0);
  turn_->setSuffix(tr("°"));
  turn_->setValue(before_.turned_deg);
  turn_->setToolTip(tr("Grid bearing of the map's upper side; 0: north is up"));
  form.addRow(QString(), contours_);
  form.addRow(QString(), whole_);
  form.addRow(tr("&Up is"), turn_);
  form.addRow(tr("&Look"), look_);
  form.addRow(QString(), large_);
}

void PrintDialog::refresh() {
  const bool custom = static_cast<PaperSize>(paper_->currentData().toInt()) == PaperSize::custom;
  width_->setEnabled(custom);
  height_->setEnabled(custom);
  choose_->setEnabled(sheets().any());
}

SheetChoice PrintDialog::sheets() const {
  return {map_->isChecked(), cards_->isChecked(), plan_->isChecked(), work_->isChecked()};
}

bool PrintDialog::wholeGround() const { return whole_->isChecked(); }

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
  out.contours = contours_->isChecked();
  out.large_type = large_->isChecked();
  out.look = static_cast<PrintLook>(look_->currentIndex());
  out.turned_deg = turn_->value();
  if (out.paper == PaperSize::custom) {
    out.custom_width_mm = width_->value();
    out.custom_height_mm = height_->value();
  }
  return out;
}

std::vector<Uid> PrintDialog::stands() const {
  return whose_->currentIndex() == 1 ? std::vector<Uid>{selected_} : std::vector<Uid>{};
}

}  // namespace leeward::ui
