// OwnStyle: what a style sheet cannot draw in the theme's colours: ticks, sliders, focus.
#pragma once

#include <QProxyStyle>

namespace leeward::ui {

class OwnStyle : public QProxyStyle {
 public:
  OwnStyle();
  void drawPrimitive(PrimitiveElement element, const QStyleOption* option, QPainter* painter,
                     const QWidget* widget) const override;
  void drawComplexControl(ComplexControl control, const QStyleOptionComplex* option,
                          QPainter* painter, const QWidget* widget) const override;
  int pixelMetric(PixelMetric metric, const QStyleOption* option,
                  const QWidget* widget) const override;
};

}  // namespace leeward::ui
