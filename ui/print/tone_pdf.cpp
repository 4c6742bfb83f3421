#include "ui/print/tone_pdf.h"

#include <QBuffer>
#include <qpdf/Buffer.hh>
#include <qpdf/Pl_Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFTokenizer.hh>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <memory>
#include <string>
#include <vector>

namespace leeward::ui {
namespace {

using Handle = QPDFObjectHandle;

constexpr int kJpegQuality = 82;
constexpr double kInkFrom = 0.35, kInkSpan = 0.5;  // greys that become black .. white ink

double linear(double v) { return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4); }
double encoded(double v) {
  return v <= 0.0031308 ? 12.92 * v : 1.055 * std::pow(v, 1 / 2.4) - 0.055;
}

bool setsColour(const std::string& word) {
  return word == "rg" || word == "RG" || word == "sc" || word == "SC" || word == "scn" ||
         word == "SCN";
}

// Passes a content stream on with the three numbers before an operator of colour toned.
class ToneFilter : public Handle::TokenFilter {
 public:
  explicit ToneFilter(PrintLook look) : look_(look) {}

  void handleToken(const QPDFTokenizer::Token& token) override {
    using Type = QPDFTokenizer::token_type_e;
    held_.push_back(token);
    const Type type = token.getType();
    if (type != Type::tt_word && type != Type::tt_inline_image) return;
    if (type == Type::tt_word && setsColour(token.getValue())) tone();
    flush();
  }
  void handleEOF() override { flush(); }

 private:
  void tone() {
    std::vector<size_t> numbers;
    for (size_t i = 0; i < held_.size(); ++i) {
      const auto type = held_[i].getType();
      if (type == QPDFTokenizer::tt_real || type == QPDFTokenizer::tt_integer) numbers.push_back(i);
    }
    if (numbers.size() < 3) return;
    const size_t first = numbers.size() - 3;
    double v[3];
    for (size_t k = 0; k < 3; ++k) v[k] = std::stod(held_[numbers[first + k]].getValue());
    char word[32];
    std::snprintf(word, sizeof word, "%.4f", toneOf(v[0], v[1], v[2], look_, false));
    for (size_t k = 0; k < 3; ++k)
      held_[numbers[first + k]] = QPDFTokenizer::Token(QPDFTokenizer::tt_real, word);
  }
  void flush() {
    for (const auto& token : held_) writeToken(token);
    held_.clear();
  }

  PrintLook look_;
  std::vector<QPDFTokenizer::Token> held_;
};

void toneStream(Handle stream, PrintLook look) {
  ToneFilter filter(look);
  Pl_Buffer out("toned");
  stream.filterAsContents(&filter, &out);
  out.finish();
  const std::shared_ptr<Buffer> bytes(out.getBuffer());
  stream.replaceStreamData(
      std::string(reinterpret_cast<const char*>(bytes->getBuffer()), bytes->getSize()),
      Handle::newNull(), Handle::newNull());
}

QByteArray jpegOf(const QImage& image) {
  QByteArray file;
  QBuffer buffer(&file);
  buffer.open(QIODevice::WriteOnly);
  image.save(&buffer, "JPEG", kJpegQuality);
  return file;
}

// An image of eight bits and three channels becomes one of one channel; JPEG stays JPEG.
void toneImageStream(Handle stream, PrintLook look) {
  Handle dict = stream.getDict();
  if (!dict.getKey("/ColorSpace").isNameAndEquals("/DeviceRGB") ||
      !dict.getKey("/BitsPerComponent").isInteger() ||
      dict.getKey("/BitsPerComponent").getIntValue() != 8)
    return;
  const int w = dict.getKey("/Width").getIntValueAsInt(),
            h = dict.getKey("/Height").getIntValueAsInt();
  const bool jpeg = dict.getKey("/Filter").isNameAndEquals("/DCTDecode");
  const std::shared_ptr<Buffer> bytes = stream.getStreamData(qpdf_dl_all);
  const size_t pixels = static_cast<size_t>(w) * static_cast<size_t>(h);
  if (bytes->getSize() < 3 * pixels) return;
  QImage grey(w, h, QImage::Format_Grayscale8);
  const unsigned char* in = bytes->getBuffer();
  for (int y = 0; y < h; ++y) {
    uchar* row = grey.scanLine(y);
    for (int x = 0; x < w; ++x, in += 3)
      row[x] = static_cast<uchar>(
          std::lround(255 * toneOf(in[0] / 255.0, in[1] / 255.0, in[2] / 255.0, look, true)));
  }
  dict.replaceKey("/ColorSpace", Handle::newName("/DeviceGray"));
  if (jpeg) {
    stream.replaceStreamData(jpegOf(grey).toStdString(), Handle::newName("/DCTDecode"),
                             Handle::newNull());
    return;
  }
  std::string raw;
  raw.reserve(pixels);
  for (int y = 0; y < h; ++y)
    raw.append(reinterpret_cast<const char*>(grey.constScanLine(y)), static_cast<size_t>(w));
  stream.replaceStreamData(raw, Handle::newNull(), Handle::newNull());
}

/// Each pixel becomes the grey that `tone` makes of it. REQUIRES: a format of 32 bits.
template <class Tone>
void mapPixels(QImage& image, const Tone& tone) {
  QRgb last = 0, made = 0;  // neighbours are often alike
  bool any = false;
  for (int y = 0; y < image.height(); ++y) {
    auto* row = reinterpret_cast<QRgb*>(image.scanLine(y));
    for (int x = 0; x < image.width(); ++x) {
      if (!any || row[x] != last) {
        last = row[x];
        any = true;
        const int v = static_cast<int>(
            std::lround(255 * tone(qRed(last) / 255.0, qGreen(last) / 255.0, qBlue(last) / 255.0)));
        made = qRgba(v, v, v, qAlpha(last));
      }
      row[x] = made;
    }
  }
}

}  // namespace

