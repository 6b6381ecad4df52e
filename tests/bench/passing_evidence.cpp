// How well dark rings, sudden turns and changes of light are found, measured on rendered clips, and
// how well a row of joints tells the stick's length by the counter.
//
// passing_evidence [--half tuning|judged] [--first NUMBER] [--clips N] [--keep FOLDER]
//
// Prints a row a clip, then: rings found and rings where none is drawn, likewise turns and changes
// of light; of the rows of joints how many are told, told though none is there and within their
// bounds, and by how much of a stick they are off: what a reel's scale would be off by if it were
// taken from them and the stick length were known. Exit code 1 when a row was told that is not
// there.

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <opencv2/core.hpp>
#include <unistd.h>

#include "sondeline/footage.hpp"

#include "bench/passing_clip.hpp"
#include "support/footage.hpp"
#include "terms/quantile.hpp"

namespace {

namespace fs = std::filesystem;
using namespace sondeline;
using bench::Half;
using bench::PassingClip;

struct Hits {
    int drawn = 0;
    int found = 0;
    int told = 0;
    int true_told = 0;
    std::vector<double> off_m;  // of those that are there, ahead of the drawn place positive

    void add(const Hits& other) {
        drawn += other.drawn;
        found += other.found;
        told += other.told;
        true_told += other.true_told;
        off_m.insert(off_m.end(), other.off_m.begin(), other.off_m.end());
    }
    void print(std::string_view words) const {
        fmt::print("{}: {} of {} found; {} of {} told are there", words, found, drawn, true_told,
                   told);
        if (off_m.empty()) fmt::print("\n");
        if (off_m.empty()) return;
        double sum = 0.0;
        double squares = 0.0;
        for (const double off : off_m) {
            sum += off;
            squares += off * off;
        }
        const auto count = static_cast<double>(off_m.size());
        fmt::print(", off by {:+.3f} m on average, {:.3f} m rms\n", sum / count,
                   std::sqrt(squares / count));
    }
};

struct Score {
    Hits rings;
    Hits turns;
    Hits lights;
    int rows = 0;             // clips with a row of joints long enough: four sticks
    int rows_told = 0;        // of these
    int rows_within = 0;      // of these, within their bounds
    int rows_false = 0;       // told where no joints are, or more than 3 % off
    std::vector<double> off;  // of told spacings, over their length
};

// Marks of a kind against drawn places, both metres of pipe.
Hits hits(const PassingClip& clip, const Track& track, PassingKind kind,
          const std::vector<double>& drawn_m, double near_m) {
    Hits out;
    std::vector<double> told_m;
    const double unit_m = clip.look.counter_unit_m * clip.look.scenario.reel.scale;
    for (const PassingMark& mark : track.marks) {
        if (mark.kind != kind) continue;
        told_m.push_back((mark.counter - clip.look.counter_at_start) * unit_m);
    }
    const auto near = [near_m](const std::vector<double>& all, double at_m) {
        return std::ranges::any_of(all, [&](double m) { return std::abs(m - at_m) <= near_m; });
    };
    for (const double at_m : drawn_m) {
        ++out.drawn;
        out.found += near(told_m, at_m) ? 1 : 0;
    }
    for (const double at_m : told_m) {
        ++out.told;
        if (!near(drawn_m, at_m)) continue;
        ++out.true_told;
        out.off_m.push_back(at_m - *std::ranges::min_element(drawn_m, {}, [at_m](double m) {
                                return std::abs(m - at_m);
                            }));
    }
    return out;
}

void score_row(const PassingClip& clip, const Track& track, Score& score) {
    constexpr double kFewestSticks = 4.0;
    const bool there = clip.lay_length_m > 0.0 && clip.last_m >= kFewestSticks * clip.lay_length_m;
    score.rows += there ? 1 : 0;
    if (!track.joint_row) return;
    const double unit_m = clip.look.counter_unit_m * clip.look.scenario.reel.scale;
    const double told_m = track.joint_row->spacing.value * unit_m;
    constexpr double kFarOff = 0.03;
    const double off = clip.lay_length_m > 0.0 ? told_m / clip.lay_length_m - 1.0 : 1.0;
    if (std::abs(off) > kFarOff) {
        ++score.rows_false;
        return;
    }
    score.rows_told += there ? 1 : 0;
    score.off.push_back(std::abs(off));
    score.rows_within +=
        std::abs(told_m - clip.lay_length_m) <= 2.0 * track.joint_row->spacing.sd * unit_m ? 1 : 0;
}

void add(const Score& from, Score& to) {
    to.rings.add(from.rings);
    to.turns.add(from.turns);
    to.lights.add(from.lights);
    to.rows += from.rows;
    to.rows_told += from.rows_told;
    to.rows_within += from.rows_within;
    to.rows_false += from.rows_false;
    to.off.insert(to.off.end(), from.off.begin(), from.off.end());
}

Score read_one(Half half, std::uint64_t number, const fs::path& folder) {
    const PassingClip clip = bench::passing_clip(half, number);
    const fs::path path =
        folder / fmt::format("{}{}.mp4", half == Half::judged ? "judged" : "tuning", number);
    if (!fs::exists(path.string() + ".truth.csv")) {
        support::make_footage(clip.look.scenario, path);
    }
    const Track track = read_clip(path);
    constexpr double kNearRing_m = 0.06;
    constexpr double kNearTurn_m = 0.4;
    constexpr double kNearLight_m = 0.6;
    Score score;
    score.rings = hits(clip, track, PassingKind::ring, clip.joints_m, kNearRing_m);
    score.turns = hits(clip, track, PassingKind::turn, clip.turns_m, kNearTurn_m);
    score.lights =
        hits(clip, track, PassingKind::light,
             clip.darker_m ? std::vector{*clip.darker_m} : std::vector<double>{}, kNearLight_m);
    score_row(clip, track, score);
    const auto part = [](const Hits& of) {
        return fmt::format("{}/{} ({} too many)", of.found, of.drawn, of.told - of.true_told);
    };
    fmt::print("{:4} {}{} | rings {}, turns {}, light {}{}\n", number,
               clip.look.held_out ? "held out, " : "", clip.look.words, part(score.rings),
               part(score.turns), part(score.lights),
               track.joint_row
                   ? fmt::format(", row {:.3f} ± {:.3f} for {:.3f}", track.joint_row->spacing.value,
                                 2.0 * track.joint_row->spacing.sd,
                                 clip.lay_length_m / clip.look.counter_unit_m /
                                     clip.look.scenario.reel.scale)
                   : "");
    std::fflush(stdout);
    return score;
}

// Nil where there are none.
double share_of(const std::vector<double>& values, double share) {
    return values.empty() ? 0.0 : quantile(values, share);
}

}  // namespace

