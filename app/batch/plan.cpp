// plan: stands against the coming mornings and evenings.
#include "core/eval/plan.h"

#include "app/batch/json_parts.h"
#include "app/batch/open_property.h"
#include "app/batch/verbs.h"
#include "core/eval/explain.h"

#include <cstdio>
#include <memory>

namespace leeward::batch {
namespace {

using nlohmann::json;

struct PlanOptions {
  std::string file, at, trade = "balanced", output, format = "text";
  int days = 7;
};

std::string sit_text(const Document& d, const PlanSit& sit) {
  const std::string& zone = d.settings->time_zone;
  return date_text(sit.leave, zone) + (sit.morning ? ", morning " : ", evening ") +
         clock_text(sit.arrive, zone) + " to " + clock_text(sit.leave, zone);
}

std::string rank_text(const PlanCell& c) { return c.rank > 0 ? std::to_string(c.rank) : "-"; }

std::string plan_text(const Document& d, const Plan& plan) {
  std::string out = d.settings->name + "\n";
  if (d.of(Kind::stand).empty()) out += "No stand is drawn: there is nothing to plan.\n";
  for (size_t i = 0; i < plan.sits.size(); ++i) {
    const PlanSit& sit = plan.sits[i];
    out += "\n" + sit_text(d, sit) + "\n  " + explain_air(sit.air, d.settings->units) + "\n";
    for (const std::string& doubt : sit.doubts) out += "  ! " + doubt + "\n";
    for (const PlanCell& c : plan.cells) {
      if (c.sit != i) continue;
      char head[120];
      std::snprintf(head, sizeof head, "  %2s  %-12s  %5.3f (%.3f to %.3f)  ", rank_text(c).c_str(),
                    word(c.verdict), c.score, c.low, c.high);
      out += head + name_of(d, c.stand) + (c.watch_only ? " (to watch and learn)" : "") + "\n";
      for (const std::string& why : c.reasons) out += "        " + why + "\n";
    }
  }
  out +=
      "\nScores are relative: they order these sits. Equal ranks are ties within the uncertainty. "
      "Not validated for deer.\n";
  return out;
}

json parts_json(const PlanParts& p) {
  return {{"in", p.in},         {"sit", p.sit},     {"out", p.out},  {"traffic", p.traffic},
          {"steady", p.steady}, {"light", p.light}, {"rest", p.rest}};
}

std::string plan_json(const Document& d, const Plan& plan) {
  json sits = json::array();
  for (size_t i = 0; i < plan.sits.size(); ++i) {
    const PlanSit& sit = plan.sits[i];
    json cells = json::array();
    for (const PlanCell& c : plan.cells) {
      if (c.sit != i) continue;
      cells.push_back({{"stand", name_of(d, c.stand)},
                       {"uid", c.stand.str()},
                       {"verdict", word(c.verdict)},
                       {"rank", c.rank > 0 ? json(c.rank) : json(nullptr)},
                       {"watch_only", c.watch_only},
                       {"score", c.score},
                       {"score_low", c.low},
                       {"score_high", c.high},
                       {"parts", parts_json(c.parts)},
                       {"scent_from", instant_or_null(c.scent_from)},
                       {"out_by", instant_or_null(c.out_by)},
                       {"by_ride", c.by_ride},
                       {"deer_at_dark", c.deer_at_dark},
                       {"reasons", c.reasons}});
    }
    sits.push_back({{"date", sit.date},
                    {"time", sit.morning ? "morning" : "evening"},
                    {"arrive", to_iso8601(sit.arrive)},
                    {"leave", to_iso8601(sit.leave)},
                    {"wind_known", sit.air.known},
                    {"from_true_deg", sit.air.known ? json(sit.air.from_true_deg) : json(nullptr)},
                    {"speed_10m_mps", sit.air.known ? json(sit.air.speed_10m_mps) : json(nullptr)},
                    {"swing_deg", sit.swing_deg},
                    {"doubts", sit.doubts},
                    {"cells", std::move(cells)}});
  }
  const json out = {{"property", d.settings->name},
                    {"trade", word(plan.trade)},
                    {"sits", std::move(sits)},
                    {"cautions", cautions()}};
  return out.dump(1) + "\n";
}

std::string csv_field(const std::string& words) {
  std::string out = "\"";
  for (const char c : words) out += c == '"' ? std::string("\"\"") : std::string(1, c);
  return out + "\"";
}

/// RFC 4180.
std::string plan_csv(const Document& d, const Plan& plan) {
  std::string out =
      "date,time,arrive,leave,stand,verdict,rank,score,score_low,score_high,in,sit,out,traffic,"
      "steady,light,rest,reasons\r\n";
  for (const PlanCell& c : plan.cells) {
    const PlanSit& sit = plan.sits[c.sit];
    std::string why;
    for (const std::string& r : c.reasons) why += (why.empty() ? "" : " ") + r;
    char numbers[240];
    std::snprintf(numbers, sizeof numbers, "%.4f,%.4f,%.4f,%.4f,%.4f,%.4f,%.4f,%.4f,%.4f,%.4f",
                  c.score, c.low, c.high, c.parts.in, c.parts.sit, c.parts.out, c.parts.traffic,
                  c.parts.steady, c.parts.light, c.parts.rest);
    out += sit.date + (sit.morning ? ",morning," : ",evening,") + to_iso8601(sit.arrive) + "," +
           to_iso8601(sit.leave) + "," + csv_field(name_of(d, c.stand)) + "," + word(c.verdict) +
           "," + (c.rank > 0 ? std::to_string(c.rank) : "") + "," + numbers + "," + csv_field(why) +
           "\r\n";
  }
  return out;
}

Result<int> plan(const PlanOptions& o) {
  auto asked = open_asked(o.file, o.at, {});
  if (!asked) return std::move(asked.error());
  auto trade = choose_trade(o.trade);
  if (!trade) return std::move(trade.error());
  const Document& d = *asked->property.document;
  Engine engine;
  Snapshot snapshot{asked->property.document, asked->property.terrain,
                    scene_at(d, asked->at, *trade)};
  auto made = make_plan(engine, snapshot, o.days, {}, show_progress);
  if (!made) return std::move(made.error());
  const std::string answer = o.format == "json"  ? plan_json(d, *made)
                             : o.format == "csv" ? plan_csv(d, *made)
                                                 : plan_text(d, *made);
  return write_answer(answer, o.output);
}

}  // namespace

void add_plan(CLI::App& app, Run& run) {
  CLI::App* verb =
      app.add_subcommand("plan", "Order the stands for the coming mornings and evenings");
  verb->footer(
      "A score is the product of its parts, each 0 to 1: in, sit, out: chances of not being "
      "noticed; "
      "traffic: of\ndeer in reach and in sight that met no scent before; steady: of the wind "
      "keeping "
      "within the margin; light:\nwhat does not lie against a low sun; rest: what entries of the "
      "last "
      "days leave. low and high: with the\nhazards at the ends of their band. Ranks count within a "
      "sit; equal ranks are ties. Scores are relative.");
  auto o = std::make_shared<PlanOptions>();
  verb->add_option("property", o->file, "Property file")->required();
  verb->add_option("--at", o->at, "First moment that counts; default as for evaluate");
  verb->add_option("--days", o->days, "How many days")->check(CLI::Range(1, 16));
  verb->add_option("--trade", o->trade, "quick, balanced or careful: how much time a way may cost");
  verb->add_option("--format", o->format, "text, csv or json")
      ->check(CLI::IsMember({"text", "csv", "json"}));
  verb->add_option("--output", o->output, "Write to a file instead of stdout");
  verb->callback([o, &run] { run = [o] { return plan(*o); }; });
}

}  // namespace leeward::batch
