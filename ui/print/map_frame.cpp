#include "ui/print/map_frame.h"

#include "core/compute/scent_plume.h"
#include "core/io/raster_files.h"
#include "ui/print/contours.h"
#include "ui/print/grid_lines.h"
#include "ui/print/way_times.h"
#include "ui/render/air.h"
#include "ui/render/checks.h"
#include "ui/render/features.h"
#include "ui/render/fields.h"
#include "ui/render/fire.h"
#include "ui/render/margin_arc.h"
#include "ui/render/overlays.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr std::array<double, 26> kScales = {
    200,  250,  300,  400,  500,  600,   800,   1000,  1200,  1500,  2000,  2400,  2500,
    3000, 4000, 5000, 6000, 8000, 10000, 12000, 15000, 20000, 24000, 25000, 50000, 100000};

// The chosen stands with their ways, or the whole property.
Box groundToShow(const HuntMapRequest& request) {
  if (!request.stands.empty()) {
    Box chosen;
    for (const StandResult& s : request.results->stands) {
      const Ref<Feature> f = request.document->find(s.stand);
      if (!f || !isChosen(request, s.stand)) continue;
      chosen.add(f->shape.position());
      for (const auto* ways : {&s.way_in, &s.way_out}) {
        const Ref<Way>& way = (*ways)[static_cast<size_t>(request.layout.trade)];
        if (way) chosen.add(bounds(way->points));
      }
    }
    if (!chosen.empty()) return chosen.grown(120);
  }
  Box box = request.document->extent();
  if (box.empty() && !request.terrain->ground.empty()) box = request.terrain->ground.spec.box();
  if (box.empty()) box = request.terrain->rasters;
  if (box.empty() || !(box.width_m() > 0 || box.height_m() > 0))
    box = box.empty() ? Box{0, 0, 100, 100} : box.grown(50);
  return box;
}

// What a map too small for all of it is about: the chosen stands.
LocalXY middleOfStands(const HuntMapRequest& request, const Box& want) {
  Box stands;
  for (const Uid& uid : request.stands)
    if (const Ref<Feature> f = request.document->find(uid)) stands.add(f->shape.position());
  return stands.empty() ? want.centre() : stands.centre();
}

// Aerial layers at 300 dots an inch, in their order; whether any drew something.
Result<bool> drawAerials(Page& page, const HuntMapRequest& request, const MapFrame& frame,
                         const std::stop_token& stop) {
  Rows<RasterLayer> layers;
  for (const auto& r : *request.document->rasters) {
    if (r->role == RasterRole::aerial && r->visible) layers.push_back(r);
  }
  std::stable_sort(layers.begin(), layers.end(),
                   [](const auto& a, const auto& b) { return a->order < b->order; });
  const QRectF box = frame.upright.viewport();
  const Box ground = frame.upright.visible();
  const double dots_per_mm = page.dots(1), print_per_mm = page.photoDotsPerMm();
  const int w = static_cast<int>(std::lround(box.width() / dots_per_mm * print_per_mm));
  const int h = static_cast<int>(std::lround(box.height() / dots_per_mm * print_per_mm));
  bool drawn = false;
  for (const auto& layer : layers) {
    auto picture = io::render_layer(*layer, request.property_file, request.document->settings->crs,
                                    ground, w, h, stop);
    if (!picture) {
      if (picture.error().code == ErrorCode::cancelled) return std::move(picture.error());
      continue;  // named in the notes by the check; the map prints without it
    }
    if (picture->empty()) continue;
    QImage image(reinterpret_cast<const uchar*>(picture->argb.data()), picture->width_px,
                 picture->height_px, picture->width_px * 4, QImage::Format_ARGB32_Premultiplied);
    const bool opaque = std::all_of(picture->argb.begin(), picture->argb.end(),
                                    [](std::uint32_t v) { return v >> 24 == 255; });
    drawn = drawn || std::any_of(picture->argb.begin(), picture->argb.end(),
                                 [](std::uint32_t v) { return v >> 24 > 128; });
    if (opaque)
      image = image.convertToFormat(QImage::Format_RGB32);  // then the PDF may hold it as JPEG
    page.painter().setOpacity(layer->opacity);
    page.painter().drawImage(box, page.photo(image));
    page.painter().setOpacity(1);
  }
  return drawn;
}

