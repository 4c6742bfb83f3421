// NewPropertyDialog: a property from pictures and elevation in four steps, each with what it shows.
#pragma once

#include "core/io/new_property.h"
#include "ui/panels/raster_preview.h"
#include "ui/session/background.h"

#include <QDialog>

#include <array>
#include <filesystem>
#include <map>

class QComboBox;
class QLabel;
class QLineEdit;
class QListWidget;
class QPushButton;
class QStackedWidget;

namespace leeward::ui {

class NewPropertyDialog : public QDialog {
  Q_OBJECT

 public:
  explicit NewPropertyDialog(QWidget* parent);
  io::NewProperty request() const;
  std::filesystem::path file() const;

  /// From outside the file dialogs (tests, dropped files).
  void addAerials(const QStringList& files);
  void setElevation(const QString& file);
  /// All chosen files have been looked at.
  bool looked() const { return !background_.busy(); }

 private:
  QWidget* nameStep();
  QWidget* aerialStep();
  QWidget* groundStep();
  QWidget* lastStep();
  QWidget* fileRow(QLineEdit* edit, const QString& name, bool save);
  void go(int step);
  /// Why the step cannot be left, or empty.
  std::string missing(int step) const;
  void look();
  void showLooks();
  const RasterLook* lookOf(const QString& file) const;
  QString lastWords() const;

  QStackedWidget* steps_;
  QLabel* heading_;
  QLineEdit* name_;
  QLineEdit* file_;
  QComboBox* zone_;
  QComboBox* units_;
  QListWidget* aerials_;
  QLineEdit* elevation_;
  QComboBox* heights_in_;
  QLineEdit* surface_;
  std::array<RasterPreview*, 3> previews_;  // of the pictures, the ground, and all
  std::array<QLabel*, 3> words_;
  QLabel* problem_;
  QPushButton* back_;
  QPushButton* next_;
  std::map<std::string, RasterLook> looks_;  // by path
  Background background_;
};

}  // namespace leeward::ui
