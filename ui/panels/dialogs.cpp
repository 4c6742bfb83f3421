#include "ui/panels/dialogs.h"

#include "ui/panels/look.h"
#include "ui/style/type.h"

#include <QCheckBox>
#include <QComboBox>
#include <QCompleter>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QFileDialog>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QSignalBlocker>
#include <QSpinBox>
#include <QTimeZone>
#include <QVBoxLayout>

namespace leeward::ui {
namespace {

QComboBox* zoneBox(const std::string& now) {
  auto* box = new QComboBox;
  box->setEditable(true);
  box->setInsertPolicy(QComboBox::NoInsert);
  for (const QByteArray& id : QTimeZone::availableTimeZoneIds())
    if (id.contains('/') && !id.startsWith("Etc/")) box->addItem(QString::fromLatin1(id));
  box->completer()->setFilterMode(Qt::MatchContains);
  box->completer()->setCompletionMode(QCompleter::PopupCompletion);
  box->setCurrentText(text(now));
  return box;
}

QComboBox* unitsBox(UnitSystem now) {
  auto* box = new QComboBox;
  box->addItem(QObject::tr("Yards, feet, acres, mph"));
  box->addItem(QObject::tr("Metres, hectares, m/s"));
  box->setCurrentIndex(now == UnitSystem::us ? 0 : 1);
  return box;
}

UnitSystem unitsOf(const QComboBox* box) {
  return box->currentIndex() == 0 ? UnitSystem::us : UnitSystem::metric;
}

QLabel* problemLabel() {
  auto* label = new QLabel;
  label->setObjectName(QStringLiteral("caution"));
  label->setWordWrap(true);
  label->hide();
  return label;
}

void showProblem(QLabel* label, const std::string& why) {
  label->setText(text(why));
  label->setVisible(!why.empty());
}

QFormLayout* formLayout() {
  auto* form = new QFormLayout;
  form->setHorizontalSpacing(14);
  form->setVerticalSpacing(9);
  form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
  return form;
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

// --- weapons -------------------------------------------------------------------------------------

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
  setWindowTitle(tr("Weapons"));
  resize(620, 380);
  const QString unit = session.document()->settings->units == UnitSystem::us ? tr(" yd") : tr(" m");
  for (const auto& [v, w] : EnumWords<WeaponType>::words)
    type_->addItem(capital(QString::fromUtf8(w)), static_cast<int>(v));
  for (QDoubleSpinBox* spin : {inner_, outer_}) {
    spin->setRange(0, 2000);
    spin->setDecimals(0);
    spin->setSuffix(unit);
    spin->setKeyboardTracking(false);
    connect(spin, &QDoubleSpinBox::valueChanged, this, &WeaponsDialog::applyCurrent);
  }
  connect(name_, &QLineEdit::editingFinished, this, &WeaponsDialog::applyCurrent);
  connect(rings_, &QLineEdit::editingFinished, this, &WeaponsDialog::applyCurrent);
  connect(type_, &QComboBox::activated, this, &WeaponsDialog::applyCurrent);
  connect(list_, &QListWidget::currentRowChanged, this, &WeaponsDialog::showCurrent);

  auto* form = formLayout();
  form->addRow(tr("Name"), name_);
  form->addRow(tr("Kind"), type_);
  form->addRow(tr("Reach from"), inner_);
  form->addRow(tr("Reach to"), outer_);
  form->addRow(tr("Rings at"), rings_);
  auto* note = new QLabel(tr("Up to five distances in%1, rising, like 10, 20, 30").arg(unit));
  note->setObjectName(QStringLiteral("soft"));
  form->addRow(QString(), note);
  form->addRow(problem_);
  form_->setLayout(form);

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
  columns->addWidget(form_, 3);
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
  auto* form = formLayout();
  form->addRow(tr("Name"), name_);
  form->addRow(tr("Time zone"), zone_);
  form->addRow(tr("Units"), units_);
  form->addRow(tr("Sit lasts"), sit_);
  form->addRow(tr("Legal hours"), legal_);
  form->addRow(tr("Begin before sunrise"), before_);
  form->addRow(tr("End after sunset"), after_);
  auto* note = new QLabel(tr("Legal shooting hours are your own entry: check local law."));
  note->setObjectName(QStringLiteral("soft"));
  form->addRow(note);
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

// --- new property --------------------------------------------------------------------------------

NewPropertyDialog::NewPropertyDialog(QWidget* parent)
    : QDialog(parent),
      file_(new QLineEdit),
      name_(new QLineEdit(tr("My property"))),
      zone_(zoneBox("America/Chicago")),
      units_(unitsBox(UnitSystem::us)),
      aerials_(new QListWidget),
      elevation_(new QLineEdit),
      surface_(new QLineEdit),
      problem_(problemLabel()) {
  setWindowTitle(tr("New property"));
  if (const QByteArray here = QTimeZone::systemTimeZoneId();
      here.contains('/') && !here.startsWith("Etc/"))
    zone_->setCurrentText(QString::fromLatin1(here));
  auto* form = formLayout();
  form->addRow(tr("Name"), name_);
  form->addRow(tr("Save as"), fileRow(file_, true));
  form->addRow(tr("Time zone"), zone_);
  form->addRow(tr("Units"), units_);
  auto* pictures = new QWidget;
  auto* row = new QHBoxLayout(pictures);
  row->setContentsMargins(0, 0, 0, 0);
  aerials_->setFixedHeight(84);
  row->addWidget(aerials_, 1);
  auto* buttons = new QVBoxLayout;
  auto* add = new QPushButton(tr("Add…"));
  auto* remove = new QPushButton(tr("Remove"));
  connect(add, &QPushButton::clicked, this, [this] {
    aerials_->addItems(QFileDialog::getOpenFileNames(this, tr("Aerial pictures")));
  });
  connect(remove, &QPushButton::clicked, this,
          [this] { delete aerials_->takeItem(aerials_->currentRow()); });
  buttons->addWidget(add);
  buttons->addWidget(remove);
  buttons->addStretch(1);
  row->addLayout(buttons);
  form->addRow(tr("Aerial pictures"), pictures);
  form->addRow(tr("Ground elevation"), fileRow(elevation_, false));
  form->addRow(tr("Surface (tree tops)"), fileRow(surface_, false));
  auto* note = new QLabel(
      tr("Pictures and elevation are read where they lie and must carry their place (GeoTIFF, JPEG "
         "2000, MBTiles, or a world file). Elevation and surface may be left out."));
  note->setWordWrap(true);
  note->setObjectName(QStringLiteral("soft"));
  form->addRow(note);
  form->addRow(problem_);
  auto* box = new QDialogButtonBox(QDialogButtonBox::Cancel);
  auto* make = box->addButton(tr("Make property"), QDialogButtonBox::AcceptRole);
  make->setDefault(true);
  connect(box, &QDialogButtonBox::accepted, this, &NewPropertyDialog::accept);
  connect(box, &QDialogButtonBox::rejected, this, &QDialog::reject);
  auto* column = new QVBoxLayout(this);
  column->addLayout(form);
  column->addWidget(box);
  resize(620, sizeHint().height());
}

QWidget* NewPropertyDialog::fileRow(QLineEdit* edit, bool save) {
  auto* widget = new QWidget;
  auto* row = new QHBoxLayout(widget);
  row->setContentsMargins(0, 0, 0, 0);
  auto* browse = new QPushButton(tr("Browse…"));
  connect(browse, &QPushButton::clicked, this, [this, edit, save] {
    const QString found =
        save ? QFileDialog::getSaveFileName(this, tr("Save the property as"), edit->text(),
                                            tr("Property (*.gpkg)"))
             : QFileDialog::getOpenFileName(this, tr("Choose a raster"), edit->text());
    if (!found.isEmpty()) edit->setText(found);
  });
  row->addWidget(edit, 1);
  row->addWidget(browse);
  return widget;
}

std::filesystem::path NewPropertyDialog::file() const {
  std::filesystem::path path = file_->text().trimmed().toStdString();
  if (!path.empty() && path.extension() != ".gpkg") path += ".gpkg";
  return path;
}

io::NewProperty NewPropertyDialog::request() const {
  io::NewProperty r;
  r.name = name_->text().toStdString();
  r.time_zone = zone_->currentText().toStdString();
  r.units = unitsOf(units_);
  for (int i = 0; i < aerials_->count(); ++i)
    r.aerials.emplace_back(aerials_->item(i)->text().toStdString());
  r.elevation = elevation_->text().trimmed().toStdString();
  r.surface = surface_->text().trimmed().toStdString();
  return r;
}

void NewPropertyDialog::accept() {
  const io::NewProperty r = request();
  std::string why;
  if (file().empty()) {
    why = "Say where the property file is to be saved";
  } else if (r.aerials.empty() && r.elevation.empty()) {
    why = "Add an aerial picture or a ground elevation, so that the property has a place on earth";
  } else if (!is_time_zone(r.time_zone)) {
    why = "'" + r.time_zone + "' is not a time zone: choose one of the list";
  }
  if (why.empty()) return QDialog::accept();
  showProblem(problem_, why);
}

}  // namespace leeward::ui
