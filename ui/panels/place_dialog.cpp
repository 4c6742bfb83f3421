#include "ui/panels/place_dialog.h"

#include "core/base/civil_time.h"
#include "ui/panels/look.h"
#include "ui/panels/zone_units.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QFileDialog>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QRegularExpression>
#include <QTimeZone>
#include <QVBoxLayout>

#include <cmath>

namespace leeward::ui {

std::optional<LonLat> parsePlace(const QString& words) {
  static const QRegularExpression kForm(QStringLiteral(
      R"(^\s*([+-]?\d+(?:\.\d+)?)\s*°?\s*([NSns]?)\s*[,; ]\s*([+-]?\d+(?:\.\d+)?)\s*°?\s*([EWew]?)\s*$)"));
  const auto match = kForm.match(words);
  if (!match.hasMatch()) return std::nullopt;
  LonLat at{match.captured(3).toDouble(), match.captured(1).toDouble()};
  if (match.captured(2).compare(QStringLiteral("S"), Qt::CaseInsensitive) == 0) at.lat = -at.lat;
  if (match.captured(4).compare(QStringLiteral("W"), Qt::CaseInsensitive) == 0) at.lon = -at.lon;
  if (std::abs(at.lat) > 84 || std::abs(at.lon) > 180) return std::nullopt;
  return at;
}

PlaceDialog::PlaceDialog(QWidget* parent) : QDialog(parent) {
  setWindowTitle(tr("New property from nothing"));
  auto* column = new QVBoxLayout(this);
  column->addWidget(softLabel(tr(
      "Everything can be drawn at once. Until ground elevation is added the land counts as flat, "
      "and slopes, sight over ridges and slope air are unknown; pictures and elevation can be "
      "added at any time from the File menu.")));
  QFormLayout* form = formLayout();
  name_ = new QLineEdit(tr("New property"));
  place_ = new QLineEdit;
  place_->setPlaceholderText(tr("latitude, longitude: 43.99, -86.98"));
  file_ = new QLineEdit;
  zone_ = zoneBox(zoneHere("UTC"));
  units_ = unitsBox(UnitSystem::us);
  auto* save = new QWidget;
  auto* row = new QHBoxLayout(save);
  row->setContentsMargins(0, 0, 0, 0);
  auto* browse = new QPushButton(tr("Browse…"));
  file_->setAccessibleName(tr("Save as"));
  row->addWidget(file_, 1);
  row->addWidget(browse);
  connect(browse, &QPushButton::clicked, this, [this] {
    const QString chosen = QFileDialog::getSaveFileName(this, tr("Save the property as"),
                                                        file_->text(), tr("Property (*.gpkg)"));
    if (!chosen.isEmpty()) file_->setText(chosen);
  });
  addNamedRow(form, tr("Name"), name_);
  addNamedRow(form, tr("A place on it"), place_);
  form->addRow(tr("Save as"), save);
  addNamedRow(form, tr("Time zone"), zone_);
  addNamedRow(form, tr("Units"), units_);
  column->addLayout(form);
  problem_ = problemLabel();
  column->addWidget(problem_);
  auto* box = new QDialogButtonBox(QDialogButtonBox::Cancel);
  box->addButton(tr("Begin to draw"), QDialogButtonBox::AcceptRole)->setDefault(true);
  connect(box, &QDialogButtonBox::accepted, this, &PlaceDialog::accept);
  connect(box, &QDialogButtonBox::rejected, this, &QDialog::reject);
  column->addWidget(box);
  resize(560, sizeHint().height());
}

std::filesystem::path PlaceDialog::file() const {
  std::filesystem::path path = file_->text().trimmed().toStdString();
  if (!path.empty() && path.extension() != ".gpkg") path += ".gpkg";
  return path;
}

Document PlaceDialog::document() const {
  const LonLat at = *parsePlace(place_->text());
  Settings s;
  s.name = name_->text().toStdString();
  s.time_zone = zone_->currentText().toStdString();
  s.units = unitsOf(units_);
  s.crs = *utm_crs_for(at);
  Document d;
  d.settings = make_ref<Settings>(std::move(s));
  return d;
}

LocalXY PlaceDialog::place() const {
  const LonLat at = *parsePlace(place_->text());
  return Frame::make(*utm_crs_for(at))->to_local(at);
}

void PlaceDialog::accept() {
  const auto at = parsePlace(place_->text());
  std::string why;
  if (!at) {
    why = "Say a place on it as latitude, longitude in degrees: 43.99, -86.98";
  } else if (const auto crs = utm_crs_for(*at); !crs) {
    why = crs.error().message;
  } else if (file().empty()) {
    why = "Say where the property file is to be saved";
  } else if (!is_time_zone(zone_->currentText().toStdString())) {
    why = "Choose a time zone of the list";
  }
  if (why.empty()) return QDialog::accept();
  showProblem(problem_, why);
}

}  // namespace leeward::ui
