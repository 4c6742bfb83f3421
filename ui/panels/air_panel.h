// AirPanel: the wind of the sit's hour, from the forecast or by hand, in words and numbers.
#pragma once

#include "core/eval/results.h"

#include <QWidget>

#include <optional>

class QComboBox;
class QDoubleSpinBox;
class QGridLayout;
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
  /// Says that the land's effect on the wind is still being worked out.
  void setWindPending(bool pending);

 signals:
  void byHandPicked(bool by_hand);
  /// Grid bearing; metres a second; 0..1.
  void handWindEntered(std::optional<double> from_deg, std::optional<double> speed_mps,
                       std::optional<double> cloud);
  void forecastWanted();
  /// 0 = A .. 5 = F; nullopt: by the key.
  void stabilityPicked(std::optional<int> stability);
  void scentLimitEntered(double limit);

 private:
  void buildWind(QGridLayout& grid);
  void buildJudgement(QGridLayout& grid);
  void wire();

  QPushButton* forecast_;
  QPushButton* hand_;
  QSpinBox* from_;
  QDoubleSpinBox* speed_;
  QSpinBox* cloud_;
  QComboBox* stability_;
  QDoubleSpinBox* limit_;
  QLabel* words_;
  QLabel* pending_;
  QLabel* doubts_;
  double convergence_deg_ = 0;
  double mps_per_unit_ = 1;
  bool has_forecast_ = false;
};

}  // namespace leeward::ui
