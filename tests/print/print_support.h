// Prints a small property and reads the pages back with programs that are not ours.
#pragma once

#include "core/io/raster_files.h"
#include "tests/support/small_property.h"
#include "ui/print/hunt_map.h"

#include <QImage>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <string>

namespace leeward::ui {

namespace fs = std::filesystem;

inline std::string run(const std::string& command) {
  std::string out;
  FILE* pipe = popen((command + " 2>&1").c_str(), "r");
  std::array<char, 4096> buffer{};
  while (size_t n = fread(buffer.data(), 1, buffer.size(), pipe)) out.append(buffer.data(), n);
  pclose(pipe);
  return out;
}

class PrintTest : public ::testing::Test {
 protected:
  PrintTest() {
    folder_ = fs::temp_directory_path() / ("leeward_print_" + Uid::random().str());
    fs::create_directories(folder_);
    document_ = testing::small_property();
    terrain_ = testing::small_terrain();
    results_ = testing::evaluate_cold(document_, terrain_);
  }
  ~PrintTest() override { fs::remove_all(folder_); }

  HuntMapRequest request(PrintLayout layout = {}) const {
    return {make_ref<Document>(document_), terrain_, results_, folder_ / "none.gpkg", layout, {}};
  }
  std::string words(const std::string& pdf, const std::string& options = "-layout") const {
    return run("pdftotext " + options + " " + pdf + " -");
  }
  std::string file(const char* name) const { return (folder_ / name).string(); }
  QImage page(const std::string& pdf, int dpi) const {
    run("pdftoppm -r " + std::to_string(dpi) + " -png -singlefile " + pdf + " " + file("page"));
    return QImage(QString::fromStdString(file("page.png")));
  }

  fs::path folder_;
  Document document_;
  Ref<Terrain> terrain_;
  Ref<Results> results_;
};

}  // namespace leeward::ui
