#include "core/eval/camera_checks.h"

#include "core/compute/sun.h"
#include "core/eval/check_text.h"
#include "core/eval/scrape_checks.h"

#include <algorithm>
#include <chrono>
#include <cmath>

namespace leeward {
namespace {

// Common practice, no source.
constexpr double kAim_m = 0.8, kCleared_m = 2, kSeenEnough = 0.5, kRayStep_deg = 2;
constexpr double kLowSun_deg = 20, kBesideView_deg = 10, kSunMost_min = 10;
constexpr int kSampleDays = 5, kSampleMinutes = 4;
constexpr double kReached_m = 10;
constexpr int kBatteryDays = 60, kCardDays = 30;
constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

double sight_to(const CoverGrid& cover, const Feature& camera, LocalXY p) {
  return compute::sight_between(cover.fine, camera.shape.position(),
                                camera.as<CameraAttrs>().height_m, p, kAim_m, kCleared_m);
}

double half_view_deg(const CameraAttrs& a) {
  return std::clamp(a.field_of_view_deg, 1.0, 360.0) / 2;
}

// Cells reached from the starts over open ground that `closed` leaves open. Squeezing between two
// closed cells is no way.
Raster<std::uint8_t> flood(const compute::WalkGraph& graph, const std::vector<size_t>& starts,
                           const Raster<std::uint8_t>& closed) {
  const GridSpec& g = graph.spec;
  Raster<std::uint8_t> reached(g);
  const auto enters = [&](size_t i) { return graph.open(i) && !closed.cells[i]; };
  std::vector<size_t> front;
  const auto reach = [&](size_t i) {
    if (reached.cells[i] || !enters(i)) return;
    reached.cells[i] = 1;
    front.push_back(i);
  };
  for (const size_t s : starts) reach(s);
  while (!front.empty()) {
    const size_t i = front.back();
    front.pop_back();
    const int c = static_cast<int>(i % static_cast<size_t>(g.cols)),
              r = static_cast<int>(i / static_cast<size_t>(g.cols));
    for (int d = 0; d < 8; ++d) {  // neighbours; knight's moves reach no further
      const compute::Step step = compute::kSteps[static_cast<size_t>(d)];
      if (!graph.allows(i, d)) continue;
      if (step.dc != 0 && step.dr != 0 && (closed.at(c + step.dc, r) || closed.at(c, r + step.dr)))
        continue;
      reach(g.index(c + step.dc, r + step.dr));
    }
  }
  return reached;
}

bool reached_near(const Raster<std::uint8_t>& reached, LocalXY p) {
  const GridSpec& g = reached.spec;
  const int most = static_cast<int>(std::ceil(kReached_m / g.cell_m));
  const int col = g.cell_col(p.x), row = g.cell_row(p.y);
  for (int r = row - most; r <= row + most; ++r)
    for (int c = col - most; c <= col + most; ++c)
      if (g.has(c, r) && reached.at(c, r) && distance_m(g.centre(c, r), p) <= kReached_m)
        return true;
  return false;
}

// Mean minutes a day with a low sun before a lens that faces a grid bearing.
struct SunInView {
  double morning_min = 0, evening_min = 0;
  double all() const { return morning_min + evening_min; }
};
SunInView sun_in_view(const std::vector<LowSun>& sun, double facing_true_deg, double half_deg) {
  SunInView out;
  for (const LowSun& s : sun) {
    if (std::abs(wrap_180(s.azimuth_true_deg - facing_true_deg)) > half_deg) continue;
    (s.morning ? out.morning_min : out.evening_min) += s.minutes_a_day;
  }
  return out;
}

class CameraCheck {
 public:
  CameraCheck(const CameraInputs& in, const Feature& camera)
      : in_(in),
        d_(in.document),
        camera_(camera),
        a_(camera.as<CameraAttrs>()),
        at_(camera.shape.position()),
        units_(in.document.settings->units) {}

