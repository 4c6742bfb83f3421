// The stored forecasts: which there are, how well they foretold the wind, and which to forget.
#pragma once

#include "core/eval/forecast_record.h"
#include "ui/session/background.h"
#include "ui/session/edit_session.h"

#include <QDialog>

class QLabel;
class QPushButton;
class QTableWidget;

namespace leeward::ui {

class ForecastsDialog : public QDialog {
  Q_OBJECT

 public:
  ForecastsDialog(EditSession& session, QWidget* parent);

  /// Once the file is read they are compared with what its station measured.
  void compareWith(const QString& records);

 private:
  void chooseRecords();
  void refill();
  void remove();

  EditSession& session_;
  std::vector<StationHour> measured_;
  QString against_;
  QTableWidget* table_;
  QLabel* state_;
  QLabel* problem_;
  QPushButton *records_, *remove_;
  Background reading_;
};

}  // namespace leeward::ui
