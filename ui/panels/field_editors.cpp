#include "ui/panels/field_editors.h"

#include "ui/style/type.h"

#include <QCheckBox>
#include <QDate>
#include <QDoubleSpinBox>
#include <QGridLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QVBoxLayout>

#include <algorithm>
#include <cstring>
#include <memory>

namespace leeward::ui {

DisplayUnit displayUnit(const char* core_unit, UnitSystem units) {
  const bool us = units == UnitSystem::us;
  if (std::strcmp(core_unit, "m") == 0) {
    return us ? DisplayUnit{1 / kMetresPerFoot, 1, 1, 10000, QObject::tr(" ft")}
              : DisplayUnit{1, 1, 0.5, 3000, QObject::tr(" m")};
  }
  if (std::strcmp(core_unit, "mm") == 0) {
    return us ? DisplayUnit{1 / 25.4, 2, 0.25, 8, QObject::tr(" in")}
              : DisplayUnit{1, 0, 1, 200, QObject::tr(" mm")};
  }
  if (std::strcmp(core_unit, "h") == 0) return {1, 0, 1, 24, QObject::tr(":00")};
  if (std::strcmp(core_unit, "°") == 0) return {1, 0, 5, 359, QStringLiteral("°")};
  if (std::strcmp(core_unit, "1/m") == 0) return {1, 3, 0.01, 2, QObject::tr(" a metre")};
  return {};
}

QWidget* numberEditor(double value, const DisplayUnit& unit,
                      const std::function<void(double)>& changed) {
  auto* spin = new QDoubleSpinBox;
  spin->setDecimals(unit.decimals);
  spin->setRange(0, unit.max);
  spin->setSingleStep(unit.step);
  spin->setPrefix(unit.prefix);
  spin->setSuffix(unit.suffix);
  spin->setMinimumWidth(60);  // the widest value it may hold need not fit
  spin->setKeyboardTracking(false);
  spin->setValue(value * unit.per_core);
  QObject::connect(spin, &QDoubleSpinBox::valueChanged, spin,
                   [changed, unit](double shown) { changed(shown / unit.per_core); });
  return spin;
}

QWidget* monthsEditor(MonthSet value, const std::function<void(MonthSet)>& changed) {
  auto* box = new QWidget;
  auto* grid = new QGridLayout(box);
  grid->setContentsMargins(0, 0, 0, 0);
  grid->setSpacing(kSpacePx / 2);
  const auto now = std::make_shared<MonthSet>(value);
  static constexpr std::array<const char*, 12> kNames = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                                         "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
  for (int m = 1; m <= 12; ++m) {
    auto* button = new QPushButton(QString::fromLatin1(kNames[static_cast<std::size_t>(m - 1)]));
    button->setObjectName(QStringLiteral("slim"));
    button->setCheckable(true);
    button->setChecked(value.has(m));
    QObject::connect(button, &QPushButton::toggled, box, [now, m, changed](bool on) {
      now->set(m, on);
      changed(*now);
    });
    grid->addWidget(button, (m - 1) / 6, (m - 1) % 6);
  }
  return box;
}

QWidget* gapsEditor(const std::vector<Gap>& value, double length_m, UnitSystem units,
                    const std::function<void(std::vector<Gap>)>& changed) {
  auto* box = new QWidget;
  auto* column = new QVBoxLayout(box);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(space(1));
  const auto now = std::make_shared<std::vector<Gap>>(value);
  const DisplayUnit unit = displayUnit("m", units);
  for (std::size_t i = 0; i < value.size(); ++i) {
    auto* row = new QHBoxLayout;
    DisplayUnit along = unit;
    along.max = length_m * unit.per_core;
    along.prefix = QObject::tr("at ");
    DisplayUnit wide = unit;
    wide.prefix = QObject::tr("wide ");
    if (units == UnitSystem::us) along.decimals = wide.decimals = 0;  // a tenth of a foot is no use
    row->addWidget(numberEditor(value[i].at_m, along,
                                [now, i, changed](double v) {
                                  (*now)[i].at_m = v;
                                  changed(*now);
                                }),
                   1);
    row->addWidget(numberEditor(value[i].width_m, wide,
                                [now, i, changed](double v) {
                                  (*now)[i].width_m = std::max(v, 0.5);
                                  changed(*now);
                                }),
                   1);
    auto* remove = new QPushButton(QStringLiteral("×"));
    remove->setObjectName(QStringLiteral("slim"));
    remove->setAccessibleName(QObject::tr("Close this gap"));
    remove->setToolTip(QObject::tr("Close this gap"));
    QObject::connect(remove, &QPushButton::clicked, box, [now, i, changed] {
      std::vector<Gap> rest = *now;
      rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(i));
      changed(rest);
    });
    row->setSpacing(space(1));
    row->addWidget(remove);
    column->addLayout(row);
  }
  auto* add = new QPushButton(QObject::tr("Open a gap"));
  QObject::connect(add, &QPushButton::clicked, box, [now, length_m, changed] {
    std::vector<Gap> more = *now;
    more.push_back({length_m / 2, 5});
    changed(more);
  });
  column->addWidget(add);
  return box;
}

