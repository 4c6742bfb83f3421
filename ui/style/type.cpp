#include "ui/style/type.h"

#include <QFontDatabase>
#include <QStringList>

#include <algorithm>
#include <cmath>

namespace leeward::ui {

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

}  // namespace leeward::ui
