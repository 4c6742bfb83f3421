// MainWindow: the map in the middle, the hours under it, tools at the left, words at the right.
#pragma once

#include "core/io/photo_tie.h"
#include "core/io/vector_files.h"
#include "ui/canvas/map_canvas.h"
#include "ui/session/background.h"
#include "ui/session/edit_session.h"
#include "ui/session/eval_session.h"
#include "ui/session/terrain_session.h"
#include "ui/session/time_left.h"
#include "ui/tools/carve_tool.h"
#include "ui/tools/draw_tool.h"
#include "ui/tools/select_tool.h"
#include "ui/window/pointer_words.h"

#include <QMainWindow>

#include <filesystem>
#include <functional>
#include <memory>
#include <set>

class QAction;
class QComboBox;
class QDoubleSpinBox;
class QLabel;
class QMenu;
class QProgressBar;
class QPushButton;
class QSplitter;
class QStackedWidget;
class QTabWidget;

namespace leeward::ui {

class AirPanel;
class ExplainPanel;
class FeatureForm;
class FeatureList;
class HistoryPanel;
class HourStrip;
class LayerPanel;
class PlanSession;
class PlanView;
class PrintDesk;
class SeasonSession;
class SeasonView;
class ToolPalette;

/// A scale 1 : `denominator` as it is written: whole numbers as they are, others to two digits.
long shownScale(double denominator);

class MainWindow : public QMainWindow {
  Q_OBJECT

 public:
  /// `demo`: the demo property, or empty when there is none.
  explicit MainWindow(std::filesystem::path demo);
  ~MainWindow() override;

  /// Opens a property; a failure is shown and returned.
  Status openFile(const std::filesystem::path& file);
  /// Takes over a session (tests use one without a file).
  void adopt(std::unique_ptr<EditSession> session);

  EditSession* session() const { return edit_.get(); }
  EvalSession* evaluation() const { return eval_.get(); }
  MapCanvas* canvas() const { return canvas_; }
  HourStrip* strip() const { return strip_; }
  void setArrive(Instant arrive);
  /// Selects the feature of that name. ERRORS: not_found.
  Status selectByName(const std::string& name);
  /// Opens the plan's window and makes the plan if there is none.
  void showPlan();
  /// Opens the season's window.
  void showSeason();
  /// The plan's window while it is shown, else this one.
  QWidget* front();
  /// The open print panel, or nullptr.
  PrintDesk* printing() const { return print_.get(); }
  /// Opens the print panel, or takes its frame in hand again.
  void printSheets();
  /// Terrain, tiles, results and an asked plan are in and drawn.
  bool settled() const;

 protected:
  bool event(QEvent* event) override;
  void closeEvent(QCloseEvent* event) override;
  void dragEnterEvent(QDragEnterEvent* event) override;
  void dropEvent(QDropEvent* event) override;

 private:
  void buildPages();
  QWidget* buildStartPage();
  QWidget* buildLeft();
  QWidget* buildRight();
  void buildStatus();
  void buildFileMenu();
  void buildEditMenu();
  void addFeatureActions(QMenu* menu);
  void buildViewMenu();
  void buildHelpMenu();
  void nameActions();
  std::vector<QAction*> keyedActions() const;
  void fillRecent();
  void newFromNothing();
  void switchUnits();
  void wirePanels();
  void wireSession();
  void closeSession();

  void pickSelect();
  void pickKind(Kind kind);
  void pickCarve(Carve what);
  void useTool(std::unique_ptr<Tool> tool);
  /// Applies what came out, or says why nothing did; selects what was put.
  bool applyOutcome(const Result<EditStep>& step);
  void copySelected();
  void cutSelected();
  void deleteSelected();
  void paste();
  void duplicate();
  void selectAll(bool of_kind);
  void makeStrip();
  void heightFromCanopy();
  void zoomToSelected();
  void wireLists();
  void wireScale();
  void wireTurn();
  void addTurns(QMenu* menu);
  void addLooks(QMenu* menu);
  void takeIcons();
  void takeLook();
  void shareWidth();
  void setView(const ViewState& view);
  void documentChanged();
  void selectionChanged();
  void resultsChanged();
  void hourChanged();
  void showWords();
  void showAir();
  void showPointer(const LocalXY& at);
  void showBusy();
  void refreshActions();

