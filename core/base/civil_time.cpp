#include "core/base/civil_time.h"

#include <date/tz.h>

#include <cstdio>

namespace leeward {
namespace {

const date::time_zone* find_zone(std::string_view name) {
  try {
    return date::locate_zone(std::string(name));
  } catch (const std::exception&) {
    return nullptr;
  }
}

bool read_int(std::string_view text, size_t at, size_t digits, int& out) {
  if (at + digits > text.size()) return false;
  int v = 0;
  for (size_t i = at; i < at + digits; ++i) {
    if (text[i] < '0' || text[i] > '9') return false;
    v = v * 10 + (text[i] - '0');
  }
  out = v;
  return true;
}

}  // namespace

bool is_time_zone(std::string_view iana_name) { return find_zone(iana_name) != nullptr; }

CivilTime to_civil(Instant at, const std::string& iana_name) {
  const date::time_zone* zone = find_zone(iana_name);
  std::chrono::seconds offset{0};
  CivilTime c;
  c.zone_abbreviation = "UTC";
  if (zone) {
    const date::sys_info info = zone->get_info(at);
    offset = info.offset;
    c.zone_abbreviation = info.abbrev;
    const date::local_info local =
        zone->get_info(date::local_seconds{(at + offset).time_since_epoch()});
    c.repeated = local.result == date::local_info::ambiguous && info.offset == local.second.offset;
  }
  const auto shifted = at + offset;
  const auto day = date::floor<date::days>(shifted);
  const date::year_month_day ymd{day};
  const date::hh_mm_ss<std::chrono::seconds> clock{shifted - day};
  c.year = static_cast<int>(ymd.year());
  c.month = static_cast<int>(static_cast<unsigned>(ymd.month()));
  c.day = static_cast<int>(static_cast<unsigned>(ymd.day()));
  c.hour = static_cast<int>(clock.hours().count());
  c.minute = static_cast<int>(clock.minutes().count());
  c.second = static_cast<int>(clock.seconds().count());
  c.weekday = static_cast<int>(date::weekday{day}.c_encoding());
  c.day_of_year = static_cast<int>((day - date::sys_days{ymd.year() / 1 / 1}).count()) + 1;
  c.utc_offset_min = static_cast<int>(offset.count() / 60);
  return c;
}

Result<Instant> from_civil(int year, int month, int day, int hour, int minute,
                           const std::string& iana_name) {
  const date::time_zone* zone = find_zone(iana_name);
  if (!zone) {
    return fail(ErrorCode::invalid_argument,
                "'" + iana_name + "' is not a time zone of the IANA list (try America/Chicago)");
  }
  const date::year_month_day ymd{date::year{year}, date::month{static_cast<unsigned>(month)},
                                 date::day{static_cast<unsigned>(day)}};
  if (!ymd.ok() || hour < 0 || hour > 23 || minute < 0 || minute > 59) {
    return fail(ErrorCode::invalid_argument, "no such date or time");
  }
  const auto local =
      date::local_days{ymd} + std::chrono::hours{hour} + std::chrono::minutes{minute};
  return Instant{date::floor<std::chrono::seconds>(zone->to_sys(local, date::choose::earliest))
                     .time_since_epoch()};
}

CivilDay civil_day(Instant at, const std::string& iana_name) {
  const CivilTime c = to_civil(at, iana_name);
  const auto midnight = [&](date::sys_days day) {
    const date::year_month_day ymd{day};
    auto r = from_civil(static_cast<int>(ymd.year()),
                        static_cast<int>(static_cast<unsigned>(ymd.month())),
                        static_cast<int>(static_cast<unsigned>(ymd.day())), 0, 0, iana_name);
    return r ? *r : Instant{day.time_since_epoch()};
  };
  const date::sys_days today{date::year{c.year} / c.month / c.day};
  return {midnight(today), midnight(today + date::days{1})};
}

std::string to_iso8601(Instant at) {
  const CivilTime c = to_civil(at, "Etc/UTC");
  char text[40];
  std::snprintf(text, sizeof text, "%04d-%02d-%02dT%02d:%02d:%02dZ", c.year, c.month, c.day, c.hour,
                c.minute, c.second);
  return text;
}

Result<Instant> parse_iso8601(std::string_view text) {
  const auto bad = [&] {
    return fail(ErrorCode::parse,
                "'" + std::string(text.substr(0, 40)) +
                    "' is not an ISO 8601 time with a zone (2026-11-14T21:30:00Z)");
  };
  int y = 0, mo = 0, d = 0, h = 0, mi = 0, s = 0;
  if (!read_int(text, 0, 4, y) || !read_int(text, 5, 2, mo) || !read_int(text, 8, 2, d))
    return bad();
  if (text.size() < 17 || text[4] != '-' || text[7] != '-') return bad();
  if (text[10] != 'T' && text[10] != ' ') return bad();
  if (!read_int(text, 11, 2, h) || text[13] != ':' || !read_int(text, 14, 2, mi)) return bad();
  size_t i = 16;
  if (i < text.size() && text[i] == ':') {
    if (!read_int(text, i + 1, 2, s)) return bad();
    i += 3;
    if (i < text.size() && text[i] == '.') {
      ++i;
      while (i < text.size() && text[i] >= '0' && text[i] <= '9') ++i;
    }
  }
  int offset_min = 0;
  if (i >= text.size()) return bad();
  if (text[i] == 'Z') {
    if (i + 1 != text.size()) return bad();
  } else if (text[i] == '+' || text[i] == '-') {
    int oh = 0, om = 0;
    const bool colon = i + 3 < text.size() && text[i + 3] == ':';
    if (!read_int(text, i + 1, 2, oh) || !read_int(text, i + (colon ? 4 : 3), 2, om)) return bad();
    if (i + (colon ? 6 : 5) != text.size()) return bad();
    offset_min = (oh * 60 + om) * (text[i] == '-' ? -1 : 1);
  } else {
    return bad();
  }
  const date::year_month_day ymd{date::year{y}, date::month{static_cast<unsigned>(mo)},
                                 date::day{static_cast<unsigned>(d)}};
  if (!ymd.ok() || h > 24 || mi > 59 || s > 60) return bad();
  return Instant{(date::sys_days{ymd} + std::chrono::hours{h} +
                  std::chrono::minutes{mi - offset_min} + std::chrono::seconds{s})
                     .time_since_epoch()};
}

std::string iso_date(const CivilTime& time) {
  char text[40];
  std::snprintf(text, sizeof text, "%04d-%02d-%02d", time.year, time.month, time.day);
  return text;
}

}  // namespace leeward
