// How far the map's marks stand apart, by eye and on the ground. Colour difference: CIEDE2000 after
// G. Sharma, W. Wu, E. Dalal, "The CIEDE2000 color-difference formula" (2005), checked with pairs
// of its table 1. Colour-blind eyes: G. Machado, M. Oliveira, L. Fernandes (2009), severity 1, in
// linear RGB. Marks on a ground: WCAG 2.1, success criterion 1.4.11, 3 : 1.
#include "ui/render/symbols.h"
#include "ui/style/palette.h"

#include <QImage>
#include <QPainter>

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>

namespace leeward::ui {
namespace {

struct Lab {
  double l, a, b;
};
using Eye = std::array<std::array<double, 3>, 3>;
constexpr Eye kNormal = {{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};
constexpr Eye kProtan = {{{0.152286, 1.052583, -0.204868},
                          {0.114503, 0.786281, 0.099216},
                          {-0.003882, -0.048116, 1.051998}}};
constexpr Eye kDeutan = {{{0.367322, 0.860646, -0.227968},
                          {0.280085, 0.672501, 0.047413},
                          {-0.011820, 0.042940, 0.968881}}};
constexpr Eye kTritan = {{{1.255528, -0.076749, -0.178779},
                          {-0.078411, 0.930809, 0.147602},
                          {0.004733, 0.691367, 0.303900}}};

/// As an eye sees it: CIE L*a*b*, D65.
Lab seenBy(const Eye& eye, const QColor& c) {
  const auto linear = [](double s) {
    return s <= 0.04045 ? s / 12.92 : std::pow((s + 0.055) / 1.055, 2.4);
  };
  const double in[3] = {linear(c.redF()), linear(c.greenF()), linear(c.blueF())};
  double rgb[3];
  for (std::size_t i = 0; i < 3; ++i)
    rgb[i] = std::clamp(eye[i][0] * in[0] + eye[i][1] * in[1] + eye[i][2] * in[2], 0.0, 1.0);
  const auto f = [](double t) {
    return t > 216.0 / 24389 ? std::cbrt(t) : (24389 / 27.0 * t + 16) / 116;
  };
  const double x = f((0.4124564 * rgb[0] + 0.3575761 * rgb[1] + 0.1804375 * rgb[2]) / 0.95047);
  const double y = f(0.2126729 * rgb[0] + 0.7151522 * rgb[1] + 0.0721750 * rgb[2]);
  const double z = f((0.0193339 * rgb[0] + 0.1191920 * rgb[1] + 0.9503041 * rgb[2]) / 1.08883);
  return {116 * y - 16, 500 * (x - y), 200 * (y - z)};
}

double hueDeg(double a, double b) {
  if (a == 0 && b == 0) return 0;
  const double h = std::atan2(b, a) * kDegPerRad;
  return h < 0 ? h + 360 : h;
}

double ciede2000(const Lab& p, const Lab& q) {
  const double c_mean = (std::hypot(p.a, p.b) + std::hypot(q.a, q.b)) / 2;
  const double g =
      0.5 * (1 - std::sqrt(std::pow(c_mean, 7) / (std::pow(c_mean, 7) + std::pow(25, 7))));
  const double a1 = (1 + g) * p.a, a2 = (1 + g) * q.a;
  const double c1 = std::hypot(a1, p.b), c2 = std::hypot(a2, q.b);
  const double h1 = hueDeg(a1, p.b), h2 = hueDeg(a2, q.b);
  const bool grey = c1 * c2 == 0;
  const double dh = grey             ? 0
                    : h2 - h1 > 180  ? h2 - h1 - 360
                    : h2 - h1 < -180 ? h2 - h1 + 360
                                     : h2 - h1;
  const double dl = q.l - p.l, dc = c2 - c1;
  const double dhh = 2 * std::sqrt(c1 * c2) * std::sin(dh / 2 * kRadPerDeg);
  const double l = (p.l + q.l) / 2, c = (c1 + c2) / 2;
  const double h = grey                       ? h1 + h2
                   : std::abs(h1 - h2) <= 180 ? (h1 + h2) / 2
                   : h1 + h2 < 360            ? (h1 + h2 + 360) / 2
                                              : (h1 + h2 - 360) / 2;
  const auto cosine = [](double deg) { return std::cos(deg * kRadPerDeg); };
  const double t = 1 - 0.17 * cosine(h - 30) + 0.24 * cosine(2 * h) + 0.32 * cosine(3 * h + 6) -
                   0.20 * cosine(4 * h - 63);
  const double sl = 1 + 0.015 * (l - 50) * (l - 50) / std::sqrt(20 + (l - 50) * (l - 50));
  const double sc = 1 + 0.045 * c, sh = 1 + 0.015 * c * t;
  const double rc = 2 * std::sqrt(std::pow(c, 7) / (std::pow(c, 7) + std::pow(25, 7)));
  const double turn = 30 * std::exp(-std::pow((h - 275) / 25, 2));
  const double rt = -std::sin(2 * turn * kRadPerDeg) * rc;
  return std::sqrt(std::pow(dl / sl, 2) + std::pow(dc / sc, 2) + std::pow(dhh / sh, 2) +
                   rt * dc / sc * dhh / sh);
}

TEST(Ciede2000, AgreesWithThePublishedPairs) {
  EXPECT_NEAR(ciede2000({50, 2.6772, -79.7751}, {50, 0, -82.7485}), 2.0425, 1e-4);
  EXPECT_NEAR(ciede2000({50, 0, 0}, {50, -1, 2}), 2.3669, 1e-4);
  EXPECT_NEAR(ciede2000({50, 2.5, 0}, {73, 25, -18}), 27.1492, 1e-4);
  EXPECT_NEAR(ciede2000({60.2574, -34.0099, 36.2677}, {60.4626, -34.1751, 39.4387}), 1.2644, 1e-4);
}

/// What tells a kind besides its colour: pattern, dashes, twin strokes, marks along the line,
/// width.
auto form(Kind kind) {
  const KindStyle s = styleOf(kind);
  const bool ticked = kind == Kind::barrier, beaded = kind == Kind::deer_trail;
  return std::tuple(s.hatch, s.look, ticked, beaded, s.look == LineLook::twin ? s.width_px : 0.0,
                    s.fill.isValid());
}

TEST(Palette, NoTwoKindsDifferByColourAlone) {
  for (const KindInfo& a : all_kinds())
    for (const KindInfo& b : all_kinds())
      if (a.kind < b.kind && !a.point && !b.point) {
        EXPECT_NE(form(a.kind), form(b.kind)) << a.table << ' ' << b.table;
      }
}

TEST(Palette, AreasStandApartForEveryEye) {
  // 5 is well above what is just noticed side by side, about 1 to 2.3; pattern and dashes come to
  // it.
  constexpr double kApart = 5;
  for (const auto& [name, eye] : {std::pair("normal", kNormal),
                                  {"protan", kProtan},
                                  {"deutan", kDeutan},
                                  {"tritan", kTritan}}) {
    double least = 1e9;
    for (const KindInfo& a : all_kinds()) {
      for (const KindInfo& b : all_kinds()) {
        if (a.kind >= b.kind || !a.area || !b.area) continue;
        const double d =
            ciede2000(seenBy(eye, styleOf(a.kind).line), seenBy(eye, styleOf(b.kind).line));
        least = std::min(least, d);
        EXPECT_GE(d, kApart) << name << ": " << a.table << ' ' << b.table;
      }
    }
    std::printf("least distance of two areas, %s: %.1f\n", name, least);
  }
}

/// Share of a picture's pixels that stand at 3 : 1 or more from its ground.
double sharePlain(Kind kind, const QColor& ground) {
  QImage image(56, 56, QImage::Format_RGB32);
  image.setDevicePixelRatio(2);
  image.fill(ground);
  {
    QPainter painter(&image);
    painter.setRenderHint(QPainter::Antialiasing);
    drawKindPicture(painter, default_attributes(kind), QRectF(1, 1, 26, 26), 1);
  }
  int plain = 0;
  for (int y = 0; y < image.height(); ++y)
    for (int x = 0; x < image.width(); ++x)
      plain += contrastRatio(image.pixelColor(x, y), ground) >= 3;
  return plain / (56.0 * 56.0);
}

TEST(Palette, SymbolsAreSeenOnSnowAndInDarkTimber) {
  // Grounds: a bright field and dense timber as aerial pictures have them; common practice, no
  // source.
  for (const KindInfo& k : all_kinds()) {
    EXPECT_GE(sharePlain(k.kind, QColor(0xFFF3F1E8)), 0.04) << k.table << " on a bright field";
    EXPECT_GE(sharePlain(k.kind, QColor(0xFF151C15)), 0.04) << k.table << " in dark timber";
  }
}

}  // namespace
}  // namespace leeward::ui