QWidget* dateEditor(const std::string& value, const std::function<void(std::string)>& changed) {
  auto* box = new QWidget;
  auto* row = new QHBoxLayout(box);
  row->setContentsMargins(0, 0, 0, 0);
  row->setSpacing(space(1));
  auto* edit = new QLineEdit(text(value));
  edit->setPlaceholderText(QObject::tr("year-month-day"));
  edit->setAccessibleName(QObject::tr("Date"));
  auto* today = new QPushButton(QObject::tr("Today"));
  today->setAccessibleName(QObject::tr("Write today's date"));
  QObject::connect(edit, &QLineEdit::editingFinished, box, [edit, changed] {
    const QString words = edit->text().trimmed();
    if (words.isEmpty() || QDate::fromString(words, Qt::ISODate).isValid())
      changed(words.toStdString());
  });
  QObject::connect(today, &QPushButton::clicked, box, [edit, changed] {
    edit->setText(QDate::currentDate().toString(Qt::ISODate));
    changed(edit->text().toStdString());
  });
  row->addWidget(edit, 1);
  row->addWidget(today);
  return box;
}

QWidget* rowsEditor(const Document& document, const char* of, const std::vector<Uid>& value,
                    const std::function<void(std::vector<Uid>)>& changed) {
  auto* box = new QWidget;
  auto* column = new QVBoxLayout(box);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(kSpacePx / 2);
  const auto now = std::make_shared<std::vector<Uid>>(value);
  const auto add = [&](const Uid& uid, const std::string& name) {
    auto* check = new QCheckBox(text(name));
    check->setChecked(std::find(value.begin(), value.end(), uid) != value.end());
    QObject::connect(check, &QCheckBox::toggled, box, [now, uid, changed](bool on) {
      std::erase(*now, uid);
      if (on) now->push_back(uid);
      changed(*now);
    });
    column->addWidget(check);
  };
  const auto note = [&](const QString& words) {
    auto* label = new QLabel(words);
    label->setObjectName(QStringLiteral("soft"));
    column->addWidget(label);
  };
  if (const auto kind = kind_from_table(of)) {
    const auto& rows = *document.features[static_cast<std::size_t>(*kind)];
    for (const auto& f : rows) add(f->uid, display_name(*f));
    if (rows.empty()) note(QObject::tr("None drawn yet"));
  } else {
    for (const auto& w : *document.weapons) add(w->uid, w->name);
    note(document.weapons->empty() ? QObject::tr("None yet: Edit, Weapons")
                                   : QObject::tr("None checked: all of them"));
  }
  return box;
}

}  // namespace leeward::ui
