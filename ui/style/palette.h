// Colours of the window, the map and the print. Chosen so that what carries meaning differs in
// lightness, dash, hatch or mark as well as in hue: it survives a grey print and red-green
// blindness (tests/ui/style/palette_test.cpp computes this).
#pragma once

#include "core/model/property.h"

#include <QColor>

#include <array>

namespace leeward::ui {

/// Colours of the map, of its marks, and of paper; the same in every theme.
namespace chrome {
inline constexpr QRgb kPaper = 0xFFF1EADC;       ///< Window ground.
inline constexpr QRgb kSheet = 0xFFFBF7EE;       ///< Panels and entry fields.
inline constexpr QRgb kRule = 0xFFD6CAB4;        ///< Hairlines.
inline constexpr QRgb kInk = 0xFF1E2F29;         ///< Text.
inline constexpr QRgb kInkSoft = 0xFF566259;     ///< Secondary text.
inline constexpr QRgb kAccent = 0xFFA1431A;      ///< Selection, the hour, cautions.
inline constexpr QRgb kAccentTint = 0xFFF0D8C6;  ///< Ground of what is selected.
inline constexpr QRgb kLand = 0xFFE4DECB;        ///< The map where there is no picture.
inline constexpr QRgb kNight = 0xFF33424A;
inline constexpr QRgb kTwilight = 0xFF8E9AA0;
inline constexpr QRgb kDay = 0xFFF8EBC6;
}  // namespace chrome

/// The window's own colours: warm paper and spruce ink by day, ink and paper changed about by
/// night, one accent. Maps and prints have chrome's.
struct Theme {
  bool dark = false;
  QColor paper;      ///< Window ground.
  QColor sheet;      ///< Panels, plates on the map and entry fields.
  QColor rule;       ///< Hairlines that part things.
  QColor edge;       ///< Outlines of what can be used.
  QColor ink;        ///< Text.
  QColor soft;       ///< Secondary text.
  QColor faint;      ///< What cannot be used now.
  QColor accent;     ///< Selection, the hour, cautions, focus.
  QColor on_accent;  ///< Text on the accent.
  QColor tint;       ///< Ground of what is selected.
  QColor land;       ///< The map where there is no picture.
};
enum class ThemeChoice { system, light, dark };
const Theme& lightTheme();
const Theme& darkTheme();
/// The one that is worn; the light one before wearTheme(). UI thread only.
const Theme& theme();
void wearTheme(bool dark);

/// WCAG 2 relative luminance of an sRGB colour, 0..1.
double relativeLuminance(const QColor& c);
/// WCAG 2 contrast ratio, 1..21.
double contrastRatio(const QColor& a, const QColor& b);

/// Pattern inside an area, so that areas differ without colour.
/// The last four are of the air: leaning lines, dots, sparser dots, ticks.
enum class Hatch {
  none,
  ovals,
  rows,
  rings,
  spikes,
  mixed,
  tufts,
  reeds,
  stalks,
  felled,
  slant,
  cross,
  waves,
  lean,
  dots,
  wide_dots,
  ticks,
  bars
};
enum class LineLook { solid, dashed, dash_dot, dotted, twin };

struct KindStyle {
  QColor line;
  QColor fill;  ///< With its own alpha; invalid: no fill.
  Hatch hatch = Hatch::none;
  LineLook look = LineLook::solid;
  double width_px = 2;
  char mark = ' ';  ///< Letter used as one-key shortcut and mark.
};
/// The look of a kind; cover's hatch depends on its type.
KindStyle styleOf(Kind kind);
KindStyle styleOf(const Feature& feature);

/// A ramp even in Oklab lightness (B. Ottosson 2020), monotone.
class Ramp {
 public:
  struct Stop {
    double lightness, chroma, hue_deg;
  };
  /// Opacity rises from `alpha_low` with the square root of the place, so that a faint end fades.
  Ramp(Stop low, Stop middle, Stop high, double alpha_low, double alpha_high);
  /// t in [0, 1], clamped.
  QColor at(double t) const;
  QRgb premultiplied(double t) const;

 private:
  static constexpr int kSteps = 256;
  std::array<QColor, kSteps> colours_;
  std::array<QRgb, kSteps> premultiplied_{};
};
/// Relative exposure to scent; see scentShare().
const Ramp& scentRamp();
/// Share of sight, 0..1.
const Ramp& sightRamp();
/// Exposure of a walk per minute; see exposureShare().
const Ramp& exposureRamp();

/// Logarithmic place on the scent ramp: 0.001 -> 0, 1 (25 m straight downwind of a person on the
/// ground) -> 1.
double scentShare(double relative_exposure);
/// Place on the exposure ramp of a hazard per minute: 0.001 -> 0, 0.1 -> 1, logarithmic.
double exposureShare(double hazard_per_min);
/// The levels at which scent isolines are drawn.
inline constexpr std::array<float, 3> kScentLevels = {0.005F, 0.03F, 0.2F};

}  // namespace leeward::ui
