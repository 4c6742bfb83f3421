// TerrainSession: loads the ground in the background and again when its rasters or the extent of
// the property change.
#pragma once

#include "core/eval/latest_wins.h"
#include "core/io/raster_files.h"

#include <QObject>
#include <QString>

#include <filesystem>
#include <map>

namespace leeward::ui {

/// THREADS: the UI thread only.
class TerrainSession : public QObject {
  Q_OBJECT

 public:
  explicit TerrainSession(std::filesystem::path property_file);

  /// Starts loading if this document needs other ground than the last.
  void setDocument(Ref<Document> document);
  bool busy() const { return asked_ != answered_; }
  /// Cell size (metres) and place of each aerial, as far as known.
  struct Aerial {
    double cell_m = 0;
    Box box;
    std::filesystem::path file;
    bool lacks_overviews = false;  ///< Far views of it are slow until they are built.
  };
  const std::map<Uid, Aerial>& aerials() const { return aerials_; }

 signals:
  void loaded(Ref<Terrain> terrain);
  void progressed(double share, const QString& what);
  void failed(const QString& why);
  void aerialsKnown();

 private:
  struct Job {
    Ref<Document> document;
    int number = 0;
  };
  void run(const Job& job, const std::stop_token& stop);
  void inspectAerials(const Document& document);

  std::filesystem::path file_;
  Ref<Document> last_;
  int asked_ = 0;
  int answered_ = 0;
  std::map<Uid, Aerial> aerials_;
  LatestWins<Job> worker_;
};

}  // namespace leeward::ui
