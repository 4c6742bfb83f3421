// The one typeface of screen and print.
#pragma once

#include "core/base/result.h"

#include <QFont>
#include <QString>

namespace leeward::ui {

inline constexpr const char* kFontFamily = "Open Sans";

/// Error naming the mend when the family is not installed. REQUIRES: a QGuiApplication.
Status checkFont();
/// The family at a size in device units (pixels on screen, dots in a PDF).
QFont fontOfPixels(double pixels, QFont::Weight weight = QFont::Normal, bool italic = false);

inline QString text(const std::string& utf8) { return QString::fromStdString(utf8); }
inline QString text(const char* utf8) { return QString::fromUtf8(utf8); }

}  // namespace leeward::ui
