// The season: how many mornings and evenings each stand could have been taken, by the winds of a
// weather station; a bar a stand, and the rose of the chosen one.
#pragma once

#include "core/eval/season.h"

#include <QWidget>

#include <filesystem>

class QDateEdit;
class QLabel;
class QProgressBar;
class QPushButton;
class QTableWidget;

namespace leeward::ui {

class SeasonView : public QWidget {
  Q_OBJECT

 public:
  explicit SeasonView(QWidget* parent = nullptr);

  void setSeason(const Ref<Document>& of, const Ref<Season>& season,
                 const std::vector<std::string>& notes);
  void setBusy(bool busy);
  void setProgress(double share);
  void showFailure(const QString& why);
  /// The records to count; also chosen by the window's button.
  void setRecords(const std::filesystem::path& file);
  const std::filesystem::path& records() const { return records_; }
  SeasonDays days() const;

 signals:
  void countAsked();
  void cancelAsked();
  /// A row was chosen; empty: none.
  void standChosen(const Uid& stand);
  void shownOrHidden();

 protected:
  void showEvent(QShowEvent* event) override;
  void hideEvent(QHideEvent* event) override;

 private:
  class Rose;
  void fill();
  void choose();

  Ref<Document> of_;
  Ref<Season> season_;
  std::filesystem::path records_;
  QPushButton* file_;
  QDateEdit* from_;
  QDateEdit* until_;
  QPushButton* count_;
  QPushButton* cancel_;
  QProgressBar* progress_;
  QLabel* problem_;
  QLabel* state_;
  QTableWidget* table_;
  Rose* rose_;
  QLabel* words_;
};

}  // namespace leeward::ui
