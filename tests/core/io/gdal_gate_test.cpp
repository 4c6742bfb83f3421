// Nothing reaches the network or a file that was not named, whatever a file says. A listener on
// this computer stands in for the network and counts who calls.
#include "core/io/gdal_gate.h"

#include "core/io/new_property.h"
#include "core/io/property_store.h"
#include "core/io/raster_files.h"
#include "core/io/vector_files.h"
#include "tests/core/io/io_support.h"

#include <cpl_http.h>
#include <cpl_string.h>
#include <cpl_vsi.h>
#include <gdal.h>
#include <ogr_srs_api.h>

#include <atomic>
#include <netinet/in.h>
#include <poll.h>
#include <set>
#include <sys/socket.h>
#include <sys/stat.h>
#include <thread>
#include <unistd.h>

namespace leeward::io {
namespace {

using namespace testing;

class Listener {
 public:
  Listener() : fd_(socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    EXPECT_EQ(bind(fd_, reinterpret_cast<sockaddr*>(&address), size), 0);
    EXPECT_EQ(listen(fd_, 16), 0);
    getsockname(fd_, reinterpret_cast<sockaddr*>(&address), &size);
    port_ = ntohs(address.sin_port);
    thread_ = std::jthread([this](std::stop_token stop) {
      while (!stop.stop_requested()) {
        pollfd p{fd_, POLLIN, 0};
        if (poll(&p, 1, 20) <= 0) continue;
        const int caller = accept(fd_, nullptr, nullptr);
        ++calls_;
        close(caller);
      }
    });
  }
  ~Listener() {
    thread_.request_stop();
    thread_.join();
    close(fd_);
  }
  std::string url(const std::string& rest) const {
    return "http://127.0.0.1:" + std::to_string(port_) + "/" + rest;
  }
  int port() const { return port_; }
  int calls() const {
    std::this_thread::sleep_for(std::chrono::milliseconds(60));
    return calls_;
  }

 private:
  int fd_;
  int port_ = 0;
  std::atomic<int> calls_ = 0;
  std::jthread thread_;
};

Frame utm17() { return *Frame::make("EPSG:26917"); }

TEST(GdalGate, TheListenerDoesCount) {
  const Listener listener;
  const int fd = socket(AF_INET, SOCK_STREAM, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  address.sin_port = htons(static_cast<std::uint16_t>(listener.port()));
  ASSERT_EQ(connect(fd, reinterpret_cast<sockaddr*>(&address), sizeof address), 0);
  close(fd);
  EXPECT_EQ(listener.calls(), 1);
}

TEST(GdalGate, OnlyTheListedDriversAreThere) {
  enter_gdal();
  std::set<std::string> names;
  for (int i = 0; i < GDALGetDriverCount(); ++i)
    names.insert(GDALGetDriverShortName(GDALGetDriver(i)));
  for (const char* wanted : {"GTiff", "PNG", "JPEG", "JP2OpenJPEG", "MBTiles", "GPKG", "AAIGrid",
                             "GRIB", "GeoJSON", "GPX", "LIBKML", "ESRI Shapefile", "MEM"}) {
    EXPECT_TRUE(names.contains(wanted)) << wanted;
  }
  for (const char* unwanted :
       {"VRT", "HTTP", "WMS", "WFS", "PDF", "PostgreSQL", "OGR_VRT", "CSV", "SQLite"})
    EXPECT_FALSE(names.contains(unwanted)) << unwanted;
}

TEST(GdalGate, RastersThatNameAddressesFetchNothing) {
  const Listener listener;
  const Folder folder;
  const std::string vrt = R"(<VRTDataset rasterXSize="4" rasterYSize="4"><SRS>EPSG:26917</SRS>
    <GeoTransform>684600,1,0,5018000,0,-1</GeoTransform><VRTRasterBand dataType="Byte" band="1">
    <SimpleSource><SourceFilename>/vsicurl/)" +
                          listener.url("x.tif") + R"(</SourceFilename>
    <SourceBand>1</SourceBand></SimpleSource></VRTRasterBand></VRTDataset>)";
  const std::string wms = "<GDAL_WMS><Service name=\"TMS\"><ServerUrl>" + listener.url("${z}") +
                          "</ServerUrl></Service></GDAL_WMS>";
  for (const auto& [name, text] : {std::pair{"renamed.tif", vrt},
                                   {"plain.vrt", vrt},
                                   {"w.tif", wms},
                                   {"w.png", wms},
                                   {"u.tif", listener.url("y.tif")}}) {
    write_bytes(folder / name, text);
    auto facts = inspect_raster(folder / name);
    ASSERT_FALSE(facts) << name;
    EXPECT_THAT(facts.error().message, ::testing::StartsWith(name));
  }
  const std::vector<std::string> paths = {"/vsicurl/" + listener.url("x.tif"),
                                          listener.url("x.tif"),
                                          "/vsizip//vsicurl/" + listener.url("a.zip/x.tif"),
                                          "/vsicurl?url=" + listener.url("x.tif"),
                                          "WMS:" + listener.url("w"),
                                          "/vsitar//etc/x",
                                          "/vsistdin/"};
  for (const std::string& path : paths) {
    EXPECT_FALSE(inspect_raster(path)) << path;
    EXPECT_FALSE(read_vector(path, Kind::stand, utm17())) << path;
    EXPECT_FALSE(PropertyStore::open(path)) << path;
  }
  EXPECT_EQ(listener.calls(), 0);
}

TEST(GdalGate, GdalItselfCannotOpenAddresses) {
  enter_gdal();
  const Listener listener;
  VSIStatBufL stat{};
  const std::vector<std::string> paths = {"/vsicurl/" + listener.url("x"),
                                          "/vsicurl_streaming/" + listener.url("x"),
                                          "/vsis3/bucket/x",
                                          "/vsigs/bucket/x",
                                          "/vsisparse/x",
                                          "/vsicached?file=/etc/passwd"};
  for (const std::string& path : paths) {
    EXPECT_EQ(VSIFOpenL(path.c_str(), "rb"), nullptr) << path;
    EXPECT_NE(VSIStatL(path.c_str(), &stat), 0) << path;
  }
  CPLHTTPResult* answer = CPLHTTPFetch(listener.url("z").c_str(), nullptr);
  ASSERT_NE(answer, nullptr);
  EXPECT_NE(answer->nStatus, 0);
  CPLHTTPDestroyResult(answer);
  EXPECT_EQ(OSRGetPROJEnableNetwork(), 0);
  EXPECT_EQ(listener.calls(), 0);
}

TEST(GdalGate, VectorsThatNameAddressesFetchNothing) {
  const Listener listener;
  const Folder folder;
  const std::string linked_crs = R"({"type":"FeatureCollection","crs":{"type":"link","properties":
    {"href":")" + listener.url("crs.wkt") +
                                 R"(","type":"ogcwkt"}},"features":[{"type":"Feature",
    "properties":{},"geometry":{"type":"Point","coordinates":[-78.64,45.29]}}]})";
  const std::string linked_kml = R"(<kml xmlns="http://www.opengis.net/kml/2.2"><Document>
    <NetworkLink><Link><href>)" + listener.url("more.kml") +
                                 R"(</href></Link></NetworkLink>
    <Placemark><Style><IconStyle><Icon><href>)" +
                                 listener.url("i.png") + R"(</href></Icon></IconStyle></Style>
    <Point><coordinates>-78.64,45.29</coordinates></Point></Placemark></Document></kml>)";
  const std::string entities =
      R"(<?xml version="1.0"?><!DOCTYPE gpx SYSTEM ")" + listener.url("gpx.dtd") +
      R"("><gpx version="1.1" creator="t"><wpt lat="45.29" lon="-78.64"/></gpx>)";
  const std::string vrt = "<OGRVRTDataSource><OGRVRTLayer name=\"a\"><SrcDataSource>/vsicurl/" +
                          listener.url("a.json") +
                          "</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>";
  for (const auto& [name, text] : {std::pair{"l.geojson", linked_crs},
                                   {"n.kml", linked_kml},
                                   {"e.gpx", entities},
                                   {"v.json", vrt},
                                   {"v.shp", vrt},
                                   {"v.kml", vrt}}) {
    write_bytes(folder / name, text);
    auto read = read_vector(folder / name, Kind::stand, utm17());
    auto seen = inspect_vector(folder / name);
    if (name == std::string("n.kml")) {
      ASSERT_TRUE(read) << read.error().message;
      EXPECT_EQ(read->features.size(), 1U);
    }
    EXPECT_EQ(read.has_value(), seen.has_value() && read.has_value());
  }
  EXPECT_EQ(listener.calls(), 0);
}

