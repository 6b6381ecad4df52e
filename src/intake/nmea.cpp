#include "intake/nmea.hpp"

#include <array>
#include <charconv>
#include <chrono>
#include <cmath>

#include "sondeline/terms.hpp"

#include "intake/position_quality.hpp"
#include "intake/text.hpp"

namespace sondeline {

namespace {

constexpr double kDay_s = 86400.0;
constexpr std::size_t kMostFields = 24;

struct Sentence {
    std::string_view kind;  // "GGA"
    std::array<std::string_view, kMostFields> fields;
    std::size_t count = 0;

    [[nodiscard]] std::string_view field(std::size_t index) const {
        return index < count ? fields[index] : std::string_view();
    }
    [[nodiscard]] std::optional<double> number(std::size_t index) const {
        return parse_number(field(index), false);
    }
};

std::optional<int> whole(std::string_view digits, int base = 10) {
    int value = 0;
    const auto [end, error] =
        std::from_chars(digits.data(), digits.data() + digits.size(), value, base);
    const bool all = error == std::errc() && end == digits.data() + digits.size();
    return all && !digits.empty() ? std::optional(value) : std::nullopt;
}

enum class Check { good, damaged, no_sentence };

// Between $ and * the exclusive or of all characters is the number behind the *.
Check take_sentence(std::string_view line, Sentence& sentence) {
    const std::size_t dollar = line.find('$');
    if (dollar == std::string_view::npos) return Check::no_sentence;
    line = trim(line.substr(dollar + 1));
    const std::size_t star = line.rfind('*');
    if (star == std::string_view::npos) return Check::damaged;
    unsigned sum = 0;
    for (const char c : line.substr(0, star)) sum ^= static_cast<unsigned char>(c);
    if (whole(line.substr(star + 1), 16) != static_cast<int>(sum)) return Check::damaged;
    std::string_view rest = line.substr(0, star);
    sentence.count = 0;
    while (sentence.count < kMostFields) {
        const std::size_t comma = rest.find(',');
        sentence.fields[sentence.count++] = rest.substr(0, comma);
        if (comma == std::string_view::npos) break;
        rest.remove_prefix(comma + 1);
    }
    const std::string_view name = sentence.fields[0];
    if (name.size() != 5) return Check::no_sentence;
    sentence.kind = name.substr(2);
    return Check::good;
}

// `103205.20`
std::optional<double> time_of_day_s(std::string_view text) {
    if (text.size() < 6) return std::nullopt;
    const auto hours = whole(text.substr(0, 2));
    const auto minutes = whole(text.substr(2, 2));
    const auto seconds = parse_number(text.substr(4), false);
    if (!hours || !minutes || !seconds) return std::nullopt;
    if (*hours > 23 || *minutes > 59 || !(*seconds >= 0.0 && *seconds < 61.0)) return std::nullopt;
    return *hours * 3600.0 + *minutes * 60.0 + *seconds;
}

// `3344.8926` and `N`: degrees and minutes.
std::optional<double> degrees(std::string_view text, std::string_view hemisphere, double most) {
    const auto figure = parse_number(text, false);
    if (!figure || !(*figure >= 0.0)) return std::nullopt;
    const double whole_degrees = std::floor(*figure / 100.0);
    const double minutes = *figure - 100.0 * whole_degrees;
    const double value = whole_degrees + minutes / 60.0;
    if (minutes >= 60.0 || value > most) return std::nullopt;
    if (hemisphere == "N" || hemisphere == "E") return value;
    if (hemisphere == "S" || hemisphere == "W") return -value;
    return std::nullopt;
}

std::optional<int> days_of(std::optional<int> year, std::optional<int> month,
                           std::optional<int> day) {
    if (!year || !month || !day || *month < 0 || *day < 0) return std::nullopt;
    const std::chrono::year_month_day date{std::chrono::year(*year),
                                           std::chrono::month(static_cast<unsigned>(*month)),
                                           std::chrono::day(static_cast<unsigned>(*day))};
    if (!date.ok()) return std::nullopt;
    return std::chrono::sys_days(date).time_since_epoch().count();
}

std::optional<int> date_in(const Sentence& sentence) {
    if (sentence.kind == "ZDA") {
        return days_of(whole(sentence.field(4)), whole(sentence.field(3)),
                       whole(sentence.field(2)));
    }
    const std::string_view ddmmyy = sentence.field(9);
    if (sentence.kind != "RMC" || ddmmyy.size() != 6) return std::nullopt;
    const auto year = whole(ddmmyy.substr(4, 2));
    // Two digits: the years before 1980 had no such receivers.
    const auto full = year ? std::optional(*year + (*year < 80 ? 2000 : 1900)) : year;
    return days_of(full, whole(ddmmyy.substr(2, 2)), whole(ddmmyy.substr(0, 2)));
}

class LogReader {
  public:
    LogReader(std::optional<int> date_days, std::size_t most) : given_(date_days), most_(most) {}

