#include "core/io/new_property.h"

#include "core/io/forecast_files.h"
#include "core/io/store_paths.h"
#include "core/io/vector_files.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

/// UTM zone of a place in the datum of a CRS that is called `crs_name`: codes of the EPSG registry
/// (NAD83 26901-26923, NAD83(2011) 6330-6348), else WGS 84. The name of the made CRS is checked.
Result<CrsId> utm_in_datum(LonLat centre, const std::string& crs_name) {
  auto wgs84 = utm_crs_for(centre);
  if (!wgs84 || centre.lat < 0) return wgs84;
  int code = 0;
  if (std::sscanf(wgs84->c_str(), "EPSG:%d", &code) != 1) return wgs84;
  const int zone = code - 32600;
  const auto datum_is = [&](const std::string& datum) {
    return crs_name == datum || crs_name.starts_with(datum + " ");
  };
  std::string datum;
  int other = 0;
  if (datum_is("NAD83(2011)") && zone >= 1 && zone <= 19) {
    datum = "NAD83(2011)", other = 6329 + zone;
  } else if (datum_is("NAD83") && zone >= 1 && zone <= 23) {
    datum = "NAD83", other = 26900 + zone;
  }
  if (other == 0) return wgs84;
  const CrsId candidate = "EPSG:" + std::to_string(other);
  const auto frame = Frame::make(candidate);
  const std::string expected = datum + " / UTM zone " + std::to_string(zone) + "N";
  return frame && frame->name() == expected ? Result<CrsId>(candidate) : wgs84;
}

struct Raw {
  fs::path path;
  RasterRole role;
  RasterFacts facts;
};

Result<std::vector<Raw>> inspect_all(const NewProperty& request) {
  std::vector<Raw> out;
  const auto add = [&](const fs::path& path, RasterRole role) -> Status {
    auto facts = inspect_raster(path, request.crs);
    if (!facts) return std::move(facts.error());
    const std::string name = path.filename().string();
    if (!facts->georeferenced || !facts->has_crs) {
      return fail(ErrorCode::unsupported,
                  name +
                      (facts->georeferenced ? ": it names no coordinate system"
                                            : ": it does not say where it lies") +
                      "; georeference it in a GIS first");
    }
    if (role != RasterRole::aerial && facts->bands > 1) {
      return fail(ErrorCode::unsupported,
                  name + ": it has " + std::to_string(facts->bands) +
                      " bands, so it holds no elevation; choose a raster of heights");
    }
    out.push_back({path, role, std::move(*facts)});
    return ok();
  };
  if (!request.elevation.empty())
    if (Status done = add(request.elevation, RasterRole::elevation); !done)
      return std::move(done.error());
  if (!request.surface.empty())
    if (Status done = add(request.surface, RasterRole::surface); !done)
      return std::move(done.error());
  for (const fs::path& aerial : request.aerials)
    if (Status done = add(aerial, RasterRole::aerial); !done) return std::move(done.error());
  return out;
}

Result<CrsId> choose_crs(const NewProperty& request, const std::vector<Raw>& rasters) {
  if (!request.crs.empty()) return request.crs;
  for (const Raw& r : rasters) {
    if (!std::isfinite(r.facts.centre_wgs84.lon)) continue;
    return utm_in_datum(r.facts.centre_wgs84, r.facts.crs_name);
  }
  return fail(ErrorCode::invalid_argument,
              "there is no raster to take the place from; add an elevation or an aerial, or name "
              "the coordinate system (EPSG:326zz for UTM zone zz)");
}

double metres_per_unit(const NewProperty& request, const Raw& raster) {
  if (raster.role == RasterRole::aerial) return 1;
  const bool states_one = raster.facts.metres_per_unit != 1;
  if (raster.role == RasterRole::surface && states_one) return raster.facts.metres_per_unit;
  return request.elevation_metres_per_unit > 0 ? request.elevation_metres_per_unit
                                               : raster.facts.metres_per_unit;
}

RasterLayer to_layer(const NewProperty& request, const Raw& raster, int order,
                     const fs::path& property_file) {
  RasterLayer out;
  out.uid = Uid::random();
  out.name = raster.path.stem().string();
  out.path = relative_raster_path(raster.path, property_file);
  out.role = raster.role;
  out.order = order;
  out.metres_per_unit = metres_per_unit(request, raster);
  return out;
}

