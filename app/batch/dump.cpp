// dump: any intermediate raster as GeoTIFF, to look at or to attach to a report.
#include "app/batch/open_property.h"
#include "app/batch/verbs.h"
#include "core/compute/scent_plume.h"
#include "core/io/raster_files.h"

#include <cstdio>
#include <memory>

namespace leeward::batch {
namespace {

struct DumpOptions {
  std::string file, what, output, at, stand;
};

Raster<float> as_share(const Raster<std::uint8_t>& r) {
  Raster<float> out(r.spec);
  for (size_t i = 0; i < r.cells.size(); ++i)
    out.cells[i] = static_cast<float>(r.cells[i]) / 255.0F;
  return out;
}

Result<Raster<float>> pick(const OpenProperty& property, const DumpOptions& o) {
  if (o.what == "ground") return property.terrain->ground;
  if (o.what == "canopy") return property.terrain->canopy_m;
  auto at = choose_hour(*property.document, o.at);
  if (!at) return std::move(at.error());
  auto results = evaluate_at(property, *at, Trade::balanced);
  if (!results) return std::move(results.error());
  if (o.what == "hazard-in") return *(*results)->hazard_in;
  if (o.what == "hazard-out") return *(*results)->hazard_out;
  if (o.stand.empty())
    return fail(ErrorCode::invalid_argument,
                "'" + o.what + "' belongs to a stand: say --stand NAME");
  auto stands = choose_stands(*property.document, {o.stand});
  if (!stands) return std::move(stands.error());
  const StandResult* s = (*results)->find(stands->front());
  if (o.what == "sight") return as_share(*s->sight);
  return s->scent->field((*results)->hazard_in->spec);
}

Result<int> dump(const DumpOptions& o) {
  auto property = open_property(o.file);
  if (!property) return std::move(property.error());
  auto raster = pick(*property, o);
  if (!raster) return std::move(raster.error());
  if (raster->empty())
    return fail(ErrorCode::not_found,
                "the property has no " + o.what + ": " +
                    (property->terrain->notes.empty() ? "no raster of that role"
                                                      : property->terrain->notes.front()));
  Status s = io::write_geotiff(o.output, *raster, property->document->settings->crs);
  if (!s) return std::move(s.error());
  std::printf("%s\n", o.output.c_str());
  return 0;
}

}  // namespace

void add_dump(CLI::App& app, Run& run) {
  CLI::App* verb = app.add_subcommand("dump", "Write an intermediate raster as GeoTIFF");
  auto o = std::make_shared<DumpOptions>();
  verb->add_option("property", o->file, "Property file")->required();
  verb->add_option(
          "--what", o->what,
          "ground, canopy (m); hazard-in, hazard-out (per minute); sight, scent of a stand")
      ->required()
      ->check(CLI::IsMember({"ground", "canopy", "hazard-in", "hazard-out", "sight", "scent"}));
  verb->add_option("--output", o->output, "GeoTIFF to write")->required();
  verb->add_option("--stand", o->stand, "Stand by name, for sight and scent");
  verb->add_option("--at", o->at, "Arrival, in the property's clock or ISO 8601");
  verb->callback([o, &run] { run = [o] { return dump(*o); }; });
}

}  // namespace leeward::batch