TEST(GdalGate, AFileCannotNameAnotherAsItsOverview) {
  const Folder folder;
  Raster<float> heights({684600, 5018000, 1, 64, 64}, 7.0F);
  ASSERT_TRUE(write_geotiff(folder / "secret.tif", heights, "EPSG:26917"));
  ASSERT_TRUE(write_geotiff(folder / "z.tif", heights, "EPSG:26917"));
  ASSERT_TRUE(inspect_raster(folder / "z.tif"));
  write_bytes(folder / "z.tif.aux.xml",
              "<PAMDataset><Metadata domain=\"OVERVIEWS\"><MDI key=\"OVERVIEW_FILE\">" +
                  (folder / "secret.tif").string() + "</MDI></Metadata></PAMDataset>");
  auto facts = inspect_raster(folder / "z.tif");
  ASSERT_FALSE(facts);
  EXPECT_THAT(facts.error().message, ::testing::HasSubstr("names another file as its overview"));
}

TEST(GdalGate, ReadingLeavesNoFileBehind) {
  const Folder folder;
  ASSERT_TRUE(write_geotiff(folder / "z.tif", Raster<float>({684600, 5018000, 1, 64, 64}, 7.0F),
                            "EPSG:26917"));
  NewProperty request;
  request.elevation = folder / "z.tif";
  auto made = make_property(request, folder / "p.gpkg");
  ASSERT_TRUE(made) << made.error().message;
  ASSERT_TRUE(load_terrain(made->document, folder / "p.gpkg"));
  size_t files = 0;
  for ([[maybe_unused]] const auto& entry : fs::directory_iterator(folder.path())) ++files;
  EXPECT_EQ(files, 1U);
}

TEST(GdalGate, OnlyOrdinaryFilesAreOpened) {
  const Folder folder;
  EXPECT_EQ(check_regular_file(folder.path()).error().code, ErrorCode::unsupported);
  EXPECT_EQ(check_regular_file("/dev/null").error().code, ErrorCode::unsupported);
  EXPECT_EQ(check_regular_file(folder / "none").error().code, ErrorCode::not_found);
  ASSERT_EQ(mkfifo((folder / "pipe").c_str(), 0600), 0);
  EXPECT_EQ(check_regular_file(folder / "pipe").error().code, ErrorCode::unsupported);
  EXPECT_FALSE(inspect_raster(folder / "pipe"));
  write_bytes(folder / "a", "x");
  EXPECT_TRUE(check_regular_file(folder / "a"));
}

}  // namespace
}  // namespace leeward::io
