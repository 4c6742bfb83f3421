#include "ui/panels/help_window.h"

#include "ui/style/type.h"

#include <QEvent>
#include <QFile>
#include <QHBoxLayout>
#include <QLineEdit>
#include <QPushButton>
#include <QShortcut>
#include <QTextBrowser>
#include <QVBoxLayout>

namespace leeward::ui {

HelpWindow::HelpWindow(QWidget* parent)
    : QDialog(parent), page_(new QTextBrowser), words_(new QLineEdit) {
  setWindowTitle(tr("Help"));
  setAttribute(Qt::WA_DeleteOnClose);
  page_->setAccessibleName(tr("Help"));
  page_->setOpenExternalLinks(false);
  fill();
  words_->setPlaceholderText(tr("Find words on this page"));
  words_->setAccessibleName(tr("Find"));
  auto* next = new QPushButton(tr("Next"));
  auto* close = new QPushButton(tr("Close"));
  for (QPushButton* b : {next, close}) b->setAutoDefault(false);
  auto* row = new QHBoxLayout;
  row->addWidget(words_, 1);
  row->addWidget(next);
  row->addWidget(close);
  auto* column = new QVBoxLayout(this);
  column->addWidget(page_, 1);
  column->addLayout(row);
  connect(words_, &QLineEdit::textEdited, this, [this] { find(false); });
  connect(words_, &QLineEdit::returnPressed, this, [this] { find(true); });
  connect(next, &QPushButton::clicked, this, [this] { find(true); });
  connect(close, &QPushButton::clicked, this, &QDialog::close);
  auto* key = new QShortcut(QKeySequence::Find, this);
  connect(key, &QShortcut::activated, words_, [this] { words_->setFocus(), words_->selectAll(); });
  resize(typeLength(720), typeLength(760));
}

void HelpWindow::fill() {
  QFile file(QStringLiteral(":/leeward/help.html"));
  if (file.open(QIODevice::ReadOnly)) page_->setHtml(QString::fromUtf8(file.readAll()));
}

void HelpWindow::changeEvent(QEvent* event) {
  QDialog::changeEvent(event);
  if (event->type() == QEvent::PaletteChange) fill();
}

// From the top while words are typed, onward and round after that.
void HelpWindow::find(bool again) {
  if (!again) page_->moveCursor(QTextCursor::Start);
  if (words_->text().isEmpty() || page_->find(words_->text())) return;
  page_->moveCursor(QTextCursor::Start);
  page_->find(words_->text());
}

}  // namespace leeward::ui
