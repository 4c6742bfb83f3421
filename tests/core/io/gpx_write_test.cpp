#include "core/io/gpx_write.h"

#include "core/io/vector_files.h"
#include "tests/core/io/io_support.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace leeward::io {
namespace {

using namespace leeward::io::testing;
using ::testing::HasSubstr;

struct GpxFile : ::testing::Test {
  Folder folder;
  Frame frame = *Frame::make("EPSG:32615");
  fs::path file = folder.path() / "ways.gpx";
};

// The file is GPX 1.1 (topografix.com, GPX/1/1) and comes back where it was.
TEST_F(GpxFile, ComesBackWhereItWas) {
  const Path line = {{500000, 4300000}, {500100, 4300050}, {500200, 4300000}};
  ASSERT_TRUE(write_gpx(file, frame, {{"South gate", "by the \"oak\" & <pond>", line.front()}},
                        {{"Edge ladder in", "11 min", line}}));
  const std::string text = bytes_of(file);
  EXPECT_THAT(text, HasSubstr("version=\"1.1\""));
  EXPECT_THAT(text, HasSubstr("http://www.topografix.com/GPX/1/1"));
  EXPECT_THAT(text, HasSubstr("&lt;pond&gt;"));
  const auto tracks = read_vector(file, Kind::human_path, frame);
  ASSERT_TRUE(tracks.has_value()) << tracks.error().message;
  ASSERT_EQ(tracks->features.size(), 1U);
  EXPECT_EQ(tracks->features[0].name, "Edge ladder in");
  const Path& back = tracks->features[0].shape.path();
  ASSERT_EQ(back.size(), line.size());
  for (size_t i = 0; i < line.size(); ++i) EXPECT_LT(distance_m(back[i], line[i]), 0.01);
  const auto points = read_vector(file, Kind::gate, frame);
  ASSERT_EQ(points->features.size(), 1U);
  EXPECT_EQ(points->features[0].name, "South gate");
}

TEST_F(GpxFile, NamesAreCutAtThirtyCharactersNotBytes) {
  const std::string name =
      "\xC3\x84"
      "bcdefghij"
      "\xC3\x84"
      "bcdefghij"
      "\xC3\x84"
      "bcdefghij"
      "more";
  ASSERT_TRUE(write_gpx(file, frame, {{name, "", {500000, 4300000}}}, {}));
  EXPECT_THAT(bytes_of(file), HasSubstr("<name>" + name.substr(0, 33) + "</name>"));
}

TEST_F(GpxFile, NothingIsAnErrorAndAnOldFileStays) {
  write_bytes(file, "old");
  EXPECT_EQ(write_gpx(file, frame, {}, {}).error().code, ErrorCode::invalid_argument);
  EXPECT_EQ(bytes_of(file), "old");
  const Status lost =
      write_gpx(folder.path() / "none" / "x.gpx", frame, {{"a", "", {500000, 4300000}}}, {});
  ASSERT_FALSE(lost);
  EXPECT_THAT(lost.error().message, HasSubstr("x.gpx"));
}

}  // namespace
}  // namespace leeward::io
