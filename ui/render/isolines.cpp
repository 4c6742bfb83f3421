#include "ui/render/isolines.h"

#include <array>
#include <cmath>
#include <optional>
#include <unordered_map>

namespace leeward::ui {
namespace {

// An edge between two neighbouring centres: index of its west or north end, twice, plus 1 when it
// runs south.
using EdgeId = std::uint64_t;

class Tracer {
 public:
  Tracer(const Raster<float>& raster, float level) : raster_(raster), level_(level) {}

  std::vector<Path> run() {
    // Most squares lie on one side: they are passed over by the row.
    const int cols = raster_.spec.cols;
    std::vector<std::uint8_t> above(static_cast<size_t>(cols)), below(above.size());
    const auto mark = [&](int r, std::vector<std::uint8_t>& high) {
      const float* value = raster_.row(r);
      for (size_t c = 0; c < high.size(); ++c) high[c] = value[c] >= level_ ? 1 : 0;
    };
    if (raster_.spec.rows > 0) mark(0, above);
    for (int r = 0; r + 1 < raster_.spec.rows; ++r) {
      mark(r + 1, below);
      for (size_t c = 0; c + 1 < above.size(); ++c)
        if (const int n = above[c] + above[c + 1] + below[c] + below[c + 1]; n != 0 && n != 4)
          square(static_cast<int>(c), r);
      above.swap(below);
    }
    std::vector<Path> out;
    for (const auto& [edge, ends] : links_)  // open lines first: they begin where one link ends
      if (ends.count == 1 && !used_.contains(edge)) out.push_back(follow(edge));
    for (const auto& [edge, ends] : links_)
      if (!used_.contains(edge)) out.push_back(follow(edge));
    return out;
  }

 private:
  struct Ends {
    std::array<EdgeId, 2> to{};
    int count = 0;
  };

  EdgeId across(int c, int r) const { return raster_.spec.index(c, r) * 2; }
  EdgeId down(int c, int r) const { return raster_.spec.index(c, r) * 2 + 1; }

  void link(EdgeId a, EdgeId b) {
    Ends& x = links_[a];
    if (x.count < 2) x.to[static_cast<size_t>(x.count++)] = b;
    Ends& y = links_[b];
    if (y.count < 2) y.to[static_cast<size_t>(y.count++)] = a;
  }

  void square(int c, int r) {
    const float nw = raster_.at(c, r), ne = raster_.at(c + 1, r);
    const float sw = raster_.at(c, r + 1), se = raster_.at(c + 1, r + 1);
    if (std::isnan(nw) || std::isnan(ne) || std::isnan(sw) || std::isnan(se)) return;
    const unsigned code = (nw >= level_ ? 8U : 0U) | (ne >= level_ ? 4U : 0U) |
                          (se >= level_ ? 2U : 0U) | (sw >= level_ ? 1U : 0U);
    if (code == 0 || code == 15) return;
    const EdgeId top = across(c, r), bottom = across(c, r + 1);
    const EdgeId left = down(c, r), right = down(c + 1, r);
    switch (code) {
      case 1:
      case 14:
        return link(left, bottom);
      case 2:
      case 13:
        return link(bottom, right);
      case 3:
      case 12:
        return link(left, right);
      case 4:
      case 11:
        return link(top, right);
      case 6:
      case 9:
        return link(top, bottom);
      case 7:
      case 8:
        return link(left, top);
      default:
        break;
    }
    const bool middle_high = (nw + ne + sw + se) / 4 >= level_;
    if ((code == 5) == middle_high) {
      link(left, top), link(bottom, right);
    } else {
      link(top, right), link(left, bottom);
    }
  }

  LocalXY place(EdgeId edge) const {
    const size_t cell = static_cast<size_t>(edge / 2);
    const int c = static_cast<int>(cell % static_cast<size_t>(raster_.spec.cols));
    const int r = static_cast<int>(cell / static_cast<size_t>(raster_.spec.cols));
    const bool south = edge % 2 == 1;
    const float a = raster_.at(c, r);
    const float b = south ? raster_.at(c, r + 1) : raster_.at(c + 1, r);
    const double u = a == b ? 0.5 : static_cast<double>((level_ - a) / (b - a));
    const LocalXY from = raster_.spec.centre(c, r);
    const double step = u * raster_.spec.cell_m;
    return south ? LocalXY{from.x, from.y - step} : LocalXY{from.x + step, from.y};
  }

  Path follow(EdgeId start) {
    Path out;
    std::optional<EdgeId> at = start;
    EdgeId last = start;
    while (at) {
      used_[*at] = true;
      out.push_back(place(*at));
      const Ends& ends = links_[*at];
      std::optional<EdgeId> next;
      for (int i = 0; i < ends.count; ++i) {
        const EdgeId e = ends.to[static_cast<size_t>(i)];
        if (!used_.contains(e)) next = e;
        if (e == start && last != start && !next && out.size() > 2) out.push_back(out.front());
      }
      last = *at;
      at = next;
    }
    return out;
  }

  const Raster<float>& raster_;
  float level_;
  std::unordered_map<EdgeId, Ends> links_;
  std::unordered_map<EdgeId, bool> used_;
};

}  // namespace

std::vector<Path> isolines(const Raster<float>& raster, float level) {
  return Tracer(raster, level).run();
}

}  // namespace leeward::ui
