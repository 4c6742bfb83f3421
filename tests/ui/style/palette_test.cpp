// Contrast and luminance after W3C, Web Content Accessibility Guidelines 2.2, "contrast ratio" and
// "relative luminance": text 4.5 : 1, graphics 3 : 1. CIE L* after CIE 015. Colour-blind vision by
// the matrices of Machado, Oliveira, Fernandes (2009), severity 1, in linear RGB.
#include "ui/style/palette.h"

#include "ui/style/type.h"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

namespace leeward::ui {
namespace {

double lightness(const QColor& c) {
  const double y = relativeLuminance(c);
  return y > 0.008856 ? 116 * std::cbrt(y) - 16 : 903.3 * y;
}

TEST(Palette, ContrastRatioAgreesWithTheStandardsExamples) {
  EXPECT_NEAR(contrastRatio(Qt::black, Qt::white), 21, 1e-6);
  EXPECT_NEAR(contrastRatio(QColor(0x77, 0x77, 0x77), Qt::white), 4.48, 0.01);  // WCAG's near miss
}

TEST(Palette, TextIsLegibleOnEveryGroundOfBothThemes) {
  for (const Theme* t : {&lightTheme(), &darkTheme()}) {
    for (const QColor& ground : {t->paper, t->sheet, t->tint}) {
      EXPECT_GE(contrastRatio(t->ink, ground), 7) << t->dark << ground.name().toStdString();
      EXPECT_GE(contrastRatio(t->soft, ground), 4.5) << t->dark << ground.name().toStdString();
      EXPECT_GE(contrastRatio(t->accent, ground), 4.5) << t->dark << ground.name().toStdString();
    }
    EXPECT_GE(contrastRatio(t->on_accent, t->accent), 4.5);
    EXPECT_GE(contrastRatio(t->sheet, t->ink), 7) << "a button that is down";
    for (const QColor& ground : {t->paper, t->sheet}) {
      EXPECT_GE(contrastRatio(t->edge, ground), 3) << "what can be used is outlined";
      EXPECT_GE(contrastRatio(t->faint, ground), 2) << "what cannot be used is still there";
    }
  }
  EXPECT_GE(contrastRatio(QColor(chrome::kInk), QColor(chrome::kDay)), 7);
  EXPECT_GE(contrastRatio(QColor(chrome::kSheet), QColor(chrome::kNight)), 7);
}

TEST(Palette, PlatesOnTheMapStandOutFromIt) {
  for (const Theme* t : {&lightTheme(), &darkTheme()})
    EXPECT_GE(contrastRatio(t->ink, t->sheet), 7);
}

TEST(Palette, BandsOfLightDifferInGrey) {
  EXPECT_GE(contrastRatio(QColor(chrome::kDay), QColor(chrome::kTwilight)), 2);
  EXPECT_GE(contrastRatio(QColor(chrome::kTwilight), QColor(chrome::kNight)), 2);
}

TEST(Palette, LinesOfEveryKindStandOutFromTheirCasing) {
  for (const KindInfo& k : all_kinds())
    EXPECT_GE(contrastRatio(styleOf(k.kind).line, QColor(chrome::kSheet)), 3) << k.table;
}

TEST(Palette, AreasDifferByPatternOrLineNotByHueAlone) {
  std::set<std::tuple<Hatch, LineLook>> looks;
  for (const KindInfo& k : all_kinds()) {
    if (!k.area) continue;
    const KindStyle s = styleOf(k.kind);
    EXPECT_TRUE(looks.insert({s.hatch, s.look}).second) << k.table;
  }
}

TEST(Palette, EveryKindHasItsOwnKey) {
  std::set<char> marks;
  for (const KindInfo& k : all_kinds())
    EXPECT_TRUE(marks.insert(styleOf(k.kind).mark).second) << k.table;
  EXPECT_FALSE(marks.contains('V')) << "V selects";
}

TEST(Ramp, FallsEvenlyInLightnessSoThatGreyKeepsTheOrder) {
  for (const Ramp* ramp : {&scentRamp(), &exposureRamp()}) {
    std::vector<double> steps;
    for (int i = 1; i <= 10; ++i)
      steps.push_back(lightness(ramp->at((i - 1) / 10.0)) - lightness(ramp->at(i / 10.0)));
    double sum = 0;
    for (const double s : steps) {
      EXPECT_GT(s, 2) << "each tenth is visibly darker";
      sum += s;
    }
    for (const double s : steps) EXPECT_NEAR(s, sum / 10, sum / 10 * 0.45);
    EXPECT_GT(sum, 50);
  }
}

TEST(Ramp, SightRisesInLightness) {
  for (int i = 1; i <= 10; ++i)
    EXPECT_GT(lightness(sightRamp().at(i / 10.0)), lightness(sightRamp().at((i - 1) / 10.0)));
}

// Machado et al. (2009), table of severity 1.0.
QColor seenBy(const double (&m)[3][3], const QColor& c) {
  const auto lin = [](double s) {
    return s <= 0.04045 ? s / 12.92 : std::pow((s + 0.055) / 1.055, 2.4);
  };
  const auto gam = [](double l) {
    l = std::min(1.0, std::max(0.0, l));
    return l <= 0.0031308 ? 12.92 * l : 1.055 * std::pow(l, 1 / 2.4) - 0.055;
  };
  const double in[3] = {lin(c.redF()), lin(c.greenF()), lin(c.blueF())};
  float out[3];
  for (int i = 0; i < 3; ++i)
    out[i] = static_cast<float>(gam(m[i][0] * in[0] + m[i][1] * in[1] + m[i][2] * in[2]));
  return QColor::fromRgbF(out[0], out[1], out[2]);
}

TEST(Ramp, KeepsItsOrderForRedAndGreenBlindEyes) {
  const double protan[3][3] = {{0.152286, 1.052583, -0.204868},
                               {0.114503, 0.786281, 0.099216},
                               {-0.003882, -0.048116, 1.051998}};
  const double deutan[3][3] = {{0.367322, 0.860646, -0.227968},
                               {0.280085, 0.672501, 0.047413},
                               {-0.011820, 0.042940, 0.968881}};
  for (const auto& eye : {protan, deutan}) {
    double m[3][3];
    for (int i = 0; i < 3; ++i)
      for (int j = 0; j < 3; ++j) m[i][j] = eye[i][j];
    for (const Ramp* ramp : {&scentRamp(), &exposureRamp()}) {
      for (int i = 1; i <= 10; ++i) {
        EXPECT_LT(lightness(seenBy(m, ramp->at(i / 10.0))),
                  lightness(seenBy(m, ramp->at((i - 1) / 10.0))));
      }
    }
  }
}

TEST(Ramp, ScentIsLogarithmicFromAHundredthToOne) {
  EXPECT_EQ(scentShare(0.0005), 0);
  EXPECT_NEAR(scentShare(0.1), 2.0 / 3, 1e-9);
  EXPECT_NEAR(scentShare(1), 1, 1e-9);
  EXPECT_EQ(scentShare(50), 1);
}

TEST(Type, TheFamilyIsInstalled) { EXPECT_TRUE(checkFont().has_value()); }

}  // namespace
}  // namespace leeward::ui
