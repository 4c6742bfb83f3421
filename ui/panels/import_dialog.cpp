#include "ui/panels/import_dialog.h"

#include "ui/panels/look.h"
#include "ui/render/features.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QPainter>
#include <QPainterPath>
#include <QPushButton>
#include <QTableWidget>
#include <QVBoxLayout>

namespace leeward::ui {
namespace {

constexpr int kLeftOut = -1;

QString shapeWord(ShapeType type, std::size_t n) {
  switch (type) {
    case ShapeType::point:
      return n == 1 ? QObject::tr("point") : QObject::tr("points");
    case ShapeType::line:
      return n == 1 ? QObject::tr("line") : QObject::tr("lines");
    case ShapeType::area:
      return n == 1 ? QObject::tr("area") : QObject::tr("areas");
  }
  return {};
}

}  // namespace

ImportPreview::ImportPreview(Ref<Document> document) : document_(std::move(document)) {
  setMinimumSize(400, 380);
  setAccessibleName(tr("Preview of the import on the map"));
}

void ImportPreview::show(const io::VectorRows& rows, int field,
                         const std::vector<io::ImportGroup>& groups, int strong) {
  taken_ = io::take_rows(rows, field, groups).features;
  left_.clear();
  strong_.clear();
  for (const io::VectorRow& row : rows.rows) {
    const std::string value = field < 0 ? row.layer
                              : static_cast<std::size_t>(field) < row.values.size()
                                  ? row.values[static_cast<std::size_t>(field)]
                                  : std::string();
    for (std::size_t g = 0; g < groups.size(); ++g) {
      if (groups[g].label != value || groups[g].type != row.shape.type) continue;
      if (!groups[g].kind) left_.push_back(row.shape);
      if (static_cast<int>(g) == strong) strong_.push_back(row.shape);
    }
  }
  update();
}

void ImportPreview::paintEvent(QPaintEvent*) {
  QPainter painter(this);
  painter.fillRect(rect(), theme().land);
  painter.setRenderHint(QPainter::Antialiasing);
  Box box = document_->of(Kind::boundary).empty() && document_->extent().empty()
                ? Box{}
                : document_->extent();
  for (const Feature& f : taken_) box.add(bounds(f.shape));
  for (const Shape& s : left_) box.add(bounds(s));
  if (box.empty()) return;
  const MapTransform t = MapTransform::fitting(box, QRectF(rect()), 16);
  painter.setOpacity(0.35);
  drawFeatures(painter, t, *document_, KindSet().set(), {});
  painter.setOpacity(1);
  const auto outline = [&](const Shape& s, const QPen& pen) {
    QPainterPath path = devicePath(t, s);
    if (s.type == ShapeType::point) {
      path = {};
      path.addEllipse(t.toDevice(s.position()), 4, 4);
    }
    painter.setBrush(Qt::NoBrush);
    painter.setPen(pen);
    painter.drawPath(path);
  };
  for (const Shape& s : left_) outline(s, QPen(theme().soft, 1, Qt::DotLine));
  for (const Feature& f : taken_) drawFeature(painter, t, f, {});
  for (const Shape& s : strong_) outline(s, QPen(theme().accent, 2.4));
}

ImportDialog::ImportDialog(const QString& file, io::VectorRows rows, Ref<Document> document,
                           QWidget* parent)
    : QDialog(parent), rows_(std::move(rows)) {
  setWindowTitle(tr("Import %1").arg(file));
  resize(900, 560);
  auto* columns = new QHBoxLayout(this);
  preview_ = new ImportPreview(std::move(document));
  columns->addWidget(preview_, 1);
  auto* right = new QVBoxLayout;
  columns->addLayout(right, 1);
  coordinates_ = new QWidget;
  auto* places = formLayout();
  places->setContentsMargins(0, 0, 0, 0);
  coordinates_->setLayout(places);
  x_ = new QComboBox, y_ = new QComboBox;
  addNamedRow(places, tr("East, or longitude"), x_);
  addNamedRow(places, tr("North, or latitude"), y_);
  coordinates_->hide();
  right->addWidget(coordinates_);
  auto* top = formLayout();
  by_ = new QComboBox;
  addNamedRow(top, tr("Told apart by"), by_);
  right->addLayout(top);
  table_ = new QTableWidget(0, 3);
  table_->setHorizontalHeaderLabels({tr("In the file"), tr("Holds"), tr("Becomes")});
  table_->setAccessibleName(tr("Groups of the file and what they become"));
  table_->verticalHeader()->hide();
  table_->setSelectionBehavior(QAbstractItemView::SelectRows);
  table_->setEditTriggers(QAbstractItemView::NoEditTriggers);
  table_->setTabKeyNavigation(false);
  table_->horizontalHeader()->setSectionResizeMode(0, QHeaderView::Stretch);
  table_->horizontalHeader()->setSectionResizeMode(1, QHeaderView::ResizeToContents);
  table_->setColumnWidth(2, 160);
  right->addWidget(table_, 1);
  summary_ = softLabel({});
  problem_ = problemLabel();
  right->addWidget(summary_);
  right->addWidget(problem_);
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel);
  ok_ = buttons->button(QDialogButtonBox::Ok);
  ok_->setText(tr("Take them"));
  right->addWidget(buttons);
  connect(buttons, &QDialogButtonBox::accepted, this, &QDialog::accept);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
  connect(by_, &QComboBox::activated, this, &ImportDialog::regroup);
  connect(table_, &QTableWidget::currentCellChanged, this, &ImportDialog::refresh);
  connect(x_, &QComboBox::activated, this, &ImportDialog::columnsChosen);
  connect(y_, &QComboBox::activated, this, &ImportDialog::columnsChosen);
  by_->addItem(tr("Layer"), -1);
  for (std::size_t i = 0; i < rows_.fields.size(); ++i)
    by_->addItem(tr("Column %1").arg(text(rows_.fields[i])), static_cast<int>(i));
  regroup();
}

