#include "ui/panels/feature_list.h"

#include "core/eval/explain.h"
#include "ui/panels/icons.h"
#include "ui/panels/look.h"
#include "ui/style/type.h"

#include <QComboBox>
#include <QHeaderView>
#include <QKeyEvent>
#include <QLineEdit>
#include <QPushButton>
#include <QTreeWidget>
#include <QVBoxLayout>

#include <algorithm>

namespace leeward::ui {
namespace {

enum Column { kName, kSize, kShown, kLocked };
constexpr int kUidRole = Qt::UserRole;
constexpr int kKindRole = Qt::UserRole + 1;

QString sizeWords(const Feature& f, UnitSystem units) {
  if (f.shape.type == ShapeType::area) return text(area_text(area_m2(f.shape), units));
  if (f.shape.type == ShapeType::line) return text(distance_text(length_m(f.shape), units));
  return {};
}

std::optional<Uid> uidOf(const QTreeWidgetItem* item) {
  const QVariant uid = item->data(0, kUidRole);
  if (!uid.isValid()) return std::nullopt;
  return Uid(uid.toString().toStdString());
}

}  // namespace

FeatureList::FeatureList(QWidget* parent) : QWidget(parent) {
  setObjectName(QStringLiteral("sheet"));
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(space(2), space(2), space(2), space(2));
  column->setSpacing(space(2));
  auto* top = new QHBoxLayout;
  filter_ = new QLineEdit;
  filter_->setPlaceholderText(tr("Find by name, kind or remarks"));
  filter_->setAccessibleName(tr("Find features"));
  filter_->setClearButtonEnabled(true);
  order_ = new QComboBox;
  order_->addItems({tr("By kind"), tr("By name")});
  order_->setAccessibleName(tr("Order of the list"));
  top->addWidget(filter_, 1);
  top->addWidget(order_);
  column->addLayout(top);
  tree_ = new QTreeWidget;
  tree_->setAccessibleName(tr("Features"));
  tree_->setHeaderLabels({tr("Feature"), tr("Size"), QString(), QString()});
  for (const auto& [column_at, picture, words] :
       {std::tuple(kShown, "shown", tr("Shown")), {kLocked, "lock", tr("Locked")}}) {
    tree_->headerItem()->setIcon(column_at, icon(QLatin1String(picture)));
    tree_->headerItem()->setToolTip(column_at, words);
    tree_->headerItem()->setData(column_at, Qt::AccessibleTextRole, words);
  }
  tree_->setSelectionMode(QAbstractItemView::ExtendedSelection);
  tree_->setUniformRowHeights(true);
  tree_->setFrameShape(QFrame::NoFrame);
  tree_->header()->setStretchLastSection(false);
  tree_->header()->setSectionResizeMode(kName, QHeaderView::Stretch);
  for (const int c : {kSize, kShown, kLocked})
    tree_->header()->setSectionResizeMode(c, QHeaderView::ResizeToContents);
  tree_->installEventFilter(this);
  column->addWidget(tree_, 1);
  auto* buttons = new QHBoxLayout;
  zoom_ = new QPushButton(icon(QStringLiteral("zoom_selected")), tr("Zoom to"));
  edit_ = new QPushButton(icon(QStringLiteral("details")), tr("Details"));
  delete_ = new QPushButton(icon(QStringLiteral("delete")), tr("Delete"));
  for (QPushButton* b : {zoom_, edit_, delete_}) buttons->addWidget(b);
  column->addLayout(buttons);
  connect(filter_, &QLineEdit::textChanged, this, &FeatureList::rebuild);
  connect(order_, &QComboBox::currentIndexChanged, this, &FeatureList::rebuild);
  connect(tree_, &QTreeWidget::itemSelectionChanged, this, &FeatureList::selectionPicked);
  connect(tree_, &QTreeWidget::itemChanged, this, &FeatureList::kindChanged);
  connect(tree_, &QTreeWidget::itemDoubleClicked, this, [this] { emit zoomWanted(); });
  connect(zoom_, &QPushButton::clicked, this, &FeatureList::zoomWanted);
  connect(edit_, &QPushButton::clicked, this, &FeatureList::editWanted);
  connect(delete_, &QPushButton::clicked, this, &FeatureList::deleteWanted);
  markSelected();
}

void FeatureList::setDocument(Ref<Document> document, bool read_only) {
  const bool same =
      document->features == document_->features && document->settings == document_->settings;
  document_ = std::move(document);
  read_only_ = read_only;
  if (same && !stale_) return markSelected();
  stale_ = true;
  if (isVisible()) rebuild();
}

void FeatureList::setSelected(const std::vector<Uid>& uids) {
  selected_ = uids;
  markSelected();
}

void FeatureList::setView(const ViewState& view) {
  if (view.kinds == view_.kinds && view.locked == view_.locked) {
    view_ = view;
    return;
  }
  view_ = view;
  stale_ = true;
  if (isVisible() && !filling_) rebuild();
}

void FeatureList::takeFocus() {
  tree_->setFocus();
  if (!tree_->currentItem() && tree_->topLevelItemCount() > 0)
    tree_->setCurrentItem(tree_->topLevelItem(0), 0, QItemSelectionModel::NoUpdate);
}

void FeatureList::showEvent(QShowEvent* event) {
  QWidget::showEvent(event);
  if (stale_) rebuild();
}

bool FeatureList::matches(const Feature& f) const {
  const QString words = filter_->text().trimmed();
  if (words.isEmpty()) return true;
  const auto has = [&](const std::string& s) {
    return text(s).contains(words, Qt::CaseInsensitive);
  };
  return has(display_name(f)) || has(f.remarks) || has(info(f.kind()).noun) ||
         has(info(f.kind()).plural);
}

QTreeWidgetItem* FeatureList::addKind(const KindInfo& kind) {
  const auto i = static_cast<std::size_t>(kind.kind);
  auto* item = new QTreeWidgetItem(tree_);
  item->setText(kName,
                tr("%1 (%2)").arg(capital(text(kind.plural))).arg(document_->of(kind.kind).size()));
  item->setData(0, kKindRole, static_cast<int>(kind.kind));
  item->setIcon(kName,
                kindPixmap(default_attributes(kind.kind), QSize(22, 16), devicePixelRatioF()));
  item->setFlags(Qt::ItemIsEnabled | Qt::ItemIsUserCheckable);
  item->setCheckState(kShown, view_.kinds[i] ? Qt::Checked : Qt::Unchecked);
  item->setCheckState(kLocked, view_.locked[i] ? Qt::Checked : Qt::Unchecked);
  item->setData(kShown, Qt::AccessibleTextRole, tr("%1 shown").arg(text(kind.plural)));
  item->setData(kLocked, Qt::AccessibleTextRole, tr("%1 locked").arg(text(kind.plural)));
  QFont bold = font();
  bold.setBold(true);
  item->setFont(kName, bold);
  return item;
}

void FeatureList::addFeatures(const Rows<Feature>& rows, QTreeWidgetItem* below) {
  std::vector<Ref<Feature>> sorted;
  for (const auto& f : rows)
    if (matches(*f)) sorted.push_back(f);
  std::sort(sorted.begin(), sorted.end(), [](const auto& a, const auto& b) {
    return QString::localeAwareCompare(text(display_name(*a)), text(display_name(*b))) < 0;
  });
  for (const auto& f : sorted) {
    auto* item = below ? new QTreeWidgetItem(below) : new QTreeWidgetItem(tree_);
    const QString name = capital(text(display_name(*f)));
    item->setText(kName, name);
    if (!below) item->setIcon(kName, kindPixmap(f->attrs, QSize(22, 16), devicePixelRatioF()));
    item->setText(kSize, sizeWords(*f, document_->settings->units));
    item->setData(0, kUidRole, text(f->uid.str()));
    item->setData(0, Qt::AccessibleTextRole, tr("%1, %2").arg(name, text(info(f->kind()).noun)));
  }
}

void FeatureList::rebuild() {
  stale_ = false;
  filling_ = true;
  tree_->clear();
  if (order_->currentIndex() == 0) {
    for (const KindInfo& kind : all_kinds()) {
      const Rows<Feature>& rows = document_->of(kind.kind);
      if (std::none_of(rows.begin(), rows.end(), [this](const auto& f) { return matches(*f); }))
        continue;
      QTreeWidgetItem* item = addKind(kind);
      addFeatures(rows, item);
      item->setExpanded(true);
    }
  } else {
    Rows<Feature> all;
    for (const auto& rows : document_->features) all.insert(all.end(), rows->begin(), rows->end());
    addFeatures(all, nullptr);
  }
  tree_->setColumnHidden(kShown, order_->currentIndex() != 0);
  tree_->setColumnHidden(kLocked, order_->currentIndex() != 0);
  filling_ = false;
  markSelected();
}

void FeatureList::markSelected() {
  filling_ = true;
  for (QTreeWidgetItemIterator it(tree_); *it; ++it) {
    const auto uid = uidOf(*it);
    const bool on = uid && std::find(selected_.begin(), selected_.end(), *uid) != selected_.end();
    if ((*it)->isSelected() != on) (*it)->setSelected(on);
  }
  filling_ = false;
  for (QPushButton* b : {zoom_, edit_}) b->setEnabled(!selected_.empty());
  delete_->setEnabled(!selected_.empty() && !read_only_);
}

void FeatureList::selectionPicked() {
  if (filling_) return;
  std::vector<Uid> uids;
  for (const QTreeWidgetItem* item : tree_->selectedItems())
    if (const auto uid = uidOf(item)) uids.push_back(*uid);
  selected_ = uids;
  markSelected();
  emit picked(uids);
}

void FeatureList::kindChanged(QTreeWidgetItem* item, int column) {
  if (filling_ || !item->data(0, kKindRole).isValid()) return;
  const auto i = item->data(0, kKindRole).toUInt();
  const bool on = item->checkState(column) == Qt::Checked;
  if (column == kShown) view_.kinds[i] = on;
  if (column == kLocked) view_.locked[i] = on;
  filling_ = true;
  emit viewChanged(view_);
  filling_ = false;
}

bool FeatureList::eventFilter(QObject* watched, QEvent* event) {
  if (watched == tree_ && event->type() == QEvent::KeyPress) {
    const auto* key = static_cast<QKeyEvent*>(event);
    QTreeWidgetItem* item = tree_->currentItem();
    const bool kind = item && item->data(0, kKindRole).isValid();
    const auto flip = [&](int column) {
      const bool on = item->checkState(column) == Qt::Checked;
      item->setCheckState(column, on ? Qt::Unchecked : Qt::Checked);
      return true;
    };
    switch (key->key()) {
      case Qt::Key_Return:
      case Qt::Key_Enter:
        return emit editWanted(), true;
      case Qt::Key_Delete:
        return emit deleteWanted(), true;
      case Qt::Key_Space:
        if (kind) return flip(kShown);
        return emit zoomWanted(), true;
      case Qt::Key_Insert:
        if (kind) return flip(kLocked);
        break;
      default:
        break;
    }
  }
  return QWidget::eventFilter(watched, event);
}

}  // namespace leeward::ui
