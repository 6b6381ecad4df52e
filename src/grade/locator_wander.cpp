#include "grade/locator_wander.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

#include "grade/analysis.hpp"
#include "grade/normal.hpp"

namespace sondeline::grade {

namespace {

// Standard deviation of what wanders over that of what stays.
constexpr std::array kSizes = {0.0, 0.25, 0.5, 0.75, 1.0};
// That nothing wanders, before the data; the other sizes share the rest. Where depths hardly tell,
// this decides between bounds too wide for a locator that is off alike everywhere and too narrow
// for one that wanders (set by grade_bench).
constexpr double kStaysAlike = 0.2;

using BySize = std::array<double, kSizes.size()>;  // logarithms

double log_sum(const auto& logs) {
    const double most = *std::ranges::max_element(logs);
    double sum = 0.0;
    for (const double value : logs) sum += std::exp(value - most);
    return most + std::log(sum);
}

void add(const BySize& more, BySize& sum) {
    for (std::size_t i = 0; i < sum.size(); ++i) sum[i] += more[i];
}

BySize prior() {
    BySize log_prior;
    log_prior.fill(std::log((1.0 - kStaysAlike) / (kSizes.size() - 1)));
    log_prior.front() = std::log(kStaysAlike);
    return log_prior;
}

// Mean of the squared size.
double mean_share(const BySize& log_weights) {
    const double all = log_sum(log_weights);
    double mean = 0.0;
    for (std::size_t i = 0; i < kSizes.size(); ++i) {
        mean += kSizes[i] * kSizes[i] * std::exp(log_weights[i] - all);
    }
    return mean;
}

// ln of the evidence of no break and no sag, one break and one sag together, over that of none.
double log_any_factor(const std::vector<BreakPlace>& breaks, double p_break,
                      const std::vector<SagPlace>& sags, double p_sag) {
    std::vector<double> logs{std::log1p(-p_break) + std::log1p(-p_sag)};
    for (const BreakPlace& place : breaks) {
        logs.push_back(std::log(p_break / static_cast<double>(breaks.size())) + std::log1p(-p_sag) +
                       log_break_factor(place));
    }
    const std::vector<double> priors = log_sag_priors(p_sag, sags);
    for (std::size_t k = 0; k < sags.size(); ++k) {
        const SagProducts products{sags[k].a, sags[k].m, sags[k].prior_sd_m};
        logs.push_back(priors[k] + std::log1p(-p_break) + log_sag_factor(products));
    }
    return log_sum(logs);
}

// The same of a sag at one place that may be as deep as it likes, up to what all places share:
// ∫ exp(mA − aA²/2) dA over A > 0. Minus infinity where the depth is unsure by a metre.
double log_flat_factor(const SagPlace& sag) {
    if (!(sag.a > 1.0)) return -std::numeric_limits<double>::infinity();
    const double z = sag.m / std::sqrt(sag.a);
    return 0.5 * z * z + log_normal_cdf(z) - 0.5 * std::log(sag.a);
}

// What one run says of the sizes.
struct Said {
    // With all tapes sound; then with one of them off, `tapes` in turn. With how likely that is
    // before the data.
    std::vector<BySize> tapes_sound_or_off;
    std::vector<VerticalKind> tapes;
    std::vector<BySize> beside;  // with a sag at each place; not finite where the data tell nothing