    void line(std::string_view text, int row) {
        Sentence sentence;
        const Check check = take_sentence(text, sentence);
        if (check == Check::damaged) ++log_.damaged;
        if (check != Check::good) return;
        if (sentence.kind == "GGA") {
            position(sentence, row);
        } else if (sentence.kind == "GST") {
            deviations(sentence);
        } else if (const auto date = date_in(sentence)) {
            dated(*date, time_of_day_s(sentence.field(1)));
        }
    }

    NmeaLog finish() {
        // What stands before the first date belongs to that day.
        const auto day = first_date_ ? first_date_ : given_;
        for (std::size_t i = 0; i < undated_; ++i) {
            log_.positions[i].clock_s += kDay_s * day.value_or(0);
        }
        if (undated_ > 0 && !day) {
            log_.undated = true;
            log_.positions.clear();
        }
        return std::move(log_);
    }

  private:
    // A date is that of its own sentence's time: around midnight the position before it may still
    // be of yesterday.
    void dated(int days, std::optional<double> time_s) {
        day_ = days;
        if (time_s) last_s_ = *time_s;
        if (first_date_) return;
        first_date_ = days;
        undated_ = log_.positions.size();
    }

    void position(const Sentence& sentence, int row) {
        const auto time_s = time_of_day_s(sentence.field(1));
        const auto lat = degrees(sentence.field(2), sentence.field(3), 90.0);
        const auto lon = degrees(sentence.field(4), sentence.field(5), 180.0);
        const SolutionKind kind = solution_of_gga(whole(sentence.field(6)).value_or(0));
        const auto sd_m = sd_of_solution_m(kind, sentence.number(8));
        if (!time_s || !lat || !lon || !sd_m) {
            ++log_.without_fix;
            return;
        }
        if (log_.positions.size() >= most_) return;
        constexpr double half_day_s = kDay_s / 2.0;
        if (last_s_ && *time_s < *last_s_ - half_day_s) ++(day_ ? *day_ : extra_days_);
        last_s_ = *time_s;
        const double days = day_ ? *day_ : extra_days_;
        log_.positions.push_back({kDay_s * days + *time_s, *lon, *lat, *sd_m, row});
        if (!first_date_) undated_ = log_.positions.size();
    }

    // Deviations of latitude and longitude, metres.
    void deviations(const Sentence& sentence) {
        constexpr double least_m = 0.005;
        const auto time_s = time_of_day_s(sentence.field(1));
        const auto lat_m = sentence.number(6);
        const auto lon_m = sentence.number(7);
        if (log_.positions.empty() || !time_s || !lat_m || !lon_m) return;
        const double sd_m = std::sqrt((*lat_m * *lat_m + *lon_m * *lon_m) / 2.0);
        if (!last_s_ || *time_s != *last_s_ || !(sd_m > 0.0) || !std::isfinite(sd_m)) return;
        log_.positions.back().sd_m = std::max(sd_m, least_m);
    }

    NmeaLog log_;
    std::optional<int> given_;
    std::size_t most_;
    std::optional<int> day_;
    std::optional<int> first_date_;
    int extra_days_ = 0;  // past midnight before any date
    std::optional<double> last_s_;
    std::size_t undated_ = 0;  // positions at the front without a day
};

}  // namespace

NmeaLog read_nmea(std::string_view text, std::optional<int> date_days, std::size_t most) {
    LogReader reader(date_days, most);
    int row = 0;
    while (!text.empty()) {
        const std::size_t end = text.find('\n');
        reader.line(text.substr(0, end), ++row);
        if (end == std::string_view::npos) break;
        text.remove_prefix(end + 1);
    }
    return reader.finish();
}

}  // namespace sondeline
