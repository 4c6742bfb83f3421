#include "ui/style/type.h"

#include <QFontDatabase>
#include <QStringList>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

double text_scale = 1;

}  // namespace

double textScale() { return text_scale; }
void setTextScale(double scale) { text_scale = std::clamp(scale, kLeastTextScale, kMostTextScale); }
int typeLength(double pixels) { return static_cast<int>(std::lround(pixels * text_scale)); }

Status checkFont() {
  if (QFontDatabase::families().contains(QString::fromLatin1(kFontFamily))) return ok();
  return fail(ErrorCode::not_found,
              "the typeface Open Sans is not installed: install the package fonts-open-sans "
              "(sudo apt-get install fonts-open-sans) and start again");
}

QFont fontOfPixels(double pixels, QFont::Weight weight, bool italic) {
  QFont font(QString::fromLatin1(kFontFamily));
  font.setPixelSize(std::max(1, static_cast<int>(std::lround(pixels))));
  font.setWeight(weight);
  font.setItalic(italic);
  return font;
}

QFont screenFont(double pixels, QFont::Weight weight) {
  return fontOfPixels(pixels * text_scale, weight);
}

}  // namespace leeward::ui
