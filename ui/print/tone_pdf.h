// The looks of a page: tones in place of its colours, in a finished PDF and in a picture.
//
// Both other looks are grey, so that nothing stands in a hue. A red lamp (about 630 nm) shows of a
// page only what its red channel holds, and of a grey that is all of it. Pictures are paled, so
// that what is drawn stands out of them; for the red lamp inks are darkened besides, for little
// light.
#pragma once

#include "core/model/property.h"

#include <QImage>

class QPDF;

namespace leeward::ui {

/// The tone of an sRGB colour in a look, 0..1; `in_picture`: of a photograph or a field of colour.
double toneOf(double red, double green, double blue, PrintLook look, bool in_picture);

/// Colours in all content, patterns and images of a PDF as QPdfWriter makes it.
void tonePdf(QPDF& pdf, PrintLook look);

/// Photographs again at a JPEG quality that paper shows: the writer of PDF pages takes the dearest.
void shrinkPhotographs(QPDF& pdf);

/// What toneImage() makes of it is what tonePdf() makes of the photograph.
QImage tonedPhotograph(const QImage& image, PrintLook look);
/// A drawn picture of a page; its photographs went through tonedPhotograph().
void toneImage(QImage& image, PrintLook look);

}  // namespace leeward::ui
