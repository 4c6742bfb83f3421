#include "tests/batch/page_checks.h"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>

namespace leeward::testing {
namespace {

constexpr double kPointsPerMm = 72 / 25.4;
constexpr int kGoldenDpi = 45;
constexpr int kBlock = 4, kFar = 20;

Pixels read_ppm(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  std::string magic;
  int most = 0;
  Pixels out;
  in >> magic >> out.width >> out.height >> most;
  in.get();
  if (magic != "P6" || most != 255) return {};
  out.rgb.resize(static_cast<size_t>(3 * out.width) * static_cast<size_t>(out.height));
  in.read(reinterpret_cast<char*>(out.rgb.data()), static_cast<std::streamsize>(out.rgb.size()));
  return out;
}

double attribute(const std::string& line, const char* name) {
  const size_t at = line.find(std::string(name) + "=\"");
  return at == std::string::npos ? std::nan("")
                                 : std::atof(line.c_str() + at + std::string(name).size() + 2);
}

}  // namespace

std::vector<WordBox> PageTest::boxes(const std::string& name, int page) const {
  const std::string n = std::to_string(page);
  std::istringstream lines(words("-bbox -f " + n + " -l " + n, name));
  std::vector<WordBox> out;
  for (std::string line; std::getline(lines, line);) {
    const size_t begin = line.find("<word "), end = line.find("</word>");
    if (begin == std::string::npos || end == std::string::npos) continue;
    const size_t text = line.find('>', begin) + 1;
    out.push_back({line.substr(text, end - text), attribute(line, "xMin"), attribute(line, "yMin"),
                   attribute(line, "xMax"), attribute(line, "yMax")});
  }
  return out;
}

std::array<double, 2> PageTest::page_size(const std::string& name, int page) const {
  const std::string n = std::to_string(page);
  const std::string text = words("-bbox -f " + n + " -l " + n, name);
  const std::string line = text.substr(text.find("<page "));
  return {attribute(line, "width"), attribute(line, "height")};
}

std::optional<std::array<double, 4>> PageTest::frame_of(const std::string& name) const {
  const std::string text =
      call("qpdf --qdf --object-streams=disable " + file(name) + " - | strings").out;
  const size_t at = text.find("/BBox [", text.find("/VP ["));
  if (at == std::string::npos) return std::nullopt;
  std::istringstream numbers(text.substr(at + 7, 200));
  std::array<double, 4> b{};
  numbers >> b[0] >> b[1] >> b[2] >> b[3];
  return std::array<double, 4>{std::min(b[0], b[2]), std::min(b[1], b[3]), std::max(b[0], b[2]),
                               std::max(b[1], b[3])};
}

void PageTest::expect_words_apart(const std::string& name, int page) const {
  const auto all = boxes(name, page);
  const auto [width, height] = page_size(name, page);
  EXPECT_GT(all.size(), 10U) << name;
  for (size_t i = 0; i < all.size(); ++i) {
    const WordBox& a = all[i];
    EXPECT_TRUE(a.x0 >= 0 && a.y0 >= 0 && a.x1 <= width && a.y1 <= height)
        << name << " " << page << ": " << a.word;
    for (size_t k = 0; k < i; ++k) {
      const WordBox& b = all[k];
      // A box of poppler's holds the line's ascent and descent: letters touch from half of it on.
      const double x = std::min(a.x1, b.x1) - std::max(a.x0, b.x0),
                   y = std::min(a.y1, b.y1) - std::max(a.y0, b.y0),
                   line = std::min(a.y1 - a.y0, b.y1 - b.y0);
      EXPECT_FALSE(x > 1 && y > 0.5 * line) << name << " " << page << ": '" << a.word << "' on '"
                                            << b.word << "' at " << a.x0 << " " << a.y0;
    }
  }
}

bool PageTest::expect_placed(const std::string& name, const Placed& truth) const {
  const auto j = nlohmann::json::parse(call("gdalinfo -json " + file(name)).out, nullptr, false);
  if (j.is_discarded() || !j.contains("geoTransform")) return false;
  const auto frame = frame_of(name);
  EXPECT_TRUE(frame) << name;
  if (!frame) return true;
  const auto& gt = j["geoTransform"];
  const auto [width, height] = page_size(name, 1);
  const double cols = j["size"][0].get<double>(), rows = j["size"][1].get<double>();
  const auto& [x0, y0, x1, y1] = *frame;
  const Bearing up = Bearing::degrees(truth.up_deg), right = up.turned_deg(90);
  double worst_m = 0;
  for (int i = 0; i < 25; ++i) {
    const double x = x0 + (x1 - x0) * (i % 5) / 4, y = y0 + (y1 - y0) * (i / 5) / 4;
    const double px = x / width * cols, py = (height - y) / height * rows;
    const auto g = [&](size_t k) { return gt[k].get<double>(); };
    const LocalXY read{g(0) + px * g(1) + py * g(2), g(3) + px * g(4) + py * g(5)};
    const double m = truth.denominator * 0.0254 / 72;  // metres of ground a point of page
    const LocalXY meant =
        moved(moved(truth.centre, right, (x - (x0 + x1) / 2) * m), up, (y - (y0 + y1) / 2) * m);
    worst_m = std::max(worst_m, distance_m(read, meant));
  }
  EXPECT_LT(worst_m, 1.0) << name;
  return true;
}

void PageTest::expect_label_near(const std::string& name, const std::string& word, LocalXY at,
                                 const Placed& truth, double most_mm) const {
  const auto frame = frame_of(name);
  ASSERT_TRUE(frame) << name;
  const auto& [x0, y0, x1, y1] = *frame;
  const double height = page_size(name, 1)[1], m = truth.denominator * 0.0254 / 72;
  const Bearing up = Bearing::degrees(truth.up_deg), right = up.turned_deg(90);
  const LocalXY off = at - truth.centre;
  const double x = (x0 + x1) / 2 + (off.x * right.east() + off.y * right.north()) / m,
               y = height - (y0 + y1) / 2 - (off.x * up.east() + off.y * up.north()) / m;
  double nearest = 1e9;
  for (const WordBox& b : boxes(name, 1)) {
    if (b.word != word) continue;
    nearest = std::min(nearest, std::hypot(std::max({b.x0 - x, x - b.x1, 0.0}),
                                           std::max({b.y0 - y, y - b.y1, 0.0})));
  }
  EXPECT_LT(nearest / kPointsPerMm, most_mm) << name << ": " << word;
}

Pixels PageTest::rendered(const std::string& name, int page) const {
  const std::string open = file("open.pdf"), bare = file("bare.pdf"), n = std::to_string(page);
  call("qpdf --qdf --object-streams=disable --coalesce-contents " + file(name) + " --pages . " + n +
       " -- " + open);
  std::istringstream lines(text_of(open));
  std::ofstream out(file("cut.pdf"), std::ios::binary);
  bool text = false;
  for (std::string line; std::getline(lines, line);) {
    if (line == "BT") text = true;
    if (!text) out << line << "\n";
    if (line == "ET") text = false;
  }
  out.close();
  call("fix-qdf " + file("cut.pdf") + " > " + bare);
  call("pdftoppm -singlefile -r " + std::to_string(kGoldenDpi) + " " + bare + " " + file("bare"));
  return read_ppm(file("bare.ppm"));
}

Pixels PageTest::stored(const std::string& golden) const {
  const std::string from =
      std::string(LEEWARD_SOURCE_DIR) + "/tests/batch/golden/" + golden + ".png";
  call("gdal_translate -q -of PNM " + from + " " + file("golden.ppm"));
  return read_ppm(file("golden.ppm"));
}

void PageTest::expect_looks_like(const std::string& name, int page,
                                 const std::string& golden) const {
  const Pixels now = rendered(name, page);
  ASSERT_GT(now.width, 0) << name;
  if (const char* folder = std::getenv("LEEWARD_WRITE_GOLDEN")) {
    call("gdal_translate -q -of PNG -co ZLEVEL=9 " + file("bare.ppm") + " " + folder + "/" +
         golden + ".png");
    return;
  }
  const Pixels then = stored(golden);
  ASSERT_EQ(now.width, then.width) << golden;
  ASSERT_EQ(now.height, then.height) << golden;
  EXPECT_LT(share_apart(now, then), 0.01) << golden;
  // The measure sees a page whose marks lie 2 mm aside.
  Pixels aside = then;
  const int by = 2 * kGoldenDpi / 25;
  for (int y = 0; y < then.height; ++y)
    for (int x = by; x < then.width; ++x)
      for (int c = 0; c < 3; ++c)
        aside.rgb[static_cast<size_t>(3 * (y * then.width + x) + c)] =
            static_cast<unsigned char>(then.at(x - by, y, c));
  EXPECT_GT(share_apart(now, aside), 0.02) << golden;
}

double share_apart(const Pixels& a, const Pixels& b) {
  int apart = 0, blocks = 0;
  for (int y = 0; y + kBlock <= a.height; y += kBlock) {
    for (int x = 0; x + kBlock <= a.width; x += kBlock) {
      ++blocks;
      int far = 0;
      for (int c = 0; c < 3; ++c) {
        int sum = 0;
        for (int i = 0; i < kBlock * kBlock; ++i)
          sum += a.at(x + i % kBlock, y + i / kBlock, c) - b.at(x + i % kBlock, y + i / kBlock, c);
        far = std::max(far, std::abs(sum) / (kBlock * kBlock));
      }
      apart += far > kFar;
    }
  }
  return blocks == 0 ? 1 : static_cast<double>(apart) / blocks;
}

}  // namespace leeward::testing
