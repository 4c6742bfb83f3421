#include "ui/panels/print_panel.h"

#include "ui/panels/look.h"
#include "ui/print/map_frame.h"
#include "ui/style/type.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDoubleSpinBox>
#include <QFormLayout>
#include <QGridLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QProgressBar>
#include <QPushButton>
#include <QScrollArea>
#include <QSignalBlocker>
#include <QSpinBox>
#include <QSplitter>
#include <QVBoxLayout>

namespace leeward::ui {
namespace {

template <class E>
QComboBox* wordsBox(E now) {
  auto* box = new QComboBox;
  for (const auto& [value, words] : EnumWords<E>::words) {
    box->addItem(capital(text(words)), static_cast<int>(value));
    if (value == now) box->setCurrentIndex(box->count() - 1);
  }
  return box;
}

QString scaleWords(double denominator) {
  return QStringLiteral("1 : %L1").arg(denominator, 0, 'f', 0);
}

/// A row whose field is named by its label's words.
void named(QFormLayout* form, const QString& words, QWidget* field) {
  field->setAccessibleName(QString(words).remove(QLatin1Char('&')));
  form->addRow(words, field);
}

/// Two fields side by side under the label of the first.
void pair(QFormLayout& form, const QString& words, QWidget* a, QWidget* b) {
  auto* row = new QHBoxLayout;
  row->setSpacing(space(2));
  row->addWidget(a, 1);
  row->addWidget(b, 1);
  auto* label = new QLabel(words);
  label->setBuddy(a);
  form.addRow(label, row);
}

}  // namespace

PrintPanel::PrintPanel(const Document& document, const Uid& selected, Trade trade)
    : before_(document.settings->layout), centre_(before_.centre), preview_(new PagePreview) {
  setWindowTitle(tr("Print"));
  trade_ = wordsBox(trade);
  whose_ = new QComboBox;
  auto* fields = new QWidget;
  auto* form = formLayout();
  form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
  fields->setLayout(form);
  buildSheets(*form);
  buildPaper(*form);
  buildPlace(*form);
  named(form, tr("Wa&ys"), whose_);
  named(form, tr("&Walk"), trade_);
  buildLooks(*form);
  form->addRow(softLabel(
      tr("The map holds for the hour on the strip and its wind. Directions of fire are taken away "
         "on it, never cleared.")));
  auto* scroll = new QScrollArea;
  scroll->setObjectName(QStringLiteral("plain"));
  scroll->setFocusPolicy(Qt::NoFocus);  // it follows the field that has it
  scroll->setWidget(fields);
  scroll->setWidgetResizable(true);
  scroll->setFrameShape(QFrame::NoFrame);
  scroll->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
  auto* split = new QSplitter(Qt::Vertical);
  split->addWidget(preview_);
  split->addWidget(scroll);
  split->setChildrenCollapsible(false);
  split->setSizes({420, 330});
  auto* column = new QVBoxLayout(this);
  column->addWidget(split, 1);
  column->addWidget(buildButtons());
  setMinimumWidth(340);
  setDocument(document);
  const int at = whose_->findData(text(selected.str()));
  if (at > 0) whose_->setCurrentIndex(at);
  wire();
  refresh();
}

void PrintPanel::buildSheets(QFormLayout& form) {
  map_ = new QCheckBox(tr("Hunt &map"));
  cards_ = new QCheckBox(tr("A &card a stand"));
  plan_ = new QCheckBox(tr("&Plan of the sits"));
  work_ = new QCheckBox(tr("Work l&ist"));
  map_->setChecked(true);
  days_ = new QSpinBox;
  days_->setRange(1, kMostPlanDays);
  days_->setValue(kUsualPlanDays);
  days_->setSuffix(tr(" days"));
  days_->setAccessibleName(tr("Days of the plan"));
  auto* grid = new QGridLayout;
  grid->setVerticalSpacing(space(2));
  grid->addWidget(map_, 0, 0);
  grid->addWidget(cards_, 0, 1);
  grid->addWidget(plan_, 1, 0);
  grid->addWidget(days_, 1, 1);
  grid->addWidget(work_, 2, 0);
  form.addRow(tr("Sheets"), grid);
}

void PrintPanel::buildPaper(QFormLayout& form) {
  paper_ = wordsBox(before_.paper);
  paper_->setAccessibleName(tr("Paper"));
  turned_ = new QComboBox;
  turned_->addItems({tr("Tall"), tr("Wide")});
  turned_->setCurrentIndex(before_.landscape ? 1 : 0);
  turned_->setAccessibleName(tr("Tall or wide"));
  pair(form, tr("Pape&r"), paper_, turned_);
  for (QDoubleSpinBox** box : {&width_, &height_}) {
    *box = new QDoubleSpinBox;
    (*box)->setRange(kLeastPaper_mm, kMostPaper_mm);
    (*box)->setDecimals(0);
    (*box)->setSuffix(tr(" mm"));
  }
  width_->setValue(before_.custom_width_mm);
  height_->setValue(before_.custom_height_mm);
  width_->setAccessibleName(tr("Width of the paper"));
  height_->setAccessibleName(tr("Height of the paper"));
  pair(form, tr("Width, height"), width_, height_);
}

void PrintPanel::buildPlace(QFormLayout& form) {
  scale_ = new QComboBox;
  scale_->setEditable(true);
  scale_->setInsertPolicy(QComboBox::NoInsert);
  scale_->addItem(tr("As large as fits"));
  for (const double s : usualScales())
    if (s >= 500 && s <= 50000) scale_->addItem(scaleWords(s));
  if (before_.scale_denominator > 0) scale_->setEditText(scaleWords(before_.scale_denominator));
  scale_->setAccessibleName(tr("Scale"));
  scale_now_ = new QLabel;
  scale_now_->setObjectName(QStringLiteral("soft"));
  pair(form, tr("Sca&le"), scale_, scale_now_);
  turn_ = new QDoubleSpinBox;
  turn_->setRange(-180, 180);
  turn_->setWrapping(true);
  turn_->setDecimals(0);
  turn_->setSuffix(tr("°"));
  turn_->setValue(before_.turned_deg);
  turn_->setToolTip(tr("Grid bearing of the map's upper side; 0: north is up"));
  named(&form, tr("&Up is"), turn_);
  for (QDoubleSpinBox** box : {&east_, &north_}) {
    *box = new QDoubleSpinBox;
    (*box)->setRange(-1e7, 2e7);
    (*box)->setDecimals(0);
    (*box)->setSingleStep(10);
    (*box)->setButtonSymbols(QAbstractSpinBox::NoButtons);
  }
  east_->setPrefix(tr("E "));
  north_->setPrefix(tr("N "));
  east_->setAccessibleName(tr("Easting of the map's middle, metres"));
  north_->setAccessibleName(tr("Northing of the map's middle, metres"));
  if (centre_) {
    east_->setValue(centre_->x);
    north_->setValue(centre_->y);
  }
  pair(form, tr("Middle"), east_, north_);
  by_itself_ = new QPushButton(tr("Whole property"));
  by_itself_->setToolTip(tr("The middle by itself, as large as fits, north up"));
  auto* hand = new QPushButton(tr("Place &by hand"));
  hand->setToolTip(tr("Take the page's frame in hand: drag it, pull a corner, turn the knob"));
  connect(hand, &QPushButton::clicked, this, &PrintPanel::frameWanted);
  pair(form, QString(), hand, by_itself_);
  whole_ = new QCheckBox(tr("Several pages where one cannot hold it"));
  form.addRow(QString(), whole_);
}

void PrintPanel::buildLooks(QFormLayout& form) {
  look_ = new QComboBox;
  look_->addItems({tr("In colour"), tr("For a red headlamp"), tr("For a grey printer")});
  look_->setCurrentIndex(static_cast<int>(before_.look));
  named(&form, tr("Loo&k"), look_);
  large_ = new QCheckBox(tr("Large &type"));
  large_->setChecked(before_.large_type);
  aerial_ = new QCheckBox(tr("&Aerial picture"));
  aerial_->setChecked(before_.aerial);
  contours_ = new QCheckBox(tr("Co&ntours"));
  contours_->setChecked(before_.contours);
  auto* grid = new QGridLayout;
  grid->addWidget(aerial_, 0, 0);
  grid->addWidget(contours_, 0, 1);
  grid->addWidget(large_, 1, 0);
  form.addRow(QString(), grid);
}

QWidget* PrintPanel::buildButtons() {
  auto* holder = new QWidget;
  auto* column = new QVBoxLayout(holder);
  column->setContentsMargins(0, 0, 0, 0);
  writing_ = new QWidget;
  auto* bar = new QHBoxLayout(writing_);
  bar->setContentsMargins(0, 0, 0, 0);
  written_ = new QProgressBar;
  written_->setTextVisible(false);
  written_->setAccessibleName(tr("Share written"));
  left_ = new QLabel;
  auto* give_up = new QPushButton(tr("Cancel"));
  connect(give_up, &QPushButton::clicked, this, &PrintPanel::writingGivenUp);
  bar->addWidget(written_, 1);
  bar->addWidget(left_);
  bar->addWidget(give_up);
  writing_->hide();
  column->addWidget(writing_);
  auto* row = new QHBoxLayout;
  column->addLayout(row);
  choose_ = new QPushButton(tr("&Save as file…"));
  choose_->setDefault(true);
  copy_ = new QPushButton(tr("Copy pa&ge"));
  copy_->setToolTip(tr("The page above as a picture, to paste elsewhere"));
  auto* close = new QPushButton(tr("Cl&ose"));
  connect(choose_, &QPushButton::clicked, this, &PrintPanel::fileWanted);
  connect(copy_, &QPushButton::clicked, this, &PrintPanel::copyWanted);
  connect(close, &QPushButton::clicked, this, &PrintPanel::closed);
  row->addWidget(choose_, 1);
  row->addWidget(copy_);
  row->addWidget(close);
  return holder;
}

void PrintPanel::wire() {
  for (QComboBox* box : {paper_, turned_, whose_, trade_, look_})
    connect(box, &QComboBox::currentIndexChanged, this, &PrintPanel::refresh);
  connect(scale_, &QComboBox::currentTextChanged, this, &PrintPanel::refresh);
  for (QCheckBox* box : {map_, cards_, plan_, work_, aerial_, contours_, large_, whole_})
    connect(box, &QCheckBox::toggled, this, &PrintPanel::refresh);
  connect(days_, &QSpinBox::valueChanged, this, &PrintPanel::refresh);
  for (QDoubleSpinBox* box : {width_, height_, turn_})
    connect(box, &QDoubleSpinBox::valueChanged, this, &PrintPanel::refresh);
  for (QDoubleSpinBox* box : {east_, north_})
    connect(box, &QDoubleSpinBox::valueChanged, this, [this] {
      if (!filling_) centre_ = LocalXY{east_->value(), north_->value()};
      refresh();
    });
  connect(by_itself_, &QPushButton::clicked, this, [this] {
    filling_ = true;
    centre_.reset();
    scale_->setEditText(scale_->itemText(0));
    turn_->setValue(0);
    filling_ = false;
    refresh();
  });
}

void PrintPanel::setDocument(const Document& document) {
  const auto& now = document.features[static_cast<std::size_t>(Kind::stand)];
  if (now == stands_) return;  // a list that is open stays so
  stands_ = now;
  const QSignalBlocker quiet(whose_);
  const QVariant was = whose_->currentData();
  whose_->clear();
  whose_->addItem(tr("Ways of all stands"), QString());
  for (const auto& stand : document.of(Kind::stand))
    whose_->addItem(tr("Ways of %1 only").arg(text(display_name(*stand))), text(stand->uid.str()));
  whose_->setCurrentIndex(std::max(0, whose_->findData(was)));
}

void PrintPanel::refresh() {
  if (filling_) return;
  const bool custom = static_cast<PaperSize>(paper_->currentData().toInt()) == PaperSize::custom;
  width_->setEnabled(custom);
  height_->setEnabled(custom);
  days_->setEnabled(plan_->isChecked());
  choose_->setEnabled(sheets().any());
  copy_->setEnabled(sheets().any());
  emit changed();
}

void PrintPanel::place(std::optional<LocalXY> centre, double denominator, double turned_deg) {
  filling_ = true;
  if (denominator != layout().scale_denominator && denominator > 0)
    scale_->setEditText(scaleWords(denominator));
  turn_->setValue(turned_deg);
  centre_ = centre;
  if (centre) {
    east_->setValue(centre->x);
    north_->setValue(centre->y);
  }
  filling_ = false;
  refresh();
}

void PrintPanel::showScale(double denominator, LocalXY centre) {
  filling_ = true;
  scale_now_->setText(layout().scale_denominator > 0 ? QString() : scaleWords(denominator));
  if (!centre_) {
    east_->setValue(centre.x);
    north_->setValue(centre.y);
  }
  filling_ = false;
}

void PrintPanel::setWriting(bool on) {
  choose_->setText(on ? tr("Saving…") : tr("&Save as file…"));
  writing_->setVisible(on);
  written_->setRange(0, 0);
  left_->clear();
}

void PrintPanel::showProgress(double share, std::optional<int> left_s) {
  written_->setRange(0, 100);
  written_->setValue(static_cast<int>(share * 100));
  left_->setText(left_s ? tr("about %n s left", nullptr, *left_s) : QString());
}

SheetChoice PrintPanel::sheets() const {
  return {map_->isChecked(), cards_->isChecked(), plan_->isChecked(), work_->isChecked()};
}

bool PrintPanel::wholeGround() const { return whole_->isChecked(); }
int PrintPanel::days() const { return days_->value(); }

PrintLayout PrintPanel::layout() const {
  PrintLayout out = before_;
  out.paper = static_cast<PaperSize>(paper_->currentData().toInt());
  out.landscape = turned_->currentIndex() == 1;
  QString digits;
  if (scale_->currentText() != scale_->itemText(0)) {
    for (const QChar c : scale_->currentText().section(QLatin1Char(':'), -1))
      if (c.isDigit()) digits += c;
  }
  out.scale_denominator = digits.toDouble();  // no digits: as large as fits
  out.centre = centre_;
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

std::vector<Uid> PrintPanel::stands() const {
  const std::string uid = whose_->currentData().toString().toStdString();
  return uid.empty() ? std::vector<Uid>{} : std::vector<Uid>{Uid(uid)};
}

}  // namespace leeward::ui
