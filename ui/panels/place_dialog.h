// PlaceDialog: where on earth a property lies that has neither pictures nor elevation yet.
#pragma once

#include "core/model/document.h"

#include <QDialog>

#include <filesystem>

class QComboBox;
class QLabel;
class QLineEdit;

namespace leeward::ui {

/// "43.99, -86.98" or "43.99 N 86.98 W" in degrees. Nothing when it is no place.
std::optional<LonLat> parsePlace(const QString& words);

class PlaceDialog : public QDialog {
  Q_OBJECT

 public:
  explicit PlaceDialog(QWidget* parent);
  std::filesystem::path file() const;
  /// An empty property in the UTM zone of the place. REQUIRES: accepted.
  Document document() const;
  /// In its frame. REQUIRES: accepted.
  LocalXY place() const;

 private:
  void accept() override;

  QLineEdit* name_;
  QLineEdit* place_;
  QLineEdit* file_;
  QComboBox* zone_;
  QComboBox* units_;
  QLabel* problem_;
};

}  // namespace leeward::ui
