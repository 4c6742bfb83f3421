// FeatureForm: name, remarks and attributes of what is selected: one feature, or many of one kind
// at once. The rows are built from the attribute struct's own field list, so a new field needs no
// code here.
#pragma once

#include "core/model/edit.h"

#include <QScrollArea>

#include <functional>

class QFormLayout;

namespace leeward::ui {

class FeatureForm : public QScrollArea {
  Q_OBJECT

 public:
  explicit FeatureForm(QWidget* parent = nullptr);
  /// nullptr clears the form.
  void setFeature(Ref<Document> document, Ref<Feature> feature, bool read_only);
  /// Many of one kind show the last one's values, and a change goes to all of them.
  void setFeatures(Ref<Document> document, std::vector<Ref<Feature>> features, bool read_only);

 signals:
  /// `finished`: the next change begins a new undo step.
  void edited(const EditStep& step, bool finished);

 private:
  friend class FieldBuilder;
  void rebuild();
  void addName(QFormLayout* form);
  void addRemarks(QFormLayout* form);
  void addMeasures(QFormLayout* form);
  bool ofOneKind() const;
  QString differing(const QString& label, const std::function<bool(const Feature&)>& same) const;
  /// Changes the feature by `alter` and emits the step.
  void change(const std::string& what, const char* key, bool finished,
              const std::function<void(Feature&)>& alter);

  Ref<Document> document_;
  Ref<Feature> feature_;  ///< The last of them.
  std::vector<Ref<Feature>> features_;
  bool read_only_ = false;
  bool own_edit_ = false;
};

}  // namespace leeward::ui
