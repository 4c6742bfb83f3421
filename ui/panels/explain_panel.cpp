#include "ui/panels/explain_panel.h"

#include "core/eval/explain_checks.h"
#include "ui/panels/look.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QButtonGroup>
#include <QColor>
#include <QEvent>
#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QScrollBar>
#include <QTextBlock>
#include <QTextBrowser>
#include <QTextCursor>
#include <QUrl>
#include <QVBoxLayout>

namespace leeward::ui {
namespace {

QString escaped(const std::string& words) { return text(words).toHtmlEscaped(); }
/// Keeps a number and its per cent sign on one line.
QString unbroken(QString words) {
  return words.replace(QStringLiteral(" %"), QStringLiteral("\u00a0%"));
}

/// "Airat" of "Air at 14:30": the same in every hour, and fit for a link.
QString lettersOf(const QString& words) {
  QString out;
  for (const QChar c : words)
    if (c.unicode() < 128 && c.isLetter()) out += c;
  return out;
}

QString head(const QString& words) {
  return QStringLiteral("<p style='margin:12px 0 3px 0; font-weight:700; color:%1'>%2</p>")
      .arg(theme().ink.name(), words);
}
QString title(const QString& words) {
  return QStringLiteral("<p style='margin:0; font-size:%1px; font-weight:700; color:%2'>%3</p>")
      .arg(typeLength(type::kHead))
      .arg(theme().ink.name(), words);
}
QString para(const QString& words) {
  return QStringLiteral("<p style='margin:0 0 5px 0'>%1</p>").arg(words);
}
QString caution(const QString& words) {
  return QStringLiteral("<p style='margin:0 0 5px 0; color:%1; font-weight:600'>▲ %2</p>")
      .arg(theme().accent.name(), words);
}

/// One check; the sign and the word tell its state, weight and colour repeat it.
QString checkLine(const QString& words) {
  QString html = words.toHtmlEscaped();
  const qsizetype title = html.indexOf(QStringLiteral("  ")), says = html.indexOf(u':');
  if (title < 0 || says < title) return para(html);
  const bool mend = html.startsWith(QStringLiteral("▲"));
  html.insert(says, QStringLiteral("</b>"));
  html.insert(title + 2, QStringLiteral("<b>"));
  html.replace(QStringLiteral(" → "), QStringLiteral("<br>→ "));
  return mend ? QStringLiteral("<p style='margin:0 0 6px 0; color:%1'>%2</p>")
                    .arg(theme().accent.name(), html)
              : para(html);
}

}  // namespace

ExplainPanel::ExplainPanel(QWidget* parent)
    : QWidget(parent),
      trade_label_(new QLabel(tr("Way"))),
      trade_row_(new QWidget),
      words_(new QTextBrowser) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(0);
  auto* row = new QHBoxLayout(trade_row_);
  row->setContentsMargins(space(4), space(2), space(4), space(1));
  row->setSpacing(space(1));
  row->addWidget(trade_label_);
  row->addStretch(1);
  auto* group = new QButtonGroup(this);
  for (const auto& [trade, word] : EnumWords<Trade>::words) {
    auto* button = new QPushButton(capital(QString::fromUtf8(word)));
    button->setCheckable(true);
    group->addButton(button);
    trades_[static_cast<std::size_t>(trade)] = button;
    connect(button, &QPushButton::clicked, this, [this, t = trade] { emit tradePicked(t); });
    row->addWidget(button);
  }
  trade_row_->setToolTip(tr("How much time a walk may cost to lower its exposure"));
  column->addWidget(trade_row_);
  words_->setOpenLinks(false);
  words_->document()->setDocumentMargin(space(4));
  words_->setAccessibleName(tr("Explanation"));
  connect(words_, &QTextBrowser::anchorClicked, this, &ExplainPanel::follow);
  column->addWidget(words_, 1);
}

void ExplainPanel::setTrade(Trade trade) {
  trades_[static_cast<std::size_t>(trade)]->setChecked(true);
}

void ExplainPanel::show(Ref<Document> document, Ref<Results> results, const Uid& selection) {
  document_ = std::move(document);
  results_ = std::move(results);
  selection_ = selection;
  render();
}

void ExplainPanel::changeEvent(QEvent* event) {
  QWidget::changeEvent(event);
  if (event->type() == QEvent::StyleChange && document_) render();
}

void ExplainPanel::render() {
  const Ref<Feature> feature = document_->find(selection_);
  const StandResult* stand = results_ ? results_->find(selection_) : nullptr;
  trade_row_->setVisible(stand != nullptr || !feature);
  const QString html = stand && feature ? standHtml(*stand)
                       : feature        ? otherHtml(*feature)
                                        : tableHtml();
  if (html == shown_) return;
  shown_ = html;
  const int at = words_->verticalScrollBar()->value();
  words_->setHtml(html);
  words_->verticalScrollBar()->setValue(at);
}

void ExplainPanel::follow(const QUrl& link) {
  if (link.scheme() != QLatin1String("numbers")) {
    emit standPicked(Uid(link.path().toStdString()));
    return;
  }
  const QString key = link.path();
  if (!open_.erase(key)) open_.insert(key);
  render();
  // The new page has the link again: keep it chosen, so that the keyboard can go on from it.
  const int at = words_->verticalScrollBar()->value();
  for (QTextBlock block = words_->document()->begin(); block.isValid(); block = block.next()) {
    for (auto part = block.begin(); !part.atEnd(); ++part) {
      if (QUrl(part.fragment().charFormat().anchorHref()) != link) continue;
      QTextCursor cursor(block);
      cursor.setPosition(part.fragment().position());
      cursor.setPosition(part.fragment().position() + part.fragment().length(),
                         QTextCursor::KeepAnchor);
      words_->setTextCursor(cursor);
    }
  }
  words_->verticalScrollBar()->setValue(at);
}

