// PagePreview: a page as it will be printed, drawn by what prints it, in the background.
#pragma once

#include "ui/print/sheet_maker.h"
#include "ui/session/background.h"

#include <QElapsedTimer>
#include <QTimer>
#include <QWidget>

class QLabel;
class QPushButton;
class QScrollArea;

namespace leeward::ui {

/// What is to be printed: the request without its results, and the hour.
struct PrintAsk {
  SheetsRequest sheets;
  Scene scene;
  int days = kUsualPlanDays;
};

class PagePreview : public QWidget {
  Q_OBJECT

 public:
  PagePreview();

  /// Draws the page that is shown anew. A drawing under way is let finish for a while, so that
  /// something is seen while a hand moves, and then taken up again.
  void ask(const PrintAsk& what);
  /// Shows words in place of a page.
  void showNothing(const QString& why);
  int page() const { return page_; }
  /// 0: not known yet.
  int pages() const { return pages_; }
  void turnTo(int page);
  const QImage& picture() const { return picture_; }
  bool busy() const { return worker_.busy() || waiting_; }

 signals:
  void pageDrawn();

 protected:
  void resizeEvent(QResizeEvent* event) override;

 private:
  struct Drawn {
    QImage picture;
    QString title, problem;
    int page = 0, pages = 0;
    bool more = false;  ///< There are sheets that are not counted.
  };
  static Drawn draw(SheetMaker& maker, const PrintAsk& ask, int page, QSize room, double ratio,
                    const std::stop_token& stop, const PrintProgress& progress);
  void start();
  void count();
  void take(const Drawn& drawn);
  void showWords();
  QSize room() const;
  PrintProgress progress();

  PrintAsk ask_;
  bool asked_ = false;
  bool waiting_ = false;  ///< A newer request than the one being drawn.
  bool larger_ = false;
  int page_ = 0, pages_ = 0;
  bool more_ = false;
  QString title_, doing_;
  QImage picture_;
  QLabel *paper_, *words_;
  QPushButton *back_, *on_, *size_;
  QScrollArea* scroll_;
  QElapsedTimer since_;
  QTimer resized_;
  std::shared_ptr<SheetMaker> maker_ = std::make_shared<SheetMaker>();  ///< The worker's.
  Background worker_;
};

}  // namespace leeward::ui
