// The one typeface of screen and print.
#pragma once

#include "core/base/result.h"

#include <QFont>
#include <QString>

namespace leeward::ui {

inline constexpr const char* kFontFamily = "Open Sans";

/// The one scale of type on screen, logical pixels at a text scale of 100 %.
namespace type {
inline constexpr double kTiny = 10;    ///< Figures inside marks.
inline constexpr double kSmall = 11;   ///< Names of minor things on the map, ticks.
inline constexpr double kLabel = 12;   ///< Names on the map, plates, keys.
inline constexpr double kStrong = 13;  ///< What is chosen on the map.
inline constexpr double kBody = 14;    ///< Panels, menus, dialogs.
inline constexpr double kHead = 18;    ///< The name of what a panel shows.
inline constexpr double kTitle = 34;   ///< The start page.
}  // namespace type

/// The one unit of space between things on screen, logical pixels; all gaps are whole steps of it.
inline constexpr int kSpacePx = 4;
constexpr int space(int steps) { return steps * kSpacePx; }

/// What the user wants type to be multiplied by, 0.8 to 2. Set by wearLook(), on the UI thread.
inline constexpr double kLeastTextScale = 0.8, kMostTextScale = 2;
double textScale();
void setTextScale(double scale);
/// A length that grows with the type in it, logical pixels.
int typeLength(double pixels);

/// Error naming the mend when the family is not installed. REQUIRES: a QGuiApplication.
Status checkFont();
/// The family at a size in device units (pixels on screen, dots in a PDF).
QFont fontOfPixels(double pixels, QFont::Weight weight = QFont::Normal, bool italic = false);

/// The family at a size of the scale above, multiplied by textScale(): for widgets, not for maps.
QFont screenFont(double pixels, QFont::Weight weight = QFont::Normal);

inline QString text(const std::string& utf8) { return QString::fromStdString(utf8); }
inline QString text(const char* utf8) { return QString::fromUtf8(utf8); }

}  // namespace leeward::ui
