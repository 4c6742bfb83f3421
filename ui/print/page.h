// Where things stand on the page, and type set in millimetres.
#pragma once

#include "core/model/property.h"
#include "ui/render/map_transform.h"

#include <QImage>
#include <QPainter>
#include <QString>

#include <optional>
#include <vector>

namespace leeward::ui {

inline constexpr double kLargeType = 1.4;  ///< Times the usual sizes.

/// Rectangles in millimetres from the page's upper left corner.
struct PageGeometry {
  QSizeF page_mm;
  QRectF title, map, side;  ///< `side` stands right of the map (landscape) or below it (portrait).
  QRectF table;             ///< For the stands: below the map (landscape), or the top of `side`.
  bool landscape = false;
  bool notes_apart = false;  ///< `side` stands on a page of its own.
};
/// `stands`: rows of the table of stands. Large type and small paper
/// have their notes apart in any case.
PageGeometry pageGeometry(const PrintLayout& layout, size_t stands = 0, bool notes_apart = false);

/// A table of stands that is narrower takes two lines a stand.
inline constexpr double kWideTable_mm = 150;

/// Room for scale bars and norths in a map frame's lower left corner, mm.
QRectF scaleCorner(QPointF lower_left_mm, double type_scale);

/// A painter with the page's unit: everything that draws on paper goes through it.
class Page {
 public:
  Page(QPainter& painter, double dots_per_mm, double type_scale = 1)
      : painter_(painter), dots_per_mm_(dots_per_mm), type_scale_(type_scale) {}
  /// For a picture of the page: `dots_per_mm` of the picture, whose painter is scaled so that all
  /// is set as on paper; photographs are toned for `look` before the whole is.
  void seenAs(double picture_dots_per_mm, PrintLook look) {
    seen_per_mm_ = picture_dots_per_mm;
    seen_look_ = look;
  }
  /// Pixels a millimetre that a photograph on this page is worth: at most 300 an inch.
  double photoDotsPerMm() const;
  /// A photograph or a field of colour as it goes on the page.
  QImage photo(const QImage& image) const;
  QPainter& painter() { return painter_; }
  double dots(double mm) const { return mm * dots_per_mm_; }
  QPointF at(double x_mm, double y_mm) const { return {dots(x_mm), dots(y_mm)}; }
  QRectF rect(QRectF mm) const {
    return {dots(mm.x()), dots(mm.y()), dots(mm.width()), dots(mm.height())};
  }
  /// Dots a logical pixel (1/96 inch, larger in large type).
  double per_px() const { return dots(type_scale_ * 25.4 / 96); }

  /// A font whose capitals-and-descenders line is `height_mm` tall in all.
  QFont font(double size_pt, bool bold = false) const;
  /// Text that wraps in a column; returns the height used, mm. Draws nothing past `max_mm`.
  double paragraph(double x_mm, double y_mm, double width_mm, double max_mm, const QString& words,
                   double size_pt, QColor ink, bool bold = false);
  /// The height that paragraph() would use with room to spare, mm.
  double paragraphHeightMm(double width_mm, const QString& words, double size_pt,
                           bool bold = false) const;
  double typeScale() const { return type_scale_; }
  /// The width of a line, mm.
  double widthMm(const QString& words, double size_pt, bool bold = false) const;
  /// One line, cut with an ellipsis when it does not fit.
  void line(double x_mm, double y_mm, double width_mm, const QString& words, double size_pt,
            QColor ink, bool bold = false, Qt::Alignment align = Qt::AlignLeft);
  /// The size at which a line fits a width: `size_pt`, or down to two thirds of it.
  double fittingPt(const QString& words, double size_pt, double width_mm, bool bold = false) const;
  double lineHeightMm(double size_pt) const;
  void rule(double x0_mm, double y_mm, double x1_mm);

 private:
  QPainter& painter_;
  double dots_per_mm_;
  double type_scale_;
  std::optional<double> seen_per_mm_;
  PrintLook seen_look_ = PrintLook::colour;
};

}  // namespace leeward::ui