  CameraResult all(const CameraView& view) {
    out_.camera = camera_.uid;
    out_.view = view.outline;
    out_.view_share = view.share;
    faces();
    low_sun();
    if (const Feature* home = home_of_deer()) {
      service(*home);
    } else {
      reachable();
    }
    serviced(CheckId::battery, a_.battery_on, kBatteryDays, "Change the battery.");
    serviced(CheckId::card, a_.card_on, kCardDays, "Fetch the card.");
    return std::move(out_);
  }

 private:
  void add(CheckId id, CheckState state, double value, std::string says, std::string mend = {}) {
    out_.checks.push_back({id, state, value, std::move(says), std::move(mend)});
  }

  // Metres of a trail in view.
  double seen_of(const Feature& trail) const {
    const Path& line = trail.shape.path();
    if (!bounds(line).grown(a_.reach_m).contains(at_)) return 0;
    double seen = 0;
    for (double m = 0.5; m < path_length_m(line); m += 1) {
      const LocalXY p = point_along(line, m);
      if (distance_m(p, at_) <= a_.reach_m && camera_to(in_.cover, camera_, p).sees()) seen += 1;
    }
    return seen;
  }

  // The scrape or the place on a trail that is nearest.
  std::optional<std::pair<LocalXY, const Feature*>> nearest_target() const {
    std::optional<std::pair<LocalXY, const Feature*>> best;
    const auto offer = [&](LocalXY p, const Feature& f) {
      if (!best || distance_m(p, at_) < distance_m(best->first, at_)) best = {p, &f};
    };
    for (const auto& f : d_.of(Kind::deer_trail))
      offer(nearest_on_path(f->shape.path(), at_).point, *f);
    for (const auto& f : d_.of(Kind::mock_scrape)) {
      const double m = distance_m(f->shape.position(), at_);
      if (m <= a_.reach_m || !best) best = {f->shape.position(), f.get()};
    }
    return best;
  }

  void faces() {
    std::string says;
    const auto tell = [&](const std::string& words) { says += (says.empty() ? "" : "; ") + words; };
    for (const auto& f : d_.of(Kind::mock_scrape)) {
      const CameraTo to = camera_to(in_.cover, camera_, f->shape.position());
      if (!to.sees()) continue;
      out_.sees.push_back(f->uid);
      tell(display_name(*f) + " " + near_text(to.distance_m, units_) + " away");
    }
    for (const auto& f : d_.of(Kind::deer_trail)) {
      const double seen = seen_of(*f);
      if (seen < 1) continue;
      out_.sees.push_back(f->uid);
      tell(near_text(seen, units_) + " of " + display_name(*f));
    }
    if (!out_.sees.empty()) {
      add(CheckId::faces, CheckState::good, static_cast<double>(out_.sees.size()), says);
      return;
    }
    const auto target = nearest_target();
    if (!target) {
      add(CheckId::faces, CheckState::unknown, 0, "no scrape and no trail is drawn",
          "Draw the trail that it watches.");
      return;
    }
    add(CheckId::faces, CheckState::mend, 0, "no scrape and no trail in view",
        how_to_face(*target));
  }

  std::string how_to_face(const std::pair<LocalXY, const Feature*>& target) const {
    const CameraTo to = camera_to(in_.cover, camera_, target.first);
    const std::string name = display_name(*target.second);
    if (to.distance_m > a_.reach_m)
      return name + " is " + distance_text(to.distance_m, units_) + " off, beyond its reach of " +
             distance_text(a_.reach_m, units_) + ": hang it nearer.";
    if (!to.in_wedge)
      return check_format("Turn it %.0f° to the %s to face %s.", std::abs(to.turn_deg),
                          to.turn_deg > 0 ? "right" : "left", name.c_str());
    return check_format("%s is hidden (%.0f %% in sight): clear branches or hang it higher.",
                        name.c_str(), 100 * to.seen);
  }

