#include "ui/print/map_files.h"

#include "core/eval/explain.h"
#include "core/io/map_export.h"
#include "ui/print/map_frame.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QImage>

#include <algorithm>
#include <cctype>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kLongest_px = 6000;  // of a rendered map's or aerial picture's longer side
constexpr double kFinest_m = 1.0;     // ground under a pixel of it
constexpr double kMargin_m = 100;     // about the property

bool isGiven(const MapFileRequest& request, Kind kind) {
  if (!request.stands && (kind == Kind::stand || kind == Kind::shooting_lane)) return false;
  return request.kinds[static_cast<size_t>(kind)];
}

Box boxOf(const MapFileRequest& request) { return request.map.document->extent().grown(kMargin_m); }

double metresPerPx(const Box& box, double longest_px) {
  return std::max(kFinest_m, std::max(box.width_m(), box.height_m()) / longest_px);
}

void addWays(const MapFileRequest& request, io::ExportMap& out) {
  const Document& d = *request.map.document;
  const size_t trade = static_cast<size_t>(request.map.layout.trade);
  const auto add = [&](const Ref<Way>& way, const std::string& stand, const char* which) {
    if (!way || way->points.size() < 2) return;
    out.ways.push_back({stand + " " + which,
                        minutes_text(way->time_s) + ", " +
                            distance_text(way->length_m, d.settings->units) + ", unnoticed " +
                            chance_text(way->unnoticed, way->unnoticed_low, way->unnoticed_high),
                        way->points});
  };
  for (const StandResult& s : request.map.results->stands) {
    const Ref<Feature> f = d.find(s.stand);
    if (!f || !isChosen(request.map, s.stand)) continue;
    add(s.way_in[trade], display_name(*f), "in");
    add(s.way_out[trade], display_name(*f), "out");
  }
}

io::ExportMap exportOf(const MapFileRequest& request) {
  io::ExportMap out;
  const Document given = sharedPart(request);
  out.name = given.settings->name;
  for (const auto& rows : given.features)
    out.features.insert(out.features.end(), rows->begin(), rows->end());
  for (const KindInfo& k : all_kinds()) {
    const KindStyle style = styleOf(k.kind);
    const size_t i = static_cast<size_t>(k.kind);
    out.line_argb[i] = style.line.rgba();
    out.fill_argb[i] = style.fill.isValid() ? style.fill.rgba() : 0;
  }
  if (request.ways && request.stands) addWays(request, out);
  return out;
}

io::Picture pictureOf(const QImage& image) {
  const QImage argb = image.convertToFormat(QImage::Format_ARGB32_Premultiplied);
  io::Picture out{argb.width(), argb.height(), {}};
  out.argb.reserve(static_cast<size_t>(argb.width()) * static_cast<size_t>(argb.height()));
  for (int y = 0; y < argb.height(); ++y) {
    const auto* row = reinterpret_cast<const std::uint32_t*>(argb.constScanLine(y));
    out.argb.insert(out.argb.end(), row, row + argb.width());
  }
  return out;
}

/// The map of what is given away, and of nothing else.
HuntMapRequest givenMap(const MapFileRequest& request) {
  HuntMapRequest out = request.map;
  out.document = make_ref<Document>(sharedPart(request));
  out.layout.aerial = request.aerial;
  Results shown = *request.map.results;
  if (!request.stands) shown.stands.clear();
  if (!request.ways)
    for (StandResult& s : shown.stands) s.way_in = s.way_out = {};
  if (!isGiven(request, Kind::mock_scrape)) shown.scrapes.clear(), shown.scrape_lines.clear();
  if (!isGiven(request, Kind::camera)) shown.cameras.clear();
  out.results = make_ref<Results>(std::move(shown));
  return out;
}

Result<std::optional<io::GroundPicture>> aerialOf(const MapFileRequest& request,
                                                  std::stop_token stop) {
  std::optional<io::GroundPicture> out;
  const Ref<RasterLayer> layer = request.map.document->raster(RasterRole::aerial);
  if (!request.aerial || !layer) return out;
  const Box box = boxOf(request);
  const double m = metresPerPx(box, 2048);
  auto picture =
      io::render_layer(*layer, request.map.property_file, request.map.document->settings->crs, box,
                       static_cast<int>(std::ceil(box.width_m() / m)),
                       static_cast<int>(std::ceil(box.height_m() / m)), stop);
  if (!picture) return std::move(picture.error());
  out = io::GroundPicture{*std::move(picture), box};
  return out;
}

Status writeTiles(const MapFileRequest& request, const std::filesystem::path& to,
                  std::stop_token stop, const PrintProgress& progress) {
  if (Status font = checkFont(); !font) return font;
  const Box box = boxOf(request);
  auto image = mapPicture(givenMap(request), box, metresPerPx(box, kLongest_px), stop, progress);
  if (!image) return std::move(image.error());
  if (progress) progress(0.85, "tiles");
  return io::write_mbtiles(to, request.map.document->settings->name, {pictureOf(*image), box},
                           request.map.document->settings->crs);
}

}  // namespace

Document sharedPart(const MapFileRequest& request) {
  Document out = *request.map.document;
  for (const KindInfo& k : all_kinds())
    if (!isGiven(request, k.kind))
      out.features[static_cast<size_t>(k.kind)] = make_ref<Rows<Feature>>();
  if (!isGiven(request, Kind::stand) || request.map.stands.empty()) return out;
  Rows<Feature> chosen;
  for (const auto& f : request.map.document->of(Kind::stand))
    if (isChosen(request.map, f->uid)) chosen.push_back(f);
  out.features[static_cast<size_t>(Kind::stand)] = make_ref<Rows<Feature>>(std::move(chosen));
  return out;
}

Status writeMapFile(const MapFileRequest& request, const std::filesystem::path& to,
                    std::stop_token stop, const PrintProgress& progress) {
  auto frame = Frame::make(request.map.document->settings->crs);
  if (!frame) return std::move(frame.error());
  std::string ending = to.extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  if (ending == ".mbtiles") return writeTiles(request, to, stop, progress);
  if (ending == ".gpx") return io::write_map_gpx(to, *frame, exportOf(request));
  if (ending == ".geojson") return io::write_geojson(to, *frame, exportOf(request));
  if (ending == ".zip")
    return io::write_shapefiles(to, request.map.document->settings->crs, exportOf(request));
  if (ending == ".kml") return io::write_kml(to, *frame, exportOf(request), std::nullopt);
  if (ending != ".kmz")
    return fail(
        ErrorCode::invalid_argument,
        to.string() + ": name it .gpx, .kml, .kmz, .geojson, .mbtiles or .zip (Shapefiles)");
  auto under = aerialOf(request, stop);
  if (!under) return std::move(under.error());
  return io::write_kml(to, *frame, exportOf(request), *under);
}

}  // namespace leeward::ui
