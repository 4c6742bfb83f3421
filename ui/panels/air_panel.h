// AirPanel: the wind of the sit's hour, from the forecast or by hand, in words and numbers.
#pragma once

#include "core/eval/results.h"

#include <QWidget>

#include <optional>

class QDoubleSpinBox;
class QLabel;
class QPushButton;
class QSpinBox;

namespace leeward::ui {

class AirPanel : public QWidget {
  Q_OBJECT

 public:
  explicit AirPanel(QWidget* parent = nullptr);
  /// `air`: of the hour shown. Numbers show what holds; entering one makes it wind by hand.
  void show(const Document& document, const AirNow& air, double convergence_deg, bool read_only);

 signals:
  void byHandPicked(bool by_hand);
  /// Grid bearing; metres a second; 0..1.
  void handWindEntered(std::optional<double> from_deg, std::optional<double> speed_mps,
                       std::optional<double> cloud);
  void forecastWanted();

 private:
  QPushButton* forecast_;
  QPushButton* hand_;
  QSpinBox* from_;
  QDoubleSpinBox* speed_;
  QSpinBox* cloud_;
  QLabel* words_;
  double convergence_deg_ = 0;
  double mps_per_unit_ = 1;
  bool has_forecast_ = false;
};

}  // namespace leeward::ui
