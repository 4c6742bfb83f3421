// leeward-make-demo FOLDER: writes the demo property from its seed. The same seed gives the same
// land.
#include "core/io/forecast_files.h"
#include "core/io/property_store.h"
#include "core/io/raster_files.h"
#include "sample_maps/generator/layout.h"
#include "sample_maps/generator/paint.h"

#include <CLI/CLI.hpp>

#include <cstdio>
#include <filesystem>
#include <fstream>

namespace leeward::demo {
namespace {

namespace fs = std::filesystem;

RasterLayer layer(const char* name, const char* file, RasterRole role, int order) {
  RasterLayer r;
  r.uid = Uid::from_seed(std::string("demo ") + file);
  r.name = name;
  r.path = file;
  r.role = role;
  r.order = order;
  return r;
}

Result<Document> make_document(const fs::path& folder) {
  std::vector<Edit> edits = {put(make_settings())};
  for (Feature& f : make_features()) edits.push_back(put(std::move(f)));
  for (Weapon& w : make_weapons()) edits.push_back(put(std::move(w)));
  for (Visit& v : make_visits()) edits.push_back(put(std::move(v)));
  edits.push_back(put(layer("Aerial", "aerial.tif", RasterRole::aerial, 0)));
  edits.push_back(put(layer("Ground", "ground.tif", RasterRole::elevation, 1)));
  edits.push_back(put(layer("Treetops", "surface.tif", RasterRole::surface, 2)));
  auto frame = Frame::make(make_settings().crs);
  if (!frame) return std::move(frame.error());
  auto forecast = io::read_forecast(folder / "forecast.csv", *frame, at(1100, 1100));
  if (!forecast) return std::move(forecast.error());
  edits.push_back(put(forecast->forecast));
  for (WindHour& h : forecast->hours) edits.push_back(put(std::move(h)));
  return apply(Document{}, {"Make the demo", std::move(edits), {}});
}

Status make_all(const fs::path& folder) {
  const auto say = [](const char* what) { std::printf("  %s\n", what), std::fflush(stdout); };
  std::error_code error;
  fs::create_directories(folder, error);
  if (error) return fail(ErrorCode::io, folder.string() + ": cannot be made: " + error.message());
  const CrsId crs = make_settings().crs;
  say("ground, 1 m");
  const Raster<float> ground = make_ground();
  Status s = io::write_geotiff(folder / "ground.tif", ground, crs);
  if (!s) return s;
  const auto map = make_ground_map(make_features(), 0.5);
  say("treetops, 2 m");
  s = io::write_geotiff(folder / "surface.tif", make_surface(map, ground), crs);
  if (!s) return s;
  say("aerial picture, 0.5 m");
  s = io::write_rgb_geotiff(folder / "aerial.tif", paint_aerial(map, ground), map.spec.box(), crs,
                            82);
  if (!s) return s;
  say("forecast and property");
  std::ofstream(folder / "forecast.csv") << make_forecast_csv();
  auto document = make_document(folder);
  if (!document) return std::move(document.error());
  const fs::path file = folder / "tamber_hollow.gpkg";
  fs::remove(file, error);
  auto store = io::PropertyStore::create(file, make_ref<Document>(*std::move(document)));
  if (!store) return std::move(store.error());
  s = (*store)->flush();
  if (s) std::printf("%s\n", file.string().c_str());
  return s;
}

}  // namespace
}  // namespace leeward::demo

int main(int argc, char** argv) {
  CLI::App app("Writes the demo property of Leeward from its seed.");
  std::string folder;
  app.add_option("folder", folder, "Folder to write into (made if missing)")->required();
  CLI11_PARSE(app, argc, argv);
  const auto done = leeward::demo::make_all(folder);
  if (!done) {
    std::fprintf(stderr, "leeward-make-demo: %s\n", done.error().message.c_str());
    return 1;
  }
  return 0;
}
