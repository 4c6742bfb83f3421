// Pages for a red lamp, for a grey printer and for old eyes; and the emergency box.
#include "tests/print/print_support.h"
#include "ui/print/sheets.h"
#include "ui/print/tone_pdf.h"
#include "ui/render/symbols.h"
#include "ui/style/palette.h"

#include <QColor>
#include <QPainter>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

using namespace leeward::testing;
using ::testing::HasSubstr;
using ::testing::Not;

class Looks : public PrintTest {
 protected:
  PrintLayout layoutOf(PrintLook look) const {
    PrintLayout layout;
    layout.look = look;
    return layout;
  }
};

/// What a lamp of about 630 nm shows of a page: its red channel, as a luminance 0..1.
double underRedLight(QRgb c) {
  const double v = qRed(c) / 255.0;
  return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
}

// A page in colour loses something under the lamp; in the look for it, nothing stands in a hue.
TEST_F(Looks, NothingStandsInAHueUnderARedLamp) {
  io::Picture red;
  red.width_px = red.height_px = 200;
  red.argb.assign(200 * 200, 0xFFC02020U);
  ASSERT_TRUE(io::write_rgb_geotiff(folder_ / "red.tif", red,
                                    {kWest - 200, kSouth - 200, kWest + 1000, kSouth + 1000},
                                    "EPSG:32615", 90));
  RasterLayer layer;
  layer.uid = Uid::random();
  layer.name = "Red";
  layer.path = "red.tif";
  document_ = edited(document_, {put(layer)});
  const auto hued = [](const QImage& image) {
    int count = 0;
    for (int y = 0; y < image.height(); ++y)
      for (int x = 0; x < image.width(); ++x) {
        const QRgb c = image.pixel(x, y);
        count +=
            std::max({qRed(c), qGreen(c), qBlue(c)}) - std::min({qRed(c), qGreen(c), qBlue(c)}) > 6;
      }
    return count;
  };
  ASSERT_TRUE(writeHuntMapPdf(request(), file("colour.pdf")));
  EXPECT_GT(hued(page(file("colour.pdf"), 60)), 1000);
  for (const PrintLook look : {PrintLook::red_light, PrintLook::grey}) {
    ASSERT_TRUE(writeHuntMapPdf(request(layoutOf(look)), file("look.pdf")));
    EXPECT_EQ(hued(page(file("look.pdf"), 60)), 0) << word(look);
    EXPECT_THAT(run("qpdf --check " + file("look.pdf")),
                HasSubstr("No syntax or stream encoding errors"));
    EXPECT_EQ(run("pdftoppm -r 40 -png -singlefile " + file("look.pdf") + " " + file("small")), "");
    EXPECT_THAT(words(file("look.pdf")), HasSubstr("Edge ladder"));
    EXPECT_THAT(run("pdfimages -list " + file("look.pdf")), Not(HasSubstr(" rgb ")));
  }
}

// The same page under the lamp: its darkest ink and its palest ground at a place of words.
TEST_F(Looks, WordsReadUnderARedLamp) {
  ASSERT_TRUE(writeHuntMapPdf(request(layoutOf(PrintLook::red_light)), file("red.pdf")));
  const QImage image = page(file("red.pdf"), 150);
  // Columns of words below the map: the lower left quarter.
  std::vector<double> light;
  for (int y = image.height() * 3 / 4; y < image.height() - 70; ++y)
    for (int x = 70; x < image.width() / 3; ++x) light.push_back(underRedLight(image.pixel(x, y)));
  std::sort(light.begin(), light.end());
  const double ink = light[light.size() / 100], ground = light[light.size() * 9 / 10];
  EXPECT_GT((ground + 0.05) / (ink + 0.05), 7.0);  // WCAG 2.1, level AAA for text
}

TEST_F(Looks, TheAccentOfCautionsWouldVanishAndIsKept) {
  const QColor accent = QColor::fromRgb(chrome::kAccent);  // reddish: pale under the lamp
  const double kept =
      toneOf(accent.redF(), accent.greenF(), accent.blueF(), PrintLook::red_light, false);
  EXPECT_GT(accent.redF(), 0.6);
  EXPECT_LT(kept, 0.35);
}

QImage pictureOf(const Attributes& attrs, PrintLook look) {
  QImage image(96, 48, QImage::Format_RGB32);
  image.fill(Qt::white);
  QPainter p(&image);
  p.setRenderHint(QPainter::Antialiasing);
  drawKindPicture(p, attrs, QRectF(4, 4, 88, 40), 1.6);
  p.end();
  toneImage(image, look);
  return image;
}

// Every pair of symbols, in grey and on the page for a red lamp: part of their pictures differs by
// a contrast of 2 or more; and every symbol stands out of the paper by 3 (WCAG 2.1, 1.4.11,
// graphical objects).
class LooksOfSymbols : public ::testing::TestWithParam<PrintLook> {};

