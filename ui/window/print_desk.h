// PrintDesk: printing beside the map: keeps panel, preview and the frame on the map in step with
// each other, with the document and with the hour.
#pragma once

#include "ui/canvas/print_overlay.h"
#include "ui/panels/print_panel.h"
#include "ui/session/background.h"
#include "ui/session/time_left.h"

#include <QObject>

#include <filesystem>
#include <functional>
#include <memory>

class QDockWidget;
class QMainWindow;

namespace leeward::ui {

class EditSession;
class EvalSession;
class MapCanvas;

/// THREADS: the UI thread only.
class PrintDesk : public QObject {
  Q_OBJECT

 public:
  PrintDesk(QMainWindow& window, MapCanvas& canvas, EditSession& edit, EvalSession& eval);
  ~PrintDesk() override;

  PrintPanel* panel() const { return panel_; }
  FrameTool& tool() { return tool_; }
  const PrintFrame& frame() const { return overlay_->frame(); }
  /// Document, hour, terrain or selection changed.
  void refresh();
  /// Takes the frame in hand on the map.
  void takeFrame();
  /// Writes the chosen sheets in the background; the ending says .pdf or .png.
  void writeTo(const std::filesystem::path& file);
  bool busy() const { return !brought_ || writer_.busy() || panel_->preview()->busy(); }

 signals:
  void told(const QString& words);
  void failed(const QString& words);
  void closed();
  void frameTaken();

 private:
  PrintAsk ask() const;
  void panelChanged();
  void showFrame();
  void bringIntoSight();
  void framePlaced(const PrintFrame& frame);
  void chooseFile();
  void copyPage();
  void keepLayout();
  /// For what writer_ runs: its two halves, filling the sheets and drawing them, from its thread.
  PrintProgress reporter(int half);

  QMainWindow& window_;
  MapCanvas& canvas_;
  EditSession& edit_;
  EvalSession& eval_;
  QDockWidget* dock_;
  PrintPanel* panel_;
  std::unique_ptr<PrintOverlay> overlay_;
  FrameTool tool_;
  bool in_hand_ = false;
  bool folded_ = false;   ///< The map's legend, by this desk.
  bool brought_ = false;  ///< The frame was brought into sight once.
  TimeLeft time_left_;
  Background writer_;
};

}  // namespace leeward::ui
