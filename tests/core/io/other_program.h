// Another program at a property file: GDAL itself, updating it.
#pragma once

#include "core/io/gdal_gate.h"
#include "tests/core/io/io_support.h"

#include <gdal_priv.h>
#include <ogrsf_frmts.h>

namespace leeward::io::testing {

class OtherProgram {
 public:
  explicit OtherProgram(const fs::path& path) {
    enter_gdal();
    const char* const drivers[] = {"GPKG", nullptr};
    dataset_ = GDALDataset::FromHandle(
        GDALOpenEx(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE, drivers, nullptr, nullptr));
    EXPECT_NE(dataset_, nullptr);
  }
  ~OtherProgram() { GDALClose(dataset_); }
  OtherProgram(const OtherProgram&) = delete;
  OtherProgram& operator=(const OtherProgram&) = delete;
  /// Runs SQL; the first cell of the answer.
  std::string sql(const std::string& text) {
    std::string out;
    OGRLayer* answer = dataset_->ExecuteSQL(text.c_str(), nullptr, nullptr);
    if (!answer) return out;
    if (OGRFeature* row = answer->GetNextFeature()) {
      if (row->GetFieldCount() > 0) out = row->GetFieldAsString(0);
      OGRFeature::DestroyFeature(row);
    }
    dataset_->ReleaseResultSet(answer);
    return out;
  }
  OGRLayer& layer(const char* name) { return *dataset_->GetLayerByName(name); }
  GDALDataset& dataset() { return *dataset_; }

 private:
  GDALDataset* dataset_;
};

}  // namespace leeward::io::testing