    BySize any() const {
        BySize sum = tapes_sound_or_off.front();
        for (std::size_t i = 0; i < sum.size(); ++i) {
            std::vector<double> logs;
            for (const BySize& each : tapes_sound_or_off) logs.push_back(each[i]);
            sum[i] = log_sum(logs);
        }
        return sum;
    }
};

VerticalModel model_of(const RunRows& run, const std::vector<Row>& used, double scatter,
                       double size) {
    ModelInput input{&used, &run.ground, scatter};
    input.locator_wander = size * size;
    return solve_model(input, plain_trends(run));
}

double log_evidence(const RunRows& run, const std::vector<Row>& used, const VerticalModel& model,
                    const std::vector<SagPlace>& sags) {
    const std::vector<BreakPlace> breaks = break_places(run.length_m, used, model);
    return model.log_evidence + log_any_factor(breaks, prior_break(run.length_m, breaks), sags,
                                               prior_sag(run.length_m, sags));
}

BySize with_tape_off(const RunRows& run, const Screening& screening, std::size_t tape,
                     std::vector<SagPlace>& sags) {
    std::vector<Row> used = screening.used;
    used[tape] = as_slipped(used[tape]);
    BySize said{};
    for (std::size_t i = 0; i < kSizes.size(); ++i) {
        const VerticalModel model = model_of(run, used, screening.scatter, kSizes[i]);
        set_products(model, sags);
        said[i] = log_evidence(run, used, model, sags) + std::log(kTapeSlips);
    }
    return said;
}

Said said_by(const RunRows& run, const Screening& screening) {
    const std::vector<Row>& used = screening.used;
    std::vector<SagPlace> sags = sag_places(run.length_m, used);
    const auto tapes = static_cast<double>(std::ranges::count_if(used, may_slip));
    Said said{{BySize{}}, {}, std::vector<BySize>(sags.size())};
    for (std::size_t i = 0; i < kSizes.size(); ++i) {
        const VerticalModel model = model_of(run, used, screening.scatter, kSizes[i]);
        set_products(model, sags);
        said.tapes_sound_or_off.front()[i] =
            log_evidence(run, used, model, sags) + std::log1p(-kTapeSlips * tapes);
        for (std::size_t k = 0; k < sags.size(); ++k) {
            said.beside[k][i] = model.log_evidence + log_flat_factor(sags[k]);
        }
    }
    for (std::size_t tape = 0; tape < used.size(); ++tape) {
        if (!may_slip(used[tape])) continue;
        said.tapes.push_back(used[tape].kind);
        said.tapes_sound_or_off.push_back(with_tape_off(run, screening, tape, sags));
    }
    return said;
}

bool tells(const Screening& screening) {
    return std::ranges::any_of(screening.used, is_locator) && screening.tapes_at_odds.empty();
}

std::optional<Said> said_by(const RunRows& run) {
    if (!is_height(run.z_reference) || run.length_m <= 0.0) return std::nullopt;
    const Screening screening = screen_rows(run);
    if (!tells(screening)) return std::nullopt;
    return said_by(run, screening);
}

// Of one run: by what the others and the prior say, and where it likeliest sags.
double share_beside_sag(const Said& said, const BySize& others) {
    double most = 0.0;
    std::optional<BySize> likeliest;
    for (BySize beside : said.beside) {
        if (std::ranges::any_of(beside, [](double told) { return !std::isfinite(told); })) continue;
        add(others, beside);
        const double sum = log_sum(beside);
        if (likeliest && sum <= most) continue;
        most = sum;
        likeliest = beside;
    }
    if (likeliest) return mean_share(*likeliest);
    BySize sound = others;
    add(said.tapes_sound_or_off.front(), sound);
    return mean_share(sound);
}

void settle(const Said& said, const BySize& others, RunRows& run) {
    std::vector<BySize> weights;
    std::vector<double> sums;
    for (const BySize& each : said.tapes_sound_or_off) {
        weights.push_back(others);
        add(each, weights.back());
        sums.push_back(log_sum(weights.back()));
    }
    const double all = log_sum(sums);
    run.wander = {mean_share(weights.front()), share_beside_sag(said, others)};
    for (std::size_t t = 0; t < said.tapes.size(); ++t) {
        run.tape_odds.push_back(
            {said.tapes[t], std::exp(sums[t + 1] - all), mean_share(weights[t + 1])});
    }
}

}  // namespace

void settle_locator_wander(std::vector<RunRows>& runs) {
    std::vector<std::optional<Said>> said;
    std::vector<BySize> any;
    BySize all = prior();
    for (const RunRows& run : runs) {
        said.push_back(said_by(run));
        any.push_back(said.back() ? said.back()->any() : BySize{});
        add(any.back(), all);
    }
    for (std::size_t r = 0; r < runs.size(); ++r) {
        if (!said[r]) continue;
        BySize others = all;
        for (std::size_t i = 0; i < others.size(); ++i) others[i] -= any[r][i];
        settle(*said[r], others, runs[r]);
    }
}

}  // namespace sondeline::grade
