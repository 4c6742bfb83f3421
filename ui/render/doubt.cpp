#include "ui/render/doubt.h"

#include "ui/render/air.h"
#include "ui/render/hatch.h"

#include <QPainter>

#include <cmath>

namespace leeward::ui {
namespace {

struct Run {
  int from = 0, to = 0;  ///< Columns, `to` behind the last.
  int top = 0;           ///< First row.
};

std::vector<Run> runsOf(const Raster<std::uint8_t>& doubt, int row, std::uint8_t bit) {
  std::vector<Run> runs;
  const std::uint8_t* cell = doubt.row(row);
  for (int c = 0; c < doubt.spec.cols; ++c) {
    if (!(cell[c] & bit)) continue;
    const int from = c;
    while (c < doubt.spec.cols && (cell[c] & bit)) ++c;
    runs.push_back({from, c, row});
  }
  return runs;
}

Box boxOf(const GridSpec& g, const Run& run, int bottom) {
  return {g.west + run.from * g.cell_m, g.north - bottom * g.cell_m, g.west + run.to * g.cell_m,
          g.north - run.top * g.cell_m};
}

/// Runs of equal columns in rows that follow each other become one box.
std::vector<Box> partsOf(const Raster<std::uint8_t>& doubt, std::uint8_t bit) {
  std::vector<Box> out;
  std::vector<Run> open;
  for (int r = 0; r <= doubt.spec.rows; ++r) {
    std::vector<Run> now = r < doubt.spec.rows ? runsOf(doubt, r, bit) : std::vector<Run>{};
    for (const Run& old : open) {
      bool goes_on = false;
      for (Run& run : now) {
        if (run.from != old.from || run.to != old.to) continue;
        run.top = old.top;
        goes_on = true;
      }
      if (!goes_on) out.push_back(boxOf(doubt.spec, old, r));
    }
    open = std::move(now);
  }
  return out;
}

}  // namespace

const std::array<DoubtLook, kDoubtCauses>& doubtLooks() {
  static const std::array<DoubtLook, kDoubtCauses> looks = {
      {{kDoubtLee, Hatch::lean, "lee of a slope"},
       {kDoubtCalm, Hatch::dots, "calm, wanders to all sides"},
       {kDoubtTransition, Hatch::wide_dots, "air turns near sunrise, sunset"},
       {kDoubtTimber, Hatch::ticks, "deep in timber"}}};
  return looks;
}

DoubtPicture doubtPicture(const Raster<std::uint8_t>& doubt) {
  DoubtPicture out;
  if (doubt.empty()) return out;
  for (std::size_t i = 0; i < kDoubtCauses; ++i) {
    const auto bit = static_cast<std::uint8_t>(doubtLooks()[i].bit);
    std::size_t held = 0;
    for (const std::uint8_t cell : doubt.cells) held += (cell & bit) != 0;
    out.share[i] = static_cast<double>(held) / static_cast<double>(doubt.cells.size());
    if (out.hatched(static_cast<int>(i))) out.parts[i] = partsOf(doubt, bit);
  }
  return out;
}

QColor doubtInk() {
  QColor ink = airInk();
  ink.setAlpha(140);
  return ink;
}
QColor doubtCasing() {
  QColor pale = airCasing();
  pale.setAlpha(85);
  return pale;
}

void drawDoubt(QPainter& painter, const MapTransform& t, const DoubtPicture& picture) {
  const MapTransform level = t.level();
  const Box seen = level.visible();
  painter.save();
  if (t.isTurned()) painter.setTransform(t.turning(), true);
  painter.setRenderHint(QPainter::Antialiasing, false);
  for (std::size_t i = 0; i < kDoubtCauses; ++i) {
    if (picture.parts[i].empty()) continue;
    const QBrush brush =
        hatchBrush(painter, level, doubtLooks()[i].hatch, doubtInk(), doubtCasing());
    for (const Box& box : picture.parts[i]) {
      if (!box.overlaps(seen)) continue;
      // Edges on whole device units: neighbours meet without a seam.
      const QRectF r = level.toDevice(box) & level.viewport();
      const QPointF a(std::round(r.left()), std::round(r.top()));
      painter.fillRect(QRectF(a, QPointF(std::round(r.right()), std::round(r.bottom()))), brush);
    }
  }
  painter.restore();
}

}  // namespace leeward::ui
