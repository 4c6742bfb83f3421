#include "ui/print/hunt_map.h"

#include "ui/print/geo_pdf.h"
#include "ui/print/side_blocks.h"
#include "ui/style/type.h"

#include <QImage>
#include <QPageLayout>
#include <QPageSize>
#include <QPdfWriter>

#include <system_error>

namespace leeward::ui {
namespace {

namespace fs = std::filesystem;

constexpr double kPdfDotsPerInch = 600;

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

Status checkRequest(const HuntMapRequest& request, const MapFrame& map) {
  if (!(map.denominator >= 100 && map.denominator <= 1e6))
    return fail(ErrorCode::invalid_argument, "the scale must lie between 1:100 and 1:1,000,000");
  const Box want = request.document->extent();
  if (!want.empty() && !want.overlaps(map.ground)) {
    return fail(
        ErrorCode::invalid_argument,
        "nothing of the property lies on the page: clear the map's centre in the print layout");
  }
  return checkFont();
}

Status drawPage(QPainter& painter, double dots_per_mm, const HuntMapRequest& request,
                const Frame& frame, MapFrame& map, std::stop_token stop,
                const PrintProgress& progress) {
  painter.setRenderHints(QPainter::Antialiasing | QPainter::TextAntialiasing |
                         QPainter::SmoothPixmapTransform);
  Page page(painter, dots_per_mm);
  const PageGeometry geometry = pageGeometry(request.layout);
  Status s = drawMap(page, request, map, stop, progress);
  if (!s) return s;
  drawMapCorner(page, request, map, frame);
  drawTitle(page, request, geometry);
  drawSide(page, request, geometry, map, frame);
  return ok();
}

Error notWritable(const fs::path& to) {
  return fail(ErrorCode::io,
              to.string() +
                  ": cannot be written; choose another folder or close the program that shows it");
}

}  // namespace

HuntMapScale huntMapScale(const HuntMapRequest& request) {
  const MapFrame map = placeMap(request, pageGeometry(request.layout), 1);
  return {map.denominator, map.ground};
}

Status writeHuntMapPdf(const HuntMapRequest& request, const fs::path& to, std::stop_token stop,
                       const PrintProgress& progress) {
  auto frame = Frame::make(request.document->settings->crs);
  if (!frame) return std::move(frame.error());
  const PageGeometry geometry = pageGeometry(request.layout);
  const double dots_per_mm = kPdfDotsPerInch / 25.4;
  MapFrame map = placeMap(request, geometry, dots_per_mm);
  Status s = checkRequest(request, map);
  if (!s) return s;
  const Beside drawn(to, ".drawn"), finished(to, ".new");
  {
    QPdfWriter writer(text(drawn.path().string()));
    writer.setPdfVersion(QPagedPaintDevice::PdfVersion_1_6);
    writer.setCreator(QStringLiteral("Leeward"));
    writer.setTitle(text(request.document->settings->name) + QStringLiteral(" hunt map"));
    writer.setResolution(static_cast<int>(kPdfDotsPerInch));
    writer.setPageLayout(QPageLayout(
        QPageSize(geometry.page_mm, QPageSize::Millimeter, QString(), QPageSize::ExactMatch),
        QPageLayout::Portrait, QMarginsF(0, 0, 0, 0)));
    QPainter painter;
    if (!painter.begin(&writer)) return notWritable(to);
    s = drawPage(painter, dots_per_mm, request, *frame, map, stop, progress);
    if (!painter.end() && s) s = notWritable(to);
  }
  if (!s) return s;
  if (progress) progress(0.95, "georeference");
  s = addGeoreference(drawn.path(), finished.path(), *frame,
                      {geometry.map, geometry.page_mm.height(), map.ground});
  if (s) s = finished.renameOver(to);
  if (s && progress) progress(1, "done");
  return s;
}

Status writeHuntMapPng(const HuntMapRequest& request, const fs::path& to, double dots_per_inch,
                       std::stop_token stop, const PrintProgress& progress) {
  auto frame = Frame::make(request.document->settings->crs);
  if (!frame) return std::move(frame.error());
  const PageGeometry geometry = pageGeometry(request.layout);
  const double dots_per_mm = dots_per_inch / 25.4;
  MapFrame map = placeMap(request, geometry, dots_per_mm);
  Status s = checkRequest(request, map);
  if (!s) return s;
  QImage image((geometry.page_mm * dots_per_mm).toSize(), QImage::Format_RGB32);
  if (image.isNull())
    return fail(ErrorCode::invalid_argument,
                "the picture would be too large; lower the dots an inch");
  image.fill(Qt::white);
  image.setDotsPerMeterX(static_cast<int>(dots_per_mm * 1000));
  image.setDotsPerMeterY(static_cast<int>(dots_per_mm * 1000));
  QPainter painter(&image);
  s = drawPage(painter, dots_per_mm, request, *frame, map, stop, progress);
  painter.end();
  if (!s) return s;
  const Beside finished(to, ".new");
  if (!image.save(text(finished.path().string()), "PNG")) return notWritable(to);
  return finished.renameOver(to);
}

}  // namespace leeward::ui
