// Every damaged file and every odd elevation, offered to every import, each in a process of its own
// with 1 GiB of memory and 5 seconds of the processor: a message or a result, never a crash.
#include "core/io/forecast_files.h"
#include "core/io/new_property.h"
#include "core/io/property_store.h"
#include "core/io/raster_files.h"
#include "core/io/vector_files.h"
#include "tests/core/io/io_support.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <functional>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define LEEWARD_SANITIZED 1
#else
#define LEEWARD_SANITIZED 0
#endif

namespace leeward::io {
namespace {

using namespace testing;

constexpr rlim_t kMemory = rlim_t{1} << 30;
constexpr unsigned kSeconds = LEEWARD_SANITIZED ? 25 : 5;

/// Runs `job` in a child; returns what went wrong, or an empty text.
std::string in_a_child(const std::function<bool()>& job) {
  const pid_t child = fork();
  if (child == 0) {
    if (!LEEWARD_SANITIZED) {
      const rlimit memory{kMemory, kMemory};
      setrlimit(RLIMIT_AS, &memory);
    }
    const rlimit time{kSeconds,
                      kSeconds};  // of the processor, so that a busy machine does not count
    setrlimit(RLIMIT_CPU, &time);
    alarm(4 * kSeconds);
    bool fine = false;
    try {
      fine = job();
    } catch (...) {
      _exit(7);
    }
    _exit(fine ? 0 : 8);
  }
  int status = 0;
  waitpid(child, &status, 0);
  if (WIFSIGNALED(status)) return "signal " + std::to_string(WTERMSIG(status));
  if (WEXITSTATUS(status) == 7) return "an exception, perhaps out of memory";
  if (WEXITSTATUS(status) == 8) return "an error without a message";
  return WEXITSTATUS(status) == 0 ? "" : "exit " + std::to_string(WEXITSTATUS(status));
}

std::vector<fs::path> files_under(const fs::path& folder, const std::string& prefix = {}) {
  std::vector<fs::path> out;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    if (entry.is_regular_file() && entry.path().filename().string().starts_with(prefix))
      out.push_back(entry.path());
  std::sort(out.begin(), out.end());
  return out;
}

std::vector<fs::path> all_files() {
  std::vector<fs::path> out = files_under(shared_data() / "malformed");
  for (fs::path& p : files_under(shared_data() / "dem", "edge_")) out.push_back(std::move(p));
  return out;
}

template <class T>
bool said(const Result<T>& r) {
  return r.has_value() || !r.error().message.empty();
}

Document with_raster(const fs::path& file, const CrsId& crs) {
  Document d;
  Settings s;
  s.crs = crs;
  d.settings = make_ref<Settings>(s);
  Rows<RasterLayer> rows;
  for (const RasterRole role : {RasterRole::elevation, RasterRole::surface}) {
    RasterLayer l;
    l.uid = Uid::random();
    l.path = file.string();
    l.role = role;
    rows.push_back(make_ref<RasterLayer>(l));
  }
  d.rasters = make_ref<Rows<RasterLayer>>(std::move(rows));
  return d;
}

/// All that a raster can be used for. The folder of the property is not the file's.
bool as_raster(const fs::path& file) {
  auto facts = inspect_raster(file);
  if (!said(facts)) return false;
  CrsId crs = "EPSG:32612";
  if (facts && std::isfinite(facts->centre_wgs84.lon))
    if (auto utm = utm_crs_for(facts->centre_wgs84)) crs = *utm;
  const Document d = with_raster(file, crs);
  auto terrain = load_terrain(d, "/tmp/p.gpkg");
  if (!terrain || ((*terrain)->ground.empty() && (*terrain)->notes.empty())) return false;
  Box box{300000, 4000000, 310000, 4010000};
  if (facts && facts->has_crs) {
    const auto placed = inspect_raster(file, crs);
    if (placed && !placed->box.empty()) box = placed->box;
  }
  return said(render_layer(*d.rasters->at(0), "/tmp/p.gpkg", crs, box, 300, 200));
}

bool as_new_property(const fs::path& file) {
  NewProperty request;
  request.elevation = request.surface = file;
  NewProperty picture;
  picture.aerials = {file};
  return said(make_property(request, "/tmp/p.gpkg")) && said(make_property(picture, "/tmp/p.gpkg"));
}

bool as_vector(const fs::path& file) {
  const Frame frame = *Frame::make("EPSG:32612");
  for (const Kind kind : {Kind::boundary, Kind::deer_trail, Kind::stand})
    if (!said(read_vector(file, kind, frame))) return false;
  return said(inspect_vector(file));
}

bool as_forecast(const fs::path& file) {
  return said(read_forecast(file, *Frame::make("EPSG:32612"), {500000, 4000000}));
}

bool as_property(const fs::path& file) { return said(PropertyStore::open(file)); }

class Malformed
    : public ::testing::TestWithParam<std::pair<const char*, bool (*)(const fs::path&)>> {};

TEST_P(Malformed, GivesAMessageOrAResult) {
  SKIP_WITHOUT_SHARED_DATA();
  const auto& [what, job] = GetParam();
  const std::vector<fs::path> files = all_files();
  ASSERT_GT(files.size(), 30U);
  for (const fs::path& file : files) {
    const std::string before = bytes_of(file);
    const auto began = std::chrono::steady_clock::now();
    EXPECT_EQ(in_a_child([&, run = job] { return run(file); }), "")
        << file.filename() << " as " << what;
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - began;
    if (took.count() > 1)
      std::printf("%s as %s: %.1f s\n", file.filename().c_str(), what, took.count());
    EXPECT_TRUE(bytes_of(file) == before) << file.filename() << " was changed";
  }
}

INSTANTIATE_TEST_SUITE_P(Every, Malformed,
                         ::testing::Values(std::pair{"raster", &as_raster},
                                           std::pair{"new property", &as_new_property},
                                           std::pair{"vector", &as_vector},
                                           std::pair{"forecast", &as_forecast},
                                           std::pair{"property", &as_property}),
                         [](const auto& test) {
                           std::string name = test.param.first;
                           std::replace(name.begin(), name.end(), ' ', '_');
                           return name;
                         });

// What the odd elevations hold, from the file table of the data folder.
TEST(OddElevations, GiveTheirHeightsOrSayWhyNot) {
  SKIP_WITHOUT_SHARED_DATA();
  const fs::path dem = shared_data() / "dem";
  const auto load = [&](const char* name, const char* crs) {
    Document d = with_raster(dem / name, crs);
    d.rasters = make_ref<Rows<RasterLayer>>(Rows<RasterLayer>{d.rasters->at(0)});
    auto t = load_terrain(d, "/tmp/p.gpkg");
    EXPECT_TRUE(t);
    return *t;
  };
  const auto known = [](const Terrain& t) {
    std::vector<float> out;
    for (const float z : t.ground.cells)
      if (!std::isnan(z)) out.push_back(z);
    std::sort(out.begin(), out.end());
    return out;
  };
  const auto tiny = load("edge_tiny.tif", "EPSG:32611");
  EXPECT_EQ(tiny->ground.spec.cols, 6);
  EXPECT_EQ(tiny->ground.spec.rows, 4);
  EXPECT_EQ(known(*tiny).front(), 1077.0F);
  EXPECT_EQ(known(*tiny).back(), 1088.0F);
  const auto some = load("edge_some_nodata.tif", "EPSG:32612");
  EXPECT_NEAR(known(*some).front(), 1733.174, 0.01);
  EXPECT_NEAR(known(*some).back(), 3602.768, 0.01);
  EXPECT_LT(known(*some).size(), some->ground.cells.size());
  const auto strip = load("edge_mackay_skinny_x.tif", "EPSG:32612");
  EXPECT_EQ(strip->ground.spec.cols, 8);
  EXPECT_EQ(known(*strip).back(), 3111.0F);
  EXPECT_TRUE(load("edge_nodata.tif", "EPSG:32612")->ground.empty());
  EXPECT_TRUE(load("edge_no_srs.tif", "EPSG:32612")->ground.empty());
  // Turned into metres between its 300 m cells, the peak of 3627.917 is smoothed, never raised.
  const float peak = known(*load("edge_geog.tif", "EPSG:32612")).back();
  EXPECT_LT(peak, 3628.0F);
  EXPECT_GT(peak, 3450.0F);
}

}  // namespace
}  // namespace leeward::io
