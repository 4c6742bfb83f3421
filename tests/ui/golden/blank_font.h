// The typeface of the program with every glyph emptied: words keep their room and show nothing, so
// that pictures can be compared without what a font engine makes of letters.
#pragma once

#include <QByteArray>
#include <QDir>
#include <QFile>
#include <QString>
#include <QtEndian>

namespace leeward::ui {

/// An OpenType font with outlines in `glyf`: each glyph is made to begin and end at the same place.
/// Empty when it is none.
inline QByteArray withoutGlyphs(QByteArray font) {
  const auto at16 = [&](qsizetype p) { return qFromBigEndian<quint16>(font.constData() + p); };
  const auto at32 = [&](qsizetype p) {
    return static_cast<qsizetype>(qFromBigEndian<quint32>(font.constData() + p));
  };
  if (font.size() < 12) return {};
  for (int i = 0; i < at16(4); ++i) {
    const qsizetype entry = 12 + 16 * i;
    if (font.mid(entry, 4) != "loca") continue;
    const qsizetype from = at32(entry + 8), size = at32(entry + 12);
    return font.replace(from, size, QByteArray(size, '\0'));
  }
  return {};
}

/// Writes emptied fonts and a fontconfig file that knows no others into `folder`; false: the
/// typeface is not where Debian's fonts-open-sans puts it.
inline bool makeBlankFonts(const QString& folder) {
  const QDir fonts(QStringLiteral("/usr/share/fonts/truetype/open-sans"));
  int made = 0;
  for (const char* name :
       {"Regular", "Italic", "Semibold", "SemiboldItalic", "Bold", "BoldItalic"}) {
    const QString file = QStringLiteral("OpenSans-%1.ttf").arg(QLatin1String(name));
    QFile in(fonts.filePath(file)), out(folder + QLatin1Char('/') + file);
    if (!in.open(QIODevice::ReadOnly) || !out.open(QIODevice::WriteOnly)) continue;
    const QByteArray blank = withoutGlyphs(in.readAll());
    made += !blank.isEmpty() && out.write(blank) == blank.size();
  }
  QFile conf(folder + QStringLiteral("/fonts.conf"));
  if (!conf.open(QIODevice::WriteOnly)) return false;
  conf.write(QStringLiteral("<?xml version=\"1.0\"?>\n<fontconfig><dir>%1</dir>"
                            "<cachedir>%1/cache</cachedir></fontconfig>\n")
                 .arg(folder)
                 .toUtf8());
  return made == 6;
}

}  // namespace leeward::ui
