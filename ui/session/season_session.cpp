#include "ui/session/season_session.h"

#include "core/io/station_records.h"

namespace leeward::ui {

SeasonSession::SeasonSession() {
  connect(&background_, &Background::finished, this, &SeasonSession::busyChanged);
}

void SeasonSession::count(const Ref<Document>& document, const Ref<Terrain>& terrain,
                          const std::filesystem::path& records, const SeasonDays& days) {
  const Snapshot ask{document, terrain, {}};
  background_.start([this, ask, records, days](const std::stop_token& stop) -> Background::Finish {
    const auto fails = [this](const std::string& why) {
      return [this, words = QString::fromStdString(why)] { emit failed(words); };
    };
    auto read = io::read_station_records(records, ask.document->settings->time_zone);
    if (!read) return fails(read.error().message);
    auto season =
        season_of(engine_, ask, read->hours, days, stop, [this](double share, const char*) {
          QMetaObject::invokeMethod(
              this, [this, share] { emit progressed(share); }, Qt::QueuedConnection);
        });
    if (!season) return {};
    if (season->mornings + season->evenings == 0)
      return fails(records.filename().string() +
                   ": none of its hours lie in the season; choose other days or other records");
    return
        [this, ask, notes = std::move(read->notes), made = make_ref<Season>(*std::move(season))] {
          season_ = made;
          document_ = ask.document;
          notes_ = notes;
          emit counted();
        };
  });
  emit busyChanged();
}

}  // namespace leeward::ui
