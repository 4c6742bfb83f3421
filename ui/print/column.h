// A column of text on a page that fills downward, and the page's inks and sizes of type.
#pragma once

#include "ui/print/page.h"

#include <QImage>

namespace leeward::ui {

inline constexpr double kBody_pt = 7.2;
inline constexpr double kSmall_pt = 6.4;
inline constexpr double kHead_pt = 8.4;

QColor inkColour();
QColor softColour();

struct Column {
  Page& page;
  double x, y, width, bottom;  ///< mm; `y` is where the next block begins.
  double room() const { return bottom - y; }
  /// Bold over a rule; nothing where less than two lines would follow.
  void heading(const QString& words);
  /// Wraps; what does not fit is left out from the end. True: all of it was set.
  bool textBlock(const QString& words, double size_pt = kBody_pt, QColor colour = inkColour(),
                 bool bold = false);
  void gap(double mm) { y += mm; }
};

/// What `draw` returns on a page like this one that nobody sees.
template <class Draw>
double measured(const Page& like, const Draw& draw) {
  QImage paper(8, 8, QImage::Format_RGB32);
  QPainter painter(&paper);
  Page page(painter, like.dots(1), like.typeScale());
  return draw(page);
}

}  // namespace leeward::ui
