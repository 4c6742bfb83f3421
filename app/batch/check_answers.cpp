#include "app/batch/check_answers.h"

#include "app/batch/json_parts.h"

namespace leeward::batch {
namespace {

using nlohmann::json;

json names(const Document& d, const std::vector<Uid>& uids) {
  json out = json::array();
  for (const Uid& uid : uids) out.push_back(name_or_null(d, uid));
  return out;
}

/// By the check's name: state, value (see the help), words and what mends it.
json checks_json(const std::vector<Check>& checks) {
  json out = json::object();
  for (const Check& c : checks) {
    out[check_words(c.id).key] = {{"state", word(c.state)},
                                  {"value", number_or_null(c.value)},
                                  {"says", c.says},
                                  {"mend", c.mend}};
  }
  return out;
}

json head_json(const Document& d, const Uid& uid, const std::vector<Check>& checks) {
  const Ref<Feature> f = d.find(uid);
  json out = {{"name", name_or_null(d, uid)},
              {"uid", uid.str()},
              {"to_mend", to_mend(checks)},
              {"checks", checks_json(checks)}};
  if (f) {
    out["easting_m"] = f->shape.position().x;
    out["northing_m"] = f->shape.position().y;
  }
  return out;
}

}  // namespace

json scrapes_json(const Document& d, const Results& r) {
  json out = json::array();
  for (const ScrapeResult& s : r.scrapes) {
    json one = head_json(d, s.scrape, s.checks);
    one["stand"] = name_or_null(d, s.stand);
    one["camera"] = name_or_null(d, s.camera);
    out.push_back(std::move(one));
  }
  return out;
}

json scrape_lines_json(const Document& d, const Results& r) {
  json out = json::array();
  for (const ScrapeLine& line : r.scrape_lines) {
    out.push_back({{"trail", name_or_null(d, line.trail)},
                   {"scrapes", names(d, line.scrapes)},
                   {"spacings_m", line.spacings_m},
                   {"mean_m", line.mean_m}});
  }
  return out;
}

json gaps_json(const Document& d, const Results& r) {
  json out = json::array();
  for (const GapUse& g : r.gaps)
    out.push_back({{"barrier", name_or_null(d, g.barrier)},
                   {"gap", g.gap + 1},
                   {"at_m", {g.at.x, g.at.y}},
                   {"share", g.share}});
  return out;
}

json cameras_json(const Document& d, const Results& r) {
  json out = json::array();
  for (const CameraResult& c : r.cameras) {
    json one = head_json(d, c.camera, c.checks);
    json view = json::array();
    for (const LocalXY p : c.view) view.push_back({p.x, p.y});
    one["sees"] = names(d, c.sees);
    one["view_share"] = c.view_share;
    one["view_m"] = std::move(view);
    out.push_back(std::move(one));
  }
  return out;
}

}  // namespace leeward::batch
