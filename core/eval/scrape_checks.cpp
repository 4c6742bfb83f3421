#include "core/eval/scrape_checks.h"

#include "core/eval/camera_checks.h"
#include "core/eval/check_text.h"
#include "core/eval/scrape_parts.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

// Distances and counts: common practice, no source.
constexpr double kOnTrail_m = 1, kMeet_m = 15, kEdge_m = 15, kLinks_m = 30;
constexpr double kSeenEnough = 0.5;
constexpr double kScentCounts = 0.05;  // relative exposure that is called "clearly"
constexpr double kScentHalfAngle_deg = 20;
constexpr std::array kStrip_m = {20.0, 40.0, 60.0};
constexpr int kWinds = 36;
constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

// A trail near a scrape.
struct TrailNear {
  const Feature* feature;
  NearestOnPath nearest;
};

// Winds of the season in classes of 10 degrees.
struct Winds {
  std::array<int, kWinds> hours = {};
  int known = 0;  // 0: none; then every direction counts alike
};

Winds winds_of(const Document& d) {
  Winds out;
  for (const auto& h : *d.wind_hours) {
    if (!h->from_deg) continue;
    ++out.hours[static_cast<size_t>(std::lround(wrap_360(*h->from_deg) / 10)) % kWinds];
    ++out.known;
  }
  return out;
}

// True if scent that a wind carries from `stand` passes over the scrape, or over the middle of the
// strip downwind of it.
bool carries(LocalXY stand, LocalXY scrape, Bearing toward) {
  const auto passes = [&](LocalXY p) {
    return distance_m(stand, p) < 1 ||
           std::abs(turn_deg(bearing(stand, p), toward)) <= kScentHalfAngle_deg;
  };
  return passes(scrape) || passes(moved(scrape, toward, kStrip_m[1]));
}

class ScrapeCheck {
 public:
  ScrapeCheck(const ScrapeInputs& in, const Feature& scrape, const Winds& winds)
      : in_(in),
        d_(in.document),
        scrape_(scrape),
        a_(scrape.as<MockScrapeAttrs>()),
        at_(scrape.shape.position()),
        units_(in.document.settings->units),
        winds_(winds) {
    for (const auto& f : d_.of(Kind::deer_trail))
      trails_.push_back({f.get(), nearest_on_path(f->shape.path(), at_)});
    std::stable_sort(trails_.begin(), trails_.end(), [](const TrailNear& x, const TrailNear& y) {
      return x.nearest.distance_m < y.nearest.distance_m;
    });
    out_.scrape = scrape.uid;
  }

  ScrapeResult all() {
    on_trail();
    trails_meet();
    in_reach();
    between();
    pinch();
    watched();
    wind();
    for (Check& c : hanging_checks(a_, in_.results, *d_.settings))
      out_.checks.push_back(std::move(c));
    return std::move(out_);
  }

 private:
  void add(CheckId id, CheckState state, double value, std::string says, std::string mend = {}) {
    out_.checks.push_back({id, state, value, std::move(says), std::move(mend)});
  }
  std::string name(const Uid& uid) const { return feature_name(d_, uid); }
  size_t trails_within(double metres) const {
    return static_cast<size_t>(
        std::count_if(trails_.begin(), trails_.end(),
                      [&](const TrailNear& t) { return t.nearest.distance_m <= metres; }));
  }
  std::string way_to(LocalXY p) const {
    const AirNow& air = in_.results.air;  // true less grid, as the air has it
    const double turn = air.from_true_deg - air.from.source().degrees();
    return compass_point(bearing(at_, p).degrees() + turn);
  }

  void on_trail() {
    if (trails_.empty()) {
      add(CheckId::on_trail, CheckState::unknown, kNone, "no deer trail is drawn",
          "Draw the trail that it hangs on.");
      return;
    }
    const TrailNear& t = trails_.front();
    const double m = t.nearest.distance_m;
    const std::string says = near_text(m, units_) + " from " + display_name(*t.feature);
    if (m <= kOnTrail_m) {
      add(CheckId::on_trail, CheckState::good, m, says);
    } else {
      add(CheckId::on_trail, CheckState::mend, m, says,
          "Hang it over the trail, not beside it: " + near_text(m, units_) + " to the " +
              way_to(t.nearest.point) + ".");
    }
  }

