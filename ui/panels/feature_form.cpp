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

#include <algorithm>
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
    QWidget* field = editor(value, unit, set);
    field->setAccessibleName(QString::fromUtf8(label));
    rows_->addRow(form_.differing(QString::fromUtf8(label),
                                  [&](const Feature& f) { return f.as<Attrs>().*member == value; }),
                  field);
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
  setFocusPolicy(Qt::NoFocus);
  setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
}

void FeatureForm::setFeature(Ref<Document> document, Ref<Feature> feature, bool read_only) {
  std::vector<Ref<Feature>> one;
  if (feature) one.push_back(std::move(feature));
  setFeatures(std::move(document), std::move(one), read_only);
}

bool FeatureForm::ofOneKind() const {
  return std::all_of(features_.begin(), features_.end(),
                     [this](const auto& f) { return f->kind() == feature_->kind(); });
}

QString FeatureForm::differing(const QString& label,
                               const std::function<bool(const Feature&)>& same) const {
  const bool all =
      std::all_of(features_.begin(), features_.end(), [&](const auto& f) { return same(*f); });
  return all ? label : tr("%1 (they differ)").arg(label);
}

void FeatureForm::setFeatures(Ref<Document> document, std::vector<Ref<Feature>> features,
                              bool read_only) {
  const Ref<Feature> feature = features.empty() ? nullptr : features.back();
  const bool same_all =
      std::equal(features.begin(), features.end(), features_.begin(), features_.end(),
                 [](const auto& a, const auto& b) { return a->uid == b->uid; });
  const bool same_rows = same_all && feature && feature_ && feature->uid == feature_->uid &&
                         feature->kind() == feature_->kind() && read_only == read_only_ &&
                         document_ && document->weapons == document_->weapons &&
                         document->settings->units == document_->settings->units;
  const bool same_values =
      same_rows && std::equal(features.begin(), features.end(), features_.begin(),
                              [](const auto& now, const auto& old) {
                                return now->attrs == old->attrs && now->name == old->name &&
                                       now->remarks == old->remarks;
                              });
  document_ = std::move(document);
  feature_ = feature;
  features_ = std::move(features);
  read_only_ = read_only;
  if (same_values || (same_rows && own_edit_)) return;
  rebuild();
}

void FeatureForm::change(const std::string& what, const char* key, bool finished,
                         const std::function<void(Feature&)>& alter) {
  if (!feature_) return;
  const std::size_t count = features_.size();
  EditStep step{count > 1 ? what + " of " + std::to_string(count) + " features" : what, {}, {}};
  if (!finished) step.merge_key = std::string("form:") + key + feature_->uid.str();
  for (const auto& f : features_) {
    Feature next = *f;
    alter(next);
    step.edits.push_back(put(std::move(next)));
  }
  own_edit_ = true;
  emit edited(step, finished);
  own_edit_ = false;
}

void FeatureForm::rebuild() {
  auto* page = new QWidget;
  page->setObjectName(QStringLiteral("sheet"));
  auto* column = new QVBoxLayout(page);
  column->setContentsMargins(space(4), space(2), space(4), space(2));
  if (!feature_) {
    auto* none = new QLabel(tr("Select a feature on the map to see and change its details."));
    none->setWordWrap(true);
    none->setObjectName(QStringLiteral("soft"));
    column->addWidget(none);
    column->addStretch(1);
    setWidget(page);
    return;
  }
  if (features_.size() > 1) {
    const QString how = ofOneKind() ? tr("%1 are selected: a change goes to all of them.")
                                    : tr("%1 of several kinds are selected: choose one kind to "
                                         "change their details.");
    column->addWidget(softLabel(how.arg(features_.size())));
  }
  if (!ofOneKind()) {
    column->addStretch(1);
    setWidget(page);
    return;
  }
  auto* form = new QFormLayout;
  form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
  form->setRowWrapPolicy(QFormLayout::WrapLongRows);
  form->setHorizontalSpacing(space(3));
  form->setVerticalSpacing(space(2));
  if (features_.size() == 1) addName(form);
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
  addNamedRow(form, tr("Name"), name);
}

void FeatureForm::addRemarks(QFormLayout* form) {
  auto* remarks = new QPlainTextEdit(text(feature_->remarks));
  remarks->setFixedHeight(74);
  remarks->setTabChangesFocus(true);
  connect(remarks, &QPlainTextEdit::textChanged, this, [this, remarks] {
    change("Change remarks", "remarks", false,
           [&](Feature& f) { f.remarks = remarks->toPlainText().toStdString(); });
  });
  remarks->setAccessibleName(tr("Remarks"));
  form->addRow(
      differing(tr("Remarks"), [this](const Feature& f) { return f.remarks == feature_->remarks; }),
      remarks);
}

void FeatureForm::addMeasures(QFormLayout* form) {
  const UnitSystem units = document_->settings->units;
  double area = 0, around = 0, length = 0;
  for (const auto& f : features_) {
    area += area_m2(f->shape);
    (f->shape.type == ShapeType::area ? around : length) += length_m(f->shape);
  }
  if (area > 0) form->addRow(tr("Area"), new QLabel(text(area_text(area, units))));
  if (around > 0) form->addRow(tr("Around"), new QLabel(text(distance_text(around, units))));
  if (length > 0) form->addRow(tr("Length"), new QLabel(text(distance_text(length, units))));
}

}  // namespace leeward::ui