void ImportDialog::offerColumns(const io::CsvColumns& columns, Reread reread) {
  columns_ = columns;
  reread_ = std::move(reread);
  for (QComboBox* box : {x_, y_})
    for (const std::string& name : columns_.names) box->addItem(text(name));
  x_->setCurrentIndex(columns_.x);
  y_->setCurrentIndex(columns_.y);
  coordinates_->show();
  if (rows_.rows.empty()) columnsChosen();
}

void ImportDialog::columnsChosen() {
  columns_.x = x_->currentIndex();
  columns_.y = y_->currentIndex();
  auto read = reread_(columns_);
  showProblem(problem_, read ? std::string() : read.error().message);
  rows_ = read ? *std::move(read) : io::VectorRows{columns_.names, {}, 0, {}};
  regroup();
}

void ImportDialog::regroup() {
  groups_ = io::groups_of(rows_, by_->currentData().toInt());
  fillTable();
  refresh();
}

void ImportDialog::fillTable() {
  const QSignalBlocker quiet(table_);
  table_->setRowCount(static_cast<int>(groups_.size()));
  for (int row = 0; row < table_->rowCount(); ++row) {
    const auto g = static_cast<std::size_t>(row);
    const io::ImportGroup& group = groups_[g];
    const QString label = group.label.empty() ? tr("(without a value)") : text(group.label);
    const QString holds =
        QStringLiteral("%1 %2").arg(group.count).arg(shapeWord(group.type, group.count));
    table_->setItem(row, 0, new QTableWidgetItem(label));
    table_->setItem(row, 1, new QTableWidgetItem(holds));
    auto* kinds = new QComboBox;
    kinds->setAccessibleName(tr("What %1 (%2) becomes").arg(label, holds));
    kinds->addItem(tr("Leave out"), kLeftOut);
    for (const KindInfo& k : all_kinds()) {
      if (allows(k.kind, group.type) || (group.type == ShapeType::line && k.area))
        kinds->addItem(capital(text(k.noun)), static_cast<int>(k.kind));
    }
    kinds->setCurrentIndex(kinds->findData(group.kind ? static_cast<int>(*group.kind) : kLeftOut));
    connect(kinds, &QComboBox::activated, this, [this, g, kinds] {
      const int kind = kinds->currentData().toInt();
      groups_[g].kind = kind == kLeftOut ? std::nullopt : std::optional(static_cast<Kind>(kind));
      refresh();
    });
    table_->setCellWidget(row, 2, kinds);
  }
}

void ImportDialog::refresh() {
  const io::VectorImport now = outcome();
  summary_->setText(tr("%1 would be taken, %2 changed, %3 left out.")
                        .arg(now.taken)
                        .arg(now.changed)
                        .arg(now.left_out));
  ok_->setEnabled(now.taken > 0);
  preview_->show(rows_, by_->currentData().toInt(), groups_, table_->currentRow());
}

io::VectorImport ImportDialog::outcome() const {
  return io::take_rows(rows_, by_->currentData().toInt(), groups_);
}

}  // namespace leeward::ui