  // Where two trails cross, or one ends on the other, nearest to the scrape.
  std::optional<LocalXY> nearest_meeting() const {
    std::optional<LocalXY> best;
    const auto offer = [&](LocalXY p) {
      if (!best || distance_m(p, at_) < distance_m(*best, at_)) best = p;
    };
    for (const TrailNear& a : trails_) {
      for (const TrailNear& b : trails_) {
        const Path &p = a.feature->shape.path(), &q = b.feature->shape.path();
        if (&a == &b || !bounds(p).grown(5).overlaps(bounds(q))) continue;
        for (const LocalXY end : {p.front(), p.back()})
          if (nearest_on_path(q, end).distance_m <= 5) offer(end);
        for (size_t i = 1; i < p.size(); ++i) {
          const double length = distance_m(p[i - 1], p[i]);
          const Bearing along = bearing(p[i - 1], p[i]);
          const double hit = first_hit_m(p[i - 1], along, length, q, false);
          if (std::isfinite(hit)) offer(moved(p[i - 1], along, hit));
        }
      }
    }
    return best;
  }

  void trails_meet() {
    const size_t n = trails_within(kMeet_m);
    int branches = 0;
    for (size_t i = 0; i < n; ++i) {
      const Path& p = trails_[i].feature->shape.path();
      branches += distance_m(p.front(), at_) > kMeet_m;
      branches += distance_m(p.back(), at_) > kMeet_m;
    }
    const std::string within = " within " + distance_text(kMeet_m, units_);
    const std::string says =
        n == 0 ? "no trail" + within
               : check_format("%zu trail%s%s, %d way%s to walk on", n, n == 1 ? "" : "s",
                              within.c_str(), branches, branches == 1 ? "" : "s");
    if (n >= 2) {
      add(CheckId::trails_meet, CheckState::good, static_cast<double>(n), says);
      return;
    }
    const auto meeting = nearest_meeting();
    add(CheckId::trails_meet, CheckState::note, static_cast<double>(n), says,
        meeting ? "Trails meet " + distance_text(distance_m(*meeting, at_), units_) + " to the " +
                      way_to(*meeting) + "; more deer pass there."
                : "No two trails that meet are drawn.");
  }

  struct StandView {
    const Feature* feature = nullptr;
    const StandResult* result = nullptr;
    double distance_m = 0, reach_m = 0, seen = 0;
    bool good() const { return distance_m <= reach_m && seen >= kSeenEnough; }
  };

  // The stands that it serves, else all.
  std::vector<StandView> stands() const {
    std::vector<StandView> out;
    for (const bool all : {false, true}) {
      if (!out.empty()) break;
      for (const auto& f : d_.of(Kind::stand)) {
        if (!all && std::find(a_.stands.begin(), a_.stands.end(), f->uid) == a_.stands.end())
          continue;
        StandView v;
        v.feature = f.get();
        v.result = in_.results.find(f->uid);
        v.distance_m = distance_m(f->shape.position(), at_);
        for (const auto& w : d_.weapons_of(f->as<StandAttrs>()))
          v.reach_m = std::max(v.reach_m, w->outer_m);
        if (v.result && v.result->sight) v.seen = v.result->sight->value_or(at_, 0) / 255.0;
        out.push_back(v);
      }
    }
    std::stable_sort(out.begin(), out.end(), [](const StandView& x, const StandView& y) {
      return x.good() != y.good() ? x.good() : x.distance_m < y.distance_m;
    });
    return out;
  }

  void in_reach() {
    stands_ = stands();
    if (stands_.empty()) {
      add(CheckId::in_reach, CheckState::unknown, kNone, "no stand is drawn",
          "Place the stand that it serves.");
      return;
    }
    const StandView& s = stands_.front();
    out_.stand = s.feature->uid;
    const std::string stand = display_name(*s.feature);
    const std::string says = distance_text(s.distance_m, units_) + " from " + stand +
                             check_format(", %.0f %% in sight", 100 * s.seen);
    if (s.reach_m <= 0) {
      add(CheckId::in_reach, CheckState::unknown, s.distance_m, says,
          "Enter a weapon: no reach is known.");
    } else if (s.distance_m > s.reach_m) {
      add(CheckId::in_reach, CheckState::mend, s.distance_m, says,
          distance_text(s.distance_m - s.reach_m, units_) + " beyond the reach of " + stand + " (" +
              distance_text(s.reach_m, units_) + "): hang it nearer or move the stand.");
    } else if (s.seen < kSeenEnough) {
      add(CheckId::in_reach, CheckState::mend, s.distance_m, says,
          "Hidden from " + stand + ": cut a lane to it or hang it where it is seen.");
    } else {
      add(CheckId::in_reach, CheckState::good, s.distance_m, says);
    }
  }

  // From the scrape along a trail to its end, a point every 5 m.
  static Path branch(const TrailNear& t, bool forward) {
    const Path& p = t.feature->shape.path();
    const double total = path_length_m(p), end = forward ? total : 0;
    Path out;
    for (double m = 0; m < std::abs(end - t.nearest.at_m); m += 5)
      out.push_back(point_along(p, t.nearest.at_m + (forward ? m : -m)));
    out.push_back(point_along(p, end));
    return out;
  }

