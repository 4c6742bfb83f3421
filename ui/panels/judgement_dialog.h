// What the figures of exposure rest on: every constant with its source, the deer's day as curves,
// and the days of the rut. All of it is this property's and may be set.
#pragma once

#include "ui/session/edit_session.h"

#include <QDialog>

class QLabel;
class QTableWidget;

namespace leeward::ui {

class JudgementDialog : public QDialog {
  Q_OBJECT

 public:
  JudgementDialog(EditSession& session, QWidget* parent);

 private:
  QWidget* constantsPage();
  QWidget* curvesPage();
  QWidget* rutPage();
  void fill();
  void takeConstants();
  void takeCurves();
  void takeRut();
  void apply(const char* label, Settings next);

  EditSession& session_;
  QTableWidget* constants_;
  QTableWidget* curves_;
  QTableWidget* rut_;
  QLabel* problem_;
  bool filling_ = false;
};

/// "-2: 15 %, 1.5: 85 %" of knots, and back. ERRORS: parse, with the mend.
QString knotsText(const std::vector<CurveKnot>& knots);
Result<std::vector<CurveKnot>> parseKnots(const QString& words);

}  // namespace leeward::ui
