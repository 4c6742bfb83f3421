// What is printed and how it shall look, with the page itself above: sheets, paper, place and scale
// of the map, whose ways, which trade, for which eyes. It stands beside the map, which stays in
// use.
#pragma once

#include "ui/panels/page_preview.h"

class QCheckBox;
class QComboBox;
class QDoubleSpinBox;
class QFormLayout;
class QLabel;
class QProgressBar;
class QPushButton;
class QSpinBox;

namespace leeward::ui {

class PrintPanel : public QWidget {
  Q_OBJECT

 public:
  /// `selected`: the selected stand, or empty.
  PrintPanel(const Document& document, const Uid& selected, Trade trade);

  /// The stands that can be chosen.
  void setDocument(const Document& document);
  PrintLayout layout() const;
  /// Empty: all stands.
  std::vector<Uid> stands() const;
  SheetChoice sheets() const;
  bool wholeGround() const;
  int days() const;
  PagePreview* preview() const { return preview_; }
  /// Where the map lies now, as its frame was placed by hand; no centre: by itself.
  void place(std::optional<LocalXY> centre, double denominator, double turned_deg);
  /// What the page shows where nothing is entered.
  void showScale(double denominator, LocalXY centre);
  /// While a file is written: how far it is, and a button that gives it up.
  void setWriting(bool on);
  void showProgress(double share, std::optional<int> left_s);

 signals:
  void changed();
  void fileWanted();
  void copyWanted();
  void writingGivenUp();
  /// The frame shall be taken in hand on the map.
  void frameWanted();
  void closed();

 private:
  void buildSheets(QFormLayout& form);
  void buildPaper(QFormLayout& form);
  void buildPlace(QFormLayout& form);
  void buildLooks(QFormLayout& form);
  QWidget* buildButtons();
  void wire();
  void refresh();

  PrintLayout before_;
  std::optional<LocalXY> centre_;  ///< Empty: by itself.
  Ref<Rows<Feature>> stands_;      ///< In the list of ways.
  bool filling_ = false;
  PagePreview* preview_;
  QComboBox *paper_, *turned_, *scale_, *whose_, *trade_, *look_;
  QCheckBox *aerial_, *contours_, *large_, *whole_;
  QCheckBox *map_, *cards_, *plan_, *work_;
  QLabel* scale_now_;
  QSpinBox* days_;
  QDoubleSpinBox *width_, *height_, *turn_, *east_, *north_;
  QPushButton *choose_, *copy_, *by_itself_;
  QWidget* writing_;
  QProgressBar* written_;
  QLabel* left_;
};

}  // namespace leeward::ui