QString ExplainPanel::sentenceHtml(const Sentence& sentence, const QString& key) const {
  QString words = escaped(sentence.text);
  if (sentence.detail.empty()) return sentence.caution ? caution(words) : para(words);
  const bool open = open_.contains(key);
  words += QStringLiteral(" <a href='numbers:%1'>%2\u00a0%3</a>")
               .arg(key, tr("numbers"), open ? QStringLiteral("▾") : QStringLiteral("▸"));
  QString html = sentence.caution ? caution(words) : para(words);
  if (open) {
    html += QStringLiteral("<p style='margin:0 0 7px 14px; color:%1'>%2</p>")
                .arg(theme().soft.name(), escaped(sentence.detail));
  }
  return html;
}

QString ExplainPanel::notesHtml() const {
  QString html;
  if (results_) {
    for (const std::string& note : results_->notes) html += caution(escaped(note));
  }
  return html;
}

QString ExplainPanel::standHtml(const StandResult& stand) const {
  const Ref<Feature> feature = document_->find(stand.stand);
  QString html = title(escaped(display_name(*feature)));
  QString section;
  int place = 0;
  for (const Sentence& s : explain_stand(*document_, *results_, stand)) {
    if (s.heading) {
      html += head(escaped(s.text));
      section = lettersOf(text(s.text));
      place = 0;
    } else {
      html += sentenceHtml(s, QStringLiteral("%1.%2").arg(section).arg(place++));
    }
  }
  html += notesHtml();
  html += head(tr("Before you go"));
  for (const std::string& c : cautions()) html += para(escaped(c));
  return html;
}

QString ExplainPanel::otherHtml(const Feature& feature) const {
  QString html = title(escaped(display_name(feature)));
  html += para(capital(text(info(feature.kind()).noun)));
  if (!feature.remarks.empty()) html += para(escaped(feature.remarks));
  if (!results_) return html;
  for (const Sentence& s : explain_checks(*document_, *results_, feature.uid))
    html += s.heading ? head(escaped(s.text)) : checkLine(text(s.text));
  for (const Sentence& s : explain_gaps(*document_, *results_, feature.uid))
    html += s.heading ? head(escaped(s.text)) : para(escaped(s.text));
  QString reach;
  for (const StandResult& stand : results_->stands) {
    const Ref<Feature> from = document_->find(stand.stand);
    if (!from) continue;
    for (const InReach& r : stand.in_reach) {
      if (r.feature != feature.uid) continue;
      reach += para(tr("%1: %2 away, %3 % in sight")
                        .arg(escaped(display_name(*from)),
                             text(distance_text(r.nearest_m, document_->settings->units)))
                        .arg(static_cast<int>(r.seen * 100 + 0.5)));
    }
  }
  if (!reach.isEmpty()) html += head(tr("In reach of")) + reach;
  QString scent;
  for (const StandResult& stand : results_->stands) {
    const Ref<Feature> from = document_->find(stand.stand);
    for (const ScentOn& s : stand.scent_on) {
      if (s.area != feature.uid || s.exposure < 0.01 || !from) continue;
      scent += para(tr("%1: %2 of full strength on average, %3 at worst")
                        .arg(escaped(display_name(*from)), QString::number(s.exposure, 'f', 2),
                             QString::number(s.worst, 'f', 2)));
    }
  }
  if (!scent.isEmpty()) html += head(tr("Scent reaches it from")) + scent;
  return html;
}

QString ExplainPanel::tableHtml() const {
  QString html = title(escaped(document_->settings->name));
  if (!results_ || results_->stands.empty()) {
    html += para(document_->of(Kind::stand).empty()
                     ? tr("Draw a boundary, beds, food and trails; then place a stand (S) and a "
                          "gate (G), and it will explain itself here.")
                     : tr("Working…"));
    return html + notesHtml();
  }
  html += head(tr("Stands at this hour"));
  html += QStringLiteral("<table width='100%' cellspacing='0' cellpadding='4'>");
  html += QStringLiteral("<tr><td><b>%1</b></td><td><b>%2</b></td><td><b>%3</b></td></tr>")
              .arg(tr("Stand"), tr("In unnoticed"), tr("Worst scent"));
  const auto trade = static_cast<std::size_t>(results_->scene.trade);
  for (const StandResult& stand : results_->stands) {
    const Ref<Feature> f = document_->find(stand.stand);
    if (!f) continue;
    const Ref<Way>& in = stand.way_in[trade];
    QString worst = tr("none");
    if (!stand.scent_on.empty() && stand.scent_on.front().exposure >= 0.01) {
      const Ref<Feature> area = document_->find(stand.scent_on.front().area);
      if (area) worst = escaped(display_name(*area));
    }
    html += QStringLiteral("<tr><td><a href='stand:%1'>%2</a></td><td>%3</td><td>%4</td></tr>")
                .arg(text(stand.stand.str()), escaped(display_name(*f)),
                     in ? unbroken(text(
                              chance_text(in->unnoticed, in->unnoticed_low, in->unnoticed_high)))
                        : tr("no way"),
                     worst);
  }
  html += QStringLiteral("</table>");
  return html + notesHtml();
}

}  // namespace leeward::ui
