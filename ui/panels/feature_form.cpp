#include "ui/panels/feature_form.h"

#include "core/eval/explain.h"
#include "ui/panels/field_editors.h"
#include "ui/panels/look.h"
#include "ui/style/type.h"

#include <QCheckBox>
#include <QComboBox>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPlainTextEdit>
#include <QVBoxLayout>

#include <type_traits>

namespace leeward::ui {

/// Visits the fields of an attribute struct and adds a row for each.
class FieldBuilder {
 public:
  FieldBuilder(FeatureForm& form, QFormLayout* rows) : form_(form), rows_(rows) {}

  template <class Attrs, class T>
  void operator()(const char* column, T Attrs::*member, const char* label, const char* unit) {
    const T& value = form_.feature_->as<Attrs>().*member;
    FeatureForm* form = &form_;
    const std::string what =
        std::string("Change ") + QString::fromUtf8(label).toLower().toStdString();
    const auto set = [form, what, column, member](const T& next, bool finished) {
      form->change(what, column, finished, [&](Feature& f) {
        f.as<Attrs>().*member = next;
        if constexpr (std::is_same_v<T, CoverType>) f.attrs = typical_cover(next);
      });
      if constexpr (std::is_same_v<T, CoverType>) form->rebuild();
    };
    rows_->addRow(QString::fromUtf8(label), editor(value, unit, set));
  }

 private:
  template <class T, class Set>
  QWidget* editor(const T& value, const char* unit, Set set) {
    if constexpr (std::is_enum_v<T>) {
      auto* combo = new QComboBox;
      for (const auto& [v, w] : EnumWords<T>::words)
        combo->addItem(capital(QString::fromUtf8(w)), static_cast<int>(v));
      combo->setCurrentIndex(combo->findData(static_cast<int>(value)));
      QObject::connect(combo, &QComboBox::activated, combo, [combo, set](int index) {
        set(static_cast<T>(combo->itemData(index).toInt()), true);
      });
      return combo;
    } else if constexpr (std::is_same_v<T, bool>) {
      auto* box = new QCheckBox;
      box->setChecked(value);
      QObject::connect(box, &QCheckBox::toggled, box, [set](bool on) { set(on, true); });
      return box;
    } else if constexpr (std::is_same_v<T, double>) {
      const DisplayUnit shown = displayUnit(unit, form_.document_->settings->units);
      return numberEditor(value, shown, [set](double v) { set(v, false); });
    } else if constexpr (std::is_same_v<T, int>) {
      const DisplayUnit shown = displayUnit(unit, form_.document_->settings->units);
      return numberEditor(value, shown, [set](double v) { set(static_cast<int>(v), false); });
    } else if constexpr (std::is_same_v<T, std::string>) {
      if (std::string_view(unit) == "date")
        return dateEditor(value, [set](const std::string& date) { set(date, true); });
      auto* edit = new QLineEdit(text(value));
      QObject::connect(edit, &QLineEdit::textEdited, edit,
                       [set](const QString& words) { set(words.toStdString(), false); });
      return edit;
    } else if constexpr (std::is_same_v<T, MonthSet>) {
      return monthsEditor(value, [set](MonthSet months) { set(months, true); });
    } else if constexpr (std::is_same_v<T, std::vector<Gap>>) {
      FeatureForm* form = &form_;
      return gapsEditor(value, length_m(form_.feature_->shape), form_.document_->settings->units,
                        [set, form](const std::vector<Gap>& gaps) {
                          const auto& now = form->feature_->as<BarrierAttrs>().gaps;
                          const bool count_changes = now.size() != gaps.size();
                          set(gaps, count_changes);
                          if (count_changes) form->rebuild();
                        });
    } else {
      static_assert(std::is_same_v<T, std::vector<Uid>>);
      return rowsEditor(*form_.document_, unit, value,
                        [set](const std::vector<Uid>& uids) { set(uids, true); });
    }
  }

