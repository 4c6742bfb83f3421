// The log of entries: who was where and when, so that what was entered rests.
#pragma once

#include "ui/session/edit_session.h"

#include <QDialog>

class QComboBox;
class QDateTimeEdit;
class QLabel;
class QLineEdit;
class QListWidget;

namespace leeward::ui {

class VisitDialog : public QDialog {
  Q_OBJECT

 public:
  /// `at`: what a new entry's time is set to.
  VisitDialog(EditSession& session, Instant at, QWidget* parent);

 private:
  void fillPlaces();
  void refill();
  void add();
  void remove();

  EditSession& session_;
  QListWidget* log_;
  QComboBox* type_;
  QDateTimeEdit* at_;
  QComboBox* place_;
  QListWidget* entered_;
  QLineEdit* who_;
  QLineEdit* remarks_;
  QLabel* problem_;
};

}  // namespace leeward::ui