// Fields, ways, fire, rings and margins: what lies on the ground, in the turned painter.
void drawResults(Page& page, const HuntMapRequest& request, const MapFrame& frame,
                 LabelPlacer& labels) {
  const Results& results = *request.results;
  const MapTransform& t = frame.upright;
  QPainter& p = page.painter();
  if (const StandResult* s = showsScent(request)) {
    ScentPicture scent = scentPicture(s->scent->field(results.hazard_in->spec));
    scent.image.image = page.photo(scent.image.image);
    drawScent(p, t, scent, 0.6);
  }
  if (results.air_map) drawWindStrokes(p, t, *results.air_map, 0.55);
  const size_t trade = static_cast<size_t>(request.layout.trade);
  for (const StandResult& s : results.stands) {
    if (!isChosen(request, s.stand)) continue;
    if (s.way_out[trade]) drawWay(p, t, *s.way_out[trade], true);
    if (s.way_in[trade]) drawWay(p, t, *s.way_in[trade], false);
  }
  for (const StandResult& s : results.stands) {
    const Ref<Feature> at = request.document->find(s.stand);
    if (at && isChosen(request, s.stand)) drawFire(p, t, at->shape.position(), s, true);
  }
  for (const StandResult& s : results.stands)
    if (isChosen(request, s.stand)) drawRingLines(p, t, s);
  if (!showsMargins(request)) return;
  for (const StandResult& s : results.stands) {
    const Ref<Feature> at = request.document->find(s.stand);
    if (!at || !isChosen(request, s.stand)) continue;
    const MarginArc arc = marginArc(t, at->shape.position(), results.air.from, s);
    for (const QRectF& box : drawMarginArc(p, t, arc)) labels.take(frame.turn.mapRect(box));
  }
}

// Words, level on the page however the map is turned.
void drawLabels(Page& page, const HuntMapRequest& request, const MapTransform& t,
                LabelPlacer& labels) {
  const Results& results = *request.results;
  const UnitSystem units = request.document->settings->units;
  QPainter& p = page.painter();
  for (const StandResult& s : results.stands)
    if (isChosen(request, s.stand)) drawRingLabels(p, t, s, units, labels);
  for (const StandResult& s : results.stands) {
    const Ref<Feature> at = request.document->find(s.stand);
    if (at && isChosen(request, s.stand))
      drawFireLabels(p, t, *request.document, at->shape.position(), s, labels);
  }
  for (const ScrapeLine& line : results.scrape_lines)
    drawScrapeLineLabels(p, t, line, units, labels);
  KindSet all;
  all.set();
  takeSymbols(t, *request.document, all, labels);
  drawGapLabels(p, t, results.gaps, labels);
  labels.allowLeaders();
  drawFeatureLabels(p, t, *request.document, all, {}, labels);
  labels.allowLeaders(false);
  drawWayTimes(page, t, request, labels);
}

}  // namespace

std::span<const double> usualScales() { return kScales; }

bool isChosen(const HuntMapRequest& request, const Uid& stand) {
  return request.stands.empty() ||
         std::find(request.stands.begin(), request.stands.end(), stand) != request.stands.end();
}

const StandResult* showsScent(const HuntMapRequest& request) {
  if (request.stands.size() != 1) return nullptr;
  const StandResult* s = request.results->find(request.stands[0]);
  return s && s->scent ? s : nullptr;
}

bool showsMargins(const HuntMapRequest& request) {
  return !request.stands.empty() && windIsDirected(*request.results);
}

MapFrame placeMap(const HuntMapRequest& request, const PageGeometry& geometry, double dots_per_mm) {
  const Box want = groundToShow(request);
  const double up_deg = request.layout.turned_deg;
  const double c = std::abs(std::cos(up_deg * kRadPerDeg)),
               sine = std::abs(std::sin(up_deg * kRadPerDeg));
  // What the turned frame must hold.
  const double wide_m = c * want.width_m() + sine * want.height_m(),
               high_m = sine * want.width_m() + c * want.height_m();
  MapFrame frame;
  frame.denominator = request.layout.scale_denominator;
  if (!(frame.denominator > 0)) {
    const double need =
        1000 * 1.04 * std::max(wide_m / geometry.map.width(), high_m / geometry.map.height());
    frame.denominator = kScales.back();
    for (auto it = kScales.rbegin(); it != kScales.rend() && *it >= need; ++it)
      frame.denominator = *it;
  }
  const double held_m = frame.denominator / 1000;  // metres of ground a millimetre of page
  const bool fits =
      wide_m <= geometry.map.width() * held_m && high_m <= geometry.map.height() * held_m;
  frame.want_centre = want.centre();
  frame.want_m = QSizeF(wide_m, high_m);
  frame.fits = fits;
  const LocalXY centre =
      request.layout.centre.value_or(fits ? want.centre() : middleOfStands(request, want));
  const QRectF dots(geometry.map.x() * dots_per_mm, geometry.map.y() * dots_per_mm,
                    geometry.map.width() * dots_per_mm, geometry.map.height() * dots_per_mm);
  const double large = request.layout.large_type ? kLargeType : 1;
  const double scale = large * MapTransform::metresPerPxAtScale(frame.denominator),
               unit = large * dots_per_mm * 25.4 / 96;
  frame.transform = MapTransform(centre, scale, dots, unit).turned(up_deg);
  const QPointF middle = dots.center();
  QRectF around(0, 0, c * dots.width() + sine * dots.height(),
                sine * dots.width() + c * dots.height());
  around.moveCenter(middle);
  frame.upright = MapTransform(centre, scale, around, unit);
  frame.turn.translate(middle.x(), middle.y());
  frame.turn.rotate(-up_deg);
  frame.turn.translate(-middle.x(), -middle.y());
  frame.ground = frame.transform.visible();
  return frame;
}

