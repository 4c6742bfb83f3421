// Words for people from Results: the panel, the batch text and the print use the same sentences.
#pragma once

#include "core/eval/results.h"

#include <string>
#include <vector>

namespace leeward {

/// Number and unit in the property's display units: "27 yd", "25 m"; "6 mph", "2.7 m/s"; "3.4 ac".
std::string distance_text(double metres, UnitSystem units);
std::string height_text(double metres, UnitSystem units);
std::string speed_text(double mps, UnitSystem units);
std::string area_text(double square_metres, UnitSystem units);
/// "12° down", "3° up", "level", of a depression.
std::string slope_text(double depression_deg);
/// "NW (315°)" of a true bearing.
std::string compass_text(double true_deg);
/// One of the 16 points: "NNW".
std::string compass_point(double true_deg);
/// "06:24", with "(2nd)" in the second pass of a repeated hour.
std::string clock_text(Instant at, const std::string& time_zone);
/// "Sat 14 Nov 2026".
std::string date_text(Instant at, const std::string& time_zone);
/// "11 min".
std::string minutes_text(double seconds);
/// A chance rounded to what it is worth: "about 85 %", "over 95 %", "under 5 %", with its band.
std::string chance_text(double p, double low, double high);

/// One paragraph or line of an explanation. `heading` lines begin a section.
struct Sentence {
  bool heading = false;
  bool caution = false;
  std::string text;
  std::string detail = {};  ///< The numbers behind it; empty: none. Shown on demand.
};
/// All that is known of a stand at the scene, in sections: in range, scent, way in, way out, air,
/// assumptions.
std::vector<Sentence> explain_stand(const Document& document, const Results& results,
                                    const StandResult& stand);
/// One line on the air: "Wind NW (315°) 6 mph, stability D, ...".
std::string explain_air(const AirNow& air, UnitSystem units);
/// One or two sentences on what the air does at a stand this hour and why.
std::string explain_local_air(const Document& document, const Results& results,
                              const StandResult& stand);
/// How far the wind may swing: "The wind may veer 20° or back 45° before ...".
std::string explain_margin(const Document& document, const SwingMargin& margin);
std::string explain_reason(const Document& document, const Reason& reason);

/// How much of what goes between bed and food leads through each gap of a barrier; empty for
/// others.
std::vector<Sentence> explain_gaps(const Document& document, const Results& results,
                                   const Uid& barrier);
/// The cautions that every sheet and the stand panel show.
const std::vector<std::string>& cautions();

}  // namespace leeward