TEST_P(LooksOfSymbols, EveryPairDiffers) {
  std::vector<std::pair<std::string, QImage>> pictures;
  for (const KindInfo& k : all_kinds()) {
    if (k.kind == Kind::cover) {
      for (const auto& [type, name] : EnumWords<CoverType>::words)
        pictures.emplace_back(name, pictureOf(Attributes(typical_cover(type)), GetParam()));
    } else {
      pictures.emplace_back(k.noun, pictureOf(default_attributes(k.kind), GetParam()));
    }
  }
  double least = 1;
  for (size_t i = 0; i < pictures.size(); ++i) {
    double darkest = 1;
    for (int y = 0; y < 48; ++y)
      for (int x = 0; x < 96; ++x)
        darkest = std::min(darkest, relativeLuminance(QColor(pictures[i].second.pixel(x, y))));
    EXPECT_GT(1.05 / (darkest + 0.05), 3) << pictures[i].first;
    for (size_t j = 0; j < i; ++j) {
      int apart = 0;
      for (int y = 0; y < 48; ++y)
        for (int x = 0; x < 96; ++x)
          apart += contrastRatio(QColor(pictures[i].second.pixel(x, y)),
                                 QColor(pictures[j].second.pixel(x, y))) >= 2;
      const double share = apart / (96.0 * 48.0);
      least = std::min(least, share);
      EXPECT_GT(share, 0.015) << pictures[i].first << " and " << pictures[j].first;
    }
  }
  RecordProperty("least_share_of_a_pair", std::to_string(least));
}

INSTANTIATE_TEST_SUITE_P(Grey, LooksOfSymbols, ::testing::Values(PrintLook::grey));
INSTANTIATE_TEST_SUITE_P(RedLamp, LooksOfSymbols, ::testing::Values(PrintLook::red_light));

TEST_F(Looks, TheEmergencyBoxSaysWhatIsEnteredAndLeavesLinesForTheRest) {
  ASSERT_TRUE(writeHuntMapPdf(request(), file("map.pdf")));
  EXPECT_THAT(words(file("map.pdf")), HasSubstr("____"));
  Settings s = *document_.settings;
  s.emergency = {testing::at(10, 10), "By the mailbox", "Ranger: 555 0100\nHome: 555 0101", "18:30",
                 "call the neighbour"};
  Feature stand = *document_.find(Uid::from_seed("Edge ladder"));
  stand.as<StandAttrs>().sitter = "Guest one";
  document_ = edited(document_, {put(s), put(stand)});
  for (const bool landscape : {false, true}) {
    PrintLayout layout;
    layout.landscape = landscape;
    ASSERT_TRUE(writeHuntMapPdf(request(layout), file("map.pdf")));
    const std::string page_words = words(file("map.pdf"));
    const Frame frame = *Frame::make("EPSG:32615");
    for (const std::string& expected :
         {"USNG " + usng(frame.to_wgs84(testing::at(10, 10)), 5), std::string("By the mailbox"),
          std::string("Ranger: 555 0100"), std::string("Home: 555 0101"), std::string("18:30"),
          std::string("Guest one: Edge ladder"), std::string("If late: call the neighbour"),
          std::string("not a promise"), std::string("not to scale")})
      EXPECT_THAT(page_words, HasSubstr(expected)) << landscape;
  }
}

TEST_F(Looks, LargeTypePutsTheNotesOnAPageOfTheirOwn) {
  PrintLayout layout;
  layout.large_type = true;
  ASSERT_TRUE(writeHuntMapPdf(request(layout), file("map.pdf")));
  EXPECT_THAT(run("pdfinfo " + file("map.pdf")), HasSubstr("Pages:           2"));
  EXPECT_THAT(words(file("map.pdf"), "-f 1 -l 1"), HasSubstr("Scale 1 :"));
  EXPECT_THAT(words(file("map.pdf"), "-f 2 -l 2"), HasSubstr("Full-body harness"));
}

// However small or large the page: no caution is lost.
// More notes than the page holds: each stands whole or is counted.
TEST_F(Looks, NoNoteIsCutOff) {
  HuntMapRequest asked = request();
  Results many = *asked.results;
  for (int n = 10; n < 40; ++n)
    many.notes.push_back("Begin" + std::to_string(n) +
                         " of a note that takes two lines in a narrow column of a page, end" +
                         std::to_string(n) + ".");
  asked.results = make_ref<Results>(many);
  ASSERT_TRUE(writeHuntMapPdf(asked, file("map.pdf")));
  const std::string seen = words(file("map.pdf"), "");
  int whole = 0;
  for (int n = 10; n < 40; ++n) {
    const bool begun = seen.find("Begin" + std::to_string(n)) != std::string::npos;
    EXPECT_EQ(begun, seen.find("end" + std::to_string(n)) != std::string::npos) << n;
    whole += begun;
  }
  EXPECT_LT(whole, 30);
  EXPECT_THAT(seen, HasSubstr("more in the window"));
}

TEST_F(Looks, NoPageLosesACaution) {
  struct Case {
    double width_mm, height_mm;
    bool landscape, large;
  };
  for (const Case& c :
       {Case{105, 148, false, false}, Case{120, 180, true, false}, Case{190, 254, false, true},
        Case{216, 279, false, false}, Case{216, 279, true, true}, Case{279, 432, true, false}}) {
    PrintLayout layout;
    layout.paper = PaperSize::custom;
    layout.custom_width_mm = c.width_mm;
    layout.custom_height_mm = c.height_mm;
    layout.landscape = c.landscape;
    layout.large_type = c.large;
    ASSERT_TRUE(writeHuntMapPdf(request(layout), file("map.pdf")));
    const std::string page_words = words(file("map.pdf"), "");
    for (const char* expected :
         {"Full-body", "haul the unloaded", "Tell somebody", "what lies", "check local law",
          "not a promise", "never cleared", "not to scale", "Meet helpers at"}) {
      std::string joined = page_words;
      std::replace(joined.begin(), joined.end(), '\n', ' ');
      EXPECT_THAT(joined, HasSubstr(expected)) << c.width_mm << " " << c.landscape << c.large;
    }
  }
}

}  // namespace
}  // namespace leeward::ui
