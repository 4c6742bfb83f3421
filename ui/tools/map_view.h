// What a tool may ask of the map it works on.
#pragma once

#include "ui/canvas/view_state.h"
#include "ui/render/map_transform.h"

namespace leeward::ui {

class MapView {
 public:
  virtual ~MapView() = default;
  virtual const MapTransform& transform() const = 0;
  virtual const ViewState& view() const = 0;
  /// Repaints what tools draw over the map.
  virtual void repaintTools() = 0;
  /// One line for the status bar while a tool works.
  virtual void showHint(const QString& words) = 0;
};

}  // namespace leeward::ui
