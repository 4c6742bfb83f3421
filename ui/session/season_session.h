// SeasonSession: counts a season from a station's records in the background, with progress and
// cancel.
#pragma once

#include "core/eval/season.h"
#include "ui/session/background.h"

#include <QObject>
#include <QString>

#include <filesystem>

namespace leeward::ui {

/// THREADS: the UI thread only.
class SeasonSession : public QObject {
  Q_OBJECT

 public:
  SeasonSession();
  /// Replaces what is being counted.
  void count(const Ref<Document>& document, const Ref<Terrain>& terrain,
             const std::filesystem::path& records, const SeasonDays& days);
  void cancel() { background_.cancel(); }
  bool busy() const { return background_.busy(); }
  /// The newest season, the document that it is of and what was noticed in the records; nullptr
  /// before the first.
  Ref<Season> season() const { return season_; }
  Ref<Document> document() const { return document_; }
  const std::vector<std::string>& notes() const { return notes_; }

 signals:
  void progressed(double share);
  void counted();
  void failed(const QString& why);
  void busyChanged();

 private:
  Ref<Season> season_;
  Ref<Document> document_;
  std::vector<std::string> notes_;
  Engine engine_;          ///< Touched by the worker only.
  Background background_;  ///< Last: it joins before the engine goes.
};

}  // namespace leeward::ui
