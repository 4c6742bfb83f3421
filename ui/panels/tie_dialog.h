// TieDialog: a plain picture beside the map; spots of it are paired with places on the ground.
#pragma once

#include "core/io/photo_tie.h"
#include "ui/tools/tie_tool.h"

#include <QDialog>
#include <QImage>

#include <functional>
#include <optional>

class QComboBox;
class QLabel;
class QLineEdit;
class QPushButton;
class QTableWidget;

namespace leeward::ui {

class PhotoView;

/// Stays open beside the map. A spot is marked in the picture, then its place on the map, by
/// pointer (place()) or typed; so on, until the fit is good.
class TieDialog : public QDialog {
  Q_OBJECT

 public:
  /// `place_of` turns typed words into a place of the frame; `words_of` the other way.
  struct Words {
    std::function<std::optional<LocalXY>(const QString&)> place_of;
    std::function<QString(LocalXY)> words_of;
  };
  TieDialog(const QString& name, const QImage& image, QSize full, Words words, UnitSystem units,
            QWidget* parent);

  /// From the map.
  void place(LocalXY at);
  void moveMark(int number, LocalXY at);
  std::vector<TieTool::Mark> marks() const;
  Path outline() const { return tie_ ? tie_->outline : Path{}; }

  /// Pairs that are whole.
  std::vector<io::ControlPoint> points() const;
  io::TieFit fit() const;

 signals:
  /// Marks or the fit are others than before.
  void changed();

 private:
  struct Pair {
    QPointF spot;
    std::optional<LocalXY> ground;
  };
  void markSpot(QPointF at);
  void chosenChanged();
  void removeChosen();
  void typed();
  void refresh();
  QString shownMiss(double metres) const;

  QSize full_;
  Words words_;
  UnitSystem units_;
  std::vector<Pair> pairs_;
  int chosen_ = -1;
  std::optional<io::PictureTie> tie_;
  PhotoView* view_;
  QTableWidget* table_;
  QComboBox* fit_;
  QLineEdit* typed_;
  QLabel* next_;
  QLabel* outcome_;
  QLabel* problem_;
  QPushButton* remove_;
  QPushButton* ok_;
};

}  // namespace leeward::ui
