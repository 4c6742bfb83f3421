// What entries of the last days leave of a stand, and what withholds it.
#include "core/eval/judgement.h"
#include "core/eval/plan.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

constexpr double kNear_m = 150;  ///< An entry within this of a stand is one of its ground.

/// How much of an entry's harm a kind of visit does (common practice, no source).
double weight_of(VisitType type) {
  switch (type) {
    case VisitType::shot:
    case VisitType::recovery:
    case VisitType::walk:
      return 1;
    case VisitType::sit:
      return 0.7;
    case VisitType::camera:
    case VisitType::work:
      return 0.6;
  }
  return 1;
}

const char* verb_of(VisitType type) {
  switch (type) {
    case VisitType::sit:
      return "was sat";
    case VisitType::shot:
      return "was shot from";
    case VisitType::camera:
      return "had a camera visit";
    case VisitType::work:
      return "was worked on";
    case VisitType::recovery:
      return "was searched for a deer";
    case VisitType::walk:
      return "was walked through";
  }
  return "";
}

std::string ago(long days) {
  return days <= 0 ? "today" : days == 1 ? "yesterday" : std::to_string(days) + " days ago";
}

/// The feature of a visit that concerns the stand, or nullptr.
Ref<Feature> touched(const Document& d, const Visit& visit, const Feature& stand) {
  const LocalXY at = stand.shape.position();
  const auto near = [&](const Uid& uid) {
    const Ref<Feature> f = d.find(uid);
    return f && (f->uid == stand.uid || distance_m(f->shape, at) <= kNear_m) ? f : nullptr;
  };
  for (const Uid& uid : visit.entered)
    if (Ref<Feature> f = near(uid)) return f;
  return near(visit.place);
}

/// Whole calendar days between two instants in the property's clock.
long days_between(Instant from, Instant to, const std::string& zone) {
  const auto day = [&](Instant t) {
    return std::chrono::floor<std::chrono::days>(
               t + std::chrono::minutes(to_civil(t, zone).utc_offset_min))
        .time_since_epoch()
        .count();
  };
  return static_cast<long>(day(to) - day(from));
}

}  // namespace

Rest rest_of(const Document& d, const Feature& stand, Instant at) {
  const Judgement j = judgement_of(*d.settings);
  Rest out;
  double worst = 0.05;
  for (const auto& visit : *d.visits) {
    if (visit->at >= at) continue;
    const Ref<Feature> where = touched(d, *visit, stand);
    if (!where) continue;
    const double days = std::chrono::duration<double, std::ratio<86400>>(at - visit->at).count();
    // A sit on the stand is a sit; ground that it was walked through is worse.
    const bool entered = where->uid != stand.uid;
    const double weight = entered ? 1 : weight_of(visit->type);
    const double loss = weight * (1 - j.rest_least) * std::exp(-days / std::max(0.1, j.rest_days));
    out.share *= 1 - loss;
    if (loss <= worst) continue;
    worst = loss;
    const bool through =
        entered && (visit->type == VisitType::sit || visit->type == VisitType::shot);
    out.why = display_name(*where) + " " + (through ? "was walked through" : verb_of(visit->type)) +
              " " + ago(days_between(visit->at, at, d.settings->time_zone)) + ".";
  }
  return out;
}

std::string withheld_because(const Document& d, const Feature& stand, bool morning, Instant at) {
  const auto& a = stand.as<StandAttrs>();
  if (morning && a.meant_for == SitTime::evenings) return "It is meant for evenings.";
  if (!morning && a.meant_for == SitTime::mornings) return "It is meant for mornings.";
  const auto months = d.settings->safety_check_months;
  if (!months) return {};
  if (a.checked.empty()) return "Its straps, tree and steps have no date of a safety check.";
  const CivilTime now = to_civil(at, d.settings->time_zone);
  int year = 0, month = 0, day = 0;
  if (std::sscanf(a.checked.c_str(), "%d-%d-%d", &year, &month, &day) != 3)
    return "The date of its safety check is not one.";
  const int passed = 12 * (now.year - year) + now.month - month - (now.day < day ? 1 : 0);
  if (passed < *months) return {};
  return "Its safety check of " + a.checked + " is older than the " + std::to_string(*months) +
         " months that you set.";
}

}  // namespace leeward
