#include "ui/panels/zone_units.h"

#include "ui/style/type.h"

#include <QComboBox>
#include <QCompleter>
#include <QObject>
#include <QTimeZone>

namespace leeward::ui {

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

std::string zoneHere(const std::string& otherwise) {
  const QByteArray here = QTimeZone::systemTimeZoneId();
  return here.contains('/') && !here.startsWith("Etc/") ? here.toStdString() : otherwise;
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

}  // namespace leeward::ui
