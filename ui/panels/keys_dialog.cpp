#include "ui/panels/keys_dialog.h"

#include "ui/panels/look.h"
#include "ui/session/preferences.h"

#include <QDialogButtonBox>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QKeySequenceEdit>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QTreeWidget>
#include <QVBoxLayout>

namespace leeward::ui {
namespace {

constexpr const char* kOwnKey = "own_key";
constexpr const char* kOwnWords = "own_words";  // without what is undone

QString wordsOf(const QAction& action) { return action.property(kOwnWords).toString(); }

}  // namespace

void applyKeys(const std::vector<QAction*>& actions) {
  for (QAction* action : actions) {
    if (!action->property(kOwnKey).isValid()) {
      action->setProperty(kOwnKey, action->shortcut().toString(QKeySequence::PortableText));
      action->setProperty(kOwnWords, QString(action->text()).remove(QLatin1Char('&')));
    }
    const auto chosen = preferences::keyOf(action->objectName());
    action->setShortcut(chosen ? *chosen : QKeySequence(action->property(kOwnKey).toString()));
  }
}

KeysDialog::KeysDialog(std::vector<QAction*> actions, QWidget* parent)
    : QDialog(parent), actions_(std::move(actions)) {
  setWindowTitle(tr("Keys"));
  resize(520, 560);
  auto* column = new QVBoxLayout(this);
  filter_ = new QLineEdit;
  filter_->setPlaceholderText(tr("Find a command or a key"));
  filter_->setAccessibleName(tr("Find a command or a key"));
  list_ = new QTreeWidget;
  list_->setHeaderLabels({tr("Command"), tr("Key")});
  list_->setRootIsDecorated(false);
  list_->setAccessibleName(tr("Commands and their keys"));
  list_->header()->setSectionResizeMode(0, QHeaderView::Stretch);
  list_->header()->setStretchLastSection(false);
  column->addWidget(filter_);
  column->addWidget(list_, 1);
  auto* row = new QHBoxLayout;
  key_ = new QKeySequenceEdit;
  key_->setAccessibleName(tr("New key"));
  set_ = new QPushButton(tr("Set"));
  own_ = new QPushButton(tr("Its own"));
  row->addWidget(key_, 1);
  row->addWidget(set_);
  row->addWidget(own_);
  column->addLayout(row);
  conflict_ = problemLabel();
  column->addWidget(conflict_);
  auto* box = new QDialogButtonBox(QDialogButtonBox::Close);
  auto* all = box->addButton(tr("All their own"), QDialogButtonBox::ResetRole);
  column->addWidget(box);
  connect(box, &QDialogButtonBox::rejected, this, &QDialog::accept);
  connect(all, &QPushButton::clicked, this, [this] {
    preferences::forgetKeys();
    applyKeys(actions_);
    fill();
  });
  connect(filter_, &QLineEdit::textChanged, this, &KeysDialog::fill);
  connect(list_, &QTreeWidget::currentItemChanged, this, &KeysDialog::currentChanged);
  connect(key_, &QKeySequenceEdit::keySequenceChanged, this, [this](const QKeySequence& key) {
    const QAction* other = key.isEmpty() ? nullptr : holder(key, current());
    showProblem(conflict_, other ? tr("%1 has this key; to set it takes it away there")
                                       .arg(wordsOf(*other))
                                       .toStdString()
                                 : std::string());
  });
  connect(set_, &QPushButton::clicked, this, &KeysDialog::take);
  connect(own_, &QPushButton::clicked, this, &KeysDialog::takeOwn);
  fill();
}

void KeysDialog::fill() {
  const QAction* was = current();
  list_->clear();
  const QString words = filter_->text().trimmed();
  for (std::size_t i = 0; i < actions_.size(); ++i) {
    const QString name = wordsOf(*actions_[i]);
    const QString key = actions_[i]->shortcut().toString(QKeySequence::NativeText);
    if (!words.isEmpty() && !name.contains(words, Qt::CaseInsensitive) &&
        key.compare(words, Qt::CaseInsensitive) != 0)
      continue;
    auto* item = new QTreeWidgetItem(list_, {name, key});
    item->setData(0, Qt::UserRole, static_cast<int>(i));
    if (actions_[i] == was) list_->setCurrentItem(item);
  }
  if (!list_->currentItem() && list_->topLevelItemCount() > 0)
    list_->setCurrentItem(list_->topLevelItem(0));
  currentChanged();
}

QAction* KeysDialog::current() const {
  const QTreeWidgetItem* item = list_->currentItem();
  return item ? actions_[static_cast<std::size_t>(item->data(0, Qt::UserRole).toInt())] : nullptr;
}

QAction* KeysDialog::holder(const QKeySequence& key, const QAction* except) const {
  for (QAction* action : actions_)
    if (action != except && action->shortcut() == key) return action;
  return nullptr;
}

void KeysDialog::currentChanged() {
  const QAction* action = current();
  for (QWidget* w : std::initializer_list<QWidget*>{key_, set_, own_}) w->setEnabled(action);
  key_->setKeySequence(action ? action->shortcut() : QKeySequence());
}

void KeysDialog::take() {
  QAction* action = current();
  if (!action) return;
  const QKeySequence key = key_->keySequence();
  if (QAction* other = key.isEmpty() ? nullptr : holder(key, action))
    preferences::keepKey(other->objectName(), {});
  preferences::keepKey(action->objectName(), key);
  applyKeys(actions_);
  fill();
}

void KeysDialog::takeOwn() {
  const QAction* action = current();
  if (!action) return;
  key_->setKeySequence(QKeySequence(action->property(kOwnKey).toString()));
  take();
}

}  // namespace leeward::ui
