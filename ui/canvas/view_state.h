// What the map shows; a matter of the window, not of the property.
#pragma once

#include "ui/render/features.h"

namespace leeward::ui {

/// A picture layer: shown or not, and how strongly (0..1).
struct LayerView {
  bool visible = true;
  double opacity = 1;
  friend bool operator==(const LayerView&, const LayerView&) = default;
};

struct ViewState {
  int brightness = 0;  ///< Of the aerial pictures: -60 dark .. 60 pale.
  LayerView relief{true, 0.6};
  LayerView scent{true, 0.75};
  LayerView sight{false, 0.8};
  bool ways = true;
  bool rings = true;
  bool fire = true;  ///< Closed directions and open ground behind, of the selected stand.
  bool labels = true;
  bool wind = true;  ///< Strokes of the local wind.
  bool slope_air = false;
  bool doubt = true;   ///< Patterns where the local air is of low confidence.
  bool margin = true;  ///< How far the wind may swing for the selected stand.
  bool legend = true;
  KindSet kinds = KindSet().set();
  KindSet locked;  ///< Seen and snapped to, not picked or changed.
  /// What a pointer may pick.
  KindSet pickable() const { return kinds & ~locked; }
  friend bool operator==(const ViewState&, const ViewState&) = default;
};

}  // namespace leeward::ui
