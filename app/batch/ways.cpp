// ways: the ways in and out of an hour as a GPX file.
#include "app/batch/open_property.h"
#include "app/batch/verbs.h"
#include "core/eval/explain.h"
#include "core/io/gpx_write.h"

#include <algorithm>
#include <cstdio>
#include <memory>

namespace leeward::batch {
namespace {

struct WaysOptions {
  std::string file, at, trade = "balanced", output;
  std::vector<std::string> stands;
  bool no_stands = false;
};

void add_track(const Document& d, const Ref<Way>& way, const std::string& stand, const char* which,
               std::vector<io::GpxTrack>& out) {
  if (!way || way->points.size() < 2) return;
  const std::string remarks = minutes_text(way->time_s) + ", " +
                              distance_text(way->length_m, d.settings->units) + ", unnoticed " +
                              chance_text(way->unnoticed, way->unnoticed_low, way->unnoticed_high);
  out.push_back({stand + " " + which, remarks, way->points});
}

Result<int> ways(const WaysOptions& o) {
  auto asked = open_asked(o.file, o.at, o.stands);
  if (!asked) return std::move(asked.error());
  auto trade = choose_trade(o.trade);
  if (!trade) return std::move(trade.error());
  const Document& d = *asked->property.document;
  auto results = evaluate_at(asked->property, asked->at, *trade);
  if (!results) return std::move(results.error());
  auto frame = Frame::make(d.settings->crs);
  if (!frame) return std::move(frame.error());
  std::vector<io::GpxPoint> points;
  std::vector<io::GpxTrack> tracks;
  for (const auto& gate : d.of(Kind::gate))
    points.push_back({display_name(*gate), gate->remarks, gate->shape.position()});
  for (const StandResult& s : (*results)->stands) {
    const bool chosen =
        asked->stands.empty() ||
        std::find(asked->stands.begin(), asked->stands.end(), s.stand) != asked->stands.end();
    const Ref<Feature> stand = d.find(s.stand);
    if (!chosen || !stand) continue;
    const size_t t = static_cast<size_t>(*trade);
    if (!o.no_stands)
      points.push_back({display_name(*stand), stand->remarks, stand->shape.position()});
    add_track(d, s.way_in[t], display_name(*stand), "in", tracks);
    add_track(d, s.way_out[t], display_name(*stand), "out", tracks);
  }
  if (Status done = io::write_gpx(o.output, *frame, points, tracks); !done)
    return std::move(done.error());
  std::printf("%s\n", o.output.c_str());
  return 0;
}

}  // namespace

void add_ways(CLI::App& app, Run& run) {
  CLI::App* verb = app.add_subcommand("ways", "Write the ways in and out of an hour as GPX tracks");
  auto o = std::make_shared<WaysOptions>();
  verb->add_option("property", o->file, "Property file")->required();
  verb->add_option("--output", o->output, "GPX file to write")->required();
  verb->add_option("--at", o->at, "Arrival; default as for evaluate");
  verb->add_option("--stand", o->stands, "Only this stand (may be given again)");
  verb->add_option("--trade", o->trade, "quick, balanced or careful: how much time a way may cost");
  verb->add_flag("--no-stands", o->no_stands,
                 "Leave out where the stands are (ways still end there)");
  verb->callback([o, &run] { run = [o] { return ways(*o); }; });
}

}  // namespace leeward::batch