  void low_sun() {
    const double half = half_view_deg(a_) + kBesideView_deg;
    const double facing = a_.facing_deg + in_.convergence_deg;  // grid to true
    const SunInView sun = sun_in_view(in_.low_sun, facing, half);
    const std::string says =
        check_format("faces %s, low sun (under %.0f°) before it ", compass_text(facing).c_str(),
                     kLowSun_deg) +
        (sun.all() < 0.5
             ? std::string("never from Sep to Jan")
             : check_format("%.0f min a day after sunrise, %.0f before sunset, mean of Sep to Jan",
                            sun.morning_min, sun.evening_min));
    if (sun.all() <= kSunMost_min) {
      add(CheckId::low_sun, CheckState::good, sun.all(), says);
      return;
    }
    std::string mend = "Face it north, the rule of thumb";
    for (int turn = 5; turn <= 180; turn += 5) {
      const bool left = sun_in_view(in_.low_sun, facing - turn, half).all() <= kSunMost_min,
                 right = sun_in_view(in_.low_sun, facing + turn, half).all() <= kSunMost_min;
      if (!left && !right) continue;
      mend = check_format(
          "Turn it %d° to the %s, out of the low sun (facing north is the rule of "
          "thumb)",
          turn, right ? "right" : "left");
      break;
    }
    add(CheckId::low_sun, CheckState::mend, sun.all(), says, mend + ".");
  }

  const Feature* home_of_deer() const {
    for (const Kind kind : {Kind::bedding, Kind::sanctuary})
      for (const auto& f : d_.of(kind))
        if (f->shape.type == ShapeType::area && contains(f->shape, at_)) return f.get();
    return nullptr;
  }

  void service(const Feature& home) {
    const std::string inside = "inside " + display_name(home);
    const bool entered = a_.service_months.bits != 0 && a_.service_from_h < a_.service_to_h;
    if (!entered) {
      add(CheckId::service, CheckState::mend, 0, inside + ", no service window",
          "Enter months and hours when nobody is home, and visit it then only.");
      return;
    }
    const CivilTime now = to_civil(in_.scene.arrive, d_.settings->time_zone);
    const bool open = a_.service_months.has(now.month) && now.hour >= a_.service_from_h &&
                      now.hour < a_.service_to_h;
    add(CheckId::service, CheckState::good, open ? 1 : 0,
        inside + ", serviced in " + months_text(a_.service_months) +
            check_format(", %02d:00 to %02d:00; the hour shown lies ", a_.service_from_h,
                         a_.service_to_h) +
            (open ? "inside" : "outside"),
        open ? std::string() : std::string("Stay away at this hour."));
  }

  void reachable() {
    if (!in_.quiet.gates) {
      add(CheckId::reachable, CheckState::unknown, kNone, "no gate is drawn",
          "Draw the gate that you come from.");
    } else if (reached_near(in_.quiet.quiet, at_)) {
      add(CheckId::reachable, CheckState::good, 1, "a way from a gate enters no bedding");
    } else if (reached_near(in_.quiet.any, at_)) {
      add(CheckId::reachable, CheckState::mend, 0, "every way from a gate crosses bedding",
          "Move it to the near side of the bedding, or open another way.");
    } else {
      add(CheckId::reachable, CheckState::mend, 0, "no way from a gate",
          "Closed ground lies around it: open a gap, or move it.");
    }
  }

  void serviced(CheckId id, const std::string& date, int most_days, const char* mend) {
    if (date.empty()) {
      add(id, CheckState::unknown, kNone, "no date is entered", "Enter when it was last changed.");
      return;
    }
    const auto days = days_since(date, in_.scene.arrive, d_.settings->time_zone);
    if (!days) {
      add(id, CheckState::unknown, kNone, "“" + date + "” is not a date",
          "Enter the date as year-month-day.");
    } else if (*days < 0) {
      add(id, CheckState::unknown, *days, days_text(*days),
          "The date lies ahead of the day shown.");
    } else if (*days > most_days) {
      add(id, CheckState::mend, *days, days_text(*days), mend);
    } else {
      add(id, CheckState::good, *days, days_text(*days));
    }
  }