namespace {

// All that is turned with the map. ERRORS: cancelled.
Status drawGround(Page& page, const HuntMapRequest& request, MapFrame& frame, LabelPlacer& labels,
                  const Contours& contours, std::stop_token stop, const PrintProgress& progress) {
  const auto step = [&](double share, const char* what) {
    if (progress) progress(share, what);
    return stop.stop_requested() ? Status(fail(ErrorCode::cancelled, "cancelled")) : ok();
  };
  QPainter& p = page.painter();
  const MapTransform& t = frame.upright;
  if (Status s = step(0.1, "aerial"); !s) return s;
  if (request.layout.aerial) {
    auto drawn = drawAerials(page, request, frame, stop);
    if (!drawn) return std::move(drawn.error());
    frame.aerial = *drawn;
  }
  if (Status s = step(0.5, "relief"); !s) return s;
  if (!frame.aerial && !request.terrain->ground.empty()) {
    GroundImage relief = reliefImage(request.terrain->ground);
    relief.image = page.photo(relief.image);
    drawGroundImage(p, t, relief, 1.0);
  }
  drawContours(page, t, contours);
  if (Status s = step(0.6, "features"); !s) return s;
  KindSet all;
  all.set();
  drawViewsAndLines(p, t, *request.document, *request.results, true, true);
  drawFeatures(p, t, *request.document, all, {}, true);
  drawMendSigns(p, t, *request.document, *request.results, true, true);
  drawResults(page, request, frame, labels);
  return ok();
}

}  // namespace

Status drawMap(Page& page, const HuntMapRequest& request, MapFrame& frame, std::stop_token stop,
               const PrintProgress& progress) {
  QPainter& p = page.painter();
  const QRectF box = frame.transform.viewport();
  p.save();
  p.setClipRect(box);
  p.fillRect(box, QColor::fromRgb(chrome::kLand));
  LabelPlacer labels(box.adjusted(page.dots(2), page.dots(2), -page.dots(2), -page.dots(2)));
  // Keep the grid's digits, along the top and left edges, and the scale bars' corner clear.
  const double k = page.typeScale();
  labels.take({box.left(), box.top(), box.width(), page.dots(7 * k)});
  labels.take({box.left(), box.top(), page.dots(9 * k), box.height()});
  const QRectF corner = page.rect(scaleCorner(box.bottomLeft() / page.dots(1), k));
  labels.take(corner.adjusted(-page.dots(3), -page.dots(1), page.dots(1), page.dots(3)));
  Contours contours;
  if (request.layout.contours)
    contours = contoursOf(request.terrain->ground, frame.ground, frame.denominator,
                          request.document->settings->units);
  if (!contours.lines.empty()) {
    frame.contour_interval = contours.interval;
    frame.contour_unit = contours.unit;
  }
  p.save();
  p.setTransform(frame.turn, true);
  Status done = drawGround(page, request, frame, labels, contours, stop, progress);
  p.restore();
  if (done) {
    drawLabels(page, request, frame.transform, labels);
    drawContourLabels(page, frame.transform, contours, labels);
    if (progress) progress(0.8, "grid");
    drawGrid(page, frame.transform, gridSpacingM(frame.denominator), corner);
  }
  p.restore();
  p.setBrush(Qt::NoBrush);
  p.setPen(QPen(QColor::fromRgb(chrome::kInk), page.dots(0.35)));
  p.drawRect(box);
  return done;
}

Result<QImage> mapPicture(const HuntMapRequest& request, const Box& box, double metres_per_px,
                          std::stop_token stop, const PrintProgress& progress) {
  const QSize size(static_cast<int>(std::ceil(box.width_m() / metres_per_px)),
                   static_cast<int>(std::ceil(box.height_m() / metres_per_px)));
  QImage image(size, QImage::Format_RGB32);
  if (image.isNull())
    return fail(ErrorCode::invalid_argument, "the picture of the map would be too large");
  image.fill(Qt::white);
  MapFrame frame;
  frame.denominator = metres_per_px * 96 / 0.0254;
  // The picture's edges are the box's, not a whole pixel's.
  frame.transform = frame.upright =
      MapTransform(box.centre(), metres_per_px,
                   QRectF(0, 0, box.width_m() / metres_per_px, box.height_m() / metres_per_px));
  frame.ground = box;
  QPainter painter(&image);
  painter.setRenderHints(QPainter::Antialiasing | QPainter::TextAntialiasing |
                         QPainter::SmoothPixmapTransform);
  painter.fillRect(image.rect(), QColor::fromRgb(chrome::kLand));
  Page page(painter, 96 / 25.4);
  LabelPlacer labels(frame.transform.viewport());
  Contours contours;
  if (request.layout.contours)
    contours = contoursOf(request.terrain->ground, box, frame.denominator,
                          request.document->settings->units);
  if (Status s = drawGround(page, request, frame, labels, contours, stop, progress); !s)
    return std::move(s.error());
  drawLabels(page, request, frame.transform, labels);
  drawContourLabels(page, frame.transform, contours, labels);
  return image;
}

}  // namespace leeward::ui
