// What is read from a printed page by programs that are not ours: its words and their boxes, its
// place on the Earth, and how it looks beside a stored picture.
#pragma once

#include "core/geo/point.h"
#include "tests/batch/batch_support.h"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace leeward::testing {

struct WordBox {
  std::string word;
  double x0 = 0, y0 = 0, x1 = 0, y1 = 0;  ///< Points from the page's upper left corner.
};

/// Eight bits, three channels, rows from above.
struct Pixels {
  int width = 0, height = 0;
  std::vector<unsigned char> rgb;
  int at(int x, int y, int channel) const {
    return rgb[static_cast<size_t>(3 * (y * width + x) + channel)];
  }
};

/// How the map of a page must lie, as its layout file says.
struct Placed {
  LocalXY centre;
  double denominator = 0, up_deg = 0;
};

class PageTest : public BatchTest {
 protected:
  std::string words(const std::string& options, const std::string& name) const {
    return call("pdftotext " + options + " " + file(name) + " -").out;
  }
  /// By poppler, of one page (from 1).
  std::vector<WordBox> boxes(const std::string& name, int page) const;
  /// Page size, points.
  std::array<double, 2> page_size(const std::string& name, int page) const;
  /// The frame of a map page, points from the page's lower left corner: x0, y0, x1, y1.
  std::optional<std::array<double, 4>> frame_of(const std::string& name) const;

  /// Words stand on the page, and no two stand on each other.
  void expect_words_apart(const std::string& name, int page) const;
  /// 25 places of the frame within 1 m of where GDAL reads them. False: there is no reader here.
  bool expect_placed(const std::string& name, const Placed& truth) const;
  /// The word of a label stands within `most_mm` of the place it names.
  void expect_label_near(const std::string& name, const std::string& word, LocalXY at,
                         const Placed& truth, double most_mm) const;
  /// The page without its text looks as tests/batch/golden/`golden`.png, but for a few pixels.
  /// With LEEWARD_WRITE_GOLDEN set to a folder the picture is written there.
  void expect_looks_like(const std::string& name, int page, const std::string& golden) const;

 private:
  Pixels rendered(const std::string& name, int page) const;
  Pixels stored(const std::string& golden) const;
};

/// Of blocks of 4 x 4 pixels: the share whose mean differs by more than 20 of 255 in any channel.
double share_apart(const Pixels& a, const Pixels& b);

}  // namespace leeward::testing
