// What hangs, and what lies below.
#include "core/eval/check_text.h"
#include "core/eval/scrape_parts.h"

#include <chrono>
#include <cmath>

namespace leeward {
namespace {

// Common practice, no source.
constexpr int kFreshDays = 14;
constexpr double kWaist_m = 0.9, kNavel_m = 1.1, kLeafLeast_m = 0.025, kLeafMost_m = 0.05;
constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

class Hanging {
 public:
  Hanging(const MockScrapeAttrs& a, const Results& results, const Settings& settings)
      : a_(a), results_(results), settings_(settings), units_(settings.units) {}

  std::vector<Check> all() {
    fresh();
    hang();
    limb();
    ground();
    hanger();
    lure();
    return std::move(checks_);
  }

 private:
  void add(CheckId id, CheckState state, double value, std::string says, std::string mend = {}) {
    checks_.push_back({id, state, value, std::move(says), std::move(mend)});
  }

  void fresh() {
    const bool hung_only = a_.refreshed.empty();
    const std::string& date = hung_only ? a_.hung : a_.refreshed;
    if (date.empty()) {
      add(CheckId::fresh, CheckState::unknown, kNone, "no date is entered",
          "Enter when it was hung and refreshed.");
      return;
    }
    const auto days = days_since(date, results_.scene.arrive, settings_.time_zone);
    if (!days) {
      add(CheckId::fresh, CheckState::unknown, kNone, "“" + date + "” is not a date",
          "Enter the date as year-month-day.");
      return;
    }
    const std::string says =
        hung_only ? "hung " + days_text(*days) + ", not refreshed yet" : days_text(*days);
    if (*days < 0) {
      add(CheckId::fresh, CheckState::unknown, *days, says,
          "The date lies ahead of the day shown.");
    } else if (*days > kFreshDays) {
      add(CheckId::fresh, CheckState::mend, *days, says,
          check_format("Refresh it: %d days are enough to let it fade.", kFreshDays));
    } else {
      add(CheckId::fresh, CheckState::good, *days, says);
    }
  }

  void hang() {
    const bool leaf = results_.leaf_on;
    const double least = kWaist_m - (leaf ? kLeafMost_m : 0),
                 most = kNavel_m - (leaf ? kLeafLeast_m : 0);
    const double end = a_.lower_end_m;
    const std::string says = span_text(end, units_) + " above the ground, wanted " +
                             span_text(least, units_) + " to " + span_text(most, units_) +
                             (leaf ? " in leaf" : "");
    const double off = end < least - 1e-6 ? least - end : end > most + 1e-6 ? end - most : 0;
    if (off == 0) {
      add(CheckId::hang, CheckState::good, end, says);
      return;
    }
    std::string mend = std::string(end < least ? "Raise" : "Lower") + " it by " +
                       span_text(off, units_) + " or more.";
    if (leaf) mend += " The limb rises when the leaves fall.";
    add(CheckId::hang, CheckState::mend, end, says, mend);
  }

  void limb() {
    const std::string says = span_text(a_.limb_m, units_) + "; limbs over natural scrapes hung " +
                             span_text(0.76, units_) + " to " + span_text(1.78, units_) +
                             " (Kile and Marchinton 1977)";
    const double ends_at = a_.limb_m - a_.length_m;
    if (a_.hanger != Hanger::branch && std::abs(ends_at - a_.lower_end_m) > 0.3) {
      add(CheckId::limb, CheckState::mend, a_.limb_m, says,
          span_text(a_.length_m, units_) + " from that limb end at " + span_text(ends_at, units_) +
              ", not at " + span_text(a_.lower_end_m, units_) + ": measure again.");
    } else {
      add(CheckId::limb, CheckState::note, a_.limb_m, says);
    }
  }

  void ground() {
    if (a_.cleared_m > 0) {
      add(CheckId::ground, CheckState::good, a_.cleared_m,
          "bare, " + span_text(a_.cleared_m, units_) + " across");
    } else {
      add(CheckId::ground, CheckState::mend, 0, "not cleared",
          "Rake the ground below it bare, down to soil.");
    }
  }

  void hanger() {
    if (a_.hanger == Hanger::branch) {
      add(CheckId::hanger, CheckState::note, kNone, "a branch: no vine to measure");
      return;
    }
    const std::string says = std::string(word(a_.hanger)) + ", " + span_text(a_.length_m, units_) +
                             " long, " + thickness_text(a_.diameter_mm, units_) + " thick";
    const bool length = a_.length_m >= 1.2 - 1e-6 && a_.length_m <= 1.5 + 1e-6;
    const bool thick = a_.diameter_mm >= 12 - 1e-6 && a_.diameter_mm <= 25 + 1e-6;
    if (length && thick) {
      add(CheckId::hanger, CheckState::good, a_.length_m, says);
    } else {
      add(CheckId::hanger, CheckState::mend, a_.length_m, says,
          "Take a green vine of " + span_text(1.2, units_) + " to " + span_text(1.5, units_) +
              ", " + thickness_text(12, units_) + " to " + thickness_text(25, units_) + " thick.");
    }
  }

  void lure() {
    if (a_.scent == ScrapeScent::none) {
      add(CheckId::lure, CheckState::note, 0, "none");
    } else {
      add(CheckId::lure, CheckState::note, 1, word(a_.scent),
          "Some places regulate deer scents: check local rules.");
    }
  }

  const MockScrapeAttrs& a_;
  const Results& results_;
  const Settings& settings_;
  const UnitSystem units_;
  std::vector<Check> checks_;
};

}  // namespace

std::optional<int> days_since(const std::string& iso_date, Instant at, const std::string& zone) {
  namespace ch = std::chrono;
  int y = 0, m = 0, d = 0, used = 0;
  if (std::sscanf(iso_date.c_str(), "%4d-%2d-%2d%n", &y, &m, &d, &used) != 3 ||
      static_cast<size_t>(used) != iso_date.size())
    return std::nullopt;
  const auto date = [](int year, int month, int day) {
    return ch::year_month_day{ch::year{year}, ch::month{static_cast<unsigned>(month)},
                              ch::day{static_cast<unsigned>(day)}};
  };
  const ch::year_month_day then = date(y, m, d);
  if (m < 1 || d < 1 || !then.ok()) return std::nullopt;
  const CivilTime now = to_civil(at, zone);
  return static_cast<int>(
      (ch::sys_days{date(now.year, now.month, now.day)} - ch::sys_days{then}).count());
}

std::vector<Check> hanging_checks(const MockScrapeAttrs& scrape, const Results& results,
                                  const Settings& settings) {
  return Hanging(scrape, results, settings).all();
}

}  // namespace leeward