/// The middle of the rasters in the frame, or of what was imported.
LocalXY place_of(const Frame& frame, const std::vector<Raw>& rasters, const Document& document) {
  const Box extent = document.extent();
  if (!extent.empty()) return extent.centre();
  for (const Raw& r : rasters)
    if (std::isfinite(r.facts.centre_wgs84.lon)) return frame.to_local(r.facts.centre_wgs84);
  return {500'000, 0};
}

Status add_vectors(const NewProperty& request, const Frame& frame, Made& made) {
  std::array<Rows<Feature>, kKindCount> rows;
  for (const NewProperty::Vector& v : request.vectors) {
    auto read = read_vector(v.path, v.kind, frame);
    if (!read) return std::move(read.error());
    made.notes.push_back(std::to_string(read->taken) + " features taken from " +
                         v.path.filename().string() + " as " + info(v.kind).noun + ", " +
                         std::to_string(read->changed) + " changed, " +
                         std::to_string(read->left_out) + " left out.");
    for (std::string& note : read->notes) made.notes.push_back(std::move(note));
    for (Feature& f : read->features)
      rows[static_cast<size_t>(v.kind)].push_back(make_ref<Feature>(std::move(f)));
  }
  for (size_t k = 0; k < kKindCount; ++k)
    made.document.features[k] = make_ref<Rows<Feature>>(std::move(rows[k]));
  return ok();
}

Status add_forecast(const NewProperty& request, const Frame& frame, LocalXY place, Made& made) {
  auto read = read_forecast(request.forecast, frame, place);
  if (!read) return std::move(read.error());
  made.document.forecasts =
      make_ref<Rows<Forecast>>(Rows<Forecast>{make_ref<Forecast>(std::move(read->forecast))});
  Rows<WindHour> hours;
  for (WindHour& h : read->hours) hours.push_back(make_ref<WindHour>(std::move(h)));
  made.document.stored_hours = make_ref<Rows<WindHour>>(std::move(hours));
  take_hours_in_force(made.document);
  for (std::string& note : read->notes) made.notes.push_back(std::move(note));
  return ok();
}

/// Rasters that lie apart are a common slip (two zones, two counties).
void note_apart(const std::vector<Raw>& rasters, const CrsId& crs, Made& made) {
  Box first;
  for (const Raw& r : rasters) {
    const auto facts = inspect_raster(r.path, crs);
    if (!facts || facts->box.empty()) continue;
    if (first.empty()) {
      first = facts->box;
    } else if (!first.overlaps(facts->box)) {
      made.notes.push_back(r.path.filename().string() + " does not overlap " +
                           rasters.front().path.filename().string() + ".");
    }
  }
}

}  // namespace

Result<Made> make_property(const NewProperty& request, const fs::path& property_file) {
  if (!is_time_zone(request.time_zone)) {
    return fail(ErrorCode::invalid_argument, "'" + request.time_zone +
                                                 "' is not an IANA time zone; write for instance "
                                                 "America/Chicago");
  }
  auto rasters = inspect_all(request);
  if (!rasters) return std::move(rasters.error());
  auto crs = choose_crs(request, *rasters);
  if (!crs) return std::move(crs.error());
  auto frame = Frame::make(*crs);
  if (!frame) return std::move(frame.error());
  Made made;
  Settings settings;
  settings.name = request.name;
  settings.time_zone = request.time_zone;
  settings.units = request.units;
  settings.crs = *crs;
  made.document.settings = make_ref<Settings>(std::move(settings));
  made.notes.push_back("The property's grid is " + frame->name() + ".");
  Rows<RasterLayer> layers;
  for (const Raw& r : *rasters) {
    const int order = static_cast<int>(layers.size());
    layers.push_back(make_ref<RasterLayer>(to_layer(request, r, order, property_file)));
    if (r.role != RasterRole::aerial && layers.back()->metres_per_unit != 1) {
      char text[80];
      std::snprintf(text, sizeof text, " heights are multiplied by %.7g to be metres.",
                    layers.back()->metres_per_unit);
      made.notes.push_back(r.path.filename().string() + ":" + text);
    }
  }
  made.document.rasters = make_ref<Rows<RasterLayer>>(std::move(layers));
  note_apart(*rasters, *crs, made);
  if (Status done = add_vectors(request, *frame, made); !done) return std::move(done.error());
  if (!request.forecast.empty()) {
    const LocalXY place = place_of(*frame, *rasters, made.document);
    if (Status done = add_forecast(request, *frame, place, made); !done)
      return std::move(done.error());
  }
  made.document.revision = 1;
  return made;
}

}  // namespace leeward::io
