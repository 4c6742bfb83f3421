#include "ui/print/page_file.h"

#include "ui/print/tone_pdf.h"
#include "ui/style/type.h"

#include <QPageLayout>
#include <QPageSize>
#include <QPdfWriter>

#include <system_error>

namespace leeward::ui {
namespace {

namespace fs = std::filesystem;

// A file beside the target that is removed unless it is renamed over it.
class Beside {
 public:
  explicit Beside(const fs::path& target, const char* suffix)
      : path_(target.parent_path() / ("." + target.filename().string() + suffix)) {}
  ~Beside() {
    std::error_code ignored;
    fs::remove(path_, ignored);
  }
  Beside(const Beside&) = delete;
  Beside& operator=(const Beside&) = delete;
  const fs::path& path() const { return path_; }
  Status renameOver(const fs::path& target) const {
    std::error_code error;
    fs::rename(path_, target, error);
    return error ? Status(fail(ErrorCode::io,
                               target.string() + ": cannot be written: " + error.message()))
                 : ok();
  }

 private:
  fs::path path_;
};

Error notWritable(const fs::path& to) {
  return fail(ErrorCode::io,
              to.string() +
                  ": cannot be written; choose another folder or close the program that shows it");
}

void prepare(QPainter& painter) {
  painter.setRenderHints(QPainter::Antialiasing | QPainter::TextAntialiasing |
                         QPainter::SmoothPixmapTransform);
}

Status drawAll(const std::vector<SheetPage>& pages, const PagesInfo& info, const fs::path& drawn,
               const fs::path& to) {
  QPdfWriter writer(text(drawn.string()));
  writer.setPdfVersion(QPagedPaintDevice::PdfVersion_1_6);
  writer.setCreator(QStringLiteral("Leeward"));
  writer.setTitle(info.title);
  writer.setResolution(static_cast<int>(kPdfDotsPerInch));
  writer.setPageLayout(
      QPageLayout(QPageSize(info.page_mm, QPageSize::Millimeter, QString(), QPageSize::ExactMatch),
                  QPageLayout::Portrait, QMarginsF(0, 0, 0, 0)));
  QPainter painter;
  if (!painter.begin(&writer)) return notWritable(to);
  Status s = ok();
  for (size_t i = 0; i < pages.size() && s; ++i) {
    if (i > 0 && !writer.newPage()) s = notWritable(to);
    prepare(painter);
    Page page(painter, kPdfDotsPerInch / 25.4, info.type_scale);
    if (s) s = pages[i].draw(page);
  }
  if (!painter.end() && s) s = notWritable(to);
  return s;
}

}  // namespace

Status writePagesPdf(const std::vector<SheetPage>& pages, const PagesInfo& info, const Frame& frame,
                     const fs::path& to, const PrintProgress& progress) {
  if (Status font = checkFont(); !font) return font;
  const Beside drawn(to, ".drawn"), finished(to, ".new");
  Status s = drawAll(pages, info, drawn.path(), to);
  if (!s) return s;
  if (progress) progress(0.95, "finishing");
  PdfExtras extras;
  extras.look = info.look;
  for (size_t i = 0; i < pages.size(); ++i) {
    for (Bookmark b : pages[i].bookmarks) {
      b.page = i;
      extras.bookmarks.push_back(b);
    }
    if (!pages[i].place) continue;
    extras.places.push_back(*pages[i].place);
    extras.places.back().page = i;
  }
  s = finishPdf(drawn.path(), finished.path(), frame, extras);
  if (s) s = finished.renameOver(to);
  if (s && progress) progress(1, "done");
  return s;
}

Result<QImage> pagePicture(const SheetPage& sheet, const PagesInfo& info, double dots_per_inch) {
  if (Status font = checkFont(); !font) return std::move(font.error());
  const double dots_per_mm = dots_per_inch / 25.4;
  QImage image((info.page_mm * dots_per_mm).toSize(), QImage::Format_RGB32);
  if (image.isNull())
    return fail(ErrorCode::invalid_argument,
                "the picture would be too large; lower the dots an inch");
  image.fill(Qt::white);
  image.setDotsPerMeterX(static_cast<int>(dots_per_mm * 1000));
  image.setDotsPerMeterY(static_cast<int>(dots_per_mm * 1000));
  QPainter painter(&image);
  prepare(painter);
  painter.scale(dots_per_inch / kPdfDotsPerInch, dots_per_inch / kPdfDotsPerInch);
  Page page(painter, kPdfDotsPerInch / 25.4, info.type_scale);
  page.seenAs(dots_per_mm, info.look);
  const Status s = sheet.draw(page);
  painter.end();
  if (!s) return s.error();
  toneImage(image, info.look);
  return image;
}

Status writePagePng(const SheetPage& sheet, const PagesInfo& info, const fs::path& to,
                    double dots_per_inch) {
  const auto image = pagePicture(sheet, info, dots_per_inch);
  if (!image) return image.error();
  const Beside finished(to, ".new");
  if (!image->save(text(finished.path().string()), "PNG")) return notWritable(to);
  return finished.renameOver(to);
}

}  // namespace leeward::ui
