#include "ui/print/way_times.h"

#include "core/eval/explain.h"
#include "ui/print/column.h"
#include "ui/print/map_frame.h"
#include "ui/style/type.h"

#include <array>
#include <cmath>

namespace leeward::ui {
namespace {

// Shares of a way's length at which its time is tried.
constexpr std::array<double, 7> kTried = {0.5, 0.38, 0.62, 0.26, 0.74, 0.14, 0.86};
constexpr double kBeside_px = 5;

std::chrono::seconds walked(const Way& way) {
  return std::chrono::seconds{std::lround(way.time_s)};
}

void drawTime(Page& page, const MapTransform& t, const Path& points, const QString& words,
              LabelPlacer& labels) {
  double whole_m = 0;
  for (size_t i = 1; i < points.size(); ++i) whole_m += distance_m(points[i - 1], points[i]);
  for (const double share : kTried) {
    double left_m = share * whole_m;
    for (size_t i = 1; i < points.size(); ++i) {
      const double step_m = distance_m(points[i - 1], points[i]);
      if (left_m > step_m || !(step_m > 0)) {
        left_m -= step_m;
        continue;
      }
      const LocalXY at = points[i - 1] + (points[i] - points[i - 1]) * (left_m / step_m);
      const QPointF px = t.toDevice(at);
      if (!t.viewport().contains(px)) break;
      if (labels.label(page.painter(), t, px, kBeside_px, words,
                       fontOfPixels(t.px(9.5), QFont::DemiBold), inkColour()))
        return;
      break;
    }
  }
}

}  // namespace

Instant setsOut(const Scene& scene, const Way& in) { return scene.arrive - walked(in); }
Instant isBack(const Scene& scene, const Way& out) { return scene.leave + walked(out); }

void drawWayTimes(Page& page, const MapTransform& t, const HuntMapRequest& request,
                  LabelPlacer& labels) {
  const Results& r = *request.results;
  const std::string& zone = request.document->settings->time_zone;
  const size_t trade = static_cast<size_t>(request.layout.trade);
  for (const StandResult& s : r.stands) {
    if (!isChosen(request, s.stand)) continue;
    if (const Way* in = s.way_in[trade].get(); in && in->points.size() > 1)
      drawTime(page, t, in->points,
               QStringLiteral("in %1").arg(text(clock_text(setsOut(r.scene, *in), zone))), labels);
    if (const Way* out = s.way_out[trade].get(); out && out->points.size() > 1)
      drawTime(page, t, out->points,
               QStringLiteral("out %1").arg(text(clock_text(isBack(r.scene, *out), zone))), labels);
  }
}

}  // namespace leeward::ui
