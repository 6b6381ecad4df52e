#include "service/watch_record.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include "service/track_bytes.hpp"
#include "service/whole_file.hpp"

namespace sondeline {

using nlohmann::json;

namespace {

constexpr std::size_t most_record_bytes = 1U << 16U;

json read_record(const std::filesystem::path& file) {
    const auto bytes = read_whole(file, most_record_bytes);
    json record = bytes ? json::parse(*bytes, nullptr, false) : json();
    return record.is_object() ? record : json::object();
}

// The count that stands under a key, when it is one that this program writes.
int number(const json& record, const char* key, int otherwise) {
    constexpr std::uint64_t most = 1'000'000;
    const auto found = record.find(key);
    const bool is_count = found != record.end() && found->is_number_unsigned();
    return is_count && found->get<std::uint64_t>() <= most ? found->get<int>() : otherwise;
}

std::string text(const json& record, const char* key) {
    const auto found = record.find(key);
    return found != record.end() && found->is_string() ? found->get<std::string>() : std::string();
}

std::string dumped(const json& value, int indent) {
    return value.dump(indent, ' ', false, json::error_handler_t::replace) + "\n";
}

// What was finished by an older program is worked on anew.
bool is_of(const json& record, const std::string& job, const std::string& signature) {
    return text(record, "job") == job && text(record, "signature") == signature &&
           text(record, "program") == program_version() &&
           text(record, "reader") == reader_version();
}

json record_for(const std::string& job, const std::string& signature) {
    return {{"job", job},
            {"signature", signature},
            {"program", program_version()},
            {"reader", reader_version()}};
}

}  // namespace

std::string_view word(WatchState state) {
    switch (state) {
        case WatchState::being_copied: return "being copied";
        case WatchState::waiting: return "waiting";
        case WatchState::working: return "working";
        case WatchState::done: return "done";
        case WatchState::failed: return "failed";
        case WatchState::left_alone: return "left alone";
    }
    return "";
}

std::filesystem::path WatchRecords::record_of(const std::string& job) const {
    return folder_ / fmt::format("{:016x}.json", checksum(job));
}

int WatchRecords::unfinished_starts(const std::string& job, const std::string& signature) const {
    const json record = read_record(record_of(job));
    return is_of(record, job, signature) ? number(record, "unfinished_starts", 0) : 0;
}

std::optional<WatchedJob> WatchRecords::finished(const std::string& job,
                                                 const std::string& signature) const {
    const json record = read_record(record_of(job));
    const int exit_code = number(record, "exit_code", -1);
    if (!is_of(record, job, signature) || exit_code < 0) return std::nullopt;
    return WatchedJob{WatchState::done, signature, exit_code, number(record, "problems", 0), ""};
}

void WatchRecords::begin(const std::string& job, const std::string& signature) const {
    json record = record_for(job, signature);
    record["unfinished_starts"] = unfinished_starts(job, signature) + 1;
    write_whole(record_of(job), dumped(record, 1));
}

void WatchRecords::finish(const std::string& job, const WatchedJob& outcome) const {
    json record = record_for(job, outcome.signature);
    record["exit_code"] = outcome.exit_code;
    record["problems"] = outcome.problems;
    write_whole(record_of(job), dumped(record, 1));
}

void WatchRecords::withdraw(const std::string& job) const {
    std::error_code ignored;
    std::filesystem::remove(record_of(job), ignored);
}

std::string status_json(std::string_view state, const std::map<std::string, WatchedJob>& jobs) {
    json list = json::array();
    for (const auto& [name, job] : jobs) {
        json row{{"job", name}, {"state", word(job.state)}};
        if (job.state == WatchState::done) {
            row["exit_code"] = job.exit_code;
            row["problems"] = job.problems;
        }
        if (!job.words.empty()) row["why"] = job.words;
        list.push_back(std::move(row));
    }
    return dumped({{"schema", "sondeline-watch/1"},
                   {"state", state},
                   {"process", getpid()},
                   {"jobs", std::move(list)}},
                  1);
}

}  // namespace sondeline