double toneOf(double red, double green, double blue, PrintLook look, bool in_picture) {
  const double light = 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
  const double grey = std::clamp(encoded(light), 0.0, 1.0);
  if (in_picture) return 1 - (look == PrintLook::red_light ? 0.4 : 0.55) * (1 - grey);
  if (look != PrintLook::red_light) return grey;
  // Ink to black, pale ground to white, even between.
  return std::clamp((grey - kInkFrom) / kInkSpan, 0.0, 1.0);
}

void tonePdf(QPDF& pdf, PrintLook look) {
  for (Handle object : pdf.getAllObjects()) {
    if (!object.isStream()) continue;
    Handle dict = object.getDict();
    if (dict.getKey("/Subtype").isNameAndEquals("/Image")) {
      toneImageStream(object, look);
    } else if (dict.getKey("/Subtype").isNameAndEquals("/Form") || dict.hasKey("/PatternType")) {
      toneStream(object, look);
    }
  }
  for (Handle page : pdf.getAllPages()) {
    page.coalesceContentStreams();
    toneStream(page.getKey("/Contents"), look);
  }
}

void shrinkPhotographs(QPDF& pdf) {
  for (Handle object : pdf.getAllObjects()) {
    if (!object.isStream()) continue;
    Handle dict = object.getDict();
    if (!dict.getKey("/Subtype").isNameAndEquals("/Image") ||
        !dict.getKey("/Filter").isNameAndEquals("/DCTDecode") ||
        !dict.getKey("/ColorSpace").isNameAndEquals("/DeviceRGB"))
      continue;
    const std::shared_ptr<Buffer> bytes = object.getRawStreamData();
    const QImage image = QImage::fromData(bytes->getBuffer(), static_cast<int>(bytes->getSize()));
    const QByteArray file = jpegOf(image.convertToFormat(QImage::Format_RGB32));
    if (!image.isNull() && static_cast<size_t>(file.size()) < bytes->getSize())
      object.replaceStreamData(file.toStdString(), Handle::newName("/DCTDecode"),
                               Handle::newNull());
  }
}

QImage tonedPhotograph(const QImage& image, PrintLook look) {
  QImage out = image.convertToFormat(QImage::Format_ARGB32);
  mapPixels(out, [look](double r, double g, double b) {
    const double tone = toneOf(r, g, b, look, true);
    return look == PrintLook::red_light ? kInkFrom + kInkSpan * tone : tone;
  });
  return out.convertToFormat(image.format());
}

void toneImage(QImage& image, PrintLook look) {
  if (look == PrintLook::colour) return;
  image =
      image.convertToFormat(image.hasAlphaChannel() ? QImage::Format_ARGB32 : QImage::Format_RGB32);
  mapPixels(image, [look](double r, double g, double b) { return toneOf(r, g, b, look, false); });
}

}  // namespace leeward::ui