int main(int count, char** words) {
    cv::setNumThreads(1);
    Half half = Half::judged;
    std::uint64_t first = 0;
    std::uint64_t clips = 24;
    fs::path folder;
    for (int i = 1; i + 1 < count; ++i) {
        const std::string_view word = words[i];
        if (word == "--half")
            half = std::string_view(words[i + 1]) == "tuning" ? Half::tuning : Half::judged;
        if (word == "--clips") clips = std::strtoull(words[i + 1], nullptr, 10);
        if (word == "--first") first = std::strtoull(words[i + 1], nullptr, 10);
        if (word == "--keep") folder = words[i + 1];
    }
    const bool keep = !folder.empty();
    if (!keep) folder = fs::temp_directory_path() / fmt::format("passing{}", getpid());
    fs::create_directories(folder);
    Score all;
    for (std::uint64_t number = first; number < first + clips; ++number) {
        add(read_one(half, number, folder), all);
    }
    if (!keep) fs::remove_all(folder);
    all.rings.print("dark rings");
    all.turns.print("sudden turns");
    all.lights.print("changes of light");
    fmt::print(
        "rows of joints: {} of {} told, {} told that are not there; {} of {} within their "
        "bounds; stick length by the counter off by {:.4f} (half), {:.4f} (nine tenths) of "
        "it\n",
        all.rows_told, all.rows, all.rows_false, all.rows_within, all.off.size(),
        share_of(all.off, 0.5), share_of(all.off, 0.9));
    return all.rows_false == 0 ? 0 : 1;
}