  FeatureForm& form_;
  QFormLayout* rows_;
};

FeatureForm::FeatureForm(QWidget* parent) : QScrollArea(parent) {
  setWidgetResizable(true);
  setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
}

void FeatureForm::setFeature(Ref<Document> document, Ref<Feature> feature, bool read_only) {
  const bool same_rows = feature && feature_ && feature->uid == feature_->uid &&
                         feature->kind() == feature_->kind() && read_only == read_only_ &&
                         document_ && document->weapons == document_->weapons &&
                         document->settings->units == document_->settings->units;
  const bool same_values = same_rows && feature->attrs == feature_->attrs &&
                           feature->name == feature_->name && feature->remarks == feature_->remarks;
  document_ = std::move(document);
  feature_ = std::move(feature);
  read_only_ = read_only;
  if (same_values || (same_rows && own_edit_)) return;
  rebuild();
}

void FeatureForm::change(const std::string& what, const char* key, bool finished,
                         const std::function<void(Feature&)>& alter) {
  if (!feature_) return;
  Feature next = *feature_;
  alter(next);
  const std::string merge = finished ? "" : std::string("form:") + key + next.uid.str();
  own_edit_ = true;
  emit edited({what, {put(std::move(next))}, merge}, finished);
  own_edit_ = false;
}

void FeatureForm::rebuild() {
  auto* page = new QWidget;
  page->setObjectName(QStringLiteral("sheet"));
  auto* column = new QVBoxLayout(page);
  column->setContentsMargins(14, 10, 14, 10);
  if (!feature_) {
    auto* none = new QLabel(tr("Select a feature on the map to see and change its details."));
    none->setWordWrap(true);
    none->setObjectName(QStringLiteral("soft"));
    column->addWidget(none);
    column->addStretch(1);
    setWidget(page);
    return;
  }
  auto* form = new QFormLayout;
  form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
  form->setRowWrapPolicy(QFormLayout::WrapLongRows);
  form->setHorizontalSpacing(12);
  form->setVerticalSpacing(8);
  addName(form);
  FieldBuilder builder(*this, form);
  std::visit([&](const auto& attrs) { std::decay_t<decltype(attrs)>::fields(builder); },
             feature_->attrs);
  addRemarks(form);
  addMeasures(form);
  column->addLayout(form);
  column->addStretch(1);
  page->setDisabled(read_only_);
  setWidget(page);
}

void FeatureForm::addName(QFormLayout* form) {
  auto* name = new QLineEdit(text(feature_->name));
  name->setPlaceholderText(tr("unnamed"));
  connect(name, &QLineEdit::textEdited, this, [this](const QString& words) {
    change("Rename", "name", false, [&](Feature& f) { f.name = words.toStdString(); });
  });
  form->addRow(tr("Name"), name);
}

void FeatureForm::addRemarks(QFormLayout* form) {
  auto* remarks = new QPlainTextEdit(text(feature_->remarks));
  remarks->setFixedHeight(74);
  remarks->setTabChangesFocus(true);
  connect(remarks, &QPlainTextEdit::textChanged, this, [this, remarks] {
    change("Change remarks", "remarks", false,
           [&](Feature& f) { f.remarks = remarks->toPlainText().toStdString(); });
  });
  form->addRow(tr("Remarks"), remarks);
}

void FeatureForm::addMeasures(QFormLayout* form) {
  const UnitSystem units = document_->settings->units;
  if (feature_->shape.type == ShapeType::area)
    form->addRow(tr("Area"), new QLabel(text(area_text(area_m2(feature_->shape), units))));
  if (feature_->shape.type != ShapeType::point) {
    form->addRow(feature_->shape.type == ShapeType::area ? tr("Around") : tr("Length"),
                 new QLabel(text(distance_text(length_m(feature_->shape), units))));
  }
}

}  // namespace leeward::ui
