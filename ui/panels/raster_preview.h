// RasterPreview: raster files as they will lie on the map, small, with what they are in words.
#pragma once

#include "core/io/raster_files.h"

#include <QImage>
#include <QWidget>

#include <string>
#include <vector>

namespace leeward::ui {

/// One file looked at. `problem`: why it cannot be used; then the rest is empty.
struct RasterLook {
  std::filesystem::path path;
  std::string problem;
  io::RasterFacts facts;  ///< In `crs`.
  QImage image;
};
/// Not for the UI thread. `crs`: empty: the UTM zone of the file's centre. `heights`: what holds no
/// heights is a problem.
RasterLook look_at_raster(const std::filesystem::path& path, CrsId crs, bool heights,
                          std::stop_token stop);

class RasterPreview : public QWidget {
  Q_OBJECT

 public:
  explicit RasterPreview(QWidget* parent = nullptr);
  /// From the lowest up; all in one CRS.
  void show(std::vector<RasterLook> looks);
  QSize sizeHint() const override { return {320, 260}; }

 protected:
  void paintEvent(QPaintEvent* event) override;

 private:
  std::vector<RasterLook> looks_;
};

/// "9000 x 9000 pixels of 2.0 ft, 1.1 by 1.1 miles".
QString factsInWords(const io::RasterFacts& facts, UnitSystem units);

}  // namespace leeward::ui
