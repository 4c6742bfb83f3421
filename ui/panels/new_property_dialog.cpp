#include "ui/panels/new_property_dialog.h"

#include "core/base/civil_time.h"
#include "core/geo/frame.h"
#include "ui/panels/look.h"
#include "ui/panels/zone_units.h"
#include "ui/style/type.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QFileDialog>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QStackedWidget>
#include <QVBoxLayout>

namespace leeward::ui {
namespace {

enum Step { kName, kAerials, kGround, kLast, kStepCount };

// Metres a unit of height; 0: as the file says.
constexpr std::array<double, 4> kHeightUnits_m = {0, 1, 0.3048, 1200.0 / 3937.0};

QLabel* softWords() {
  auto* label = softLabel({});
  label->setAlignment(Qt::AlignTop | Qt::AlignLeft);
  return label;
}

QWidget* beside(QLayout* left, RasterPreview* preview, QLabel* words) {
  auto* page = new QWidget;
  auto* row = new QHBoxLayout(page);
  row->setContentsMargins(0, 0, 0, 0);
  row->addLayout(left, 1);
  auto* right = new QVBoxLayout;
  right->addWidget(preview, 1);
  right->addWidget(words);
  row->addLayout(right, 1);
  return page;
}

}  // namespace

NewPropertyDialog::NewPropertyDialog(QWidget* parent)
    : QDialog(parent),
      steps_(new QStackedWidget),
      heading_(new QLabel),
      name_(new QLineEdit(tr("My property"))),
      file_(new QLineEdit),
      zone_(zoneBox(zoneHere("America/Chicago"))),
      units_(unitsBox(UnitSystem::us)),
      aerials_(new QListWidget),
      elevation_(new QLineEdit),
      heights_in_(new QComboBox),
      surface_(new QLineEdit),
      problem_(problemLabel()) {
  setWindowTitle(tr("New property"));
  for (size_t i = 0; i < previews_.size(); ++i)
    previews_[i] = new RasterPreview, words_[i] = softWords();
  heading_->setObjectName(QStringLiteral("heading"));
  for (QWidget* page : {nameStep(), aerialStep(), groundStep(), lastStep()})
    steps_->addWidget(page);
  auto* column = new QVBoxLayout(this);
  column->addWidget(heading_);
  column->addWidget(steps_, 1);
  column->addWidget(problem_);
  auto* box = new QDialogButtonBox(QDialogButtonBox::Cancel);
  back_ = box->addButton(tr("Back"), QDialogButtonBox::ActionRole);
  next_ = box->addButton(tr("Make property"), QDialogButtonBox::ActionRole);
  next_->ensurePolished();
  next_->setMinimumWidth(next_->sizeHint().width());  // of the longer of its two words
  next_->setDefault(true);
  connect(back_, &QPushButton::clicked, this, [this] { go(steps_->currentIndex() - 1); });
  connect(next_, &QPushButton::clicked, this, [this] {
    const int step = steps_->currentIndex();
    const std::string why = missing(step);
    showProblem(problem_, why);
    if (!why.empty()) return;
    if (step + 1 == kStepCount) return accept();
    go(step + 1);
  });
  connect(box, &QDialogButtonBox::rejected, this, &QDialog::reject);
  column->addWidget(box);
  resize(typeLength(760), typeLength(480));
  go(kName);
}

QWidget* NewPropertyDialog::nameStep() {
  auto* page = new QWidget;
  auto* column = new QVBoxLayout(page);
  column->setContentsMargins(0, 0, 0, 0);
  column->addWidget(softLabel(
      tr("All that you draw and enter is kept in one file. Pictures and elevation stay where they "
         "lie and are only read.")));
  auto* form = formLayout();
  addNamedRow(form, tr("Name"), name_);
  form->addRow(tr("Save as"), fileRow(file_, tr("Save as"), true));
  addNamedRow(form, tr("Time zone"), zone_);
  addNamedRow(form, tr("Units"), units_);
  connect(units_, &QComboBox::currentIndexChanged, this, &NewPropertyDialog::showLooks);
  column->addLayout(form);
  column->addStretch(1);
  return page;
}

QWidget* NewPropertyDialog::aerialStep() {
  auto* left = new QVBoxLayout;
  left->addWidget(softLabel(
      tr("Pictures from the air that say where they lie (GeoTIFF, JPEG 2000, MBTiles, or with a "
         "world file). They may be left out and added later.")));
  aerials_->setAccessibleName(tr("Aerial pictures"));
  left->addWidget(aerials_, 1);
  auto* row = new QHBoxLayout;
  auto* add = new QPushButton(tr("Add…"));
  auto* remove = new QPushButton(tr("Remove"));
  for (QPushButton* b : {add, remove}) b->setAutoDefault(false), row->addWidget(b);
  row->addStretch(1);
  left->addLayout(row);
  connect(add, &QPushButton::clicked, this,
          [this] { addAerials(QFileDialog::getOpenFileNames(this, tr("Aerial pictures"))); });
  connect(remove, &QPushButton::clicked, this, [this] {
    delete aerials_->takeItem(aerials_->currentRow());
    showLooks();
  });
  return beside(left, previews_[0], words_[0]);
}

QWidget* NewPropertyDialog::groundStep() {
  auto* left = new QVBoxLayout;
  left->addWidget(softLabel(
      tr("A raster of ground heights. Without it the land counts as flat: slopes, sight over "
         "ridges and slope air are then unknown. The surface, with the tree tops, gives canopy.")));
  auto* form = formLayout();
  heights_in_->addItems({tr("as the file says"), tr("metres"), tr("feet"), tr("US survey feet")});
  form->addRow(tr("Ground"), fileRow(elevation_, tr("Ground elevation"), false));
  addNamedRow(form, tr("Heights in"), heights_in_);
  form->addRow(tr("Surface"), fileRow(surface_, tr("Surface (tree tops)"), false));
  left->addLayout(form);
  left->addStretch(1);
  for (QLineEdit* edit : {elevation_, surface_})
    connect(edit, &QLineEdit::editingFinished, this, &NewPropertyDialog::look);
  return beside(left, previews_[1], words_[1]);
}

QWidget* NewPropertyDialog::lastStep() {
  auto* left = new QVBoxLayout;
  left->addWidget(words_[2]);
  left->addStretch(1);
  return beside(left, previews_[2], softWords());
}

QWidget* NewPropertyDialog::fileRow(QLineEdit* edit, const QString& name, bool save) {
  auto* widget = new QWidget;
  auto* row = new QHBoxLayout(widget);
  row->setContentsMargins(0, 0, 0, 0);
  edit->setAccessibleName(name);
  auto* browse = new QPushButton(tr("Browse…"));
  browse->setAutoDefault(false);
  browse->setAccessibleName(tr("Browse: %1").arg(name));
  connect(browse, &QPushButton::clicked, this, [this, edit, save] {
    const QString found =
        save ? QFileDialog::getSaveFileName(this, tr("Save the property as"), edit->text(),
                                            tr("Property (*.gpkg)"))
             : QFileDialog::getOpenFileName(this, tr("Choose a raster"), edit->text());
    if (found.isEmpty()) return;
    edit->setText(found);
    if (!save) look();
  });
  row->addWidget(edit, 1);
  row->addWidget(browse);
  return widget;
}

void NewPropertyDialog::addAerials(const QStringList& files) {
  aerials_->addItems(files);
  look();
}

void NewPropertyDialog::setElevation(const QString& file) {
  elevation_->setText(file);
  look();
}

void NewPropertyDialog::go(int step) {
  static const char* const kNames[] = {QT_TR_NOOP("Name and place of the file"),
                                       QT_TR_NOOP("Pictures from the air"),
                                       QT_TR_NOOP("The ground"), QT_TR_NOOP("Look it over")};
  steps_->setCurrentIndex(step);
  heading_->setText(tr("Step %1 of 4: %2").arg(step + 1).arg(tr(kNames[step])));
  back_->setEnabled(step > 0);
  next_->setText(step + 1 == kStepCount ? tr("Make property") : tr("Next"));
  showProblem(problem_, "");
  showLooks();
}

std::string NewPropertyDialog::missing(int step) const {
  const io::NewProperty r = request();
  const auto problem_of = [&](const QString& path) {
    const RasterLook* l = path.isEmpty() ? nullptr : lookOf(path);
    return l ? l->problem : std::string();
  };
  switch (step) {
    case kName:
      if (file().empty()) return tr("Say where the property file is to be saved").toStdString();
      if (!is_time_zone(r.time_zone))
        return tr("'%1' is not a time zone: choose one of the list")
            .arg(zone_->currentText())
            .toStdString();
      return {};
    case kAerials:
      for (int i = 0; i < aerials_->count(); ++i)
        if (auto why = problem_of(aerials_->item(i)->text()); !why.empty()) return why;
      return {};
    case kGround:
      if (r.aerials.empty() && r.elevation.empty())
        return tr("Add an aerial picture or a ground elevation, so that the property has a place "
                  "on earth (or draw on empty ground: New property from nothing)")
            .toStdString();
      for (const QLineEdit* edit : {elevation_, surface_})
        if (auto why = problem_of(edit->text().trimmed()); !why.empty()) return why;
      return {};
    default:
      return {};
  }
}

const RasterLook* NewPropertyDialog::lookOf(const QString& file) const {
  const auto found = looks_.find(file.toStdString());
  return found == looks_.end() ? nullptr : &found->second;
}

// Looks at what has not been looked at, all in the frame of the first that has a place.
void NewPropertyDialog::look() {
  struct Wanted {
    std::string path;
    bool heights;
  };
  std::vector<Wanted> wanted;
  const auto want = [&](const QString& path, bool heights) {
    if (!path.isEmpty() && !lookOf(path)) wanted.push_back({path.toStdString(), heights});
  };
  want(elevation_->text().trimmed(), true);
  want(surface_->text().trimmed(), true);
  for (int i = 0; i < aerials_->count(); ++i) want(aerials_->item(i)->text(), false);
  CrsId crs;
  for (const auto& [path, l] : looks_)
    if (crs.empty() && l.problem.empty())
      if (auto utm = utm_crs_for(l.facts.centre_wgs84)) crs = *utm;
  showLooks();
  if (wanted.empty()) return;
  background_.start([this, wanted = std::move(wanted), crs](std::stop_token stop) mutable {
    auto found = std::make_shared<std::vector<RasterLook>>();
    for (const Wanted& w : wanted) {
      if (stop.stop_requested()) break;
      found->push_back(look_at_raster(w.path, crs, w.heights, stop));
      if (crs.empty() && found->back().problem.empty())
        if (auto utm = utm_crs_for(found->back().facts.centre_wgs84)) crs = *utm;
    }
    return [this, found] {
      for (RasterLook& l : *found) looks_.insert_or_assign(l.path.string(), std::move(l));
      showLooks();
      look();  // what was chosen meanwhile
    };
  });
  showLooks();
}

void NewPropertyDialog::showLooks() {
  const auto taken = [&](const QStringList& files, QString& words) {
    std::vector<RasterLook> out;
    for (const QString& path : files) {
      if (path.isEmpty()) continue;
      const RasterLook* l = lookOf(path);
      words += text(std::filesystem::path(path.toStdString()).filename().string()) +
               QStringLiteral(": ") +
               (!l                    ? tr("being looked at…")
                : !l->problem.empty() ? text(l->problem)
                                      : factsInWords(l->facts, unitsOf(units_))) +
               QLatin1Char('\n');
      if (l) out.push_back(*l);
    }
    words = words.trimmed();
    return out;
  };
  QStringList pictures, heights{elevation_->text().trimmed(), surface_->text().trimmed()};
  for (int i = 0; i < aerials_->count(); ++i) pictures << aerials_->item(i)->text();
  QString words[3];
  previews_[0]->show(taken(pictures, words[0]));
  previews_[1]->show(taken(heights, words[1]));
  previews_[2]->show(taken(heights + pictures, words[2]));
  words[2] = lastWords() + QStringLiteral("\n\n") + words[2];
  for (size_t i = 0; i < words_.size(); ++i) words_[i]->setText(words[i]);
}

QString NewPropertyDialog::lastWords() const {
  QString out = tr("%1 is made as %2.").arg(name_->text(), text(file().filename().string()));
  const bool ground = !elevation_->text().trimmed().isEmpty();
  if (!ground)
    out +=
        QLatin1Char('\n') + tr("No ground elevation: the land counts as flat until one is added.");
  if (aerials_->count() == 0)
    out += QLatin1Char('\n') + tr("No aerial picture: the map shows shaded ground alone.");
  Box first;
  for (const auto& [path, l] : looks_) {
    if (!l.problem.empty()) continue;
    if (first.empty())
      first = l.facts.box;
    else if (!first.overlaps(l.facts.box))
      out += QLatin1Char('\n') + tr("Careful: the files do not all lie in one place.");
  }
  return out;
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
  r.elevation_metres_per_unit = kHeightUnits_m[static_cast<size_t>(heights_in_->currentIndex())];
  r.surface = surface_->text().trimmed().toStdString();
  return r;
}

}  // namespace leeward::ui
