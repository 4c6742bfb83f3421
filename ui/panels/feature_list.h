// FeatureList: every feature by name, for work without the mouse: filter, sort, select, zoom to,
// edit, delete; kinds are shown, hidden and locked here.
#pragma once

#include "core/model/document.h"
#include "ui/canvas/view_state.h"

#include <QWidget>

#include <vector>

class QComboBox;
class QLineEdit;
class QPushButton;
class QTreeWidget;
class QTreeWidgetItem;

namespace leeward::ui {

class FeatureList : public QWidget {
  Q_OBJECT

 public:
  explicit FeatureList(QWidget* parent = nullptr);
  void setDocument(Ref<Document> document, bool read_only);
  void setSelected(const std::vector<Uid>& uids);
  void setView(const ViewState& view);
  /// Into the list, at the first feature.
  void takeFocus();

 signals:
  void picked(const std::vector<Uid>& uids);
  void zoomWanted();
  void editWanted();
  void deleteWanted();
  void viewChanged(const ViewState& view);

 protected:
  void showEvent(QShowEvent* event) override;
  bool eventFilter(QObject* watched, QEvent* event) override;

 private:
  void rebuild();
  void addFeatures(const Rows<Feature>& rows, QTreeWidgetItem* below);
  QTreeWidgetItem* addKind(const KindInfo& kind);
  void kindChanged(QTreeWidgetItem* item, int column);
  void markSelected();
  void selectionPicked();
  bool matches(const Feature& f) const;

  Ref<Document> document_ = make_ref<Document>();
  bool read_only_ = false;
  bool stale_ = true;
  bool filling_ = false;
  ViewState view_;
  std::vector<Uid> selected_;
  QLineEdit* filter_;
  QComboBox* order_;
  QTreeWidget* tree_;
  QPushButton* zoom_;
  QPushButton* edit_;
  QPushButton* delete_;
};

}  // namespace leeward::ui