  const CameraInputs& in_;
  const Document& d_;
  const Feature& camera_;
  const CameraAttrs& a_;
  const LocalXY at_;
  const UnitSystem units_;
  CameraResult out_;
};

}  // namespace

int season_of(Instant at, const std::string& time_zone) {
  const CivilTime c = to_civil(at, time_zone);
  return c.month == 1 ? c.year - 1 : c.year;
}

std::vector<LowSun> season_low_sun(LonLat place, int year) {
  namespace ch = std::chrono;
  const ch::sys_days first{ch::year{year} / ch::September / 1},
      last{ch::year{year + 1} / ch::January / 31};
  std::vector<LowSun> out;
  int days = 0;
  for (ch::sys_days day = first; day <= last; day += ch::days{kSampleDays}) {
    ++days;
    const Instant noon = compute::solar_noon(Instant{day} + ch::hours{12}, place);
    for (int minute = -720; minute < 720; minute += kSampleMinutes) {
      const auto sun = compute::sun_position(noon + ch::minutes{minute}, place);
      if (sun.altitude_deg < 0 || sun.altitude_deg > kLowSun_deg) continue;
      out.push_back({sun.azimuth_deg, minute < 0, kSampleMinutes});
    }
  }
  for (LowSun& s : out) s.minutes_a_day /= days;
  return out;
}

QuietGround quiet_ground(const Document& document, const compute::WalkGraph& graph,
                         const std::vector<size_t>& starts) {
  QuietGround out;
  out.gates = !starts.empty();
  Raster<std::uint8_t> closed(graph.spec);
  out.any = flood(graph, starts, closed);
  for (const auto& f : document.of(Kind::bedding)) {
    if (f->shape.type != ShapeType::area) continue;
    for_each_cell_in(f->shape, graph.spec, [&](int c, int r) { closed.at(c, r) = 1; });
    for (Path ring : f->shape.parts) {  // its rim too, so that a narrow bed is not slipped through
      ring.push_back(ring.front());
      for_each_cell_on(ring, graph.spec, [&](int c, int r) { closed.at(c, r) = 1; });
    }
  }
  out.quiet = flood(graph, starts, closed);
  return out;
}

CameraView camera_view(const CoverGrid& cover, const Feature& camera) {
  const auto& a = camera.as<CameraAttrs>();
  const LocalXY at = camera.shape.position();
  const double half = half_view_deg(a);
  const int steps = std::max(1, static_cast<int>(std::ceil(2 * half / kRayStep_deg)));
  CameraView out;
  out.outline.push_back(at);
  double squares = 0, whole = 0;  // of the distances: areas of the slices
  for (int i = 0; i <= steps; ++i) {
    const Bearing toward = Bearing::degrees(a.facing_deg - half + 2 * half * i / steps);
    double seen_m = 0;
    for (double m = std::min(1.0, a.reach_m);; m = std::min(m + 1, a.reach_m)) {
      if (sight_to(cover, camera, moved(at, toward, m)) < kSeenEnough) break;
      seen_m = m;
      if (m >= a.reach_m) break;
    }
    out.outline.push_back(moved(at, toward, seen_m));
    squares += seen_m * seen_m;
    whole += a.reach_m * a.reach_m;
  }
  out.share = whole > 0 ? squares / whole : 0;
  return out;
}

CameraTo camera_to(const CoverGrid& cover, const Feature& camera, LocalXY p) {
  const auto& a = camera.as<CameraAttrs>();
  const LocalXY at = camera.shape.position();
  CameraTo out;
  out.distance_m = distance_m(at, p);
  out.turn_deg = turn_deg(Bearing::degrees(a.facing_deg), bearing(at, p));
  out.in_wedge = out.distance_m <= a.reach_m && std::abs(out.turn_deg) <= half_view_deg(a);
  if (out.distance_m <= a.reach_m) out.seen = sight_to(cover, camera, p);
  return out;
}

CameraResult check_camera(const CameraInputs& in, const Feature& camera, const CameraView& view) {
  return CameraCheck(in, camera).all(view);
}

}  // namespace leeward
