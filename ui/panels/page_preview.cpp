#include "ui/panels/page_preview.h"

#include "ui/style/type.h"

#include <QBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QScrollArea>

#include <algorithm>

namespace leeward::ui {
namespace {

constexpr qint64 kPatience_ms = 3000;
constexpr double kLarger_dpi = 110;
constexpr int kAir_px = 10;

/// Dots an inch at which a page fills a room of logical pixels.
double dotsPerInch(QSizeF page_mm, QSize room) {
  return 25.4 * std::min(room.width() / page_mm.width(), room.height() / page_mm.height());
}

}  // namespace

PagePreview::PagePreview()
    : paper_(new QLabel),
      words_(new QLabel),
      back_(new QPushButton(QStringLiteral("‹"))),
      on_(new QPushButton(QStringLiteral("›"))),
      size_(new QPushButton(tr("Larger"))),
      scroll_(new QScrollArea) {
  paper_->setAlignment(Qt::AlignCenter);
  paper_->setWordWrap(true);
  paper_->setAccessibleName(tr("Preview of the page"));
  scroll_->setWidget(paper_);
  scroll_->setWidgetResizable(true);
  scroll_->setAccessibleName(tr("Preview"));
  scroll_->setObjectName(QStringLiteral("held"));
  back_->setAccessibleName(tr("Page before"));
  on_->setAccessibleName(tr("Next page"));
  for (QPushButton* b : {back_, on_}) b->setFixedWidth(34);
  size_->setCheckable(true);
  size_->setToolTip(tr("Large enough to read; scroll to see the rest"));
  words_->setObjectName(QStringLiteral("soft"));
  auto* row = new QHBoxLayout;
  row->addWidget(back_);
  row->addWidget(on_);
  row->addWidget(words_, 1);
  row->addWidget(size_);
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(0, 0, 0, 0);
  column->addWidget(scroll_, 1);
  column->addLayout(row);
  connect(back_, &QPushButton::clicked, this, [this] { turnTo(page_ - 1); });
  connect(on_, &QPushButton::clicked, this, [this] { turnTo(page_ + 1); });
  connect(size_, &QPushButton::toggled, this, [this](bool on) {
    larger_ = on;
    if (asked_) ask(ask_);
  });
  resized_.setSingleShot(true);
  resized_.setInterval(200);
  connect(&resized_, &QTimer::timeout, this, [this] {
    if (asked_) ask(ask_);
  });
  showWords();
}

QSize PagePreview::room() const {
  const QSize all = scroll_->viewport()->size() - QSize(kAir_px, kAir_px);
  return all.expandedTo({80, 80});
}

void PagePreview::resizeEvent(QResizeEvent*) { resized_.start(); }

void PagePreview::turnTo(int page) {
  const int last = pages_ > 0 && !more_ ? pages_ - 1 : page;
  page_ = std::clamp(page, 0, std::max(0, last));
  if (asked_) ask(ask_);
}

void PagePreview::showNothing(const QString& why) {
  worker_.cancel();
  asked_ = waiting_ = false;
  picture_ = {};
  paper_->setPixmap({});
  paper_->setText(why);
  title_ = doing_ = QString();
  pages_ = 0;
  showWords();
}

void PagePreview::ask(const PrintAsk& what) {
  ask_ = what;
  asked_ = true;
  if (worker_.busy() && since_.isValid() && since_.elapsed() < kPatience_ms && !more_) {
    waiting_ = true;
    return;
  }
  start();
}

PrintProgress PagePreview::progress() {
  return [this](double share, const char* what) {
    QMetaObject::invokeMethod(this, [this, share, words = text(what)] {
      if (!worker_.busy()) return;
      doing_ = tr("%1, %2 %").arg(words).arg(static_cast<int>(100 * share));
      showWords();
    });
  };
}

PagePreview::Drawn PagePreview::draw(SheetMaker& maker, const PrintAsk& ask, int page, QSize room,
                                     double ratio, const std::stop_token& stop,
                                     const PrintProgress& progress) {
  Drawn out;
  out.page = page;
  const auto pagesOf = [&](const SheetsRequest& sheets) -> Result<std::vector<SheetPage>> {
    auto filled = maker.filled(sheets, ask.scene, ask.days, stop, progress);
    if (!filled) return std::move(filled.error());
    return sheetPages(*filled, stop, {});
  };
  // The map needs neither plan nor other winds: it is not kept waiting for them.
  const SheetChoice& all = ask.sheets.choice;
  SheetsRequest map = ask.sheets;
  map.choice = {true, false, false, false};
  auto pages = pagesOf(all.map ? map : ask.sheets);
  const bool rest = all.map && (all.cards || all.plan || all.work);
  if (pages && rest && page >= static_cast<int>(pages->size())) {
    pages = pagesOf(ask.sheets);
  } else {
    out.more = rest;
  }
  if (!pages) {
    out.problem = text(pages.error().message);
    return out;
  }
  out.pages = static_cast<int>(pages->size());
  out.page = std::clamp(page, 0, out.pages - 1);
  const SheetPage& sheet = (*pages)[static_cast<size_t>(out.page)];
  if (!sheet.bookmarks.empty()) out.title = sheet.bookmarks.front().title;
  PagesInfo info = pagesInfo(ask.sheets.map);
  const double dpi = room.isEmpty() ? kLarger_dpi : dotsPerInch(info.page_mm, room);
  auto picture = pagePicture(sheet, info, dpi * ratio);
  if (picture) {
    out.picture = *std::move(picture);
    out.picture.setDevicePixelRatio(ratio);
  } else {
    out.problem = text(picture.error().message);
  }
  return out;
}

void PagePreview::start() {
  waiting_ = false;
  more_ = false;
  since_.start();
  doing_ = tr("Drawing");
  showWords();
  worker_.start([this, maker = maker_, ask = ask_, page = page_, size = larger_ ? QSize() : room(),
                 ratio = devicePixelRatioF(),
                 said = progress()](std::stop_token stop) -> Background::Finish {
    auto drawn = std::make_shared<Drawn>(draw(*maker, ask, page, size, ratio, stop, said));
    return [this, drawn] { take(*drawn); };
  });
}

void PagePreview::take(const Drawn& drawn) {
  doing_ = QString();
  page_ = drawn.page;
  pages_ = drawn.pages;
  more_ = drawn.more;
  title_ = drawn.title;
  picture_ = drawn.picture;
  if (drawn.problem.isEmpty())
    paper_->setPixmap(QPixmap::fromImage(picture_));
  else
    paper_->setText(drawn.problem);
  if (waiting_) return start();
  if (more_) count();
  showWords();
  emit pageDrawn();
}

// How many pages there are in all, once the page that is looked at is there.
void PagePreview::count() {
  worker_.start([this, maker = maker_, ask = ask_,
                 said = progress()](std::stop_token stop) -> Background::Finish {
    auto filled = maker->filled(ask.sheets, ask.scene, ask.days, stop, said);
    int pages = 0;
    if (filled)
      if (auto all = sheetPages(*filled, stop, {})) pages = static_cast<int>(all->size());
    return [this, pages] {
      if (pages > 0) pages_ = pages;
      more_ = false;
      doing_ = QString();
      showWords();
      if (waiting_) start();
    };
  });
}

void PagePreview::showWords() {
  QString words = title_;
  if (pages_ > 0)
    words = tr("%1 of %2 · %3")
                .arg(page_ + 1)
                .arg(more_ ? QStringLiteral("…") : QString::number(pages_))
                .arg(title_);
  if (!doing_.isEmpty()) words += (words.isEmpty() ? QString() : QStringLiteral(" · ")) + doing_;
  words_->setText(words);
  back_->setEnabled(page_ > 0);
  on_->setEnabled(more_ || page_ + 1 < pages_);
}

}  // namespace leeward::ui
