// ImportDialog: what a file holds, what each group of it becomes, and a picture of both together.
#pragma once

#include "core/io/vector_files.h"

#include <QDialog>

#include <functional>

class QComboBox;
class QLabel;
class QPushButton;
class QTableWidget;

namespace leeward::ui {

/// The property as it is with what would be taken over it; groups without a kind are grey.
class ImportPreview : public QWidget {
 public:
  explicit ImportPreview(Ref<Document> document);
  /// `strong`: the group that the user is at, or -1.
  void show(const io::VectorRows& rows, int field, const std::vector<io::ImportGroup>& groups,
            int strong);

 protected:
  void paintEvent(QPaintEvent* event) override;

 private:
  Ref<Document> document_;
  std::vector<Feature> taken_;
  std::vector<Shape> left_;
  std::vector<Shape> strong_;
};

class ImportDialog : public QDialog {
  Q_OBJECT

 public:
  ImportDialog(const QString& file, io::VectorRows rows, Ref<Document> document, QWidget* parent);
  /// For a table: the columns that hold the coordinates can be chosen; `reread` reads it again.
  using Reread = std::function<Result<io::VectorRows>(const io::CsvColumns&)>;
  void offerColumns(const io::CsvColumns& columns, Reread reread);

  /// What is taken as it stands.
  io::VectorImport outcome() const;

 private:
  void regroup();
  void fillTable();
  void refresh();
  void columnsChosen();

  io::VectorRows rows_;
  std::vector<io::ImportGroup> groups_;
  io::CsvColumns columns_;
  Reread reread_;
  QComboBox* by_;
  QComboBox* x_;
  QComboBox* y_;
  QWidget* coordinates_;
  QTableWidget* table_;
  QLabel* summary_;
  QLabel* problem_;
  ImportPreview* preview_;
  QPushButton* ok_;
};

}  // namespace leeward::ui
