// LayerPanel: what the map shows. Aerial layers are part of the property (their opacity and
// visibility are edits); the rest is a matter of the window.
#pragma once

#include "core/model/edit.h"
#include "ui/canvas/view_state.h"

#include <QScrollArea>

class QCheckBox;
class QHBoxLayout;
class QVBoxLayout;

namespace leeward::ui {

class LayerPanel : public QScrollArea {
  Q_OBJECT

 public:
  explicit LayerPanel(QWidget* parent = nullptr);
  void setDocument(Ref<Document> document, bool read_only);
  const ViewState& view() const { return view_; }
  void setView(const ViewState& view);

 signals:
  void viewChanged(const ViewState& view);
  void edited(const EditStep& step, bool finished);

 private:
  void rebuild();
  void addRaster(QVBoxLayout* column, const Ref<RasterLayer>& raster);
  void addPicture(QVBoxLayout* column, const char* picture, const QString& words,
                  LayerView ViewState::*layer);
  void addSwitch(QVBoxLayout* column, const char* picture, const QString& words,
                 bool ViewState::*flag);
  void addKinds(QVBoxLayout* column);
  void addBrightness(QVBoxLayout* column);
  void addOrder(QHBoxLayout* row, const Ref<RasterLayer>& raster);
  void swapOrder(const Uid& uid, int by);

  ViewState view_;
  Ref<Document> document_ = make_ref<Document>();
  Ref<Rows<RasterLayer>> shown_rasters_;
  bool read_only_ = false;
  bool own_edit_ = false;
};

}  // namespace leeward::ui