  const Feature* met_by(const Path& way, Kind kind) const {
    const Box box = bounds(way).grown(kLinks_m);
    for (const auto& f : d_.of(kind)) {
      if (!bounds(f->shape).overlaps(box)) continue;
      for (const LocalXY p : way)
        if (distance_m(f->shape, p) <= kLinks_m) return f.get();
    }
    return nullptr;
  }

  // Bedding on one way from the scrape and food on another.
  std::pair<const Feature*, const Feature*> links() const {
    std::vector<std::pair<const Feature*, const Feature*>> ways;
    for (size_t i = 0; i < trails_within(kMeet_m); ++i)
      for (const bool forward : {false, true}) {
        const Path way = branch(trails_[i], forward);
        ways.emplace_back(met_by(way, Kind::bedding), met_by(way, Kind::food));
      }
    for (size_t i = 0; i < ways.size(); ++i)
      for (size_t k = 0; k < ways.size(); ++k)
        if (i != k && ways[i].first && ways[k].second) return {ways[i].first, ways[k].second};
    return {nullptr, nullptr};
  }

  void between() {
    double nearest_m = std::numeric_limits<double>::infinity();
    const Feature* nearest = nullptr;
    for (const Kind kind : {Kind::bedding, Kind::food, Kind::cover}) {
      for (const auto& f : d_.of(kind)) {
        if (kind == Kind::cover && f->as<CoverAttrs>().type == CoverType::open) continue;
        const double m = outline_distance_m(f->shape, at_);
        if (m < nearest_m) nearest_m = m, nearest = f.get();
      }
    }
    const auto [bed, food] = links();
    const std::string edge =
        nearest ? near_text(nearest_m, units_) + " from the edge of " + display_name(*nearest)
                : std::string("no edge is drawn");
    const std::string linked =
        bed ? "on the way from " + display_name(*bed) + " to " + display_name(*food)
            : std::string();
    const double value = nearest ? nearest_m : kNone;
    if (bed || (nearest && nearest_m <= kEdge_m)) {
      add(CheckId::between, CheckState::good, value, linked.empty() ? edge : linked + ", " + edge);
    } else if (!nearest) {
      add(CheckId::between, CheckState::unknown, value, edge, "Draw bedding, food and cover.");
    } else {
      add(CheckId::between, CheckState::mend, value, edge,
          "Hang it within " + distance_text(kEdge_m, units_) +
              " of an edge, or on a trail that leads from bedding to food.");
    }
  }

  void pinch() {
    const bool near_trail = trails_within(kMeet_m) > 0;
    out_.checks.push_back(pinch_check(d_, at_, near_trail ? trails_.front().feature : nullptr));
  }

  struct CameraView {
    const Feature* feature;
    CameraTo to;
    bool meant;
  };

  std::string why_not(const CameraView& c) const {
    const std::string camera = display_name(*c.feature);
    const double reach = c.feature->as<CameraAttrs>().reach_m;
    if (c.to.distance_m > reach)
      return "Beyond the reach of " + camera + " by " + near_text(c.to.distance_m - reach, units_) +
             ": move the camera nearer.";
    if (!c.to.in_wedge)
      return check_format("Turn %s %.0f° to the %s.", camera.c_str(), std::abs(c.to.turn_deg),
                          c.to.turn_deg > 0 ? "right" : "left");
    return check_format("%.0f %% of the sight of %s reaches it: clear branches or move the camera.",
                        100 * c.to.seen, camera.c_str());
  }

  void watched() {
    std::vector<CameraView> all;
    for (const auto& f : d_.of(Kind::camera)) {
      const bool meant =
          std::find(a_.cameras.begin(), a_.cameras.end(), f->uid) != a_.cameras.end();
      all.push_back({f.get(), camera_to(in_.cover, *f, at_), meant});
    }
    if (all.empty()) {
      add(CheckId::watched, CheckState::mend, kNone, "no camera is drawn",
          "Hang a camera near it.");
      return;
    }
    std::stable_sort(all.begin(), all.end(), [](const CameraView& x, const CameraView& y) {
      if (x.to.sees() != y.to.sees()) return x.to.sees();
      return x.meant != y.meant ? x.meant : x.to.distance_m < y.to.distance_m;
    });
    const CameraView& c = all.front();
    const std::string where = display_name(*c.feature) + ", " + near_text(c.to.distance_m, units_);
    if (!c.to.sees()) {
      add(CheckId::watched, CheckState::mend, c.to.distance_m, "not seen; nearest is " + where,
          c.meant || c.to.distance_m <= 60 ? why_not(c) : "Hang a camera near it.");
      return;
    }
    out_.camera = c.feature->uid;
    std::string mend;
    for (const CameraView& other : all)
      if (other.meant && !other.to.sees()) mend = why_not(other);
    add(CheckId::watched, CheckState::good, c.to.distance_m,
        where + check_format(" away, %.0f %% in sight", 100 * c.to.seen), mend);
  }

