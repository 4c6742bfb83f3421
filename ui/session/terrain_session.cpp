#include "ui/session/terrain_session.h"

#include "core/io/overviews.h"

namespace leeward::ui {
namespace {

constexpr double kMargin_m = 800;

bool needsOtherGround(const Document& before, const Document& now) {
  if (before.settings->crs != now.settings->crs) return true;
  const auto files = [](const Document& d) {
    std::vector<std::tuple<std::string, RasterRole, double>> out;
    for (const auto& r : *d.rasters) out.emplace_back(r->path, r->role, r->metres_per_unit);
    return out;
  };
  if (before.rasters != now.rasters && files(before) != files(now)) return true;
  const Box had = before.extent(), has = now.extent();
  if (has.empty()) return false;
  return had.empty() || !had.grown(kMargin_m / 2).contains({has.min_x, has.min_y}) ||
         !had.grown(kMargin_m / 2).contains({has.max_x, has.max_y});
}

}  // namespace

TerrainSession::TerrainSession(std::filesystem::path property_file)
    : file_(std::move(property_file)),
      worker_([this](const Job& job, const std::stop_token& stop) { run(job, stop); }) {}

void TerrainSession::setDocument(Ref<Document> document) {
  if (last_ && !needsOtherGround(*last_, *document)) return;
  last_ = document;
  worker_.submit({std::move(document), ++asked_}, WhenSuperseded::stop);
}

void TerrainSession::inspectAerials(const Document& document) {
  std::map<Uid, Aerial> found;
  const auto folder = file_.parent_path();
  for (const auto& r : *document.rasters) {
    if (r->role != RasterRole::aerial) continue;
    const auto facts = io::inspect_raster(folder / r->path, document.settings->crs);
    if (!facts) continue;
    const auto lacks = io::lacks_overviews(folder / r->path);
    found[r->uid] = {facts->cell_m, facts->box, folder / r->path, lacks && *lacks};
  }
  QMetaObject::invokeMethod(
      this,
      [this, found] {
        aerials_ = found;
        emit aerialsKnown();
      },
      Qt::QueuedConnection);
}

void TerrainSession::run(const Job& job, const std::stop_token& stop) {
  inspectAerials(*job.document);
  auto terrain = io::load_terrain(
      *job.document, file_, kMargin_m, stop, [this](double share, const char* what) {
        const QString words = QString::fromUtf8(what);
        QMetaObject::invokeMethod(
            this, [this, share, words] { emit progressed(share, words); }, Qt::QueuedConnection);
      });
  if (!terrain && terrain.error().code == ErrorCode::cancelled) return;
  const QString why = terrain ? QString() : QString::fromStdString(terrain.error().message);
  Ref<Terrain> ground = terrain ? *terrain : make_ref<Terrain>();
  QMetaObject::invokeMethod(
      this,
      [this, number = job.number, ground, why] {
        answered_ = number;
        if (!why.isEmpty()) emit failed(why);
        emit loaded(ground);
      },
      Qt::QueuedConnection);
}

}  // namespace leeward::ui
