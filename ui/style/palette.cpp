#include "ui/style/palette.h"

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

double linear(double s) { return s <= 0.04045 ? s / 12.92 : std::pow((s + 0.055) / 1.055, 2.4); }
double gamma(double l) {
  l = std::clamp(l, 0.0, 1.0);
  return l <= 0.0031308 ? 12.92 * l : 1.055 * std::pow(l, 1 / 2.4) - 0.055;
}

// Oklab to sRGB, B. Ottosson, "A perceptual color space for image processing" (2020).
QColor fromOklch(double lightness, double chroma, double hue_deg) {
  const double a = chroma * std::cos(hue_deg * kRadPerDeg);
  const double b = chroma * std::sin(hue_deg * kRadPerDeg);
  const double l = std::pow(lightness + 0.3963377774 * a + 0.2158037573 * b, 3);
  const double m = std::pow(lightness - 0.1055613458 * a - 0.0638541728 * b, 3);
  const double s = std::pow(lightness - 0.0894841775 * a - 1.2914855480 * b, 3);
  const auto channel = [](double v) { return static_cast<float>(gamma(v)); };
  return QColor::fromRgbF(channel(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
                          channel(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
                          channel(-0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s));
}

QColor rgba(QRgb rgb, int alpha) {
  QColor c(rgb);
  c.setAlpha(alpha);
  return c;
}

Hatch coverHatch(CoverType type) {
  switch (type) {
    case CoverType::hardwood:
      return Hatch::rings;
    case CoverType::conifer:
      return Hatch::spikes;
    case CoverType::mixed:
      return Hatch::mixed;
    case CoverType::hinge_cut:
      return Hatch::felled;
    case CoverType::brush:
      return Hatch::tufts;
    case CoverType::tall_grass:
      return Hatch::reeds;
    case CoverType::standing_crop:
      return Hatch::stalks;
    case CoverType::open:
      return Hatch::none;
  }
  return Hatch::none;
}

bool wears_dark = false;

}  // namespace

const Theme& lightTheme() {
  static const Theme theme{.dark = false,
                           .paper = QColor(chrome::kPaper),
                           .sheet = QColor(chrome::kSheet),
                           .rule = QColor(chrome::kRule),
                           .edge = QColor(0xFF887C64),
                           .ink = QColor(chrome::kInk),
                           .soft = QColor(chrome::kInkSoft),
                           .faint = QColor(0xFF93998F),
                           .accent = QColor(chrome::kAccent),
                           .on_accent = QColor(chrome::kSheet),
                           .tint = QColor(chrome::kAccentTint),
                           .land = QColor(chrome::kLand)};
  return theme;
}
const Theme& darkTheme() {
  static const Theme theme{.dark = true,
                           .paper = QColor(0xFF181F1C),
                           .sheet = QColor(0xFF212A26),
                           .rule = QColor(0xFF3A4640),
                           .edge = QColor(0xFF7D8A81),
                           .ink = QColor(0xFFEDE7D9),
                           .soft = QColor(0xFFB0BAAF),
                           .faint = QColor(0xFF737E76),
                           .accent = QColor(0xFFF0A172),
                           .on_accent = QColor(0xFF181F1C),
                           .tint = QColor(0xFF4A372B),
                           .land = QColor(0xFF59615A)};
  return theme;
}
const Theme& theme() { return wears_dark ? darkTheme() : lightTheme(); }
void wearTheme(bool dark) { wears_dark = dark; }

double relativeLuminance(const QColor& c) {
  return 0.2126 * linear(c.redF()) + 0.7152 * linear(c.greenF()) + 0.0722 * linear(c.blueF());
}

double contrastRatio(const QColor& a, const QColor& b) {
  const double x = relativeLuminance(a), y = relativeLuminance(b);
  return (std::max(x, y) + 0.05) / (std::min(x, y) + 0.05);
}

KindStyle styleOf(Kind kind) {
  switch (kind) {
    case Kind::boundary:
      return {QColor(0xFF1B1F1D), {}, Hatch::none, LineLook::dash_dot, 2.4, 'B'};
    case Kind::bedding:
      return {QColor(0xFF5C3470), rgba(0xFF8A63A0, 70), Hatch::ovals, LineLook::solid, 1.8, 'E'};
    case Kind::food:
      return {QColor(0xFFB57E0E), rgba(0xFFE9C35A, 80), Hatch::rows, LineLook::solid, 1.8, 'F'};
    case Kind::cover:
      return {QColor(0xFF2F6E3E), rgba(0xFF5F9467, 50), Hatch::rings, LineLook::dotted, 1.6, 'C'};
    case Kind::sanctuary:
      return {QColor(0xFF7E1232), rgba(0xFF7E1232, 26), Hatch::slant, LineLook::dashed, 2.4, 'Y'};
    case Kind::water:
      return {QColor(0xFF1F639C), rgba(0xFF6FA8D2, 110), Hatch::waves, LineLook::solid, 1.8, 'W'};
    case Kind::deer_trail:
      return {QColor(0xFF5A3A1A), {}, Hatch::none, LineLook::solid, 2.2, 'T'};
    case Kind::human_path:
      return {QColor(0xFF1E3A5F), {}, Hatch::none, LineLook::dashed, 2.0, 'P'};
    case Kind::barrier:
      return {QColor(0xFF2B2B2B), {}, Hatch::none, LineLook::solid, 2.2, 'R'};
    case Kind::shooting_lane:
      return {QColor(0xFF6D5A12), rgba(0xFFF3E7A8, 120), Hatch::none, LineLook::twin, 1.2, 'L'};
    case Kind::road:
      return {QColor(0xFF4B463F), rgba(0xFFCFC6B6, 255), Hatch::none, LineLook::twin, 1.4, 'O'};
    case Kind::dwelling:
      return {QColor(0xFF3B2A22), rgba(0xFF8C6A58, 120), Hatch::cross, LineLook::solid, 1.6, 'D'};
    case Kind::gate:
    case Kind::stand:
    case Kind::mock_scrape:
    case Kind::camera:
    case Kind::note:
      break;
  }
  KindStyle point{
      QColor(chrome::kInk), QColor(chrome::kSheet), Hatch::none, LineLook::solid, 1.6, 'S'};
  point.mark = kind == Kind::gate          ? 'G'
               : kind == Kind::mock_scrape ? 'M'
               : kind == Kind::camera      ? 'A'
               : kind == Kind::note        ? 'N'
                                           : 'S';
  return point;
}

KindStyle styleOf(const Feature& feature) {
  KindStyle s = styleOf(feature.kind());
  if (const auto* cover = std::get_if<CoverAttrs>(&feature.attrs))
    s.hatch = coverHatch(cover->type);
  return s;
}

Ramp::Ramp(Stop low, Stop middle, Stop high, double alpha_low, double alpha_high) {
  for (size_t i = 0; i < kSteps; ++i) {
    const double t = static_cast<double>(i) / (kSteps - 1);
    const Stop& from = t < 0.5 ? low : middle;
    const Stop& to = t < 0.5 ? middle : high;
    const double u = t < 0.5 ? 2 * t : 2 * t - 1;
    QColor c =
        fromOklch(std::lerp(low.lightness, high.lightness, t), std::lerp(from.chroma, to.chroma, u),
                  std::lerp(from.hue_deg, to.hue_deg, u));
    c.setAlphaF(static_cast<float>(std::lerp(alpha_low, alpha_high, std::sqrt(t))));
    colours_[i] = c;
    premultiplied_[i] = qPremultiply(c.rgba());
  }
}

QColor Ramp::at(double t) const {
  return colours_[static_cast<size_t>(std::lround(std::clamp(t, 0.0, 1.0) * (kSteps - 1)))];
}
QRgb Ramp::premultiplied(double t) const {
  return premultiplied_[static_cast<size_t>(std::lround(std::clamp(t, 0.0, 1.0) * (kSteps - 1)))];
}

const Ramp& scentRamp() {
  static const Ramp ramp({0.93, 0.14, 100}, {0.62, 0.15, 55}, {0.30, 0.10, 20}, 0.04, 0.90);
  return ramp;
}
const Ramp& sightRamp() {
  static const Ramp ramp({0.58, 0.08, 245}, {0.75, 0.09, 235}, {0.92, 0.05, 225}, 0.10, 0.55);
  return ramp;
}
const Ramp& exposureRamp() {
  static const Ramp ramp({0.95, 0.06, 195}, {0.62, 0.12, 260}, {0.26, 0.15, 310}, 1, 1);
  return ramp;
}

double scentShare(double relative_exposure) {
  return relative_exposure > 0.001 ? std::min(1.0, 1 + std::log10(relative_exposure) / 3) : 0;
}
double exposureShare(double hazard_per_min) {
  return hazard_per_min > 0.001 ? std::min(1.0, 1.5 + std::log10(hazard_per_min) / 2) : 0;
}

}  // namespace leeward::ui