  // Where the air goes at the scrape, in the wind of the scene.
  Bearing downwind() const {
    const auto& map = in_.results.air_map;
    if (map) {
      const double east = static_cast<double>(map->east.value_or(at_, 0)),
                   north = static_cast<double>(map->north.value_or(at_, 0));
      if (std::sqrt(east * east + north * north) > 0.1) return Bearing::of(east, north);
    }
    return in_.results.air.from.blows_toward();
  }

  double share_carried(LocalXY stand) const {
    double hit = 0, all = 0;
    for (size_t i = 0; i < kWinds; ++i) {
      const double weight = winds_.known > 0 ? winds_.hours[i] : 1;
      all += weight;
      const WindFrom from(Bearing::degrees(10.0 * static_cast<double>(i)));
      if (weight > 0 && carries(stand, at_, from.blows_toward())) hit += weight;
    }
    return all > 0 ? hit / all : 0;
  }

  void wind() {
    std::vector<const StandView*> served;
    for (const StandView& s : stands_) {
      const bool meant =
          std::find(a_.stands.begin(), a_.stands.end(), s.feature->uid) != a_.stands.end();
      if (meant || (served.empty() && &s == &stands_.front())) served.push_back(&s);
    }
    if (served.empty()) {
      add(CheckId::wind, CheckState::unknown, kNone, "no stand is drawn",
          "Place the stand that it serves.");
      return;
    }
    const StandView* best = nullptr;
    double best_share = 0, best_over = 0, best_strip = 0;
    for (const StandView* s : served) {
      double over = 0, strip = 0;
      if (s->result && s->result->scent) {
        over = s->result->scent->at(at_);
        for (const double m : kStrip_m)
          strip += s->result->scent->at(moved(at_, downwind(), m)) /
                   static_cast<double>(kStrip_m.size());
      }
      const double share = share_carried(s->feature->shape.position());
      if (best && std::max(over, strip) >= std::max(best_over, best_strip)) continue;
      best = s, best_share = share, best_over = over, best_strip = strip;
    }
    say_wind(*best, best_share, best_over, best_strip);
  }

  void say_wind(const StandView& s, double share, double over, double strip) {
    const std::string stand = display_name(*s.feature);
    const std::string season =
        winds_.known > 0
            ? check_format("in %.0f of %d forecast hours it would", share * winds_.known,
                           winds_.known)
            : check_format("from %.0f of %d wind directions it would", share * kWinds, kWinds);
    const bool known = in_.results.air.known;
    const std::string now =
        known
            ? check_format("from %s %.2f on it, %.2f on the strip %s to %s downwind", stand.c_str(),
                           over, strip, distance_text(kStrip_m.front(), units_).c_str(),
                           distance_text(kStrip_m.back(), units_).c_str())
            : "the wind of this hour is not known";
    const std::string says = now + "; " + season;
    if (known && std::max(over, strip) >= kScentCounts) {
      add(CheckId::wind, CheckState::mend, share, says,
          over >= strip ? "This wind takes your scent over it: do not sit " + stand + " in it."
                        : "Bucks check a scrape from downwind: in this wind they meet your scent "
                          "there.");
    } else if (share > 0.5) {
      add(CheckId::wind, CheckState::mend, share, says,
          "More than half of these winds take your scent there: move it across the wind from " +
              stand + ".");
    } else {
      add(CheckId::wind, known ? CheckState::good : CheckState::unknown, share, says);
    }
  }

  const ScrapeInputs& in_;
  const Document& d_;
  const Feature& scrape_;
  const MockScrapeAttrs& a_;
  const LocalXY at_;
  const UnitSystem units_;
  const Winds& winds_;
  std::vector<TrailNear> trails_;  // nearest first
  std::vector<StandView> stands_;  // best first
  ScrapeResult out_;
};

}  // namespace

std::vector<ScrapeResult> check_scrapes(const ScrapeInputs& in) {
  const Winds winds = winds_of(in.document);
  std::vector<ScrapeResult> out;
  for (const auto& f : in.document.of(Kind::mock_scrape))
    out.push_back(ScrapeCheck(in, *f, winds).all());
  return out;
}

}  // namespace leeward