  void newProperty();
  /// Of the work that shows now: words, bar and, once it can be said, the time left.
  void showProgress(const QString& words, double share);
  /// For what background_ runs, from its thread.
  std::function<void(double)> reporter();
  void tiePicture();
  void tieFile(const std::filesystem::path& path);
  void showTie(const std::filesystem::path& path, const io::PlainPicture& read);
  void placeTied(const std::filesystem::path& path, std::vector<io::ControlPoint> points,
                 io::TieFit fit);
  void openProperty();
  void saveCopy();
  void importFeatures();
  void importFile(const std::filesystem::path& path);
  void showImport(const std::filesystem::path& path, io::VectorRows rows,
                  const std::optional<io::CsvColumns>& columns);
  void takeImport(const std::filesystem::path& path, const io::VectorImport& taken);
  void nextDropped();
  void buildOverviews();
  void reloadTiles();
  void showFacts();
  void addReadouts(QMenu* menu);
  void statusBarMessage(const QString& words);
  void openForecast();
  void addRaster(RasterRole role);
  void closePrint();
  void addPictures(QMenu* file);
  /// Of the selected stand; null without one.
  QImage rangeCard() const;
  void saveForPhone();
  void editEmergencyPlan();
  void addRasterFile(const std::filesystem::path& path, RasterRole role);
  void makePlan();
  void buildPlan();
  void closePlan();
  void buildSeason();
  void closeSeason();
  /// The rose of the season at the selected stand, while its window is open.
  void showRose();
  void report(const QString& title, const QString& words);
  void complain(const QString& words);
  /// Asks whether to close although saving fails.
  bool closesUnsaved(const Error& why);
  void showHelp();
  void showCautions();
  void showAbout();
  LonLat place() const;

  std::filesystem::path demo_;
  std::vector<std::filesystem::path> dropped_;  ///< Not yet brought in.
  QStackedWidget* pages_ = nullptr;
  MapCanvas* canvas_ = nullptr;
  HourStrip* strip_ = nullptr;
  ToolPalette* palette_ = nullptr;
  AirPanel* air_ = nullptr;
  ExplainPanel* explain_ = nullptr;
  FeatureForm* form_ = nullptr;
  LayerPanel* layers_ = nullptr;
  FeatureList* features_ = nullptr;
  HistoryPanel* history_ = nullptr;
  QTabWidget* tabs_ = nullptr;
  QSplitter* split_ = nullptr;
  QWidget* left_ = nullptr;   ///< Tools.
  QWidget* right_ = nullptr;  ///< Air and words.

  QLabel* hint_ = nullptr;
  QLabel* where_ = nullptr;
  QComboBox* scale_ = nullptr;
  QDoubleSpinBox* turn_ = nullptr;
  QLabel* saved_ = nullptr;
  QLabel* working_ = nullptr;
  QProgressBar* progress_ = nullptr;
  QPushButton* cancel_ = nullptr;
  QMenu* recent_ = nullptr;
  QAction* undo_ = nullptr;
  QAction* redo_ = nullptr;
  std::vector<QAction*> needs_property_;
  std::vector<QAction*> needs_writing_;
  std::vector<std::pair<QAction*, std::function<bool()>>> needs_;  ///< Enabled while it holds.

  std::unique_ptr<EditSession> edit_;
  std::unique_ptr<EvalSession> eval_;
  std::unique_ptr<TerrainSession> terrain_;
  std::unique_ptr<PlanSession> plan_;  ///< With its window; none before it is first shown.
  PlanView* plan_view_ = nullptr;
  bool plan_waits_ = false;                ///< For the terrain.
  std::unique_ptr<SeasonSession> season_;  ///< With its window, as the plan.
  SeasonView* season_view_ = nullptr;
  std::unique_ptr<PrintDesk> print_;  ///< While the print panel is open.
  std::unique_ptr<SelectTool> select_tool_;
  std::unique_ptr<Tool> drawing_tool_;  ///< In use instead of the select tool.
  Background background_;
  TimeLeft time_left_;
  Background overviews_;  ///< Of one picture at a time.
  std::set<std::filesystem::path> overviews_tried_;
  Readout readout_ = Readout::grid;
  QString background_words_;
};

}  // namespace leeward::ui
