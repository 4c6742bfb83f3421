// Where the local air is of low confidence, as patterns by cause. A cause that holds nearly
// everywhere is said in words instead: a pattern all over would say nothing and hide the map.
#pragma once

#include "core/eval/results.h"
#include "ui/render/map_transform.h"
#include "ui/style/palette.h"

#include <array>
#include <vector>

class QPainter;

namespace leeward::ui {

inline constexpr int kDoubtCauses = 4;
/// The causes in the order of their bits: lee, calm, transition, timber.
struct DoubtLook {
  AirDoubt bit;
  Hatch hatch;
  const char* words;  ///< "lee of a slope".
};
const std::array<DoubtLook, kDoubtCauses>& doubtLooks();

/// Made once per air map. A cause that holds on more than kEverywhere of it is not hatched.
struct DoubtPicture {
  static constexpr double kEverywhere = 0.8;
  std::array<std::vector<Box>, kDoubtCauses> parts;  ///< Boxes that do not overlap.
  std::array<double, kDoubtCauses> share{};          ///< Of the map's cells.
  bool everywhere(int cause) const { return share[static_cast<std::size_t>(cause)] > kEverywhere; }
  bool hatched(int cause) const {
    return share[static_cast<std::size_t>(cause)] > 0 && !everywhere(cause);
  }
};
DoubtPicture doubtPicture(const Raster<std::uint8_t>& doubt);

/// Ink and casing of the patterns: faint, so that features stay readable.
QColor doubtInk();
QColor doubtCasing();
void drawDoubt(QPainter& painter, const MapTransform& t, const DoubtPicture& picture);

}  // namespace leeward::ui
