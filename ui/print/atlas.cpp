#include "ui/print/atlas.h"

#include "ui/print/column.h"
#include "ui/print/side_blocks.h"
#include "ui/render/features.h"
#include "ui/render/labels.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <cmath>

namespace leeward::ui {
namespace {

std::array<LocalXY, 4> cornersOf(const MapTransform& t) {
  const QRectF box = t.viewport();
  return {t.toLocal(box.bottomLeft()), t.toLocal(box.topLeft()), t.toLocal(box.topRight()),
          t.toLocal(box.bottomRight())};
}

QString sheetName(int row, int col) {
  return QString(QChar(QLatin1Char(static_cast<char>('A' + row % 26)))).repeated(row / 26 + 1) +
         QString::number(col + 1);
}

}  // namespace

Result<std::vector<AtlasSheet>> atlasSheets(const HuntMapRequest& request,
                                            const PageGeometry& geometry) {
  const MapFrame map = placeMap(request, geometry, 1);
  if (!request.whole_ground || map.fits)
    return std::vector<AtlasSheet>{{{}, map.transform.centre(), cornersOf(map.transform)}};
  const double held_m = map.denominator / 1000, overlap_m = kOverlap_mm * held_m;
  const double step_x = geometry.map.width() * held_m - overlap_m,
               step_y = geometry.map.height() * held_m - overlap_m;
  const int cols =
                std::max(1, static_cast<int>(std::ceil((map.want_m.width() - overlap_m) / step_x))),
            rows = std::max(
                1, static_cast<int>(std::ceil((map.want_m.height() - overlap_m) / step_y)));
  if (cols * rows > kMostSheets)
    return fail(ErrorCode::invalid_argument,
                "the ground would take " + std::to_string(cols * rows) +
                    " pages at 1:" + std::to_string(std::lround(map.denominator)) + "; at most " +
                    std::to_string(kMostSheets) + " are printed: choose a smaller scale");
  const Bearing up = Bearing::degrees(request.layout.turned_deg), right = up.turned_deg(90);
  std::vector<AtlasSheet> out;
  for (int r = 0; r < rows; ++r) {
    for (int c = 0; c < cols; ++c) {
      HuntMapRequest one = request;
      const LocalXY beside = moved(map.want_centre, right, (c - (cols - 1) / 2.0) * step_x);
      one.layout.centre = moved(beside, up, ((rows - 1) / 2.0 - r) * step_y);
      one.layout.scale_denominator = map.denominator;
      const MapFrame sheet = placeMap(one, geometry, 1);
      out.push_back({sheetName(r, c), *one.layout.centre, cornersOf(sheet.transform)});
    }
  }
  return out;
}

void drawIndexSketch(Page& page, const HuntMapRequest& request, const PageGeometry& geometry,
                     const std::vector<AtlasSheet>& sheets, double denominator) {
  HuntMapRequest shown = request;
  shown.sheet = QStringLiteral("index");
  drawTitle(page, shown, geometry);
  Box all = request.document->extent();
  for (const AtlasSheet& s : sheets)
    for (const LocalXY p : s.corners) all.add(p);
  const QRectF box = page.rect(geometry.map.adjusted(0, 0, 0, -10 * page.typeScale()));
  const MapTransform t = MapTransform::fitting(all, box, 12, page.per_px()).turned(0);
  QPainter& p = page.painter();
  p.save();
  p.setClipRect(box);
  KindSet kinds;
  for (const Kind k : {Kind::boundary, Kind::road, Kind::water, Kind::stand, Kind::gate})
    kinds.set(static_cast<size_t>(k));
  drawFeatures(p, t, *request.document, kinds, {}, true);
  const QFont font = page.font(13, true);
  const QFontMetricsF m(font, p.device());
  p.setBrush(Qt::NoBrush);
  for (const AtlasSheet& s : sheets) {
    QPolygonF outline;
    for (const LocalXY corner : s.corners) outline << t.toDevice(corner);
    p.setPen(QPen(inkColour(), page.dots(0.4)));
    p.drawPolygon(outline);
    const QPointF middle = t.toDevice(s.centre);
    drawHaloText(p, {middle.x() - m.horizontalAdvance(s.name) / 2, middle.y() + m.ascent() / 2},
                 s.name, font, inkColour(), page.dots(0.8));
  }
  p.restore();
  page.line(geometry.map.left(), geometry.map.bottom() - 8 * page.typeScale(), geometry.map.width(),
            QStringLiteral("%1 sheets at 1 : %L2; neighbours overlap by %3 mm. Grid north is up on "
                           "this sketch.")
                .arg(sheets.size())
                .arg(denominator, 0, 'f', 0)
                .arg(kOverlap_mm),
            kBody_pt, softColour());
}

}  // namespace leeward::ui
