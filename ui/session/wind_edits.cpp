#include "ui/session/wind_edits.h"

#include "ui/session/hours.h"

#include <algorithm>

namespace leeward::ui {

EditStep handWindStep(const Document& document, Instant at, std::optional<double> from_deg,
                      std::optional<double> speed_mps, std::optional<double> cloud) {
  Settings next = *document.settings;
  if (const auto now = windAt(document, at); now && !next.use_hand_wind) {
    next.hand_wind.from_deg = now->from_deg.value_or(next.hand_wind.from_deg);
    next.hand_wind.speed_mps = now->speed_mps.value_or(next.hand_wind.speed_mps);
    next.hand_wind.cloud = now->cloud.value_or(next.hand_wind.cloud);
  }
  next.use_hand_wind = true;
  if (from_deg) next.hand_wind.from_deg = wrap_360(*from_deg);
  if (speed_mps) next.hand_wind.speed_mps = std::clamp(*speed_mps, 0.0, 60.0);
  if (cloud) next.hand_wind.cloud = std::clamp(*cloud, 0.0, 1.0);
  return {from_deg ? "Turn the wind" : "Change the wind", {put(std::move(next))}, "hand wind"};
}

EditStep windSourceStep(const Document& document, bool by_hand) {
  Settings next = *document.settings;
  next.use_hand_wind = by_hand;
  return {by_hand ? "Wind by hand" : "Wind from the forecast", {put(std::move(next))}, {}};
}

EditStep stabilityStep(const Document& document, std::optional<int> stability) {
  Settings next = *document.settings;
  next.stability = stability;
  return {stability ? "Stability by hand" : "Stability by the key", {put(std::move(next))}, {}};
}

EditStep scentLimitStep(const Document& document, double limit) {
  Settings next = *document.settings;
  next.scent_limit = std::clamp(limit, kLeastScentLimit, kMostScentLimit);
  return {"Change the scent limit", {put(std::move(next))}, "scent limit"};
}

}  // namespace leeward::ui
